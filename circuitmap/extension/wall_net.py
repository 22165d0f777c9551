"""Where a cable may run on one face of a wall, as lines that cross, and how one gets from face to face.

Each spot has two nodes, for a cable that runs upright there and for one that runs level; from one to the other is a
bend. Lines lie in the middle of the zones, so that a route is marked out from the middle of an accessory.
"""

import bisect
import itertools
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Final

from msgspec import Struct

from circuitmap.extension.costs import Item, is_chased
from circuitmap.extension.net import Edge, Key
from circuitmap.plan.elevation import Across, Behind, Face, Hidden, Stood
from circuitmap.plan.permitted import Permitted, ZoneFigures

UPRIGHT: Final = 0
LEVEL: Final = 1

# Nothing can be run behind these, or nobody should: flues, tubs, a radiator's heat, the flight itself (our own choice).
CLOSED: Final = frozenset(("bath", "tray", "chimney", "radiator", "stair"))
# Behind units and appliances each of this width is passed (our own estimate).
_UNIT_MM: Final = 600.0
_NEAR_MM: Final = 5.0
_STRIPS: Final = ("below the ceiling", "beside a corner")
_TOUCHES_MM: Final = 0.5


class Rect(Struct, frozen=True):
    """A part of a face, in u and v."""

    u0: float
    v0: float
    u1: float
    v1: float

    def crosses(self, upright: bool, at: float, low: float, high: float) -> bool:
        """Whether a line runs through its inside."""
        if upright:
            return self.u0 < at < self.u1 and low < self.v1 and high > self.v0
        return self.v0 < at < self.v1 and low < self.u1 and high > self.u0

    def holds(self, u: float, v: float) -> bool:
        """Whether a spot is in it or on its edge."""
        return self.u0 <= u <= self.u1 and self.v0 <= v <= self.v1


class Lines(Struct, frozen=True):
    """The lines of one face: upright ones by how far along, level ones by their height; in order.

    ``own_us`` and ``own_vs`` are those in the middle of its own zones. The others come from what is beside it or
    above it, and only lead on from the strips under the ceiling and in the corners.
    """

    us: tuple[float, ...]
    vs: tuple[float, ...]
    own_us: frozenset[float]
    own_vs: frozenset[float]


class Timber(Struct, frozen=True):
    """What a stud wall is taken to have inside."""

    stud_spacing_mm: float
    noggin_mm: float


def key_of(piece: str, p: float, q: float, layer: int) -> Key:
    """Give the key of a node: its piece and where on it, to a tenth of a millimetre."""
    return piece, round(p, 1), round(q, 1), layer


def own_us(face: Face, zones: Permitted, stood: Iterable[Stood], figures: ZoneFigures) -> set[float]:
    """Give the upright lines that a face has by itself: beside its corners and through its accessories."""
    found = {each.u for each in stood}
    found |= {(s.u0 + s.u1) / 2 for s in zones.strips if s.why == "up and down" and s.through}
    if face.room is not None:
        half = figures.beside_corner_mm / 2
        found |= {half, face.length_mm - half} if face.length_mm > 2 * half else {face.length_mm / 2}
    return {round(u, 1) for u in found}


def own_vs(face: Face, zones: Permitted, figures: ZoneFigures) -> set[float]:
    """Give the level lines that a face has by itself: under the ceiling and through its accessories."""
    height = face.height_mm
    found = {height - figures.below_ceiling_mm / 2}
    # Where a door or window reaches into the strip under the ceiling, what is left above it.
    for hole in face.holes:
        if height - figures.below_ceiling_mm / 2 < hole.head_mm < height:
            found.add((hole.head_mm + height) / 2)
    for strip in zones.strips:
        if strip.why == "sideways":
            found.add((strip.v0 + strip.v1) / 2)
    return {round(v, 1) for v in found}


def matching(values: Sequence[float], wanted: float) -> float | None:
    """Give the value that is as good as the one wanted, None when there is none."""
    n = bisect.bisect_left(values, wanted)
    near = [each for each in values[max(0, n - 1) : n + 1] if abs(each - wanted) <= _NEAR_MM]
    return min(near, key=lambda each: abs(each - wanted)) if near else None


def face_edges(
    face: Face, zones: Permitted, lines: Lines, hidden: Sequence[Hidden], closed: Sequence[Rect], timber: Timber,
    where: str,
) -> Iterator[Edge]:  # fmt: skip
    """Give the stretches of one face, within its zones and clear of its openings and of what is closed.

    Parameters
    ----------
    face, zones, lines
        The face, where a cable may run on it, and the lines that it may take there.
    hidden
        What stands before it, to be worked behind.
    closed
        Parts of it where nothing may be run.
    timber
        For stud walls.
    where
        What the face is called.
    """
    length, height = round(face.length_mm, 1), round(face.height_mm, 1)
    strips = Permitted(face.id, tuple(s for s in zones.strips if s.why in _STRIPS), zones.holes)
    under_ceiling = Permitted(face.id, tuple(s for s in strips.strips if s.why == "below the ceiling"), zones.holes)
    bends: dict[tuple[float, float], set[int]] = {}
    for upright, ats, others, end in ((True, lines.us, lines.vs, height), (False, lines.vs, lines.us, length)):
        layer = UPRIGHT if upright else LEVEL
        own = lines.own_us if upright else lines.own_vs
        for at in ats:
            within = zones if at in own else under_ceiling if upright else strips
            for low, high in within.spans(upright, at):
                stops = sorted(
                    {
                        *(each for each in others if low - _TOUCHES_MM <= each <= high + _TOUCHES_MM),
                        *(each for each in (0.0, end) if low - _TOUCHES_MM <= each <= high + _TOUCHES_MM),
                    }
                )
                for a, b in itertools.pairwise(stops):
                    if any(rect.crosses(upright, at, a, b) for rect in closed):
                        continue
                    items = (*through(face, upright, at, a, b, timber), *worked_behind(hidden, upright, at, a, b))
                    spots = ((at, a), (at, b)) if upright else ((a, at), (b, at))
                    for spot in spots:
                        bends.setdefault(spot, set()).add(layer)
                    yield Edge((face.id, *spots[0], layer), (face.id, *spots[1], layer), b - a, items, where)
    bend = (Item("bend", "", 1.0),)
    for (u, v), layers in bends.items():
        if len(layers) == 2:
            yield Edge((face.id, u, v, UPRIGHT), (face.id, u, v, LEVEL), 0.0, bend, where)


def begun(behind: Behind, where: str) -> tuple[Item, ...]:
    """Give what it takes to begin on a wall, half of it: the other half is when one leaves it, or ends there."""
    return (Item("set up", "", 0.5, where),) if is_chased(behind.build) else ()


def corner_edges(
    face: Face, following: Face, lines: Lines, next_lines: Lines, where: Mapping[str, str]
) -> Iterator[Edge]:
    """Give the ways round a corner, from a face to the one that follows to its right."""
    for v in lines.vs:
        other = matching(next_lines.vs, v)
        if other is not None:
            items = (
                Item("corner", "", 1.0),
                *begun(face.behind[-1], where[face.id]),
                *begun(following.behind[0], where[following.id]),
            )
            yield Edge(
                key_of(face.id, face.length_mm, v, LEVEL), key_of(following.id, 0.0, other, LEVEL), abs(other - v),
                items, where[following.id],
            )  # fmt: skip


def through_edges(
    face: Face, other: Face, way: Across, lines: Lines, other_lines: Lines, nodes: Collection[Key],
    where: Mapping[str, str],
) -> Iterator[Edge]:  # fmt: skip
    """Give the ways straight through a wall, at spots that are permitted on both of its sides."""
    for u in lines.us:
        there = matching(other_lines.us, way.offset_mm - u)
        if there is None or not way.from_mm <= u <= way.to_mm:
            continue
        for v in lines.vs:
            level = matching(other_lines.vs, v)
            if level is None:
                continue
            ends = [
                next((k for k in (key_of(f, a, b, UPRIGHT), key_of(f, a, b, LEVEL)) if k in nodes), None)
                for f, a, b in ((face.id, u, v), (other.id, there, level))
            ]
            if ends[0] is not None and ends[1] is not None:
                backed = face.backed(u)
                items = (
                    passed(backed), *begun(backed, where[face.id]), *begun(other.backed(there), where[other.id]),
                )  # fmt: skip
                yield Edge(ends[0], ends[1], way.thickness_mm, items, where[face.id])


def passed(behind: Behind) -> Item:
    """Give the hole through a wall."""
    return Item("wall passed", behind.build, 1.0)


def through(face: Face, upright: bool, at: float, low: float, high: float, timber: Timber) -> Iterator[Item]:
    """Give what a stretch takes by what the wall is built of, and what stands in its way inside."""
    for behind in face.behind:
        if upright:
            if not (behind.from_mm <= at <= behind.to_mm):
                continue
            start, end = low, high
        else:
            start, end = max(low, behind.from_mm), min(high, behind.to_mm)
        if end <= start:
            continue
        metres = (end - start) / 1000
        if is_chased(behind.build):
            yield Item("chase", behind.build, metres)
        else:
            yield Item("stud", behind.build, metres)
            if upright and start < timber.noggin_mm <= end:
                yield Item("noggin", behind.build, 1.0)
            crossed = end // timber.stud_spacing_mm - start // timber.stud_spacing_mm
            if not upright and crossed:
                yield Item("stud crossed", behind.build, crossed)
        if upright:
            return


def worked_behind(hidden: Iterable[Hidden], upright: bool, at: float, low: float, high: float) -> Iterator[Item]:
    """Give what stands before a stretch and has to be worked behind, in units of furniture."""
    for each in hidden:
        if each.kind in CLOSED:
            continue
        if upright:
            over = min(high, each.top_mm) - low if each.from_mm < at < each.to_mm else 0.0
        else:
            over = min(high, each.to_mm) - max(low, each.from_mm) if at < each.top_mm else 0.0
        if over > 0:
            yield Item("behind furniture", "", over / _UNIT_MM)
