"""A board with a main switch and a few ways, points to look at, and switch-offs in a line each."""

from circuitmap.home import verbs
from circuitmap.memo import Memo
from circuitmap.survey import Deduced, deduce
from circuitmap.words import Outcome
from tests.build import Builder


class Surveyed(Builder):
    """A home with ``ways`` single-pole breakers under one main switch, and a visit under way."""

    def __init__(self, ways: int = 4, points: int = 1) -> None:
        super().__init__()
        self.a = self.board()
        self.main = self.device(self.a, "0", "main switch", 100)
        self.ways = [self.device(self.a, str(n), upstream=self.main) for n in range(1, ways + 1)]
        self.points = [self.point() for _ in range(points)]
        self.now = self.visit()
        self.memo = Memo()
        self._minute = 0

    @property
    def instant(self) -> str:
        """A later instant each time it is asked for."""
        self._minute += 1
        return f"2026-01-05T{9 + self._minute // 60:02}:{self._minute % 60:02}:00Z"

    def look(self, point: str, outcome: Outcome, *off: str, visit: str | None = None, **facts: object) -> str:
        """One switch-off with one answer; gives the check."""
        record = self.round(visit or self.now, *off)
        return self.say(record, point, outcome, **facts)

    def say(self, record: str, point: str, outcome: Outcome, **facts: object) -> str:
        return self.do(verbs.record_check(self.home, record, point, outcome, at=self.instant, **facts))  # type: ignore[arg-type]

    def happens(self, record: str, what: str, *devices: str) -> None:
        self.do(verbs.record_event(self.home, record, what, devices, at=self.instant))  # type: ignore[arg-type]

    def found(self, point: str) -> Deduced:
        return deduce(self.home, self.memo)[point]
