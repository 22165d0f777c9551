"""Readings that belong to no way, in words and JSON: the supply's, the boards', those of an RCD over several ways."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from circuitmap.cli.readings_way import figure
from circuitmap.cli.readings_words import named, verdicts
from circuitmap.cli.ways import table, wrapped
from circuitmap.home.records import Device

if TYPE_CHECKING:
    from circuitmap.circuits import CircuitView
    from circuitmap.home import Home
    from circuitmap.memo import Memo
    from circuitmap.readings.book import ReadingBook
    from circuitmap.readings.entries import Entry
    from circuitmap.readings.judged import Judged
    from circuitmap.trade import Trade


@dataclass(frozen=True, slots=True)
class SupplyRead:
    """All that is on record of no way in particular, and what is said of it."""

    book: "ReadingBook"
    judged: "tuple[Judged, ...]"


def supply_read(home: "Home", views: "Sequence[CircuitView]", trade: "Trade", memo: "Memo") -> SupplyRead:
    """Gather the readings of no way."""
    from circuitmap.readings.book import readings_of_no_way
    from circuitmap.readings.judged import judged_supply

    return SupplyRead(readings_of_no_way(home, views, memo), judged_supply(home, trade, memo))


def supply_in_words(home: "Home", read: SupplyRead) -> Iterator[str]:
    """Give them as a table, what is said of them and what is odd about them; nothing where there are none."""
    entries = _of_use(read)
    if not entries and not read.judged:
        return
    yield "Supply and boards"
    if entries:
        yield ""
        rows = [(named(entry), _place(home, entry.at), entry.shown) for entry in entries]
        yield from table(("Test", "Where", "Read"), rows)
    told = [_placed(home, each) for each in read.judged]
    yield from verdicts(told)
    if read.book.problems:
        yield from ("", "  Odd")
        for problem in read.book.problems:
            yield from wrapped(problem.words, "  - ", "    ")


def supply_as_json(read: SupplyRead) -> dict[str, object]:
    """Give them as plain values."""
    from circuitmap.cli.readings_json import verdict_as_json

    return {
        "readings": [
            {
                "id": entry.reading.id,
                "test": entry.test,
                "cores": list(entry.reading.cores),
                "at": entry.at,
                "side": entry.side,
                "day": entry.visit.day,
                "value_si": figure(entry.value_si),
                "bound": entry.reading.bound,
                "shown": entry.shown,
            }
            for entry in _of_use(read)
        ],
        "verdicts": [verdict_as_json(each) for each in read.judged],
        "problems": [problem.words for problem in read.book.problems],
    }


def _placed(home: "Home", each: "Judged") -> "Judged":
    """Give a verdict that names its device or board, where its sentence doesn't."""
    at = next((place for place in each.at if place[0] in "BD"), None)
    if at is None or at in each.verdict.says:
        return each
    return replace(each, verdict=replace(each.verdict, says=f"{_place(home, at)}: {each.verdict.says}"))


def _of_use(read: SupplyRead) -> "list[Entry]":
    return [entry for entry in read.book.entries if entry.test != "lead check"]


def _place(home: "Home", at: str | None) -> str:
    if at is None:
        return "Supply"
    if at[0] == "D":
        device = home.take(Device, at)
        return home.code(at) if device.way else f"{device.kind} {at}, board {home.letter_of(device.board)}"
    return f"Board {home.letter_of(at)}" if at[0] == "B" else at
