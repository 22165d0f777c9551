"""A home with a ring, a radial and a meter, and readings taken on them."""

from circuitmap.circuits import CircuitView, views
from circuitmap.home import verbs
from circuitmap.home.records import Link
from circuitmap.memo import Memo
from circuitmap.readings.book import Entry, ReadingBook, readings_of, readings_of_no_way
from circuitmap.trade import load
from circuitmap.words import LinkKind, Purpose, ReadingTest
from tests.build import Builder


class Taken(Builder):
    """Way A1 is a ring of four sockets, A2 a radial of two lights; one proved meter, one visit."""

    def __init__(self, purpose: Purpose = "survey", *, proved: bool = True) -> None:
        super().__init__()
        board = self.board()
        self.board_id = board
        self.ring = self.device(board, "1")
        self.radial = self.device(board, "2", rating_a=6)
        self.sockets = [self.point("socket") for _ in range(4)]
        self.lights = [self.point("light", cables=cables) for cables in (2, 1)]
        self.runs = self.chain(self.ring, *self.sockets, self.ring)
        self.chain(self.radial, *self.lights, cable="T&E 1.5/1.0")
        self.meter = self.do(verbs.add_meter(self.home, "the meter", resolution_ohm=0.01))
        self.memo = Memo()
        self.today = ""
        self.come("2026-01-05", purpose, proved=proved)

    def come(self, day: str, purpose: Purpose = "survey", *, proved: bool = True) -> str:
        """Another visit; the meter is proved at once."""
        self.today = self.do(verbs.start_visit(self.home, day, purpose))
        if proved:
            self.do(verbs.prove_meter(self.home, self.today, self.meter, "0.00"))
        return self.today

    def read(self, test: ReadingTest, typed: str, *cores: str, at: str | None = None, link: LinkKind | None = None,
             way: str | None = "", **facts: object) -> str:  # fmt: skip
        """A reading on the ring unless another way (or None) is named."""
        facts = {"instrument": self.meter} | facts
        return self.do(verbs.record_reading(self.home, self.today, test, typed, device=self.ring if way == "" else way,
                                            at=at, cores=cores, link=Link(kind=link) if link else None,
                                            **facts))  # type: ignore[arg-type]  # test shorthand  # fmt: skip

    def view(self, way: str = "") -> CircuitView:
        return next(v for v in views(self.home, load(), self.memo) if v.device.id == (way or self.ring))

    def book(self, way: str = "") -> ReadingBook:
        return readings_of(self.home, self.view(way), self.memo)

    def rest(self) -> ReadingBook:
        return readings_of_no_way(self.home, views(self.home, load(), self.memo), self.memo)

    def says(self, kind: str, way: str = "") -> str:
        """The sentences of one kind of problem in the book of a way."""
        return " ".join(problem.words for problem in self.book(way).problems if problem.kind == kind)


def ids(entries: tuple[Entry, ...]) -> list[str]:
    return [entry.reading.id for entry in entries]
