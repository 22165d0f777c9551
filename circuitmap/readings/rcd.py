"""RCD trip times by kind of device and edition: at its rating, at five times it, and at half, where it must hold.

A device that trips in time here may still be the wrong type for what it feeds; that is for ``findings``.
"""

from dataclasses import dataclass
from math import inf
from typing import Final

from circuitmap.readings.verdict import COMMON, ROUNDING, Rules, Shown, Span, Verdict, cited, span_of, unknown
from circuitmap.trade import Row
from circuitmap.words import DeviceKind, Earthing

MS: Final = 1e3
HALF: Final = 0.5
RATED: Final = 1.0


@dataclass(frozen=True, slots=True)
class Device:
    """The residual current device that was tested: its kind, rating and whether it is delayed (type S)."""

    kind: DeviceKind = "RCD"
    trips_ma: float | None = 30
    is_delayed: bool = False


@dataclass(frozen=True, slots=True)
class TripLimit:
    """Between what a device must trip, in milliseconds; ``least`` is None for one that isn't delayed."""

    least: Row | None
    most: Row


def trip_limit(rules: Rules, device: Device, times_rated: float = RATED) -> TripLimit | None:
    """Give the trip times asked of a device at a multiple of its rating, None where the tables have none.

    300 ms at its rating and 40 ms at five times it; delayed 130 to 500 ms and 50 to 150 ms; 200 ms for BS 4293.

    **Source:** an instrument's data table citing EN 61008 and 61009; 200 ms: textbook p. 370.
    """
    is_rated = abs(times_rated - RATED) < ROUNDING
    is_fast = abs(times_rated - rules.value("RCD fast test times")) < ROUNDING
    if device.kind == "voltage ELCB" or not (is_rated or is_fast):
        return None
    if device.kind == "RCD BS 4293":
        if device.is_delayed or not is_rated:
            return None
        old = next((row for row in rules.trade.sides("RCD trip ms", rules.edition) if row.side == "BS 4293"), None)
        return None if old is None else TripLimit(None, old)
    if device.is_delayed:
        which = "RCD delayed" if is_rated else "RCD delayed fast"
        return TripLimit(rules.row(f"{which} least ms"), rules.row(f"{which} most ms"))
    return TripLimit(None, rules.row("RCD trip ms" if is_rated else "RCD fast trip ms"))


def judge_trip(
    rules: Rules,
    device: Device,
    measured: Shown,
    *,
    times_rated: float = RATED,
    earthing: Earthing = "unknown",
    has_loads: bool = False,
) -> Verdict:
    """Say whether a device tripped in its time.

    Parameters
    ----------
    measured
        In seconds, as readings are kept; a bound above is "did not trip" in that time.
    times_rated
        The test current over the rating: 0.5, 1 or 5.
    has_loads
        Whether anything was connected behind it; leakage of its own adds to the test current.
    """
    span = span_of(measured)
    if span is None:
        return unknown("no reading", "The trip time wasn't measured.", "Measure it at the device's rating.")
    if span.least < 0:
        return unknown("below zero", "A time can't be less than nothing.", "Read it again.")
    if abs(times_rated - HALF) < ROUNDING:
        return judge_half(rules, measured, has_loads=has_loads)
    if device.kind == "voltage ELCB":
        says = "A voltage-operated breaker has no trip time at a residual current."
        return unknown("not an RCD", says, "It is no RCD: it is for the inspector whether it may stay.")
    limit = trip_limit(rules, device, times_rated)
    if limit is None:
        says = "The tables have no trip time for this device at this test current."
        return unknown("no limit", says, "Test it at its rating.")
    most_s = limit.most.value / MS
    says = f"It tripped in {_shown(span)}"
    at = f"at {times_rated:g} × {device.trips_ma:g} mA" if device.trips_ma else f"at {times_rated:g} times its rating"
    source = cited(limit.most)
    if span.least > most_s + ROUNDING or (span.most == inf and span.least >= most_s - ROUNDING):
        says = f"It did not trip within {limit.most.value:g} ms {at}" + (
            "." if span.most == inf else f": {_shown(span)}."
        )
        why = "Work its test button, take the loads off, test again; then it is to be replaced."
        return Verdict("too slow", says, why, source, "fails")
    if limit.least is not None and span.most < limit.least.value / MS - ROUNDING:
        why = f"A delayed one takes {limit.least.value:g} ms at least, so that the one behind it trips first."
        return Verdict("too quick for delayed", f"{says} {at}.", why, cited(limit.least), "fails")
    decides = span.most <= most_s + ROUNDING and (
        limit.least is None or span.least >= limit.least.value / MS - ROUNDING
    )
    if not decides:
        return unknown("only a bound", f"{says} {at}: a bound that doesn't decide.", "Read the time.")
    return Verdict(
        "in time", f"{says} {at}.", _remarks(rules, device, span, limit, times_rated, earthing), source, "fine"
    )


def judge_half(rules: Rules, measured: Shown, *, has_loads: bool = False) -> Verdict:
    """Say whether a device held at half its rating; a bound above is "did not trip" in that time.

    **Source:** textbook p. 370; no longer asked since Amendment 2 (2022): Wiring Matters 91.
    """
    span = span_of(measured)
    if span is None or span.least < 0:
        return unknown("no reading", "The test at half its rating has no reading.", "It isn't asked for any more.")
    hold = rules.row("RCD half hold s")
    asked = rules.value("RCD half and five asked") > 0
    why = "" if asked else f"{rules.edition} no longer asks for this test."
    if span.least >= hold.value - ROUNDING:
        return Verdict("holds at half", "It held at half its rating.", why, cited(hold), "fine")
    if span.most == inf:
        says = f"It held for {span.least:g} s at half its rating; {hold.value:g} s were wanted."
        return unknown("held too short a time", says, why or "Hold the test longer.", cited(hold))
    says = f"It tripped at half its rating ({_shown(span)})."
    if has_loads:
        why = "What is connected leaks and adds to the test: take the loads off and test again."
        return Verdict("trips at half", says, why, COMMON, "query")
    why = f"It is too touchy, or the wiring behind it leaks: measure insulation, then test with its ways off. {why}"
    return Verdict("trips at half", says, why.rstrip(), cited(hold), "look" if not asked else "fails")


def currents_asked(rules: Rules) -> tuple[float, ...]:
    """Give the test currents an edition asks for, in times the rating: half, once and five times; once since 2022.

    **Source:** textbook p. 370; an institution's forum quoting the note to 643.7.1 and 643.8; Wiring Matters 91.
    """
    if rules.value("RCD half and five asked") > 0:
        return (HALF, RATED, rules.value("RCD fast test times"))
    return (RATED,)


def button(rules: Rules) -> Verdict:
    """Say how often the test button is to be worked, which its label says too.

    **Source:** from memory: 514.12.2; an older textbook asks for every three months.
    """
    row = rules.row("RCD button months")
    says = f"Work its test button every {row.value:g} months."
    return Verdict("test button", says, "The button proves the mechanism, not the time.", cited(row), "fine")


def _remarks(rules: Rules, device: Device, span: Span, limit: TripLimit, times_rated: float, earthing: Earthing) -> str:
    says: list[str] = []
    if times_rated > RATED and rules.value("RCD half and five asked") == 0:
        says.append(f"{rules.edition} no longer asks for this test.")
    if abs(times_rated - RATED) < ROUNDING and not device.is_delayed:
        tt = rules.row("TT final disconnection s")
        if earthing == "TT" and span.most > tt.value:
            says.append(
                f"{tt.value:g} s for a TT circuit is meant for faults well above the rating, about five times it;"
                " this one doesn't fail by it."
            )
        older = [row for row in rules.trade.sides("RCD trip ms", rules.edition) if row.value < limit.most.value]
        if device.kind != "RCD BS 4293":
            says += [
                f"Older books ask for {row.value:g} ms: that is {row.side}'s figure, for older devices."
                for row in older
                if span.most > row.value / MS
            ]
    return " ".join(says)


def _shown(span: Span) -> str:
    if span.least == span.most:
        return f"{span.least * MS:.0f} ms"
    return f"over {span.least * MS:g} ms" if span.most == inf else f"under {span.most * MS:g} ms"
