"""A small drawn home to add points to: two rooms, a ring, a socket radial, lights, a full supply page."""

import itertools

from circuitmap.extension.wishes import place_on
from circuitmap.home import Home
from circuitmap.home.records import (
    Board,
    Bond,
    Details,
    Device,
    End,
    Place,
    Point,
    Rcd,
    Record,
    Room,
    Run,
    Storey,
    Supply,
    Wish,
)  # fmt: skip
from circuitmap.memo import Memo
from circuitmap.plan.elevation import faces_on
from circuitmap.plan.walls_keep import lay_walls
from circuitmap.trade import load
from circuitmap.words import Country, PointKind

TRADE = load()
WIDE, DEEP, GAP = 4000, 3500, 100


def small_home(
    *, modules: int | None = 10, country: Country = "England", rcd: bool = True, year: int = 2015,
    ring: str = "T&E 2.5/1.5", broken: bool = False, bonded: bool = True, wide: int = WIDE,
) -> Home:  # fmt: skip
    """The home; every cable measured, every count seen."""
    x1 = wide + GAP
    records: list[Record] = [
        Details(name="Number nine", country=country, built_year=year),
        Storey(id="G1", name="Ground", level=0, height_mm=2400),
        _room(1, "Kitchen", 0, wide),
        _room(2, "Lounge", x1, wide),
        Supply(
            id="E1", phases=1, earthing="TN-C-S", fuse_a=100.0, fuse_from="by distributor", main_switch_a=100.0,
            tails_mm2=25.0, earthing_mm2=16.0, ze_ohm=0.2, sources_asked=True,
            bonds=(Bond(to="gas", state="yes" if bonded else "no", mm2=10.0 if bonded else None),),
        ),
        Board(
            id="B1", letter_on_map="A", modules=modules,
            place=Place(storey="G1", x_mm=600, y_mm=DEEP, height_mm=1800, faces_deg=270.0),
        ),
        Device(id="D1", board="B1", module=0, modules=2, kind="main switch", rating_a=100.0),
        _way("D2", "1", 32.0, 2, 2, rcd=rcd),
        _way("D3", "2", 20.0, 3, 1, rcd=rcd),
        _way("D4", "3", 6.0, 4, 1, rcd=rcd),
    ]  # fmt: skip
    # The ring: round both rooms. The radial: two on the far wall. Lights: one in each room.
    places = [(1000, 0, 90.0), (3000, 0, 90.0), (x1 + 1000, 0, 90.0), (x1 + 3000, 0, 90.0), (x1 + 2000, DEEP, 270.0),
              (2500, DEEP, 270.0)]  # fmt: skip
    loop = [f"P{n + 1}" for n in range(6)]
    records += [_socket(i, place, 2) for i, place in zip(loop, places, strict=True)]
    records += [_socket("P7", (x1 + wide, 1000, 180.0), 2), _socket("P8", (x1 + wide, 2500, 180.0), 1)]
    for n, x in enumerate((wide // 2, x1 + wide // 2)):
        place = Place(storey="G1", x_mm=x, y_mm=DEEP // 2, height_mm=2400)
        records.append(Point(id=f"P{n + 9}", kind="light", place=place, cables_seen=2 - n))
    stops = [End(at="D2", leg=1), *(End(at=i) for i in loop), End(at="D2", leg=2)]
    runs = [(a, b, ring) for a, b in itertools.pairwise(stops)]
    if broken:
        del runs[3]
    runs += [(End(at="D3", leg=1), End(at="P7"), "T&E 2.5/1.5"), (End(at="P7"), End(at="P8"), "T&E 2.5/1.5")]
    runs += [(End(at="D4", leg=1), End(at="P9"), "T&E 1.5/1.0"), (End(at="P9"), End(at="P10"), "T&E 1.5/1.0")]
    records += [
        Run(id=f"R{n + 1}", a=a, b=b, cable=cable, method="C", length_mm=5000, length_from="measured", evidence="seen",
            colours="new")
        for n, (a, b, cable) in enumerate(runs)
    ]  # fmt: skip
    home = Home.of(records)
    return home.apply(lay_walls(home, "G1", TRADE))


def wish(
    home: Home, room: str, side: int, u: float, v: float = 450, kind: PointKind = "socket", gangs: int = 2
) -> Wish:
    """A wish on a side of a room: 0 the upper one on the plan, then clockwise."""
    faces = [face for face in faces_on(home, Memo(), TRADE, "G1") if face.room == room]
    return Wish(act="add", kind=kind, gangs=gangs, place=place_on(faces[side], u, v))


def _room(number: int, name: str, x: int, wide: int) -> Room:
    outline = ((x, 0), (x + wide, 0), (x + wide, DEEP), (x, DEEP))
    return Room(id=f"M{number}", name=name, storey="G1", outline_mm=outline)


def _way(device: str, way: str, rating: float, module: int, cables: int, *, rcd: bool) -> Device:
    part = Rcd(trips_ma=30.0, type="A") if rcd else None
    return Device(
        id=device, board="B1", way=way, module=module, kind="RCBO" if rcd else "MCB", rating_a=rating, curve="B",
        upstream="D1", rcd=part, cables_seen=cables,
    )  # fmt: skip


def _socket(point: str, at: tuple[int, int, float], cables: int) -> Point:
    x, y, faces = at
    place = Place(storey="G1", x_mm=x, y_mm=y, height_mm=450, faces_deg=faces)
    return Point(id=point, kind="socket", gangs=2, place=place, cables_seen=cables)
