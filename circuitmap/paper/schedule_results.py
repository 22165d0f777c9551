"""The schedule of test results: what was read, in one line for each circuit and place by place; before beside after.

A bound stays a bound, what could not be read says why, and what nobody read is blank.

**Source:** BS 7671:2018 Appendix 6, schedule of test results, from memory.
"""

from collections.abc import Callable, Iterable, Sequence
from typing import Final

from circuitmap.circuits import CircuitView
from circuitmap.home import Home
from circuitmap.home.records import Board, Device, Instrument, Point, Visit
from circuitmap.memo import Memo
from circuitmap.paper.schedule_circuits import CIRCUIT, LABEL, described
from circuitmap.paper.tables import BLANK, Cell, Column, Table, table
from circuitmap.plan import rooms_of_points
from circuitmap.quantities.measured import show_value
from circuitmap.quantities.scales import SHOWN
from circuitmap.readings.book import Entry, Pair, ReadingBook, Side, readings_of, readings_of_no_way
from circuitmap.readings.judged_case import rcds_over
from circuitmap.readings.results import Results, results_of
from circuitmap.trade import Trade
from circuitmap.words import ReadingTest, kind_said

# What stands in one table: its name, its title, its unit, the tests in it.
_Sort = tuple[str, str, str, frozenset[ReadingTest]]
SORTS: Final[tuple[_Sort, ...]] = (
    ("Continuity and loops", "Continuity and loop impedance", "Ω",
     frozenset({"lead check", "continuity", "ring end to end", "linked", "neutral to neutral", "Ze", "Zs",
                "earth electrode"})),
    ("Insulation", "Insulation resistance", "MΩ", frozenset({"insulation"})),
    ("RCD times", "RCD disconnection times", "ms", frozenset({"RCD trip"})),
    ("Fault currents", "Prospective fault currents", "kA", frozenset({"PFC"})),
    ("Voltages", "Supply voltages", "V", frozenset({"supply voltage"})),
    ("Polarity", "Polarity and plug-in indicators", "", frozenset({"polarity", "plug-in indicator"})),
)  # fmt: skip
_TESTS: Final[dict[ReadingTest, str]] = {
    "lead check": "leads shorted",
    "continuity": "continuity, long lead",
    "linked": "continuity, linked",
    "RCD trip": "RCD time",
    "PFC": "fault current",
}
_LINKED: Final = {
    "end to end": "end to end",
    "cross": "cross-linked",
    "same leg": "linked on the same leg",
    "one leg": "linked on one leg",
    "radial": "linked at the board",
}
_OHM: Final = 2
_Pick = Callable[[Results], Entry | None]
_QUANTITIES: Final[tuple[tuple[Column, _Pick], ...]] = (
    (Column("r1 (line)", "Ω", "number", 6.5, "Ring, end to end", _OHM), lambda r: r.r1),
    (Column("rn (neutral)", "Ω", "number", 6.5, "Ring, end to end", _OHM), lambda r: r.rn),
    (Column("r2 (cpc)", "Ω", "number", 6.5, "Ring, end to end", _OHM), lambda r: r.r2),
    (Column("R1+R2", "Ω", "number", 6.5, "Continuity", _OHM), lambda r: r.r1_r2),
    (Column("R2", "Ω", "number", 6.5, "Continuity", _OHM), lambda r: r.long_lead),
    (Column("L–L, L–N", "MΩ", "number", 9, "Insulation"), lambda r: r.live_live),
    (Column("L–E, N–E", "MΩ", "number", 9, "Insulation"), lambda r: r.live_earth),
    (Column("Zs, highest", "Ω", "number", 7, decimals=_OHM), lambda r: r.zs),
    (Column("at IΔn", "ms", "number", 6.5, "RCD time"), lambda r: r.trip),
    (Column("at 5 IΔn", "ms", "number", 6.5, "RCD time"), lambda r: r.fast_trip),
)
_INSULATION_AT: Final = 5
_ZS_AT: Final = 7
_BY_HAND: Final = (
    Column("RCD", wide=5.5, group="Test button"),
    Column("AFDD", wide=5.5, group="Test button"),
)
_SAYS: Final = (
    "Of several readings of a quantity the worst stands here; every reading is listed further on, as typed.",
    "Where the leads were not nulled, what they add is taken off.",
    "Test buttons are not recorded here; fill them in where they were pressed.",
)


def results_table(home: Home, views: Sequence[CircuitView], trade: Trade, memo: Memo) -> Table:
    """Give the readings that stand for each circuit; with two columns a quantity where work lies between them."""
    rest = readings_of_no_way(home, tuple(views), memo)
    books = {view.device.id: readings_of(home, view, memo) for view in views}
    both = any(book.after for book in (*books.values(), rest))
    sides: tuple[tuple[Side, str], ...] = (("before", "before"), ("after", "after")) if both else (("before", ""),)
    columns: list[Column] = [CIRCUIT, LABEL]
    for place, (column, _) in enumerate(_QUANTITIES):
        if place == _INSULATION_AT:
            columns += [_sided(Column("tested at", "V", "number", 6, "Insulation"), said) for _, said in sides]
        if place == _ZS_AT:
            columns += [_sided(Column("Polarity", wide=10), said) for _, said in sides]
        columns += [_sided(column, said) for _, said in sides]
    columns += _BY_HAND
    rows: list[list[Cell]] = []
    for view in views:
        rcd = next((d for d in rcds_over(view, trade) if d.rcd is not None), None)
        over = [e for e in rest.entries if rcd is not None and rcd.id in (e.reading.device, e.at)]
        own = books[view.device.id].entries
        found = [results_of((*own, *over), side, rcd) for side, _ in sides]
        row: list[Cell] = [view.code, described(view, trade)]
        for place, (_, pick) in enumerate(_QUANTITIES):
            if place == _INSULATION_AT:
                row += [_volts(results) for results in found]
            if place == _ZS_AT:
                row += [_polarity(results.polarity) for results in found]
            row += [value_cell(pick(results)) for results in found]
        rows.append([*row, None, None])
    return table("Test results", "Test results", columns, rows, BLANK, *_SAYS)


def readings_tables(home: Home, views: Sequence[CircuitView], memo: Memo, *, alone: bool = False) -> tuple[Table, ...]:
    """Give every reading of a home in a table for each unit, those of a place before and after beside each other.

    A reading that doesn't count, because a later one of the same place stands or it can't be told where it belongs, has
    a line of its own that says so. ``alone`` leaves out what belongs to no way.
    """
    lines = [line for view in views for line in _lines(readings_of(home, view, memo), view.code)]
    lines += [] if alone else _lines(readings_of_no_way(home, tuple(views), memo), "")
    both = any(pair.after is not None for _, pair, _ in lines)
    words = _Words(home, memo)
    found = []
    for name, title, unit, tests in SORTS:
        mine = [line for line in lines if _one(line[1]).test in tests]
        if mine:
            found.append(_readings(words, name, title, unit, mine, both=both))
    return tuple(found)


def value_cell(entry: Entry | None) -> Cell:
    """Give a reading for a cell: a number in its shown unit, a bound or a reason as words, None for no reading."""
    if entry is None:
        return None
    if entry.value_si is None:
        return entry.shown
    if not entry.is_number:
        return f"{entry.reading.bound}{show_value(entry.value_si, entry.test, exact=True)}".removesuffix(
            f" {_unit(entry.test)}"
        )
    return in_unit(entry.value_si, entry.test)


def in_unit(value_si: float, test: ReadingTest) -> float:
    """Give a value of a test in the unit that it is shown in."""
    return round(value_si / _size(test), 6)


_Line = tuple[str, Pair, bool]


def _lines(book: ReadingBook, code: str) -> list[_Line]:
    pairs = [(code, pair, True) for pair in book.pairs]
    rest = [(code, _lone(entry), False) for entry in book.entries if not entry.counts]
    return [*pairs, *rest]


def _lone(entry: Entry) -> Pair:
    return Pair(entry, None, "only before", "") if entry.side == "before" else Pair(None, entry, "only after", "")


def _one(pair: Pair) -> Entry:
    entry = pair.before or pair.after
    assert entry is not None  # a pair has one at least
    return entry


def _readings(words: "_Words", name: str, title: str, unit: str, lines: Iterable[_Line], *, both: bool) -> Table:
    told = name == "Polarity"
    columns = [
        CIRCUIT,
        Column("At", wide=7),
        Column("Where", wide=26),
        Column("Test", wide=16),
        Column("Between", wide=9),
        Column("Linked", wide=14),
    ]
    columns += [Column("Test voltage", "V", "number", 7)] if name == "Insulation" else []
    columns += (
        [Column("Test current", "mA", "number", 7), Column("Phase", "°", "number", 6)] if name == "RCD times" else []
    )
    sides = ("Before", "After") if both else ("",)
    for side in sides:
        decimals = _OHM if unit == "Ω" else None
        if told:
            columns.append(Column("Shown", wide=16, group=side))
        else:
            columns += [Column("Bound", wide=4, group=side, on_paper=False),
                        Column("Value", unit, "number", 9, side, decimals)]  # fmt: skip
        columns += [
            Column("As typed", wide=12, group=side),
            Column("Day", kind="day", wide=15, group=side),
            Column("Meter", wide=10, group=side, on_paper=False),
            Column("No.", wide=6, group=side, on_paper=False),
        ]
    columns += [Column("Change", wide=12)] if both else []
    columns.append(Column("Remark", wide=24))
    rows = [words.row(name, code, pair, counts=counts, both=both) for code, pair, counts in lines]
    return table(name, title, columns, rows)


class _Words:
    """Says where a reading was taken and what it showed."""

    def __init__(self, home: Home, memo: Memo) -> None:
        self._home = home
        self._rooms = rooms_of_points(home, memo)

    def row(self, name: str, code: str, pair: Pair, *, counts: bool, both: bool) -> list[Cell]:
        entry = _one(pair)
        reading = entry.reading
        at = entry.at or reading.device
        row: list[Cell] = [
            code or None,
            self._code(at) or None,
            self._where(at),
            _TESTS.get(reading.test, reading.test),
            "–".join(reading.cores) or None,
            _LINKED[reading.link.kind] if reading.link is not None else None,
        ]
        if name == "Insulation":
            row.append(reading.test_v)
        if name == "RCD times":
            row += [None if reading.test_a is None else round(reading.test_a * 1000, 6), reading.phase_deg]
        for held in (pair.before, pair.after) if both else (entry,):
            row += self._side(name, held)
        if both:
            row.append(None if not counts else pair.paired_as)
        remarks = [self._remark(held) for held in (pair.before, pair.after) if held is not None]
        remarks += [] if counts else ["doesn't count: another reading of this place stands, or its place isn't known"]
        return [*row, "; ".join(dict.fromkeys(filter(None, remarks))) or None]

    def _side(self, name: str, entry: Entry | None) -> list[Cell]:
        told = name == "Polarity"
        if entry is None:
            return [None] * (5 if told else 6)
        reading = entry.reading
        meter = self._home.find(Instrument, reading.instrument)
        value: list[Cell]
        if told:
            value = [reading.indicated or (entry.shown if reading.not_possible else None)]
        elif entry.value_si is None:
            value = [None, entry.shown if reading.not_possible else None]
        else:
            value = [reading.bound if reading.bound != "=" else None, in_unit(entry.value_si, entry.test)]
        day = self._home.take(Visit, reading.visit).day
        return [*value, reading.typed or None, day, meter.name or meter.kind if meter else None, reading.id]

    def _remark(self, entry: Entry) -> str:
        reading = entry.reading
        said = [reading.remark]
        said += [f"{entry.leads_ohm:g} Ω of leads taken off"] if entry.leads_ohm else []
        said += [f"apart: {', '.join(reading.apart)}"] if reading.apart else []
        said += ["by a plug, its contacts read as well"] if reading.by_plug else []
        return "; ".join(filter(None, said))

    def _code(self, record: str | None) -> str:
        home = self._home
        if record is None:
            return ""
        if home.find(Device, record) is not None:
            return home.code(record)
        return home.letter_of(record) if home.find(Board, record) is not None else record

    def _where(self, record: str | None) -> Cell:
        home = self._home
        if record is None:
            return None
        device = home.find(Device, record)
        if device is not None:
            return f"{device.kind} at board {home.letter_of(device.board)}"
        board = home.find(Board, record)
        if board is not None:
            return f"board {board.letter_on_map} {board.name}".strip()
        point = home.find(Point, record)
        if point is None:
            return None
        room = self._rooms.get(record)
        return ", ".join(filter(None, (point.name or kind_said(point.kind), room.name if room is not None else "")))


def _sided(column: Column, side: str) -> Column:
    """Give the column of one side of the work; what it is of stands over both."""
    if not side:
        return column
    over = f"{column.group}: {column.head}" if column.group else column.head
    return column._replace(head=side, group=over)


def _volts(results: Results) -> Cell:
    held = [e for e in (results.live_live, results.live_earth) if e is not None]
    volts = list(dict.fromkeys(e.reading.test_v for e in held if e.reading.test_v is not None))
    if not volts:
        return None
    return volts[0] if len(volts) == 1 else " and ".join(f"{each:g}" for each in volts)


def _polarity(entries: Sequence[Entry]) -> Cell:
    """Say polarity in few words: correct and at how many points, or what is wrong and where."""
    wrong = [e for e in entries if e.reading.indicated not in ("", "correct")]
    if wrong:
        return "; ".join(f"{e.at or ''} {e.reading.indicated}".strip() for e in wrong)
    right = sum(e.reading.indicated == "correct" for e in entries)
    if right:
        return f"correct at {right}"
    return entries[0].shown if entries else None


def _unit(test: ReadingTest) -> str:
    return SHOWN.get(test, (1.0, "Ω", 2))[1]


def _size(test: ReadingTest) -> float:
    return SHOWN.get(test, (1.0, "Ω", 2))[0]
