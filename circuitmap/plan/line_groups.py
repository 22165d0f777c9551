"""The line work of a sheet in groups that can be chosen: by layer, or by what the lines are drawn with."""

import colorsys
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from circuitmap.pictures import Linework
from circuitmap.pictures.info import Stroke

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_MOST: Final = 200
_NO_LAYER: Final = "Not on a layer"
_GREY: Final = 0.18
_DARK, _PALE = 0.25, 0.85
_HUES: Final = (
    (0.04, "red"), (0.11, "orange"), (0.19, "yellow"), (0.45, "green"), (0.54, "turquoise"), (0.71, "blue"),
    (0.82, "violet"), (0.94, "pink"), (1.01, "red"),
)  # fmt: skip
# What layers that hold walls are called, in the languages that plans come in here.
_WALLS: Final = ("wall",)


@dataclass(frozen=True)
class LineGroup:
    """Lines that can be chosen together: what they are called, and their numbers in the line work."""

    words: str
    which: "NDArray[np.int64]"

    @property
    def count(self) -> int:
        """How many lines it has."""
        return len(self.which)


def groups_of(drawing: Linework) -> tuple[LineGroup, ...]:
    """Give the lines of a drawing by layer where it has several, else by stroke, else as one group; largest first."""
    import numpy as np

    if not len(drawing.segments):
        return ()
    if len(drawing.layers) > 1:
        names, of = [layer or _NO_LAYER for layer in drawing.layers], drawing.layer_of
    elif len(drawing.strokes) > 1 and drawing.stroke_of is not None:
        names, of = [stroke_words(stroke) for stroke in drawing.strokes], drawing.stroke_of
    else:
        return (LineGroup("All lines", np.arange(len(drawing.segments))),)
    # Strokes that differ by less than their words say are one group.
    numbers = {name: n for n, name in enumerate(dict.fromkeys(names))}
    group = np.array([numbers[name] for name in names])[of]
    order = np.argsort(group, kind="stable")
    parts = np.split(order, np.searchsorted(group[order], np.arange(1, len(numbers))))
    found = [LineGroup(name, part) for name, part in zip(numbers, parts, strict=True) if len(part)]
    found.sort(key=lambda each: (-each.count, each.words))
    if len(found) > _MOST:
        rest = np.sort(np.concatenate([each.which for each in found[_MOST - 1 :]]))
        found = [*found[: _MOST - 1], LineGroup("All others", rest)]
    return tuple(found)


def likely_walls(groups: tuple[LineGroup, ...]) -> tuple[LineGroup, ...]:
    """Give the groups that are called after walls; all there are where none is."""
    named = tuple(each for each in groups if any(word in each.words.casefold() for word in _WALLS))
    return named or groups


def stroke_words(stroke: Stroke) -> str:
    """Say what lines are drawn with."""
    colour = colour_words(stroke.colour)
    if stroke.is_area:
        return f"Edges of {colour} areas"
    wide = f"{stroke.width_px:.1f} px" if stroke.width_px >= 0.05 else "as thin as can be"
    return f"{colour[:1].upper()}{colour[1:]} lines, {wide}"


def colour_words(colour: str) -> str:
    """Say a colour: #rrggbb in a word, another writing as it is."""
    if len(colour) != 7 or colour[0] != "#":
        return colour
    try:
        red, green, blue = (int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5))
    except ValueError:
        return colour
    hue, light, _ = colorsys.rgb_to_hls(red, green, blue)
    if max(red, green, blue) - min(red, green, blue) < _GREY:
        if light < _DARK:
            return "black"
        return "white" if light > 0.97 else "pale grey" if light > _PALE else "grey"
    name = next(word for limit, word in _HUES if hue < limit)
    return f"dark {name}" if light < _DARK else f"pale {name}" if light > _PALE else name
