"""Somebody who walks round an invented home with a tester, and is wrong now and then.

Two sorts of error: a slip of one answer, and a point that answers wrongly at every look (a dead lamp, a battery of its
own). What is off when everything is on is looked at a second time, its switch worked both ways, as anybody would.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from random import Random
from typing import Final, Literal

from circuitmap.survey.rehearsal.truth import Fed
from circuitmap.words import Outcome

STUCK_SHARE: Final = 0.25  # our own estimate: of the error rate, how many points are stuck as well


@dataclass
class Walker:
    """Answers from the truth, with errors; ``error`` is the chance that any one answer is wrong."""

    truth: Mapping[str, Fed]
    error: float
    rng: Random
    stuck: dict[str, Literal["off", "on"]] = field(default_factory=dict)
    wrong: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Settle which points answer wrongly at every look."""
        for point in self.truth:
            drawn = self.rng.random()
            if drawn < self.error * STUCK_SHARE:
                self.stuck[point] = "off" if drawn < self.error * STUCK_SHARE * 0.9 else "on"

    def look(self, point: str, out: Iterable[str]) -> Outcome:
        """Give what is found at a point while some devices are without supply."""
        really = is_on(self.truth[point], frozenset(out))
        found = really
        if point in self.stuck:
            found = self.stuck[point] == "on"
        if self.error and self.rng.random() < self.error:
            found = not found
        if found != really:
            self.wrong[point] = self.wrong.get(point, 0) + 1
        return "still on" if found else "off"

    def see_lamp(self, point: str, out: Iterable[str]) -> bool:
        """Give whether a lamp left at a point is alight; it burns in plain sight, so that is told rightly."""
        return is_on(self.truth[point], frozenset(out)) and self.stuck.get(point) != "off"


def is_on(fed: Fed, out: frozenset[str]) -> bool:
    """Whether a point fed so has supply while some devices are without it."""
    match fed.how:
        case "one way":
            return fed.devices[0] not in out
        case "joined":
            return not all(device in out for device in fed.devices)
        case "either":
            return not any(device in out for device in fed.devices)
        case "elsewhere":
            return True
        case _:
            return False
