"""A home whose eight sockets are known to be on a ring that nobody has followed; networkx solves what is wired."""

from collections.abc import Sequence
from typing import Final

from circuitmap.home import verbs
from circuitmap.home.records import End, Link
from circuitmap.readings.links import linked
from circuitmap.words import Core, LinkKind
from tests.build import Builder
from tests.readings.wired import Wired, by_networkx

ROUND: Final = ("P5", "P2", "P7", "P1", "P8", "P3", "P6")
LEGS_M: Final = (6.0, 9.0, 7.0, 11.0, 5.0, 8.0, 10.0, 12.0)
SPUR: Final = ("P1", "P4", 6.0)
CORES: Final[tuple[Core, ...]] = ("L", "N", "E")
_SPOTS: Final = {
    "P1": (3200, 4000), "P2": (8500, 0), "P3": (0, 3000), "P4": (2000, 2500), "P5": (9000, 4000), "P6": (1500, 0),
    "P7": (6500, 4000), "P8": (800, 4000), "P9": (3500, 1500),
}  # fmt: skip


class OrderHome(Builder):
    """Way A1 is a ring round P5, P2, P7, P1, P8, P3 and P6, 68 m long, and a spur of 6 m from P1 to P4.

    On the map are the points, and (``legs``) the two cables at the board. ``beyond_m`` is how far the spur goes on from
    P4 to P9, of which the map knows no more than of the others.
    """

    def __init__(
        self, *, legs: bool = True, legs_m: Sequence[float] = LEGS_M, spur_m: float = SPUR[2], beyond_m: float = 0
    ) -> None:
        super().__init__("Home with a ring to follow")
        ground = self.storey()
        self.room("Kitchen", ground, (0, 0, 5000, 4000), use="kitchen")
        self.room("Hall", ground, (5200, 0, 10000, 4000), use="hall")
        self.board_id = self.board("A")
        self.do(verbs.move(self.home, self.board_id, self.place(ground, 9900, 400)))
        main = self.device(self.board_id, "", "main switch", 100)
        self.ring = self.device(self.board_id, "1", "MCB", 32, curve="B", label="Sockets", upstream=main, cables_seen=2)
        self.other = self.device(self.board_id, "2", "MCB", 6, curve="B", label="Lights", upstream=main, cables_seen=1)
        names = list(_SPOTS)[: 9 if beyond_m else 8]
        self.sockets = [self.point("socket", (ground, *_SPOTS[name]), gangs=2) for name in names]
        for socket in self.sockets:
            self.do(verbs.tag(self.home, socket, self.ring))
        self.legs = [self.run(End(at=self.ring, leg=n), End(state="unknown")) for n in (1, 2)] if legs else []
        lamp = self.point("light", (ground, 7500, 2000), cables=1)
        self.chain(self.other, lamp, cable="T&E 1.5/1.0", length_mm=6000)
        self.visit_id = self.do(verbs.start_visit(self.home, purpose="before work"))
        self.meter = self.do(
            verbs.add_meter(self.home, "MF tester", resolution_ohm=0.01, accuracy_fraction=0.01, leads_ohm=0.0)
        )
        self.do(verbs.prove_meter(self.home, self.visit_id, self.meter, "0.00"))
        self.truth = Wired()
        stops = self.truth.ring(*legs_m)
        self.called = dict(zip(stops, ROUND, strict=True))
        end = self.truth.spur(stops[ROUND.index(SPUR[0])], spur_m)
        self.called[end] = SPUR[1]
        if beyond_m:
            self.called[self.truth.spur(end, beyond_m)] = "P9"
        self.called[self.truth.way_id] = self.ring

    def shown(self, kind: LinkKind, cores: tuple[Core, Core]) -> dict[str, str]:
        """What a meter without errors shows at the board and every point, to its last digit."""
        test = linked(self.truth.network, kind, cores)
        places = [place for place in self.called if place != self.truth.way_id]
        pairs = [test.at_board, *((test.network.at[p, cores[0]], test.network.at[p, cores[1]]) for p in places)]
        ohms = by_networkx(test.network, pairs)
        return {self.called[p]: f"{ohm:.2f}" for p, ohm in zip((self.truth.way_id, *places), ohms, strict=True)}

    def ends(self) -> None:
        """Read step 1."""
        for core in CORES:
            typed = self.shown("end to end", (core, core))[self.ring]
            self.do(verbs.record_reading(self.home, self.visit_id, "ring end to end", typed, device=self.ring,
                                         at=self.ring, cores=(core, core), instrument=self.meter))  # fmt: skip

    def sweep(self, kind: LinkKind, cores: tuple[Core, Core], only: Sequence[str] = (), **instead: str) -> None:
        """Read a sweep, at some places or all; ``instead`` is read in place of the truth."""
        for at, typed in (self.shown(kind, cores) | instead).items():
            if not only or at in only:
                self.do(verbs.record_reading(self.home, self.visit_id, "linked", typed, device=self.ring, at=at,
                                             cores=cores, link=Link(kind=kind, cores=cores),
                                             instrument=self.meter))  # fmt: skip

    def read_all(self, **near: str) -> None:
        """Read step 1 and both sweeps."""
        self.ends()
        self.sweep("one leg", ("L", "E"), **near)
        self.sweep("cross", ("L", "N"))
