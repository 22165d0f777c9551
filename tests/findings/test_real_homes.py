"""Homes as found, and what must be said of them: healthy ones get notes, odd ones the right question.

Common practice, no source, throughout; every home here is our own invention.
"""

from circuitmap import trade
from circuitmap.circuits import views
from circuitmap.home import verbs
from circuitmap.home.records import Bond, End, Load, Rcd
from circuitmap.memo import Memo
from circuitmap.survey import deduce
from tests.findings.ask import Wired, grave, one, only, said


def semi_of_1995() -> Wired:
    """Split load: an RCD of type AC over the sockets; a freezer, a router and a boiler unit on the ring."""
    b = Wired(rcd=False)
    b.supply()
    b.over = b.device(b.box, "", "RCD", 80, upstream=b.main, rcd=Rcd(trips_ma=30.0, type="AC"))
    upper = b.storey("First", 1)
    for name, storey in (("Hall", b.ground), ("Kitchen", b.ground), ("Landing", upper), ("Bedroom", upper)):
        b.room(name, storey, (0, 0, 5000, 5000) if name in ("Kitchen", "Bedroom") else (5200, 0, 7000, 5000))
    for level in (b.ground, upper):
        way = b.way(32, label="Sockets")
        points = [b.point("socket", (level, 400 * n + 400, 400), gangs=2) for n in range(5)]
        stops: list[str] = [*points]
        if level == b.ground:
            b.say(points[0], loads=(Load(what="freezer", if_off="spoils"),))
            b.say(points[1], loads=(Load(what="router", if_off="resets"),))
            fused, boiler = b.put("fused unit", fuse_a=3.0), b.put("boiler")
            b.load(boiler, "boiler", 130.0, if_off="heating")
            b.cable(End(at=fused, side="load"), boiler, cable="flex 0.75")
            stops.insert(3, fused)
        runs = b.line(way, *stops, way)
        for run in runs:
            b.say(run, colours="old")
        spur = b.point("socket", (level, 3000, 400), gangs=2)
        b.say(b.cable(points[2], spur), colours="new")
        b.count(**{way: 2, spur: 1})
    switches = []
    for level, name in ((b.ground, "Lights down"), (upper, "Lights up")):
        lights = [b.point("light", (level, 400 * n + 400, 2000)) for n in range(3)]
        b.line(b.way(6, label=name, upstream=b.main), *lights, cable="T&E 1.0/1.0")
        switches.append(b.point("switch", (b.ground, 6000, 1000)))
        b.say(switches[-1], controls=(lights[0],))
    b.do(verbs.share_plate(b.home, switches))
    return b


def test_a_healthy_semi_of_1995_has_one_improvement_and_otherwise_notes() -> None:
    b = semi_of_1995()
    found = [f for f in said(b.home) if not f.aside]
    assert not grave(b.home)
    assert [f.rule for f in found if f.code == "C3"] == ["rcd-missing"]
    assert "A3 and A4" in one(b.home, "rcd-missing").says
    asides = {f.rule for f in said(b.home) if f.aside}
    assert {"same-label", "takes-down", "shared-box", "one-rcd"} <= asides


def test_a_landing_light_with_a_borrowed_neutral_settles_on_its_line_and_nothing_is_made_up() -> None:
    """Single-pole breakers: the light follows its line alone, and no survey can see whose neutral it has."""
    b = Wired()
    b.supply()
    down, up, landing, hall = b.way(6), b.way(6), b.put("light"), b.put("light")
    with b.visited(landing, hall) as visit:
        b.switched(visit, down, gone=(landing, hall))
        b.switched(visit, up, stay=(landing, hall))
    found = deduce(b.home, Memo())[landing]
    assert (found.verdict, found.candidates) == ("settled", (down,))
    assert not [f for f in said(b.home) if landing in f.subjects and f.code != "note"]
    words = " ".join(f"{f.says} {f.why} {f.settle}" for f in said(b.home)).casefold()
    assert "neutral is proved" not in words
    assert "no borrowed neutral" not in words


def test_one_twin_by_the_board_on_a_32_a_way_is_a_spur_from_the_origin() -> None:
    b = Wired()
    way, twin = b.way(32), b.put(gangs=2)
    b.cable(way, twin)
    b.count(**{way: 1, twin: 1})
    assert not grave(b.home)


def test_a_ring_whose_legs_are_on_two_ways_is_seen_by_the_switch_offs_too() -> None:
    b = Wired()
    b.supply()
    three, four, points = b.way(), b.way(), b.twins(4)
    b.line(three, *points, four)
    with b.visited(*points) as visit:
        b.switched(visit, three, stay=tuple(points))
        b.switched(visit, four, stay=tuple(points))
        b.switched(visit, three, four, gone=tuple(points))
    finding = one(b.home, "ring-two-ways")
    assert "stays live" in finding.why
    assert not only(b.home, "off-together")  # one cause, said once


def test_a_converted_flat_with_other_peoples_supplies() -> None:
    b = Wired()
    b.supply()
    way, mine = b.way(32), b.put()
    stair, alarm, stray = b.put("light"), b.put("smoke alarm"), b.put(gangs=2)
    cooker = b.put("cooker control unit")
    for point, whose in ((stair, "landlord"), (alarm, "landlord"), (cooker, "flat next door")):
        b.say(point, belongs_to=whose)
    with b.visited(mine, stair, alarm, stray, cooker) as visit:
        b.switched(visit, b.main, stay=(stair, alarm, stray), gone=(mine, cooker))
        b.switched(visit, way, stay=(stair, alarm, stray), gone=(mine, cooker))
    assert one(b.home, "others-supply").code == "note"
    assert set(one(b.home, "others-supply").subjects) == {stair, alarm}
    assert (one(b.home, "on-with-all-off").code, one(b.home, "on-with-all-off").subjects) == ("FI", (stray,))
    assert cooker in one(b.home, "feeds-others").subjects


def test_a_list_without_any_drawing_is_surveyed_and_found_healthy() -> None:
    b = Wired()
    b.supply(bonds=(Bond(to="gas", state="yes"),))
    kitchen = b.room("Kitchen")
    way, points = b.way(32), [b.put(room=kitchen, where=f"no. {n}") for n in range(4)]
    with b.visited(*points) as visit:
        b.switched(visit, way, gone=tuple(points))
    assert not grave(b.home)
    (view,) = [v for v in views(b.home, trade.load(), Memo()) if v.device.id == way]
    assert len(view.members) == 4
