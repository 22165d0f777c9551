"""Insulation: what to test with, what a reading means, how parallel parts add up, what to suspect first.

All resistances here are megohms. ``>200`` is a bound: the value may be anything above, and is never reckoned as 200.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from math import inf
from typing import Final, Literal

from circuitmap.readings.verdict import (
    ARITHMETIC,
    COMMON,
    ROUNDING,
    Rules,
    Shown,
    Span,
    Verdict,
    cited,
    span_of,
    unknown,
)
from circuitmap.trade import Row, Suspect

MEGA: Final = 1e6
MOST_OF_IT: Final = 0.5
Scope = Literal["circuit", "board"]
System = Literal["low voltage", "SELV or PELV", "above 500 V"]
Pair = Literal["L-N", "L-E", "N-E", "L+N-E"]


@dataclass(frozen=True, slots=True)
class Taken:
    """How an insulation reading was taken.

    ``has_equipment``: something was still connected. ``has_sensitive``: among it electronics or surge protection.
    """

    test_v: float | None = None
    pair: Pair = "L-E"
    scope: Scope = "circuit"
    system: System = "low voltage"
    has_equipment: bool = False
    has_sensitive: bool = False
    is_new: bool = False

    @property
    def has_something(self) -> bool:
        """Whether anything but wiring was connected."""
        return self.has_equipment or self.has_sensitive


@dataclass(frozen=True, slots=True)
class Setup:
    """What to test with: the voltage, and whether line and neutral are joined and tested to earth only."""

    test_v: float
    joins_live: bool
    says: str
    source: str


def setup(rules: Rules, *, system: System = "low voltage", has_sensitive: bool = False) -> Setup:
    """Give the test voltage and how to connect it.

    With something that could be harmed connected: 250 V, live conductors joined, to earth only; line to neutral would
    still be the full test voltage across it.

    **Source:** from memory: BS 7671 Table 64, 643.3.2 and 643.3.3; the instrument gives it at 1 mA (BS EN 61557-2).
    """
    at = f"at {rules.value('insulation test mA'):g} mA"
    if system == "above 500 V":
        row = rules.row("insulation high V")
        return Setup(row.value, False, f"Test with {row.value:g} V {at}.", cited(row))
    if system == "SELV or PELV":
        row = rules.row("insulation least V")
        return Setup(row.value, False, f"Test with {row.value:g} V {at}.", cited(row))
    if has_sensitive:
        row = rules.row("insulation least V")
        says = (
            f"Test with {row.value:g} V, line and neutral joined, to earth only, never between them; write that down."
            " Better: disconnect what could be harmed, and surge protection."
        )
        return Setup(row.value, True, says, cited(row))
    row = rules.row("insulation usual V")
    return Setup(row.value, False, f"Test with {row.value:g} V {at}, everything unplugged and off.", cited(row))


def minimum(rules: Rules, system: System = "low voltage", test_v: float | None = None) -> Row:
    """Give the least insulation in megohms for a test.

    **Source:** BS 7671 Table 64 from memory; 1 MΩ at 500 V: Wiring Matters 81 (2020).
    """
    if system == "SELV or PELV":
        return rules.row("insulation SELV Mohm")
    if system == "above 500 V":
        return rules.row("insulation 1000 V Mohm")
    is_low = test_v is not None and test_v <= rules.value("insulation least V")
    return rules.row("insulation 250 V Mohm" if is_low else "insulation 500 V Mohm")


def judge_insulation(rules: Rules, measured: Shown, taken: Taken) -> tuple[Verdict, ...]:
    """Say what an insulation reading means, and before that whether it was taken as it should be.

    Parameters
    ----------
    measured
        In ohms, as readings are kept; a bound stays one.
    """
    span = _megohms(measured)
    if span is None:
        return (unknown("no reading", "Insulation wasn't measured.", "Measure it, or write down why not."),)
    if span.least < 0:
        return (unknown("below zero", "Insulation can't be less than nothing.", "Read it again."),)
    asked = _asked_wrongly(rules, taken)
    verdict = _board(rules, span, taken) if taken.scope == "board" else _circuit(rules, span, taken)
    return (*asked, verdict)


def parallel(parts: Iterable[Span]) -> Span:
    """Give the insulation of parts tested together: 1/R = Σ 1/Ri; a bound among them leaves a bound.

    The whole is always below its worst part. Endless parts take nothing away.

    **Source:** arithmetic.
    """
    least = most = 0.0
    for part in parts:
        least += 1 / part.least if part.least > 0 else inf
        most += 1 / part.most if part.most > 0 else inf
    return Span(1 / least if least else inf, 1 / most if most else inf)


def megohms(reading_mohm: float, *, is_over: bool = False) -> Span:
    """Give a plain reading in megohms as a span; ``is_over`` for one that was over the meter's range."""
    return Span(reading_mohm, inf if is_over else reading_mohm)


def share_explained(whole: Span, without: Span) -> Span:
    """Give what share of a leakage a part explains, from readings with it and without it: 1 − Rwhole / Rwithout.

    **Source:** arithmetic, from 1/Rpart = 1/Rwhole − 1/Rwithout.
    """
    if whole.least == inf:
        return Span(0.0, 1.0)  # nothing leaks that anything could explain
    worst = 1 - whole.most / without.least if without.least > 0 and whole.most < inf else 0.0
    best = 1 - whole.least / without.most if without.most > 0 else 0.0
    return Span(min(max(worst, 0.0), 1.0), min(max(best, 0.0), 1.0))


def judge_taken_off(rules: Rules, whole: Shown, without: Shown, what: str, *, is_branch: bool = False) -> Verdict:
    """Say what it means that a reading changed when something was taken off.

    ``what`` names it ("the kettle", "the branch to P7"); a branch has equipment on it more often than a bad cable.
    """
    before, after = _megohms(whole), _megohms(without)
    if before is None or after is None:
        return unknown("incomplete", f"It needs a reading with {what} and one without.", "Take the missing one.")
    share = share_explained(before, after)
    says = f"With {what} {_shown(before)}, without {_shown(after)}"
    if after.most < before.least * (1 - rules.value("insulation repeat share")):
        why = "Taking something off can only raise it: it was read otherwise, or damp moved. Read both again."
        return Verdict("contradiction", f"{says}: it fell.", why, ARITHMETIC, "query")
    low = share.least
    if low >= MOST_OF_IT:
        says = f"{says}: at least {low * 100:.0f} % of what leaks is there."
        why = f"Take {what} out of use until it is tested by itself."
        if is_branch:
            why = "First equipment on it or damp in it, then its cable: unplug, take off fixed loads, then split it."
        return Verdict("found", says, why, COMMON, "look")
    if share.most < MOST_OF_IT:
        return Verdict(
            "elsewhere", f"{says}: most of what leaks is elsewhere.", "Go on without it.", ARITHMETIC, "fine"
        )
    return unknown("can't tell", f"{says}: a bound that doesn't decide.", "Read in a wider range.", ARITHMETIC)


def suspects(rules: Rules, pair: Pair = "L-E", cleared: Collection[str] = ()) -> tuple[Suspect, ...]:
    """Give what to take off next for a low reading, likeliest first: unplug, then fixed loads, then split the wiring.

    **Source:** common practice, no source.
    """
    pairs = {"L-E", "N-E"} if pair == "L+N-E" else {pair}
    return tuple(row for row in rules.trade.suspects() if row.name not in cleared and pairs & set(row.lowers))


def _asked_wrongly(rules: Rules, taken: Taken) -> tuple[Verdict, ...]:
    wanted = setup(rules, system=taken.system, has_sensitive=taken.has_sensitive)
    found: list[Verdict] = []
    if taken.has_sensitive and taken.system == "low voltage" and taken.pair != "L+N-E":
        says = f"It was read {taken.pair.replace('-', ' to ')} with electronics connected."
        why = f"{wanted.says} Look whether they still work."
        found.append(Verdict("could harm", says, why, wanted.source, "query"))
    if taken.test_v is None:
        found.append(unknown("no test voltage", "The test voltage wasn't written down.", wanted.says, wanted.source))
    elif taken.test_v > wanted.test_v + ROUNDING and taken.has_sensitive:
        says = f"{taken.test_v:g} V were used with electronics connected."
        found.append(
            Verdict("could harm", says, f"{wanted.says} Look whether they still work.", wanted.source, "query")
        )
    elif taken.test_v < wanted.test_v - ROUNDING:
        says = f"{taken.test_v:g} V is less than the {wanted.test_v:g} V asked for."
        found.append(Verdict("low test voltage", says, wanted.says, wanted.source, "query"))
    return tuple(found)


def _circuit(rules: Rules, span: Span, taken: Taken) -> Verdict:
    least = minimum(rules, taken.system, taken.test_v)
    says = f"Insulation {taken.pair.replace('-', '–')} {_shown(span)}"
    first = suspects(rules, taken.pair)
    step = first[0].says if first else ""
    if taken.pair == "L-N" and len(first) > 1:
        step = f"{step} {first[1].note}".rstrip()
    if span.most < least.value - ROUNDING:
        if taken.has_something:
            why = f"Something was connected, so it says little of the wiring. {step}"
            return Verdict("low with equipment", f"{says}, below {least.value:g} MΩ.", why, COMMON, "query")
        why = f"Below the least. {first[1].says if len(first) > 1 else step}"
        return Verdict("too low", f"{says}; at least {least.value:g} MΩ.", why, cited(least), "fails")
    if span.least < least.value - ROUNDING:
        return unknown("only a bound", f"{says}: a bound that doesn't decide.", "Read in a wider range.")
    if taken.system != "low voltage":
        return Verdict("high enough", f"{says}; at least {least.value:g} MΩ.", "", cited(least), "fine")
    if taken.has_something:
        why = "Something was connected, so how good the wiring is can't be said."
        return Verdict("passes with equipment", f"{says}; at least {least.value:g} MΩ.", why, cited(least), "fine")
    ask, note, new = (rules.row(f"insulation {name} Mohm") for name in ("ask below", "note below", "new"))
    if span.most < ask.value - ROUNDING:
        why = f"It passes, but below {ask.value:g} MΩ is asked about. {step}"
        return Verdict("low, ask", f"{says} passes {least.value:g} MΩ.", why, cited(ask), "query")
    if span.most < note.value - ROUNDING:
        why = f"New wiring reads hundreds; below {note.value:g} MΩ per circuit is noted, and compared next time."
        return Verdict("low for its age", f"{says} passes {least.value:g} MΩ.", why, cited(note), "look")
    if taken.is_new and span.most < new.value - ROUNDING:
        why = f"New wiring is normally above {new.value:g} MΩ: dampness in fresh plaster, or a nicked core."
        return Verdict("low for new", f"{says} passes {least.value:g} MΩ.", why, cited(new), "look")
    if span.most == inf and span.least < note.value - ROUNDING:
        why = f"As a bound it doesn't say whether it is above {note.value:g} MΩ."
        return Verdict("passes as a bound", f"{says}; at least {least.value:g} MΩ.", why, cited(least), "fine")
    return Verdict("high enough", f"{says}; at least {least.value:g} MΩ.", "", cited(least), "fine")


def _board(rules: Rules, span: Span, taken: Taken) -> Verdict:
    least = minimum(rules, taken.system, taken.test_v)
    says = f"The whole board reads {_shown(span)}"
    if span.least >= least.value - ROUNDING:
        why = "A board lies below its worst circuit, so no circuit is worse; how old they look can't be told from it."
        return Verdict("board passes", f"{says}; at least {least.value:g} MΩ.", why, cited(least), "fine")
    if span.most >= least.value:
        return unknown("only a bound", f"{says}: a bound that doesn't decide.", "Read in a wider range.")
    why = "Many sound circuits together may read that: test them one by one before any is blamed."
    return Verdict("board low", f"{says}, below {least.value:g} MΩ.", why, cited(least), "query")


def _megohms(shown: Shown) -> Span | None:
    span = span_of(shown)
    return None if span is None else Span(span.least / MEGA, span.most / MEGA)


def _shown(span: Span) -> str:
    if span.least == span.most:
        return f"{span.least:.3g} MΩ" if span.least < 1000 else f"{span.least:.0f} MΩ"
    return f"over {span.least:g} MΩ" if span.most == inf else f"under {span.most:g} MΩ"
