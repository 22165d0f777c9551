"""Readings beside what the map says they should be: those too far off, and loops beside Ze + (R1+R2) by the map.

This loads the network; whoever only wants rules applied doesn't come here. Which fault would explain what is off, is
``diagnose``'s to say.
"""

from collections.abc import Iterator
from math import isfinite
from typing import Final

from circuitmap.home.records import Link
from circuitmap.home.snapshot import Home
from circuitmap.quantities import show_ohm
from circuitmap.readings.entries import Entry
from circuitmap.readings.judged_case import Case, Judged, cores_of, ids_of, place_of, shown
from circuitmap.readings.judged_live import LOOP_SHARE, how_taken
from circuitmap.readings.judged_ring import earth_path_at
from circuitmap.readings.links import Pair
from circuitmap.readings.loop import judge_prediction, zs_ohm
from circuitmap.readings.network import ReadingError
from circuitmap.readings.predict import Meter, Predicted, expect
from circuitmap.readings.verdict import ARITHMETIC, Verdict, span_of
from circuitmap.words import CORES

FAR_OFF: Final = 3.0
"""From so many standard deviations on a reading is off the map (common practice, no source)."""
# Probes and plugs hold differently each time, and nobody writes down which it was (common practice, no source).
CONTACT_SD_OHM: Final = 0.02


def off_the_map(case: Case, home: Home) -> Iterator[Judged]:
    """Give a verdict for every continuity reading that lies far from what the map predicts."""
    alike: dict[tuple[object, ...], list[Entry]] = {}
    for entry in (*case.of_test("ring end to end"), *case.of_test("linked")):
        if entry.value_si is not None and entry.value_si >= 0:
            reading = entry.reading
            key = (entry.test, reading.link, reading.cores, reading.copper_c, entry.accuracy_fraction,
                   entry.resolution_ohm)  # fmt: skip
            alike.setdefault(key, []).append(entry)
    for entries in alike.values():
        predicted = _predicted(case, home, entries)
        for entry in entries:
            expected = predicted.get(place_of(case, entry))
            said = _compared(case, entry, expected) if expected is not None else None
            if said is not None:
                at = place_of(case, entry)
                yield Judged(said, ids_of((entry,)), (at,), f"by the map {entry.test} {at}")


def loops_by_the_map(case: Case, home: Home) -> Iterator[Judged]:
    """Judge Zs beside Ze + (R1+R2) by the map, where no R1+R2 was read at the point."""
    if case.base_ohm is None:
        return
    read = [e for e in case.of_test("Zs") if e.value_si is not None and cores_of(e) in (frozenset(), {"L", "E"})]
    wanted = [e for e in read if earth_path_at(case, place_of(case, e)) is None and place_of(case, e) != case.way]
    if not wanted:
        return
    try:
        expected = expect(case.view, case.rules.trade, "radial", ("L", "E"), home=home,
                          points=[place_of(case, e) for e in wanted])  # fmt: skip
    except ReadingError:
        return
    predicted = expected.readings()
    for entry in wanted:
        at = place_of(case, entry)
        path = predicted.get(at)
        if path is None or path.ohm is None or not isfinite(path.ohm):
            continue
        total_ohm = zs_ohm(case.base_ohm, path.ohm)
        spread = LOOP_SHARE + (FAR_OFF * path.sd_ohm / total_ohm if total_ohm else 0.0)
        verdict = judge_prediction(
            case.rules, total_ohm, shown(entry), spread=spread, how=how_taken(case, entry)
        )  # fmt: skip
        yield Judged(verdict, (*ids_of((entry,)), *case.base), (at,), f"Ze + (R1+R2) {at}")


def _predicted(case: Case, home: Home, entries: list[Entry]) -> dict[str, Predicted]:
    first = entries[0]
    reading = first.reading
    named = [core for core in CORES if core in cores_of(first)]
    cores: Pair
    if first.test == "ring end to end":
        if len(named) != 1:
            return {}
        link, cores = Link(kind="end to end"), (named[0], named[0])
    elif reading.link is not None and len(named) == 2:
        link, cores = _pair_link(reading.link), (named[0], named[1])
    else:
        return {}
    meter = Meter(first.accuracy_fraction, first.resolution_ohm, CONTACT_SD_OHM)
    copper_c = reading.copper_c if reading.copper_c is not None else 20.0
    points = [place_of(case, entry) for entry in entries]
    try:
        expected = expect(case.view, case.rules.trade, link, cores, points=[p for p in points if p != case.way],
                          copper_c=copper_c, meter=meter, home=home)  # fmt: skip
    except ReadingError:
        return {}
    return expected.readings()


def _pair_link(link: Link) -> Link:
    """Give a link as the record has it; more than two conductors together are no pair to predict."""
    return link if len(link.cores) <= 2 else Link(kind=link.kind, legs=link.legs)


def _compared(case: Case, entry: Entry, expected: Predicted) -> Verdict | None:
    span = span_of(shown(entry))
    if span is None or expected.ohm is None:
        return None
    name = _named(case, entry)
    if expected.is_open or span.is_open:
        if expected.is_open and span.is_open:
            return None
        if span.is_open and isfinite(expected.ohm) and span.least <= expected.ohm:
            return None  # over a range that ends below what was to be expected
        was = "an open circuit" if expected.is_open else show_ohm(expected.ohm)
        says = f"{name} reads {entry.shown}; by the map {was} was to be expected."
        return Verdict("off the map", says, _why(expected), ARITHMETIC, "look")
    below = (expected.ohm - span.most) / expected.sd_ohm
    above = (span.least - expected.ohm) / expected.sd_ohm
    if max(below, above) <= FAR_OFF:
        return None
    word = "less" if below > above else "more"
    says = (
        f"{name} reads {entry.shown}, {word} than the {show_ohm(expected.ohm)} ± {show_ohm(expected.sd_ohm)} "
        "that the map gives."
    )
    return Verdict("off the map", says, _why(expected), ARITHMETIC, "look")


def _why(expected: Predicted) -> str:
    return f"{expected.why} Either the map or the wiring is otherwise than drawn."


def _named(case: Case, entry: Entry) -> str:
    at = place_of(case, entry)
    where = f" at {at}" if at != case.way else " at the board" if entry.test == "linked" else ""
    cores = " to ".join(core for core in CORES if core in cores_of(entry))
    if entry.test == "ring end to end":
        return {"L": "r1", "N": "rn", "E": "r2"}.get(cores, cores)
    return f"{cores}{where}"
