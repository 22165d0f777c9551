"""The numbered lines of a survey's sheet: which points a switch-off asks, in what order, and the code of that order.

The numbers of a switch-off are those that stood when it began, so that a sheet printed then can be typed in later.
"""

import zlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from circuitmap.home.records import Check, Limitation, Plate, Point, Room, Round, Storey, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan import rooms_of_points
from circuitmap.survey.context import context_of
from circuitmap.survey.deduce import checks_of, deduce
from circuitmap.survey.judge import judge
from circuitmap.survey.walk import walk_order
from circuitmap.trade import Trade

NOT_REACHED: Final = "can't be reached"  # the reason of a limitation, and of the check that brought it
LIGHTS: Final = ("light", "downlight", "outdoor light", "ceiling rose")
_CODE_LETTERS: Final = "ACDEFHJKLMNRTUVWXY"  # none that is taken for another, or for a figure, in handwriting


@dataclass(frozen=True, slots=True)
class Line:
    """One numbered line of a sheet; lights that the same switch works share a line."""

    number: int
    points: tuple[str, ...]
    room: str
    words: str


@dataclass(frozen=True, slots=True)
class Numbering:
    """The lines of one switch-off and the code that tells their numbers from others'.

    ``beside`` are points that were answered though they were not asked; their numbers follow on, so that the others
    keep theirs, and the code leaves them out.
    """

    lines: tuple[Line, ...]
    beside: tuple[Line, ...]
    code: str

    @property
    def all_lines(self) -> tuple[Line, ...]:
        """All lines, in the order of their numbers."""
        return (*self.lines, *self.beside)


def lines_of(
    home: Home, memo: Memo | None = None, trade: Trade | None = None, points: Iterable[str] | None = None
) -> tuple[Line, ...]:
    """Give the lines of a sheet in walk order, numbered from 1; only what can be looked at in a switch-off is on it.

    Parameters
    ----------
    points
        Those that are asked, in the order to be walked; every existing one by default.
    """
    memo = memo if memo is not None else Memo()
    rooms, table = rooms_of_points(home, memo), home.table(Point)
    worked_by: dict[str, set[str]] = {}
    for switch in table.values():
        for light in switch.controls:
            worked_by.setdefault(light, set()).add(switch.id)
    groups: dict[object, list[str]] = {}
    asked = walk_order(home, None, memo) if points is None else dict.fromkeys(points)
    for point_id in asked:
        point = table[point_id]
        if trade is not None and not trade.point(point.kind).checkable:
            continue
        room = rooms.get(point_id)
        key: object = point_id
        if point.kind in LIGHTS and point_id in worked_by:
            key = (frozenset(worked_by[point_id]), room.id if room is not None else None)
        groups.setdefault(key, []).append(point_id)
    return tuple(
        Line(number, tuple(group), _room_words(home, rooms.get(group[0])), _point_words(home, trade, group))
        for number, group in enumerate(groups.values(), 1)
    )


def askable(home: Home, memo: Memo, trade: Trade | None = None) -> tuple[str, ...]:
    """Give the points that can be looked at in a switch-off, in walk order: what a look with everything on asks."""
    return walk_order(home, (p.id for p in home.table(Point).values() if _can_be_asked(p, trade)), memo)


def points_asked(
    home: Home, memo: Memo, trade: Trade | None = None, round_id: str | None = None, visit: str | None = None
) -> tuple[str, ...]:
    """Give the points that a switch-off asks, in walk order, as things stood when it began.

    These are the ones it was opened for. Where it doesn't say, left out is what was settled then, or was found out of
    reach earlier in the visit; its own answers, and answers typed in later from paper, change nothing. A look with
    everything on asks every point.

    Parameters
    ----------
    round_id
        The switch-off; without one, what a switch-off begun now would ask.
    visit
        The visit that a switch-off begun now belongs to.
    """
    order = askable(home, memo, trade)
    record = home.take(Round, round_id) if round_id is not None else None
    if record is None:
        known, shut = deduce(home, memo), _shut(home, memo, visit, None)
        return tuple(i for i in order if known[i].verdict != "settled" and i not in shut)
    if not record.off:
        return order
    said = next((event.points for event in record.events if event.what == "off"), ())
    if said:
        kept = frozenset(order)
        return tuple(point for point in said if point in kept)
    context, shut = context_of(home, memo), _shut(home, memo, record.visit, record)
    asked: list[str] = []
    for point in order:
        before = tuple(check for check in checks_of(home, memo, point) if _is_before(check, record))
        if point not in shut and judge(point, before, context).verdict != "settled":
            asked.append(point)
    return tuple(asked)


def numbering_of_round(
    home: Home, memo: Memo, trade: Trade | None, round_id: str, *, every_point: bool = False
) -> Numbering:
    """Give the lines of a switch-off by the numbers that its points had when it began."""
    off = home.take(Round, round_id).off
    if every_point:
        lines = lines_of(home, memo, trade)
        return Numbering(lines, (), sheet_code(lines, off))
    lines = lines_of(home, memo, trade, points_asked(home, memo, trade, round_id))
    asked = {point for line in lines for point in line.points}
    found = {check.point for check in home.table(Check).values() if check.round == round_id} - asked
    more = lines_of(home, memo, trade, walk_order(home, found, memo))
    beside = tuple(replace(line, number=line.number + len(lines)) for line in more)
    return Numbering(lines, beside, sheet_code(lines, off))


def sheet_code(lines: Sequence[Line], off: Iterable[str] = ()) -> str:
    """Give the code that stands on a sheet and on the desk: it differs when the numbers, or what is off, do."""
    said = ";".join(["+".join(sorted(off, key=natural_key)), *("+".join(line.points) for line in lines)])
    number = zlib.crc32(said.encode())
    number, one = divmod(number, len(_CODE_LETTERS))
    number, two = divmod(number, len(_CODE_LETTERS))
    return f"{_CODE_LETTERS[one]}{_CODE_LETTERS[two]}{number % 100:02}"


def _can_be_asked(point: Point, trade: Trade | None) -> bool:
    if point.phase != "existing" or point.uncheckable:
        return False
    return trade is None or trade.point(point.kind).checkable


def _is_before(check: Check, record: Round) -> bool:
    """Whether a check had been written down when a switch-off began."""
    if check.round == record.id:
        return False
    if not record.events or not check.at:
        return natural_key(check.round) < natural_key(record.id)
    return check.at.rstrip("Z") <= min(event.at.rstrip("Z") for event in record.events)


def _shut(home: Home, memo: Memo, visit: str | None, record: Round | None) -> frozenset[str]:
    """Give what had been found out of reach in a visit when a switch-off began."""
    limits = home.table(Limitation).values()
    subjects = {each.subject for each in limits if each.visit == visit and each.reason == NOT_REACHED}
    if record is None:
        return frozenset(subjects)
    found = set()
    for subject in subjects:
        said = [check for check in checks_of(home, memo, subject) if check.why == NOT_REACHED]
        here = [check for check in said if home.take(Round, check.round).visit == visit]
        if not here or any(_is_before(check, record) for check in here):
            found.add(subject)
    return frozenset(found)


def _room_words(home: Home, room: Room | None) -> str:
    if room is None:
        return ""
    storey = home.find(Storey, room.storey)
    return plain(room.name) + (f", {plain(storey.name)}" if storey is not None else "")


def _point_words(home: Home, trade: Trade | None, points: list[str]) -> str:
    first = home.take(Point, points[0])
    plate = home.find(Plate, first.plate)
    row = trade.point(first.kind) if trade is not None else None
    title = row.title.partition(" (")[0] if row is not None else first.kind
    is_outlet = row.is_socket_outlet if row is not None else "socket" in first.kind
    gangs = {1: "", 2: "twin "}.get(first.gangs, f"{first.gangs}-gang ") if is_outlet else ""
    many = f"{len(points)} × " if len(points) > 1 else ""
    words = f"{many}{gangs}{title} {_ids(points)}"
    extra = [plain(first.name), plain(first.where)]
    extra.append("same plate as others" if plate is not None and len(home.used_by(plate.id)) > 1 else "")
    extra.append(f"can't be checked: {plain(first.uncheckable)}" if first.uncheckable else "")
    return ", ".join([words, *(each for each in extra if each)])


def _ids(points: list[str]) -> str:
    """Give ids as a span where they follow each other, so that no other point seems to be among them."""
    numbers = sorted(int(point[1:]) for point in points)
    if len(numbers) > 1 and numbers[-1] - numbers[0] == len(numbers) - 1:
        return f"P{numbers[0]}–P{numbers[-1]}"
    return ", ".join(f"P{number}" for number in numbers)


def plain(text: str) -> str:
    """Give a typed text on one line and short enough for a sheet."""
    line = " ".join(text.split())
    return line if len(line) <= 50 else line[:49] + "…"
