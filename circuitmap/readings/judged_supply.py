"""Verdicts on readings that belong to no way: the supply's loop, fault current, electrode, boards, RCDs, the meter."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from circuitmap.circuits import CircuitView
from circuitmap.home.records import Board, Instrument, Supply
from circuitmap.home.records import Device as DeviceRecord
from circuitmap.home.snapshot import Home
from circuitmap.quantities import Measured
from circuitmap.readings.entries import Entry
from circuitmap.readings.judged_case import Judged, cores_of, ids_of, least_trip_ma, shown
from circuitmap.readings.judged_insulation import Figure, judged_whole_board
from circuitmap.readings.judged_live import device_of, judged_trip, marking_of
from circuitmap.readings.meter import judge_meter
from circuitmap.readings.rcd import Device
from circuitmap.readings.supply import KILO, judge_fault_current, judge_loops_alike, judge_ze
from circuitmap.readings.verdict import Rules, Verdict, unknown
from circuitmap.words import Earthing, InstrumentKind, ReadingTest

_LOOPS: Final[tuple[ReadingTest, ...]] = ("Ze", "Zs")
_NO_TESTERS: Final[frozenset[InstrumentKind]] = frozenset({"other", "socket indicator", "voltage indicator", "lamp"})
_CONTINUITY: Final[frozenset[ReadingTest]] = frozenset({"continuity", "ring end to end", "linked"})


@dataclass(frozen=True, slots=True)
class SupplyCase:
    """The readings that belong to no way, which count together, and what they are about.

    ``meters`` are the instruments with the readings of continuity taken by each.
    """

    rules: Rules
    home: Home
    supply: Supply | None
    boards: tuple[Board, ...]
    views: tuple[CircuitView, ...]
    entries: tuple[Entry, ...]
    figures: tuple[tuple[str, tuple[Figure, ...]], ...]
    meters: tuple[tuple[Instrument, tuple[str, ...]], ...] = ()

    @property
    def earthing(self) -> Earthing:
        """How the supply is earthed, as recorded."""
        return self.supply.earthing if self.supply is not None else "unknown"

    def of_test(self, *tests: ReadingTest) -> tuple[Entry, ...]:
        """Give the readings of some tests."""
        return tuple(entry for entry in self.entries if entry.test in tests)

    def on_board(self, board: Board) -> tuple[DeviceRecord, ...]:
        """Give the devices of a board that are there now."""
        return tuple(d for d in self.home.devices_on(board.id) if d.phase == "existing")

    def board_at(self, entry: Entry) -> Board | None:
        """Give the board at which something was read; the only one of the supply where nobody said."""
        named = next((board for board in self.boards if board.id == entry.at), None)
        first = [board for board in self.boards if board.source == "supply"]
        return named if named is not None or entry.at is not None else first[0] if len(first) == 1 else None


def of_the_supply(case: SupplyCase) -> Iterator[Judged]:
    """Judge all readings that belong to no way."""
    yield from _ze(case)
    yield from _alike(case)
    yield from _currents(case)
    yield from _trips(case)
    for board in case.boards:
        read = [e for e in case.of_test("insulation") if case.board_at(e) is board]
        here = [view.device.id for view in case.views if view.board.id == board.id]
        figures = [figure for way, held in case.figures if way in here for figure in held]
        yield from judged_whole_board(case.rules, board.id, board.letter_on_map, read, figures, len(here))
    yield from _meters(case)


def is_earth_loop(entry: Entry) -> bool:
    """Whether a loop reading was taken to earth; where nobody said, it was."""
    return cores_of(entry) in (frozenset(), frozenset({"L", "E"}))


def _ze(case: SupplyCase) -> Iterator[Judged]:
    over = [d for board in case.boards for d in case.on_board(board) if d.rcd is not None]
    rcd_ma = least_trip_ma(over)
    read = [e for e in case.of_test("Ze", "earth electrode") if is_earth_loop(e)]
    for entry in read:
        earthing: Earthing = "TT" if entry.test == "earth electrode" else case.earthing
        at = (entry.at,) if entry.at else _supply_id(case)
        verdict = judge_ze(case.rules, earthing, shown(entry), rcd_ma)
        yield Judged(verdict, ids_of((entry,)), at, f"{entry.test}")
    supply = case.supply
    if supply is not None and supply.ze_ohm is not None and not any(e.test == "Ze" for e in read):
        yield Judged(judge_ze(case.rules, supply.earthing, supply.ze_ohm, rcd_ma), (), (supply.id,), "Ze")


def _alike(case: SupplyCase) -> Iterator[Judged]:
    if case.earthing != "TN-C-S":
        return
    for board in case.boards:
        loops = [e for e in case.of_test(*_LOOPS) if case.board_at(e) is board and board.source == "supply"]
        neutral = next((e for e in reversed(loops) if cores_of(e) == {"L", "N"}), None)
        earth = next((e for e in reversed(loops) if is_earth_loop(e)), None)
        if neutral is not None and earth is not None:
            verdict = judge_loops_alike(case.rules, case.earthing, shown(neutral), shown(earth))
            yield Judged(verdict, ids_of((neutral, earth)), (board.id,), "loops alike")


def _currents(case: SupplyCase) -> Iterator[Judged]:
    for board in case.boards:
        read = [e for e in case.of_test("PFC") if case.board_at(e) is board and e.value_si is not None]
        supply = case.supply
        if read:
            # The larger of line to neutral and line to earth decides.
            largest = max(read, key=lambda entry: entry.value_si or 0.0)
            yield from _against_devices(case, board, shown(largest), ids_of((largest,)))
        elif supply is not None and supply.pfc_ka is not None and board.source == "supply":
            yield from _against_devices(case, board, Measured(supply.pfc_ka * KILO), ())


def _against_devices(
    case: SupplyCase, board: Board, measured: Measured | None, readings: tuple[str, ...]
) -> Iterator[Judged]:
    """Judge a fault current against every kind and marking on a board once; what protects nothing isn't asked."""
    alike: dict[tuple[str, str], list[DeviceRecord]] = {}
    for device in case.on_board(board):
        marking = marking_of(case.rules, device)
        if case.rules.trade.breaking(device.kind, marking) is not None:
            alike.setdefault((device.kind, marking), []).append(device)
    for (kind, marking), devices in alike.items():
        verdict = judge_fault_current(case.rules, devices[0].kind, measured, marking)
        named = f"{kind} {marking}".rstrip()
        said = Verdict(
            verdict.kind, f"{named} on board {board.letter_on_map}: {verdict.says}", verdict.why, verdict.source,
            verdict.level,
        )  # fmt: skip
        yield Judged(said, readings, (board.id, *(d.id for d in devices)), f"PFC {board.letter_on_map} {named}")


def _trips(case: SupplyCase) -> Iterator[Judged]:
    for entry in case.of_test("RCD trip"):
        held = case.home.find(DeviceRecord, entry.reading.device or entry.at or "")
        if held is None:
            named = entry.at or "nothing"
            says = f"A trip time was read at {named}, which is no RCD on record."
            none = unknown("no RCD recorded", says, "Say which device was tested.")
            yield Judged(none, ids_of((entry,)), (entry.at,) if entry.at else (), "RCD")
            continue
        is_rcd = held.rcd is not None or case.rules.trade.device(held.kind).residual_current
        device = device_of(held) if is_rcd else Device("RCD", None)
        yield judged_trip(case.rules, case.earthing, device, held.id, entry)


def _meters(case: SupplyCase) -> Iterator[Judged]:
    for meter, readings in case.meters:
        if meter.kind in _NO_TESTERS:
            verdict = judge_meter(case.rules, None, None)
            yield Judged(verdict, readings, (meter.id,), f"meter {meter.id}")


def meters_of(home: Home, entries: Sequence[Entry]) -> tuple[tuple[Instrument, tuple[str, ...]], ...]:
    """Give the instruments by which continuity was read, each with those readings."""
    found: dict[str, list[str]] = {}
    for entry in entries:
        if entry.test in _CONTINUITY and entry.reading.instrument is not None and entry.value_si is not None:
            found.setdefault(entry.reading.instrument, []).append(entry.reading.id)
    return tuple((home.take(Instrument, i), tuple(readings)) for i, readings in found.items())


def _supply_id(case: SupplyCase) -> tuple[str, ...]:
    return (case.supply.id,) if case.supply is not None else ()
