"""Rules of additional protection: one line per board, C2 only where it is worse, nothing where nobody recorded.

BS 7671 411.3.3, 411.3.4, 701.411.3.3, from memory; suggested codes (outdoors, TT, bathrooms): common guidance, from
memory.
"""

import pytest

from circuitmap.home import verbs
from circuitmap.home.records import Bond, Rcd
from tests.findings.ask import Wired, grave, one, only


def unprotected(**facts: object) -> Wired:
    """Sockets, lights and a bathroom light, none behind an RCD."""
    b = Wired(rcd=False)
    b.supply(**facts)
    b.ring(4)
    bath = b.room("Bathroom")
    for room in (None, bath):
        light = b.put("light", room=room) if room else b.put("light")
        b.cable(b.way(6), light, cable="T&E 1.0/1.0")
    return b


def test_ways_without_an_rcd_are_one_improvement_for_the_board_naming_the_ways() -> None:
    b = unprotected()
    finding = one(b.home, "rcd-missing")
    assert finding.code == "C3"
    assert finding.subjects[0] == b.box
    assert len(finding.subjects) == 4
    assert "socket outlets on A1" in finding.says
    assert "lights on A2 and A3" in finding.says
    assert "a bathroom on A3" in finding.says
    assert "18th+A2" in finding.settle
    assert not grave(b.home)


def test_lighting_is_only_asked_for_since_the_18th_edition() -> None:
    b = unprotected()
    b.say("home", edition="17th")
    finding = one(b.home, "rcd-missing")
    assert "lights" not in finding.says
    assert "socket outlets on A1" in finding.says


def test_a_home_behind_rcds_or_rcbos_has_no_finding() -> None:
    b = Wired()
    b.supply()
    b.ring(4)
    assert not only(b.home, "rcd-missing")
    c = Wired(rcd=False)
    c.supply()
    way, points = c.way(32, "RCBO", rcd=Rcd(trips_ma=30.0, type="A")), c.twins(3)
    c.line(way, *points, way)
    assert not only(c.home, "rcd-missing")


def test_an_rcd_of_100_ma_is_no_additional_protection() -> None:
    b = Wired()
    b.supply()
    b.ring(4)
    b.say(b.over, rcd=Rcd(trips_ma=100.0, type="A"))
    assert one(b.home, "rcd-missing").code == "C3"


def test_where_nobody_said_which_ways_an_rcd_is_over_nothing_is_missing() -> None:
    b = Wired()
    b.supply()
    way, points = b.way(32, upstream=None), b.twins(3)
    b.line(way, *points, way)
    outside = b.put("outdoor socket")
    b.cable(points[0], outside)
    assert not only(b.home, "rcd-missing")
    assert not only(b.home, "rcd-outdoors")
    finding = one(b.home, "rcd-unsaid")
    assert (finding.code, finding.subjects) == ("note", (b.box, way))
    b.say(way, upstream=b.over)
    assert not only(b.home, "rcd-unsaid")


def test_an_outdoor_socket_without_an_rcd_is_c2_and_with_one_at_the_point_nothing() -> None:
    b = Wired(rcd=False)
    b.supply()
    _, points, _ = b.ring(4)
    outside = b.put("outdoor socket")
    b.cable(points[0], outside)
    finding = one(b.home, "rcd-outdoors")
    assert finding.code == "C2"
    assert outside in finding.subjects
    b.say(outside, rcd=Rcd(trips_ma=30.0, type="A"))
    assert not only(b.home, "rcd-outdoors")


def test_an_outdoor_socket_on_a_way_by_hearsay_is_to_be_looked_into() -> None:
    b = Wired(rcd=False)
    b.supply()
    socket, way = b.put("outdoor socket"), b.way()
    b.do(verbs.tag(b.home, socket, way, evidence="assumed"))
    assert one(b.home, "rcd-outdoors").code == "FI"


@pytest.mark.parametrize(("state", "code"), [("no", "C2"), ("yes", ""), ("not seen", "")])
def test_a_bathroom_is_c2_only_without_rcd_and_without_supplementary_bonding(state: str, code: str) -> None:
    bonds = (Bond(to="gas", state="yes"), Bond(to="bathroom (supplementary)", state=state))  # type: ignore[arg-type]
    b = unprotected(bonds=bonds)
    assert [f.code for f in only(b.home, "rcd-bathroom")] == ([code] if code else [])
    assert one(b.home, "rcd-missing").code == "C3"
    assert not only(b.home, "bonding")  # that rule is about main bonding


def test_an_earth_electrode_without_rcds_is_c2_once_for_the_board() -> None:
    b = unprotected(earthing="TT")
    finding = one(b.home, "rcd-tt")
    assert finding.code == "C2"
    assert finding.subjects[0] == b.box
    assert len(finding.subjects) == 4
    assert not only(b.home, "rcd-missing")


def test_an_earth_electrode_behind_100_ma_wants_30_ma_for_sockets_only() -> None:
    b = Wired()
    b.supply(earthing="TT")
    b.ring(4)
    b.say(b.over, rcd=Rcd(trips_ma=100.0, type="A"))
    assert not only(b.home, "rcd-tt")
    assert one(b.home, "rcd-missing").code == "C3"


def test_type_ac_matters_only_with_electronics_behind_it() -> None:
    b = Wired()
    b.supply()
    b.say(b.over, rcd=Rcd(trips_ma=30.0, type="AC"))
    b.ring(4)
    assert not only(b.home, "rcd-type")
    charger = b.put("EV charging point")
    b.cable(b.way(32), charger, cable="T&E 6/2.5")
    finding = one(b.home, "rcd-type")
    assert finding.code == "FI"
    assert charger in finding.subjects


def test_a_source_behind_an_rcd_asks_whether_it_is_made_for_both_directions() -> None:
    b = Wired()
    b.supply()
    inverter = b.put("PV inverter")
    b.cable(b.way(16), inverter)
    assert one(b.home, "rcd-one-way").code == "FI"
    c = Wired(rcd=False)
    c.supply()
    c.cable(c.way(16), c.put("PV inverter"))
    assert not only(c.home, "rcd-one-way")
