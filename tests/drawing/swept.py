"""A ring with a spur and readings along it, for whatever draws or weighs them."""

from circuitmap.home import verbs
from circuitmap.home.records import End, Link
from circuitmap.memo import Memo
from circuitmap.readings.book import ReadingBook, readings_of
from circuitmap.readings.predict import predict
from circuitmap.trade import load
from circuitmap.words import Core, LinkKind
from tests.readings.wired import Wired


class Swept(Wired):
    """One way A1 with a ring of some sockets (legs of unlike lengths), one spur, and sweeps read with an error."""

    def __init__(self, count: int = 8, *, spur_m: float = 5.0, named: bool = False) -> None:
        super().__init__()
        self.sockets = self.ring(*[4.0 + 3.0 * (n % 4) for n in range(count + 1)]) if count else []
        self.spurs = [self.spur(self.sockets[2], spur_m)] if spur_m else []
        if named:
            for n, socket in enumerate(self.sockets):
                self.do(verbs.edit(self.home, socket, "name", name=f"Socket {n + 1}"))
        self.memo = Memo()
        self.meter = self.do(verbs.add_meter(self.home, "the meter", accuracy_fraction=0.01, resolution_ohm=0.01))
        self.today = ""
        self.come("2026-01-05")

    def come(self, day: str, purpose: str = "survey") -> None:
        self.today = self.do(verbs.start_visit(self.home, day, purpose))  # type: ignore[arg-type]  # test shorthand
        self.do(verbs.prove_meter(self.home, self.today, self.meter, "0.00"))

    def read(self, at: str, typed: str, link: LinkKind = "cross", cores: tuple[Core, Core] = ("L", "N")) -> str:
        change = verbs.record_reading(
            self.home, self.today, "linked", typed, device=self.way_id, at=at, cores=cores, link=Link(kind=link),
            instrument=self.meter,
        )  # fmt: skip
        return self.do(change)

    def sweep(
        self, link: LinkKind = "cross", cores: tuple[Core, Core] = ("L", "N"), *, off: dict[str, str] | None = None
    ) -> None:
        """Read every place as the map has it, two hundredths up and down in turn, but some of them otherwise."""
        told = predict(self.on_way, load(), link, cores, home=self.home)
        for n, (place, each) in enumerate(told.items()):
            assert each.ohm is not None
            typed = f"{each.ohm + 0.01 * (n % 3 - 1):.2f}"
            self.read(place, (off or {}).get(place, typed), link, cores)

    def book(self) -> ReadingBook:
        return readings_of(self.home, self.on_way, self.memo)

    def leg(self, length_m: float) -> str:
        """A cable from the board to a point of its own, as a third leg."""
        end = self.point()
        self.length(End(at=self.way_id, leg=3), end, length_m)
        return end

    @property
    def loop_runs(self) -> tuple[str, ...]:
        """The runs of the ring, from the board round."""
        shape = self.on_way.shape
        return shape.loop_runs if shape is not None else ()
