"""What changed between two moments of a home, on plan and in words: marks such as "as found" and "as left", or days."""

import datetime
from collections.abc import Iterable, Iterator, Sequence
from typing import Final, NamedTuple

from circuitmap.drawing.plan import stands_on, storeys_in_order
from circuitmap.drawing.standing import Stand
from circuitmap.findings.compared import KINDS, Compared, Difference, How, Kind, compare, summary
from circuitmap.findings.run import run
from circuitmap.home import Home
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Board, Device, Point, Run, Storey
from circuitmap.memo import Memo
from circuitmap.paper.catalogue import CantMakeError
from circuitmap.paper.changes_more import FirstReadings, first_readings, new_limitations, new_rulings
from circuitmap.paper.figures import Figure
from circuitmap.paper.quotation import day_said
from circuitmap.paper.spotted import Joining, Shape, Spot, spotted_plans
from circuitmap.paper.typeset import Data, shown, typeset
from circuitmap.paper.wanted import Made, Wanted
from circuitmap.plan.where import place_of
from circuitmap.words import NAMELESS, SEVERITIES

_POINT_PER_PX: Final = 0.75
_TITLES: Final[dict[Kind, str]] = {
    "finding": "Findings",
    "point": "Points",
    "cable": "Cables",
    "way": "Ways of the boards",
    "circuit": "Shapes of circuits",
    "board": "Boards",
    "room": "Rooms",
    "supply": "Supply",
    "note": "Notes",
    "reading": "Readings",
}
_WORDS: Final[dict[How, str]] = {"new": "new", "gone": "gone", "changed": "changed"}
_HOW: Final[tuple[How, ...]] = ("new", "gone", "changed")
_MOST_HIGH_PX: Final = 560.0
NO_MOMENTS: Final = (
    "Say with what to compare: a mark of this home, such as “as found”, or a day on which it was kept here already."
)
NO_HISTORY: Final = "What changed is history, and history is to be left out."
LIMITS: Final = (
    "This compares what was recorded at two moments. What nobody looked at again is taken to be as it was, and what is "
    "hidden may have changed unseen.",
    "A finding is gone when what it was told from is no longer so on the map, in the readings or in the notes. Whether "
    "it was put right is for the competent person to confirm.",
    "It is no certificate and no inspection report, and no proof that anything is safe to touch.",
)
DRAWN_SAYS: Final = (
    "Circle: new. Crossed out in a broken circle: gone. Diamond: changed. A line joins what a cable joins, unbroken "
    "when new, broken and crossed out when gone, dash and dot when changed or moved; it doesn't show where the cable "
    "lies. The numbers are those of the tables."
)


class _Row(NamedTuple):
    number: str
    difference: Difference


def made(wanted: Wanted) -> tuple[Made, ...]:
    """Give what changed from the earlier moment to the later one, as a PDF.

    Raises
    ------
    CantMakeError
        When there is nothing to compare with.
    """
    if wanted.earlier is None:
        raise CantMakeError(NO_HISTORY if "history" in wanted.leave_out else NO_MOMENTS)
    before, after = wanted.earlier, wanted.home
    memos = Memo(), wanted.memo
    wanted.ticket.tick(0, 3, "Comparing")
    compared = compare(before, after, wanted.trade, memos)
    states = before.existing(), after.existing()
    rows = _numbered(compared, states)
    wanted.ticket.tick(1, 3, "Drawing")
    figures = [figure for _, figure in plans(states, (Memo(), Memo()), rows)]
    wanted.ticket.tick(2, 3, "Setting the pages")
    pictures = {f"plan-{n}.svg": figure.svg for n, figure in enumerate(figures)}
    return (Made(typeset("changes", _data(wanted, compared, rows, figures), pictures)),)


def _numbered(compared: Compared, states: tuple[Home, Home]) -> list[_Row]:
    """Give every difference in the order of the tables; what can be shown on a plan has a number."""
    rows, number = [], 0
    for kind in _TITLES:
        for difference in _worst_first(compared.of(kind)):
            drawn = _storey_of(difference, states[0] if difference.how == "gone" else states[1])
            number += bool(drawn)
            rows.append(_Row(str(number) if drawn else "", difference))
    return rows


def _storey_of(each: Difference, home: Home) -> str:
    """Give the storey on whose plan a difference can be shown: of a cable, the one that both its ends are on."""
    record = home.peek(each.id)
    if isinstance(record, Point | Board):
        return _storey(home, each.id) if each.kind in ("point", "board") else ""
    if not isinstance(record, Run):
        return ""
    one, other = (_storey(home, _stands_at(home, end.at)) for end in (record.a, record.b))
    return one if one == other else ""


def _storey(home: Home, record_id: str) -> str:
    record = home.peek(record_id)
    place = place_of(home, record) if record is not None else None
    return place.storey if place is not None else ""


def _stands_at(home: Home, at: str | None) -> str:
    device = home.find(Device, at)
    return device.board if device is not None else at or ""


def _worst_first(found: Iterable[Difference]) -> list[Difference]:
    def rank(each: Difference) -> tuple[int, int]:
        grave = SEVERITIES.index(each.code) if each.code in SEVERITIES else 0
        return _HOW.index(each.how), grave

    return sorted(found, key=rank)


# -- on plan ------------------------------------------------------------------------------------------------------


def plans(states: tuple[Home, Home], memos: tuple[Memo, Memo], rows: Sequence[_Row]) -> Iterator[tuple[Storey, Figure]]:
    """Give the plan of each storey on which something is new, gone or changed, both states drawn on it."""
    before, after = states
    later = {storey.id for storey in storeys_in_order(after)}
    storeys = [*storeys_in_order(after), *(each for each in storeys_in_order(before) if each.id not in later)]
    for storey in storeys:
        first = dict(stands_on(before, storey.id, memos[0])) if storey.id in before.table(Storey) else {}
        second = dict(stands_on(after, storey.id, memos[1])) if storey.id in later else {}
        spots: list[Spot] = []
        joinings: list[Joining] = []
        for row in rows:
            spots += _spots(row, first, second)
            joinings += _joinings(row, states, first, second)
        if spots or joinings:
            home, memo = (after, memos[1]) if storey.id in later else (before, memos[0])
            title = f"What changed on plan: {shorten(storey.name, 60) or storey.id}"
            spread = _is_spread(spots)
            for figure in spotted_plans(
                home, memo, storey, spots, joinings, title=title, high_px=_MOST_HIGH_PX, whole=spread
            ):
                yield storey, figure


def _is_spread(spots: Sequence[Spot]) -> bool:
    return len({spot.stand.room for spot in spots}) > 3


def _spots(row: _Row, first: dict[str, Stand], second: dict[str, Stand]) -> Iterator[Spot]:
    each = row.difference
    if each.kind not in ("point", "board"):
        return
    stand = first.get(each.id) if each.how == "gone" else second.get(each.id)
    if stand is not None:
        yield Spot(stand, _shape(each), f"{row.number} {_WORDS[each.how]}")


def _joinings(
    row: _Row, states: tuple[Home, Home], first: dict[str, Stand], second: dict[str, Stand]
) -> Iterator[Joining]:
    each = row.difference
    if each.kind == "point" and each.moved_mm and each.id in first and each.id in second:
        yield Joining(first[each.id].at, second[each.id].at, "changed", "moved")
    if each.kind != "cable":
        return
    home, stands = (states[0], first) if each.how == "gone" else (states[1], second)
    run = home.find(Run, each.id)
    if run is None:
        return
    a, b = (_end(home, end.at, stands) for end in (run.a, run.b))
    if a is not None and b is not None and a is not b:
        yield Joining(a.at, b.at, _shape(each), row.number)


def _end(home: Home, at: str | None, stands: dict[str, Stand]) -> Stand | None:
    return stands.get(_stands_at(home, at))


def _shape(each: Difference) -> Shape:
    return each.how


# -- in words -----------------------------------------------------------------------------------------------------


def _data(wanted: Wanted, compared: Compared, rows: Sequence[_Row], figures: Sequence[Figure]) -> Data:
    details = wanted.home.details
    states = (wanted.earlier or Home.blank()).existing(), wanted.home.existing()
    memo = wanted.memo if states[1] is wanted.home else Memo()
    first = first_readings(states[1], wanted.trade, memo, compared.differences)
    said = {each.key: each.says for each in run(states[1], wanted.trade, memo)}
    moments = f"From {_named(wanted.earlier_name, 'an earlier moment')} to {_named(wanted.later_name, 'now')}"
    return {
        "title": f"What changed: {details.name}" if details.name else "What changed",
        "foot": shorten(shown(details.name), 60),
        "home": details.name or NAMELESS,
        "address": details.address if details.address != details.name else "",
        "moments": moments,
        "day": day_said(wanted.day),
        "summary": summary(compared),
        "again": _again_said(compared.read_again),
        "figures": [
            {
                "file": f"plan-{n}.svg",
                "title": figure.title,
                "wide": figure.wide_px * _POINT_PER_PX,
                "says": f"{figure.title}. {_drawn_said(rows)}",
            }
            for n, figure in enumerate(figures)
        ],
        "drawn_says": DRAWN_SAYS,
        "tables": list(_tables([row for row in rows if not _is_summed(row, first)])),
        "first": first.rows,
        "limitations": new_limitations(states[0], states[1], wanted.memo),
        "rulings": new_rulings(states[0], states[1], said),
        "limits": LIMITS,
    }


def _named(name: str, otherwise: str) -> str:
    try:
        return day_said(datetime.date.fromisoformat(name))
    except ValueError:
        return f"“{name}”" if name and name != "now" else name or otherwise


def _drawn_said(rows: Sequence[_Row]) -> str:
    """Give the drawn differences in words, for who can't see the plan."""
    said = [f"{row.number} {_WORDS[row.difference.how]}: {row.difference.title}" for row in rows if row.number]
    return "; ".join(said[:40]) + ("; and others" if len(said) > 40 else "") + "."


def _again_said(count: int) -> str:
    if not count:
        return ""
    one = count == 1
    return f"{count} reading{' was' if one else 's were'} taken again and show{'s' if one else ''} no change."


def _is_summed(row: _Row, first: FirstReadings) -> bool:
    each = row.difference
    return each.kind == "reading" and each.how == "new" and each.id not in first.alone


def _tables(rows: Sequence[_Row]) -> Iterator[Data]:
    for kind, title in _TITLES.items():
        held = [row for row in rows if row.difference.kind == kind]
        if held:
            yield {"kind": kind, "title": title, "rows": [_cells(row) for row in held]}


def _cells(row: _Row) -> list[str]:
    each = row.difference
    if each.kind == "reading":
        (turned,) = each.turned
        return ["", _WORDS[each.how], each.title, turned.was or "–", turned.now or "–"]
    says = "" if each.says == each.how else each.says
    return [row.number, _WORDS[each.how], each.title, says]


assert set(_TITLES) == set(KINDS)
