"""Rules of a circuit as a whole: device against cable, area, heavy loads, alarms, colours, cable not to be extended.

Reg 433.1.204 as quoted (a ring's cable carries 20 A at least); Table 4D5 for what flat cable carries; areas of the
On-Site Guide 7.2 from memory; the rest is common practice, no source.
"""

import pytest

from circuitmap.home.records import End, Load
from circuitmap.words import PointKind
from tests.findings.ask import Wired, grave, one, only

# Device against cable ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rating_a", "cable", "method", "code"),
    [
        (20, "T&E 2.5/1.5", "C", ""),  # 27 A
        (32, "T&E 4/1.5", "C", ""),  # 37 A
        (32, "T&E 2.5/1.5", "C", "C2"),
        (32, "T&E 4/1.5", "100", "C2"),  # 27 A
        (32, "T&E 4/1.5", "", ""),  # 17.5 to 37 A: can't judge is no failure
        (40, "T&E 2.5/1.5", "", "FI"),  # 27 A at best
        (32, "", "C", ""),  # nobody looked at the cable
    ],
)
def test_in_is_at_most_iz_and_an_unknown_method_never_fails(
    rating_a: float, cable: str, method: str, code: str
) -> None:
    b = Wired()
    way, points = b.way(rating_a), b.twins(4)
    b.line(way, *points, cable=cable, method=method)
    b.count(**{way: 1, points[-1]: 1})
    found = only(b.home, "overload")
    assert [f.code for f in found] == ([code] if code else [])
    if found:
        assert found[0].subjects[0] == way


@pytest.mark.parametrize(
    ("method", "fails"),
    [("A", False), ("100", False), ("102", False), ("C", False), ("101", True), ("103", True), ("", False)],
)
def test_a_ring_wants_20_a_of_its_cable_not_32(method: str, fails: bool) -> None:
    """2.5 mm² carries 20 A by method A, 21 A by 100 and 102, 27 A by C, 17 A by 101, 13.5 A by 103.

    Table 4D5; Reg 433.1.204 asks for 20 A.
    """
    b = Wired()
    b.ring(method=method)
    assert bool(only(b.home, "overload")) == fails


def test_a_rewirable_fuse_wants_more_of_its_cable() -> None:
    """In ≤ 0.725 Iz: 20 / 0.725 = 27.6 A is more than the 27 A of 2.5 mm² clipped direct."""
    b = Wired()
    way, points = b.way(20, "fuse BS 3036"), b.twins(3)
    b.line(way, *points)
    b.count(**{way: 1, points[-1]: 1})
    assert one(b.home, "overload").code == "C2"


def test_one_twin_or_one_fused_unit_straight_from_a_32_a_way_is_a_spur_from_the_origin() -> None:
    for kind in ("socket", "fused unit"):
        b = Wired()
        way, point = b.way(32), b.put(kind, gangs=2 if kind == "socket" else 1)
        b.cable(way, point)
        b.count(**{way: 1, point: 1})
        assert not grave(b.home), kind


def test_a_2_5_branch_to_one_twin_off_a_4_mm2_radial_is_limited_by_its_load() -> None:
    b = Wired()
    way, points, spur = b.way(32), b.twins(3), b.put(gangs=2)
    b.line(way, *points, cable="T&E 4/1.5")
    b.cable(points[0], spur)
    b.count(**{way: 1, points[0]: 3, points[-1]: 1, spur: 1})
    assert not only(b.home, "overload")


def test_the_nearest_protection_counts_not_the_ways_device() -> None:
    b = Wired()
    way, points = b.way(32), b.twins(3)
    fused, fan = b.put("fused unit", fuse_a=3.0), b.put("extractor fan")
    b.line(way, *points[:1], fused, *points[1:], way)
    b.cable(End(at=fused, side="load"), fan, cable="T&E 1.0/1.0", method="103")
    assert not only(b.home, "overload")


def test_a_shower_cannot_overload_its_cable_by_more_than_it_takes() -> None:
    b = Wired()
    way, shower = b.way(45), b.put("shower")
    b.cable(way, shower, cable="T&E 10/4", method="A")  # 44 A
    b.count(**{way: 1, shower: 1})
    b.load(shower, "shower", 8500.0)  # 37 A
    assert not only(b.home, "overload")
    b.load(shower, "shower", 10_500.0)  # 45.7 A
    assert one(b.home, "overload").code == "C2"


def test_a_ring_behind_more_than_32_a_is_found() -> None:
    b = Wired()
    b.ring(rating_a=40)
    assert one(b.home, "overload").code == "C2"


def test_a_way_that_is_not_traced_to_its_end_may_be_a_ring_and_is_not_called_too_thin() -> None:
    b = Wired()
    way, points = b.way(32), b.twins(3)
    b.line(way, *points)
    b.count(**{way: 2, points[2]: 2})
    assert not only(b.home, "overload")
    b.count(**{way: 1, points[2]: 1})
    assert one(b.home, "overload").code == "C2"


def test_rings_that_are_joined_are_still_judged_as_rings() -> None:
    b = Wired()
    _, points, _ = b.ring(4)
    _, others, _ = b.ring(4)
    b.cable(points[1], others[2])
    assert not only(b.home, "overload")
    c = Wired()
    way, _, _ = c.ring(3)
    more = c.twins(3)
    c.line(way, *more, way)
    assert not only(c.home, "overload")


# Area -------------------------------------------------------------------------------------------------------------


def floor(side_mm: int, each: int = 2) -> Wired:
    """A ring in two square rooms with so many sockets each, and a third with one."""
    b = Wired()
    gap = side_mm + 200
    rooms = [b.room(f"Room {n}", b.ground, (n * gap, 0, n * gap + side_mm, side_mm)) for n in range(3)]
    assert rooms
    way, points = b.way(32), []
    for n, number in enumerate((each, each, 1)):
        for k in range(number):
            points.append(b.point("socket", (b.ground, n * gap + 500 * (k + 1), 500), gangs=2))
    b.line(way, *points, way)
    return b


def test_more_floor_than_customary_is_a_note_and_a_room_with_one_socket_does_not_count() -> None:
    assert one(floor(7500).home, "area").code == "note"  # 2 × 56.25 = 112.5 m² above 100
    assert not only(floor(6500).home, "area")  # 2 × 42.25 = 84.5 m²; with the third room it would be 126.75
    assert not only(floor(7500, each=1).home, "area")


# Heavy loads ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "load", "code"),
    [
        ("immersion heater", Load(what="immersion heater", power_w=3000.0, litres=120.0), "C3"),
        ("immersion heater", Load(what="immersion heater", power_w=3000.0), "note"),
        ("immersion heater", Load(what="water heater", power_w=2000.0, litres=10.0), ""),
        ("panel heater", Load(what="heater", power_w=2500.0), "C3"),
        ("panel heater", Load(what="heater", power_w=1500.0), ""),
        ("panel heater", Load(what="heater"), ""),
        ("oven", Load(what="oven", power_w=2900.0), "C3"),
        ("socket", Load(what="oven with a plug", power_w=2900.0), ""),
        ("socket", Load(what="dishwasher", power_w=2200.0), ""),
        ("boiler", Load(what="boiler", power_w=130.0), ""),
    ],
)
def test_only_heavy_fixed_loads_as_recorded_are_said_of_a_ring(kind: PointKind, load: Load, code: str) -> None:
    b = Wired()
    way, points, point = b.way(), b.twins(4), b.put(kind)
    b.say(point, loads=(load,))
    b.line(way, *points, point, way)
    assert [f.code for f in only(b.home, "heavy-on-ring")] == ([code] if code else [])


def test_an_immersion_heater_on_its_own_way_is_as_it_should_be() -> None:
    b = Wired()
    way, heater = b.way(16), b.put("immersion heater")
    b.load(heater, "immersion heater", 3000.0, litres=120.0)
    b.cable(way, heater)
    assert not only(b.home, "heavy-on-ring")
    assert not grave(b.home)


# Alarms -----------------------------------------------------------------------------------------------------------


def test_smoke_alarms_on_a_socket_way_are_an_improvement_and_on_a_lighting_way_nothing() -> None:
    b = Wired()
    way, points, alarm = b.way(), b.twins(3), b.put("smoke alarm")
    b.line(way, *points, alarm, way)
    assert one(b.home, "alarm-on-sockets").code == "C3"
    c = Wired()
    lights = [c.put("light"), c.put("light")]
    c.line(c.way(6), *lights, c.put("smoke alarm"), cable="T&E 1.0/1.0")
    assert not only(c.home, "alarm-on-sockets")


# Colours ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("edition", "notices", "found"), [("17th", (), 1), ("17th", ("Two colours",), 0), ("18th+A2", (), 0)]
)
def test_old_and_new_colours_are_a_note_under_older_editions_only(
    edition: str, notices: tuple[str, ...], found: int
) -> None:
    b = Wired()
    _, _, runs = b.ring()
    for n, run in enumerate(runs):
        b.say(run, colours="old" if n < 4 else "new")
    b.say("home", edition=edition)
    b.say(b.box, notices=notices)
    findings = only(b.home, "colours")
    assert [f.code for f in findings] == ["note"] * found


# No cpc, old cable ------------------------------------------------------------------------------------------------


def lights(cable: str, *, metal: bool | None = None, evidence: str = "seen") -> Wired:
    b = Wired()
    fittings = [b.put("light"), b.put("light")]
    if metal is not None:
        b.say(fittings[1], metal=metal)
    b.line(b.way(6), *fittings, cable=cable, evidence=evidence)  # type: ignore[arg-type]  # test shorthand
    return b


def test_lighting_without_a_cpc_is_an_improvement_and_under_a_metal_fitting_c2() -> None:
    assert one(lights("T 1.0 no cpc").home, "no-cpc").code == "C3"
    assert one(lights("T 1.0 no cpc", metal=False).home, "no-cpc").code == "C3"
    finding = one(lights("T 1.0 no cpc", metal=True).home, "no-cpc")
    assert finding.code == "C2"
    assert "do not extend" in finding.settle
    assert one(lights("T 1.0 no cpc", metal=True, evidence="assumed").home, "no-cpc").code == "FI"
    assert not only(lights("T&E 1.0/1.0", metal=True).home, "no-cpc")


def test_a_socket_at_the_end_of_a_cable_without_a_cpc_is_c2() -> None:
    b = Wired()
    way, socket = b.way(16), b.put()
    b.cable(way, socket, cable="T 1.5 no cpc")
    assert one(b.home, "no-cpc").code == "C2"


@pytest.mark.parametrize(
    ("cable", "code"),
    [("VIR 7/.029", "FI"), ("lead-sheathed 7/.029", "FI"), ("aluminium 2.5", "FI"), ("T&E 7/.029", "note"),
     ("T&E 2.5/1.5", ""), ("SWA 2.5 3-core", "")],
)  # fmt: skip
def test_rubber_lead_imperial_and_aluminium_are_not_to_be_extended(cable: str, code: str) -> None:
    b = Wired()
    way, points = b.way(15), b.twins(2)
    b.line(way, *points, cable=cable)
    found = only(b.home, "do-not-extend")
    assert [f.code for f in found] == ([code] if code else [])
    assert all("do not extend" in f.why for f in found)


def test_old_cable_is_one_line_per_circuit() -> None:
    b = Wired()
    way, points = b.way(15), b.twins(4)
    b.line(way, *points[:2], cable="VIR 7/.029")
    b.line(*points[1:], cable="lead-sheathed 7/.029")
    assert one(b.home, "do-not-extend").says.count(" and ") >= 1


def test_a_run_taken_out_says_nothing() -> None:
    b = Wired()
    way, points = b.way(6), [b.put("light"), b.put("light")]
    runs = b.line(way, *points, cable="T 1.0 no cpc")
    assert one(b.home, "no-cpc")
    for run in runs:
        b.say(run, phase="removed")
    assert not only(b.home, "no-cpc")
