"""Before beside after: the readings of one place on both sides of the work, and how they compare."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from circuitmap.home.records import Reading
from circuitmap.readings.agree import VARYING, difference
from circuitmap.readings.entries import Entry

PairedAs = Literal["same", "higher", "lower", "changed", "only before", "only after", "can't be compared"]


@dataclass(frozen=True, slots=True)
class Pair:
    """The readings of one place before and after, and how they compare in one word and in a sentence."""

    before: Entry | None
    after: Entry | None
    paired_as: PairedAs
    words: str


def pair_up(before: Iterable[Entry], after: Iterable[Entry]) -> tuple[Pair, ...]:
    """Pair readings of the same place; what differs only in test voltage or in what was apart is paired and says so."""
    firsts = {entry.place: entry for entry in before}
    seconds = {entry.place: entry for entry in after}
    matched: dict[tuple[object, ...], Entry | None] = {place: seconds.get(place) for place in firsts}
    spare = [entry for place, entry in seconds.items() if place not in firsts]
    for place, found in matched.items():
        if found is None and not firsts[place].is_of_part:
            near = next(
                (each for each in spare if not each.is_of_part and _loosely(each) == _loosely(firsts[place])), None
            )
            if near is not None:
                spare.remove(near)
                matched[place] = near
    pairs = [_pair(firsts[place], found) for place, found in matched.items()]
    return (*pairs, *(_pair(None, each) for each in spare))


def _loosely(entry: Entry) -> tuple[object, ...]:
    test, device, at, cores, linked, _apart, _volts, amperes, phase = entry.place
    return (test, device, at, cores, linked, amperes, phase)


def _pair(before: Entry | None, after: Entry | None) -> Pair:
    if before is None or after is None:
        one = before or after
        assert one is not None
        when: PairedAs = "only before" if after is None else "only after"
        return Pair(before, after, when, f"{when[0].upper()}{when[1:]} the work: {one.shown}.")
    shown = f"before {before.shown}, after {after.shown}"
    first, second = before.compared(), after.compared()
    how: PairedAs
    if first is not None and second is not None:
        how = difference(first, second, after.test, same_day=before.visit.day == after.visit.day)
    elif before.reading.indicated and after.reading.indicated:
        how = "same" if before.reading.indicated == after.reading.indicated else "changed"
    else:
        how = "can't be compared"
    same = "No change"
    if after.test in VARYING and before.shown != after.shown:
        same = "No more than this test varies"
    words = {"same": same, "changed": "Changed", "can't be compared": "Can't be compared"}.get(how, how.capitalize())
    return Pair(before, after, how, f"{words}: {shown}{_otherwise(before.reading, after.reading)}.")


def _otherwise(before: Reading, after: Reading) -> str:
    """Say in what two readings of one place were not taken alike."""
    unlike = []
    if before.test_v != after.test_v:
        unlike.append(f"at {_volts(before)} before and {_volts(after)} after")
    if set(before.apart) != set(after.apart):
        unlike.append("with other things disconnected")
    return f", read {' and '.join(unlike)}" if unlike else ""


def _volts(reading: Reading) -> str:
    return f"{reading.test_v:g} V" if reading.test_v is not None else "an unknown voltage"
