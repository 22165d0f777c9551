"""A cable's path as it is laid by hand on a wall: its stretches and bends there, how they are moved, what it comes to.

What is drawn by hand is judged as it is drawn: the zones of the walls, the joists of the floors, the length.
"""

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Final, NamedTuple

from msgspec import Struct, structs

from circuitmap.errors import HomeError
from circuitmap.extension.costs import Costs, Item, is_chased
from circuitmap.extension.space import floors_of
from circuitmap.extension.stray import Stray, is_along, joist_strays, strays
from circuitmap.home.cable_paths import Path, Spot, alike, carried, is_level, is_upright, tidied, whole_mm
from circuitmap.home.change import Change
from circuitmap.home.records import Run, Storey
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_common import describe, edit
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Face
from circuitmap.quantities.show import show_length
from circuitmap.trade import Trade

_GRID_MM: Final = 10
_LEAST_MM: Final = 1.0


class Stretch(NamedTuple):
    """A straight piece of a path on a face: the number of its first spot, and both ends in u and v, in mm."""

    number: int
    a: tuple[float, float]
    b: tuple[float, float]


class Bend(NamedTuple):
    """A spot of a path, by its number, both sides of which lie on a face; in u and v."""

    number: int
    at: tuple[float, float]


class Judged(Struct, frozen=True, kw_only=True):
    """What a drawn path comes to: its length, and which stretches stray from the zones, or cross joists, and why."""

    length_mm: float
    strays: tuple[Stray, ...] = ()
    joists: tuple[Stray, ...] = ()
    assumes: tuple[str, ...] = ()
    is_seen: bool = False

    @property
    def stray_mm(self) -> float:
        """How much of it strays."""
        return sum(each.mm for each in (*self.strays, *self.joists))

    def says(self) -> str:
        """Give it in one sentence."""
        long = f"{show_length(self.length_mm)} of cable"
        if not self.strays and not self.joists:
            return (
                f"{long}, in trunking on walls." if self.is_seen else f"{long}, all of it where a cable may be hidden."
            )
        first = (*self.strays, *self.joists)[0]
        more = len(self.strays) + len(self.joists) - 1
        others = f", and {more} more stretch{'es' if more > 1 else ''}" if more else ""
        return f"{long}; {show_length(self.stray_mm)} strays: it {first.why}{others}."


def judged(home: Home, memo: Memo, trade: Trade, path: Sequence[Spot], *, is_seen: bool = False) -> Judged:
    """Judge a drawn path: the zones of the walls that it lies on, and the joists of the floors that it goes through.

    Floors are taken to be as usual; what is taken for granted is said beside joists that may not be drilled. What is
    seen, in trunking on walls, is bound by no zone.
    """
    floors = floors_of(home, memo, trade)
    joists = joist_strays(floors, path)
    return Judged(
        length_mm=path_length_mm(home, trade, path),
        strays=() if is_seen else strays(home, memo, trade, path),
        joists=joists,
        assumes=tuple(says for says in floors.structure.says if "joists" in says) if joists else (),
        is_seen=is_seen,
    )


def path_length_mm(home: Home, trade: Trade, path: Sequence[Spot]) -> float:
    """Give the length of a path; between storeys as high as the lower one and its ceiling are."""
    length = 0.0
    for a, b in itertools.pairwise(path):
        up = b[3] - a[3]
        if a[0] != b[0]:
            up += _floor(home, trade, b[0]) - _floor(home, trade, a[0])
        length += math.hypot(b[1] - a[1], b[2] - a[2], up)
    return length


def is_flat(path: Sequence[Spot]) -> bool:
    """Whether a path was drawn on the plan only, so that nobody said how high it runs."""
    return all(spot[3] == 0 for spot in path)


def stretches_on(face: Face, path: Sequence[Spot]) -> tuple[Stretch, ...]:
    """Give the stretches of a path that lie on a face, in its order."""
    found = []
    for number, (a, b) in enumerate(itertools.pairwise(path)):
        if a[0] == b[0] == face.storey and math.dist(a[1:], b[1:]) >= _LEAST_MM and is_along(face, a, b):
            ends = _seen(face, a), _seen(face, b)
            if max(a[3], b[3]) > 0 and min(a[3], b[3]) < face.height_mm and ends[0] != ends[1]:
                found.append(Stretch(number, *ends))
    return tuple(found)


def bends_on(face: Face, path: Sequence[Spot]) -> tuple[Bend, ...]:
    """Give the bends of a path on a face; its ends, and where it comes onto the face or leaves it, are none."""
    numbers = {stretch.number for stretch in stretches_on(face, path)}
    return tuple(Bend(n, _seen(face, path[n])) for n in range(1, len(path) - 1) if {n - 1, n} <= numbers)


def move_bend(face: Face, path: Sequence[Spot], number: int, u: float, v: float) -> Path:
    """Give a path with one bend somewhere else on the face."""
    return tidied((*path[:number], spot_on(face, u, v), *path[number + 1 :]))


def move_stretch(face: Face, path: Sequence[Spot], number: int, u: float, v: float) -> Path:
    """Give a path with one stretch moved beside itself, so that it or what it goes on as runs through a spot.

    Its neighbours get longer or shorter, and a short piece is put in where they can't.
    """
    a, b = path[number], path[number + 1]
    (u_a, _), (u_b, _) = face.at(a[1], a[2]), face.at(b[1], b[2])
    if is_upright(a, b):
        along = u - u_a
        low, high = alike(path, number, number + 1, is_upright)
        by = (along * face.along_x, along * face.along_y, 0.0)
    elif is_level(a, b):
        low, high = alike(path, number, number + 1, is_level)
        by = (0.0, 0.0, v - a[3])
    else:
        low, high = number, number + 1
        way = (u_b - u_a, b[3] - a[3])
        share = ((u - u_a) * way[0] + (v - a[3]) * way[1]) / (way[0] ** 2 + way[1] ** 2)
        along, up = u - u_a - share * way[0], v - a[3] - share * way[1]
        by = (along * face.along_x, along * face.along_y, up)
    if max(abs(part) for part in by) < _LEAST_MM:
        return tuple(path)
    return carried(path, low, high, by)


def let_in_bend(face: Face, path: Sequence[Spot], number: int, u: float, v: float) -> tuple[Path, int]:
    """Give a path with a bend let into one stretch where it comes nearest to a spot, and the number of the bend."""
    (_, (u_a, v_a), (u_b, v_b)) = next(each for each in stretches_on(face, path) if each.number == number)
    way = (u_b - u_a, v_b - v_a)
    share = min(max(((u - u_a) * way[0] + (v - v_a) * way[1]) / (way[0] ** 2 + way[1] ** 2), 0.0), 1.0)
    bend = spot_on(face, u_a + share * way[0], v_a + share * way[1])
    return (*path[: number + 1], bend, *path[number + 1 :]), number + 1


def drop_bend(path: Sequence[Spot], number: int) -> Path:
    """Give a path without one bend."""
    return tidied((*path[:number], *path[number + 1 :]))


def spot_on(face: Face, u: float, v: float) -> Spot:
    """Give a spot on a face as one of a path."""
    x, y, z = face.place(u, v)
    return face.storey, round(x, 1), round(y, 1), round(z, 1)


def kept_on(face: Face, u: float, v: float) -> tuple[float, float]:
    """Give a spot in u and v that is on the wall, the nearest to one that may not be."""
    return min(max(u, 0.0), face.length_mm), min(max(v, 0.0), face.height_mm)


def snapped(at: tuple[float, float], us: Iterable[float], vs: Iterable[float], reach_mm: float) -> tuple[float, float]:
    """Give a spot that goes to the nearest of some uprights and levels where one is in reach, else to whole 10 mm."""
    found = []
    for value, lines in zip(at, (us, vs), strict=True):
        near = min(lines, key=lambda line: abs(line - value), default=math.inf)
        found.append(near if abs(near - value) <= reach_mm else round(value / _GRID_MM) * _GRID_MM)
    return found[0], found[1]


def worth_on_walls(costs: Costs, faces: Iterable[Face], path: Sequence[Spot]) -> float:
    """Give what the part of a path that lies on walls takes, in pence: metres in each wall by its build, and bends.

    For holding a path beside another one; holes, floors and set-ups are left out.
    """
    items: list[Item] = []
    length = 0.0
    for face in faces:
        for _, (u_a, v_a), (u_b, v_b) in stretches_on(face, path):
            build = face.backed((u_a + u_b) / 2).build
            mm = math.hypot(u_b - u_a, v_b - v_a)
            items.append(Item("chase" if is_chased(build) else "stud", build, mm / 1000))
            length += mm
        items += [Item("bend", "", 1.0) for _ in bends_on(face, path)]
    return costs.worth(items, length)


def lay_by_hand(home: Home, trade: Trade, run_id: str, path: Sequence[Spot]) -> Change:
    """Give a run another drawn path; a length that came from its path before comes from this one.

    Raises
    ------
    HomeError
        When the run was taken out, or the path has fewer than two spots.
    """
    run = home.take(Run, run_id)
    if run.phase == "removed":
        raise HomeError(f"{run_id} was taken out; a cable that isn't there has no path to draw.", run_id)
    whole = whole_mm(path)
    if len(tidied(whole)) < 2:
        raise HomeError("A path needs two spots at least; click where the cable begins and where it ends.")
    return edit(home, run_id, f"Draw the path of {describe(run)}", path_mm=whole, **_long(home, trade, run, whole))


def as_drawn(home: Home, trade: Trade, change: Change, paths: Mapping[str, Sequence[Spot]]) -> Change:
    """Give a change that lays some of the runs that it brings as they were drawn by hand, with the lengths that follow.

    Parameters
    ----------
    home
        The home that it is for.
    change
        What an option would do.
    paths
        By the id of the run on the map.
    """
    pairs = [
        (
            before,
            structs.replace(after, path_mm=whole_mm(paths[after.id]), **_long(home, trade, after, paths[after.id])),
        )
        if before is None and isinstance(after, Run) and after.id in paths
        else (before, after)
        for before, after in change.pairs
    ]
    return Change(change.title, tuple(pairs))


def _long(home: Home, trade: Trade, run: Run, path: Sequence[Spot]) -> dict[str, int]:
    if run.length_from != "path":
        return {}
    return {"length_mm": max(round(path_length_mm(home, trade, whole_mm(path))), 1)}


def _seen(face: Face, spot: Spot) -> tuple[float, float]:
    return kept_on(face, face.at(spot[1], spot[2])[0], spot[3])


def _floor(home: Home, trade: Trade, storey: str) -> float:
    """Give how high a storey's floor lies over that of level 0: as recorded, else by the usual heights in between."""
    record = home.find(Storey, storey)
    if record is None:
        return 0.0
    if record.floor_mm is not None:
        return float(record.floor_mm)
    each = trade.size_mm("storey height") + trade.size_mm("floor thickness")
    below = [s for s in home.table(Storey).values() if 0 <= s.level < record.level]
    high = sum((s.height_mm or trade.size_mm("storey height")) + trade.size_mm("floor thickness") for s in below)
    return float(high) if record.level >= 0 else record.level * each
