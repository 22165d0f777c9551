"""Verdicts on a circuit's continuity readings: the ring test in its steps, radials, single conductors, neutrals."""

from collections.abc import Iterable, Iterator
from typing import Final, Literal

from circuitmap.readings.entries import Entry
from circuitmap.readings.judged_case import RADIALS, RINGS, Case, Judged, cores_of, ids_of, of_one_side, place_of, shown
from circuitmap.readings.ring_verdicts import Ends, judge_legs, judge_length, judge_middle, judge_ratio, judge_step
from circuitmap.readings.verdict import ARITHMETIC, COMMON, Verdict, drifted, span_of, unknown, unusable
from circuitmap.trade import Cable
from circuitmap.words import CORES, Core

# Two neutrals that are joined read less than this; what is plugged in across them reads more (common practice, no
# source).
JOINED_OHM: Final = 100.0
_LEGS_DIFFER: Final = "legs differ"
_NAMES: Final[dict[Core, str]] = {"L": "line", "N": "neutral", "E": "cpc"}
_STEPS: Final[tuple[tuple[Literal[2, 3], frozenset[Core]], ...]] = (
    (2, frozenset({"L", "N"})),
    (3, frozenset({"L", "E"})),
)


def judged_ring(case: Case) -> Iterator[Judged]:
    """Judge the ring test: the legs end to end, their ratio and length, and the two cross-linked steps."""
    read = of_one_side(case.of_test("ring end to end"))
    ends: dict[str, Entry] = {entry.reading.cores[0]: entry for entry in read if entry.reading.cores}
    crossed = case.of_test("linked", "cross")
    if not ends and not crossed:
        return
    if _is_radial(case):
        says = f"{case.view.code} is a radial on the map: a ring's test says nothing of it."
        why = "Either a run is missing on the map, or another circuit was read."
        yield Judged(unknown("radial tested as a ring", says, why), ids_of((*read, *crossed)), (case.way,), "ring")
        return
    yield from _ends(case, ends)
    for step, cores in _STEPS:
        swept = of_one_side(entry for entry in crossed if cores_of(entry) == cores)
        if swept:
            yield from _step(case, ends, step, swept)


def judged_radial(case: Case) -> Iterator[Judged]:
    """Judge readings with the conductors linked as a radial: open or not; what they should be is for the map."""
    for entry in case.of_test("linked", "radial"):
        cores = [core for core in CORES if core in cores_of(entry)] or ["L", "E"]
        name = "R1+R2" if cores == ["L", "E"] else "R1+Rn" if cores == ["L", "N"] else " to ".join(cores)
        at = place_of(case, entry)
        yield _continuous(case, entry, name, at, _radial_open(case, name, cores, at))


def judged_single(case: Case) -> Iterator[Judged]:
    """Judge continuity read along one conductor with a long lead."""
    for entry in case.of_test("continuity"):
        cores = cores_of(entry)
        if len(cores) != 1:
            continue
        core = next(iter(cores))
        at = place_of(case, entry)
        name = {"L": "R1", "N": "Rn", "E": "R2"}[core]
        kind = "no cpc" if core == "E" else f"open {_NAMES[core]}"
        says = f"The {_NAMES[core]} at {at} is not continuous with the board: {entry.shown}."
        why = "Broken, off a terminal, or the leads had no contact: read it again with the probe on bare metal."
        yield _continuous(case, entry, name, at, Verdict(kind, says, why, ARITHMETIC, "fails"))


def judged_neutrals(case: Case) -> Iterator[Judged]:
    """Judge readings from this way's neutral to another's, both out of the bar: joined ones are borrowed or shared."""
    for entry in case.of_test("neutral to neutral"):
        other = entry.at if entry.at not in (None, case.way) else None
        span = span_of(shown(entry))
        where = tuple(dict.fromkeys((case.way, *((other,) if other else ()))))
        if span is None:
            continue
        bad = unusable({"neutral to neutral": shown(entry)})
        if bad is not None:
            verdict = bad
        elif span.is_open or span.least > JOINED_OHM:
            says = f"The neutral of {case.view.code} is apart from the other ({entry.shown})."
            verdict = Verdict("neutrals apart", says, "", COMMON, "fine")
            if not span.is_open:
                says = f"Between the neutrals {entry.shown}: something is connected between the two ways."
                why = "A joined neutral reads next to nothing; unplug and switch off on both, then read again."
                verdict = Verdict("neutrals linked by a load", says, why, COMMON, "look")
        else:
            says = f"The neutral of {case.view.code} is joined to that of another way: {entry.shown}."
            why = (
                "With both out of the bar there should be none: a borrowed or shared neutral. It stays live with one "
                "way off, through what the other feeds."
            )
            verdict = Verdict("neutrals joined", says, why, COMMON, "fails")
        yield Judged(verdict, ids_of((entry,)), where, f"neutral to {other or 'another'}")


def earth_path_at(case: Case, point: str) -> tuple[float, str] | None:
    """Give the R1+R2 that was measured at a point as a number, with its record; None where there is none.

    Cross-linked on a ring reads what the point has in use at half way and somewhat more elsewhere: radial first.
    """
    held: dict[str, Entry] = {}
    for entry in case.of_test("linked"):
        if entry.link in ("radial", "cross") and cores_of(entry) == {"L", "E"} and place_of(case, entry) == point:
            held[str(entry.link)] = entry
    found = held.get("radial") or held.get("cross")
    if found is None or not found.is_number or found.value_si is None:
        return None
    return max(0.0, found.value_si), found.reading.id


def cables_of(case: Case) -> tuple[Cable, ...]:
    """Give the cables that are recorded round the ring (of all runs where none is known); none unless all are known."""
    shape = case.view.shape
    round_it = set(shape.loop_runs) if shape is not None and shape.kind in RINGS else set()
    found: dict[str, Cable] = {}
    for run in case.view.runs:
        if round_it and run.id not in round_it:
            continue
        cable = case.rules.trade.cable(run.cable) if run.cable else None
        if cable is None or run.live_mm2 is not None or run.cpc_mm2 is not None:
            return ()
        found[cable.code] = cable
    return tuple(found.values())


def _ends(case: Case, ends: dict[str, Entry]) -> Iterator[Judged]:
    if not ends:
        return
    way = (case.way,)
    r1, rn, r2 = (shown(ends.get(core)) for core in CORES)
    legs = judge_legs(case.rules, r1, rn, r2)
    yield Judged(legs, ids_of(ends.values()), way, "legs")
    line, neutral, cpc = ends.get("L"), ends.get("N"), ends.get("E")
    name: Ends = "r1"
    if line is not None and neutral is not None and legs.kind == _LEGS_DIFFER and _is_less(neutral, line):
        # A bad contact in the line says nothing of the cable: the neutral stands in for it.
        line, r1, name = neutral, rn, "rn"
    if line is None or not line.is_number:
        return
    cables = cables_of(case)
    if cpc is not None and cpc.is_number and line.value_si:
        yield Judged(judge_ratio(case.rules, r1, r2, cables, name), ids_of((line, cpc)), way, "r2/r1")
    copper_c = line.reading.copper_c if line.reading.copper_c is not None else 20.0
    yield Judged(judge_length(case.rules, r1, cables, copper_c, name), ids_of((line,)), way, "length")


def _step(case: Case, ends: dict[str, Entry], step: Literal[2, 3], swept: Iterable[Entry]) -> Iterator[Judged]:
    subject = f"step {step}"
    by_place = {place_of(case, entry): entry for entry in swept}
    board = by_place.pop(case.way, None)
    beside = _off_the_ring(case)
    # What hangs beside the ring on the map reads more than it and isn't doubted for that; open it must not be.
    ring = {at: e for at, e in by_place.items() if at not in beside or ((s := span_of(shown(e))) and s.is_open)}
    r1, other = shown(ends.get("L")), shown(ends.get("N" if step == 2 else "E"))
    used = (*(e for e in (ends.get("L"), ends.get("N" if step == 2 else "E"), board) if e is not None), *ring.values())
    if not ring:
        return
    if step == 3 and len(ring) == 1 and _are_numbers(ends.get("L"), ends.get("E"), *ring.values()):
        at, only = next(iter(ring.items()))
        yield Judged(judge_middle(r1, other, shown(only)), ids_of(used), (at,), "R1+R2")
        return
    points = {at: shown(entry) for at, entry in ring.items()}
    legs = judge_legs(case.rules, *(shown(ends.get(core)) for core in CORES))
    for verdict in judge_step(case.rules, step, r1, other, points, shown(board)):
        if verdict.kind == "low" and legs.kind == _LEGS_DIFFER:
            continue  # with a bad contact at one place the least of a ring isn't where an even ring has it
        about = verdict.about
        rests = ids_of(e for at, e in ring.items() if at in about) if about else ids_of(used)
        yield Judged(verdict, rests, about or (case.way,), subject)


def _continuous(case: Case, entry: Entry, name: str, at: str, when_open: Verdict) -> Judged:
    value = shown(entry)
    bad = unusable({name: value}) or drifted({name: value})
    span = span_of(value)
    if bad is not None:
        verdict = bad
    elif span is None:
        verdict = unknown("no reading", f"{name} was not read at {at}.", "Read it, or leave the reason written down.")
    elif span.is_open:
        verdict = when_open
    else:
        says = f"{name} at {at} is {entry.shown}."
        verdict = Verdict("continuous", says, "Whether it is what it should be is for the map.", COMMON, "fine")
    return Judged(verdict, ids_of((entry,)), (at,), f"{name} {at}")


def _radial_open(case: Case, name: str, cores: list[Core], at: str) -> Verdict:
    named = " or ".join(_NAMES[core] for core in cores)
    says = f"{name} is open at {at}: its {named} doesn't reach the link at the board."
    member = next((m for m in case.view.members if m.point.id == at), None)
    row = case.rules.trade.point(member.point.kind) if member is not None else None
    switched = member is not None and (member.after_fuse is not None or (row is not None and row.is_light))
    if switched:
        why = "A switch or a fused connection unit before it was off, perhaps: put them on and read it again."
        return Verdict("open behind a switch", says, why, COMMON, "query")
    why = "A conductor is broken or off its terminal between here and the board, or the link wasn't made."
    return Verdict("open at a point", says, why, ARITHMETIC, "fails")


def _is_radial(case: Case) -> bool:
    return case.view.shape is not None and case.view.shape.kind in RADIALS


def _off_the_ring(case: Case) -> frozenset[str]:
    shape = case.view.shape
    if shape is None or shape.kind not in RINGS or not shape.loop:
        return frozenset()
    return frozenset(name for name in case.view.names if name not in shape.loop)


def _are_numbers(*entries: Entry | None) -> bool:
    return all(entry is not None and entry.is_number for entry in entries)


def _is_less(one: Entry, other: Entry) -> bool:
    return one.value_si is not None and other.value_si is not None and one.value_si < other.value_si
