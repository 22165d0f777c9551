"""A small home for the tests of circuits: one board, ways, sockets, and a settled point in two lines."""

from circuitmap.circuits import CircuitView, views
from circuitmap.home import verbs
from circuitmap.memo import Memo
from circuitmap.trade import load
from circuitmap.words import DeviceKind
from tests.build import Builder


class House(Builder):
    def __init__(self) -> None:
        super().__init__()
        self.b = self.board()
        self.ways = 0
        self.memo = Memo()
        self.now = ""

    def way(self, rating_a: float | None = 32, kind: DeviceKind = "MCB", **facts: object) -> str:
        self.ways += 1
        return self.device(self.b, str(self.ways), kind, rating_a, **facts)

    def say(self, way: str, *points: str) -> None:
        """Say directly that a way feeds some points."""
        for point in points:
            self.do(verbs.tag(self.home, point, way))

    def settle(self, point: str, way: str) -> None:
        """Look with everything on, then with one way off, in one visit."""
        self.now = self.now or self.visit()
        self.check(self.round(self.now), point, "still on")
        self.check(self.round(self.now, way), point, "off")

    def views(self) -> tuple[CircuitView, ...]:
        return views(self.home, load(), self.memo)

    def view(self, code: str) -> CircuitView:
        (found,) = [view for view in self.views() if view.code == code]
        return found
