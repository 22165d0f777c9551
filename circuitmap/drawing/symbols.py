"""Every symbol by name: one source for the canvas, the SVG and the legend.

A name is a point kind (``socket``), a variant (``switch, two way``), a part of the supply (``board``), a suggested code
(``C2``), or any of these followed by ``×n`` for n gangs.
"""

from functools import cache
from typing import Final

from msgspec import Struct

from circuitmap.drawing.letters import letters
from circuitmap.drawing.outlines import (
    ACCESSORIES,
    CODES,
    DETECTION,
    EQUIPMENT,
    LIGHTING,
    PROMISES,
    SUPPLY,
    Outline,
    Stand,
)
from circuitmap.drawing.paths import Path, parse
from circuitmap.errors import OurError
from circuitmap.words import PointKind, Switching

Box = tuple[float, float, float, float]

STROKE_UNITS: Final = 7.0  # of a box of 100: 1.7 px in a symbol of 24 px
_BOXES: Final[dict[Stand, Box]] = {"wall": (-50.0, -100.0, 100.0, 100.0), "centred": (-50.0, -50.0, 100.0, 100.0)}
_OUTLINES: Final[dict[str, Outline]] = {
    **ACCESSORIES, **LIGHTING, **EQUIPMENT, **DETECTION, **SUPPLY, **PROMISES, **CODES,
}  # fmt: skip
NAMES: Final[tuple[str, ...]] = tuple(_OUTLINES)
_MOST_GANGS: Final = 99


class Symbol(Struct, frozen=True):
    """A symbol in units of which 100 are its size: lines, solid parts, lines knocked out of those, and a backing.

    ``box`` is left, top, width, height; (0, 0) is the place of the point, on the wall for a wall symbol.
    The backing, where there is one, is filled with paper first.
    """

    name: str
    title: str
    strokes: Path
    fills: Path
    cuts: Path
    backing: Path
    box: Box
    on_wall: bool

    @property
    def centre(self) -> tuple[float, float]:
        """Give the middle of the box, round which a survey state is drawn."""
        left, top, width, height = self.box
        return left + width / 2, top + height / 2


@cache
def symbol(name: str) -> Symbol:
    """Give a symbol by name; ``NAME ×n`` adds the number of gangs, and an oblique stroke, where no drawing exists.

    **Source:** IEC 60617, "one arc with an oblique stroke across the stem and figure n"; geometry from memory.

    Raises
    ------
    OurError
        For a name that has no outline.
    """
    base, _, figure = name.partition(" ×")
    if name in _OUTLINES:
        return _drawn(name, _OUTLINES[name])
    if base not in _OUTLINES or not (figure.isascii() and figure.isdecimal() and 1 < int(figure) <= _MOST_GANGS):
        raise OurError(f"There is no symbol {name!r}.")
    one = _drawn(name, _OUTLINES[base])
    bottom = one.box[1] + one.box[3]
    across = parse(f"M-11 {bottom - 5} L11 {bottom - 21}") if base in _STEMMED else ()
    x, y = _FIGURE_AT.get(base, (-46.0, -20.0) if one.on_wall else (-56.0, 40.0))
    figures = letters(figure, x if len(figure) == 1 else x - 4, y, 26)
    return Symbol(
        name=name,
        title=f"{one.title}, {figure} gang",
        strokes=one.strokes + across + figures,
        fills=one.fills,
        cuts=one.cuts,
        backing=one.backing,
        box=one.box,
        on_wall=one.on_wall,
    )


_STEMMED: Final[frozenset[str]] = frozenset(
    {"socket", "switched socket", "usb socket", "outdoor socket", "shaver unit"}
)

# Where the figure stands clear of the lines, when not at the foot on the left.
_FIGURE_AT: Final[dict[str, tuple[float, float]]] = {
    "switch": (-32.0, -22.0),
    "dimmer": (-32.0, -22.0),
    "double-pole switch": (-32.0, -22.0),
    "switch, two way": (-32.0, -78.0),
    "switch, intermediate": (38.0, -50.0),
    "switch, cord": (-40.0, 0.0),
    "grid switch": (-62.0, -31.0),
    "cooker control unit": (-64.0, -31.0),
}


def symbol_name(
    kind: PointKind, *, gangs: int = 1, switching: Switching = "", on_wall: bool = False, switched: bool = False
) -> str:
    """Give the name of the symbol for a point as recorded.

    Parameters
    ----------
    kind, gangs, switching
        As the point has them; gangs beyond 99 are drawn as 99.
    on_wall
        Whether a light stands on a wall rather than under a ceiling.
    switched
        Whether the outlet or fused connection unit has its own switch.
    """
    name: str = kind
    if kind == "switch" and f"switch, {switching}" in _OUTLINES:
        name = f"switch, {switching}"
    elif kind == "switch" and switching == "sensor":
        name = "PIR switch"
    elif kind == "light" and on_wall:
        name = "light on wall"
    elif switched and f"switched {kind}" in _OUTLINES:
        name = f"switched {kind}"
    return f"{name} ×{min(gangs, _MOST_GANGS)}" if gangs > 1 else name


def _drawn(name: str, row: Outline) -> Symbol:
    return Symbol(
        name=name,
        title=row.title,
        strokes=parse(row.strokes),
        fills=parse(row.fills),
        cuts=parse(row.cuts),
        backing=parse(row.backing),
        box=_BOXES[row.stand],
        on_wall=row.stand == "wall",
    )
