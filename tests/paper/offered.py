"""An offer of two twins and a fused unit, priced by the demonstration's book; all of it invented."""

import datetime

import msgspec

from circuitmap.extension.kinds import Fit, Option, Papers
from circuitmap.extension.pathing import route
from circuitmap.extension.price import price
from circuitmap.extension.space import space_of
from circuitmap.extension.spots import spot_of
from circuitmap.extension.takeoff import Fitting, Job, Length, Remedy, Work, takeoff
from circuitmap.home import Change, Home
from circuitmap.home.records import Board, Extension, Place, Point, Wish
from circuitmap.memo import Memo
from circuitmap.paper import Offer, offer_of
from tests.drawing.walls_seen import MARKED, kitchen
from tests.extension.priced import demo
from tests.extension.routed import TRADE, costs

DAY = datetime.date(2026, 1, 5)
LEGS = (("P1", "P3"), ("P3", "P4"), ("B1", "P5"))
EXTENSION = Extension(
    id="X1",
    name="More sockets",
    wishes=tuple(
        Wish(act="add", kind="socket", gangs=2, place=Place(storey="G1", x_mm=x, y_mm=0, height_mm=1100))
        for x in (1500, 1800)
    ),
)
FIT = (
    Fit(subject="supply", answer="yes", says="The supply carries it.", source="common practice, no source"),
    Fit(
        subject="bonding", answer="can't judge", says="Bonding of the gas pipe was not seen.",
        source="common practice, no source",
    ),
)  # fmt: skip


def named(name: str, address: str = "") -> Home:
    home = kitchen()
    details = home.details

    changed = msgspec.structs.replace(details, name=name, address=address)
    rest = [each for each in home.all() if each.id != "home"]
    return Home.of([changed, *rest])


def planned(home: Home, *points: str) -> Change:
    return Change("Plan them", tuple((None, home.take(Point, each)) for each in points))


def option(home: Home, *, priced: bool = True, failed: tuple[str, ...] = ()) -> Option:
    space = space_of(home, Memo(), TRADE, costs())
    routes = []
    for leg in LEGS:
        a, b = (home.take(Board, r) if r.startswith("B") else home.take(Point, r) for r in leg)
        routes.append(route(space, spot_of(home, TRADE, a), spot_of(home, TRADE, b), alternatives=1)[0])
    where = space.where["M1/0"]
    work = Work(
        parts=tuple(part for each in routes for part in each.parts),
        fittings=(
            Fitting(what="socket", name="twin P1", act="join", build="brick", gangs=2, where=where),
            *(Fitting(what="socket", name=f"twin {n}", build="brick", gangs=2, where=where) for n in (1, 2)),
            Fitting(what="fused unit", name="fused unit 3", build="brick", where=where, behind="unit"),
        ),
        lengths=tuple(
            Length(cable="T&E 2.5/1.5", metres=each.length_mm / 1000, name=f"cable {n}")
            for n, each in enumerate(routes, 1)
        ),
        remedies=(Remedy(what="bonding", why="bonding of the gas pipe, if it is missing", optional=True),),
    )
    job = Job()
    taken = takeoff(work, demo(), job)
    return Option(
        kind="ring opened",
        key="ring A1",
        title="Into the ring, between two of its points",
        way="A1 Sockets",
        wishes=(0, 1),
        change=planned(home, *MARKED),
        routes=tuple(routes),
        points=MARKED,
        length_mm=sum(each.length_mm for each in routes),
        cable="T&E 2.5/1.5",
        papers=Papers(certificate="minor works", notify="no", says="Such work is usually not notified in England.",
                      source="Building Regulations 2010, from memory"),
        work=work,
        job=job,
        taken=taken if priced else None,
        priced=price(taken, demo(), job, draws=200) if priced else None,
        failed=failed,
        cautions=("Look for cables and pipes before cutting.",),
        assumes=("The ring is whole.",),
    )  # fmt: skip


def offer(name: str = "Sample house", address: str = "1 Invented Lane") -> Offer:
    home = named(name, address)
    return offer_of(home, EXTENSION, [option(home)], demo(), TRADE, Memo(), fit=FIT, day=DAY, number="12")
