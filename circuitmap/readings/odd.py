"""What is odd about the readings of a circuit as records, a sentence each; not what they mean for its wiring."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from circuitmap.circuits import CircuitView
from circuitmap.home.records import natural_key
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_readings import THROUGH_LEADS, why_unproved
from circuitmap.quantities.measured import NULL_DRIFT
from circuitmap.readings.agree import difference
from circuitmap.readings.entries import Entry
from circuitmap.words import ReadingTest, written_day_said

ProblemKind = Literal[
    "not on the circuit",
    "no way named",
    "no place",
    "contradiction",
    "changed since",
    "ring test incomplete",
    "radial tested as a ring",
    "less than its leads",
    "null drift",
    "meter not proved",
    "no meter named",
]

_RADIALS = ("radial", "branched radial", "one point only")
_PROOF_NEEDED: frozenset[ReadingTest] = (THROUGH_LEADS - {"lead check"}) | {"insulation"}
_CONDUCTORS = (("L", "r1", "line"), ("N", "rn", "neutral"), ("E", "r2", "cpc"))


@dataclass(frozen=True, slots=True)
class Problem:
    """Something odd about readings: what kind, in a sentence, and the readings and other records it is about."""

    kind: ProblemKind
    words: str
    readings: tuple[str, ...]
    subjects: tuple[str, ...] = ()


def problems_of(home: Home, view: CircuitView | None, entries: Sequence[Entry]) -> tuple[Problem, ...]:
    """Give what is odd about the readings in one book, the gravest first."""
    found = [*_places(view, entries), *_contradictions(entries)]
    if view is not None:
        found += [*_ring_tests(entries), *_radial_as_ring(view, entries)]
    return (*found, *_leads(entries), *_meters(home, entries))


def _places(view: CircuitView | None, entries: Iterable[Entry]) -> Iterator[Problem]:
    for entry in entries:
        reading = entry.reading
        if view is not None and not entry.on_circuit:
            at = str(entry.at)
            words = (
                f"{reading.id} was taken at {at}, which isn't on {view.code} as the map has it: it counts for nothing "
                f"until {at} is put on {view.code} or the reading on its own way."
            )
            yield Problem("not on the circuit", words, (reading.id,), (at,))
        elif view is None and reading.device is None and reading.at is not None and reading.at[0] == "P":
            words = (
                f"{reading.id} was taken at {reading.at}, which is on no way, and names none: say which way it is of."
            )
            yield Problem("no way named", words, (reading.id,), (reading.at,))
        elif entry.lacks_place:
            words = (
                f"{reading.id} doesn't say where it was taken, and with conductors linked each point reads its own: it "
                "counts for nothing until it does."
            )
            yield Problem("no place", words, (reading.id,))


def _contradictions(entries: Iterable[Entry]) -> Iterator[Problem]:
    by_place: dict[tuple[object, ...], list[Entry]] = defaultdict(list)
    for entry in entries:
        # A hunt reads a part again by itself when two of its readings can't both be right.
        if entry.says_something and entry.on_circuit and not entry.lacks_place and not entry.is_of_part:
            by_place[entry.side, *entry.place].append(entry)
    for held in by_place.values():
        last = held[-1]
        others = [entry for entry in held[:-1] if not _agrees(entry, last)]
        today = [entry for entry in others if entry.visit.id == last.visit.id]
        earlier = [entry for entry in others if entry.visit.id != last.visit.id]
        if today:
            yield _contradiction("contradiction", today, last)
        if earlier:
            yield _contradiction("changed since", earlier, last)


def _contradiction(kind: ProblemKind, unlike: Sequence[Entry], last: Entry) -> Problem:
    said = ", ".join(f"{entry.shown} ({entry.reading.id})" for entry in unlike)
    where = f" at {last.at}" if last.reading.at is not None else ""
    what = f"{last.test[0].upper()}{last.test[1:]}{where}"
    if kind == "contradiction":
        words = (
            f"{what} was read as {said} and then as {last.shown} ({last.reading.id}) on the same visit: the later "
            "counts; read it once more, and look at the contact first."
        )
    else:
        days = ", ".join(dict.fromkeys(written_day_said(entry.visit.day) for entry in unlike))
        words = (
            f"{what} was {said} on {days} and {last.shown} ({last.reading.id}) on "
            f"{written_day_said(last.visit.day)}: something has changed, or one of them is wrong; the later counts."
        )
    ids = (*(entry.reading.id for entry in unlike), last.reading.id)
    return Problem(kind, words, ids, (last.reading.at,) if last.reading.at is not None else ())


def _agrees(first: Entry, second: Entry) -> bool:
    one, two = first.compared(), second.compared()
    if one is not None and two is not None:
        return difference(one, two, second.test, same_day=first.visit.day == second.visit.day) == "same"
    return first.reading.indicated == second.reading.indicated


def _ring_tests(entries: Sequence[Entry]) -> Iterator[Problem]:
    """Say which of the three conductors of a ring nobody read on the side that counts."""
    rings = [entry for entry in entries if entry.test == "ring end to end" and entry.on_circuit]
    if not rings:
        return
    side = "after" if any(entry.side == "after" for entry in rings) else "before"
    held = {entry.reading.cores[0]: entry for entry in rings if entry.side == side and entry.reading.cores}
    missing = [each for each in _CONDUCTORS if each[0] not in held]
    if not missing or not held:
        return
    read = " and ".join(f"{sign} ({held[core].reading.id})" for core, sign, _ in _CONDUCTORS if core in held)
    none = " and ".join(f"{sign} ({name})" for _, sign, name in missing)
    lacking = {sign for _, sign, _ in missing}
    if lacking & {"r1", "rn"}:
        why = "whether line and neutral agree within 0.05 Ω can't be told"
    else:
        why = "whether the cpc goes all the way round can't be told"
    words = f"End to end {read} {'was' if len(held) == 1 else 'were'} read, {none} not: {why}."
    yield Problem(
        "ring test incomplete", words, tuple(held[core].reading.id for core, *_ in _CONDUCTORS if core in held)
    )


def _radial_as_ring(view: CircuitView, entries: Sequence[Entry]) -> Iterator[Problem]:
    if view.shape is None or view.shape.kind not in _RADIALS:
        return
    rings = [
        entry.reading.id
        for entry in entries
        if entry.on_circuit
        and entry.value_si is not None
        and entry.reading.bound != ">"
        and (entry.test == "ring end to end" or (entry.test == "linked" and entry.link not in (None, "radial")))
    ]
    if rings:
        words = (
            f"{view.code} is a radial on the map and was tested as a ring ({_listed(rings)}): either a run is missing "
            "on the map, or it was another circuit; nothing can be made of these readings until that is settled."
        )
        yield Problem("radial tested as a ring", words, tuple(rings), (view.device.id,))


def _leads(entries: Iterable[Entry]) -> Iterator[Problem]:
    for entry in entries:
        reading = entry.reading
        if entry.is_less_than_leads:
            words = (
                f"{reading.id} shows {reading.value_si:.2f} Ω, less than the {entry.leads_ohm:.2f} Ω of leads to be "
                "taken off it: if they were nulled after all, say so; it is taken as zero."
            )
            yield Problem("less than its leads", words, (reading.id,))
    drifted = [entry.reading.id for entry in entries if NULL_DRIFT in entry.reading.remark]
    if drifted:
        words = f"The meter stood below zero at {_listed(drifted)}: null its leads again."
        yield Problem("null drift", words, tuple(drifted))


def _meters(home: Home, entries: Iterable[Entry]) -> Iterator[Problem]:
    by_meter: dict[tuple[str, str], list[Entry]] = defaultdict(list)
    for entry in entries:
        if entry.test in _PROOF_NEEDED and entry.says_something:
            by_meter[entry.visit.id, entry.reading.instrument or ""].append(entry)
    for (visit, meter), held in by_meter.items():
        ids = tuple(entry.reading.id for entry in held)
        day = written_day_said(held[0].visit.day)
        if not meter:
            words = f"No meter is named for {_listed(ids)} of {day}: nothing says whether it was proved."
            yield Problem("no meter named", words, ids, (visit,))
        elif why := why_unproved(home, visit, meter):
            yield Problem("meter not proved", f"Visit of {day}: {why}", ids, (visit, meter))


def _listed(ids: Sequence[str]) -> str:
    ordered = sorted(ids, key=natural_key)
    return ", ".join(ordered[:4]) + (f" and {len(ordered) - 4} more" if len(ordered) > 4 else "")
