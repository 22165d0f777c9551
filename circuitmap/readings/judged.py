"""All verdicts of a home's readings in one list: a circuit's own, and those of the supply and its boards.

Before the work beside after it, so that what was wrong first is shown as such. What a reading should be by the map
needs the network and is left out on request; which fault explains it all is ``diagnose``'s to say.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Final

from circuitmap.circuits import CircuitView, views
from circuitmap.home.records import Board, Device, Point, Reading, Storey, Supply
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.readings.book import ReadingBook, readings_of, readings_of_no_way
from circuitmap.readings.entries import Entry, entry_of, in_order
from circuitmap.readings.judged_case import Case, Judged, Since, rules_of
from circuitmap.readings.judged_insulation import figures_of, judged_insulation
from circuitmap.readings.judged_live import (
    judged_calculated,
    judged_currents,
    judged_loops,
    judged_polarity,
    judged_trips,
)
from circuitmap.readings.judged_ring import judged_neutrals, judged_radial, judged_ring, judged_single
from circuitmap.readings.judged_supply import SupplyCase, is_earth_loop, meters_of, of_the_supply
from circuitmap.readings.verdict import Level
from circuitmap.trade import Trade

__all__ = ["Judged", "Since", "judged", "judged_supply", "rules_of"]

_BAD: Final[frozenset[Level]] = frozenset({"fails", "query", "look"})
_RULES: Final = (
    judged_ring, judged_radial, judged_single, judged_neutrals, judged_insulation, judged_polarity, judged_loops,
    judged_calculated, judged_trips, judged_currents,
)  # fmt: skip


def judged(home: Home, view: CircuitView, trade: Trade, memo: Memo, *, by_map: bool = True) -> tuple[Judged, ...]:
    """Give every verdict on the readings of a circuit, in the order of the tests.

    Parameters
    ----------
    by_map
        Whether readings are held against what the map predicts as well; that takes the network.
    """
    book = readings_of(home, view, memo)
    if not book.entries:
        return ()
    supply = _supply(home)
    base = memo.steady("readings.base", view.board.id, loop_at_board(home, view.board, supply, memo))
    made_of = (book, view, trade, home.details, supply, base)
    own = memo.get(
        "readings.judged", view.device.id, made_of, lambda: tuple(_own(home, view, trade, book, supply, base))
    )
    if not by_map:
        return own
    stands = (home.table(Point), home.table(Storey), home.table(Board), home.table(Device))
    return memo.get(
        "readings.judged by map", view.device.id, (own, *made_of, *stands),
        lambda: (*own, *_by_map(home, view, trade, book, supply, base)),
    )  # fmt: skip


def judged_supply(home: Home, trade: Trade, memo: Memo) -> tuple[Judged, ...]:
    """Give every verdict on what belongs to no way: the supply, boards as a whole, RCDs over several ways, meters."""
    circuits = views(home, trade, memo)
    supply = _supply(home)
    made_of = (home.table(Reading), circuits, home.table(Board), home.table(Device), home.details, supply, trade)
    return memo.get(
        "readings.judged supply", "", made_of, lambda: tuple(_of_no_way(home, circuits, supply, trade, memo))
    )


def _own(
    home: Home, view: CircuitView, trade: Trade, book: ReadingBook, supply: Supply | None, base: "_Base"
) -> Iterator[Judged]:
    def of(entries: tuple[Entry, ...]) -> list[Judged]:
        case = _case(home, view, trade, supply, base, entries)
        return [each for rule in _RULES for each in rule(case)]

    now = of(book.latest)
    if not book.after:
        yield from now
        return
    yield from _beside(now, of(book.before), {entry.reading.id for entry in book.after})


def _by_map(
    home: Home, view: CircuitView, trade: Trade, book: ReadingBook, supply: Supply | None, base: "_Base"
) -> Iterator[Judged]:
    from circuitmap.readings.judged_map import loops_by_the_map, off_the_map

    def of(entries: tuple[Entry, ...]) -> list[Judged]:
        case = _case(home, view, trade, supply, base, entries)
        return [*off_the_map(case, home), *loops_by_the_map(case, home)]

    now = of(book.latest)
    if not book.after:
        yield from now
        return
    yield from _beside(now, of(book.before), {entry.reading.id for entry in book.after})


def _of_no_way(
    home: Home, circuits: tuple[CircuitView, ...], supply: Supply | None, trade: Trade, memo: Memo
) -> Iterator[Judged]:
    book = readings_of_no_way(home, circuits, memo)
    books = [(view, readings_of(home, view, memo)) for view in circuits]
    figures = tuple((view.device.id, tuple(figures_of(view.code, held.latest))) for view, held in books if held.entries)
    meters = meters_of(home, [entry for _, held in books for entry in held.latest])
    boards = tuple(home.sorted(Board))

    def of(entries: tuple[Entry, ...]) -> list[Judged]:
        rules = rules_of(home, trade)
        return list(of_the_supply(SupplyCase(rules, home, supply, boards, circuits, entries, figures, meters)))

    now = of(book.latest)
    if not book.after:
        yield from now
        return
    yield from _beside(now, of(book.before), {entry.reading.id for entry in book.after})


def _beside(now: Iterable[Judged], first: Iterable[Judged], after: set[str]) -> Iterator[Judged]:
    """Say of each verdict how it lies to the work: there first, come with it, gone with it, not read again."""
    earlier = [each for each in first if each.readings]
    bad = {(each.subject, each.verdict.kind, each.at): each for each in earlier if each.verdict.level in _BAD}
    told = {each.subject: each for each in earlier if each.verdict.level != "can't tell"}
    was_bad = {each.subject: each for each in earlier if each.verdict.level in ("fails", "look")}
    for each in now:
        is_bad = each.verdict.level in _BAD
        same = bad.get((each.subject, each.verdict.kind, each.at))
        if not each.readings or each.verdict.level == "can't tell":
            yield each
        elif is_bad and not after & set(each.readings):
            yield _since(each, "not read again", "So it was before the work; it wasn't read again since.")
        elif is_bad and same is not None:
            then = "" if same.verdict.says == each.verdict.says else f" Then: {same.verdict.says}"
            yield _since(each, "there before", f"It was there before the work.{then}")
        elif is_bad and each.subject in told and each.subject not in was_bad:
            yield _since(each, "new", f"It was not so before the work. Then: {told[each.subject].verdict.says}")
        elif not is_bad and each.subject in was_bad and after & set(each.readings):
            yield _since(each, "put right", f"Before the work: {was_bad[each.subject].verdict.says}")
        else:
            yield each


def _since(each: Judged, since: Since, words: str) -> Judged:
    verdict = replace(each.verdict, why=f"{each.verdict.why} {words}".strip())
    return replace(each, verdict=verdict, since=since, beside=words)


_Base = tuple[float, tuple[str, ...]] | None


def _case(
    home: Home, view: CircuitView, trade: Trade, supply: Supply | None, base: _Base, entries: tuple[Entry, ...]
) -> Case:
    earthing = supply.earthing if supply is not None else "unknown"
    ohm, readings = base if base is not None else (None, ())
    return Case(rules_of(home, trade), view, earthing, ohm, readings, entries)


def loop_at_board(home: Home, board: Board, supply: Supply | None, memo: Memo) -> tuple[float, tuple[str, ...]] | None:
    """Give the earth loop at a board in ohms and the readings that say so, None where nothing does.

    As read there last, else as the supply page has it for a board of the supply.
    """
    readings = home.table(Reading)
    found = memo.get("readings.loops", "", (readings,), lambda: _loops(home))
    if board.id in found:
        return found[board.id]
    if board.source != "supply":
        return None
    if "" in found:
        return found[""]
    return (supply.ze_ohm, ()) if supply is not None and supply.ze_ohm is not None else None


def _loops(home: Home) -> dict[str, tuple[float, tuple[str, ...]]]:
    """Give the last earth loop read at every board, and under "" the supply's own where no board is named."""
    loops = [r for r in home.table(Reading).values() if r.test == "Ze" or (r.test == "Zs" and _is_at_board(home, r))]
    found: dict[str, tuple[float, tuple[str, ...]]] = {}
    for entry in in_order([entry_of(home, each, None) for each in loops]):
        reading = entry.reading
        named = reading.at or ("" if reading.test == "Ze" else None)
        if named is not None and entry.is_number and entry.value_si is not None and is_earth_loop(entry):
            found[named] = (max(0.0, entry.value_si), (reading.id,))
    return found


def _is_at_board(home: Home, reading: Reading) -> bool:
    """Whether Zs was read at a board itself: of no way of it, since a way's own is read at its device."""
    if reading.at is None or reading.at[0] != "B":
        return False
    device = home.find(Device, reading.device or "")
    return device is None or device.board != reading.at


def _supply(home: Home) -> Supply | None:
    return next(iter(home.sorted(Supply)), None)
