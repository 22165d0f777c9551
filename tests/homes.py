"""Healthy homes of many ages and kinds, built by the app's own verbs: complete, surveyed, with nothing wrong in them.

What an ordinary home of an age looks like is common practice, no source.
"""

from dataclasses import dataclass

from circuitmap.home import Home, verbs
from circuitmap.home.records import Bond, Device, End, Load, OtherSource, Point, Rcd, Run
from circuitmap.wiring import under
from circuitmap.words import Colours, DeviceKind, Earthing
from tests.build import Builder


@dataclass(frozen=True)
class Plan:
    """What one home is like."""

    name: str
    year: int
    device: DeviceKind = "MCB"
    rcd: str = "all"  # none, split (sockets only), all, each (RCBOs)
    earthing: Earthing = "TN-C-S"
    storeys: int = 2
    drawn: bool = True
    sockets: str = "ring"  # ring, ring 4 (4 mm2), radial 20, radial 32, two rings
    spurs: int = 0
    boiler: bool = True
    outdoor: bool = False
    garage: bool = False
    colours: Colours = "new"
    shower: bool = False
    immersion: bool = False
    alarms: bool = True
    shared_plate: bool = False
    pv: bool = False
    cooker: bool = True


PLANS: tuple[Plan, ...] = (
    Plan("fuse board, flat", 1958, "fuse BS 3036", "none", storeys=1, colours="old", alarms=False, boiler=False),
    Plan("fuse board, terrace", 1964, "fuse BS 3036", "none", colours="old", immersion=True, alarms=False),
    Plan("cartridge fuses, semi", 1969, "fuse BS 1361", "none", "TN-S", colours="old", alarms=False),
    Plan("early breakers, bungalow", 1974, "MCB BS 3871", "none", "TN-S", storeys=1, colours="old"),
    Plan("breakers, terrace, spurs", 1979, "MCB BS 3871", "none", "TN-S", colours="old", spurs=2),
    Plan("one RCD for sockets, semi", 1988, rcd="split", colours="old", shower=True),
    Plan("split load, semi, shared plate", 1995, rcd="split", colours="old", spurs=1, shared_plate=True),
    Plan("split load, two rings", 1999, rcd="split", colours="old", sockets="two rings", immersion=True),
    Plan("split load, extended in new colours", 2005, rcd="split", colours="mixed", spurs=2),
    Plan("two RCDs, detached", 2009, rcd="all", sockets="two rings", shower=True, outdoor=True),
    Plan("two RCDs, flat with radials", 2011, rcd="all", storeys=1, sockets="radial 20", boiler=False),
    Plan("two RCDs, terrace, garage", 2013, rcd="all", garage=True),
    Plan("all RCBOs, flat", 2016, "RCBO", "each", storeys=1, sockets="radial 32"),
    Plan("all RCBOs, terrace", 2018, "RCBO", "each", sockets="two rings"),
    Plan("all RCBOs, three storeys", 2019, "RCBO", "each", storeys=3, sockets="two rings", shower=True),
    Plan("all RCBOs, garage and garden", 2021, "RCBO", "each", garage=True, outdoor=True),
    Plan("all RCBOs, panels on the roof", 2023, "RCBO", "each", pv=True),
    Plan("all RCBOs, new flat", 2024, "RCBO", "each", storeys=1, sockets="radial 20", boiler=False),
    Plan("own electrode, bungalow", 2010, rcd="all", earthing="TT", storeys=1, garage=True),
    Plan("own electrode, RCBOs", 2022, "RCBO", "each", "TT", outdoor=True),
    Plan("listed only, terrace", 1996, rcd="split", drawn=False, colours="old"),
    Plan("listed only, flat", 2020, "RCBO", "each", drawn=False, storeys=1, sockets="radial 32"),
    Plan("ring in 4 mm²", 2014, rcd="all", sockets="ring 4", spurs=1),
    Plan("old board, second board by the new kitchen", 1985, rcd="split", colours="mixed", garage=True, spurs=3),
)


def healthy(plan: Plan) -> Home:
    """The home of a plan, every point surveyed, every cable counted."""
    return _Maker(plan).made()


class _Maker:
    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.b = Builder(plan.name)
        self.feeds: dict[str, str] = {}
        self.way = 0

    def made(self) -> Home:
        b, plan = self.b, self.plan
        b.do(verbs.edit(b.home, "home", built_year=plan.year))
        bonds = (Bond(to="gas", state="yes", mm2=10.0), Bond(to="water", state="yes", mm2=10.0))
        sources = (OtherSource(kind="PV", where="roof", isolator="by the board", notice="yes"),) if plan.pv else ()
        b.do(
            verbs.set_supply(b.home, phases=1, earthing=plan.earthing, bonds=bonds, sources=sources, sources_asked=True)
        )
        self.storeys = [b.storey(f"Storey {n}", n) for n in range(plan.storeys)] if plan.drawn else []
        self.rooms: list[list[str]] = []
        for n in range(plan.storeys):
            names = ("Hall", "Kitchen", "Lounge") if n == 0 else ("Landing", f"Bedroom {n}", f"Back bedroom {n}")
            row = []
            for k, name in enumerate(names):
                box = (k * 4200, 0, k * 4200 + 4000, 4000) if plan.drawn else None
                row.append(b.room(name, self.storeys[n] if plan.drawn else None, box))
            self.rooms.append(row)
        self.board = b.board("A", room=self.rooms[0][0])
        self.main = b.device(self.board, "", "main switch", 100)
        ma = 30.0
        self.rcd = ""
        if plan.rcd in ("split", "all"):
            kind = "A" if plan.year > 2015 else "AC"
            self.rcd = b.device(self.board, "", "RCD", 80, upstream=self.main, rcd=Rcd(trips_ma=ma, type=kind))
        self.sockets()
        self.lights()
        self.dedicated()
        if plan.garage:
            self.garage()
        self.survey()
        assert not b.home.problems()
        return b.home

    def device(self, rating: float, label: str, *, socket_like: bool) -> str:
        plan = self.plan
        self.way += 1
        over = self.rcd if self.rcd and (plan.rcd == "all" or socket_like) else self.main
        rcd = Rcd(trips_ma=30.0, type="A") if plan.device == "RCBO" else None
        if plan.device.startswith("fuse") or plan.device == "MCB BS 3871":
            rating = {32: 30, 16: 15, 6: 5, 40: 45}.get(int(rating), rating)
        curve = "" if plan.device.startswith("fuse") else "2" if plan.device == "MCB BS 3871" else "B"
        return self.b.device(
            self.board, str(self.way), plan.device, rating, curve=curve, label=label, upstream=over, rcd=rcd
        )

    def point(self, kind: str, storey: int, room: int, n: int, **facts: object) -> str:
        plan = self.plan
        if not plan.drawn:
            return self.b.point(kind, room=self.rooms[storey][room], where=f"no. {n}", **facts)  # type: ignore[arg-type]
        x, y = room * 4200 + 300 + (n * 550) % 3400, 0 if n % 2 else 4000
        if kind in ("light", "smoke alarm"):
            y = 2000
        return self.b.point(kind, (self.storeys[storey], x, y), **facts)  # type: ignore[arg-type]

    def run(self, a: str | End, b: str | End, cable: str, **facts: object) -> None:
        run = self.b.run(a, b, cable=cable, method="C", **facts)  # type: ignore[arg-type]  # test shorthand
        self.b.do(verbs.edit(self.b.home, run, colours=self.plan.colours))

    def counted(self) -> None:
        """Count at every point and way exactly the cables that are there."""
        b = self.b
        ends: dict[str, int] = {}
        load: dict[str, int] = {}
        for run in b.home.table(Run).values():
            for end in (run.a, run.b):
                if end.at:
                    which = load if end.side == "load" else ends
                    which[end.at] = which.get(end.at, 0) + 1
        for kind in (Point, Device):
            for record in b.home.sorted(kind):
                b.do(verbs.count_cables(b.home, record.id, ends.get(record.id, 0)))
                if record.id in load:
                    b.do(verbs.count_cables(b.home, record.id, load[record.id], load_side=True))

    def sockets(self) -> None:
        plan, b = self.plan, self.b
        everything = [(s, r, n) for s in range(plan.storeys) for r in range(3) for n in (1, 2)]
        if plan.sockets == "two rings":
            groups = [[e for e in everything if e[0] == 0], [e for e in everything if e[0] > 0]]
        elif plan.sockets == "radial 20":
            groups = [everything[n : n + 4] for n in range(0, len(everything), 4)]
        else:
            groups = [everything]
        thick = plan.sockets in ("ring 4", "radial 32")
        cable = "T&E 4/1.5" if thick else "T&E 2.5/1.5"
        for group in (g for g in groups if g):
            way = self.device(20 if plan.sockets == "radial 20" else 32, "Sockets", socket_like=True)
            points = [self.point("socket", *each, gangs=2) for each in group]
            for point in points:
                self.feeds[point] = way
            if group[0][0] == 0:
                b.do(verbs.edit(b.home, points[1], loads=(Load(what="fridge-freezer", if_off="spoils"),)))
                b.do(verbs.edit(b.home, points[0], loads=(Load(what="router", if_off="resets"),)))
            stops = [way, *points]
            if plan.boiler and group[0][0] == 0:
                fused = self.point("fused unit", 0, 1, 5, fuse_a=3.0)
                boiler = self.point("boiler", 0, 1, 6, loads=(Load(what="boiler", power_w=130.0, if_off="heating"),))
                self.feeds[boiler] = way
                stops.insert(2, fused)
                self.run(End(at=fused, side="load"), boiler, "flex 0.75")
            closed = plan.sockets.startswith("ring") or plan.sockets == "two rings"
            for one, other in zip(stops, [*stops[1:], way] if closed else stops[1:], strict=False):
                self.run(one, other, cable)
            for n in range(plan.spurs if closed else 0):
                spur = self.point("socket", 0, n % 3, 7 + n, gangs=2)
                self.feeds[spur] = way
                self.run(points[n], spur, cable)
            if plan.outdoor and group[0][0] == 0:
                fused = self.point("fused unit", 0, 1, 9, fuse_a=13.0, loads=())
                b.do(verbs.edit(b.home, fused, rcd=Rcd(trips_ma=30.0, type="A")))
                outside = self.point("outdoor socket", 0, 1, 10)
                self.feeds[outside] = way
                self.run(points[2], fused, cable)
                self.run(End(at=fused, side="load"), outside, cable)

    def lights(self) -> None:
        plan, b = self.plan, self.b
        for storey in range(plan.storeys):
            way = self.device(6, "Lights" if plan.storeys == 1 else f"Lights {storey}", socket_like=False)
            before = way
            for room in range(3):
                light = self.point("light", storey, room, 3)
                switch = self.point("switch", storey, room, 4)
                b.do(verbs.edit(b.home, switch, controls=(light,)))
                self.feeds[light] = way
                self.run(before, light, "T&E 1.5/1.0")
                self.run(light, switch, "T&E 1.5/1.0", role="switch drop")
                before = light
            if plan.alarms:
                alarm = self.point("smoke alarm", storey, 0, 2)
                self.feeds[alarm] = way
                self.run(before, alarm, "T&E 1.5/1.0")
        if plan.shared_plate and plan.storeys > 1:
            switches = [p.id for p in b.home.sorted(Point) if p.kind == "switch"]
            b.do(verbs.share_plate(b.home, (switches[0], switches[3])))

    def dedicated(self) -> None:
        plan = self.plan
        for wanted, kind, rating, label, cable, watts in (
            (plan.cooker, "cooker control unit", 32, "Cooker", "T&E 6/2.5", 7000.0),
            (plan.shower, "shower", 40, "Shower", "T&E 10/4", 8500.0),
            (plan.immersion, "immersion heater", 16, "Immersion", "T&E 2.5/1.5", 3000.0),
            (plan.pv, "PV inverter", 16, "Panels", "T&E 2.5/1.5", 3600.0),
        ):
            if not wanted:
                continue
            way = self.device(rating, label, socket_like=kind == "cooker control unit")
            if kind == "PV inverter" and plan.device == "RCBO":
                # Panels get a plain breaker: whether an RCBO may be fed from both sides is a question of its own.
                self.b.do(verbs.edit(self.b.home, way, kind="MCB", rcd=None))
            point = self.point(kind, 0, 1, 8, loads=(Load(what=label.lower(), power_w=watts),))
            self.feeds[point] = way
            self.run(way, point, cable)

    def garage(self) -> None:
        b, plan = self.b, self.plan
        way = self.device(32, "Garage", socket_like=True)
        room = b.room(
            "Garage", self.storeys[0] if plan.drawn else None, (0, 8000, 3000, 13_000) if plan.drawn else None
        )
        board = b.board("B", name="Garage", source="run", room=room)
        b.run(way, End(at=board, side="supply"), cable="SWA 6 3-core", method="C")
        rcd = b.device(board, "", "RCD", 40, rcd=Rcd(trips_ma=30.0, type="A"))
        for label, rating, kind, cable in (
            ("Sockets", 16, "socket", "T&E 2.5/1.5"),
            ("Light", 6, "light", "T&E 1.5/1.0"),
        ):
            device = b.device(board, label[0], "MCB", rating, curve="B", label=label, upstream=rcd)
            if plan.drawn:
                point = b.point(kind, (self.storeys[0], 1000, 8000), gangs=2 if kind == "socket" else 1)  # type: ignore[arg-type]
            else:
                point = b.point(kind, room=room)  # type: ignore[arg-type]
            self.feeds[point] = device
            self.run(device, point, cable)

    def survey(self) -> None:
        b = self.b
        self.counted()
        visit = b.visit()
        checked = list(self.feeds)
        everything = b.round(visit)
        for point in checked:
            b.check(everything, point, "still on")
        for way in dict.fromkeys(self.feeds.values()):
            one = b.round(visit, way)
            gone = under(b.home, [way])
            for point in checked:
                b.check(one, point, "off" if self.feeds[point] in gone else "still on")
            b.do(verbs.record_event(b.home, one, "power back", at="2026-01-05T09:30:00Z"))
