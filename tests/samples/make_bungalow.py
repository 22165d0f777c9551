"""The bungalow with an earth electrode: old lighting without a cpc, a spur off a spur, an oil line not bonded."""

from collections.abc import Mapping

from circuitmap.home.records import Arrangement, Device, Opening, Rcd
from tests.samples.hand import Hand, door, load, window
from tests.samples.made import Made
from tests.samples.meter import Meter
from tests.samples.picture import Extra, bring_in
from tests.samples.visit import Visit

Ids = dict[str, str]
RING, LIGHT, BARE, LINK = "T&E 2.5/1.5", "T&E 1.0/1.0", "T 1.0 no cpc", "3C&E 1.0"
PICTURED = (
    Extra("G1", "worktop", (0, 0, 3600, 600)),
    Extra("G1", "worktop", (0, 600, 600, 3000)),
    Extra("G1", "worktop", (3000, 600, 3600, 2600)),
    Extra("G1", "wc", (3720, 1900, 4400, 2260)),
)


def make(stored: Mapping[str, str] | None = None) -> Made:
    """Make the home: drawn, wired, surveyed in one day, opened up on the next."""
    hand = Hand(
        "Sallow End",
        address="Sallow End, Drove Lane, Marrowby",
        tenure="owner-occupied",
        country="England",
        built_year=1964,
        choices=(("front side", "bottom"),),
    )
    rooms = _building(hand)
    assets = bring_in(hand, stored, PICTURED)
    ways = _boards(hand, rooms)
    points = {**_living_side(hand, rooms), **_sleeping_side(hand, rooms), **_garage(hand, rooms)}
    _rings(hand, ways, points)
    _own_ways(hand, ways, points)
    _lights(hand, ways, points)
    _garage_cables(hand, ways, points)
    hand.count_cables()
    _visits(hand, rooms, ways, points)
    _readings(hand, ways, points)
    return Made(hand.home, assets)


def _building(hand: Hand) -> Ids:
    g = hand.storey("Ground floor", 0, 2400)
    hand.supply(
        {"water": ("yes", 10.0), "oil line": ("no", None)},
        earthing="TT",
        fuse_a=80.0,
        fuse_from="as labelled on the cut-out",
        main_switch_a=100.0,
        tails_mm2=25.0,
        earthing_mm2=16.0,
        ze_ohm=62.0,
        spd="no",
    )
    rear = (window(1180, 1800), window(4680, 800, 1300), window(7080, 1600), window(9980, 1300))
    hand.wall(g, (-280, -140), (11880, -140), 280, "brick", *rear)
    hand.wall(g, (11880, 8540), (-280, 8540), 280, "brick", window(1280, 2400), door(5280, 900), window(7880, 2800))
    hand.wall(g, (-140, 8680), (-140, -280), 280, "brick", door(4180, 800))
    hand.wall(g, (11740, -280), (11740, 8680), 280, "brick")
    doors = (door(1540, 760), door(3640, 760), door(6700, 700))
    hand.wall(g, (11600, 3660), (3600, 3660), 120, "block", *doors)
    hand.wall(g, (3660, 0), (3660, 4940), 120, "block", door(3900, 760))
    hand.wall(g, (5960, 0), (5960, 3600), 120, "block")
    hand.wall(g, (9060, 0), (9060, 3600), 120, "block")
    hand.wall(g, (0, 4880), (5320, 4880), 120, "block")
    hand.wall(g, (7000, 4880), (11600, 4880), 120, "block", door(500, 760))
    hand.wall(g, (5260, 4940), (5260, 8400), 120, "block", door(360, 760))
    hand.wall(g, (7060, 4820), (7060, 8400), 120, "block")
    hand.wall(g, (10350, 3720), (10350, 4820), 100, "stud", door(180, 700))
    shutter = Opening(kind="roller shutter", along_mm=525, width_mm=2400, head_mm=2100)
    hand.wall(g, (13075, 2488), (16525, 2488), 225, "block")
    hand.wall(g, (16525, 8312), (13075, 8312), 225, "block", shutter)
    hand.wall(g, (13188, 8424), (13188, 2376), 225, "block", door(4224, 800))
    hand.wall(g, (16412, 2376), (16412, 8424), 225, "block", window(2200, 1200, 1200))
    hand.fixture(g, "sink", (1300, 0), (2300, 520))
    hand.fixture(g, "hob", (3040, 1200), (3600, 1760))
    hand.fixture(g, "bath", (3720, 0), (5420, 720))
    hand.fixture(g, "basin", (5450, 1700), (5900, 2200))
    hand.fixture(g, "chimney", (0, 6100), (420, 7300))
    hall = [(3720, 3720), (10300, 3720), (10300, 4820), (7000, 4820), (7000, 8400), (5320, 8400), (5320, 4820)]
    hall.append((3720, 4820))
    return {
        "hall": hand.room(g, "Hall", hall, "hall"),
        "kitchen": hand.room(g, "Kitchen", ((0, 0), (3600, 4820)), "kitchen"),
        "bath": hand.room(g, "Bathroom", ((3720, 0), (5900, 3600)), "bathroom"),
        "bed 2": hand.room(g, "Bedroom 2", ((6020, 0), (9000, 3600)), "bedroom"),
        "study": hand.room(g, "Study", ((9120, 0), (11600, 3600)), "study"),
        "cupboard": hand.room(g, "Cupboard", ((10400, 3720), (11600, 4820)), "cupboard"),
        "lounge": hand.room(g, "Lounge", ((0, 4940), (5200, 8400)), "living"),
        "bed 1": hand.room(g, "Bedroom 1", ((7120, 4940), (11600, 8400)), "bedroom"),
        "garage": hand.room(g, "Garage", ((13300, 2600), (16300, 8200)), "outbuilding"),
        "garden": hand.room(g, "Garden", (), "outdoors"),
    }


def _boards(hand: Hand, rooms: Ids) -> Ids:
    place = hand.on(rooms["cupboard"], 11600, 4200, 1600)
    board = hand.board("A", "Consumer unit", place, modules=18, material="steel")
    main = hand.device(board, "", "main switch", 100, "Main switch", modules=2, poles=2)
    ways: Ids = {"main": main}

    def bank(name: str, rating: float, rcd: Rcd, *rows: tuple[str, str, str, float]) -> None:
        over = hand.device(board, "", "RCD", rating, name, upstream=main, rcd=rcd, modules=2, poles=2)
        for way, key, label, amps in rows:
            ways[key] = hand.device(board, way, "MCB", amps, label, "B", over)

    quick = Rcd(trips_ma=30.0, type="A")
    bank(
        "RCD 1",
        80,
        quick,
        ("1", "cooker", "Cooker", 32),
        ("2", "kitchen", "Sockets kitchen", 32),
        ("3", "lights", "Lights lounge, kitchen, hall", 6),
    )
    bank(
        "RCD 2",
        80,
        quick,
        ("4", "rooms", "Sockets lounge and bedrooms", 32),
        ("5", "shower", "Shower", 40),
        ("6", "alarms", "Smoke alarms", 6),
        ("7", "bed lights", "Lights bedrooms, bathroom", 6),
    )
    bank("RCD 3", 63, Rcd(trips_ma=100.0, type="A", delayed=True), ("8", "garage", "Garage", 32))
    place = hand.on(rooms["garage"], 13300, 5000, 1500)
    out = hand.board("B", "Garage board", place, source="run", modules=5, material="plastic")
    ways["board B"] = out
    over = hand.device(out, "", "RCD", 40, "RCD", rcd=quick, modules=2, poles=2)
    ways["garage sockets"] = hand.device(out, "1", "MCB", 16, "Sockets", "B", over)
    ways["garage lights"] = hand.device(out, "2", "MCB", 6, "Lights", "B", over)
    return ways


def _twin(hand: Hand, room: str, x: int, y: int, *loads: object, high: int = 450, name: str = "") -> str:
    return hand.point("socket", hand.on(room, x, y, high), name, *loads, gangs=2, switched=True)  # type: ignore[arg-type]


def _living_side(hand: Hand, rooms: Ids) -> Ids:
    p: Ids = {}
    hall, kitchen, lounge = rooms["hall"], rooms["kitchen"], rooms["lounge"]
    p["hall light"] = hand.point("ceiling rose", hand.over(hall, 8000, 4270))
    p["entrance light"] = hand.point("ceiling rose", hand.over(hall, 6160, 6800))
    p["hall sw"] = hand.point("switch", hand.on(hall, 8700, 3720, 1300))
    p["entrance sw"], p["front sw"] = hand.plate(hand.on(hall, 7000, 8000, 1300), "switch", "switch")
    p["smoke"] = hand.point("smoke alarm", hand.over(hall, 6160, 4270))
    telecare = load("telecare unit and router", "phone", 20)
    p["hall twin"] = _twin(hand, hall, 7000, 6400, telecare, name="Telecare socket")
    outside = hand.outside("G1", 6900, 8680, 2000, 90.0)
    p["front light"] = hand.point("outdoor light", outside, "Front door light", room=rooms["garden"], outdoor=True)

    p["kitchen light"] = hand.point("light", hand.over(kitchen, 1800, 1900))
    p["kitchen sw"] = hand.point("switch", hand.on(kitchen, 3600, 3600, 1300))
    p["heat"] = hand.point("heat alarm", hand.over(kitchen, 1800, 2900))
    p["worktop 1"] = _twin(hand, kitchen, 0, 2500, high=1150)
    p["worktop 2"] = _twin(hand, kitchen, 0, 1100, load("kettle", power_w=2900), high=1150)
    p["worktop 3"] = _twin(hand, kitchen, 800, 0, high=1150)
    p["wash unit"] = hand.point("fused unit", hand.on(kitchen, 2900, 0, 1150), "Washing machine switch", fuse_a=13.0)
    washing = load("washing machine", "resets", 2100)
    p["wash"] = hand.point("appliance outlet", hand.on(kitchen, 2600, 0, 400), "", washing, void="ceiling")
    p["cooker sw"] = hand.point("double-pole switch", hand.on(kitchen, 3600, 950, 1150), "Cooker switch")
    cooker = load("cooker", power_w=9200)
    p["cooker"] = hand.point("cooker connection unit", hand.on(kitchen, 3600, 1450, 450), "", cooker, void="ceiling")
    p["worktop 4"] = _twin(hand, kitchen, 3600, 2200, high=1150)
    p["fridge"] = hand.point("socket", hand.on(kitchen, 3600, 2900), "", load("fridge-freezer", "spoils", 140))
    p["boiler unit"] = hand.point("fused unit", hand.on(kitchen, 0, 3300, 1400), "Boiler switch", fuse_a=3.0)
    p["programmer"] = hand.point("heating control", hand.on(kitchen, 0, 3550, 1500), "Heating programmer")
    oil = load("oil boiler", "heating", 180)
    p["boiler"] = hand.point("boiler", hand.on(kitchen, 0, 2850, 900), "", oil, void="ceiling")
    p["dining"] = _twin(hand, kitchen, 1600, 4820)

    brass = hand.over(lounge, 2600, 6670)
    p["lounge light"] = hand.point("light", brass, "Brass five-arm light", metal=True)
    p["lounge sw"] = hand.point("switch", hand.on(lounge, 5200, 6350, 1300))
    p["lounge 1"] = _twin(hand, lounge, 0, 5500, load("television", "resets", 110))
    p["lounge 2"], p["lounge 3"] = _twin(hand, lounge, 0, 7900), _twin(hand, lounge, 4600, 8400)
    p["lounge 4"] = _twin(hand, lounge, 2400, 4940)
    return p


def _sleeping_side(hand: Hand, rooms: Ids) -> Ids:
    p: Ids = {}
    for name, x, y, at in (
        ("bed 1", 9360, 6670, (8500, 4940)),
        ("bed 2", 7510, 1800, (8200, 3600)),
        ("study", 10360, 1800, (10300, 3600)),
    ):
        p[f"{name} light"] = hand.point("ceiling rose", hand.over(rooms[name], x, y))
        p[f"{name} sw"] = hand.point("switch", hand.on(rooms[name], *at, 1300))
    p["bath light"] = hand.point("light", hand.over(rooms["bath"], 4800, 1700))
    p["bath cord"] = hand.point("switch", hand.over(rooms["bath"], 5000, 3300))
    p["fan"] = hand.point("extractor fan", hand.on(rooms["bath"], 5700, 0, 2100))
    p["shower cord"] = hand.point("double-pole switch", hand.over(rooms["bath"], 5500, 3000), "Shower cord switch")
    shower = load("electric shower", power_w=9000)
    p["shower"] = hand.point("shower", hand.on(rooms["bath"], 3720, 360, 1300), "", shower, void="ceiling")
    p["bed 1a"], p["bed 1b"] = _twin(hand, rooms["bed 1"], 7120, 7800), _twin(hand, rooms["bed 1"], 11600, 7600)
    p["bed 1c"] = _twin(hand, rooms["bed 1"], 11600, 5600)
    p["bed 2a"], p["bed 2b"] = _twin(hand, rooms["bed 2"], 6020, 2600), _twin(hand, rooms["bed 2"], 9000, 900)
    p["study 1"] = _twin(hand, rooms["study"], 9120, 1400)
    p["study 2"] = _twin(hand, rooms["study"], 11600, 1400, load("desk computer", "lost work", 250))
    return p


def _garage(hand: Hand, rooms: Ids) -> Ids:
    p: Ids = {}
    room = rooms["garage"]
    p["garage 1"] = _twin(hand, room, 14200, 2600, high=1150)
    p["garage 2"] = _twin(hand, room, 16300, 5900, high=1150)
    p["garage freezer"] = hand.point(
        "socket", hand.on(room, 15700, 2600, 1150), "", load("chest freezer", "spoils", 120)
    )
    face = hand.outside("G1", 13075, 5600, 900, 180.0)
    p["patio"] = hand.point("outdoor socket", face, "Patio socket", room=rooms["garden"], outdoor=True, gangs=2)
    p["garage light 1"] = hand.point("light", hand.over(room, 14800, 3900))
    p["garage light 2"] = hand.point("light", hand.over(room, 14800, 6600))
    p["garage sw"] = hand.point("switch", hand.on(room, 13300, 4400, 1300))
    return p


def _rings(hand: Hand, ways: Ids, p: Ids) -> None:
    hand.chain(
        ways["kitchen"],
        p["dining"],
        p["boiler unit"],
        p["worktop 1"],
        p["worktop 2"],
        p["worktop 3"],
        p["wash unit"],
        p["worktop 4"],
        p["fridge"],
        ways["kitchen"],
        code=RING,
        colours="old",
    )
    hand.cable(hand.load_of(p["wash unit"]), p["wash"], RING, "old")
    hand.cable(hand.load_of(p["boiler unit"]), p["programmer"], "flex 1.0", "new", "")
    hand.cable(p["programmer"], p["boiler"], "flex 0.75", "new", "")
    hand.chain(
        ways["rooms"],
        p["bed 1c"],
        p["bed 1b"],
        p["bed 1a"],
        p["hall twin"],
        p["lounge 3"],
        p["lounge 2"],
        p["lounge 1"],
        p["lounge 4"],
        p["bed 2a"],
        p["bed 2b"],
        ways["rooms"],
        code=RING,
        colours="old",
    )
    hand.chain(p["bed 2b"], p["study 1"], p["study 2"], code=RING, colours="new")


def _own_ways(hand: Hand, ways: Ids, p: Ids) -> None:
    hand.cable(ways["cooker"], p["cooker sw"], "T&E 6/2.5", "old")
    hand.cable(hand.load_of(p["cooker sw"]), p["cooker"], "T&E 6/2.5", "old")
    hand.cable(ways["shower"], p["shower cord"], "T&E 10/4", "new")
    hand.cable(hand.load_of(p["shower cord"]), p["shower"], "T&E 10/4", "new")
    hand.cable(ways["alarms"], p["smoke"], LIGHT, "new", "100")
    hand.cable(p["smoke"], p["heat"], LINK, "new", "100")


def _lights(hand: Hand, ways: Ids, p: Ids) -> None:
    """The old lighting of the living side, and the bedrooms' as rewired."""
    hand.chain(
        ways["lights"],
        p["hall light"],
        p["entrance light"],
        p["lounge light"],
        p["kitchen light"],
        code=BARE,
        colours="old",
        method="100",
    )
    hand.cable(p["entrance light"], p["front sw"], BARE, "old", "100")
    hand.cable(p["front sw"], p["front light"], BARE, "old", "100", role="switched")
    hand.works(p["front sw"], p["front light"])
    for room in ("hall", "entrance", "lounge", "kitchen"):
        hand.drop(p[f"{room} light"], p[f"{room} sw"], BARE)
        hand.works(p[f"{room} sw"], p[f"{room} light"])
    hand.chain(
        ways["bed lights"],
        p["study light"],
        p["bed 2 light"],
        p["bath light"],
        code=LIGHT,
        colours="new",
        method="100",
    )
    hand.cable(p["study light"], p["bed 1 light"], LIGHT, "new", "100")
    hand.cable(p["bath light"], p["fan"], LINK, "new", "100", role="switched")
    for room in ("study", "bed 2", "bed 1"):
        hand.drop(p[f"{room} light"], p[f"{room} sw"], colours="new")
        hand.works(p[f"{room} sw"], p[f"{room} light"])
    hand.drop(p["bath light"], p["bath cord"], colours="new")
    hand.works(p["bath cord"], p["bath light"], p["fan"], switching="cord")


def _garage_cables(hand: Hand, ways: Ids, p: Ids) -> None:
    hand.cable(ways["garage"], ways["board B"], "SWA 6 3-core", "new", "")
    hand.chain(
        ways["garage sockets"], p["patio"], p["garage 1"], p["garage freezer"], p["garage 2"], code=RING, colours="new"
    )
    hand.chain(
        ways["garage lights"], p["garage light 1"], p["garage light 2"], code="T&E 1.5/1.0", colours="new", method="C"
    )
    hand.drop(p["garage light 1"], p["garage sw"], "T&E 1.5/1.0", "new")
    hand.works(p["garage sw"], p["garage light 1"], p["garage light 2"])


def _visits(hand: Hand, rooms: Ids, ways: Ids, p: Ids) -> None:
    survey = Visit(hand, "2025-09-09", "09:05", "T. Vance")
    words = "Care line told before each switch-off; the daughter stays with a mobile telephone until the unit answers."
    survey.arranged = (Arrangement(point=p["hall twin"], words=words),)
    survey.until = "45 min"
    survey.look()
    survey.look(ways["main"])
    survey.look(ways["cooker"], ways["kitchen"], ways["lights"], ways["garage lights"], lamp=[p["bed 1 light"]])
    survey.look(ways["kitchen"], ways["shower"], ways["bed lights"], lamp=[p["hall light"]])
    survey.look(ways["lights"], ways["rooms"], ways["alarms"], lamp=[p["bed 1 light"]])
    survey.look(
        ways["rooms"], ways["bed lights"], ways["garage sockets"], ways["garage lights"], lamp=[p["hall light"]]
    )
    in_garage = [p[name] for name in ("garage 1", "garage 2", "garage freezer", "patio", "garage light 1")]
    survey.look(ways["garage"], lamp=[p["hall light"]], points=in_garage)
    inside = Visit(hand, "2025-09-10", "09:00", "T. Vance")
    inside.open_up((ways["main"],))
    hand.note(
        p["lounge light"], inside.id, text="Brass body, no earth terminal used: the ceiling cable has two cores only."
    )
    hand.note(
        p["bed 2b"], inside.id, text="Third cable goes through the wall to the study, surface clipped, brown and blue."
    )
    hand.note(
        rooms["kitchen"], inside.id, text="Oil line comes in by the boiler in bare copper; no bonding clamp on it."
    )
    hand.note(
        ways["board B"], inside.id, text="Armour earthed at the house end through its gland; all three cores used."
    )
    inside.limit("home", "Cut-out and meter are the network's and were not opened.", "occupier")
    inside.limit(
        "home", "Roof space looked into from the hatch only; joints above the insulation not seen.", "occupier"
    )


def _readings(hand: Hand, ways: Ids, p: Ids) -> None:
    """The electrode, every RCD, the garage's radial point by point, the kitchen's ring, some loops.

    Not on the map: line and neutral reversed at the patio's socket.
    """
    meter = Meter(hand, "2025-09-11", "09:15", "T. Vance", "before work", seed=5)
    radial, kitchen = ways["garage sockets"], ways["kitchen"]
    indoors, outdoors = (hand.home.take(Device, way).board for way in (kitchen, radial))
    meter.plant(radial, f"swapped line and neutral at {p['patio']}")
    meter.prove_dead((indoors, outdoors, *meter.reached(radial), *meter.reached(kitchen)), (ways["main"],))
    meter.dead(radial, "radial")
    meter.line_neutral(radial)
    meter.dead(kitchen, "ends", "cross-N", "cross-E")
    for way in ("cooker", "lights", "shower", "alarms", "bed lights", "garage lights"):
        meter.dead(ways[way], "insulation")
    meter.dead(kitchen, "insulation", apart=(p["programmer"], p["boiler"]))
    meter.dead(ways["rooms"], "insulation")
    meter.dead(radial, "insulation")
    meter.polarity(radial, reversed_at=p["patio"])
    meter.polarity(kitchen)
    electrode_ohm = 62.4
    meter.electrode(indoors, electrode_ohm)
    meter.loops(kitchen, electrode_ohm + 0.3, p["worktop 3"])
    meter.loops(ways["rooms"], electrode_ohm + 0.3, p["lounge 2"])
    meter.loops(ways["shower"], electrode_ohm + 0.3, p["shower"])
    meter.trips(kitchen, ">2000", "22.4", "27.9", "9.8", "15.3")
    meter.trips(ways["rooms"], ">2000", "25.1", "30.6", "12.2", "18.0")
    meter.trips(ways["garage"], ">2000", "212", "238", "96", "118")
    meter.trips(radial, ">2000", "19.7", "26.3", "10.4", "14.9")
