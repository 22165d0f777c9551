"""What's where: facts for isolating the right thing. None is a defect, none raises the exit code.

Gates: common practice, no source (sockets with sockets, one stray of four or more, labels that name a kind or a room).
"""

import pytest

from circuitmap.findings import RULES
from circuitmap.home import verbs
from circuitmap.home.records import Load
from tests.findings.ask import Wired, one, only, said


def test_every_rule_of_the_family_is_a_fact_not_a_finding() -> None:
    family = [rule for rule in RULES if rule.family == "grouping"]
    assert family
    assert all(rule.aside and rule.severity == "note" for rule in family)
    assert not any(rule.aside for rule in RULES if rule.family != "grouping")


def kitchen(mine: int, strays: int, kind: str = "socket") -> Wired:
    b = Wired()
    room = b.room("Kitchen", b.ground, (0, 0, 4000, 4000))
    assert room
    usual, other = b.way(label="Sockets"), b.way(20, label="Utility")
    for n in range(mine + strays):
        point = b.point(kind, (b.ground, 300 + 400 * n, 200))  # type: ignore[arg-type]
        b.do(verbs.tag(b.home, point, usual if n < mine else other))
    return b


def test_one_stray_of_four_or_more_is_said() -> None:
    finding = one(kitchen(4, 1).home, "stray")
    assert finding.aside
    assert finding.code == "note"
    assert "A2" in finding.says
    assert "A1" in finding.says
    assert "Kitchen" in finding.says
    assert not only(kitchen(2, 1).home, "stray")
    assert not only(kitchen(3, 3).home, "stray")


def test_sockets_are_compared_with_sockets_and_lights_with_lights() -> None:
    b = kitchen(4, 0)
    lights = b.way(6, label="Lights")
    light = b.point("light", (b.ground, 2000, 2000))
    hob = b.point("hob", (b.ground, 2000, 300))
    b.do(verbs.tag(b.home, light, lights))
    cooking = b.way(32, label="Hob")
    b.do(verbs.tag(b.home, hob, cooking))
    assert not only(b.home, "stray")


def test_a_circuit_over_two_storeys_is_described() -> None:
    b = Wired()
    upper = b.storey("First", 1)
    b.room("Lounge", b.ground, (0, 0, 4000, 4000))
    b.room("Bedroom", upper, (0, 0, 4000, 4000))
    way = b.way()
    for storey, x in ((b.ground, 1000), (b.ground, 2000), (upper, 1000)):
        point = b.point("socket", (storey, x, 1000))
        b.do(verbs.tag(b.home, point, way))
    finding = one(b.home, "spans")
    assert finding.aside
    assert "several storeys" in finding.says
    assert not only(kitchen(4, 0).home, "spans")


def test_an_outdoor_point_on_an_indoor_circuit_is_said_where_it_is_protected() -> None:
    b = Wired()
    _, points, _ = b.ring(3)
    assert not only(b.home, "outdoors-shared")
    outside = b.put("outdoor socket")
    b.cable(points[0], outside)
    assert one(b.home, "outdoors-shared").subjects == (outside,)


def test_what_must_not_be_lost_without_asking_is_listed_per_circuit() -> None:
    b = Wired()
    way, points, _ = b.ring(3)
    assert not only(b.home, "takes-down")
    b.say(points[0], loads=(Load(what="freezer", if_off="spoils"), Load(what="lamp")))
    finding = one(b.home, "takes-down")
    assert finding.subjects == (way,)
    assert finding.aside
    assert "freezer" in finding.says
    assert "lamp" not in finding.says


def test_two_circuits_in_one_box_warn_whoever_opens_it() -> None:
    b = Wired()
    first, second = b.put("switch"), b.put("switch")
    up, down = b.put("light"), b.put("light")
    for switch, light in ((first, up), (second, down)):
        b.say(switch, controls=(light,))
        way = b.way(6)
        b.do(verbs.tag(b.home, light, way))
    b.do(verbs.share_plate(b.home, (first, second)))
    finding = one(b.home, "shared-box")
    assert finding.aside
    assert "A1 and A2" in finding.says
    assert "all of them off, then prove dead" in finding.settle


def test_every_socket_behind_one_rcd_is_one_line() -> None:
    b = Wired()
    b.ring(3)
    b.ring(3)
    assert one(b.home, "one-rcd").subjects == (b.over,)
    second = b.device(b.box, "", "RCD", 80, upstream=b.main)
    way, points = b.way(upstream=second), b.twins(2)
    b.line(way, *points)
    assert not only(b.home, "one-rcd")


def labelled(label: str) -> Wired:
    """Five lights in the lounge and one socket in the kitchen on one way."""
    b = Wired()
    kitchen_room, lounge = b.room("Kitchen"), b.room("Lounge")
    way = b.way(6, label=label)
    for kind, room in (*[("light", lounge)] * 5, ("socket", kitchen_room)):
        point = b.point(kind, room=room)  # type: ignore[arg-type]
        b.do(verbs.tag(b.home, point, way))
    return b


@pytest.mark.parametrize(
    "label", ["Sockets", "Kitchen", "Kit", "Kitchen skts", "Smoke alarms", "S/D", "Ring main", "Immersion"]
)
def test_a_label_that_names_another_kind_or_room_gets_a_better_one(label: str) -> None:
    finding = one(labelled(label).home, "label-misfit")
    assert finding.aside
    assert "better: “Lights" in finding.says


@pytest.mark.parametrize(
    "label",
    ["Lights", "Lts dn", "Lounge", "Sitting rm", "Lounge lights", "Utility/ext", "Circuit 2", "", "Kitchener end"],
)
def test_a_label_that_names_nothing_else_is_left_alone(label: str) -> None:
    assert not only(labelled(label).home, "label-misfit")


def test_a_fact_is_as_sure_as_what_it_rests_on() -> None:
    b = Wired()
    _, points, _ = b.ring(3, evidence="inferred")
    outside = b.put("outdoor socket")
    b.cable(points[0], outside, evidence="assumed")
    b.say(points[0], loads=(Load(what="freezer", if_off="spoils"),))
    assert one(b.home, "outdoors-shared").evidence == "assumed"
    assert one(b.home, "takes-down").evidence == "assumed"


def test_the_same_label_twice_on_a_board_proposes_better_ones() -> None:
    b = kitchen(3, 3)
    for way in b.home.devices_on(b.box):
        if way.label:
            b.say(way.id, label="Sockets ")
    finding = one(b.home, "same-label")
    assert finding.aside
    assert "A1" in finding.says
    assert "A2" in finding.says
    b.say(finding.subjects[0], label="Sockets, front")
    assert not only(b.home, "same-label")


def test_spare_ways_may_share_a_label() -> None:
    b = Wired()
    for label in ("Spare", "spare", "Not in use", "not in use"):
        b.way(label=label)
    assert not only(b.home, "same-label")


def test_facts_come_after_all_findings() -> None:
    b = kitchen(4, 1)
    found = said(b.home)
    asides = [f.aside for f in found]
    assert any(asides)
    assert asides == sorted(asides)
