"""The survey record: what was asked, how it was looked at, what was and wasn't checked, what was found, worst first.

It says on every page that it is no certificate. The same home and day give the same bytes.
"""

from typing import Final

from circuitmap.findings.finding import Finding
from circuitmap.findings.run import run
from circuitmap.home import Home
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Limitation
from circuitmap.memo import Memo
from circuitmap.paper.chart_facts import Facts, chart_facts
from circuitmap.paper.chart_words import shared_words, supply_words, unknown_words
from circuitmap.paper.quotation import day_said
from circuitmap.paper.record_findings import CODE_SAYS, Told, tell
from circuitmap.paper.record_words import (
    CAUTIONS,
    LIMITS,
    NO_CERTIFICATE,
    Names,
    asked,
    checked,
    cleared_notes,
    in_words,
    instrument_rows,
    isolation_rows,
    limitation_rows,
    names_of,
    not_checked,
    reading_rows,
    round_rows,
    ruling_rows,
    supply_rows,
    visit_rows,
)
from circuitmap.paper.sources import source_rows
from circuitmap.paper.typeset import Data, shown, typeset
from circuitmap.paper.wanted import Made, Wanted
from circuitmap.words import NAMELESS, SEVERITIES

_MOST_UNCHECKED: Final = 120
_CODES: Final = tuple(code for code in SEVERITIES if code != "note")


def made(wanted: Wanted) -> tuple[Made, ...]:
    """Give the survey record of a home as a PDF."""
    home = wanted.home.existing()
    memo = wanted.memo if home is wanted.home else Memo()
    wanted.ticket.tick(0, 0, "Gathering what was found")
    found = run(home, wanted.trade, memo)
    names = names_of(home, memo)
    real = [each for each in found if not each.aside]
    told = tell(home, memo, names, real, wanted.asset, wanted.ticket)
    facts = chart_facts(home, wanted.trade, memo)
    wanted.ticket.tick(0, 0, "Setting the pages")
    data = _data(wanted, home, memo, names, found, told, facts)
    return (Made(typeset("record", data, told.pictures), remarks=told.remarks),)


def _data(
    wanted: Wanted, home: Home, memo: Memo, names: Names, found: tuple[Finding, ...], told: Told, facts: Facts
) -> Data:
    details = home.details
    unchecked = not_checked(home, wanted.trade)
    planned = home is not wanted.home and len(list(home.all())) != len(list(wanted.home.all()))
    return {
        "title": f"Survey record: {details.name}" if details.name else "Survey record",
        "foot": shorten(shown(details.name), 60),
        "home": details.name or NAMELESS,
        "address": details.address if details.address != details.name else "",
        "facts": _about(home),
        "day": day_said(wanted.day),
        "no_certificate": NO_CERTIFICATE,
        "danger": [each.says for each in found if each.code == "C1"],
        "asked": asked(home),
        "visits": visit_rows(home),
        "summary": _summary(found),
        "codes": [[code, CODE_SAYS[code]] for code in _CODES if any(each.code == code for each in found)],
        "findings": told.findings,
        "aside": [each.says for each in found if each.aside],
        "notes": told.notes,
        "cleared": list(cleared_notes(home, names)),
        "rulings": ruling_rows(home, {each.key: each.says for each in found}),
        "checked": checked(home, wanted.trade, memo),
        "unchecked": [*unchecked[:_MOST_UNCHECKED], *(["and others"] if len(unchecked) > _MOST_UNCHECKED else [])],
        "unknown": _unknown(home, facts),
        "limitations": limitation_rows(home, names),
        "rounds": round_rows(home, names),
        "isolations": isolation_rows(home, names),
        "instruments": instrument_rows(home),
        "readings": reading_rows(home, names),
        "supply": supply_rows(home),
        "planned": "Work that is only planned, and what was taken out, is not in this record." if planned else "",
        "cautions": (*supply_words(facts), *shared_words(facts), *CAUTIONS),
        "sources": source_rows(told.sources),
        "limits": LIMITS,
    }


def _about(home: Home) -> str:
    details = home.details
    parts = [details.tenure, f"built about {details.built_year}" if details.built_year else "", details.country]
    edition = f"findings by BS 7671 {details.edition}" if details.edition else ""
    return ", ".join(part for part in (*parts, edition) if part)


def _summary(found: tuple[Finding, ...]) -> str:
    """Say how many findings of each suggested code there are."""
    real = [each for each in found if not each.aside]
    counted = [f"{count} {code}" for code in _CODES if (count := sum(each.code == code for each in real))]
    notes = sum(each.code == "note" for each in real)
    counted += [f"{notes} note{'' if notes == 1 else 's'}"] if notes else []
    if not counted:
        return "Nothing was found that would get a code. That is not to say that nothing is wrong."
    one = len(real) == 1
    return f"{len(real)} finding{'' if one else 's'}, by suggested code: {in_words(counted)}."


def _unknown(home: Home, facts: Facts) -> list[str]:
    """Say what is not known; limitations are left out, they have a table of their own."""
    said = unknown_words(facts)
    limited = len(home.table(Limitation))
    return [*said[: len(said) - 1 - limited], said[-1]]
