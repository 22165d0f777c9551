"""Words of findings from readings: what was measured, against what, by whose rule, and how it lies to the work."""

import re
from collections.abc import Iterable
from typing import Final

from circuitmap.circuits import CircuitView
from circuitmap.findings.finding import Finding
from circuitmap.findings.rule import ReadingsCase, found
from circuitmap.findings.say import capital, listed, say_member, say_way
from circuitmap.readings.judged_case import Judged
from circuitmap.words import Severity

PROVE: Final = "Isolate and prove dead before anything is opened"
EN_RCD: Final = "EN 61008 and 61009 as quoted by an instrument's data table"
SLOW_RCD: Final = (
    "Work its test button, test it again without loads, replace it. Until then nothing that it protects is used "
    "outdoors or in the wet."
)
ODD_RCD: Final = "Take the loads off, read insulation, test it again."
_FIGURE: Final = re.compile(r"\d (k?Ω|MΩ|ms|kA)")


def made_of(
    rule: str, code: Severity, case: ReadingsCase, judged: Iterable[Judged], says: str, why: str, settle: str
) -> Finding:
    """Make a finding that says what was measured, against what and by whose rule, and how it lies to the work."""
    held = tuple(judged)
    is_placed = len({each.at for each in held}) > 1
    beside = dict.fromkeys(each.beside for each in held if each.beside)
    words = " ".join(
        part for part in (says, quoted(held, is_placed=is_placed), _measured(case, held), *list(beside)[:2]) if part
    )
    return found(rule, code, subjects(case, held), words, why_of(why, held), settle, "tested")


def quoted(judged: Iterable[Judged], most: int = 3, *, is_placed: bool = True) -> str:
    """Give what was measured and against what, of many verdicts the first few."""
    said = list(dict.fromkeys((_at(each) if is_placed else "") + each.verdict.says for each in judged))
    more = f" And {len(said) - most} more." if len(said) > most else ""
    return " ".join(said[:most]) + more


def why_of(why: str, judged: Iterable[Judged]) -> str:
    """Give why it matters, with the reasons of the first verdicts and whose rules they are."""
    held = tuple(judged)
    reasons = dict.fromkeys(filter(None, (each.verdict.why.removesuffix(each.beside).strip() for each in held[:2])))
    sources = dict.fromkeys(each.verdict.source for each in held)
    said = " ".join([why, *reasons]).strip() or "As it was read."
    return f"{said} By: {'; '.join(list(sources)[:2])}."


def subjects(case: ReadingsCase, judged: Iterable[Judged]) -> tuple[str, ...]:
    """Give what a finding is about: the way, then the places."""
    way = (case.view.device.id,) if case.view is not None else ()
    return tuple(dict.fromkeys((*way, *(place for each in judged for place in each.at))))


def places(view: CircuitView, judged: Iterable[Judged], *, first: bool = True) -> str:
    """Give the places that verdicts are about in words."""
    named = listed(dict.fromkeys(say_member(view, place) for each in judged for place in each.at))
    return capital(named) if first else named


def over(case: ReadingsCase, judged: Iterable[Judged]) -> str:
    """Give in words which device was tested, and over which way."""
    names = dict(case.names)
    at = listed(dict.fromkeys(names.get(place, place) for each in judged for place in each.at))
    return f"at {at} over {say_way(case.view)}" if case.view is not None else f"at {at}"


def _at(each: Judged) -> str:
    """Give the point a verdict is about where its own sentence doesn't name it."""
    here = [place for place in each.at if place.startswith("P")]
    return f"{here[0]}: " if len(here) == 1 and not re.search(rf"\b{here[0]}\b", each.verdict.says) else ""


def _measured(case: ReadingsCase, judged: tuple[Judged, ...], most: int = 4) -> str:
    """Give what was read, for verdicts that say it without figures."""
    shown = dict(case.shown)
    bare = (each for each in judged if not _FIGURE.search(each.verdict.says))
    ids = dict.fromkeys(i for each in bare for i in each.readings if i in shown)
    listed_ids = list(ids)[:most]
    more = f" and {len(ids) - most} more" if len(ids) > most else ""
    return f"Read: {', '.join(shown[i] for i in listed_ids)}{more}." if listed_ids else ""
