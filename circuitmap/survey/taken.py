"""What a switch-off takes with it: surely, and at most.

Recorded links say what is under what. Where nobody recorded them, a main switch is taken to carry the whole of its
board, and what any other switching device carries is left open: it *may* carry every way of its board.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from circuitmap.home.records import Board, Device, OtherSource, Supply
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.survey.kinds import is_existing, is_main, is_way
from circuitmap.wiring.supply import above, feeders, under


@dataclass(frozen=True, slots=True)
class Taken:
    """The devices that are without supply for certain, and those that may be (the former among them)."""

    sure: frozenset[str]
    may: frozenset[str]


def taken(home: Home, devices: Iterable[str], memo: Memo | None = None) -> Taken:
    """Give what is without supply when some devices are off."""
    memo = memo if memo is not None else Memo()
    sure = _settle(home, frozenset(devices), memo)
    if not sure:
        return Taken(sure, sure)
    # What feeds such a board is not known yet, so anything that is off may be it.
    stray = {b.id for b in home.table(Board).values() if b.source in ("run", "unknown")} - feeders(home, memo).keys()
    extra = {device for board in stray for device in _roots(home, board)}
    for device_id in sure:
        device = home.find(Device, device_id)
        if device is None or not is_existing(device) or is_way(device):
            continue
        if is_main(device):
            # Two main switches on one board and nothing recorded under either: this one may carry any of it.
            extra |= set(_roots(home, device.board))
        elif not any(_is_way_id(home, each) for each in under(home, (device_id,), memo)):
            over = [each for each in above(home, device_id, memo) if _is_way_id(home, each)]
            extra |= set(over) or set(_roots(home, device.board))
    return Taken(sure, sure | _settle(home, sure | extra, memo))


def everything_off(home: Home, off: frozenset[str]) -> bool:
    """Whether every way and every main switch of a board fed by a supply is among the devices that are off."""
    devices = home.table(Device).values()
    ways = [device for device in devices if is_way(device)]
    return bool(ways) and all(d.id in off for d in devices if is_way(d) or (is_main(d) and _is_first(home, d)))


def other_sources(home: Home) -> tuple[OtherSource, ...]:
    """Give every source recorded beside the main supply."""
    return tuple(source for supply in home.sorted(Supply) for source in supply.sources)


def main_switches(home: Home) -> tuple[Device, ...]:
    """Give the main switches of the boards that are fed by a supply, in the order of their ids."""
    return tuple(device for device in home.sorted(Device) if is_main(device) and _is_first(home, device))


def _is_first(home: Home, device: Device) -> bool:
    board = home.find(Board, device.board)
    return board is not None and board.source != "run"


def _is_way_id(home: Home, device_id: str) -> bool:
    device = home.find(Device, device_id)
    return device is not None and is_way(device)


def _roots(home: Home, board: str) -> tuple[str, ...]:
    return tuple(d.id for d in home.devices_on(board) if d.upstream is None and is_existing(d) and not is_main(d))


def _settle(home: Home, off: frozenset[str], memo: Memo) -> frozenset[str]:
    """Add what is under the devices, and all of a board whose every main switch is off, until nothing is added."""
    while True:
        wider = off | under(home, off, memo)
        for board in {device.board for i in wider if (device := home.find(Device, i)) is not None and is_main(device)}:
            if all(device.id in wider for device in home.devices_on(board) if is_main(device)):
                wider |= frozenset(_roots(home, board))
        if wider == off:
            return off
        off = wider
