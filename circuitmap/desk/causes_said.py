"""How likely causes are put into words and figures: never surer than their odds, open circuits as words."""

from math import isfinite
from typing import Final

from circuitmap.desk.causes_list import Row
from circuitmap.drawing.reading_chart_data import CORE_NAMES, FAR_OFF_SD, LINK_WORDS
from circuitmap.quantities.show import show_ohm
from circuitmap.readings.causes import Cause, Compared, Diagnosis, NextReading, Unit

CAUTION: Final = (
    "A likely cause is where to look first. It proves nothing, least of all that anything is dead or safe to touch: "
    "prove dead at the point of work."
)
LEAST_TOLD: Final = 0.005
_WORDS: Final[tuple[tuple[float, str], ...]] = (
    (0.95, "very likely"),
    (0.75, "likely"),
    (0.5, "more likely than not"),
    (0.25, "possible"),
    (0.05, "less likely"),
    (0.0, "unlikely"),
)
_STANDS_OFF_SD: Final = 2.0


def percent(share: float) -> str:
    """Give odds in whole per cent, never as certain and never as impossible."""
    if share >= 0.995:
        return ">99 %"
    return f"{100 * share:.0f} %" if share >= LEAST_TOLD else "<1 %"


def odds_words(share: float) -> str:
    """Give odds in words."""
    return next(words for least, words in _WORDS if share >= least)


def cause_row(cause: Cause) -> Row:
    """Give a cause as a row of the list."""
    return Row(percent(cause.probability), cause.probability, cause.says, odds_words(cause.probability))


def next_row(reading: NextReading, place: int) -> Row:
    """Give a next reading as a row; the first is the most telling one."""
    below = " ".join(filter(None, ("" if place else "Most telling.", reading.why)))
    return Row(f"{place + 1}.", None, reading.says, below)


def size_words(cause: Cause) -> str:
    """Say how big, and between what it likely lies; nothing where there is no size."""
    if cause.size is None:
        return ""
    spread = ""
    if cause.low is not None and cause.high is not None:
        spread = f", likely between {_figure(cause.low, cause.unit)} and {_amount(cause.high, cause.unit)}"
    return f"Size: about {_amount(cause.size, cause.unit)}{spread}."


def others_words(diagnosis: Diagnosis) -> str:
    """Say what the causes not listed come to together; nothing where that is next to nothing."""
    if not diagnosis.causes or diagnosis.others < LEAST_TOLD:
        return ""
    return f"Others, each too unlikely to be listed: {percent(diagnosis.others)} together."


def head_words(diagnosis: Diagnosis) -> str:
    """Say in one sentence how far the readings settle it."""
    if not diagnosis.causes:
        return ""
    first = diagnosis.causes[0]
    if first.kind == "none of these":
        return "None of the causes known here explains the readings well: look wider."
    if diagnosis.is_settled:
        return "One cause stands clear of the others."
    return "The readings don’t settle it yet: see below what to read next."


def read_at(compared: Compared, code: str) -> str:
    """Say where a reading was taken and with what links."""
    place = code if compared.at.startswith("D") else compared.at
    if compared.test == "ring end to end" or compared.link == "end to end":
        return f"{CORE_NAMES[compared.cores[0]]} end to end"
    cores = "–".join(CORE_NAMES[core] for core in compared.cores)
    link = f", {LINK_WORDS[compared.link]}" if compared.link is not None else ""
    return f"{place}: {cores}{link}"


def ohm_words(ohm: float) -> str:
    """Give ohms, an open circuit as a word."""
    return show_ohm(ohm) if isfinite(ohm) else "open"


def fit_words(compared: Compared) -> str:
    """Say how well one reading fits what a cause predicts."""
    away = abs(compared.off_by)
    return "fits" if away < _STANDS_OFF_SD else "a little off" if away < FAR_OFF_SD else "off"


def _figure(size: float, unit: Unit) -> str:
    return f"{size:.2f}" if unit in ("Ω", "×") else f"{size:.1f}"


def _amount(size: float, unit: Unit) -> str:
    return f"{_figure(size, unit)} {unit}" if unit != "×" else f"{_figure(size, unit)} times"
