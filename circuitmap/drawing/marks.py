"""The marks that a drawing is made of; two pens (canvas and SVG) draw the same marks.

Positions are plan millimetres, x to the right and y *down*. Sizes, widths and offsets are pixels at 1:1; a pen
multiplies them by its own scale once. A mark names a *role* (``ink``, ``circuit:3``, ``C2``); the theme turns roles
into colours.
"""

from typing import Final, Literal, TypeAlias, get_args

from msgspec import Struct

Layer = Literal[
    "underlay", "room", "area", "fixture", "wall", "grid", "route", "run", "symbol", "label", "finding", "overlay"
]
LAYERS: Final[tuple[Layer, ...]] = get_args(Layer)  # bottom first
_RANK: Final[dict[str, int]] = {layer: n for n, layer in enumerate(LAYERS)}

State = Literal[
    "",
    "not checked",
    "went off",
    "still on",
    "faint glow",
    "can't tell",
    "settled",
    "in doubt",
    "fed from elsewhere",
]
STATES: Final[tuple[State, ...]] = get_args(State)

Anchor = Literal["start", "middle", "end"]
PointMm: TypeAlias = tuple[float, float]
NineNumbers: TypeAlias = tuple[float, float, float, float, float, float, float, float, float]


class Ink(Struct, frozen=True):
    """A stroke: whose colour, how wide, and its dash pattern (px on, px off, …; empty is solid)."""

    role: str
    width_px: float = 1.5
    dash: tuple[float, ...] = ()


class Picture(Struct, frozen=True):
    """A sheet's picture, placed by the nine numbers (row by row) that take picture pixels to plan mm.

    ``fade`` runs from 0 (as it is) to 1 (gone). ``page`` is the page of a file that has several.
    """

    layer: Layer
    asset: str
    px_to_plan_mm: NineNumbers
    fade: float = 0.5
    page: int = 1

    @property
    def key(self) -> str:
        """What the picture's pixels go by: its asset, and the page when it is not the first."""
        return page_key(self.asset, self.page)


class Area(Struct, frozen=True):
    """A filled shape: its outline, then its holes (filled by the even-odd rule).

    ``opacity`` is the fill's, for washes that a picture or another wash should shine through.
    """

    layer: Layer
    rings: tuple[tuple[PointMm, ...], ...]
    fill: str
    edge: Ink | None = None
    opacity: float = 1.0


class Line(Struct, frozen=True):
    """A line through points, open or closed.

    ``stripe`` is a second, narrower stroke along the middle: how circuits beyond the solid colours are told apart,
    because the dash of the line itself already says how well the run is known.
    """

    layer: Layer
    pts: tuple[PointMm, ...]
    ink: Ink
    closed: bool = False
    stripe: Ink | None = None


class Glyph(Struct, frozen=True):
    """A symbol at a place, with its survey state composed around it.

    Unturned, a wall symbol stands on a wall below it; ``turn_deg`` turns it clockwise. ``size_px`` is the side of the
    symbol's own box. ``also`` is the second circuit's role when the state is "in doubt".
    """

    layer: Layer
    symbol: str
    at_mm: PointMm
    turn_deg: float = 0.0
    state: State = ""
    role: str = "ink"
    size_px: float = 24.0
    also: str = ""


class Words(Struct, frozen=True):
    """A line of typed text, centred on its height, shown from a zoom (px per mm) on.

    With ``plate`` a pale strip of paper lies under the text, for labels that cross lines.
    """

    layer: Layer
    text: str
    at_mm: PointMm
    role: str = "ink"
    size_px: float = 13.0
    anchor: Anchor = "start"
    offset_px: tuple[float, float] = (0.0, 0.0)
    from_zoom: float = 0.0
    bold: bool = False
    plate: bool = False


Mark: TypeAlias = Picture | Area | Line | Glyph | Words


def page_key(asset: str, page: int) -> str:
    """Give what the pixels of a page of an asset go by."""
    return asset if page == 1 else f"{asset} page {page}"


def layer_rank(layer: str) -> int:
    """Give how far up a layer lies, 0 being the bottom one."""
    return _RANK[layer]


def mark_points(mark: Mark) -> tuple[PointMm, ...]:
    """Give the plan points that a mark stands on (none for a picture, whose size only its pixels tell)."""
    match mark:
        case Area():
            return tuple(point for ring in mark.rings for point in ring)
        case Line():
            return mark.pts
        case Glyph() | Words():
            return (mark.at_mm,)
        case Picture():
            return ()
