"""Verbs of the visit: visits, switch-offs, checks, proving dead, limitations, rulings."""

import msgspec

from circuitmap.home.change import Change
from circuitmap.home.invariants import shorten
from circuitmap.home.records import (
    Check,
    Consent,
    Instrument,
    Isolation,
    Limitation,
    ProvingTest,
    Round,
    RoundEvent,
    Ruling,
    Visit,
)
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_common import edit, now_text, today_text
from circuitmap.words import (
    Decision,
    EventWhat,
    InstrumentKind,
    LocalSwitch,
    OtherSourceKind,
    Outcome,
    Purpose,
    Severity,
)


def start_visit(home: Home, day: str = "", purpose: Purpose = "survey", by: str = "") -> Change:
    """Start a visit."""
    record = Visit(id=home.next_id(Visit), day=day or today_text(), purpose=purpose, by=by)
    return Change(f"Start a visit ({purpose})", ((None, record),))


def open_round(
    home: Home,
    visit: str,
    off: tuple[str, ...] = (),
    sources_off: tuple[OtherSourceKind, ...] = (),
    consent: Consent | None = None,
    at: str = "",
) -> Change:
    """Open a switch-off with what was decided to be off; with nothing off it is the look with everything on.

    A device or source named twice is off once.
    """
    home.take(Visit, visit)
    off, sources_off = tuple(dict.fromkeys(off)), tuple(dict.fromkeys(sources_off))
    instant = at or now_text()
    events = (RoundEvent(at=instant, what="off", devices=off),) if off else ()
    record = Round(
        id=home.next_id(Round), visit=visit, off=off, sources_off=sources_off, consent=consent, events=events
    )
    codes = ", ".join(home.code(d) for d in off[:6]) + (" …" if len(off) > 6 else "")
    return Change(f"Switch off {codes}" if off else "Look with everything on", ((None, record),))


def record_event(
    home: Home,
    round_id: str,
    what: EventWhat,
    devices: tuple[str, ...] = (),
    points: tuple[str, ...] = (),
    at: str = "",
) -> Change:
    """Write down something that happened during a switch-off: a trip, a pause, the power back on."""
    record = home.take(Round, round_id)
    event = RoundEvent(at=at or now_text(), what=what, devices=devices, points=points)
    return edit(home, round_id, f"{what[0].upper()}{what[1:]}", events=(*record.events, event))


def is_open(record: Round) -> bool:
    """Whether a switch-off has not been ended by the power coming back (a look with everything on never is open)."""
    return bool(record.off) and not any(event.what == "power back" for event in record.events)


def record_check(
    home: Home,
    round_id: str,
    point: str,
    outcome: Outcome,
    at: str = "",
    why: str = "",
    instrument: str | None = None,
    local_switch: LocalSwitch = "",
    via: str | None = None,
) -> Change:
    """Record what was found at a point in a switch-off; earlier outcomes are kept."""
    record = Check(
        id=home.next_id(Check),
        round=round_id,
        point=point,
        outcome=outcome,
        at=at or now_text(),
        why=why,
        instrument=instrument,
        local_switch=local_switch,
        via=via,
    )
    return Change(f"{point} {outcome}", ((None, record),))


def add_instrument(home: Home, kind: InstrumentKind, name: str = "") -> Change:
    """Add a tester or meter."""
    return Change(f"Add {kind}", ((None, Instrument(id=home.next_id(Instrument), kind=kind, name=name)),))


def record_isolation(
    home: Home,
    visit: str,
    box: tuple[str, ...],
    off: tuple[str, ...],
    tests: tuple[ProvingTest, ...] = (),
    locked: bool = False,
    proved_before: bool = False,
    proved_after: bool = False,
    sources_off: tuple[OtherSourceKind, ...] = (),
    instrument: str | None = None,
    by: str = "",
    at: str = "",
) -> Change:
    """Record proving dead at one box; it is never taken from the survey."""
    record = Isolation(
        id=home.next_id(Isolation),
        visit=visit,
        box=box,
        off=off,
        sources_off=sources_off,
        locked=locked,
        instrument=instrument,
        proved_before=proved_before,
        tests=tests,
        proved_after=proved_after,
        at=at or now_text(),
        by=by,
    )
    return Change(f"Prove dead at {', '.join(box)}", ((None, record),))


def add_limitation(home: Home, subject: str, reason: str, agreed_by: str = "", visit: str | None = None) -> Change:
    """Say what could not be looked at, why, and who agreed."""
    record = Limitation(id=home.next_id(Limitation), subject=subject, reason=reason, agreed_by=agreed_by, visit=visit)
    return Change(f"Limitation: {shorten(reason, 30)}", ((None, record),))


def rule_on(
    home: Home, finding: str, decision: Decision, code: Severity | None = None, why: str = "", visit: str | None = None
) -> Change:
    """Record what a competent person decided about a finding; a later ruling on the same finding replaces it."""
    for known in home.table(Ruling).values():
        if known.finding == finding:
            after = msgspec.structs.replace(known, decision=decision, code=code, why=why, visit=visit)
            return Change(f"Ruling: {decision}", ((known, after),) if after != known else ())
    record = Ruling(id=home.next_id(Ruling), finding=finding, decision=decision, code=code, why=why, visit=visit)
    return Change(f"Ruling: {decision}", ((None, record),))
