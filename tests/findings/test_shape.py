"""Rules of shape: what is broken, bridged, joined, fed through one cable; and what is nothing of the kind.

Reg 433.1.204 as quoted (ring: device of 30 or 32 A, cable of 20 A at least); the rest is common practice, no source.
"""

from itertools import pairwise

import pytest

from circuitmap.home import verbs
from circuitmap.home.records import End, Run
from tests.findings.ask import Wired, grave, one, only


def broken(rating_a: float = 32, cable: str = "T&E 2.5/1.5") -> tuple[Wired, str, list[str]]:
    """A ring with one run gone and every cable counted."""
    b = Wired()
    way, points = b.way(rating_a), b.twins(6)
    b.line(way, *points[:3], cable=cable)
    b.line(way, *reversed(points[3:]), cable=cable)
    b.count(**{way: 2}, **{p: 1 if p in (points[2], points[3]) else 2 for p in points})
    return b, way, points


def test_a_ring_found_open_is_c2_while_a_32_a_device_stands_over_2_5_mm2() -> None:
    b, way, points = broken()
    finding = one(b.home, "ring-open")
    assert finding.code == "C2"
    assert set(finding.subjects) == {way, points[2], points[3]}
    assert "A1" in finding.says
    assert "32 A" in finding.why
    assert "2.5 mm²" in finding.why
    assert "20 A" in finding.settle  # what makes it safe meanwhile
    assert finding.evidence == "seen"


def test_a_whole_ring_has_no_finding() -> None:
    b = Wired()
    _, points, _ = b.ring()
    b.count(**dict.fromkeys(points, 2))
    assert not grave(b.home)


def test_a_run_taken_away_is_not_called_a_break_before_its_ends_were_counted() -> None:
    b = Wired()
    way, points, runs = b.ring()
    b.do(verbs.remove(b.home, runs[3]))
    assert not only(b.home, "ring-open")
    assert one(b.home, "not-traced").code == "note"
    b.count(**{way: 2}, **{p: 1 if p in (points[2], points[3]) else 2 for p in points})
    assert one(b.home, "ring-open").code == "C2"


def test_a_broken_ring_of_unrecorded_cable_is_to_be_looked_into() -> None:
    b, _, _ = broken(cable="")
    finding = one(b.home, "ring-open")
    assert finding.code == "FI"
    assert "cable not recorded" in finding.why


def test_what_is_known_of_a_broken_rings_cable_counts_as_far_as_it_goes() -> None:
    """Some runs of 4 mm² don't make the ring one of 4 mm²; one of 2.5 mm² is enough to judge it."""
    b, _, _ = broken(cable="")
    runs = list(b.home.table(Run))
    b.say(runs[0], cable="T&E 4/1.5")
    finding = one(b.home, "ring-open")
    assert (finding.code, "not recorded everywhere" in finding.why) == ("FI", True)
    b.say(runs[1], cable="T&E 2.5/1.5")
    finding = one(b.home, "ring-open")
    assert (finding.code, "2.5 mm² cable" in finding.why) == ("C2", True)


def test_two_legs_of_4_mm2_are_two_radials_not_a_broken_ring() -> None:
    b, _, _ = broken(cable="T&E 4/1.5")
    assert not only(b.home, "ring-open")


def test_a_guess_of_a_cable_cannot_make_a_c2() -> None:
    b = Wired()
    way, points = b.way(), b.twins(4)
    b.line(way, points[0], points[1], evidence="assumed")
    b.line(way, points[3], points[2], evidence="assumed")
    b.count(**{way: 2, points[0]: 2, points[1]: 1, points[2]: 1, points[3]: 2})
    finding = one(b.home, "ring-open")
    assert (finding.code, finding.evidence) == ("FI", "assumed")


def test_an_open_cpc_leaves_line_and_neutral_whole_and_working_points_do_not_clear_it() -> None:
    b = Wired()
    way, points, runs = b.ring()
    b.open_core(runs[2], "E")
    with b.visited(*points) as visit:
        b.switched(visit, way, gone=tuple(points))
    finding = one(b.home, "ring-core-open")
    assert finding.code == "C2"
    assert finding.subjects == (way, runs[2])
    assert "cpc only" in finding.says
    assert "line and neutral go all the way round" in finding.says
    assert not only(b.home, "ring-open")


def test_an_open_core_that_is_only_assumed_is_to_be_looked_into() -> None:
    b = Wired()
    _, _, runs = b.ring()
    b.open_core(runs[2], "E", evidence="assumed")
    assert one(b.home, "ring-core-open").code == "FI"


def test_an_open_line_is_a_broken_ring_once_not_twice() -> None:
    b = Wired()
    _, _, runs = b.ring()
    b.open_core(runs[2], "L")
    assert one(b.home, "ring-open").code == "C2"
    assert not only(b.home, "ring-core-open")


@pytest.mark.parametrize(("stalk", "code"), [("T&E 2.5/1.5", "C2"), ("T&E 6/2.5", "note"), ("", "FI")])
def test_a_ring_through_one_cable_is_judged_by_that_cable(stalk: str, code: str) -> None:
    b = Wired()
    way, (first, *rest) = b.way(), b.twins(5)
    b.cable(way, first, cable=stalk)
    b.line(first, *rest, first)
    finding = one(b.home, "ring-stalk")
    assert finding.code == code
    assert finding.subjects[0] == way


def test_an_interconnected_ring_is_an_improvement() -> None:
    b = Wired()
    _, points, _ = b.ring()
    bridge = b.cable(points[0], points[3])
    finding = one(b.home, "ring-bridged")
    assert finding.code == "C3"
    assert bridge in finding.subjects or len(finding.subjects) > 1


def test_two_loops_on_one_way_are_a_note() -> None:
    b = Wired()
    way, _, _ = b.ring(3)
    more = b.twins(3)
    b.line(way, *more, way)
    assert one(b.home, "ring-bridged").code == "note"


def test_a_rings_legs_on_two_ways_leave_each_terminal_live() -> None:
    b = Wired()
    one_way, other, points = b.way(), b.way(), b.twins(5)
    b.line(one_way, *points, other)
    finding = one(b.home, "ring-two-ways")
    assert finding.code == "C2"
    assert set(finding.subjects) == {one_way, other}
    assert "A1 and A2" in finding.says
    for words in ("its own outgoing terminal stays live", "Treat both as one", "both off, then prove dead"):
        assert words in finding.why
    assert not only(b.home, "ways-joined")


def test_two_circuits_joined_are_said_once_with_where() -> None:
    b = Wired()
    first, points, _ = b.ring(4)
    second, others, _ = b.ring(4)
    run = b.cable(points[1], others[2])
    finding = one(b.home, "ways-joined")
    assert finding.code == "C2"
    assert {first, second, run} <= set(finding.subjects)
    assert "stays live" in finding.why
    assert "both off, then prove dead" in finding.why


def test_an_end_seen_loose_is_a_finding_and_one_nobody_followed_is_not() -> None:
    b = Wired()
    way, points, _ = b.ring()
    run = b.cable(points[0], End(state="loose"))
    assert one(b.home, "cable-loose").subjects == (way, run)
    c = Wired()
    _, points, _ = c.ring()
    c.cable(points[0], End(state="unknown"))
    assert not only(c.home, "cable-loose")
    assert one(c.home, "not-traced").code == "note"


def test_a_loose_end_of_a_cable_that_no_way_is_known_to_feed_is_found_too() -> None:
    b = Wired()
    socket = b.put()
    run = b.cable(socket, End(state="loose"))
    finding = one(b.home, "cable-loose-unfed")
    assert (finding.code, finding.subjects) == ("FI", (run,))
    assert socket in finding.says


def test_a_point_fed_by_nothing_needs_every_cable_counted() -> None:
    b = Wired()
    first, second = b.twins(2)
    b.cable(first, second)
    assert not only(b.home, "fed-by-nothing")
    b.count(**{first: 1, second: 1})
    assert one(b.home, "fed-by-nothing").subjects == (first, second)


def test_three_ways_joined_are_counted_as_three() -> None:
    c = Wired()
    rings = [c.ring(3) for _ in range(3)]
    for (_, points, _), (_, others, _) in pairwise(rings):
        c.cable(points[1], others[1])
    assert one(c.home, "ways-joined").says.startswith("3 ways are joined: A1, A2 and A3")
