"""What changed, beside the map: first readings summed up way by way, new limitations and new rulings."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Final, NamedTuple

from circuitmap.circuits.views import views
from circuitmap.findings.compared import Difference
from circuitmap.home import Home
from circuitmap.home.records import Limitation, Reading, Ruling
from circuitmap.memo import Memo
from circuitmap.paper.record_words import limitation_rows, names_of, ruling_rows
from circuitmap.readings.judged import judged, judged_supply
from circuitmap.trade import Trade
from circuitmap.words import ReadingTest

_BAD: Final = frozenset({"fails", "query"})
_NO_WAY: Final = "supply, boards and RCDs"
# The worst of an insulation is the lowest, of a resistance, a loop or a time the highest; others have no worst.
_LOWEST: Final[frozenset[ReadingTest]] = frozenset({"insulation"})
_HIGHEST: Final[frozenset[ReadingTest]] = frozenset(
    {"continuity", "ring end to end", "linked", "Ze", "Zs", "RCD trip", "earth electrode", "PFC"}
)

_SAID: Final[dict[ReadingTest, str]] = {"linked": "with conductors linked"}


class FirstReadings(NamedTuple):
    """First readings: a row for each way that has them, and those bad ones that are listed each by itself."""

    rows: list[list[str]]
    alone: frozenset[str]


def first_readings(home: Home, trade: Trade, memo: Memo, differences: Iterable[Difference]) -> FirstReadings:
    """Sum up the readings that were taken for the first time: how many of which test on each way, the worst of each."""
    new = [each for each in differences if each.kind == "reading" and each.how == "new"]
    bad = frozenset(each.id for each in new) & _bad(home, trade, memo)
    names = names_of(home, memo)
    by_way: dict[str, list[tuple[Reading, str]]] = {}
    for each in new:
        reading = home.find(Reading, each.id)
        if reading is not None:
            by_way.setdefault(reading.device or "", []).append((reading, each.turned[0].now))
    rows = []
    for way, held in by_way.items():
        counts = Counter(reading.test for reading, _ in held)
        said = [f"{count} {_SAID.get(test, test)}{_worst(test, held)}" for test, count in counts.items()]
        rows.append([names.of(way) if way else _NO_WAY, str(len(held)), "; ".join(said)])
    return FirstReadings(rows, bad)


def new_limitations(before: Home, after: Home, memo: Memo) -> list[list[str]]:
    """Give the limitations that were not there before, or not so: about what, why, who agreed, when."""
    return _new(limitation_rows(after, names_of(after, memo)), after.sorted(Limitation), before.table(Limitation))


def new_rulings(before: Home, after: Home, said: dict[str, str]) -> list[list[str]]:
    """Give the rulings that were not there before, or not so; ``said`` gives a finding's sentence by its key."""
    return _new(ruling_rows(after, said), after.sorted(Ruling), before.table(Ruling))


def _new(
    rows: list[list[str]],
    records: Sequence[Limitation] | Sequence[Ruling],
    before: Mapping[str, Limitation] | Mapping[str, Ruling],
) -> list[list[str]]:
    """Keep the rows of records that weren't there, or were otherwise: a second ruling replaces the first."""
    return [row for row, record in zip(rows, records, strict=True) if before.get(record.id) != record]


def _bad(home: Home, trade: Trade, memo: Memo) -> frozenset[str]:
    """Give the readings that a published rule objects to."""
    found = list(judged_supply(home, trade, memo))
    for view in views(home, trade, memo):
        found += judged(home, view, trade, memo, by_map=False)
    return frozenset(name for each in found if each.verdict.level in _BAD for name in each.readings)


def _worst(test: ReadingTest, held: Iterable[tuple[Reading, str]]) -> str:
    if test not in _LOWEST and test not in _HIGHEST:
        return ""
    mine = ((reading.value_si, shown) for reading, shown in held if reading.test == test)
    read = [(value, shown) for value, shown in mine if value is not None]
    if not read:
        return ""
    _, shown = (min if test in _LOWEST else max)(read, key=lambda each: each[0])
    return f" ({'lowest' if test in _LOWEST else 'highest'} {shown})" if len(read) > 1 else f" ({shown})"
