"""A storey as marks by record id; a record whose marks did not change keeps the same tuple.

Three kinds of unit are remembered: a room with all that stands in it, a circuit with its cables on the storey, and each
lone record (sheet, wall, fixture). An edit makes the units anew that it touched and leaves the others as they were.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final, TypeVar

from circuitmap.circuits.views import CircuitView
from circuitmap.drawing.building import room_outline, sheet_marks, wall_marks
from circuitmap.drawing.cables import Ground, circuit_marks, loose_marks
from circuitmap.drawing.dress import (
    PLAIN,
    CircuitDress,
    Dress,
    circuit_dresses,
    circuit_index,
    dress_by_survey,
    point_dresses,
)
from circuitmap.drawing.fixtures import fixture_marks
from circuitmap.drawing.marks import Mark, PointMm
from circuitmap.drawing.roomful import Standing, room_marks
from circuitmap.drawing.standing import WAY_STEP_MM, Frame, Stand
from circuitmap.drawing.units import Key, Row, Units, group
from circuitmap.home import Home
from circuitmap.home.records import Board, Device, Fixture, Point, Room, Run, Sheet, Storey, Wall
from circuitmap.memo import Memo
from circuitmap.plan import area_m2
from circuitmap.plan.outlines import polygon_of
from circuitmap.survey.deduce import Deduced

Marks = tuple[Mark, ...]
_Record = TypeVar("_Record", Sheet, Wall, Fixture)

__all__ = ["Marks", "circuit_index", "plan_marks", "stands_on", "storeys_in_order"]

_BLOCK: Final = 64


@dataclass(frozen=True, slots=True)
class _State:
    """The last plan of a storey and what it was made of; a value, so forks of a memo may share the holder."""

    units: Units
    views: tuple[CircuitView, ...]
    circuits: Mapping[str, CircuitDress]
    dresses: Mapping[str, Dress]
    deduced: Mapping[str, Deduced]
    states: Mapping[str, Dress]
    over_picture: bool
    stands: Mapping[str, Stand]
    standing: Mapping[Key, Mapping[str, Marks]]
    found: dict[str, Marks]


class _Kept:
    """Holds the last state of a storey."""

    def __init__(self) -> None:
        self.state: _State | None = None


def plan_marks(
    home: Home,
    storey: str,
    *,
    views: Sequence[CircuitView],
    deduced: Mapping[str, Deduced],
    memo: Memo,
    states: Mapping[str, Dress] | None = None,
    kept_as: str = "",
) -> dict[str, Marks]:
    """Give the marks of one storey by record id.

    Parameters
    ----------
    views, deduced
        The circuits as they stand, and what the switch-offs say of every point.
    states
        How points are to be dressed instead (a round of the survey); points that it leaves out keep their own.
    kept_as
        A name for this way of showing the storey, so that several are remembered beside each other.
    """
    name = (storey, kept_as)
    shown = states if states is not None else _NO_STATES
    parts = (home, *views, deduced, shown)

    def make() -> dict[str, Marks]:
        kept = memo.get("drawing.kept", name, (), _Kept)
        kept.state = _planned(home, name, tuple(views), deduced, shown, memo, kept.state)
        return kept.state.found

    return memo.get("drawing.plan", name, parts, make)


def stands_on(home: Home, storey: str, memo: Memo) -> Mapping[str, Stand]:
    """Give where the points and boards of a storey are drawn, by id."""

    def make() -> dict[str, Stand]:
        kept = memo.get("drawing.kept", (storey, ""), (), _Kept).state
        units, _ = group(home, storey, memo, kept.units if kept else None)
        return {record: stand for key in units.rows for record, stand in units.stands(key, memo).items()}

    return memo.get("drawing.stands on", storey, (home,), make)


def storeys_in_order(home: Home) -> list[Storey]:
    """Give the storeys, lowest first."""
    return sorted(home.sorted(Storey), key=lambda storey: storey.level)


_NO_STATES: Final[Mapping[str, Dress]] = {}


def _planned(
    home: Home,
    name: tuple[str, str],
    views: tuple[CircuitView, ...],
    deduced: Mapping[str, Deduced],
    states: Mapping[str, Dress],
    memo: Memo,
    last: _State | None,
) -> _State:
    storey, kept_as = name
    units, touched = group(home, storey, memo, last.units if last else None)
    if last is not None and len(views) == len(last.views) and all(map(_is, views, last.views)):
        circuits, dresses = last.circuits, last.dresses
    else:
        circuits = memo.steady("drawing.circuits", kept_as, circuit_dresses(views, memo))
        dresses = point_dresses(views, circuits, memo)
    over_picture = any(s.storey == storey and s.px_to_plan_mm is not None for s in home.table(Sheet).values())
    everywhere = last is None or last.circuits is not circuits or last.over_picture != over_picture
    if last is None or touched is None or everywhere or bool(units.elsewhere) != bool(last.units.elsewhere):
        keys: list[Key] = [*((room.id, 0, 0) for room in units.rooms), *(k for k in units.rows if not k[0])]
        stands: dict[str, Stand] = {}
        standing: dict[Key, Mapping[str, Marks]] = {}
    else:
        altered = [*_differing(dresses, last.dresses), *_differing(deduced, last.deduced)]
        altered += [point for point in {**states, **last.states} if states.get(point) != last.states.get(point)]
        keys = sorted({*touched, *(units.key_of[point] for point in altered if point in units.key_of)})
        stands, standing = dict(last.stands), dict(last.standing)
    dresser = _Dresser(circuits, dresses, deduced, states, memo)
    rooms = {room.id: room for room in units.rooms}
    for key in keys:  # all that left before anything that came: a point may have gone from one unit to the next
        for record in standing.get(key, ()):
            if units.key_of.get(record) != key:
                stands.pop(record, None)
    for key in keys:
        unit = units.stands(key, memo)
        stands.update(unit)
        standing[key] = _room(units, key, rooms.get(key[0]), unit, dresser, over_picture, kept_as, memo)
    found = _building(home, storey, memo)
    for marks in standing.values():
        found.update(marks)
    _cables(home, storey, views, circuits, units, stands, found, memo)
    return _State(units, views, circuits, dresses, deduced, states, over_picture, stands, standing, found)


class _Dresser:
    """Says how a point is dressed: by the round on show, by its circuits, or by what the switch-offs leave."""

    def __init__(
        self,
        circuits: Mapping[str, CircuitDress],
        dresses: Mapping[str, Dress],
        deduced: Mapping[str, Deduced],
        states: Mapping[str, Dress],
        memo: Memo,
    ) -> None:
        self._circuits, self._dresses, self._deduced = circuits, dresses, deduced
        self._states, self._memo = states, memo

    def dress(self, record: Point | Board) -> Dress:
        if isinstance(record, Board):
            return PLAIN
        dress = self._states.get(record.id) or self._dresses.get(record.id)
        return dress or dress_by_survey(self._deduced.get(record.id), self._circuits, self._memo)


def _building(home: Home, storey: str, memo: Memo) -> dict[str, Marks]:
    found: dict[str, Marks] = {}

    def put(record: _Record, make: Callable[[_Record], Marks]) -> None:
        marks = memo.get("drawing.lone", record.id, (record,), partial(make, record))
        if marks:
            found[record.id] = marks

    for sheet in home.table(Sheet).values():
        if sheet.storey == storey:
            put(sheet, sheet_marks)
    for fixture in home.table(Fixture).values():
        if fixture.place.storey == storey:
            put(fixture, fixture_marks)
    for wall in home.table(Wall).values():
        if wall.storey == storey:
            put(wall, wall_marks)
    return found


def _room(
    units: Units,
    key: Key,
    room: Room | None,
    stands: Mapping[str, Stand],
    dresser: _Dresser,
    over_picture: bool,
    kept_as: str,
    memo: Memo,
) -> Mapping[str, Marks]:
    rows, frame = units.rows.get(key, ()), units.frames.get(key[0])
    dresses = [dresser.dress(record) for record, _, _ in rows]
    risers = bool(units.elsewhere)
    parts = (room, stands, over_picture, risers, *(record for record, _, _ in rows), *dresses)

    def make() -> dict[str, Marks]:
        things = [_standing(row, dress, stands, risers) for row, dress in zip(rows, dresses, strict=True)]
        if room is None:
            made = room_marks("", "", None, None, None, (), things)
        else:
            area = area_m2(room.outline_mm) if frame is not None else None
            middle = _middle(room, frame) if frame is not None else None
            made = room_marks(room.id, room.name, area, frame, middle, room_outline(room, over_picture), things)
        return {record: memo.steady("drawing.marks", (kept_as, record), marks) for record, marks in made.items()}

    return memo.get("drawing.room", (kept_as, units.storey, key), parts, make)


def _standing(row: Row, dress: Dress, stands: Mapping[str, Stand], risers: bool) -> Standing:
    record = row[0]
    if isinstance(record, Board):
        label = f"{record.letter_on_map}  {record.name}".strip()
        return Standing(record.id, stands[record.id], dress, label, risers=risers)
    return Standing(record.id, stands[record.id], dress, planned=record.phase == "planned")


def _cables(
    home: Home,
    storey: str,
    views: Sequence[CircuitView],
    circuits: Mapping[str, CircuitDress],
    units: Units,
    stands: Mapping[str, Stand],
    found: dict[str, Marks],
    memo: Memo,
) -> None:
    storeys = home.table(Storey)
    levels = memo.get("drawing.levels", "", (storeys,), lambda: {s.id: s.level for s in storeys.values()})
    ports = memo.get("drawing.ports", "", (home.table(Device), units.boards), partial(_ports, home))
    ground = Ground(storey, stands, units.frames, ports, units.elsewhere, levels)
    beneath = (units.sharing, units.plates, units.boards, units.frames, units.elsewhere, ports, levels)
    claimed: set[str] = set()
    for view in views:
        if view.runs or view.drops:
            device = view.device.id
            make = partial(_circuit, view, circuits[device], ground, memo)
            drawn, ids = memo.get("drawing.circuit", (storey, device), (view, circuits[device], *beneath), make)
            shared = ids & claimed  # ways that are joined have runs in common: the first one's colour holds
            found.update(drawn if not shared else {r: marks for r, marks in drawn.items() if r not in shared})
            claimed |= ids
    runs = home.table(Run)
    if len(claimed) < len(runs):
        blocks: dict[int, list[Run]] = {}
        for run in runs.values():
            if run.id not in claimed:
                blocks.setdefault(int(run.id[1:]) // _BLOCK, []).append(run)
        for number, some in blocks.items():
            ends = (part for run in some for part in (run, ground.end(run.a.at)[0], ground.end(run.b.at)[0]))
            found.update(
                memo.get("drawing.loose", (storey, number), (*beneath, *ends), partial(loose_marks, some, ground))
            )


def _circuit(
    view: CircuitView, circuit: CircuitDress, ground: Ground, memo: Memo
) -> tuple[dict[str, Marks], frozenset[str]]:
    made = circuit_marks(view, circuit, ground)
    drawn = {record: memo.steady("drawing.cables", (ground.storey, record), marks) for record, marks in made.items()}
    return drawn, frozenset(run.id for run in (*view.runs, *view.drops))


def _ports(home: Home) -> dict[str, tuple[str, float]]:
    ports: dict[str, tuple[str, float]] = {}
    for board in home.table(Board):
        devices = home.devices_on(board)
        for rank, device in enumerate(devices):
            ports[device.id] = (board, (rank - (len(devices) - 1) / 2) * WAY_STEP_MM)
    return ports


def _differing(one: Mapping[str, object], other: Mapping[str, object]) -> list[str]:
    if one is other:
        return []
    differing = [key for key, value in one.items() if other.get(key) is not value]
    return differing + [key for key in other if key not in one]


def _is(one: object, other: object) -> bool:
    return one is other


def _middle(room: Room, frame: Frame) -> PointMm:
    if len(frame.sides) == 4:
        left, top, right, bottom = frame.box
        return (left + right) / 2, (top + bottom) / 2
    spot = polygon_of(room.outline_mm).representative_point()
    return float(spot.x), float(spot.y)
