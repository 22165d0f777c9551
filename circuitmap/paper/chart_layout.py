"""Where symbols, names and codes go on a printed plan: nothing over anything else, or no plan at this scale.

Everything is in px of the printed page, 96 to the inch, from the upper left corner of a window of the plan. Symbols
that would lie on one another are moved apart, along their wall where they have one; a code goes beside its symbol, or
further off with a line to it; a room's name goes where the room is free, or a number stands for it. What finds no
place makes the layout fail, so that a caller takes a larger scale or a smaller window.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

from circuitmap.drawing.typed import one_line, width_px

Px = tuple[float, float]
Box = tuple[float, float, float, float]  # left, top, right, bottom

_CELL: Final = 32.0
_LINE: Final = 1.24  # height of a line of text over its size
_WIDER: Final = 1.08  # widths of texts are estimates, within a tenth
_ROUNDS: Final = 40
_FAR: Final = 3.0  # radii that a symbol may be moved from its place
_REACHES: Final = (0.0, 0.35, 0.8, 1.4, 2.2, 3.2, 4.4, 6.0, 8.0, 10.5, 13.0, 16.0)  # radii beyond the symbol
_EIGHTH: Final = tuple((math.cos(n * math.pi / 8), math.sin(n * math.pi / 8)) for n in range(16))
_NAME_SIZES: Final = (1.0, 0.86, 0.74)
_NAME_LINES: Final = 3
_STEPS: Final = 7


@dataclass(frozen=True, slots=True)
class Style:
    """Sizes in px: the radius of a symbol's disc, the letters of codes and of rooms' names, what is kept round it."""

    disc: float
    code: float
    name: float
    around: float


@dataclass(frozen=True, slots=True)
class Thing:
    """What stands on the plan: its id, its place, which way off the wall, how far it reaches, the code beside it."""

    record: str
    at: Px
    faces: Px | None
    radius: float
    code: str
    spot: Px  # where it is fixed to the wall, before anything was moved


@dataclass(frozen=True, slots=True)
class NamedRoom:
    """A room's name with the part of its outline in the window, and a spot well inside."""

    record: str
    name: str
    outline: tuple[Px, ...]
    middle: Px


@dataclass(frozen=True, slots=True)
class Label:
    """A text in its box; ``line`` leads to what it belongs to where it doesn't stand beside it."""

    record: str
    lines: tuple[str, ...]
    size: float
    box: Box
    line: tuple[Px, Px] | None = None


@dataclass(frozen=True, slots=True)
class Layout:
    """A window laid out; ``numbered`` are the rooms whose names stand in a list, by their numbers."""

    at: dict[str, Px]
    codes: tuple[Label, ...]
    names: tuple[Label, ...]
    numbered: dict[str, int] = field(default_factory=dict)


class CrowdedError(Exception):
    """There is no room for everything at this scale."""


class Taken:
    """Keeps which boxes are taken, in a coarse grid."""

    def __init__(self) -> None:
        self._cells: dict[tuple[int, int], list[Box]] = {}

    def take(self, box: Box) -> None:
        """Mark a box as taken."""
        for cell in _cells(box):
            self._cells.setdefault(cell, []).append(box)

    def take_round(self, middle: Px, radius: float) -> None:
        """Mark a disc as taken, as three boxes that leave its corners free."""
        for across, down in ((2.0, 1.0), (1.0, 2.0), (1.7, 1.7)):
            self.take(_about(middle, radius * across, radius * down))

    def is_free(self, box: Box) -> bool:
        """Whether nothing that is taken reaches into a box."""
        left, top, right, bottom = box
        for cell in _cells(box):
            for a, b, c, d in self._cells.get(cell, ()):
                if a < right and c > left and b < bottom and d > top:
                    return False
        return True


def lay_out(
    things: Sequence[Thing],
    rooms: Sequence[NamedRoom],
    size: Px,
    style: Style,
    first_number: int = 1,
    busy: Sequence[Box] = (),
) -> Layout:
    """Lay a window out.

    Parameters
    ----------
    things
        In the order in which they are to be served when places are scarce.
    size
        Width and height of the window.
    first_number
        The number of the first room whose name doesn't fit in.
    busy
        What names should not lie over if there is room elsewhere: stairs, baths, units.

    Raises
    ------
    CrowdedError
        When something finds no place.
    """
    _is_hopeless(things, size, style)
    at = _apart(things)
    taken = Taken()
    for thing in things:
        taken.take_round(at[thing.record], thing.radius)
    names, numbered = _name_rooms(rooms, taken, (size, style), first_number, busy)
    crowd = {t.record: sum(1 for o in things if _near(at[t.record], at[o.record], 5 * style.disc)) for t in things}
    order = sorted((t for t in things if t.code), key=lambda t: -crowd[t.record])
    codes = [_code(thing, at[thing.record], taken, size, style) for thing in order]
    return Layout(at, tuple(codes), tuple(names), numbered)


def text_size(lines: Sequence[str], size: float, *, bold: bool = False) -> Px:
    """Give the width and height of the box that lines are surely within."""
    wide = max((width_px(line, size) for line in lines), default=0.0) * _WIDER * (1.06 if bold else 1.0)
    return wide + size * 0.5, len(lines) * size * _LINE


def _is_hopeless(things: Sequence[Thing], size: Px, style: Style) -> None:
    needed = 0.0
    for thing in things:
        wide, high = text_size((thing.code,), style.code, bold=True) if thing.code else (0.0, 0.0)
        needed += 4 * thing.radius**2 + wide * high
    if needed > 0.45 * size[0] * size[1]:
        raise CrowdedError


def _apart(things: Sequence[Thing]) -> dict[str, Px]:
    """Move symbols apart that would lie on one another; along their wall where both have the same one behind them."""
    places = [list(thing.at) for thing in things]
    order = list(range(len(things)))
    reach = 2 * max((thing.radius for thing in things), default=0.0)
    for _ in range(_ROUNDS):
        order.sort(key=lambda n: (places[n][0], n))
        moved = False
        for k, n in enumerate(order):
            for m in order[k + 1 :]:
                if places[m][0] - places[n][0] > reach * 1.05:
                    break
                least = (things[n].radius + things[m].radius) * 1.04
                dx, dy = places[m][0] - places[n][0], places[m][1] - places[n][1]
                gap = math.hypot(dx, dy)
                if gap >= least - 0.05:
                    continue
                ux, uy = _pushed(things[n], things[m], dx, dy, gap)
                push = (least - gap) / 2 + 0.05
                places[n][0] -= ux * push
                places[n][1] -= uy * push
                places[m][0] += ux * push
                places[m][1] += uy * push
                moved = True
        if not moved:
            break
    else:
        raise CrowdedError
    found = {thing.record: (places[n][0], places[n][1]) for n, thing in enumerate(things)}
    if any(not _near(found[thing.record], thing.at, _FAR * thing.radius) for thing in things):
        raise CrowdedError
    return found


def _pushed(one: Thing, other: Thing, dx: float, dy: float, gap: float) -> Px:
    """Give the direction in which two symbols part, from the first to the second."""
    if one.faces is not None and other.faces is not None:
        fx, fy = one.faces
        if abs(fx * other.faces[0] + fy * other.faces[1]) > 0.9:
            ax, ay = -fy, fx
            along = dx * ax + dy * ay
            if abs(along) < 1e-6:
                along = 1.0 if one.record < other.record else -1.0
            sign = 1.0 if along > 0 else -1.0
            return ax * sign, ay * sign
    if gap < 1e-6:
        angle = 2.4 * (hash_of(one.record) % 7)
        return math.cos(angle), math.sin(angle)
    return dx / gap, dy / gap


def hash_of(text: str) -> int:
    """Give a number for a text, the same in every process."""
    return sum((n + 1) * ord(letter) for n, letter in enumerate(text))


def _name_rooms(
    rooms: Sequence[NamedRoom], taken: Taken, how: tuple[Px, Style], first: int, busy: Sequence[Box]
) -> tuple[list[Label], dict[str, int]]:
    """Put names into rooms, the largest rooms last: small ones have fewer places."""
    size, style = how
    ordered = sorted(rooms, key=lambda room: (_spread(room), room.record))
    left: list[NamedRoom] = []
    found: list[Label] = []
    for room in ordered:
        label = _named(room, taken, size, style, busy)
        if label is None:
            left.append(room)
        else:
            taken.take(label.box)
            found.append(label)
    numbered: dict[str, int] = {}
    for number, room in enumerate(sorted(left, key=lambda each: (each.middle[1], each.middle[0])), first):
        numbered[room.record] = number
        words = f"({number})"
        label = _placed_in(room, (words,), style.name * 0.86, taken, size, whole=False)
        if label is None:
            raise CrowdedError
        taken.take(label.box)
        found.append(label)
    return found, numbered


def _named(room: NamedRoom, taken: Taken, size: Px, style: Style, busy: Sequence[Box]) -> Label | None:
    name = one_line(room.name, 200)
    here = [box for box in busy if _meets(box, room)]
    for share in _NAME_SIZES:
        for avoided in (here, ()) if here else ((),):
            for count in range(1, _NAME_LINES + 1):
                lines = _in_lines(name, count)
                if len(lines) != count:
                    break
                label = _placed_in(room, lines, style.name * share, taken, size, whole=True, avoided=avoided)
                if label is not None:
                    return label
    return None


def _meets(box: Box, room: NamedRoom) -> bool:
    xs, ys = [x for x, _ in room.outline], [y for _, y in room.outline]
    return box[0] < max(xs) and box[2] > min(xs) and box[1] < max(ys) and box[3] > min(ys)


def _in_lines(name: str, count: int) -> tuple[str, ...]:
    """Break a name at its spaces into so many lines, as even as can be."""
    words = name.split()
    if count == 1 or len(words) < count:
        return (name,) if count == 1 else ()
    aim = len(name) / count
    lines: list[str] = [words[0]]
    for n, word in enumerate(words[1:], 1):
        must = len(words) - n <= count - len(lines)
        if len(lines) < count and (must or len(lines[-1]) + len(word) / 2 > aim):
            lines.append(word)
        else:
            lines[-1] += f" {word}"
    return tuple(lines)


def _placed_in(
    room: NamedRoom,
    lines: tuple[str, ...],
    size: float,
    taken: Taken,
    window: Px,
    *,
    whole: bool,
    avoided: Sequence[Box] = (),
) -> Label | None:
    """Find a place in a room for lines, the nearest to its middle; the whole box inside, or its middle alone."""
    wide, high = text_size(lines, size)
    xs, ys = [x for x, _ in room.outline], [y for _, y in room.outline]
    left, top, right, bottom = min(xs), min(ys), max(xs), max(ys)
    if whole and (wide > right - left or high > bottom - top):
        return None
    spots = [room.middle]
    spots += [
        (left + (right - left) * (i + 0.5) / _STEPS, top + (bottom - top) * (j + 0.5) / _STEPS)
        for i in range(_STEPS)
        for j in range(_STEPS)
    ]
    mx, my = room.middle
    for spot in sorted(spots, key=lambda s: (math.hypot(s[0] - mx, s[1] - my), s)):
        box = _about(spot, wide, high)
        if not _inside(box, window) or not taken.is_free(box):
            continue
        a, b, c, d = box
        if any(left_ < c and right_ > a and top_ < d and low > b for left_, top_, right_, low in avoided):
            continue
        asked = [spot, (a, b), (c, b), (a, d), (c, d), (spot[0], b), (spot[0], d)] if whole else [spot]
        if all(_holds(room.outline, x, y) for x, y in asked):
            return Label(room.record, lines, size, box)
    return None


def _code(thing: Thing, at: Px, taken: Taken, size: Px, style: Style) -> Label:
    wide, high = text_size((thing.code,), style.code, bold=True)
    radius = thing.radius
    for reach in _REACHES:
        best: tuple[float, Box, Px] | None = None
        for n, (ux, uy) in enumerate(_EIGHTH):
            out = radius + 1.2 + reach * style.disc
            # The box touches a circle of this radius from outside, whichever way it lies.
            x = at[0] + ux * out + _side(ux) * wide / 2
            y = at[1] + uy * out + _side(uy) * high / 2
            box = _about((x, y), wide, high)
            if not _inside(box, size) or not taken.is_free(box):
                continue
            near = _nearest(box, at)
            if reach and not _is_clear(at, near, radius, taken):
                continue
            cost = _turned_from(thing.faces, ux, uy) + (0.1 if n % 4 else 0.0)
            if best is None or cost < best[0]:
                best = (cost, box, near)
        if best is not None:
            _, box, near = best
            taken.take(box)
            line = None
            if reach > 0.5:
                gap = math.hypot(near[0] - at[0], near[1] - at[1])
                share = radius / gap if gap > radius else 1.0
                start = at[0] + (near[0] - at[0]) * share, at[1] + (near[1] - at[1]) * share
                line = (start, near)
                for spot in _along(start, near):
                    taken.take(_about(spot, 1.0, 1.0))
            return Label(thing.record, (thing.code,), style.code, box, line)
    raise CrowdedError


def _side(u: float) -> float:
    """Give -1, 0 or 1, gliding between them, so that a box beside, above or aslant touches and doesn't overlap."""
    return max(-1.0, min(1.0, u * 1.45))


def _turned_from(faces: Px | None, ux: float, uy: float) -> float:
    """Give what it costs to stand there: in front first, beside, behind the wall last."""
    if faces is None:
        return 0.4 - 0.4 * ux
    return 1.0 - (ux * faces[0] + uy * faces[1])


def _is_clear(at: Px, near: Px, radius: float, taken: Taken) -> bool:
    gap = math.hypot(near[0] - at[0], near[1] - at[1])
    if gap <= radius * 1.5:
        return True
    share = radius * 1.45 / gap
    start = at[0] + (near[0] - at[0]) * share, at[1] + (near[1] - at[1]) * share
    return all(taken.is_free(_about(spot, 1.6, 1.6)) for spot in _along(start, near))


def _along(a: Px, b: Px, step: float = 3.0) -> Iterator[Px]:
    count = max(1, int(math.hypot(b[0] - a[0], b[1] - a[1]) / step))
    for n in range(count):
        share = n / count
        yield a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share


def _nearest(box: Box, at: Px) -> Px:
    return min(max(at[0], box[0]), box[2]), min(max(at[1], box[1]), box[3])


def _spread(room: NamedRoom) -> float:
    xs, ys = [x for x, _ in room.outline], [y for _, y in room.outline]
    return (max(xs) - min(xs)) * (max(ys) - min(ys))


def _holds(outline: Sequence[Px], x: float, y: float) -> bool:
    """Whether a spot is inside an outline: a ray to the right crosses an odd number of its sides."""
    inside = False
    bx, by = outline[-1]
    for ax, ay in outline:
        if (ay > y) != (by > y) and x < ax + (bx - ax) * (y - ay) / (by - ay):
            inside = not inside
        bx, by = ax, ay
    return inside


def _near(one: Px, other: Px, reach: float) -> bool:
    return abs(one[0] - other[0]) <= reach and abs(one[1] - other[1]) <= reach


def _about(middle: Px, wide: float, high: float) -> Box:
    return middle[0] - wide / 2, middle[1] - high / 2, middle[0] + wide / 2, middle[1] + high / 2


def _inside(box: Box, size: Px) -> bool:
    return box[0] >= 0 and box[1] >= 0 and box[2] <= size[0] and box[3] <= size[1]


def _cells(box: Box) -> Iterable[tuple[int, int]]:
    return (
        (column, row)
        for column in range(int(box[0] // _CELL), int(box[2] // _CELL) + 1)
        for row in range(int(box[1] // _CELL), int(box[3] // _CELL) + 1)
    )
