"""Walls out of a drawing's own lines: two that run side by side are the faces of one, a single one may be its middle.

Of the faces that look at each other without another line between them, those at the thicknesses that the drawing has
most of are taken first. Gaps as wide as a door, with the wall free on both sides, become doors; where thin lines run
through them, windows.
"""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from circuitmap.errors import HomeError
from circuitmap.home.change import Change, combine
from circuitmap.home.records import Opening, Room, Wall
from circuitmap.home.snapshot import Home
from circuitmap.plan.doors_kept import gaps_seen, let_go
from circuitmap.plan.line_runs import Run, Stretch, Way, common, ways_of, without
from circuitmap.plan.outlines import Corner
from circuitmap.plan.walls_keep import let_in, stand_on_walls
from circuitmap.words import ThicknessFrom

if TYPE_CHECKING:
    import numpy as np
    import shapely
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

THINNEST_MM: Final = 60.0
THICKEST_MM: Final = 450.0
MOST_LINES: Final = 60_000
# Doors are some 0.6 to 1.2 m wide (common practice, no source); windows wider.
_DOOR_MM: Final = (550.0, 1_300.0)
_WINDOW_MM: Final = (400.0, 3_500.0)
# Between two leaves of a cavity wall lie 50 to 150 mm (common practice, no source).
_CAVITY_MM: Final = (15.0, 160.0)
_LEAST_MM: Final = 80.0
_SINGLE_MM: Final = 300.0
_REST_MM: Final = 600.0
_ALONG: Final = 0.8
_BIN_MM: Final = 10.0
_LOOSE_MM: Final = 15.0
_TOUCH_MM: Final = 30.0
_ACROSS: Final = math.sin(math.radians(30))
_SQUARE: Final = math.sin(math.radians(60))
_GLASS_SHARE: Final = 0.6
_THERE_MM: Final = 150.0
_THERE_SHARE: Final = 0.5


@dataclass(frozen=True)
class Hole:
    """A door or window in a wall, along its way from the same origin as the wall itself."""

    start: float
    end: float
    kind: str


@dataclass(frozen=True)
class Piece:
    """A wall while it is being put together: a stretch of a way, its middle's offset, how thick it is."""

    way: Way
    start: float
    end: float
    off: float
    thick: float
    paired: bool = True
    holes: tuple[Hole, ...] = ()

    def outline(self, more: float = 0.0) -> "shapely.Polygon":
        """Give it as a box, a little larger all round."""
        import shapely

        half = self.thick / 2 + more
        corners = (
            (self.start - more, -half),
            (self.end + more, -half),
            (self.end + more, half),
            (self.start - more, half),
        )
        return shapely.Polygon([self.way.spot(along, self.off + aside) for along, aside in corners])


@dataclass(frozen=True)
class LineWall:
    """A wall as the lines have it; ``paired`` where both faces are drawn."""

    a_mm: Corner
    b_mm: Corner
    thickness_mm: int
    paired: bool
    openings: tuple[Opening, ...] = ()


@dataclass(frozen=True)
class FoundWalls:
    """The walls that some lines make, and how many lines could be single ones, had their thickness been said."""

    walls: tuple[LineWall, ...]
    singles: int = 0

    @property
    def doors(self) -> int:
        """How many doors there are in them."""
        return sum(opening.kind == "door" for wall in self.walls for opening in wall.openings)


def find_walls(lines: "Floats", *, single_mm: float | None = None, behind: "Floats | None" = None) -> FoundWalls:
    """Give the walls that lines make.

    Parameters
    ----------
    lines
        The lines that were chosen, one row (x1, y1, x2, y2) each, on the plan in mm.
    single_mm
        The thickness of walls drawn as one line; None leaves such lines out.
    behind
        All lines of the drawing, for telling windows from doors; by default those that were chosen.

    Raises
    ------
    HomeError
        When there are more lines than a storey's walls have.
    """
    import numpy as np

    if len(lines) > MOST_LINES:
        raise HomeError(
            f"These are {len(lines):,} lines; choose those that walls are drawn with, {MOST_LINES:,} at most."
        )
    every = np.asarray(lines if behind is None else behind, float).reshape(-1, 4)
    made: list[Piece] = []
    singles: list[Piece] = []
    kept: list[tuple[Way, list[Run]]] = []
    for way in ways_of(lines):
        pairs = _leaves(_paired(way))
        made += pairs
        kept.append((way, way.runs))
    made = _outermost(made)
    singles = _singles(kept, made, single_mm or 100.0)
    count = len(singles)
    if single_mm is not None:
        made += singles
    made = _in_one(made, {id(way): runs for way, runs in kept}, every)
    made = _cornered(made)
    return FoundWalls(tuple(wall for piece in made if (wall := _wall(piece)) is not None), count)


def walls_change(home: Home, storey: str, found: FoundWalls) -> Change:
    """Give the change that adds walls to a storey, but for those that are there already; points on them are told.

    Raises
    ------
    HomeError
        When there is nothing to add, with what could be done.
    """
    there = [wall for wall in home.table(Wall).values() if wall.storey == storey and wall.a_mm != wall.b_mm]
    new = [wall for wall in found.walls if not any(_is_there(wall, old) for old in there)]
    if not found.walls:
        raise HomeError(nothing_found(found))
    if not new:
        raise HomeError("All of these walls are there already.")
    pairs: list[tuple[None, Wall]] = []
    for n, wall in enumerate(new):
        source: ThicknessFrom = "drawn" if wall.paired else "assumed"
        pairs.append((None, Wall(
            id=home.next_id(Wall, n), storey=storey, a_mm=wall.a_mm, b_mm=wall.b_mm, thickness_mm=wall.thickness_mm,
            thickness_from=source, openings=wall.openings,
        )))  # fmt: skip
    rooms = [room for room in home.table(Room).values() if room.storey == storey and room.seen]
    let = let_in([wall for _, wall in pairs], gaps_seen(rooms))
    title = f"Make {len(new)} wall{'' if len(new) == 1 else 's'} of the plan's lines"
    change = Change(title, (*((None, wall) for wall in let), *let_go(rooms, let)))
    return combine(title, (change, stand_on_walls(home.apply(change), storey)))


def nothing_found(found: FoundWalls) -> str:
    """Say why no walls were found, and what could be done."""
    apart = f"no two run side by side {THINNEST_MM:.0f} to {THICKEST_MM:.0f} mm apart"
    if found.singles:
        return f"None of these lines is a wall by itself: {apart}. Say how thick walls drawn as one line are."
    return f"None of these lines could be a wall: {apart}, and none is long enough alone. Choose other lines."


# -- pairs of faces --------------------------------------------------------------------------------------------------


def _paired(way: Way) -> list[Piece]:
    """Give the walls between faces that look at each other; what stands for one is taken from its lines."""
    runs = sorted(way.runs, key=lambda run: (run.off, run.start))
    runs = [run for n, run in enumerate(runs) if not _is_trim(n, runs)]
    facing: list[tuple[float, int, int, list[Stretch]]] = []
    weight: defaultdict[int, float] = defaultdict(float)
    for n, run in enumerate(runs):
        open_ = [(run.start, run.end)]
        for m in range(n + 1, len(runs)):
            other = runs[m]
            apart = other.off - run.off
            if apart > THICKEST_MM + 0.5 or not open_:
                break
            if other.start >= run.end or other.end <= run.start or apart < 0.5:
                continue
            seen = [(a, b) for a, b in common(open_, [(other.start, other.end)]) if b - a >= max(_LEAST_MM, apart / 2)]
            if apart >= THINNEST_MM - 0.5 and seen:
                facing.append((apart, n, m, seen))
                weight[round(apart / _BIN_MM)] += sum(b - a for a, b in seen)
            if apart >= THINNEST_MM - 0.5:
                open_ = without(open_, other.start, other.end)
    found = []
    for apart, n, m, seen in sorted(facing, key=lambda each: (-weight[round(each[0] / _BIN_MM)], each[0])):
        one, other = runs[n], runs[m]
        for start, end in common(common(seen, one.free), other.free):
            if end - start >= max(_LEAST_MM, apart / 2):
                found.append(Piece(way, start, end, (one.off + other.off) / 2, apart))
                one.take(start, end)
                other.take(start, end)
    return found


def _is_trim(n: int, runs: Sequence[Run]) -> bool:
    """Whether a line only goes along part of another one, nearer than any wall is thick: a sill, glass, a frame."""
    run = runs[n]
    for way in (-1, 1):
        m = n + way
        while 0 <= m < len(runs) and abs(runs[m].off - run.off) < THINNEST_MM - 0.5:
            other = runs[m]
            shared = min(run.end, other.end) - max(run.start, other.start)
            if shared >= _ALONG * run.length and run.length < _ALONG * other.length:
                return True
            m += way
    return False


def _leaves(pieces: list[Piece]) -> list[Piece]:
    """Put two leaves with a cavity between them together."""
    left = sorted(pieces, key=lambda piece: piece.off)
    found: list[Piece] = []
    while left:
        one = left.pop(0)
        for n, other in enumerate(left):
            if other.off - one.off > THICKEST_MM:
                break
            cavity = other.off - one.off - (one.thick + other.thick) / 2
            whole = other.off - one.off + (one.thick + other.thick) / 2
            shared = min(one.end, other.end) - max(one.start, other.start)
            longest = max(one.end - one.start, other.end - other.start)
            if _CAVITY_MM[0] <= cavity <= _CAVITY_MM[1] and whole <= THICKEST_MM and shared >= 0.7 * longest:
                off = (one.off - one.thick / 2 + other.off + other.thick / 2) / 2
                one = Piece(one.way, min(one.start, other.start), max(one.end, other.end), off, whole)
                del left[n]
                break
        found.append(one)
    return found


def _outermost(pieces: list[Piece]) -> list[Piece]:
    """Leave out what lies within another wall: hatching, insulation, the leaves of a wall that was found whole."""
    import shapely

    if len(pieces) < 2:
        return pieces
    order = sorted(pieces, key=lambda piece: -piece.thick * (piece.end - piece.start))
    boxes = [piece.outline() for piece in order]
    wide = [piece.outline(_LOOSE_MM) for piece in order]
    tree = shapely.STRtree(wide)
    gone: set[int] = set()
    for n, box in enumerate(boxes):
        for m in sorted(tree.query(box, predicate="within").tolist()):
            if m < n and m not in gone:
                gone.add(n)
                break
    return [piece for n, piece in enumerate(order) if n not in gone]


def _singles(kept: Sequence[tuple[Way, list[Run]]], walls: Sequence[Piece], thick: float) -> list[Piece]:
    """Give the lines that stand for no wall's face and lie in none, as walls of one line."""
    import shapely

    tree = shapely.STRtree([piece.outline(THICKEST_MM / 10) for piece in walls])
    found = []
    for way, runs in kept:
        for run in runs:
            is_whole = run.free == [(run.start, run.end)]
            for start, end in run.free:
                if end - start < (_SINGLE_MM if is_whole else _REST_MM):
                    continue
                line = shapely.LineString([way.spot(start, run.off), way.spot(end, run.off)])
                if not len(tree.query(line, predicate="within")):
                    found.append(Piece(way, start, end, run.off, thick, paired=False))
    return found


# -- along one line --------------------------------------------------------------------------------------------------


def _in_one(pieces: list[Piece], runs: dict[int, list[Run]], every: "Floats") -> list[Piece]:
    """Put together what goes on in one line: across the end of another wall, and across doors and windows."""
    import shapely

    tree = shapely.STRtree([piece.outline() for piece in pieces])
    found: list[Piece] = []
    for alike in _lined_up(pieces):
        key, off = id(alike[0].way), alike[0].off
        near = [run for run in runs[key] if abs(run.off - off) <= THICKEST_MM]
        left = sorted(alike, key=lambda piece: piece.start)
        while left:
            one = left.pop(0)
            going_on = True
            while going_on:
                going_on = False
                for n, other in enumerate(left):
                    if abs(other.off - one.off) > _LOOSE_MM or abs(other.thick - one.thick) > _LOOSE_MM:
                        continue
                    if other.paired != one.paired:
                        continue
                    holes = _between(one, other, near, tree, pieces, every)
                    if holes is None:
                        break  # whatever comes after lies behind this gap
                    off = (one.off + other.off) / 2
                    one = replace(one, end=max(one.end, other.end), off=off, holes=(*one.holes, *holes))
                    del left[n]
                    going_on = True
                    break
            found.append(one)
    return found


def _lined_up(pieces: Sequence[Piece]) -> list[list[Piece]]:
    """Give walls that run alike at nearly one offset, together."""
    found: list[list[Piece]] = []
    for piece in sorted(pieces, key=lambda each: (each.way.y, each.way.x, each.off)):
        last = found[-1][-1] if found else None
        if last is None or last.way is not piece.way or piece.off - last.off > _LOOSE_MM:
            found.append([])
        found[-1].append(piece)
    return found


def _between(
    one: Piece, other: Piece, runs: Sequence[Run], tree: "shapely.STRtree", pieces: Sequence[Piece], every: "Floats"
) -> tuple[Hole, ...] | None:
    """Give the holes that join two stretches of one wall: none where it just goes on; None where they are two walls."""
    start, end = one.end, other.start
    gap = end - start
    if gap <= _TOUCH_MM:
        return ()
    faces = [one.off] if not one.paired else [one.off - one.thick / 2, one.off + one.thick / 2]
    goes_on = any(
        run.start <= start + 1 and run.end >= end - 1 and any(abs(run.off - face) <= _LOOSE_MM for face in faces)
        for run in runs
    )
    if gap <= THICKEST_MM + _TOUCH_MM:
        crossing = _at(one, start + gap / 2, tree, pieces)
        filled = any(abs(piece.thick - gap) <= 2 * _TOUCH_MM for piece in crossing)
        if goes_on or filled:
            return ()
    if goes_on:
        return None
    if any(_at(one, along, tree, pieces) for along in (start - 1, end + 1)):
        return None  # it ends on another wall: a passage, not a door
    if _WINDOW_MM[0] <= gap <= _WINDOW_MM[1] and _has_glass(one, start, end, every):
        return (Hole(start, end, "window"),)
    if _DOOR_MM[0] <= gap <= _DOOR_MM[1]:
        return (Hole(start, end, "door"),)
    return None


def _at(one: Piece, along: float, tree: "shapely.STRtree", pieces: Sequence[Piece]) -> list[Piece]:
    """Give the walls that come from the side to a spot of one wall's line."""
    import shapely

    spot = shapely.Point(one.way.spot(along, one.off)).buffer(one.thick / 2 + _TOUCH_MM)
    found = [pieces[n] for n in tree.query(spot, predicate="intersects").tolist()]
    return [piece for piece in found if piece.way is not one.way and _turn(piece.way, one.way) >= _ACROSS]


def _has_glass(one: Piece, start: float, end: float, every: "Floats") -> bool:
    """Whether lines run through a gap, within the wall's thickness and along it."""
    import numpy as np

    x, y = every[:, 0::2] - one.way.middle[0], every[:, 1::2] - one.way.middle[1]
    along = x * one.way.x + y * one.way.y
    off = y * one.way.x - x * one.way.y
    inside = (np.abs(off - one.off) <= one.thick / 2 + _LOOSE_MM).all(axis=1)
    shared = np.minimum(along.max(axis=1), end) - np.maximum(along.min(axis=1), start)
    return bool((inside & (shared >= _GLASS_SHARE * (end - start))).any())


# -- corners ---------------------------------------------------------------------------------------------------------


def _cornered(pieces: list[Piece]) -> list[Piece]:
    """Let one of two walls that meet at a corner fill it, the more level one; at blunt corners both run on."""
    import shapely

    tree = shapely.STRtree([piece.outline(_TOUCH_MM) for piece in pieces])
    done = []
    for n, piece in enumerate(pieces):
        ends = []
        for along, sign in ((piece.start, -1), (piece.end, 1)):
            best = 0.0
            spot = shapely.Point(piece.way.spot(along, piece.off)).buffer(piece.thick / 2)
            for m in tree.query(spot, predicate="intersects").tolist():
                if m != n:
                    best = max(best, _more(piece, along, sign, pieces[m]))
            ends.append(along + sign * best)
        done.append(replace(piece, start=ends[0], end=ends[1]))
    return done


def _more(piece: Piece, along: float, sign: int, other: Piece) -> float:
    """Give how much further a wall runs at one end because of another wall there."""
    turn = _turn(piece.way, other.way)
    if turn < _ACROSS:
        return 0.0
    # Where the two centre lines cross, in the measure of each.
    x, y = piece.way.spot(along, piece.off)
    there, aside = other.way.measure(x, y)
    across = piece.way.x * -other.way.y + piece.way.y * other.way.x
    ahead = sign * (other.off - aside) / across
    if not -piece.thick - _TOUCH_MM <= ahead <= THICKEST_MM + _TOUCH_MM:
        return 0.0
    meets = there + sign * ahead * (piece.way.x * other.way.x + piece.way.y * other.way.y)
    reach = piece.thick / 2 / turn + _TOUCH_MM
    is_corner = min(abs(meets - other.start), abs(meets - other.end)) <= max(reach, THICKEST_MM * (not turn >= _SQUARE))
    inside = other.start - reach <= meets <= other.end + reach
    if not inside:
        return 0.0
    if not is_corner:
        # It runs into the side of the other: up to its face.
        return max(0.0, ahead - other.thick / 2 / turn)
    if turn < _SQUARE:
        return max(0.0, ahead)
    is_level = abs(piece.way.x) > abs(other.way.x) or (abs(piece.way.x) == abs(other.way.x) and piece.way.x > 0)
    return max(0.0, ahead + other.thick / 2 / turn if is_level else ahead - other.thick / 2 / turn)


def _turn(one: Way, other: Way) -> float:
    return abs(one.x * other.y - one.y * other.x)


# -- as records ------------------------------------------------------------------------------------------------------


def _wall(piece: Piece) -> LineWall | None:
    a, b = (tuple(round(value) for value in piece.way.spot(along, piece.off)) for along in (piece.start, piece.end))
    (ax, ay), (bx, by) = a, b
    long = math.dist((ax, ay), (bx, by))
    if long < 1:
        return None
    openings = []
    for hole in sorted(piece.holes, key=lambda each: each.start):
        start = max(0, round(hole.start - piece.start))
        width = min(round(hole.end - hole.start), int(long) - start)
        if width >= 1:
            openings.append(Opening(kind=hole.kind, along_mm=start, width_mm=width))
    return LineWall((ax, ay), (bx, by), max(1, round(piece.thick)), piece.paired, tuple(openings))


def _is_there(new: LineWall, old: Wall) -> bool:
    """Whether a wall is drawn already: one beside it that runs along half of it."""
    long, other = math.dist(new.a_mm, new.b_mm), math.dist(old.a_mm, old.b_mm)
    ux, uy = (new.b_mm[0] - new.a_mm[0]) / long, (new.b_mm[1] - new.a_mm[1]) / long
    vx, vy = (old.b_mm[0] - old.a_mm[0]) / other, (old.b_mm[1] - old.a_mm[1]) / other
    if abs(ux * vy - uy * vx) > math.sin(math.radians(15)):
        return False
    spots = [(x - new.a_mm[0], y - new.a_mm[1]) for x, y in (old.a_mm, old.b_mm)]
    along = [dx * ux + dy * uy for dx, dy in spots]
    off = abs(sum(dx * uy - dy * ux for dx, dy in spots) / 2)
    return off <= _THERE_MM and min(max(along), long) - max(min(along), 0.0) >= _THERE_SHARE * long
