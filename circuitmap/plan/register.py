"""Storeys in register: one laid over another by common points, their heights, and the stairs that join them.

Common points are what runs through storeys: the corners of a chimney breast, a stairwell, a soil pipe.
"""

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import msgspec

from circuitmap.errors import HomeError
from circuitmap.home.change import Change, Pair
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Board, Fixture, Place, Plate, Point, Record, Room, Run, Sheet, Storey, Wall
from circuitmap.home.snapshot import Home
from circuitmap.plan.rectify import compose
from circuitmap.plan.sheet import Spot, Transform, to_plan
from circuitmap.quantities import show_length, show_percent
from circuitmap.trade import Trade

Turn = Literal["free", "quarter", "none"]
Common = tuple[Spot, Spot]

_LEAST_APART_MM: Final = 500.0
_LEAST_APART_PX: Final = 10.0
# A hand sets a point within some 5 cm of a plan; what lies further off was set on something else.
_OFF_MM: Final = 50.0
_SAME_SIZE: Final = 0.005
_MOST_TIMES: Final = 5.0
_CORNER: Final = 1j
# A stair of a flight and a landing comes out so far aside at most (common practice, no source).
_ASIDE_MM: Final = 4000.0


@dataclass(frozen=True)
class Fit:
    """How one plan lies on another: ``transform`` moves, ``times`` and ``turn_deg`` are what it does to size and turn.

    ``rms`` is the root of the mean square, ``worst`` the greatest of the distances that the common points still lie
    apart, and ``worst_at`` that point's place in the list; ``says`` puts it in words.
    """

    transform: Transform
    times: float
    turn_deg: float
    rms: float
    worst: float
    worst_at: int
    says: str


@dataclass(frozen=True)
class Level:
    """How high a storey's floor lies over that of the ground storey, and its ceiling over its floor, in mm."""

    floor_mm: float
    height_mm: float
    assumed: bool


@dataclass(frozen=True)
class Stairs:
    """A stair between two storeys: the fixture at its foot and that at its head (one of them may not be drawn)."""

    foot: Fixture | None
    head: Fixture | None
    foot_mm: tuple[int, int]
    head_mm: tuple[int, int]


def fit(
    common: Sequence[Common], *, keep_size: bool = False, turn: Turn = "free", least: float = _LEAST_APART_MM
) -> Fit:
    """Give the shift, turn and size that bring common points together, by least squares where there are more than two.

    With ``z`` and ``w`` the points here and there as complex numbers less their means: the factor is
    ``a = Σ z̄w / Σ|z|²``; its angle is the turn and its size the change of size, unless either is kept.

    **Source:** S. Umeyama, Least-squares estimation of transformation parameters, IEEE PAMI 13 (1991), in the plane.

    Parameters
    ----------
    common
        Pairs: where a point lies here, and where it lies on the other plan.
    keep_size
        True when both plans are to scale already.
    turn
        "quarter" keeps walls along the plan's directions: only whole quarter turns; "none" allows no turn at all.
    least
        How far apart the points must lie here, in the unit that they have here; there they are millimetres.

    Raises
    ------
    HomeError
        When there are fewer than two points, they lie too close together, or the sizes can't be right.
    """
    if len(common) < 2:
        raise HomeError("Two common points are needed, like two corners of a chimney breast and of the stairwell.")
    here, there = [complex(*a) for a, _ in common], [complex(*b) for _, b in common]
    if not all(cmath.isfinite(spot) for spot in (*here, *there)):
        raise HomeError("One of the common points is nowhere on the plan; set it again.")
    if _reach(here) < least or _reach(there) < _LEAST_APART_MM:
        raise HomeError("The common points lie too close together; choose two that lie far apart, across the house.")
    z_mean, w_mean = sum(here) / len(here), sum(there) / len(there)
    zs, ws = [z - z_mean for z in here], [w - w_mean for w in there]
    product = sum(z.conjugate() * w for z, w in zip(zs, ws, strict=True))
    square = sum(abs(z) ** 2 for z in zs)
    way = 1 + 0j
    if turn == "free" and product:
        way = product / abs(product)
    elif turn == "quarter":
        way = _CORNER ** (round(cmath.phase(product) / (math.pi / 2)) % 4)
    times = 1.0 if keep_size else (way.conjugate() * product).real / square
    if times <= 0:
        raise HomeError(
            "The common points go round the other way there; check that each pair is one and the same spot."
        )
    factor = times * way
    shift = w_mean - factor * z_mean
    off = [abs(factor * z - w) for z, w in zip(zs, ws, strict=True)]
    worst_at = max(range(len(off)), key=off.__getitem__)
    rms = math.sqrt(sum(value**2 for value in off) / len(off))
    transform = (factor.real, -factor.imag, shift.real, factor.imag, factor.real, shift.imag, 0.0, 0.0, 1.0)
    turned = math.degrees(cmath.phase(factor))
    says = _words(off[worst_at], worst_at, len(off), times)
    return Fit(transform, times, turned, rms, off[worst_at], worst_at, says)


def sheet_in_register(
    home: Home, sheet: str, common: Sequence[Common], *, keep_size: bool = False, turn: Turn = "free"
) -> tuple[Change, Fit]:
    """Lay a sheet over the plan by common points: pixels of the sheet, and where they lie in plan millimetres.

    A sheet that was straightened or has a scale keeps what it has and is moved on the plan; one without gets its scale
    from the points.

    Raises
    ------
    HomeError
        As ``fit``, and when the size of a sheet without a scale is to be kept.
    """
    record = home.take(Sheet, sheet)
    before = record.px_to_plan_mm
    if before is None:
        if keep_size:
            raise HomeError("This sheet has no scale to keep; let the common points give it one.")
        found = fit(common, turn=turn, least=_LEAST_APART_PX)
        transform = found.transform
    else:
        found = fit([(to_plan(before, *px), mm) for px, mm in common], keep_size=keep_size, turn=turn)
        _check_times(found)
        transform = compose(found.transform, before)
    after = msgspec.structs.replace(record, px_to_plan_mm=transform)
    return Change("Lay the sheet in register", ((record, after),) if after != record else ()), found


def storey_in_register(
    home: Home, storey: str, common: Sequence[Common], *, keep_size: bool = True, turn: Turn = "quarter"
) -> tuple[Change, Fit]:
    """Move all that stands on a storey so that its common points come to lie over those of another.

    Raises
    ------
    HomeError
        As ``fit``, and when the storey would become many times larger or smaller.
    """
    found = fit(common, keep_size=keep_size, turn=turn)
    _check_times(found)
    return move_storey(home, storey, found), found


def move_storey(home: Home, storey: str, by: Fit) -> Change:
    """Give the change that moves, turns and sizes everything drawn on a storey: sheets, rooms, walls, places, paths.

    Openings keep their place in their wall; thicknesses and heights stay as they are.
    """
    name = shorten(home.take(Storey, storey).name, 30)
    pairs: list[Pair] = []
    for record in home.all():
        after = _moved(record, storey, by)
        if after != record:
            pairs.append((record, after))
    return Change(f"Lay storey “{name}” in register", tuple(pairs))


def levels(home: Home, trade: Trade) -> dict[str, Level]:
    """Give the heights of all storeys: as recorded, else by usual heights from the ground storey up and down."""
    usual, slab = trade.size_mm("storey height"), trade.size_mm("floor thickness")
    by_level: dict[int, list[Storey]] = {}
    for storey in home.sorted(Storey):
        by_level.setdefault(storey.level, []).append(storey)
    if not by_level:
        return {}
    floors: dict[int, tuple[float, bool]] = {0: _said(by_level.get(0, ())) or (0.0, False)}
    for level in range(1, max(by_level) + 1):
        height = _height(by_level.get(level - 1, ()), usual)
        floors[level] = _said(by_level.get(level, ())) or (floors[level - 1][0] + height + slab, True)
    for level in range(-1, min(by_level) - 1, -1):
        height = _height(by_level.get(level, ()), usual)
        floors[level] = _said(by_level.get(level, ())) or (floors[level + 1][0] - height - slab, True)
    found = {}
    for level, storeys in by_level.items():
        for storey in storeys:
            floor, assumed = (storey.floor_mm, False) if storey.floor_mm is not None else floors[level]
            height = storey.height_mm if storey.height_mm is not None else usual
            found[storey.id] = Level(float(floor), float(height), assumed or storey.height_mm is None)
    return found


def stairs_between(home: Home, lower: str, upper: str) -> tuple[Stairs, ...]:
    """Give the stairs that join two storeys: pairs of stair fixtures nearest each other, then those drawn on one only.

    A stair drawn on one storey only is taken to go straight up; it counts only where no pair was found.
    """
    stairs = [fixture for fixture in home.sorted(Fixture) if fixture.kind == "stair"]
    feet = [fixture for fixture in stairs if fixture.place.storey == lower]
    heads = [fixture for fixture in stairs if fixture.place.storey == upper]
    apart = sorted(
        ((math.dist(_at(foot), _at(head)), n, m) for n, foot in enumerate(feet) for m, head in enumerate(heads)),
    )
    found: list[Stairs] = []
    taken: set[tuple[str, int]] = set()
    for distance, n, m in apart:
        if distance <= _ASIDE_MM and ("foot", n) not in taken and ("head", m) not in taken:
            taken |= {("foot", n), ("head", m)}
            found.append(Stairs(feet[n], heads[m], _at(feet[n]), _at(heads[m])))
    if found:
        return tuple(found)
    alone = [Stairs(foot, None, _at(foot), _at(foot)) for foot in feet]
    return (*alone, *(Stairs(None, head, _at(head), _at(head)) for head in heads))


def _at(fixture: Fixture) -> tuple[int, int]:
    return fixture.place.x_mm, fixture.place.y_mm


def _said(storeys: Sequence[Storey]) -> tuple[float, bool] | None:
    known = [storey.floor_mm for storey in storeys if storey.floor_mm is not None]
    return (float(known[0]), False) if known else None


def _height(storeys: Sequence[Storey], usual: float) -> float:
    return max((float(storey.height_mm) for storey in storeys if storey.height_mm is not None), default=usual)


def _reach(spots: Sequence[complex]) -> float:
    return max(abs(a - b) for a in spots for b in spots)


def _words(worst: float, worst_at: int, count: int, times: float) -> str:
    says = ""
    if worst > _OFF_MM:
        if count == 2:
            says = f"The two points lie {show_length(worst)} off each: the sizes of the two plans disagree."
        else:
            says = f"Common point {worst_at + 1} of {count} lies {show_length(worst)} off: check it."
    if abs(times - 1) > _SAME_SIZE and 1 / _MOST_TIMES < times < _MOST_TIMES:
        more = "larger" if times > 1 else "smaller"
        says = f"{says} It becomes {show_percent(abs(times - 1))} {more}.".strip()
    return says


def _check_times(found: Fit) -> None:
    if not 1 / _MOST_TIMES < found.times < _MOST_TIMES:
        raise HomeError("It would become many times larger or smaller; check its scale and the common points.")


def _moved(record: Record, storey: str, by: Fit) -> Record:
    replace = msgspec.structs.replace
    match record:
        case Sheet() if record.storey == storey and record.px_to_plan_mm is not None:
            return replace(record, px_to_plan_mm=compose(by.transform, record.px_to_plan_mm))
        case Storey() if record.id == storey and record.no_walls:
            lines = (replace(each, a_mm=_whole(by, each.a_mm), b_mm=_whole(by, each.b_mm)) for each in record.no_walls)
            return replace(record, no_walls=tuple(lines))
        case Room() if record.storey == storey and record.outline_mm:
            return replace(record, outline_mm=tuple(_whole(by, corner) for corner in record.outline_mm))
        case Wall() if record.storey == storey:
            openings = tuple(
                replace(
                    each, along_mm=round(each.along_mm * by.times), width_mm=max(1, round(each.width_mm * by.times))
                )
                for each in record.openings
            )
            return replace(record, a_mm=_whole(by, record.a_mm), b_mm=_whole(by, record.b_mm), openings=openings)
        case Fixture() if record.place.storey == storey:
            outline = tuple(_whole(by, corner) for corner in record.outline_mm)
            return replace(record, place=_placed(by, record.place), outline_mm=outline)
        case Point() | Plate() | Board() if record.place is not None and record.place.storey == storey:
            return replace(record, place=_placed(by, record.place))
        case Run() if any(corner[0] == storey for corner in record.path_mm):
            path = tuple((s, *_whole(by, (x, y)), z) if s == storey else (s, x, y, z) for s, x, y, z in record.path_mm)
            return replace(record, path_mm=path)
        case _:
            return record


def _placed(by: Fit, place: Place) -> Place:
    x, y = _whole(by, (place.x_mm, place.y_mm))
    faces = place.faces_deg
    if faces is not None:
        faces = round((faces + by.turn_deg) % 360, 1) % 360
    return msgspec.structs.replace(place, x_mm=x, y_mm=y, faces_deg=faces)


def _whole(by: Fit, corner: tuple[int, int]) -> tuple[int, int]:
    x, y = to_plan(by.transform, *corner)
    return round(x), round(y)
