"""Rules of spurs: how many, what hangs on them, which fuse and cable.

On-Site Guide 7.2.2 as quoted: an unfused spur feeds one single or one twin socket or one fixed appliance; unfused spurs
not more than the points in the ring; fused spurs by 13 A. Electrical Installation Work, 5th ed.: 7 points, 5 spurs.
"""

import pytest

from circuitmap.home import verbs
from circuitmap.home.records import End, Load, Point, Rcd, Run
from circuitmap.words import PointKind
from tests.findings.ask import Wired, grave, one, only, said


@pytest.mark.parametrize(("kind", "gangs"), [("socket", 1), ("socket", 2), ("extractor fan", 1), ("fused unit", 1)])
def test_one_thing_on_an_unfused_spur_is_allowed(kind: PointKind, gangs: int) -> None:
    b = Wired()
    _, points, _ = b.ring()
    b.cable(points[2], b.put(kind, gangs=gangs))
    assert not grave(b.home)
    assert not only(b.home, "spur-overfed")


def test_two_twins_branching_on_one_unfused_spur_on_2_5_are_c2() -> None:
    b = Wired()
    _, points, _ = b.ring()
    joint, left, right = b.put("junction box"), *b.twins(2)
    b.cable(points[2], joint)
    b.cable(joint, left)
    b.cable(joint, right)
    finding = one(b.home, "spur-overfed")
    assert finding.code == "C2"
    assert finding.subjects == (points[2], left, right)
    assert "may draw" in finding.why
    assert "27 A" in finding.why


def test_a_spur_off_a_spur_is_said_as_that() -> None:
    b = Wired()
    _, points, _ = b.ring()
    first, second = b.put(), b.put()
    b.line(points[2], first, second)
    finding = one(b.home, "spur-off-spur")
    assert finding.subjects == (points[2], first, second)
    assert finding.code == "C3"  # 13 A and 13 A on a cable good for 27 A: not as it should be, not an overload
    assert not only(b.home, "spur-overfed")


def test_the_code_follows_load_and_cable() -> None:
    b = Wired()
    _, points, _ = b.ring()
    first, second = b.twins(2)
    b.line(points[2], first, second, cable="T&E 2.5/1.5")
    assert one(b.home, "spur-off-spur").code == "C2"
    c = Wired()
    _, points, _ = c.ring()
    first, second = c.twins(2)
    c.line(points[2], first, second, cable="T&E 6/2.5")
    assert one(c.home, "spur-off-spur").code == "C3"
    d = Wired()
    _, points, _ = d.ring()
    first, second = d.twins(2)
    d.line(points[2], first, second, cable="")
    assert one(d.home, "spur-off-spur").code == "FI"  # nobody looked at the cable: to be found out, not judged
    e = Wired()
    _, points, _ = e.ring()
    first, second = e.twins(2)
    e.cable(points[2], first, cable="T&E 6/2.5")
    e.cable(first, second, cable="")
    assert one(e.home, "spur-off-spur").code == "FI"  # half of it is known to be good, the other half may not be
    e.say(e.home.sorted(Run)[-1].id, cable="T&E 2.5/1.5")
    assert one(e.home, "spur-off-spur").code == "C2"


def test_what_hangs_behind_a_fused_unit_is_no_spur_off_a_spur() -> None:
    b = Wired()
    _, points, _ = b.ring()
    fused, *behind = b.put("fused unit", fuse_a=13.0), *b.twins(4)
    b.cable(points[2], fused)
    b.cable(End(at=fused, side="load"), behind[0])
    b.line(*behind)
    assert not grave(b.home)


def test_four_cables_at_a_ring_socket_are_two_spurs_and_three_on_a_radial_a_branch() -> None:
    b = Wired()
    way, points, _ = b.ring()
    left, right = b.twins(2)
    b.cable(points[3], left)
    b.cable(points[3], right)
    radial = b.way(20)
    line = b.twins(4)
    b.line(radial, *line[:3])
    b.cable(line[1], line[3])
    b.count(**{points[3]: 4, line[1]: 3, line[2]: 1, line[3]: 1, way: 2, radial: 1})
    assert not [*only(b.home, "spur-overfed"), *only(b.home, "spur-off-spur"), *only(b.home, "overload")]


def test_seven_points_and_five_spurs_are_fine() -> None:
    """Electrical Installation Work, 5th ed., the book's own example."""
    b = Wired()
    _, points, _ = b.ring(7)
    for point, spur in zip(points, b.twins(5), strict=False):
        b.cable(point, spur)
    assert not only(b.home, "spurs-too-many")


def test_seven_points_and_eight_spurs_are_too_many() -> None:
    """Electrical Installation Work, 5th ed.: no more unfused spurs than points, here 8 for 7."""
    b = Wired()
    _, points, _ = b.ring(7)
    for point, spur in zip([*points, points[0]], b.twins(8), strict=True):
        b.cable(point, spur)
    assert "8 unfused spurs for 7 points" in one(b.home, "spurs-too-many").says


def test_more_unfused_spurs_than_points_in_the_ring_are_an_improvement() -> None:
    b = Wired()
    way, points, _ = b.ring(4)
    for point, spur in zip([*points, points[0]], b.twins(5), strict=True):
        b.cable(point, spur)
    finding = one(b.home, "spurs-too-many")
    assert (finding.code, finding.subjects) == ("C3", (way,))
    assert "5 unfused spurs for 4 points" in finding.says
    assert "a twin socket counts as 1" in finding.why


def test_a_home_may_count_a_twin_as_two_points() -> None:
    b = Wired()
    _, points, _ = b.ring(4)
    for point, spur in zip([*points, points[0]], b.twins(5), strict=True):
        b.cable(point, spur)
    b.say("home", choices=(("twin socket counts as", "textbook"),))
    assert not only(b.home, "spurs-too-many")


def test_switches_joints_and_blanks_are_no_points_of_the_ring() -> None:
    b = Wired()
    way = b.way()
    twins = b.twins(2)
    stops = [twins[0], b.put("junction box"), b.put("blank plate"), twins[1]]
    b.line(way, *stops, way)
    for spur in b.twins(3):
        b.cable(stops[1], spur)
    assert "3 unfused spurs for 2 points" in one(b.home, "spurs-too-many").says


@pytest.mark.parametrize(
    ("ring", "spur", "method", "code"),
    [("T&E 2.5/1.5", "T&E 1.5/1.0", "A", "C2"), ("T&E 2.5/1.5", "T&E 1.0/1.0", "C", "C2"),
     ("T&E 2.5/1.5", "T&E 1.5/1.0", "C", "note"), ("T&E 4/1.5", "T&E 2.5/1.5", "C", "note")],
)  # fmt: skip
def test_a_thinner_spur_matters_below_20_a(ring: str, spur: str, method: str, code: str) -> None:
    b = Wired()
    _, points, _ = b.ring(cable=ring)
    b.cable(points[0], b.put(gangs=2), cable=spur, method=method)
    assert one(b.home, "spur-thin").code == code


def test_only_the_thin_part_of_a_spur_is_called_thin() -> None:
    b = Wired()
    _, points, _ = b.ring()
    joint, socket = b.put("junction box"), b.put(gangs=2)
    b.cable(points[0], joint)
    thin = b.cable(joint, socket, cable="T&E 1.5/1.0", method="A")
    finding = one(b.home, "spur-thin")
    assert finding.says.startswith("Part of the unfused spur")
    assert finding.subjects == (points[0], thin)
    assert finding.code == "C2"


def test_a_thin_part_is_judged_though_the_rest_of_the_spur_is_not_recorded() -> None:
    b = Wired()
    _, points, _ = b.ring()
    joint, socket = b.put("junction box"), b.put(gangs=2)
    b.cable(points[0], joint, cable="")
    b.cable(joint, socket, cable="T&E 1.5/1.0", method="A")
    assert one(b.home, "spur-thin").code == "C2"


def test_a_thinner_cable_behind_a_fuse_is_no_thin_spur() -> None:
    b = Wired()
    _, points, _ = b.ring()
    fused, fan = b.put("fused unit", fuse_a=3.0), b.put("extractor fan")
    b.cable(points[0], fused)
    b.cable(End(at=fused, side="load"), fan, cable="flex 0.75")
    assert not only(b.home, "spur-thin")
    assert not grave(b.home)


def fused_boiler(fuse_a: float, cable: str, watts: float | None = 2000.0) -> Wired:
    b = Wired()
    way, points = b.way(), b.twins(4)
    fused, boiler = b.put("fused unit", fuse_a=fuse_a), b.put("boiler")
    b.line(way, points[0], fused, *points[1:], way)
    b.cable(End(at=fused, side="load"), boiler, cable=cable)
    if watts is not None:
        b.load(boiler, "boiler", watts)
    return b


@pytest.mark.parametrize(
    ("fuse_a", "cable", "watts", "code"),
    [(13.0, "flex 0.75", 2000.0, "C2"), (15.0, "T&E 2.5/1.5", 2000.0, "C2"), (13.0, "T&E 2.5/1.5", 130.0, "note"),
     (3.0, "flex 0.75", 130.0, ""), (13.0, "T&E 2.5/1.5", 2000.0, ""), (13.0, "T&E 2.5/1.5", None, "")],
)  # fmt: skip
def test_a_fuse_suits_its_cable_and_its_load(fuse_a: float, cable: str, watts: float | None, code: str) -> None:
    found = only(fused_boiler(fuse_a, cable, watts).home, "fuse-large")
    assert [f.code for f in found] == ([code] if code else [])


def test_more_than_13_a_behind_a_fuse_is_a_note_that_the_fuse_goes_first() -> None:
    b = fused_boiler(13.0, "T&E 2.5/1.5", 3500.0)
    finding = one(b.home, "fused-load")
    assert finding.code == "note"
    assert "the fuse will blow first" in finding.says
    assert not only(fused_boiler(13.0, "T&E 2.5/1.5", 2900.0).home, "fused-load")


def outside(*, fused: bool, sockets: int, evidence: str = "seen") -> Wired:
    """An outbuilding fed from a ring: through a fused unit with an RCD and armoured cable, or straight off it."""
    b = Wired()
    _, points, _ = b.ring()
    feed, light, twins = b.put("outbuilding feed"), b.put("light"), b.twins(sockets)
    if fused:
        unit = b.put("fused unit", fuse_a=13.0)
        b.say(unit, rcd=Rcd(trips_ma=30.0, type="A"))
        b.cable(points[1], unit)
        b.cable(End(at=unit, side="load"), feed, cable="SWA 2.5 3-core")
        b.line(feed, *twins, light, cable="SWA 2.5 3-core")
    else:
        b.cable(points[1], feed)
        b.line(feed, *twins)
    return b


def test_an_outbuilding_behind_a_fused_unit_with_an_rcd_and_armoured_cable_is_healthy() -> None:
    assert not grave(outside(fused=True, sockets=1).home)


def test_its_twin_on_an_unfused_spur_with_two_twins_is_c2_and_points_at_earthing() -> None:
    b = outside(fused=False, sockets=2)
    finding = one(b.home, "outbuilding-on-spur")
    assert finding.code == "C2"
    assert "earthing" in finding.settle
    assert "27 A" in finding.why  # 20 A and 20 A against the cable
    assert [f.rule for f in said(b.home) if f.code == "C2"] == ["outbuilding-on-spur"], "one cable, one finding"


def test_a_heavy_load_out_there_counts_even_without_sockets() -> None:
    b = outside(fused=False, sockets=1)
    heater = b.put("panel heater")
    b.load(heater, "heater", 3000.0)
    feed = next(p.id for p in b.home.sorted(Point) if p.kind == "outbuilding feed")
    b.cable(feed, heater)
    finding = one(b.home, "outbuilding-on-spur")
    assert finding.code == "C2"
    assert "may draw about 33" in finding.why


def test_an_outbuilding_with_one_outlet_on_an_unfused_spur_is_to_be_looked_into() -> None:
    assert one(outside(fused=False, sockets=1).home, "outbuilding-on-spur").code == "FI"


def test_a_spur_that_is_only_guessed_stays_below_c2() -> None:
    b = Wired()
    _, points, _ = b.ring()
    first, second = b.twins(2)
    b.line(points[2], first, second, evidence="inferred")
    assert one(b.home, "spur-off-spur").code == "FI"


def test_a_load_written_down_counts_and_a_planned_point_does_not() -> None:
    b = Wired()
    _, points, _ = b.ring()
    first, second = b.put("extractor fan"), b.put("extractor fan")
    b.line(points[2], first, second)
    for fan in (first, second):
        b.say(fan, loads=(Load(what="fan", power_w=30.0),))
    assert one(b.home, "spur-off-spur").code == "C3"
    b.do(verbs.edit(b.home, second, phase="planned"))
    assert not only(b.home, "spur-off-spur")


def test_a_second_board_on_somebodys_unfused_spur_is_c2_and_named() -> None:
    b = Wired()
    _, points, _ = b.ring()
    shed = b.board("B", name="Shed", source="run")
    b.cable(points[1], End(at=shed, side="supply"))
    finding = one(b.home, "outbuilding-on-spur")
    assert finding.code == "C2"
    assert finding.subjects == (points[1], shed)
    assert "oard B (Shed)" in finding.says


def test_two_outlets_on_one_spur_from_the_ways_own_terminal_name_the_board() -> None:
    b = Wired()
    way, points, _ = b.ring()
    first, second = b.twins(2)
    b.line(way, first, second)
    finding = one(b.home, "spur-off-spur")
    assert finding.subjects == (way, first, second)
    assert "the board (A1)" in finding.says
    assert points
