"""Witness points: for every RCD that stays on, points that are on and would go out with it.

A group that is off may still trip an RCD later in the walk. Whoever looks at the witness in every room and at the end
knows, and the answers since the last good look are asked again. Where nothing is known yet, several points together
make it likely that one of them hangs under each RCD.
"""

from collections.abc import Iterable
from typing import Final

import numpy as np

from circuitmap.home.records import Device, Point
from circuitmap.survey.kinds import is_existing, is_main, is_way
from circuitmap.survey.planner.outlook import Outlook
from circuitmap.survey.proposal import Witness
from circuitmap.survey.taken import taken
from circuitmap.wiring.supply import under

SURE_ENOUGH: Final = 0.95
LIKELY: Final = 0.05
MOST_EACH: Final = 4
LAST: Final = 0.5  # what is no socket and no light may go off by itself: watched only where it is far surer than they
_RCD_KINDS: Final = frozenset({"RCD", "RCD BS 4293", "voltage ELCB"})


def groups(look: Outlook) -> dict[str, frozenset[str]]:
    """Give the devices that can trip and take more than one way with them, each with the ways under it.

    Where nothing is recorded to be under one, it may carry any way of its board.
    """
    home = look.home
    found: dict[str, frozenset[str]] = {}
    for device in home.sorted(Device):
        trips = device.kind in _RCD_KINDS or (device.rcd is not None and not is_way(device))
        if not is_existing(device) or is_main(device) or not trips:
            continue
        below = frozenset(i for i in under(home, (device.id,), look.memo) if is_way(home.take(Device, i)))
        found[device.id] = below or frozenset(d.id for d in home.devices_on(device.board) if is_way(d))
    return found


def witnesses(look: Outlook, off: Iterable[str]) -> tuple[Witness, ...]:
    """Give the points to look at again and again while some devices are off, RCD by RCD."""
    home = look.home
    out = taken(home, off, look.memo).sure
    down = look.way_mask(out)
    belief = look.scales.belief
    chances = belief.chances[:, : belief.ways]
    found: list[Witness] = []
    askable = set(look.askable)
    rows = [n for n, i in enumerate(look.scales.ids) if i in askable and _is_seen_on(look, i)]
    by_kind = np.array([1.0 if _is_plain(look, look.scales.ids[n]) else LAST for n in rows])
    for rcd, ways in groups(look).items():
        if rcd in out:
            continue
        under_it = np.array([i in ways for i in look.scales.ways], dtype=bool) & ~down
        if not under_it.any():
            continue
        stays = chances[rows][:, under_it] if rows else np.zeros((0, 1))
        plain, told, missed = by_kind, np.zeros(stays.shape[1]), 1.0
        for _ in range(min(MOST_EACH, len(rows))):
            # Points that likely hang on one way go out together, so the next one is looked for on another.
            worth = (stays * (1 - told)).sum(axis=1) * plain
            n = int(np.argmax(worth))
            if missed <= 1 - SURE_ENOUGH or stays[n].sum() < LIKELY or worth[n] <= 0:
                break
            found.append(Witness(rcd, look.scales.ids[rows[n]]))
            missed *= 1 - float(stays[n].sum())
            told = np.maximum(told, stays[n])
            plain = plain * (np.arange(len(rows)) != n)
    return tuple(found)


def _is_plain(look: Outlook, point: str) -> bool:
    """Whether a lamp can be left there: an appliance goes off by its own thermostat or timer as well."""
    row = look.trade.point(look.home.take(Point, point).kind)
    return row.is_socket_outlet or row.is_light


def _is_seen_on(look: Outlook, point: str) -> bool:
    told = look.scales.told.get(point)
    return told is not None and told.seen_on
