"""What reading a drawing made of lines gives, in a form that passes from one process to another."""

from typing import TYPE_CHECKING

from msgspec import Struct

from circuitmap.errors import PictureError
from circuitmap.pictures.info import Linework, PlacedText, Stroke

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


class Text(Struct, frozen=True, array_like=True):
    """Words on a sheet, as in ``PlacedText``."""

    x: float
    y: float
    size: float
    words: str
    turn_deg: float = 0.0
    width_px: float = 0.0


class Pen(Struct, frozen=True, array_like=True):
    """What lines are drawn with, as in ``Stroke``."""

    width_px: float
    colour: str
    is_area: bool = False


class Study(Struct, frozen=True):
    """A drawing's size in sheet px, pages, scales, lines and words; ``fills`` are filled outlines among its lines.

    ``pdf`` holds the drawing as PDF where it was turned into one to be drawn.
    """

    width_px: int
    height_px: int
    pages: int = 1
    said: tuple[str, ...] = ()
    mm_per_px: float | None = None
    paper_mm_per_px: float | None = None
    pdf: bytes = b""
    segments: bytes = b""
    layer_of: bytes = b""
    layers: tuple[str, ...] = ()
    pens: tuple[Pen, ...] = ()
    pen_of: bytes = b""
    texts: tuple[Text, ...] = ()
    fill_points: bytes = b""
    fill_starts: bytes = b""

    def linework(self) -> Linework:
        """Give its lines and words."""
        import numpy as np

        return Linework(
            np.frombuffer(self.segments, np.float64).reshape(-1, 4),
            self.layers,
            np.frombuffer(self.layer_of, np.int32),
            tuple(PlacedText(t.x, t.y, t.size, t.words, t.turn_deg, t.width_px) for t in self.texts),
            self.mm_per_px,
            tuple(Stroke(pen.width_px, pen.colour, pen.is_area) for pen in self.pens),
            np.frombuffer(self.pen_of, np.int32) if self.pens else None,
        )

    def fills(self) -> "list[NDArray[np.float64]]":
        """Give the filled outlines, one array of corners each."""
        import numpy as np

        points = np.frombuffer(self.fill_points, np.float64).reshape(-1, 2)
        return np.split(points, np.frombuffer(self.fill_starts, np.int32)[1:]) if len(points) else []


class RefusedError(PictureError):
    """A drawing that can't be used, before anybody knows what its file is called."""

    def __init__(self, says: str, todo: str = "") -> None:
        super().__init__("The picture", says, todo)
