"""Where a cable may run above a ceiling: along joists freely, across them by holes where they may be drilled; lofts.

A region is the ceiling of one room, in its own measure: s along the joists, t across them. Joists run the short way of
a room unless it is told otherwise (common practice, no source).
"""

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

from circuitmap.extension.costs import BOARDS_A_METRE, Item
from circuitmap.extension.joists import JoistRules
from circuitmap.extension.net import Edge, Key

if TYPE_CHECKING:
    import numpy as np
    import shapely
    from numpy.typing import NDArray

ALONG: Final = 0
ACROSS: Final = 1

# The first joist stands so far off the wall that it runs along (common practice, no source).
_FIRST_JOIST_MM: Final = 50.0
# A hole for one or two flat cables (common practice, no source).
HOLE_MM: Final = 20.0
_LOOSE_MM: Final = 1.5
# Paths are in tenths, places in whole millimetres.
_ROUNDED_MM: Final = 0.5
# Within the hole zones: their middle, and near the support, where a crossing is a shorter way round.
_IN_ZONE: Final = (0.1, 0.5)
_OVER_CEILING: Final = (0.02, 0.26, 0.5, 0.74, 0.98)


class Region(NamedTuple):
    """The void above one room's ceiling (or under its floor): its area, the way of its joists, its height."""

    id: str
    storey: str
    area: "shapely.Geometry"
    way_x: float
    way_y: float
    z_mm: float
    kind: Literal["floor", "loft"]
    spacing_mm: float
    depth_mm: float
    where: str

    def inner(self, x: float, y: float) -> tuple[float, float]:
        """Give a spot of the plan in the region's own measure."""
        return x * self.way_x + y * self.way_y, -x * self.way_y + y * self.way_x

    def outer(self, s: float, t: float) -> tuple[float, float]:
        """Give a spot of the region's own measure on the plan."""
        return s * self.way_x - t * self.way_y, s * self.way_y + t * self.way_x


class Entry(NamedTuple):
    """A spot at which a region is entered; ``leads`` where a cable may go straight on across the joists from there."""

    s: float
    t: float
    leads: bool = False


def short_way(area: "shapely.Geometry") -> tuple[float, float]:
    """Give the direction of the shorter side of the rectangle about an area, of length 1."""
    import shapely

    corners = list(shapely.get_coordinates(shapely.minimum_rotated_rectangle(area)).tolist())
    if len(corners) < 4:
        return 1.0, 0.0
    sides = [(b[0] - a[0], b[1] - a[1]) for a, b in itertools.pairwise(corners[:3])]
    x, y = min(sides, key=lambda side: math.hypot(*side))
    length = math.hypot(x, y) or 1.0
    x, y = x / length, y / length
    return (x, y) if (x, y) > (0.0, 0.0) else (-x, -y)


def area_inside(region: Region) -> "shapely.Geometry":
    """Give a region's area in its own measure."""
    import shapely

    turn = [region.way_x, region.way_y, -region.way_y, region.way_x, 0.0, 0.0]
    return shapely.transform(
        region.area,
        lambda xy: _turned(xy, turn),
    )


def crossing_lines(region: Region, rules: JoistRules) -> tuple[float, ...]:
    """Give the lines across the joists that a cable may take, by s: where each stretch of floor may be drilled."""
    area = area_inside(region)
    found: set[float] = set()
    for spans in _chords(area, _slab_middles(area)):
        for low, high in spans:
            if region.kind == "loft":
                found |= {round(low + share * (high - low), 1) for share in _OVER_CEILING}
                continue
            for a, b in rules.hole_zones(high - low):
                near, far = (a, b) if a < (high - low) / 2 else (b, a)
                found |= {round(low + near + share * (far - near), 1) for share in _IN_ZONE}
    return tuple(sorted(found))


def region_edges(region: Region, entries: Iterable[Entry], lines: Sequence[float], rules: JoistRules) -> Iterator[Edge]:
    """Give the stretches of one region between what comes into it.

    Parameters
    ----------
    region
        The void.
    entries
        Where it is entered.
    lines
        What ``crossing_lines`` gives.
    rules
        Where joists may be drilled.
    """
    # All of these are whole tenths of a millimetre, as the keys of nodes are.
    listed = list(entries)
    at: dict[float, set[float]] = {}
    for entry in listed:
        at.setdefault(round(entry.t, 1), set()).add(round(entry.s, 1))
    crossing = set(lines)
    crossing |= {round(entry.s, 1) for entry in listed if entry.leads}
    ts, area = sorted(at), area_inside(region)
    along = [(a, b, t) for t in ts for a, b in itertools.pairwise(sorted(at[t] | crossing))]
    across = [(c, a, b) for a, b in itertools.pairwise(ts) for c in sorted(crossing)]
    inside = _inside(area, [((a, t), (b, t)) for a, b, t in along] + [((c, a), (c, b)) for c, a, b in across])
    run = "loft" if region.kind == "loft" else "void"
    nodes: dict[tuple[float, float], set[int]] = {}
    for (a, b, t), clear in zip(along, inside[: len(along)].tolist(), strict=True):
        if clear:
            nodes.setdefault((a, t), set()).add(ALONG)
            nodes.setdefault((b, t), set()).add(ALONG)
            yield Edge(
                (region.id, a, t, ALONG), (region.id, b, t, ALONG), b - a,
                (Item(run, "", (b - a) / 1000),), region.where,
            )  # fmt: skip
    for edge in _crossings(region, area, across, inside[len(along) :], rules):
        nodes.setdefault(edge.a[1:3], set()).add(ACROSS)
        nodes.setdefault(edge.b[1:3], set()).add(ACROSS)
        yield edge
    bend = (Item("bend", "", 1.0),) + ((Item("board", "", 1.0),) if region.kind == "floor" else ())
    for (s, t), layers in nodes.items():
        if len(layers) == 2:
            yield Edge((region.id, s, t, ALONG), (region.id, s, t, ACROSS), 0.0, bend, region.where)


class Crossed(NamedTuple):
    """A joist under or over a line: where it is met, and the stretch between its supports, in the region's measure."""

    s: float
    t: float
    span: tuple[float, float]


def joists_met(region: Region, a: tuple[float, float], b: tuple[float, float]) -> list[Crossed]:
    """Give the joists that a straight line through a region crosses, from one end to the other; ends on the plan."""
    (s0, t0), (s1, t1) = region.inner(*a), region.inner(*b)
    if abs(t1 - t0) < 1:
        return []
    area = area_inside(region)
    first = float(area.bounds[1]) + _FIRST_JOIST_MM
    low, high = min(t0, t1), max(t0, t1)
    count = math.floor((high - first) / region.spacing_mm)
    ts = [t for n in range(max(0, count + 1)) if low < (t := first + n * region.spacing_mm) < high]
    found = []
    for t, spans in zip(ts, _chords(area, ts), strict=True):
        s = s0 + (t - t0) / (t1 - t0) * (s1 - s0)
        found += [Crossed(s, t, span) for span in spans if span[0] <= s <= span[1]]
    return found if t1 > t0 else found[::-1]


def may_drill(rules: JoistRules, region: Region, crossed: Crossed) -> bool:
    """Whether a joist may be drilled for a cable where a line meets it."""
    return rules.largest_hole_mm(region.depth_mm) >= HOLE_MM and _may_drill(rules, [crossed.span], crossed.s)


def entered(region: Region) -> tuple[Item, ...]:
    """Give what it takes to get at a void: a board up and half a carpet; a loft is open."""
    return (
        (Item("board", "", 1.0, region.where), Item("carpet", "", 0.5, region.where)) if region.kind == "floor" else ()
    )


def passed_over(region: Region) -> tuple[Item, ...]:
    """Give this room's half of what it takes to go on from its floor to the next: the carpet."""
    return (Item("carpet", "", 0.5, region.where),) if region.kind == "floor" else ()


def _crossings(
    region: Region, area: "shapely.Geometry", across: Sequence[tuple[float, float, float]],
    inside: "NDArray[np.bool_]", rules: JoistRules,
) -> Iterator[Edge]:  # fmt: skip
    import shapely

    if not across:
        return
    first = shapely.bounds(area)[1] + _FIRST_JOIST_MM
    pairs = list(dict.fromkeys((a, b) for _, a, b in across))
    chords = dict(zip(pairs, _chords(area, [(a + b) / 2 for a, b in pairs]), strict=True))
    drilled = rules.largest_hole_mm(region.depth_mm) >= HOLE_MM
    for (c, a, b), clear in zip(across, inside.tolist(), strict=True):
        if not clear:
            continue
        joists = math.floor((b - first) / region.spacing_mm) - math.floor((a - first) / region.spacing_mm)
        metres = (b - a) / 1000
        if region.kind == "loft":
            items: tuple[Item, ...] = (Item("loft", "", metres),)
        else:
            items = (Item("void", "", metres), Item("board", "", metres * BOARDS_A_METRE))
            if joists > 0:
                if not drilled or not _may_drill(rules, chords[a, b], c):
                    continue
                items = (*items, Item("joist", "", joists))
        ends: tuple[Key, Key] = ((region.id, c, a, ACROSS), (region.id, c, b, ACROSS))
        yield Edge(*ends, b - a, items, region.where)


def _may_drill(rules: JoistRules, spans: Iterable[tuple[float, float]], s: float) -> bool:
    for low, high in spans:
        if low <= s <= high:
            return any(a - _ROUNDED_MM <= s - low <= b + _ROUNDED_MM for a, b in rules.hole_zones(high - low))
    return False


def _inside(
    area: "shapely.Geometry", lines: Sequence[tuple[tuple[float, float], tuple[float, float]]]
) -> "NDArray[np.bool_]":
    import numpy as np
    import shapely

    if not lines:
        return np.zeros(0, dtype=bool)
    loose = shapely.buffer(area, _LOOSE_MM, join_style="mitre")
    shapely.prepare(loose)
    return np.asarray(shapely.covers(loose, shapely.linestrings(np.array(lines, dtype=float))), dtype=bool)


def _slab_middles(area: "shapely.Geometry") -> list[float]:
    import shapely

    ts = sorted({round(float(t), 1) for t in shapely.get_coordinates(area)[:, 1]})
    return [(a + b) / 2 for a, b in itertools.pairwise(ts) if b - a > 1]


def _chords(area: "shapely.Geometry", ts: Sequence[float]) -> list[list[tuple[float, float]]]:
    """Give where a joist at each t spans: its stretches between the edges of the area."""
    import numpy as np
    import shapely

    if not ts:
        return []
    low, _, high, _ = shapely.bounds(area).tolist()
    lines = shapely.linestrings(np.array([((low - 1, t), (high + 1, t)) for t in ts]))
    found: list[list[tuple[float, float]]] = []
    for cut in shapely.intersection(area, lines).tolist():
        parts = [shapely.bounds(part).tolist() for part in shapely.get_parts(cut).tolist()]
        found.append(sorted((part[0], part[2]) for part in parts if part[2] - part[0] > 1))
    return found


def _turned(xy: "NDArray[np.float64]", turn: Sequence[float]) -> "NDArray[np.float64]":
    import numpy as np

    a, b, c, d = turn[:4]
    return np.column_stack([a * xy[:, 0] + b * xy[:, 1], c * xy[:, 0] + d * xy[:, 1]])
