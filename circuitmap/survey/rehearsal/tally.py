"""What a practised survey took, and how what it found compares with what is really so."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from circuitmap.survey.deduce import Deduced

if TYPE_CHECKING:
    from circuitmap.survey.rehearsal.rehearse import Practice


@dataclass(frozen=True, slots=True)
class Tally:
    """One survey: what it took and what came out.

    ``rounds`` are switch-offs, ``looks`` with everything on beside them; ``apart`` those of the rounds that only tell
    joined ways apart. ``wrong`` points stand settled on what doesn't feed them, ``doubtful`` ones are left in doubt,
    ``right`` ones are settled on what feeds them or named for what they are. ``misled`` points had answers from which
    the exact deduction would have gone wrong, ``flagged`` are those of them that were put in doubt before the end.
    ``named`` tells how many of the planted oddities (joined, elsewhere) were named as what they are.
    ``most_off`` is how often the listed load interrupted most was, ``together`` in how many switch-offs two listed
    loads on different ways lost their supply at once.
    """

    ways: int
    points: int
    rounds: int
    looks: int
    apart: int
    checks: int
    minutes: float
    right: int
    wrong: int
    doubtful: int
    ever_wrong: int
    misled: int
    flagged: int
    odd: int
    named: int
    trip: bool | None
    most_off: int
    together: int


def count_up(practice: "Practice", known: Mapping[str, Deduced]) -> Tally:
    """Count up a survey that has ended."""
    from circuitmap.survey.rehearsal.rehearse import is_wrong, outlook_ways

    truth = practice.walker.truth
    right = wrong = odd = named = 0
    for point, fed in truth.items():
        found = known[point]
        wrong += is_wrong(found, fed)
        if fed.how == "one way":
            right += found.verdict == "settled" and found.candidates == fed.devices
            continue
        is_named = _is_named(found, fed.how, fed.devices)
        right += is_named
        odd += 1
        named += is_named
    return Tally(
        ways=len(outlook_ways(practice)),
        points=len(truth),
        rounds=practice.rounds,
        looks=practice.looks,
        apart=practice.apart,
        checks=practice.checks,
        minutes=practice.minutes,
        right=right,
        wrong=wrong,
        doubtful=len(truth) - right - wrong,
        ever_wrong=len(practice.ever_wrong),
        misled=len(practice.misled),
        flagged=len(practice.misled & practice.doubted),
        odd=odd,
        named=named,
        trip=practice.trip_found if practice.trip is not None else None,
        most_off=max(practice.off_times.values(), default=0),
        together=practice.together,
    )


def _is_named(found: Deduced, how: str, devices: tuple[str, ...]) -> bool:
    match how:
        case "joined":
            return found.odd == "only together" and set(found.candidates) == set(devices)
        case "elsewhere":
            return found.verdict == "elsewhere"
        case "either":
            return found.odd == "off in two"
        case _:
            return found.verdict == "not seen on"
