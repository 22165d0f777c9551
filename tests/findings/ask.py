"""Shorthands of the tests of rules: small homes with one thing in them, and what the rules say of them."""

from collections.abc import Iterator
from contextlib import contextmanager

from circuitmap import trade
from circuitmap.findings import Finding, run
from circuitmap.home import Home, verbs
from circuitmap.home.records import Bond, End, Load, Rcd, RunFault
from circuitmap.memo import Memo
from circuitmap.words import DeviceKind, Evidence, PointKind
from tests.build import Builder

FLAT = "T&E 2.5/1.5"


def said(home: Home) -> tuple[Finding, ...]:
    return run(home, trade.load(), Memo())


def only(home: Home, rule: str) -> list[Finding]:
    return [finding for finding in said(home) if finding.rule == rule]


def one(home: Home, rule: str) -> Finding:
    """The one finding of a rule; none or several fail the test that asks."""
    found = only(home, rule)
    assert len(found) == 1, [(f.rule, f.code, f.says) for f in said(home)]
    return found[0]


def grave(home: Home) -> list[str]:
    return [f"{f.code} {f.rule}: {f.says}" for f in said(home) if f.code in ("C1", "C2", "FI") and not f.aside]


class Wired(Builder):
    """A home with one board, its main switch and an RCD of 30 mA; everything else is asked for."""

    def __init__(self, name: str = "Test home", *, rcd: bool = True) -> None:
        super().__init__(name)
        self.ground = self.storey()
        self.box = self.board("A")
        self.main = self.device(self.box, "", "main switch", 100)
        self.over = self.main
        if rcd:
            self.over = self.device(self.box, "", "RCD", 80, upstream=self.main, rcd=Rcd(trips_ma=30.0, type="A"))
        self.ways = 0
        self.at = 0

    def way(self, rating_a: float | None = 32, kind: DeviceKind = "MCB", label: str = "", **facts: object) -> str:
        self.ways += 1
        upstream = facts.pop("upstream", self.over)
        return self.device(self.box, str(self.ways), kind, rating_a, label=label, upstream=upstream, **facts)

    def put(self, kind: PointKind = "socket", **facts: object) -> str:
        """A point somewhere on the ground storey, or in a room if one is said."""
        if "room" in facts:
            return self.point(kind, **facts)  # type: ignore[arg-type]  # test shorthand
        self.at += 1
        return self.point(kind, (self.ground, 500 * self.at, 0), **facts)  # type: ignore[arg-type]  # test shorthand

    def twins(self, number: int) -> list[str]:
        return [self.put(gangs=2) for _ in range(number)]

    def cable(self, a: str | End, b: str | End, cable: str = FLAT, method: str = "C", **facts: object) -> str:
        return self.run(a, b, cable=cable, method=method, **facts)  # type: ignore[arg-type]  # test shorthand

    def line(self, *stops: str, cable: str = FLAT, evidence: Evidence = "seen", method: str = "C") -> list[str]:
        return self.chain(*stops, cable=cable, evidence=evidence, method=method)

    def ring(self, number: int = 6, rating_a: float | None = 32, **facts: object) -> tuple[str, list[str], list[str]]:
        """A ring of twin sockets: its way, points and runs."""
        way, points = self.way(rating_a), self.twins(number)
        return way, points, self.line(way, *points, way, **facts)  # type: ignore[arg-type]  # test shorthand

    def count(self, **cables: int) -> None:
        for record_id, number in cables.items():
            self.do(verbs.count_cables(self.home, record_id, number))

    def say(self, record_id: str, **facts: object) -> None:
        self.do(verbs.edit(self.home, record_id, **facts))

    def see(self, subject: str, *seen: str) -> str:
        return self.do(verbs.note(self.home, subject, seen))  # type: ignore[arg-type]  # the words are the test's own

    def open_core(self, run: str, *cores: str, evidence: Evidence = "tested") -> None:
        fault = RunFault(kind="open", cores=cores, evidence=evidence)  # type: ignore[arg-type]  # test shorthand
        self.say(run, faults=(fault,))

    def supply(self, **facts: object) -> None:
        bonds = facts.pop("bonds", (Bond(to="gas", state="yes"), Bond(to="water", state="yes")))
        earthing = facts.pop("earthing", "TN-C-S")
        self.do(verbs.set_supply(self.home, phases=1, bonds=bonds, earthing=earthing, sources_asked=True, **facts))

    def load(self, point: str, what: str, power_w: float | None = None, **facts: object) -> None:
        self.say(point, loads=(Load(what=what, power_w=power_w, **facts),))  # type: ignore[arg-type]

    @contextmanager
    def visited(self, *points: str) -> Iterator[str]:
        """A visit in which the points were first seen live."""
        visit = self.visit()
        first = self.round(visit)
        for point in points:
            self.check(first, point, "still on")
        yield visit

    def switched(self, visit: str, *off: str, gone: tuple[str, ...] = (), stay: tuple[str, ...] = ()) -> str:
        """One switch-off, the points that went off with it and those that stayed on, and the power back."""
        this = self.round(visit, *off)
        for point in gone:
            self.check(this, point, "off")
        for point in stay:
            self.check(this, point, "still on")
        self.do(verbs.record_event(self.home, this, "power back", at="2026-01-05T09:30:00Z"))
        return this
