"""Cables drawn by hand against the zones: which stretches stray, how far, and why.

Cables more than 50 mm deep, or mechanically protected, may run elsewhere: whoever drew one knows, the plan does not.

**Source:** regulation 522.6.6(v) as quoted, now 522.6.202; joists as in ``joists``.
"""

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Final, NamedTuple

from msgspec import Struct

from circuitmap.extension.spots import HANGS_MM, Floors, Space
from circuitmap.extension.void_net import HOLE_MM, Crossed, Region, joists_met, may_drill
from circuitmap.home.records import Storey
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.elevation import ON_FACE_MM, Face, across, faces_on
from circuitmap.plan.permitted import ON_LIMIT_MM, Permitted, permitted_on
from circuitmap.plan.rooms import WALL_GAP_MM
from circuitmap.trade import Trade

if TYPE_CHECKING:
    import shapely

Spot = tuple[str, float, float, float]

# Steeper than this, and further off the straight than that, a drawn line is meant to slant (our own estimate).
_SLANT: Final = math.tan(math.radians(5))
_SLANT_MM: Final = 20.0
# Shorter than this a stretch is the hand's, not the cable's (our own estimate).
_LEAST_MM: Final = 5.0
_ALONG: Final = math.sin(math.radians(5))


class Stray(Struct, frozen=True):
    """A stretch of cable where none may run: from and to as (storey, x, y, height), its length in mm, and why.

    ``face`` is the id of the face, or of the void.
    """

    start: Spot
    end: Spot
    mm: float
    why: str
    face: str = ""


def strays(home: Home, memo: Memo, trade: Trade, path: Sequence[Spot]) -> tuple[Stray, ...]:
    """Give what of a cable's path strays, in its order.

    Parameters
    ----------
    home, memo, trade
        The home with its walls and accessories, those at the cable's ends too.
    path
        As in a run: storey, place on the plan and height over that storey's floor, in mm. What is above the walls or
        below the floor lies in a void and is left alone.
    """
    found: list[Stray] = []
    for a, b in itertools.pairwise(path):
        if a[0] == b[0]:
            found += _judged(home, memo, trade, a, b)
    return tuple(_joined(found))


def joist_strays(space: Space | Floors, path: Sequence[Spot]) -> tuple[Stray, ...]:
    """Give where a cable's path crosses joists that may not be drilled there, in its order.

    Parameters
    ----------
    space
        The space of the home, or only its floors, with what they are told or assumed to be.
    path
        As for ``strays``. Only what lies in a floor is looked at, above a ceiling or under a timber floor.
    """
    found: list[Stray] = []
    for a, b in itertools.pairwise(path):
        if a[0] != b[0]:
            continue
        for region in space.regions.values():
            if region.kind != "floor" or region.storey != a[0] or not _is_in(space, region, a, b):
                continue
            wrong = [met for met in joists_met(region, a[1:3], b[1:3]) if not may_drill(space.rules, region, met)]
            if wrong:
                found.append(_undrilled(space, region, a, b, wrong))
    return tuple(found)


def _is_in(space: Space | Floors, region: Region, a: Spot, b: Spot) -> bool:
    if region.z_mm < 0:
        return max(a[3], b[3]) <= 0
    heights = [face.height_mm for face in space.faces.values() if space.over.get(face.id) == region.id]
    return bool(heights) and min(a[3], b[3]) >= heights[0]


def _undrilled(space: Space | Floors, region: Region, a: Spot, b: Spot, wrong: Sequence[Crossed]) -> Stray:
    (x0, y0), (x1, y1) = region.outer(wrong[0].s, wrong[0].t), region.outer(wrong[-1].s, wrong[-1].t)
    start, end = (a[0], round(x0, 1), round(y0, 1), a[3]), (b[0], round(x1, 1), round(y1, 1), b[3])
    span = wrong[0].span[1] - wrong[0].span[0]
    (low, high), _ = space.rules.hole_zones(span)
    joists = "a joist" if len(wrong) == 1 else f"{len(wrong)} joists"
    if space.rules.largest_hole_mm(region.depth_mm) < HOLE_MM:
        why = f"crosses {joists} too shallow to be drilled"
    else:
        why = f"crosses {joists} where no hole may be: only {low:.0f} to {high:.0f} mm from either support"
    length = min(len(wrong) * region.spacing_mm, math.dist(a[1:], b[1:]))
    return Stray(start, end, length, why, region.id)


def _judged(home: Home, memo: Memo, trade: Trade, a: Spot, b: Spot) -> Iterator[Stray]:
    storey = a[0]
    level = home.find(Storey, storey)
    if level is None or math.dist(a[1:], b[1:]) < _LEAST_MM:
        return
    height = float(level.height_mm or trade.size_mm("storey height"))
    clipped = _within(a, b, height)
    if clipped is None:
        return
    a, b = clipped
    faces = faces_on(home, memo, trade, storey)
    zones = permitted_on(home, memo, trade, storey)
    on = [face for face in faces if is_along(face, a, b)]
    if not on:
        if not _goes_through(faces, a, b) and not _hangs(a, b, height):
            yield Stray(a, b, math.dist(a[1:], b[1:]), "runs along no wall that is drawn")
        return
    # A line in a thin wall is judged from the side that permits most of it.
    tried = [list(_on_face(face, _ground(memo, face, zones[face.id]), a, b)) for face in on]
    yield from min(tried, key=lambda each: sum(stray.mm for stray in each))


def _within(a: Spot, b: Spot, height: float) -> tuple[Spot, Spot] | None:
    """Give the part of a stretch between floor and ceiling, None when all of it is in a void."""
    low, high = 0.0, 1.0
    rise = b[3] - a[3]
    if abs(rise) < 1e-9:
        return (a, b) if 0 <= a[3] <= height else None
    ends = sorted(((0 - a[3]) / rise, (height - a[3]) / rise))
    low, high = max(low, ends[0]), min(high, ends[1])
    if high - low <= 1e-9:
        return None
    return _share(a, b, low), _share(a, b, high)


def _share(a: Spot, b: Spot, share: float) -> Spot:
    x, y, z = (p + share * (q - p) for p, q in zip(a[1:], b[1:], strict=True))
    return a[0], x, y, z


def is_along(face: Face, a: Spot, b: Spot) -> bool:
    """Whether a stretch lies on a face from end to end, or in its plaster."""
    for spot in (a, b):
        u, off = face.at(spot[1], spot[2])
        if abs(off) > ON_FACE_MM or not -ON_FACE_MM <= u <= face.length_mm + ON_FACE_MM:
            return False
    level = math.dist(a[1:3], b[1:3])
    off_a, off_b = face.at(a[1], a[2])[1], face.at(b[1], b[2])[1]
    # Short stretches square to a wall are holes into it, or round a corner.
    return level < 1 or abs(off_b - off_a) <= max(_ALONG * level, 1.0) or abs(b[3] - a[3]) > level


def _hangs(a: Spot, b: Spot, height: float) -> bool:
    """Whether a stretch comes straight down from the ceiling to a light."""
    return math.dist(a[1:3], b[1:3]) < 1 and max(a[3], b[3]) >= height - 1 and min(a[3], b[3]) >= height - HANGS_MM


def _goes_through(faces: Iterable[Face], a: Spot, b: Spot) -> bool:
    """Whether a stretch is a hole straight through a wall, or steps from one face to the one beside it."""
    level = math.dist(a[1:3], b[1:3])
    if level > WALL_GAP_MM + 2 * ON_FACE_MM or abs(b[3] - a[3]) > _SLANT_MM:
        return False
    listed = list(faces)
    for face in listed:
        u_a, off_a = face.at(a[1], a[2])
        u_b, off_b = face.at(b[1], b[2])
        if abs(off_a) > ON_FACE_MM or abs(u_b - u_a) > _SLANT_MM or not 0 <= u_a <= face.length_mm:
            u_a, off_a, u_b, off_b = u_b, off_b, u_a, off_a
            if abs(off_a) > ON_FACE_MM or abs(u_b - u_a) > _SLANT_MM or not 0 <= u_a <= face.length_mm:
                continue
        if any(off_b <= 0 and abs(-off_b - way.thickness_mm) <= 2 * ON_FACE_MM for way in across(face, listed)):
            return True
        backed = face.backed(u_a)
        if off_b < 0 and -off_b <= backed.thickness_mm + 2 * ON_FACE_MM:
            return True
    return False


class _Ground(NamedTuple):
    """The areas of a face that a stretch is held against: where it may lie, where it may slant, and the openings."""

    area: "shapely.Geometry"
    slanting: "shapely.Geometry"
    openings: "shapely.Geometry"


def _ground(memo: Memo, face: Face, zones: Permitted) -> _Ground:
    import shapely

    def make() -> _Ground:
        area = zones.area()
        # Sideways and up and down is straight; only the strips under the ceiling and in the corners take a slant.
        strips = [s for s in zones.strips if s.why in ("below the ceiling", "beside a corner")]
        slanting = shapely.intersection(area, shapely.union_all([shapely.box(s.u0, s.v0, s.u1, s.v1) for s in strips]))
        openings = [shapely.box(h.from_mm, h.sill_mm, h.to_mm, h.head_mm) for h in face.holes]
        return _Ground(
            area.buffer(ON_LIMIT_MM, join_style="mitre"),
            slanting.buffer(ON_LIMIT_MM, join_style="mitre"),
            shapely.union_all(openings),
        )

    return memo.get("extension.stray ground", face.id, (face, zones), make)


def _on_face(face: Face, ground: _Ground, a: Spot, b: Spot) -> Iterator[Stray]:
    import shapely

    (u_a, _), (u_b, _) = face.at(a[1], a[2]), face.at(b[1], b[2])
    along, up = abs(u_b - u_a), abs(b[3] - a[3])
    slants = min(along, up) > max(_SLANT_MM, _SLANT * max(along, up))
    line = shapely.LineString([(u_a, a[3]), (u_b, b[3])])
    out = line.difference(ground.slanting if slants else ground.area)
    for part in _parts(out):
        for piece, why in ((part.intersection(ground.openings), "open"), (part.difference(ground.openings), "")):
            for each in _parts(piece):
                if each.length < _LEAST_MM:
                    continue
                (u0, v0), (u1, v1) = each.coords[0], each.coords[-1]
                says = _why(face, (u0 + u1) / 2, slants=slants, is_open=why == "open", v=(v0 + v1) / 2)
                yield Stray(_at(face, u0, v0), _at(face, u1, v1), float(each.length), says, face.id)


def _why(face: Face, u: float, *, slants: bool, is_open: bool, v: float) -> str:
    if is_open:
        for hole in face.holes:
            if hole.from_mm <= u <= hole.to_mm and hole.sill_mm <= v <= hole.head_mm:
                return f"crosses a {hole.kind}"
    if slants:
        return "slants: a hidden cable runs straight up, down or sideways"
    return "is in no zone: not under the ceiling, in a corner, nor in line with an accessory"


def _at(face: Face, u: float, v: float) -> Spot:
    x, y, z = face.place(u, v)
    return face.storey, round(x, 1), round(y, 1), round(z, 1)


def _parts(geometry: "shapely.Geometry") -> "list[shapely.Geometry]":
    import shapely

    return [part for part in shapely.get_parts(geometry).tolist() if part.geom_type == "LineString" and part.length > 0]


def _joined(found: Iterable[Stray]) -> Iterator[Stray]:
    """Put stretches together that go on from one to the next for the same reason."""
    last: Stray | None = None
    for stray in found:
        if last is not None and last.face == stray.face and last.why == stray.why and _meets(last, stray):
            last = Stray(last.start, stray.end, last.mm + stray.mm, last.why, last.face)
            continue
        if last is not None:
            yield last
        last = stray
    if last is not None:
        yield last


def _meets(one: Stray, other: Stray) -> bool:
    return math.dist(one.end[1:], other.start[1:]) < 1.0
