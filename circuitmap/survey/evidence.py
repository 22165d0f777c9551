"""The answers of a point as the weighing reads them: what was off, was it on, how far that can be believed.

Answers set aside, told through another point or given with the local switch off tell nothing here, as in the exact
deduction. Answers of an earlier visit count for less, because wiring changes between visits.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from circuitmap.home.records import Check, Device, Instrument
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.survey.context import Context
from circuitmap.survey.judge import Answer, in_order, read, usable
from circuitmap.survey.kinds import is_way
from circuitmap.trade.rows import Checking
from circuitmap.wiring.supply import above

EARLIER_SLIP: Final = 0.05  # our own estimate: how often wiring, or what is plugged in, has changed since a visit
LEAST_SLIP: Final = 1e-9  # error rate 0: the exact deduction is the limit
_SWITCH_NEUTRAL: Final = frozenset({"main switch", "isolator", "RCD", "RCD BS 4293", "voltage ELCB"})


@dataclass(frozen=True, slots=True)
class Seen:
    """One answer: bits of the ways off for certain, at most, and of those whose neutral was cut; was it on.

    ``off_slip`` is the chance that it seems off though on, ``on_slip`` that it seems on though off.
    """

    live: bool
    sure: int
    may: int
    neutral: int
    everything: bool
    off_slip: float
    on_slip: float


@dataclass(frozen=True, slots=True)
class Told:
    """All that a point's checks tell: the answers, and whether one visit saw it both on and off."""

    seen: tuple[Seen, ...]
    on_and_off: bool
    seen_off: bool
    seen_on: bool


NOTHING: Final = Told((), on_and_off=False, seen_off=False, seen_on=False)


def told_of(
    home: Home,
    checks: Sequence[Check],
    context: Context,
    cutters: dict[int, frozenset[str]],
    row: Checking,
    slip: float | None = None,
) -> Told:
    """Give what a point's checks tell; ``slip`` stands in for the rates of the tables, both ways round."""
    if not checks or context.declined:
        return NOTHING
    visits: dict[str, list[Answer]] = {}
    for check in sorted(checks, key=in_order):
        visits.setdefault(context.timelines[check.round].visit, []).append(read(check, context))
    order = sorted(visits, key=lambda each: context.rank[each])
    seen: list[Seen] = []
    on_and_off = seen_off = seen_on = False
    last = order[-1]
    for visit in order:
        told = usable(visits[visit])
        if told.dark is not None:
            continue
        bearing = [a for a in told.answers if a.live or a.may]
        off = any(not a.live for a in bearing)
        on = any(a.live for a in bearing)
        on_and_off |= off and on
        if visit == last:
            seen_off, seen_on = off, on
        for answer in bearing:
            seen.append(_seen(home, answer, context, cutters, row, slip, is_earlier=visit != last))
    return Told(tuple(seen), on_and_off, seen_off, seen_on)


def neutral_cutters(home: Home, context: Context, memo: Memo) -> dict[int, frozenset[str]]:
    """Give, by the bit of each way, the devices that cut its neutral when off; ways without any are left out."""
    found: dict[int, frozenset[str]] = {}
    for way, bit in context.bits.items():
        chain = [i for i in (way, *above(home, way, memo)) if _cuts_neutral(home.take(Device, i))]
        if chain:
            found[bit] = frozenset(chain)
    return found


def _cuts_neutral(device: Device) -> bool:
    if device.neutral_switched is not None:
        return device.neutral_switched
    return device.poles == 2 or (device.kind in _SWITCH_NEUTRAL and not is_way(device))


def _seen(
    home: Home,
    answer: Answer,
    context: Context,
    cutters: dict[int, frozenset[str]],
    row: Checking,
    slip: float | None,
    *,
    is_earlier: bool,
) -> Seen:
    off_slip, on_slip = (row.seems_off_slip, row.seems_on_slip) if slip is None else (slip, slip)
    meter = home.find(Instrument, answer.check.instrument)
    if meter is not None and slip is None:
        # A meter's own rate covers what persists as well; only the share of single slips counts once it was seen on.
        whole = row.seems_off_slip + row.seems_off_stuck
        off_slip = meter.error_rate * (row.seems_off_slip / whole if whole else 1.0)
    if is_earlier:
        off_slip, on_slip = max(off_slip, EARLIER_SLIP), max(on_slip, EARLIER_SLIP)
    down = context.timelines[answer.check.round].at(answer.check.at).sure
    neutral = 0
    for bit, devices in cutters.items():
        if not devices.isdisjoint(down):
            neutral |= bit
    return Seen(
        bool(answer.live),
        answer.sure,
        answer.may,
        neutral,
        answer.everything,
        min(max(off_slip, LEAST_SLIP), 0.49),
        min(max(on_slip, LEAST_SLIP), 0.49),
    )
