"""What is known of a picture that can be used: its size as seen upright, its kind, its pages, its lines and words."""

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

PDF: Final = "application/pdf"
SVG: Final = "image/svg+xml"
DXF: Final = "image/vnd.dxf"
VECTOR: Final = frozenset({PDF, SVG, DXF})
_NAMES: Final = {
    "image/png": "PNG", "image/jpeg": "JPEG", "image/webp": "WebP", "image/tiff": "TIFF", "image/heic": "HEIC",
    PDF: "PDF", SVG: "SVG", DXF: "DXF",
}  # fmt: skip


@dataclass(frozen=True)
class PictureInfo:
    """A picture that can be used: its size as seen upright, and the bytes to keep.

    ``data`` is what the person gave, byte for byte, where that is an upright PNG or JPEG or a drawing made of lines
    (PDF, SVG, DXF). Anything else is kept as the PNG or JPEG that it was turned into, and ``media`` says which;
    ``turned`` says that it lay on its side. ``sha256`` is of ``data``. ``page`` is the page of ``data`` that is
    meant, ``pages`` how many the person's file has. ``said`` holds sentences that the person should read.

    ``mm_per_px`` is known where the file is drawn at full size with a unit; ``paper_mm_per_px`` where it has a paper
    size, so that a printed scale gives the rest.
    """

    media: str
    width_px: int
    height_px: int
    turned: bool
    sha256: str
    data: bytes = field(repr=False)
    page: int = 1
    pages: int = 1
    said: tuple[str, ...] = ()
    mm_per_px: float | None = None
    paper_mm_per_px: float | None = None

    @property
    def is_vector(self) -> bool:
        """Whether it is made of lines that stay sharp however near one looks."""
        return self.media in VECTOR

    @property
    def kind(self) -> str:
        """The name of its format: PNG, JPEG, PDF, SVG or DXF."""
        return format_name(self.media)


@dataclass(frozen=True, slots=True)
class PlacedText:
    """Words on a sheet: where their line starts (left, on the baseline), how high they are, how they are turned.

    ``turn_deg`` is clockwise as seen on the sheet; ``width_px`` is 0 where the file doesn't tell it.
    """

    x: float
    y: float
    size: float
    words: str
    turn_deg: float = 0.0
    width_px: float = 0.0


@dataclass(frozen=True, slots=True)
class Stroke:
    """What lines are drawn with: width in sheet px and colour, or the colour of the area that they are the edge of."""

    width_px: float
    colour: str
    is_area: bool = False


@dataclass(frozen=True)
class Linework:
    """The straight pieces that a drawing is made of, and its words, in sheet px from the top left.

    ``segments`` has one row (x1, y1, x2, y2) a piece, ``layer_of`` the place of its layer's name in ``layers``, and
    ``stroke_of`` that of its stroke in ``strokes``; both are empty where the format tells layers only.
    """

    segments: "NDArray[np.float64]"
    layers: tuple[str, ...]
    layer_of: "NDArray[np.int32]"
    texts: tuple[PlacedText, ...]
    mm_per_px: float | None
    strokes: tuple[Stroke, ...] = ()
    stroke_of: "NDArray[np.int32] | None" = None


def format_name(media: str) -> str:
    """Give the name that people know a media type by."""
    return _NAMES.get(media, media)


def no_lines() -> Linework:
    """Give the line work of what has none, such as a photograph."""
    import numpy as np

    return Linework(np.zeros((0, 4)), (), np.zeros(0, np.int32), (), None)
