"""What all options of an extension are made from: the space with its ends, the wishes, prices, and a plan of each."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from math import dist, inf
from typing import Final, Literal

from msgspec import structs

from circuitmap.circuits import CircuitView
from circuitmap.extension.asked import Asked
from circuitmap.extension.book_costs import costs_of
from circuitmap.extension.ends import Placed, on_face, place_ends
from circuitmap.extension.kinds import OptionKind
from circuitmap.extension.pathing import worths
from circuitmap.extension.pricebook import Book
from circuitmap.extension.space import space_of, spot_of
from circuitmap.extension.spots import RouteError, Space, Spot3, Structure, face_of
from circuitmap.extension.takeoff import Fitting, Job
from circuitmap.extension.wish_words import LIGHT_SWITCHES
from circuitmap.extension.wished import Wished, wished
from circuitmap.home.change import Change, Pair
from circuitmap.home.records import Board, End, Point, Run, Wish
from circuitmap.plan.where import room_of
from circuitmap.trade import PointRow
from circuitmap.words import Act, RunRole, Switching

USUAL: Final[Mapping[str, str]] = {"sockets": "T&E 2.5/1.5", "appliances": "T&E 2.5/1.5", "lights": "T&E 1.5/1.0"}
# A cable is cut where at least so much of it lies in the void, to leave room for two joints (our own choice).
LEAST_TO_CUT_MM: Final = 500.0
RUNS_A_LOT: Final = 60  # how many ids are kept for the runs of one lot, so that two lots never share one
IDS_A_PART: Final = 100
_CUT_AT: Final = (0.5, 0.25, 0.75)  # shares of a stretch, the best first
Family = Literal["sockets", "appliances", "lights", "own", "taken out", "controls"]


@dataclass(frozen=True, eq=False)
class Lot:
    """Wishes that are answered together, because one circuit may feed them all; ``number`` keeps its ids apart."""

    number: int
    family: Family
    wishes: tuple[Wished, ...]

    @property
    def ids(self) -> tuple[str, ...]:
        """Give the ids of the points that are fed; of a lot of switches those."""
        return tuple(each.point.id for each in self.wishes if each not in self.switches)

    @property
    def switches(self) -> tuple[Wished, ...]:
        """Give the switches that are wished for together with lights."""
        return tuple(each for each in self.wishes if each.row.family == "controls") if self.family == "lights" else ()


@dataclass(frozen=True, eq=False)
class Leg:
    """One new cable, from one thing on the map to another, between two ends in the space.

    ``cable`` where it is another than its plan's.
    """

    a: End
    b: End
    at: tuple[int, int]
    role: RunRole = "feed"
    cable: str = ""


@dataclass(frozen=True, eq=False)
class Plan:
    """How an option would be made: its legs, what else is put and altered, what is joined, and what speaks against it.

    ``pairs`` hold all that is altered or taken, and what is put beside the wishes themselves.
    """

    kind: OptionKind
    key: str
    view: CircuitView | None
    lot: Lot
    placed: Placed
    cable: str
    legs: tuple[Leg, ...] = ()
    pairs: tuple[Pair, ...] = ()
    joined: tuple[str, ...] = ()
    fittings: tuple[Fitting, ...] = ()
    joints: int = 0
    new_device: str = ""
    failed: tuple[str, ...] = ()
    unsure: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Ground:
    """A home with an extension, laid out once for all options."""

    asked: Asked
    book: Book
    job: Job
    space: Space
    wishes: tuple[Wished, ...]
    refused: tuple[tuple[int, str], ...]
    placed: Placed
    at: Mapping[str, int]
    worths: Sequence[Sequence[float]]
    spots: Mapping[str, Spot3] = field(default_factory=dict)
    first: Change | None = None
    part: int = 0

    def spare_id(self, lot: "Lot", more: int = 0) -> str:
        """Give the id of a planned point beside the wishes themselves, one that no other lot takes."""
        return self.asked.home.next_id(
            Point, (0 if self.first else self.part * IDS_A_PART) + len(self.wishes) + 4 * lot.number + more
        )

    def spot_index(self, record_id: str) -> int | None:
        """Give which end a thing is; a device is at its board."""
        if record_id in self.at:
            return self.at[record_id]
        device = next((v.device for v in self.asked.views if v.device.id == record_id), None)
        return self.at.get(device.board) if device is not None else None


def laid_out(
    asked: Asked,
    wanted: Mapping[int, Wish],
    book: Book,
    job: Job,
    structure: Structure | None = None,
    *,
    first: Change | None = None,
    part: int = 0,
) -> Ground:
    """Lay out the space of a home for some wishes, by their numbers, with what lies between each two ends.

    Parameters
    ----------
    first
        What was altered already to come to this home: points that move are taken out of where they are.
    part
        Which part of an extension this is; keeps the ids of parts from each other.
    """
    space = space_of(asked.home, asked.memo, asked.trade, costs_of(book, USUAL["sockets"], job), structure,
                     on_surface=job.on_surface)  # fmt: skip
    wishes, refused = wished(asked, wanted, space, 0 if first else part * IDS_A_PART)
    spots: dict[str, Spot3] = {}
    with_lights = any(family_of(each) in ("lights", "controls") for each in wishes)
    with_switches = any(family_of(each) == "controls" for each in wishes)
    for record in _sources(asked, with_lights=with_lights, with_switches=with_switches):
        spot = _usable(asked, space, record)
        if spot is not None:
            spots[record.id] = spot
    news = [each for each in wishes if each.wish.act != "remove"]
    spots |= _in_voids(asked, space)
    spots |= {each.point.id: each.spot for each in news}
    placed = place_ends(space, tuple(spots.values()))
    first_new = len(spots) - len(news)
    table = worths(placed, range(first_new, len(spots))).tolist() if spots else []
    at = {i: n for n, i in enumerate(spots)}
    return Ground(asked, book, job, space, wishes, refused, placed, at, table, spots, first, part)


def _sources(asked: Asked, *, with_lights: bool, with_switches: bool) -> Iterable[Point | Board]:
    """Give what new cables could come from: boards, and the points of circuits that runs are drawn to."""
    trade = asked.trade
    yield from asked.home.sorted(Board)
    seen: set[str] = set()
    if with_switches:
        works = [point for point in asked.home.sorted(Point) if point.controls and point.phase == "existing"]
        seen.update(point.id for point in works)
        yield from works
    for view in asked.views:
        rows = [trade.point(member.point.kind) for member in view.members]
        if not any(row.is_socket_outlet or (with_lights and row.is_light) for row in rows):
            continue
        reached = {end.at for run in view.runs for end in (run.a, run.b)}
        for member in view.members:
            if member.point.id in reached and member.point.id not in seen:
                seen.add(member.point.id)
                yield member.point


def _in_voids(asked: Asked, space: Space) -> dict[str, Spot3]:
    """Give where cables of rings can be cut in a floor or a loft: about the middle of their longest stretch there.

    Only a recorded path tells; names are those of ``void_of``.
    """
    heights = {face.storey: face.height_mm for face in space.faces.values()}
    found: dict[str, Spot3] = {}
    for view in asked.views:
        loop = view.shape.loop_runs if view.shape is not None else ()
        for run in view.runs:
            if run.id not in loop:
                continue
            stretches = [
                (dist(a[1:3], b[1:3]), a, b)
                for a, b in pairwise(run.path_mm)
                if a[0] == b[0] and min(a[3], b[3]) >= heights.get(a[0], inf)
            ]
            tried = [(each, share) for each in sorted(stretches, reverse=True) for share in _CUT_AT]
            for (length, a, b), share in tried:
                if length < LEAST_TO_CUT_MM:
                    break
                x, y = a[1] + (b[1] - a[1]) * share, a[2] + (b[2] - a[2]) * share
                spot = Spot3(a[0], x, y, heights[a[0]], name=f"the cut in {run.id}")
                try:
                    place_ends(space, (spot,))
                except RouteError:
                    continue
                found[void_of(run.id)] = spot
                break
    return found


def void_of(run_id: str) -> str:
    """Give the name of the end at which a run can be cut in a void."""
    return f"{run_id} in its void"


def _usable(asked: Asked, space: Space, record: Point | Board) -> Spot3 | None:
    """Give the end at a thing, at the usual height where nobody measured; None where no cable can be brought."""
    try:
        spot = spot_of(asked.home, asked.trade, record)
    except RouteError:
        return None
    try:
        if spot.faces_deg is not None:
            face = face_of(space.faces.values(), spot)
            if face is None or spot.z_mm is None:
                return None
            on_face(face, spot)
        else:
            place_ends(space, (spot,))
    except RouteError:
        return None
    return spot


def lots_of(ground: Ground, begin: int = 0) -> tuple[Lot, ...]:
    """Put wishes together that one circuit may feed; what wants a way of its own and what goes stand alone.

    A switch that names nothing goes with the lights that are wished for in its room.
    """
    wishes, lit = _lit(ground)
    together: dict[Family, list[Wished]] = {}
    alone: list[tuple[Family, list[Wished]]] = [("lights", held) for held in lit]
    for each in wishes:
        family = family_of(each)
        if family in ("own", "taken out", "controls"):
            alone.append((family, [each]))
        else:
            together.setdefault(family, []).append(each)
    every = [*together.items(), *alone]
    return tuple(Lot(number, family, tuple(held)) for number, (family, held) in enumerate(every, begin))


def _lit(ground: Ground) -> tuple[list[Wished], list[list[Wished]]]:
    """Part wishes into those without a switch of their own, and lights with the switches wished in their rooms."""
    home, memo = ground.asked.home, ground.asked.memo
    by_room: dict[str, list[Wished]] = {}
    for each in ground.wishes:
        is_switch = each.row.kind in LIGHT_SWITCHES and each.wish.point is None and each.wish.act == "add"
        room = room_of(home, memo, each.point) if is_switch or each.row.is_light else None
        if room is not None and each.wish.act != "remove":
            by_room.setdefault(room.id, []).append(each)
    lit: list[list[Wished]] = []
    for held in by_room.values():
        lights = [each for each in held if each.row.is_light]
        switches = [each for each in held if not each.row.is_light]
        if lights and switches:
            works = tuple(each.point.id for each in lights)
            how: Switching = "one way" if len(switches) == 1 else "two way"
            points = [structs.replace(each.point, controls=works, switching=how) for each in switches]
            if len(points) > 2:
                points[1:-1] = [structs.replace(point, switching="intermediate") for point in points[1:-1]]
            lit.append([*lights, *(replace(e, point=p) for e, p in zip(switches, points, strict=True))])
    taken = {each.number for held in lit for each in held}
    return [each for each in ground.wishes if each.number not in taken], lit


def family_of(each: Wished) -> Family:
    """Give what kind of circuit a wish belongs on."""
    return family_by(each.wish.act, each.row)


def family_by(act: Act, row: PointRow) -> Family:
    """Give what kind of circuit a kind of point belongs on."""
    if act == "remove":
        return "taken out"
    if row.family in ("lights", "alarms") or row.kind == "extractor fan":
        return "lights"
    if row.family == "controls":
        return "controls"
    if row.is_socket_outlet or row.family == "sockets" or row.through_fuse:
        return "sockets"
    if row.family == "dedicated" or row.dedicated_usually or row.cooking:
        return "own"
    return "appliances"


def moved_end(run: Run, was: str, to: str) -> Run:
    """Give a run with its end at one thing brought to another."""
    if run.a.at == was:
        return structs.replace(run, a=End(at=to))
    return structs.replace(run, b=End(at=to))


def end_of(run: Run, at: str) -> End:
    """Give the end that a run has at something."""
    return run.a if run.a.at == at else run.b


def counted(point: Point, more: int) -> Pair | None:
    """Give a point with so many more cables than were counted there; nothing where nobody counted."""
    if point.cables_seen is None or not more:
        return None
    return point, structs.replace(point, cables_seen=max(point.cables_seen + more, 0))
