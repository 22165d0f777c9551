"""A ring of sockets that is really there, read in two sweeps into a home that has as much of it as the test drew."""

from collections.abc import Mapping

from circuitmap.circuits import CircuitView, views
from circuitmap.home import verbs
from circuitmap.home.records import Link, Run
from circuitmap.memo import Memo
from circuitmap.readings.book import readings_of
from circuitmap.readings.links import linked
from circuitmap.readings.order import RingOrder, order_of_points
from circuitmap.readings.sweeps import Sweeps, sweeps_of
from circuitmap.trade import load
from circuitmap.words import Core, LinkKind
from tests.build import Builder
from tests.readings.wired import Wired, by_networkx


class Swept(Builder):
    """The truth: a 60 m ring of 2.5/1.5 through P3, P1, P4, P2 and P5, ten metres apart, and 4 m of spur from P4 to P6.

    What the meter reads is solved by networkx from the truth; the home under test has the points, and no runs.
    """

    ORDER = ("P3", "P1", "P4", "P2", "P5")

    def __init__(self) -> None:
        super().__init__()
        self.way = self.device(self.board(), "1")
        self.points = [self.point("socket") for _ in range(6)]
        for point in self.points:
            self.do(verbs.tag(self.home, point, self.way))
        self.meter = self.do(verbs.add_meter(self.home, "the meter", resolution_ohm=0.01, accuracy_fraction=0.01))
        self.visit_id = self.do(verbs.start_visit(self.home, "2026-01-05"))
        truth = Wired()
        sockets = truth.ring(*[10] * 6)
        end = truth.spur(sockets[2], 4)
        self.called = {**dict(zip(sockets, self.ORDER, strict=True)), end: "P6", truth.way_id: self.way}
        self.truth = truth

    def shown(self, kind: LinkKind, cores: tuple[Core, Core]) -> dict[str, str]:
        """What a meter without errors shows at every point and the board, to its last digit."""
        test = linked(self.truth.network, kind, cores)
        at = test.network.at
        places = [place for place in self.called if place != self.truth.way_id]
        pairs = [test.at_board, *((at[place, cores[0]], at[place, cores[1]]) for place in places)]
        ohms = by_networkx(test.network, pairs)
        return {self.called[p]: f"{ohm:.2f}" for p, ohm in zip((self.truth.way_id, *places), ohms, strict=True)}

    def take(self, typed: str, *cores: Core, at: str | None = None, link: LinkKind | None = None, leg: str = "") -> str:
        """Record one reading on the way."""
        made = Link(kind=link, legs=(leg,) if leg else ()) if link else None
        return self.do(
            verbs.record_reading(
                self.home, self.visit_id, "linked" if link else "ring end to end", typed, device=self.way, at=at,
                cores=cores, link=made, instrument=self.meter,
            )
        )  # fmt: skip

    def ends(self, *cores: Core) -> None:
        for core in cores:
            self.take(self.shown("end to end", (core, core))[self.way], core)

    def sweep(self, link: LinkKind, *cores: Core, leg: str = "", instead: Mapping[str, str] | None = None) -> None:
        """Read all points, and the board, in one sweep; ``instead`` is shown in place of the truth."""
        for at, typed in (self.shown(link, (cores[0], cores[1])) | dict(instead or {})).items():
            if typed:
                self.take(typed, *cores, at=at, link=link, leg=leg if link == "one leg" else "")

    def read_all(self, leg: str = "") -> None:
        self.ends("L", "N", "E")
        self.sweep("one leg", "L", "E", leg=leg)
        self.sweep("cross", "L", "N")

    @property
    def view(self) -> CircuitView:
        return next(v for v in views(self.home, load(), Memo()) if v.device.id == self.way)

    @property
    def sweeps(self) -> Sweeps:
        return sweeps_of(self.home, self.view, readings_of(self.home, self.view, Memo()), load())

    @property
    def drawn(self) -> RingOrder:
        return order_of_points(self.sweeps)

    def joined(self) -> set[frozenset[str]]:
        """What the home's runs join."""
        return {frozenset((str(r.a.at), str(r.b.at))) for r in self.home.table(Run).values()}
