"""What is said of a reading: a level in words, a sentence, why, and by whose rule; and readings as spans of ohms."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf, isnan
from typing import Final, Literal, NamedTuple

from circuitmap.quantities import Measured
from circuitmap.quantities.measured import NULL_DRIFT, NULL_DRIFT_OHM
from circuitmap.trade import DEFAULT_EDITION, Row, Trade

Level = Literal["fine", "look", "query", "fails", "can't tell"]
"""fine: nothing to do; look: passes, worth a look; query: doubt the reading first; fails: against its rule."""
Shown = Measured | float | None
"""A reading as typed or as a plain number of its SI unit; infinite is open, None was not taken."""

COMMON: Final = "common practice, no source"
ARITHMETIC: Final = "arithmetic"
RESOLUTION_OHM: Final = 0.01  # what a meter's last digit is worth where nothing else is said
ROUNDING: Final = 1e-9  # readings are decimals; binary fractions of them must not decide


@dataclass(frozen=True, slots=True)
class Verdict:
    """One thing said of readings: its kind, a sentence for people, why, whose rule it is, and how bad.

    ``about``: the places that it is about, as the caller named them; empty when it is about all that was handed in.
    """

    kind: str
    says: str
    why: str
    source: str
    level: Level
    about: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Rules:
    """The tables to judge by, in one edition, with a home's own choices."""

    trade: Trade
    edition: str = DEFAULT_EDITION
    choices: tuple[tuple[str, str], ...] = ()

    def row(self, name: str) -> Row:
        """Give the row of a limit."""
        return self.trade.limit(name, self.edition, self.choices)

    def value(self, name: str) -> float:
        """Give the figure of a limit."""
        return self.row(name).value


class Span(NamedTuple):
    """What a true value may lie between; both alike for a plain number, endless for an open circuit."""

    least: float
    most: float

    @property
    def is_number(self) -> bool:
        """Whether it may be reckoned with as one number."""
        return self.least == self.most < inf

    @property
    def is_open(self) -> bool:
        """Whether the meter was over its range."""
        return self.most == inf


def span_of(shown: Shown) -> Span | None:
    """Give a reading as a span, None where none was taken; down to the null drift below zero it is zero."""
    if shown is None:
        return None
    if isinstance(shown, Measured):
        if shown.value_si is None:
            return None
        value, bound = shown.value_si, shown.bound
    else:
        value, bound = shown, "="
    if isnan(value):
        return None
    if -NULL_DRIFT_OHM - ROUNDING <= value < 0:
        value = 0.0
    if bound == ">":
        return Span(value, inf)
    return Span(0.0, value) if bound == "<" else Span(value, value)


def unusable(named: Mapping[str, Shown]) -> Verdict | None:
    """Give the sentence for the first of some readings that can't be used at all, None when all can or are missing."""
    for name, shown in named.items():
        if isinstance(shown, float | int) and isnan(shown):
            return unknown("no reading", f"{name} is no number.", "Read it again.")
        span = span_of(shown)
        if span is not None and span.least < 0:
            says = f"{name} reads {span.least:g} Ω, below zero by more than the null drift of {NULL_DRIFT_OHM:g} Ω."
            return unknown("below zero", says, "Short the leads, null them again, and repeat the reading.")
    return None


def drifted(named: Mapping[str, Shown]) -> Verdict | None:
    """Ask for the leads to be nulled again where a reading stands a little below zero, or was taken down as drift."""
    for name, shown in named.items():
        value = shown.value_si if isinstance(shown, Measured) else shown
        noted = isinstance(shown, Measured) and NULL_DRIFT in shown.remark
        if noted or (value is not None and -NULL_DRIFT_OHM - ROUNDING <= value < 0):
            says = f"{name} stands below zero: taken as zero, null drift."
            return Verdict("null drift", says, "Null the leads again and repeat what was read since.", COMMON, "query")
    return None


def unknown(kind: str, says: str, why: str, source: str = COMMON) -> Verdict:
    """Give a verdict of "can't tell"."""
    return Verdict(kind, says, why, source, "can't tell")


def cited(row: Row) -> str:
    """Give where a figure comes from, with the edition from which it holds."""
    return f"{row.source} (from {row.edition} on)"
