"""What must hold beyond types and references: sentences for a person when it doesn't."""

from collections.abc import Iterator
from datetime import date, datetime
from typing import TYPE_CHECKING

from circuitmap.home.records import Board, Check, Device, Isolation, Point, Record, Room, Round, Run, Sheet, Visit

if TYPE_CHECKING:
    from circuitmap.home.snapshot import Home


def problems_of(record: Record, home: "Home") -> Iterator[str]:
    """Give what is wrong with a record as it stands in a home, a sentence each; references are checked elsewhere."""
    check = _CHECKS.get(type(record))
    if check is not None:
        yield from check(record, home)


def _room(record: Record, _home: "Home") -> Iterator[str]:
    assert isinstance(record, Room)
    corners = record.outline_mm
    if not corners:
        return
    if len(set(corners)) < 3:
        yield f"Room “{shorten(record.name)}” needs at least three different corners."
        return
    if record.storey is None:
        yield f"Room “{shorten(record.name)}” has an outline but no storey to stand on."
    from shapely import Polygon, is_valid_reason

    reason = is_valid_reason(Polygon(corners))
    if reason != "Valid Geometry":
        where = reason[reason.find("[") + 1 : -1].split()
        at = f" near {float(where[0]) / 1000:.2f} m, {float(where[1]) / 1000:.2f} m" if len(where) == 2 else ""
        name = shorten(record.name)
        yield f"The outline of room “{name}” crosses or touches itself{at}; move a corner so that it doesn't."


def _board(record: Record, home: "Home") -> Iterator[str]:
    assert isinstance(record, Board)
    for other in home.table(Board).values():
        if other.id != record.id and other.letter_on_map == record.letter_on_map:
            yield f"There is already a board {record.letter_on_map} ({other.id}); give this one another letter."
            return


def _device(record: Record, home: "Home") -> Iterator[str]:
    assert isinstance(record, Device)
    seen = {record.id}
    upstream = record.upstream
    while upstream is not None:
        if upstream in seen:
            yield f"Way {record.way or record.id} can't be under itself; choose another device over it."
            break
        seen.add(upstream)
        above = home.find(Device, upstream)
        upstream = above.upstream if above else None
    if record.way:
        for other in home.devices_on(record.board):
            # What is planned may come into the way of what is to go; what was taken out is in no way any more.
            if other.id != record.id and other.way == record.way and other.phase == record.phase != "removed":
                letter = home.letter_of(record.board)
                yield f"Board {letter} already has a way {record.way} ({other.id}); give this one another number."
                return


def _point(record: Record, _home: "Home") -> Iterator[str]:
    assert isinstance(record, Point)
    if record.place is not None and record.plate is not None:
        yield f"Point {record.id} has both a place and a plate; take one of them away."
    if record.id in record.controls:
        yield f"Point {record.id} can't work itself."


def _run(record: Record, _home: "Home") -> Iterator[str]:
    assert isinstance(record, Run)
    for end, name in ((record.a, "first"), (record.b, "second")):
        if end.state == "joined" and end.at is None:
            yield f"The {name} end of run {record.id} goes nowhere; join it, or say that nobody followed it."
    if record.a.at is not None and record.a.at == record.b.at and record.a.side == record.b.side:
        yield f"Run {record.id} starts and ends at {record.a.at}; join it to something else."


def _sheet(record: Record, _home: "Home") -> Iterator[str]:
    assert isinstance(record, Sheet)
    matrix = record.px_to_plan_mm
    if matrix is not None:
        a, b, c, d, e, f, g, h, i = matrix
        if a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g) == 0:
            yield f"Sheet {record.id} has a scale that flattens the picture; set its scale again."


def _visit(record: Record, _home: "Home") -> Iterator[str]:
    assert isinstance(record, Visit)
    try:
        date.fromisoformat(record.day)
    except ValueError:
        yield (
            f"Visit {record.id} is said to be on {record.day}, which no calendar has; "
            "write year, month and day, like 2025-03-14."
        )


def _moments(record: Record, _home: "Home") -> Iterator[str]:
    assert isinstance(record, Check | Isolation | Round)
    if isinstance(record, Round):
        told = [event.at for event in record.events] + ([record.consent.at] if record.consent is not None else [])
    else:
        told = [record.at]
    for at in told:
        try:
            datetime.fromisoformat(at[:19])  # the pattern has seen to the rest of it
        except ValueError:
            yield f"{record.kind_of.capitalize()} {record.id} holds the time {at}, which no day has; give the real one."


def shorten(text: str, limit: int = 40) -> str:
    """Give a typed text short enough to stand inside a sentence."""
    line = " ".join(text[:400].encode("utf-8", "replace").decode("utf-8").split())
    return line if len(line) <= limit else line[: limit - 1] + "…"


_CHECKS = {
    Room: _room, Board: _board, Device: _device, Point: _point, Run: _run, Sheet: _sheet, Visit: _visit,
    Round: _moments, Check: _moments, Isolation: _moments,
}  # fmt: skip
