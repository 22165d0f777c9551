"""Cut a home into cases, each the same object while nothing in it changed."""

from collections.abc import Iterable, Iterator
from functools import partial
from typing import TYPE_CHECKING, Final

from circuitmap.circuits import CircuitView, orphans, territory
from circuitmap.findings.rule import (
    BoardCase,
    Case,
    CircuitCase,
    HomeCase,
    NoteCase,
    OrphanCase,
    PlateCase,
    ReadingsCase,
    RoomCase,
    Scope,
    SurveyCase,
    WaterCase,
)
from circuitmap.home.phases import is_there
from circuitmap.home.records import (
    Board,
    Device,
    Fixture,
    Note,
    Place,
    Plate,
    Point,
    Reading,
    Record,
    Room,
    Round,
    Run,
    Supply,
    natural_key,
)
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan import place_of, room_of, rooms_of_points
from circuitmap.plan.zones import WET
from circuitmap.survey import can_deduce
from circuitmap.survey.settle import settle
from circuitmap.trade import Trade

if TYPE_CHECKING:
    from circuitmap.readings.entries import Entry

# With a zone of their own, or with a customary distance.
NEAR_WATER: Final = WET | {"basin", "sink", "hob"}


def cases_of(
    home: Home, trade: Trade, memo: Memo, circuits: tuple[CircuitView, ...]
) -> Iterator[tuple[Scope, str, Case]]:
    """Give every case of a home with its scope and a name that stays the same from edit to edit."""
    details = home.details
    for view in circuits:
        codes: tuple[str, ...] = ()
        if view.shape is not None and len(view.shape.devices) > 1:
            codes = memo.steady("findings.codes", view.device.id, tuple(home.code(d) for d in view.shape.devices))
        parts = (view, details, codes)
        yield (
            "circuit",
            view.device.id,
            memo.get("findings.circuit", view.device.id, parts, partial(CircuitCase, *parts)),
        )
    rooms = rooms_of_points(home, memo)
    for orphan in orphans(home, trade, memo):
        within = tuple(rooms[point.id] for point in orphan.piece.points)
        parts_o = (orphan, *within)
        name = orphan.piece.name
        yield "orphan", name, memo.get("findings.orphan", name, parts_o, partial(OrphanCase, orphan, within))
    yield from _rooms(home, memo, circuits)
    yield from _water(home, memo)
    yield from _plates(home, memo, circuits)
    yield from _notes(home, memo)
    yield from _boards(home, memo, circuits)
    yield "survey", "", _survey(home, memo, trade, circuits)
    if home.table(Reading):
        yield from _readings(home, trade, memo, circuits)
    yield "home", "", _home(home, trade, memo, circuits)


def _feeds(home: Home, memo: Memo, circuits: tuple[CircuitView, ...]) -> dict[str, tuple[CircuitView, ...]]:
    def make() -> dict[str, tuple[CircuitView, ...]]:
        found: dict[str, list[CircuitView]] = {}
        for view in circuits:
            for name in view.names:
                found.setdefault(name, []).append(view)
        return {name: tuple(views) for name, views in found.items()}

    return memo.get("findings.feeds", "", (circuits,), make)


def _rooms(home: Home, memo: Memo, circuits: tuple[CircuitView, ...]) -> Iterator[tuple[Scope, str, Case]]:
    rooms = rooms_of_points(home, memo)
    points = home.table(Point)
    feeds = _feeds(home, memo, circuits)

    def make() -> dict[str, list[Point]]:
        inside: dict[str, list[Point]] = {}
        for point in points.values():
            room = rooms[point.id]
            if room is not None and is_there(point):
                inside.setdefault(room.id, []).append(point)
        return inside

    inside = memo.get("findings.inside", "", (points, rooms), make)
    for room_id, within in inside.items():
        room = home.take(Room, room_id)
        fed = [feeds.get(point.id, ()) for point in within]
        parts = (room, *within, *(view for views in fed for view in views))
        case = memo.get("findings.room", room_id, parts, partial(RoomCase, room, tuple(within), tuple(fed)))
        yield "room", room_id, case


def _water(home: Home, memo: Memo) -> Iterator[tuple[Scope, str, Case]]:
    standing: dict[str, list[Fixture]] = {}
    for fixture in home.sorted(Fixture):
        if fixture.kind in NEAR_WATER:
            room = room_of(home, memo, fixture)
            if room is not None:
                standing.setdefault(room.id, []).append(fixture)
    if not standing:
        return
    rooms = rooms_of_points(home, memo)
    placed: dict[str, list[tuple[Point, Place]]] = {}
    for point in home.sorted(Point):
        room, place = rooms[point.id], place_of(home, point)
        if room is not None and room.id in standing and place is not None and point.phase == "existing":
            placed.setdefault(room.id, []).append((point, place))
    for room_id, fixtures in standing.items():
        room = home.take(Room, room_id)
        there = [each for each in placed.get(room_id, []) if each[1].storey == room.storey]
        points, places = tuple(point for point, _ in there), tuple(place for _, place in there)
        parts = (room, home.details, *fixtures, *points, *places)
        make = partial(WaterCase, room, tuple(fixtures), points, places, home.details)
        yield "water", room_id, memo.get("findings.water", room_id, parts, make)


def _plates(home: Home, memo: Memo, circuits: tuple[CircuitView, ...]) -> Iterator[tuple[Scope, str, Case]]:
    if not home.table(Plate):
        return
    feeds = _feeds(home, memo, circuits)
    on: dict[str, list[Point]] = {}
    for point in home.table(Point).values():
        if point.plate is not None and is_there(point):
            on.setdefault(point.plate, []).append(point)
    for plate_id, points in on.items():
        plate = home.take(Plate, plate_id)
        points.sort(key=lambda point: natural_key(point.id))
        views: dict[str, CircuitView] = {}
        for point in points:
            for other in (point.id, *(point.controls if not feeds.get(point.id) else ())):
                views.update({view.device.id: view for view in feeds.get(other, ())})
        room = room_of(home, memo, plate)
        fed = tuple(views[i] for i in sorted(views, key=natural_key))
        parts = (plate, room, *points, *fed)
        yield (
            "plate",
            plate_id,
            memo.get("findings.plate", plate_id, parts, partial(PlateCase, plate, tuple(points), room, fed)),
        )


def _notes(home: Home, memo: Memo) -> Iterator[tuple[Scope, str, Case]]:
    for note in home.table(Note).values():
        if note.cleared is not None or not note.seen:
            continue
        subject: Record = home.get(note.subject)
        room: Room | None = None
        if isinstance(subject, Room):
            room = subject
        elif isinstance(subject, Point) or place_of(home, subject):
            room = room_of(home, memo, subject)
        code = memo.steady("findings.note code", note.id, _code(home, subject))
        parts = (note, subject, room, code)
        yield "note", note.id, memo.get("findings.note", note.id, parts, partial(NoteCase, *parts))


def _code(home: Home, subject: Record) -> str:
    if isinstance(subject, Device):
        return home.code(subject.id)
    if isinstance(subject, Run):
        ends = (end.at for end in (subject.a, subject.b) if end.at)
        return " and ".join(home.code(i) if home.find(Device, i) else i for i in ends)
    return ""


def _boards(home: Home, memo: Memo, circuits: tuple[CircuitView, ...]) -> Iterator[tuple[Scope, str, Case]]:
    supply = next(iter(home.sorted(Supply)), None)
    mine: dict[str, list[CircuitView]] = {}
    for view in circuits:
        mine.setdefault(view.board.id, []).append(view)
    for board in home.sorted(Board):
        devices = tuple(device for device in home.devices_on(board.id) if is_there(device))
        here = tuple(mine.get(board.id, ()))
        parts = (board, supply, home.details, *devices, *here)
        make = partial(BoardCase, board, devices, here, supply, home.details)
        yield "board", board.id, memo.get("findings.board", board.id, parts, make)


def _survey(home: Home, memo: Memo, trade: Trade, circuits: tuple[CircuitView, ...]) -> SurveyCase:
    deduced = settle(home, memo, trade)
    rooms = rooms_of_points(home, memo)
    points, rounds = home.table(Point), home.table(Round)
    supply = next(iter(home.sorted(Supply)), None)
    parts = (deduced, points, rooms, rounds, circuits, supply)

    def make() -> SurveyCase:
        ordered = tuple(deduced[i] for i in sorted(deduced, key=natural_key) if points[i].phase == "existing")
        return SurveyCase(ordered, points, rooms, tuple(home.sorted(Round)), circuits, supply, can_deduce(home))

    return memo.get("findings.survey", "", parts, make)


def _readings(
    home: Home, trade: Trade, memo: Memo, circuits: tuple[CircuitView, ...]
) -> Iterator[tuple[Scope, str, Case]]:
    # Only a home with readings pays for loading what judges them; by the map, which loads a solver, nothing is judged.
    from circuitmap.readings.book import readings_of, readings_of_no_way
    from circuitmap.readings.judged import Judged, judged, judged_supply
    from circuitmap.readings.judged_insulation import left_in
    from circuitmap.readings.odd import Problem

    def case(view: CircuitView | None, found: tuple[Judged, ...], odd: tuple[Problem, ...],
             apart: frozenset[str], shown: tuple[tuple[str, str], ...]) -> Iterator[tuple[Scope, str, Case]]:  # fmt: skip
        if not (found or odd):
            return
        name = view.device.id if view is not None else ""
        ids = dict.fromkeys(i for each in found for i in each.at)
        names = memo.steady("findings.reading names", name, tuple((i, _named(home, i)) for i in ids))
        apart = memo.steady("findings.readings apart", name, apart)
        parts = (view, found, odd, names, apart, memo.steady("findings.readings shown", name, shown))
        yield "readings", name, memo.get("findings.readings", name, parts, partial(ReadingsCase, *parts))

    for view in circuits:
        book = readings_of(home, view, memo)
        if not book.entries:
            continue
        apart = frozenset(e.reading.id for e in book.entries if e.test == "insulation" and not left_in(view, e))
        shown = tuple((e.reading.id, _what_was_read(e)) for e in book.entries if e.value_si is not None)
        yield from case(view, judged(home, view, trade, memo, by_map=False), book.problems, apart, shown)
    loose = memo.steady("findings.loose readings", "", readings_of_no_way(home, circuits, memo).problems)
    yield from case(None, judged_supply(home, trade, memo), loose, frozenset(), ())


def _what_was_read(entry: "Entry") -> str:
    cores = entry.reading.cores
    ends = {"L": "r1", "N": "rn", "E": "r2"}.get(cores[0], "") if entry.test == "ring end to end" and cores else ""
    at = f" at {entry.at}" if not ends and entry.at is not None and entry.at.startswith("P") else ""
    return f"{ends or ' to '.join(dict.fromkeys(cores)) or entry.test} {entry.shown}{at}"


def _named(home: Home, record_id: str) -> str:
    record = home.peek(record_id)
    if isinstance(record, Device):
        return home.code(record_id)
    return f"board {record.letter_on_map}" if isinstance(record, Board) else record_id


def _home(home: Home, trade: Trade, memo: Memo, circuits: tuple[CircuitView, ...]) -> HomeCase:
    supplies, boards = tuple(home.sorted(Supply)), tuple(home.sorted(Board))
    labels = tuple(_label(home, trade, memo, view) for view in _worth_a_label(circuits))
    parts = (home.details, circuits, *supplies, *boards, *labels)
    return memo.get("findings.home", "", parts, partial(HomeCase, home.details, supplies, boards, circuits, labels))


def _worth_a_label(circuits: Iterable[CircuitView]) -> Iterator[CircuitView]:
    return (view for view in circuits if view.members)


def _label(home: Home, trade: Trade, memo: Memo, view: CircuitView) -> tuple[str, str]:
    return memo.get(
        "findings.label", view.device.id, (view, home.details, home.table(Room)),
        lambda: (view.device.id, territory(view, home, trade).label),
    )  # fmt: skip
