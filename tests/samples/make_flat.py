"""The rented flat: one storey, every circuit a radial behind an RCBO of its own, and a chart that can be believed."""

from collections.abc import Mapping

from circuitmap.home import Home, verbs
from circuitmap.home.exchange import MarkedHome
from circuitmap.home.records import Device, End, Rcd
from tests.samples.hand import Hand, door, load, window
from tests.samples.made import Made
from tests.samples.meter import Meter
from tests.samples.picture import Extra, bring_in
from tests.samples.visit import Visit

Ids = dict[str, str]
LIGHT, LIGHT_3, SOCKET, KITCHEN, COOKER = "T&E 1.5/1.0", "3C&E 1.5", "T&E 2.5/1.5", "T&E 4/1.5", "T&E 6/2.5"
PICTURED = (
    Extra("G1", "worktop", (0, 4200, 600, 6200)),
    Extra("G1", "worktop", (600, 5600, 2700, 6200)),
    Extra("G1", "wc", (7000, 3800, 7360, 4460)),
)
WAYS = (
    ("1", "Cooker", 32, "B"),
    ("2", "Kitchen sockets", 32, "B"),
    ("3", "Living room and hall sockets", 20, "B"),
    ("4", "Bedroom sockets", 20, "B"),
    ("5", "Water heater", 16, "B"),
    ("6", "Heaters and towel rail", 16, "B"),
    ("7", "Lights and smoke alarms", 6, "B"),
)


def make(stored: Mapping[str, str] | None = None) -> Made:
    """Make the home: drawn, wired, surveyed on one morning, opened up on the next day."""
    hand = Hand(
        "Flat 5, Quarrel House",
        address="Flat 5, Quarrel House, Millbeck Lane, Eddlebridge",
        tenure="rented",
        country="England",
        built_year=2019,
        choices=(("front side", "bottom"),),
    )
    rooms = _building(hand)
    assets = bring_in(hand, stored, PICTURED)
    ways = _board(hand, rooms)
    _kitchen(hand, rooms, ways)
    points = _sockets(hand, rooms, ways)
    _heating(hand, rooms, ways)
    _lights(hand, rooms, ways)
    hand.count_cables()
    _visits(hand, rooms, ways, points)
    found = _readings(hand, rooms, ways, points)
    marks = (
        MarkedHome("as found", "2025-09-16T11:50:00Z", found),
        MarkedHome("as left", "2025-09-16T16:10:00Z", hand.home),
    )
    return Made(hand.home, assets, marks)


def _building(hand: Hand) -> Ids:
    flat = hand.storey("Second floor", 2, 2400)
    hand.supply(
        {"water": ("yes", 10.0)},
        name="Riser cupboard on the stairs, isolator at the board",
        earthing="TN-C-S",
        fuse_a=80.0,
        fuse_from="as labelled on the cut-out",
        main_switch_a=100.0,
        tails_mm2=25.0,
        earthing_mm2=16.0,
        ze_ohm=0.19,
        pfc_ka=1.24,
        spd="yes",
        tariff="one rate",
    )
    hand.wall(flat, (-250, -125), (8650, -125), 250, "block", window(1450, 2200), window(5850, 1800))
    hand.wall(flat, (8525, -250), (8525, 6450), 250, "block", window(4300, 600, 1500))
    hand.wall(flat, (8650, 6325), (-250, 6325), 250, "block", door(2950, 900))
    hand.wall(flat, (-125, 6450), (-125, -250), 250, "block", window(750, 1000))
    hand.wall(flat, (8400, 3750), (0, 3750), 100, "stud", door(2700, 800), door(4500, 800))
    hand.wall(flat, (4650, 0), (4650, 3700), 100, "stud")
    hand.wall(flat, (2750, 3800), (2750, 6200), 100, "stud", door(300, 760))
    hand.wall(flat, (6150, 6200), (6150, 3800), 100, "stud", door(1200, 700))
    hand.wall(flat, (4400, 5150), (2800, 5150), 100, "stud", door(540, 660))
    hand.wall(flat, (4350, 5200), (4350, 6200), 100, "stud")
    hand.fixture(flat, "sink", (0, 4750), (520, 5650))
    hand.fixture(flat, "hob", (1500, 5640), (2080, 6200))
    hand.fixture(flat, "bath", (7680, 4480), (8400, 6200))
    hand.fixture(flat, "basin", (6850, 5770), (7430, 6200))
    hand.fixture(flat, "appliance", (2800, 5640), (3360, 6200))
    around = [(2800, 3800), (6100, 3800), (6100, 6200), (4400, 6200), (4400, 5100), (2800, 5100)]
    return {
        "living": hand.room(flat, "Living room", ((0, 0), (4600, 3700)), "living"),
        "bedroom": hand.room(flat, "Bedroom", ((4700, 0), (8400, 3700)), "bedroom"),
        "kitchen": hand.room(flat, "Kitchen", ((0, 3800), (2700, 6200)), "kitchen"),
        "hall": hand.room(flat, "Hall", around, "hall"),
        "bathroom": hand.room(flat, "Bathroom", ((6200, 3800), (8400, 6200)), "bathroom"),
        "cupboard": hand.room(flat, "Cupboard", ((2800, 5200), (4300, 6200)), "cupboard"),
    }


def _board(hand: Hand, rooms: Ids) -> Ids:
    place = hand.on(rooms["cupboard"], 4300, 5700, 1500)
    board = hand.board("A", "Consumer unit", place, modules=14, material="metal")
    main = hand.device(board, "", "main switch", 100, "Main switch", modules=2, poles=2)
    hand.do(verbs.add_device(hand.home, board, "SPD", label="Surge protection", upstream=main))
    ways: Ids = {"main": main}
    for way, label, rating, curve in WAYS:
        ways[way] = hand.device(board, way, "RCBO", rating, label, curve, main, Rcd(trips_ma=30.0, type="A"),
                                standard="BS EN 61009", poles=1, neutral_switched=False)  # fmt: skip
    hand.do(verbs.add_device(hand.home, board, "blank", "8", label="Blank", modules=4))
    return ways


def _supply(point: str) -> End:
    return End(at=point, side="supply")


def _kitchen(hand: Hand, rooms: Ids, ways: Ids) -> None:
    kitchen = rooms["kitchen"]

    def twin(x: int, y: int, high: int, name: str = "", *loads: object, gangs: int = 2) -> str:
        return hand.point(
            "socket", hand.on(kitchen, x, y, high), name, *loads, void="ceiling", gangs=gangs, switched=True
        )  # type: ignore[arg-type]

    by_door = twin(2700, 5250, 1100, "", load("toaster", power_w=900))
    fridge = twin(2700, 5850, 450, "fridge socket", load("fridge-freezer", "spoils", 140), gangs=1)
    right = twin(2350, 6200, 1100)
    hood_unit = hand.point("fused unit", hand.on(kitchen, 2150, 6200, 1900), "hood switch", fuse_a=3.0, switched=True)
    hood = hand.point("cooker hood", hand.over(kitchen, 1790, 6050, 1800), "", load("cooker hood", power_w=180))
    left = twin(1000, 6200, 1100, "", load("kettle", power_w=2800))
    washer = twin(300, 6200, 450, "washing machine socket", load("washing machine", power_w=2100), gangs=1)
    window_end = twin(0, 4450, 1100, "", load("microwave", power_w=1200))
    hand.chain(ways["2"], by_door, fridge, right, code=KITCHEN, colours="new", method="C")
    hand.cable(right, _supply(hood_unit), KITCHEN, "new")
    hand.cable(_supply(hood_unit), left, KITCHEN, "new")
    hand.chain(left, washer, window_end, code=KITCHEN, colours="new", method="C")
    hand.cable(hand.load_of(hood_unit), hood, "flex 1.0", "new", "")

    switch = hand.point("double-pole switch", hand.on(kitchen, 1300, 6200, 1100), "cooker switch", switched=True)
    cooker = hand.point("cooker connection unit", hand.on(kitchen, 1790, 6200, 450), "cooker",
                        load("cooker", power_w=7600), void="ceiling")  # fmt: skip
    hand.cable(ways["1"], _supply(switch), COOKER, "new")
    hand.cable(hand.load_of(switch), cooker, COOKER, "new")


def _sockets(hand: Hand, rooms: Ids, ways: Ids) -> Ids:
    def twin(room: str, x: int, y: int, *loads: object, kind: str = "socket", gangs: int = 2) -> str:
        place = hand.on(rooms[room], x, y)
        return hand.point(kind, place, "", *loads, void="ceiling", gangs=gangs, switched=True)  # type: ignore[arg-type]

    router = twin("living", 4600, 700, load("router", "phone", 12), load("television", power_w=110))
    living = [
        twin("hall", 2800, 4970, gangs=1),
        twin("living", 4600, 3200),
        router,
        twin("living", 700, 0),
        twin("living", 0, 1200),
        twin("living", 0, 3200, load("desk computer", "lost work", 250)),
    ]
    bedroom = [
        twin("bedroom", 4700, 3300),
        twin("bedroom", 4700, 800, kind="usb socket"),
        twin("bedroom", 8400, 800, load("alarm clock", "resets", 5)),
        twin("bedroom", 8400, 3000),
    ]
    hand.chain(ways["3"], *living, code=SOCKET, colours="new", method="C")
    hand.chain(ways["4"], *bedroom, code=SOCKET, colours="new", method="C")
    return {"hall": living[0], "desk": living[-1], "door": bedroom[0], "usb": bedroom[1], "window": bedroom[-1]}


def _heating(hand: Hand, rooms: Ids, ways: Ids) -> None:
    switch = hand.point("double-pole switch", hand.on(rooms["cupboard"], 3600, 6200, 1400), "water heater switch",
                        switched=True)  # fmt: skip
    heater = hand.point("immersion heater", hand.over(rooms["cupboard"], 3080, 5920, 900), "water heater",
                        load("hot water", "heating", 3000, 150), void="ceiling")  # fmt: skip
    hand.cable(ways["5"], _supply(switch), SOCKET, "new")
    hand.cable(hand.load_of(switch), heater, "flex 2.5", "new", "")

    def unit(room: str, x: int, y: int, high: int, name: str, fuse_a: float) -> str:
        place = hand.on(rooms[room], x, y, high)
        return hand.point("fused unit", place, name, void="ceiling", fuse_a=fuse_a, switched=True)

    units = [
        unit("hall", 6100, 5700, 1200, "towel rail switch", 3.0),
        unit("bedroom", 7850, 0, 450, "bedroom heater switch", 13.0),
        unit("living", 3800, 0, 450, "living room heater switch", 13.0),
    ]
    rail = hand.point("towel rail", hand.on(rooms["bathroom"], 6200, 5700, 900), "", load("towel rail", power_w=120))
    bed = hand.point("panel heater", hand.on(rooms["bedroom"], 6500, 0, 300), "",
                     load("bedroom heater", "heating", 1000))  # fmt: skip
    living = hand.point("panel heater", hand.on(rooms["living"], 2400, 0, 300), "",
                        load("living room heater", "heating", 1500))  # fmt: skip
    hand.chain(ways["6"], *units, code=SOCKET, colours="new", method="C")
    for fused, fed, code in ((units[0], rail, LIGHT), (units[1], bed, "flex 1.5"), (units[2], living, "flex 1.5")):
        hand.cable(hand.load_of(fused), fed, code, "new", "C" if code == LIGHT else "")


def _lights(hand: Hand, rooms: Ids, ways: Ids) -> None:
    def lamp(room: str, x: int, y: int, name: str = "", **facts: object) -> str:
        return hand.point("light", hand.over(rooms[room], x, y), name, **facts)  # type: ignore[arg-type]

    cupboard, hall = lamp("cupboard", 3850, 5500), lamp("hall", 5200, 4450)
    kitchen, living, bedroom = lamp("kitchen", 1350, 4900), lamp("living", 2300, 1850), lamp("bedroom", 6550, 1850)
    bath = lamp("bathroom", 7100, 4800)
    mirror = hand.point("light", hand.on(rooms["bathroom"], 7140, 6200, 1900), "mirror light")
    fan = hand.point("extractor fan", hand.over(rooms["bathroom"], 7900, 5200), "")
    smoke = hand.point("smoke alarm", hand.over(rooms["hall"], 4500, 4450))
    heat = hand.point("heat alarm", hand.over(rooms["kitchen"], 1350, 5500))
    hand.chain(ways["7"], cupboard, smoke, hall, living, bedroom, code=LIGHT, colours="new", method="100")
    hand.cable(cupboard, kitchen, LIGHT, "new", "100")
    hand.cable(hall, bath, LIGHT, "new", "100")
    hand.cable(bath, mirror, LIGHT, "new", "100", role="switched")
    hand.cable(bath, fan, LIGHT_3, "new", "100")
    hand.cable(smoke, heat, LIGHT_3, "new", "100")
    for light, room, x, y, high in (
        (cupboard, "hall", 3050, 5100, 1200),
        (kitchen, "kitchen", 2700, 4000, 1200),
        (living, "living", 2950, 3700, 1200),
        (bedroom, "bedroom", 5850, 3700, 1200),
    ):
        switch = hand.point("switch", hand.on(rooms[room], x, y, high))
        hand.drop(light, switch, LIGHT, "new")
        hand.works(switch, light)
    cord = hand.point("switch", hand.over(rooms["bathroom"], 6500, 4200, 2200))
    hand.drop(bath, cord, LIGHT, "new")
    hand.works(cord, bath, mirror, switching="cord")
    entrance = hand.point("switch", hand.on(rooms["hall"], 6100, 5950, 1200))
    inner = hand.point("switch", hand.on(rooms["hall"], 4500, 3800, 1200))
    hand.drop(hall, entrance, LIGHT, "new")
    hand.cable(entrance, inner, LIGHT_3, "new", "100", role="strappers")
    for switch in (entrance, inner):
        hand.works(switch, hall, switching="two way")


def _visits(hand: Hand, rooms: Ids, ways: Ids, points: Ids) -> None:
    survey = Visit(hand, "2025-09-02", "10:05", "T. Abara")
    survey.look()
    survey.look(ways["main"])
    for off in (("3", "5", "6", "1"), ("2", "4", "6", "1"), ("7", "4", "5", "1")):
        survey.look(*(ways[way] for way in off))
    inside = Visit(hand, "2025-09-03", "09:10", "T. Abara")
    inside.open_up((ways["main"],))
    inside.limit("home", "Cut-out and meter are in the landlord's locked riser and were not opened.", "letting agent")


def _readings(hand: Hand, rooms: Ids, ways: Ids, p: Ids) -> Home:
    """Give the home as it was found, before the work.

    Before a cracked socket of the bedroom was renewed, and after: its line was loose, its cable nicked.
    """
    first = Meter(hand, "2025-09-16", "09:20", "T. Abara", "before work", seed=21)
    bedroom, board = ways["4"], hand.home.take(Device, ways["4"]).board
    first.plant(
        bedroom,
        f"bad joint of 0.38 ohm on the line at {p['usb']} towards {p['door']}",
        f"low insulation of 8 megohm between line and cpc between {p['door']} and {p['usb']} at 98 %",
    )
    first.prove_dead((board, *first.reached(bedroom), *first.reached(ways["3"])), (ways["main"],))
    first.dead(ways["3"], "radial")
    first.dead(bedroom, "radial")
    first.line_neutral(bedroom)
    for way in ("1", "2", "3", "5", "6", "7"):
        first.dead(ways[way], "insulation")
    first.dead(bedroom, "insulation", apart=(p["usb"],))
    first.polarity(bedroom)
    first.supply(board, 0.19, 241, "1.24")
    first.loops(bedroom, 0.19, p["door"], p["window"])
    first.loops(ways["3"], 0.19, p["desk"])
    first.trips(bedroom, ">2000", "21.3", "28.8", "10.9", "16.6")
    first.trips(ways["3"], ">2000", "19.8", "27.1", "9.6", "15.2")
    cracked = hand.note(
        p["usb"],
        first.visit.id,
        text="Front cracked, line terminal loose, cable nicked by the fixing screw. To be renewed.",
    )
    found = hand.home

    second = Meter(hand, "2025-09-16", "13:40", "T. Abara", "after work", seed=21, known=first.id)
    second.prove_dead((board, *second.reached(bedroom)), (ways["main"],))
    second.dead(bedroom, "radial")
    second.line_neutral(bedroom)
    second.dead(bedroom, "insulation", apart=(p["usb"],))
    second.polarity(bedroom)
    second.loops(bedroom, 0.19, p["door"], p["window"])
    second.trips(bedroom, ">2000", "21.9", "29.4", "11.3", "16.1")
    hand.do(verbs.clear(hand.home, cracked, second.visit.id))
    return found
