"""The older terrace: two sockets ways with one label, a broken ring, a store on a spur, a scorched socket."""

from collections.abc import Mapping
from pathlib import Path

from msgspec.structs import replace

from circuitmap.home import Home, verbs
from circuitmap.home.assets import Asset, hash_of
from circuitmap.home.exchange import MarkedHome
from circuitmap.home.records import Device, Note, Point, Rcd, Run
from circuitmap.plan import place_of
from tests.samples.hand import Hand, door, load, window
from tests.samples.made import Made
from tests.samples.meter import Meter
from tests.samples.picture import Extra, bring_in
from tests.samples.visit import Visit

Ids = dict[str, str]
PICTURED = (
    Extra("G1", "worktop", (2000, 0, 5600, 560)),
    Extra("G1", "worktop", (5040, 560, 5600, 2950)),
    Extra("G1", "worktop", (2000, 560, 2560, 2250)),
    Extra("G1", "worktop", (0, 400, 600, 2000)),
    Extra("G2", "hatch", (640, 2500, 1240, 3100)),
    Extra("G2", "wc", (850, 9420, 1210, 8760)),
)
RING, LIGHT, LINK = "T&E 2.5/1.5", "T&E 1.0/1.0", "3C&E 1.0"


def make(stored: Mapping[str, str] | None = None) -> Made:
    """Make the home: drawn, wired, surveyed on one day, opened up on the next."""
    hand = Hand(
        "9 Tanner's Row",
        address="9 Tanner's Row, Eddlebridge",
        tenure="owner-occupied",
        country="England",
        built_year=1904,
        turned=True,
        choices=(("front side", "right"),),
    )
    rooms = _building(hand)
    assets = bring_in(hand, stored, [extra._replace(box=hand.box(*extra.box)) for extra in PICTURED])
    ways = _board(hand, rooms)
    points = {**_downstairs(hand, rooms), **_upstairs(hand, rooms)}
    _rear_ring(hand, ways, points)
    _front_ring(hand, ways, points)
    _own_ways(hand, ways, points)
    _lights_down(hand, ways, points)
    _lights_up(hand, ways, points)
    hand.count_cables()
    _visits(hand, rooms, ways, points)
    _readings(hand, rooms, ways, points)
    _put_right(hand, points)
    marks = (
        MarkedHome("as found", "2025-10-14T16:30:00Z", as_found(hand.home, ways, points)),
        MarkedHome("as left", "2025-10-16T16:45:00Z", hand.home),
    )
    return Made(hand.home, {**assets, **_photographs()}, marks)


def _photographs() -> dict[str, Asset]:
    data = (Path(__file__).parent / "dryer-socket.jpg").read_bytes()
    return {hash_of(data): ("image/jpeg", data)}


def _put_right(hand: Hand, points: Ids) -> None:
    """What was mended before anybody left: a plate that had come off the wall."""
    text = "The plate had come away from its box; its screws were tightened, nothing else was touched."
    note = hand.note(points["lounge 1"], "V1", "loose accessory", text=text)
    hand.do(verbs.clear(hand.home, note, "V3"))


def as_found(left: Home, ways: Ids, points: Ids) -> Home:
    """Give the home as it was drawn on the evening of the first day, before a box was opened or anything read.

    The programmer behind the boiler hadn't been found, the immersion heater's cable was thought to have a joint under
    the landing, its way had no label, and the loose plate was still loose.
    """
    hand = Hand("")
    hand.home = left
    later = [note.id for note in left.sorted(Note) if note.visit == "V2"]
    hand.do(verbs.remove(hand.home, "V2", "V3", *later))
    loose = next(note for note in hand.home.sorted(Note) if "loose accessory" in note.seen)
    hand.set(loose.id, cleared=None)
    hand.do(verbs.remove(hand.home, points["programmer"]))
    hand.do(verbs.join(hand.home, hand.load_of(points["boiler unit"]), points["boiler"], cable="flex 0.75"))
    cable = next(
        run for run in hand.home.sorted(Run) if {run.a.at, run.b.at} == {ways["Immersion"], points["immersion sw"]}
    )
    place = place_of(hand.home, hand.home.take(Point, points["landing light"]))
    assert place is not None
    joint = hand.do(verbs.add_point(hand.home, "junction box", replace(place, y_mm=place.y_mm + 400)))
    hand.do(verbs.split(hand.home, cable.id, joint))
    for run in hand.home.sorted(Run):
        if joint in (run.a.at, run.b.at):
            hand.set(run.id, evidence="assumed")
    hand.set(ways["Immersion"], label="")
    return hand.home


def _building(hand: Hand) -> Ids:
    ground = hand.storey("Ground floor", 0, 2500)
    first = hand.storey("First floor", 1, 2450)
    hand.supply(
        {"gas": ("yes", 10.0), "water": ("yes", 10.0)},
        earthing="TN-C-S",
        fuse_a=80.0,
        fuse_from="as labelled on the cut-out",
        main_switch_a=100.0,
        tails_mm2=25.0,
        earthing_mm2=16.0,
        ze_ohm=0.24,
        pfc_ka=0.98,
        spd="no",
    )
    for storey in (ground, first):
        hand.wall(storey, (-125, -250), (-125, 9670), 250, "brick")
        hand.wall(storey, (5725, -250), (5725, 9670), 250, "brick")
    hand.wall(ground, (-250, -125), (5850, -125), 250, "brick", door(1150, 800), window(3150, 1800))
    hand.wall(ground, (5850, 9545), (-250, 9545), 250, "brick", window(1150, 1800), door(4450, 900))
    hand.wall(ground, (1940, 9420), (1940, 0), 120, "brick", door(3220, 800), door(5520, 800))
    hand.wall(ground, (2000, 5060), (5600, 5060), 120, "brick")
    hand.wall(ground, (1880, 2360), (0, 2360), 120, "brick", door(170, 760))
    hand.wall(ground, (940, 6180), (940, 4220), 80, "stud", door(320, 660))
    hand.wall(ground, (0, 4260), (940, 4260), 80, "stud")
    hand.wall(ground, (0, 6140), (940, 6140), 80, "stud")
    hand.wall(ground, (3075, -1188), (5725, -1188), 225, "brick", door(425, 800))
    hand.wall(ground, (3075, -3012), (5725, -3012), 225, "brick")
    hand.wall(ground, (3188, -3125), (3188, -1075), 225, "brick", window(900, 600, 1200))
    hand.wall(ground, (5612, -3125), (5612, -1075), 225, "brick")

    hand.wall(first, (-250, -125), (5850, -125), 250, "brick", window(3350, 1500))
    hand.wall(first, (5850, 9545), (-250, 9545), 250, "brick", window(1150, 1800), window(4450, 900))
    hand.wall(first, (1940, 9420), (1940, 0), 120, "brick", door(3360, 760), door(5660, 760), door(7040, 740))
    hand.wall(first, (2000, 5060), (5600, 5060), 120, "brick")
    hand.wall(first, (2000, 2460), (5600, 2460), 120, "stud")
    hand.wall(first, (0, 1560), (1880, 1560), 120, "stud", door(600, 660))
    hand.wall(first, (0, 7340), (1880, 7340), 120, "stud", door(1000, 700))

    hand.fixture(ground, "stair", (0, 6180), (900, 8000))
    hand.fixture(ground, "chimney", (5250, 6700), (5600, 8000))
    hand.fixture(ground, "sink", (3300, 0), (4300, 520))
    hand.fixture(ground, "hob", (5050, 1780), (5600, 2320))
    hand.fixture(first, "stair", (0, 5240), (900, 7280))
    hand.fixture(first, "chimney", (5250, 6700), (5600, 8000))
    hand.fixture(first, "bath", (0, 7720), (720, 9420))
    hand.fixture(first, "basin", (1330, 8900), (1880, 9300))
    around = [(0, 2420), (1880, 2420), (1880, 9420), (0, 9420), (0, 6180), (980, 6180), (980, 4220), (0, 4220)]
    return {
        "hall": hand.room(ground, "Hall", around, "hall"),
        "stairs": hand.room(ground, "Understairs", ((0, 4300), (900, 6100)), "cupboard"),
        "lounge": hand.room(ground, "Lounge", ((2000, 5120), (5600, 9420)), "living"),
        "kitchen": hand.room(ground, "Kitchen", ((2000, 0), (5600, 5000)), "kitchen"),
        "utility": hand.room(ground, "Utility", ((0, 0), (1880, 2300)), "utility"),
        "store": hand.room(ground, "Garden store", ((3300, -2900), (5500, -1300)), "outbuilding"),
        "yard": hand.room(ground, "Yard", (), "outdoors"),
        "landing": hand.room(first, "Landing", ((0, 1620), (1880, 7280)), "landing"),
        "bed 1": hand.room(first, "Bedroom 1", ((2000, 5120), (5600, 9420)), "bedroom"),
        "bed 2": hand.room(first, "Bedroom 2", ((2000, 2520), (5600, 5000)), "bedroom"),
        "bed 3": hand.room(first, "Bedroom 3", ((2000, 0), (5600, 2400)), "bedroom"),
        "bath": hand.room(first, "Bathroom", ((0, 7400), (1880, 9420)), "bathroom"),
        "cylinder": hand.room(first, "Cylinder cupboard", ((0, 0), (1880, 1500)), "cupboard"),
    }


def _board(hand: Hand, rooms: Ids) -> Ids:
    board = hand.board("A", "Consumer unit", hand.on(rooms["stairs"], 0, 5000, 1700), modules=14, material="plastic")
    main = hand.device(board, "", "main switch", 100, "Main switch", modules=2, poles=2)
    ways: Ids = {"main": main}
    for way, label, rating in (("1", "Shower", 40), ("2", "Lights up", 6), ("3", "Lights down", 6)):
        ways[label] = hand.device(board, way, "MCB", rating, label, "B", main)
    rcd = hand.device(board, "", "RCD", 63, "RCD", upstream=main, rcd=Rcd(trips_ma=30.0, type="AC"), modules=2, poles=2)
    ways["RCD"] = rcd
    for way, name, label, rating in (
        ("4", "rear", "Sockets", 32),
        ("5", "front", "Sockets", 32),
        ("6", "Cooker", "Cooker", 32),
        ("7", "Immersion", "Immersion", 16),
    ):
        ways[name] = hand.device(board, way, "MCB", rating, label, "B", rcd)
    return ways


def _downstairs(hand: Hand, rooms: Ids) -> Ids:
    p: Ids = {}
    hall, lounge, kitchen, utility, store = (rooms[r] for r in ("hall", "lounge", "kitchen", "utility", "store"))

    def twin(room: str, x: int, y: int, high: int = 450, *loads: object, name: str = "") -> str:
        return hand.point("socket", hand.on(room, x, y, high), name, *loads, gangs=2, switched=True)  # type: ignore[arg-type]

    p["hall light"] = hand.point("ceiling rose", hand.over(hall, 1430, 6900))
    p["hall alarm"] = hand.point("smoke alarm", hand.over(hall, 1430, 8150))
    p["hall sw"], p["landing sw below"] = hand.plate(hand.on(hall, 1880, 8750, 1200), "switch", "switch")
    p["hall twin"] = twin(hall, 0, 8650, 450, load("router and telephone", "phone", 15))
    p["stairs light"] = hand.point("light", hand.over(rooms["stairs"], 450, 5150, 2100))
    p["stairs sw"] = hand.point("switch", hand.on(rooms["stairs"], 900, 4900, 1200))

    p["lounge light"] = hand.point("ceiling rose", hand.over(lounge, 3800, 7270))
    p["lounge sw"] = hand.point("switch", hand.on(lounge, 2000, 6400, 1200))
    p["lounge 1"] = twin(lounge, 2000, 8900)
    television = load("television", "resets", 120)
    p["lounge 2"] = twin(lounge, 5600, 6300, 450, television, name="Twin socket left of the fireplace")
    p["lounge 3"] = twin(lounge, 5600, 8450, name="Twin socket right of the fireplace")
    p["lounge 4"] = twin(lounge, 3000, 5120)

    p["kitchen light"] = hand.point("light", hand.over(kitchen, 3800, 1300))
    p["dining light"] = hand.point("ceiling rose", hand.over(kitchen, 3800, 3900))
    p["kitchen sw"], p["dining sw"] = hand.plate(hand.on(kitchen, 2000, 4150, 1200), "switch", "switch")
    p["heat alarm"] = hand.point("heat alarm", hand.over(kitchen, 3000, 2500))
    p["worktop 1"] = twin(kitchen, 2000, 1100, 1100, load("kettle", power_w=2900))
    p["worktop 2"] = twin(kitchen, 5000, 0, 1100)
    p["worktop 3"] = twin(kitchen, 5600, 1300, 1100, load("microwave", power_w=1200))
    p["worktop 4"] = twin(kitchen, 5600, 2650, 1100)
    p["fridge"] = hand.point("socket", hand.on(kitchen, 2000, 1900, 600), "", load("fridge-freezer", "spoils", 150))
    p["dish unit"] = hand.point("fused unit", hand.on(kitchen, 5600, 700, 1100), "Dishwasher switch", fuse_a=13.0)
    p["dish"] = hand.point(
        "appliance outlet", hand.on(kitchen, 5600, 450, 400), "", load("dishwasher", "resets", 2100), void="ceiling"
    )
    p["boiler unit"] = hand.point("fused unit", hand.on(kitchen, 2450, 0, 1500), "Boiler switch", fuse_a=3.0)
    p["boiler"] = hand.point("boiler", hand.on(kitchen, 2000, 350, 1600), "", load("gas boiler", "heating", 140))
    p["programmer"] = hand.point("heating control", hand.on(kitchen, 2000, 700, 1500), "Heating programmer")
    p["cooker sw"] = hand.point("double-pole switch", hand.on(kitchen, 5600, 1650, 1100), "Cooker switch")
    p["cooker"] = hand.point(
        "cooker connection unit", hand.on(kitchen, 5600, 2050, 450), "", load("cooker", power_w=8600), void="ceiling"
    )
    p["dining 1"] = twin(kitchen, 5600, 3240)
    p["dining 2"] = twin(kitchen, 2700, 5000)

    p["utility light"] = hand.point("light", hand.over(utility, 940, 1150))
    p["utility sw"], p["yard sw"] = hand.plate(hand.on(utility, 1880, 2050, 1200), "switch", "switch")
    p["utility 1"] = twin(utility, 0, 650, 1100, load("tumble dryer", power_w=2400), name="Dryer socket")
    p["utility 2"] = twin(utility, 0, 1600, 1100, load("washing machine", "resets", 2200))
    face = hand.over(rooms["hall"], 1850, -250, 2000)
    p["yard light"] = hand.point("outdoor light", face, "Back door light", room=rooms["yard"], outdoor=True)

    p["store feed"] = hand.point("outbuilding feed", hand.on(store, 5500, -1700, 1200), "Garden store switch")
    p["store twin"] = twin(store, 5500, -2350, 1000)
    p["store freezer"] = hand.point(
        "socket", hand.on(store, 4000, -2900, 1000), "", load("chest freezer", "spoils", 120)
    )
    p["store light"] = hand.point("light", hand.over(store, 4400, -2100, 2200))
    p["store sw"] = hand.point("switch", hand.on(store, 3300, -1500, 1200))
    return p


def _upstairs(hand: Hand, rooms: Ids) -> Ids:
    p: Ids = {}

    def twin(room: str, x: int, y: int, *loads: object) -> str:
        return hand.point("socket", hand.on(rooms[room], x, y), "", *loads, gangs=2, switched=True)  # type: ignore[arg-type]

    p["landing light"] = hand.point("ceiling rose", hand.over(rooms["landing"], 1400, 3900))
    p["landing alarm"] = hand.point("smoke alarm", hand.over(rooms["landing"], 1400, 5000))
    p["landing sw"] = hand.point("switch", hand.on(rooms["landing"], 1880, 6300, 1200))
    p["landing twin"] = twin("landing", 1880, 2750)
    for name, room, x, y, switch_y in (
        ("bed 1", "bed 1", 3800, 7270, 6400),
        ("bed 2", "bed 2", 3800, 3760, 4000),
        ("bed 3", "bed 3", 3800, 1200, 1350),
    ):
        p[f"{name} light"] = hand.point("ceiling rose", hand.over(rooms[room], x, y))
        p[f"{name} sw"] = hand.point("switch", hand.on(rooms[room], 2000, switch_y, 1200))
    p["bed 1a"], p["bed 1b"] = twin("bed 1", 2000, 8500), twin("bed 1", 5600, 8700)
    p["bed 1c"], p["bed 1d"] = twin("bed 1", 5600, 5900), twin("bed 1", 3000, 5120)
    p["bed 2a"] = twin("bed 2", 5600, 3000, load("desk computer", "lost work", 300))
    p["bed 2b"], p["bed 2c"] = twin("bed 2", 5600, 4500), twin("bed 2", 2400, 2520)
    p["bed 3a"] = twin("bed 3", 5600, 600)
    p["bed 3b"] = hand.point("socket", hand.on(rooms["bed 3"], 5600, 1800), switched=True)
    p["bath light"] = hand.point("light", hand.over(rooms["bath"], 1100, 8350))
    p["bath cord"] = hand.point("switch", hand.over(rooms["bath"], 1500, 7700))
    p["fan"] = hand.point("extractor fan", hand.on(rooms["bath"], 1000, 9420, 2100))
    p["shower cord"] = hand.point("double-pole switch", hand.over(rooms["bath"], 850, 7700), "Shower cord switch")
    p["shower"] = hand.point(
        "shower", hand.on(rooms["bath"], 0, 8000, 1200), "", load("electric shower", power_w=8500), void="ceiling"
    )
    p["immersion sw"] = hand.point(
        "double-pole switch", hand.on(rooms["cylinder"], 1880, 700, 1200), "Immersion switch"
    )
    heater = load("immersion heater", "heating", 3000, 120)
    p["immersion"] = hand.point("immersion heater", hand.over(rooms["cylinder"], 550, 700, 1000), "", heater)
    return p


def _rear_ring(hand: Hand, ways: Ids, p: Ids) -> None:
    """Kitchen and the bedrooms above it; a legal spur in bedroom 3, and the store on another."""
    old = ("rear", "dining 2", "dining 1")
    hand.chain(ways[old[0]], p["dining 2"], p["dining 1"], p["worktop 4"], code=RING, colours="old")
    hand.chain(p["worktop 4"], p["worktop 3"], p["dish unit"], p["worktop 2"], code=RING, colours="new")
    hand.chain(
        p["worktop 2"], p["bed 3a"], p["bed 2a"], p["bed 2b"], p["bed 2c"], p["fridge"], code=RING, colours="old"
    )
    hand.chain(p["fridge"], p["worktop 1"], p["boiler unit"], code=RING, colours="new")
    hand.cable(p["boiler unit"], ways["rear"], RING, "old", evidence="seen")
    hand.cable(hand.load_of(p["dish unit"]), p["dish"], RING, "new")
    hand.cable(hand.load_of(p["boiler unit"]), p["programmer"], "flex 1.0", "new", "")
    hand.cable(p["programmer"], p["boiler"], "flex 0.75", "new", "")
    hand.cable(p["bed 3a"], p["bed 3b"], RING, "new")
    hand.cable(p["worktop 2"], p["store feed"], RING, "new")
    hand.chain(p["store feed"], p["store twin"], p["store freezer"], code=RING, colours="new")
    hand.cable(p["store feed"], p["store light"], "T&E 1.5/1.0", "new")
    hand.drop(p["store light"], p["store sw"], "T&E 1.5/1.0", "new")
    hand.works(p["store sw"], p["store light"])


def _front_ring(hand: Hand, ways: Ids, p: Ids) -> None:
    """Front rooms of both floors and the utility: once a ring, cut when the socket by the fireplace was taken out."""
    hand.chain(
        ways["front"], p["hall twin"], p["landing twin"], p["bed 1d"], p["bed 1c"], p["bed 1b"], p["bed 1a"],
        p["lounge 1"], p["lounge 3"], code=RING, colours="old",
    )  # fmt: skip
    hand.chain(ways["front"], p["utility 2"], p["utility 1"], p["lounge 4"], p["lounge 2"], code=RING, colours="old")


def _own_ways(hand: Hand, ways: Ids, p: Ids) -> None:
    hand.cable(ways["Shower"], p["shower cord"], "T&E 10/4", "new")
    hand.cable(hand.load_of(p["shower cord"]), p["shower"], "T&E 10/4", "new")
    hand.cable(ways["Cooker"], p["cooker sw"], "T&E 6/2.5", "old")
    hand.cable(hand.load_of(p["cooker sw"]), p["cooker"], "T&E 6/2.5", "new")
    hand.cable(ways["Immersion"], p["immersion sw"], RING, "old")
    hand.cable(hand.load_of(p["immersion sw"]), p["immersion"], "flex 1.5", "old", "")


def _lights_down(hand: Hand, ways: Ids, p: Ids) -> None:
    hand.chain(
        ways["Lights down"], p["stairs light"], p["hall light"], p["lounge light"], p["dining light"],
        p["kitchen light"], p["utility light"], code=LIGHT, colours="old", method="100",
    )  # fmt: skip
    hand.cable(p["hall light"], p["hall alarm"], LIGHT, "new", "100")
    hand.chain(p["hall alarm"], p["heat alarm"], p["landing alarm"], code=LINK, colours="new", method="100")
    hand.cable(p["utility light"], p["yard sw"], LIGHT, "new", "100")
    hand.cable(p["yard sw"], p["yard light"], LIGHT, "new", "C", role="switched")
    for light, switch in (
        ("stairs light", "stairs sw"),
        ("hall light", "hall sw"),
        ("lounge light", "lounge sw"),
        ("kitchen light", "kitchen sw"),
        ("dining light", "dining sw"),
        ("utility light", "utility sw"),
    ):
        hand.drop(p[light], p[switch])
        hand.works(p[switch], p[light])
    hand.works(p["yard sw"], p["yard light"])


def _lights_up(hand: Hand, ways: Ids, p: Ids) -> None:
    hand.chain(
        ways["Lights up"],
        p["landing light"],
        p["bed 2 light"],
        p["bed 3 light"],
        code=LIGHT,
        colours="old",
        method="100",
    )
    hand.cable(p["landing light"], p["bed 1 light"], LIGHT, "old", "100")
    hand.cable(p["bed 1 light"], p["bath light"], LIGHT, "old", "100")
    hand.cable(p["bath light"], p["fan"], LINK, "new", "100", role="switched")
    for light, switch in (
        ("bed 1 light", "bed 1 sw"),
        ("bed 2 light", "bed 2 sw"),
        ("bed 3 light", "bed 3 sw"),
        ("bath light", "bath cord"),
    ):
        hand.drop(p[light], p[switch])
        hand.works(p[switch], p[light], switching="cord" if switch == "bath cord" else "one way")
    hand.set(p["bath cord"], controls=(p["bath light"], p["fan"]))
    hand.drop(p["landing light"], p["landing sw"])
    hand.cable(p["landing sw"], p["landing sw below"], LINK, "old", "100", role="strappers")
    for switch in ("landing sw", "landing sw below"):
        hand.works(p[switch], p["landing light"], switching="two way")


def _visits(hand: Hand, rooms: Ids, ways: Ids, p: Ids) -> None:
    survey = Visit(hand, "2025-10-14", "08:40", "R. Okonjo")
    survey.look()
    survey.look(ways["main"])
    survey.look(ways["Shower"], ways["rear"], ways["Lights down"], lamp=[p["bed 1 light"]])
    survey.look(ways["Cooker"], ways["rear"], ways["Lights up"], lamp=[p["hall light"]])
    survey.look(ways["Immersion"], ways["front"], ways["Lights down"], lamp=[p["bed 1 light"]])
    survey.look(ways["front"], ways["Lights up"], lamp=[p["hall light"]])
    inside = Visit(hand, "2025-10-15", "08:05", "R. Okonjo")
    inside.open_up((ways["main"],))
    text = "Left-hand outlet browned round the line pin, smell of burning remembered by the occupier. Dryer unplugged."
    note = hand.note(p["utility 1"], inside.id, "scorched", text=text)
    hand.set(note, photos=tuple(_photographs()))
    hand.note(
        p["worktop 2"],
        inside.id,
        text="Third cable goes out through the rear wall, under the yard gravel in garden hose, to the store.",
    )
    hand.note(
        rooms["lounge"],
        inside.id,
        text="Fireplace socket gone, chimney breast plastered over; the sockets on both sides hold one cable each.",
    )
    hand.note(
        rooms["landing"], inside.id, text="Loft hatch over the landing. Lights are looped above the ceiling there."
    )
    inside.limit(
        rooms["landing"], "Loft looked into from the hatch only: no boarding, insulation over the joists.", "occupier"
    )
    inside.limit("home", "Cut-out and meter are the network's and were not opened.", "occupier")
    inside.limit(rooms["yard"], "The cable between house and store was seen at both ends only, not dug up.", "occupier")


def _readings(hand: Hand, rooms: Ids, ways: Ids, p: Ids) -> None:
    """The rear ring read whole, the front one found open, the insulation of every way, some loops, the RCD.

    Not on the map: a loose neutral at a bedroom socket, and damp in the cable that goes to the store.
    """
    meter = Meter(hand, "2025-10-16", "08:10", "R. Okonjo", "before work", seed=11)
    rear, front, board = ways["rear"], ways["front"], hand.home.take(Device, ways["rear"]).board
    store = next(run.id for run in hand.home.sorted(Run) if {run.a.at, run.b.at} == {p["worktop 2"], p["store feed"]})
    meter.plant(
        rear,
        f"bad joint of 0.42 ohm on the line at {p['bed 2a']} towards {p['bed 2b']}",
        f"low insulation of 0.7 megohm between line and cpc along {store} at 60 %",
        f"low insulation of 1.3 megohm between neutral and cpc along {store} at 60 %",
    )
    meter.prove_dead((board, *meter.reached(rear)), (ways["main"],))
    meter.dead(rear, "ends", "cross-N", "cross-E", "one-leg")
    meter.polarity(rear)
    meter.dead(front, "ends", "one-leg")
    for way in ("Shower", "Lights up", "Lights down", "Cooker", "Immersion"):
        meter.dead(ways[way], "insulation")
    meter.dead(rear, "insulation", apart=(p["programmer"], p["boiler"]))
    meter.dead(front, "insulation")
    meter.supply(board, 0.24, 238, "0.98")
    meter.loops(rear, 0.24, p["dining 1"], p["bed 2a"], p["store freezer"])
    meter.loops(front, 0.24, p["lounge 3"], p["lounge 2"])
    meter.loops(ways["Cooker"], 0.24, p["cooker"])
    meter.loops(ways["Shower"], 0.24, p["shower"])
    meter.trips(rear, ">2000", "24.6", "31.2", "11.8", "17.4")
