"""Cables on an elevation besides an option's routes: what the map has drawn there, what is drawn by hand, what strays.

In the space of the face, as ``elevation`` has it. A cable that is there is drawn in its circuit's colour and dashed by
how well it is known, with its id and code beside it; one drawn by hand is solid, with its length.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from circuitmap.drawing.elevation_marks import BY_HAND, ROUTE, STRAY
from circuitmap.drawing.marks import Anchor, Area, Ink, Line, Mark, PointMm, Words
from circuitmap.drawing.typed import width_px
from circuitmap.extension.by_hand import Stretch, bends_on, stretches_on
from circuitmap.extension.stray import Stray
from circuitmap.home.cable_paths import Spot, is_upright
from circuitmap.plan.elevation import Face, Stood
from circuitmap.quantities.show import show_length

_TEXT_PX: Final = 11.0
_ASIDE_PX: Final = 12.0
_LEAVES_PX: Final = 16.0
_HANDLE_PX: Final = 4.5
_CHOSEN_PX: Final = 6.5
_CHOSEN: Final = Ink("select/half", 10.0)


class Labels:
    """Finds a place for the words of several cables, so that none lie on each other."""

    def __init__(self, px_per_mm: float) -> None:
        self._px_per_mm = px_per_mm
        self._taken: list[tuple[float, float, float, float]] = []

    def avoid(self, face: Face, stood: Iterable[Stood], marks: Iterable[Mark]) -> None:
        """Keep words off the plates of accessories, and off other words that will be there."""
        px = self._px_per_mm
        for each in stood:
            if each.v is not None:
                half_w, half_h, y = each.wide_mm / 2, each.high_mm / 2, face.height_mm - each.v
                self._taken.append((each.u - half_w, y - half_h, each.u + half_w, y + half_h))
        for mark in marks:
            if isinstance(mark, Words):
                half_w, half_h = width_px(mark.text, mark.size_px) / 2 / px + 2 / px, mark.size_px * 0.65 / px
                x, y = mark.at_mm
                self._taken.append((x - half_w, y - half_h, x + half_w, y + half_h))

    def put(self, face: Face, a: PointMm, b: PointMm, says: str, role: str) -> Words:
        """Give words beside a stretch (in u and v): at its middle where that is free, else nearer to an end."""
        first: tuple[Words, tuple[float, float, float, float]] | None = None
        for share in (0.5, 0.28, 0.72, 0.14, 0.86):
            for side in (1, -1):
                made = self._beside(face, a, b, says, role, share, side)
                first = first or made
                if not any(_overlap(made[1], box) for box in self._taken):
                    self._taken.append(made[1])
                    return made[0]
        assert first is not None
        self._taken.append(first[1])
        return first[0]

    def _beside(
        self, face: Face, a: PointMm, b: PointMm, says: str, role: str, share: float, side: int
    ) -> tuple[Words, tuple[float, float, float, float]]:
        px = self._px_per_mm
        x, y = a[0] + share * (b[0] - a[0]), face.height_mm - a[1] - share * (b[1] - a[1])
        wide, high = 1.08 * width_px(says, _TEXT_PX) / px, _TEXT_PX * 1.3 / px
        if abs(b[0] - a[0]) >= abs(b[1] - a[1]):
            # Under the line where it runs close below the ceiling, else over it first.
            down = side if y * px < 2.5 * _ASIDE_PX else -side
            at, left = (x, y + down * _ASIDE_PX / px), x - wide / 2
            anchor: Anchor = "middle"
        else:
            at, left = (x + side * 8 / px, y), x + 8 / px if side > 0 else x - 8 / px - wide
            anchor = "start" if side > 0 else "end"
        box = (left, at[1] - high / 2, left + wide, at[1] + high / 2)
        return Words("label", says, at, role, _TEXT_PX, anchor, bold=True, plate=True), box


def cable_marks(
    face: Face, path: Sequence[Spot], ink: Ink, says: str, px_per_mm: float, *,
    stripe: Ink | None = None, labels: Labels | None = None,
) -> Iterator[Mark]:  # fmt: skip
    """Give a cable's stretches on a face, arrows where it goes on above or below, and its words beside the longest.

    Parameters
    ----------
    path
        As a run keeps it.
    ink, stripe
        Its line.
    says
        What stands beside it.
    labels
        Of all cables on the face, so that words keep apart.
    px_per_mm
        The scale that the words are placed for.
    """
    stretches = stretches_on(face, path)
    if not stretches:
        return
    for line in lines_of(face, stretches):
        yield Line("route", line, ink, stripe=stripe)
    yield from _leaving(face, path, stretches, ink, px_per_mm)
    if says:
        longest = max(stretches, key=lambda each: math.dist(each.a, each.b))
        role = f"{ink.role}/text" if ink.role.startswith("circuit:") else ink.role
        yield (labels or Labels(px_per_mm)).put(face, longest.a, longest.b, says, role)


def stray_words(strays: Iterable[Stray], face: Face, px_per_mm: float, labels: Labels | None = None) -> Iterator[Mark]:
    """Give the stretches of a face that stray, dashed and in red, each with its length and why in short."""
    labels = labels or Labels(px_per_mm)
    for stray in strays:
        if stray.face != face.id:
            continue
        (u0, _), (u1, _) = face.at(*stray.start[1:3]), face.at(*stray.end[1:3])
        a, b = (u0, face.height_mm - stray.start[3]), (u1, face.height_mm - stray.end[3])
        yield Line("run", (a, b), Ink("paper", STRAY.width_px + 2.6))
        yield Line("run", (a, b), STRAY)
        says = f"{show_length(stray.mm)} {stray.why.split(':')[0]}"
        yield labels.put(face, (u0, stray.start[3]), (u1, stray.end[3]), says, "break")


def chosen_marks(face: Face, path: Sequence[Spot], px_per_mm: float, bend: int = -1) -> Iterator[Mark]:
    """Give what shows that a cable is chosen: a broad line under it, and a handle on each of its bends."""
    for line in lines_of(face, stretches_on(face, path)):
        yield Line("area", line, _CHOSEN)
    for number, (u, v) in bends_on(face, path):
        is_chosen = number == bend
        reach = (_CHOSEN_PX if is_chosen else _HANDLE_PX) / px_per_mm
        x, y = u, face.height_mm - v
        ring = ((x - reach, y - reach), (x + reach, y - reach), (x + reach, y + reach), (x - reach, y + reach))
        yield Area("overlay", (ring,), "select" if is_chosen else "paper", Ink("select", 1.8))


def drawn_marks(face: Face, path: Sequence[Spot], ahead: PointMm | None, px_per_mm: float) -> Iterator[Mark]:
    """Give a cable that is being drawn corner by corner, with the next stretch to where the pointer is (u, v)."""
    yield from cable_marks(face, path, BY_HAND, "", px_per_mm)
    spots = [(face.at(x, y)[0], face.height_mm - z) for s, x, y, z in path if s == face.storey]
    for x, y in spots:
        reach = _HANDLE_PX / px_per_mm
        yield Area(
            "overlay",
            (((x - reach, y), (x, y - reach), (x + reach, y), (x, y + reach)),),
            "paper",
            Ink("select", 1.8),
        )
    if ahead is not None:
        to = (ahead[0], face.height_mm - ahead[1])
        if spots:
            yield Line("route", (spots[-1], to), Ink("select", 2.0, (6.0, 4.0)))
        reach = 7.0 / px_per_mm
        for a, b in (((-reach, 0.0), (reach, 0.0)), ((0.0, -reach), (0.0, reach))):
            yield Line("overlay", ((to[0] + a[0], to[1] + a[1]), (to[0] + b[0], to[1] + b[1])), Ink("select", 1.4))


def run_ink(role: str, dash: tuple[float, ...], *, is_planned: bool) -> Ink:
    """Give the line of a run: planned ones as routes are drawn, those that are there in their circuit's colour."""
    return ROUTE if is_planned else Ink(role, 2.4, dash)


def lines_of(face: Face, stretches: Iterable[Stretch]) -> Iterator[tuple[PointMm, ...]]:
    """Give stretches as lines in the space of the face, those that go on from one to the next as one."""
    line: list[PointMm] = []
    last = -2
    for number, (u_a, v_a), (u_b, v_b) in stretches:
        a, b = (u_a, face.height_mm - v_a), (u_b, face.height_mm - v_b)
        if number != last + 1 or not line:
            if line:
                yield tuple(line)
            line = [a]
        line.append(b)
        last = number
    if line:
        yield tuple(line)


def _leaving(
    face: Face, path: Sequence[Spot], stretches: Sequence[Stretch], ink: Ink, px_per_mm: float
) -> Iterator[Mark]:
    """Give arrows where a cable goes on above the ceiling or below the floor, rings where it goes into the wall."""
    px = 1 / px_per_mm
    numbers = {each.number for each in stretches}
    for number, a, b in stretches:
        for at, to in ((a, number - 1), (b, number + 1)):
            there = path[to] if to == number - 1 and to >= 0 else path[to + 1] if to + 1 < len(path) else None
            if there is None or to in numbers or (to == number - 1 and to < 0):
                continue
            here = path[number] if to == number - 1 else path[number + 1]
            x, y = at[0], face.height_mm - at[1]
            if is_upright(here, there):
                up = -1.0 if at[1] > face.height_mm / 2 else 1.0
                end = (0.0 if up < 0 else face.height_mm) + up * _LEAVES_PX * px
                yield Line("route", ((x, y), (x, end)), ink)
                tip = ((x - 5 * px, end - up * 6 * px), (x, end), (x + 5 * px, end - up * 6 * px))
                yield Line("route", tip, Ink(ink.role, 2.0))
            elif 1 < at[0] < face.length_mm - 1:
                yield Area("run", (_ring(x, y, 6 * px),), "paper", Ink(ink.role, 2.0))


def _overlap(one: tuple[float, float, float, float], other: tuple[float, float, float, float]) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _ring(x: float, y: float, radius: float) -> tuple[PointMm, ...]:
    return tuple(
        (x + radius * math.cos(math.tau * n / 16), y + radius * math.sin(math.tau * n / 16)) for n in range(16)
    )
