"""Verbs of the meter: readings, proving the meter, what its leads add, how far it reads, the temperature of the copper.

A reading is never replaced: another at the same place is kept beside it, and the later one counts.
"""

from collections.abc import Mapping
from typing import Final

import msgspec

from circuitmap.errors import HomeError
from circuitmap.home.change import Change
from circuitmap.home.records import Instrument, Link, Reading, Visit, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_common import edit, edit_many
from circuitmap.quantities.measured import NULL_DRIFT_OHM, Measured, parse_measured, show_measured
from circuitmap.words import CORES, InstrumentKind, ReadingTest

COLDEST_C: Final = -40.0
HOTTEST_C: Final = 160.0

# The dead tests that are read through the two leads in series, so that their resistance is part of what is shown.
# Loop testers allow for their own leads (common practice, no source).
THROUGH_LEADS: Final[frozenset[ReadingTest]] = frozenset(
    {"lead check", "continuity", "ring end to end", "linked", "neutral to neutral"}
)
METER_FACTS: Final = (
    "accuracy_fraction", "resolution_ohm", "leads_ohm", "most_ohm", "most_insulation_ohm", "most_loop_ohm",
    "most_trip_s", "error_rate",
)  # fmt: skip
LOOP_TESTS: Final[frozenset[ReadingTest]] = frozenset({"Ze", "Zs", "earth electrode"})


def record_reading(
    home: Home,
    visit: str,
    test: ReadingTest,
    measured: Measured | str,
    *,
    device: str | None = None,
    at: str | None = None,
    cores: tuple[str, ...] = (),
    link: Link | None = None,
    apart: tuple[str, ...] = (),
    instrument: str | None = None,
    test_v: float | None = None,
    test_a: float | None = None,
    phase_deg: float | None = None,
    copper_c: float | None = None,
    by_plug: bool = False,
    remark: str = "",
) -> Change:
    """Record what the meter showed; an earlier reading at the same place is kept, the later counts.

    Parameters
    ----------
    measured
        The reading, or the text as it was typed, which is then read with the instrument's range.
    device, at
        The way that was tested; the board, device or point where the leads were held.
    cores
        What was measured between: ``("L", "L")`` for a conductor end to end, ``("L", "E")``, ``("L+N", "E")``.
    link
        How conductors were linked at the board.
    apart
        Points or runs that were disconnected for it.
    copper_c
        How warm the conductors were.
    by_plug
        Whether it was taken with a plug in a socket's front, not at the terminals.

    Raises
    ------
    QuantityError
        When the typed text is no reading of that test.
    HomeError
        When something named isn't in the home, or the conductors don't fit the test.
    """
    home.take(Visit, visit)
    meter = home.take(Instrument, instrument) if instrument is not None else None
    if isinstance(measured, str):
        measured = parse_measured(measured, test, range_si(meter, test))
    record = Reading(
        id=home.next_id(Reading),
        visit=visit,
        test=test,
        device=device,
        at=at,
        cores=_checked_cores(test, cores),
        link=_checked_link(test, link),
        apart=apart,
        value_si=measured.value_si,
        bound=measured.bound,
        typed=measured.typed,
        not_possible=measured.not_possible,
        test_v=test_v,
        test_a=test_a,
        phase_deg=phase_deg,
        copper_c=_checked_copper(copper_c),
        instrument=instrument,
        leads_ohm=meter.leads_ohm if meter is not None and test in THROUGH_LEADS else None,
        by_plug=by_plug,
        indicated=measured.indicated,
        remark="; ".join(filter(None, (measured.remark, remark))),
    )
    shown = show_measured(measured, test)
    where = home.code(device) if device is not None else ""
    if at is not None and at != device:
        where = f"{where} at {at}" if where else f"at {at}"
    title = f"{test[0].upper()}{test[1:]} {where}".rstrip() + f": {shown}"
    earlier = readings_at(home, record)
    if earlier:
        title += f" (beside {', '.join(each.id for each in earlier)}; the later counts)"
    return Change(title, ((None, record),))


def readings_at(home: Home, like: Reading) -> tuple[Reading, ...]:
    """Give the readings of the same visit at the same place as one, other than itself, in the order they were taken."""
    place = place_of_reading(like)
    same = (
        each
        for each in home.table(Reading).values()
        if each.visit == like.visit and each.id != like.id and place_of_reading(each) == place
    )
    return tuple(sorted(same, key=lambda each: natural_key(each.id)))


def place_of_reading(reading: Reading) -> tuple[object, ...]:
    """Give what makes two readings readings of the same thing: test, place, conductors, links, what was apart."""
    link = reading.link
    linked: tuple[object, ...] | None = None
    if link is not None:
        # Only with links on one leg does it matter which; else either leg may be called the first.
        legs = link.legs[:1] if link.kind == "one leg" else tuple(sorted(link.legs))
        linked = (link.kind, tuple(sorted(link.cores)), legs)
    return (
        reading.test,
        reading.device,
        reading.at,
        tuple(sorted(reading.cores)),
        linked,
        tuple(sorted(reading.apart, key=natural_key)),
        reading.test_v,
        reading.test_a,
        reading.phase_deg,
    )


def range_si(instrument: Instrument | None, test: ReadingTest) -> float | None:
    """Give the most that an instrument shows in a test, in SI units; None when nobody said."""
    if instrument is None:
        return None
    if test == "insulation":
        return instrument.most_insulation_ohm
    if test in LOOP_TESTS:
        return instrument.most_loop_ohm
    if test == "RCD trip":
        return instrument.most_trip_s
    return instrument.most_ohm if test in THROUGH_LEADS else None


# -- the meter ---------------------------------------------------------------------------------------------------


def add_meter(home: Home, name: str = "", kind: InstrumentKind = "multifunction", **facts: float | None) -> Change:
    """Add a meter with what is known of it; ``facts`` are those of ``set_meter``."""
    _check_facts(facts)
    record = msgspec.structs.replace(Instrument(id=home.next_id(Instrument), kind=kind, name=name), **facts)
    return Change(f"Add {name or kind}", ((None, record),))


def set_meter(home: Home, instrument: str, **facts: float | None) -> Change:
    """Say how far a meter can be believed: accuracy_fraction, resolution_ohm, leads_ohm, and the most it shows.

    Readings already recorded keep what the leads added when they were taken.

    Raises
    ------
    HomeError
        When there is no such instrument, or it has no such fact.
    """
    _check_facts(facts)
    record = home.take(Instrument, instrument)
    return edit(home, instrument, f"Set what {record.name or instrument} can do", **facts)


def null_leads(home: Home, instrument: str) -> Change:
    """Say that a meter's leads are nulled: nothing is to be subtracted from what it shows from now on."""
    home.take(Instrument, instrument)
    return edit(home, instrument, "Leads nulled", leads_ohm=0.0)


def subtract_leads(home: Home, instrument: str, leads_ohm: float) -> Change:
    """Say what a meter's leads add, to be taken off everything read through them from now on."""
    home.take(Instrument, instrument)
    if not 0 <= leads_ohm <= MOST_LEADS_OHM:
        most = f"{MOST_LEADS_OHM:.0f} Ω"
        raise HomeError(
            f"Leads of {leads_ohm:.2f} Ω can't be: between 0 and {most}; look at leads and fuse.", instrument
        )
    return edit(home, instrument, f"Leads add {leads_ohm:.2f} Ω", leads_ohm=leads_ohm)


MOST_LEADS_OHM: Final = 5.0
"""More than any pair of leads, even fused ones with a long lead among them (common practice, no source)."""


def prove_meter(home: Home, visit: str, instrument: str, measured: Measured | str, remark: str = "") -> Change:
    """Record the lead check of a visit: what the meter shows with its leads shorted.

    It is recorded whatever it shows; ``is_meter_proved`` says whether it proves the meter.
    """
    return record_reading(home, visit, "lead check", measured, instrument=instrument, remark=remark)


def is_meter_proved(home: Home, visit: str, instrument: str) -> bool:
    """Whether the last lead check of a visit read near zero once what the leads add is taken off."""
    return why_unproved(home, visit, instrument) == ""


def why_unproved(home: Home, visit: str, instrument: str) -> str:
    """Say in a sentence what a meter still needs before its readings of a visit can be believed, "" when nothing."""
    meter = home.take(Instrument, instrument)
    name = meter.name or instrument
    checks = [
        each
        for each in home.table(Reading).values()
        if each.test == "lead check" and each.visit == visit and each.instrument == instrument
    ]
    if not checks:
        return f"{name} has not been proved on this visit: short the leads and write down what it shows."
    last = max(checks, key=lambda each: natural_key(each.id))
    if last.not_possible:
        why = last.not_possible
        return f"{name} has not been proved on this visit ({why}): short the leads and write down what it shows."
    if last.value_si is None or last.bound == ">":
        return f"With its leads shorted {name} read nothing near zero ({last.id}): look at leads and fuse, then repeat."
    leads_ohm = last.leads_ohm if last.leads_ohm is not None else meter.leads_ohm
    left_ohm = last.value_si - (leads_ohm or 0.0)
    if abs(left_ohm) <= NULL_DRIFT_OHM + 1e-9:
        return ""
    read = f"With its leads shorted {name} read {last.value_si:.2f} Ω ({last.id})"
    if not leads_ohm and left_ohm <= MOST_LEADS_OHM:
        return f"{read}: null them, or say that so much is to be subtracted, and check again."
    return f"{read} where {leads_ohm or 0.0:.2f} Ω was expected: look at leads and fuse, then repeat."


# -- the copper --------------------------------------------------------------------------------------------------


def set_copper_temperature(home: Home, readings: tuple[str, ...], copper_c: float | None) -> Change:
    """Say how warm the conductors were at some readings (°C), None when nobody knows."""
    for each in readings:
        home.take(Reading, each)
    shown = "not known" if copper_c is None else f"{copper_c:g} °C"
    return edit_many(home, readings, f"Copper {shown}", copper_c=_checked_copper(copper_c))


def _check_facts(facts: Mapping[str, float | None]) -> None:
    unknown = [fact for fact in facts if fact not in METER_FACTS]
    if unknown:
        raise HomeError(f"A meter has no {', '.join(unknown)} to set.")


def _checked_copper(copper_c: float | None) -> float | None:
    if copper_c is None:
        return None
    if not COLDEST_C <= copper_c <= HOTTEST_C:
        raise HomeError(f"Copper at {copper_c:g} °C can't be; give degrees Celsius between −40 and 160.")
    return float(copper_c)


def _checked_cores(test: ReadingTest, cores: tuple[str, ...]) -> tuple[str, ...]:
    """Give the two sides of a reading; one conductor alone was read from its one end to its other."""
    for side in cores:
        held = side.split("+")
        if any(core not in CORES for core in held) or len(set(held)) != len(held):
            raise HomeError(f"“{side[:20]}” is no conductor: write L, N, E, or several joined, like L+N.")
    if len(cores) == 1 and test != "insulation":
        cores = (cores[0], cores[0])
    if len(cores) not in (0, 2):
        raise HomeError("A reading is taken between two conductors, like L and E, or L+N and E.")
    if test == "insulation" and cores and set(cores[0].split("+")) & set(cores[1].split("+")):
        raise HomeError("Insulation is read between different conductors, like L and N, or L+N and E.")
    if test == "ring end to end" and (not cores or cores[0] != cores[1]):
        raise HomeError("A ring is read end to end on one conductor: say which, L, N or E.")
    return cores


def _checked_link(test: ReadingTest, link: Link | None) -> Link | None:
    if test == "linked" and link is None:
        raise HomeError("Say how the conductors were linked at the board: cross-linked, on one leg, or as a radial.")
    return link
