"""How long a switch-off takes, and how often something is switched for it."""

from collections.abc import Iterable
from math import isfinite

from circuitmap.home.records import Device, Point
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.survey.kinds import is_carrier
from circuitmap.survey.walk import walk_length_mm
from circuitmap.trade import Trade


def operations(home: Home, off: Iterable[str]) -> int:
    """Give how many times something is switched, off and on again.

    Fuse carriers are pulled with the main switch off: that goes off and on once before the walk and once after it.
    """
    devices = [home.take(Device, i) for i in off]
    return 2 * len(devices) + (4 if any(is_carrier(device) for device in devices) else 0)


def minutes(home: Home, memo: Memo, trade: Trade, off: Iterable[str], points: Iterable[str]) -> float:
    """Give the likely minutes of one switch-off: switching, walking to the points, looking at each, switching back.

    Lights that the same switch works are one look. Common practice, no source, by the rows of ``survey.toml``.
    """
    off, order = tuple(off), tuple(points)
    carriers = any(is_carrier(home.take(Device, i)) for i in off)
    spent = trade.pace("pull and confirm" if carriers else "switch and confirm") if off else 0.0
    spent += trade.pace("each device more") * max(len(off) - 1, 0)
    walked_m = walk_length_mm(home, order, memo) / 1000
    if isfinite(walked_m):
        spent += walked_m / trade.pace("walking speed")
    return spent + looking(home, memo, trade, order)


def looking(home: Home, memo: Memo, trade: Trade, points: Iterable[str]) -> float:
    """Give the minutes of looking at some points, without the way between them."""
    table = home.table(Point)
    works = memo.get("survey.worked by", "", (table,), lambda: _worked_by(table.values()))
    looks: dict[object, float] = {}
    for i in points:
        switches = works.get(i)
        looks[switches if switches and trade.point(table[i].kind).is_light else i] = trade.checking(
            table[i].kind
        ).minutes
    return sum(looks.values())


def _worked_by(points: Iterable[Point]) -> dict[str, frozenset[str]]:
    found: dict[str, set[str]] = {}
    for switch in points:
        for light in switch.controls:
            found.setdefault(light, set()).add(switch.id)
    return {light: frozenset(switches) for light, switches in found.items()}
