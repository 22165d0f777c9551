"""Shapes as found in real homes, each from what was drawn and counted. Common practice, no source, unless named."""

from dataclasses import replace

import msgspec
import pytest

from circuitmap.home.records import End, Run, RunFault
from circuitmap.home.verbs import edit
from circuitmap.memo import Memo
from circuitmap.wiring import Shape, pieces, shape_of, shapes
from tests.build import Builder


class Ways(Builder):
    """A home with one board, sockets that were counted or not, and the shape of what hangs together."""

    def __init__(self) -> None:
        super().__init__()
        self.b = self.board()
        self.ways = 0

    def way(self, rating_a: float | None = 32, cables: int | None = None) -> str:
        self.ways += 1
        return self.device(self.b, str(self.ways), "MCB", rating_a, cables_seen=cables)

    def sockets(self, *counts: int | None) -> list[str]:
        return [self.point("socket", cables=count) for count in counts]

    def fused(self, cables: int | None = None, load: int | None = None) -> str:
        point = self.point("fused unit", cables=cables, fuse_a=13)
        self.do(edit(self.home, point, cables_seen_load=load))
        return point

    def ring(self, way: str, *points: str) -> list[str]:
        return self.chain(way, *points, way)

    def fault(self, run: str, *cores: str, evidence: str = "tested") -> None:
        record = self.home.take(Run, run)
        faults = (*record.faults, RunFault(kind="open", cores=cores, evidence=evidence))  # type: ignore[arg-type]
        self.do(edit(self.home, run, faults=faults))

    def shape(self) -> Shape:
        found = pieces(self.home)
        assert len(found) == 1, [piece.name for piece in found]
        return shape_of(found[0])


@pytest.fixture
def h() -> Ways:
    return Ways()


def test_two_legs_that_meet_are_a_ring_with_its_points_in_order(h: Ways) -> None:
    d, s = h.way(), h.sockets(2, 2, 2)
    runs = h.ring(d, *s)
    shape = h.shape()
    assert shape.kind == "ring"
    assert shape.loop == (d, *s)
    assert shape.loop_runs == tuple(runs)
    assert shape.legs == (runs[0], runs[-1])
    assert shape.closed == ("L", "N", "E")
    assert not shape.spurs
    assert not shape.untraced


def test_the_first_leg_as_marked_sets_the_direction_round_the_ring(h: Ways) -> None:
    d, s = h.way(), h.sockets(2, 2)
    h.run(End(at=d, leg=2), s[0])
    h.run(s[0], s[1])
    h.run(s[1], End(at=d, leg=1))
    assert h.shape().loop == (d, s[1], s[0])
    assert h.shape().legs == ("R3", "R1")


def test_two_cables_to_one_point_are_a_ring(h: Ways) -> None:
    d, (s,) = h.way(), h.sockets(2)
    h.ring(d, s)
    assert h.shape().kind == "ring"
    assert h.shape().loop == (d, s)


def test_a_ring_passes_through_the_supply_terminals_of_a_fused_unit(h: Ways) -> None:
    d, s, f = h.way(), h.sockets(2, 2), h.fused(2, 1)
    boiler = h.point("boiler", cables=1)
    h.ring(d, s[0], f, s[1])
    h.run(End(at=f, side="load"), boiler)
    shape = h.shape()
    assert shape.kind == "ring"
    assert shape.loop == (d, s[0], f, s[1])
    assert not shape.crosses
    (spur,) = shape.spurs
    assert (spur.leaves, spur.points, spur.fuse, spur.unfused_points) == (f, (boiler,), f, ())


def test_a_ring_drawn_from_supply_to_load_of_a_fused_unit_goes_through_its_fuse(h: Ways) -> None:
    d, s, f = h.way(), h.sockets(2, 2), h.fused(1, 1)
    h.chain(d, s[0], f)
    h.run(End(at=f, side="load"), s[1])
    h.run(s[1], d)
    shape = h.shape()
    assert shape.kind == "ring"
    assert shape.loop == (d, s[0], f, s[1])
    assert shape.crosses == (f,)


def test_four_cables_at_one_socket_are_two_spurs(h: Ways) -> None:
    d, s = h.way(), h.sockets(2, 4, 2)
    hang = h.sockets(1, 1)
    h.ring(d, *s)
    for each in hang:
        h.run(s[1], each)
    shape = h.shape()
    assert shape.kind == "ring with spurs"
    assert [(spur.leaves, spur.points, spur.deep) for spur in shape.spurs] == [
        (s[1], (hang[0],), False),
        (s[1], (hang[1],), False),
    ]
    assert not shape.untraced


def test_two_sockets_one_behind_the_other_on_a_spur_are_deep(h: Ways) -> None:
    d, s, hang = h.way(), h.sockets(2, 3), h.sockets(2, 1)
    h.ring(d, *s)
    h.chain(s[1], *hang)
    (spur,) = h.shape().spurs
    assert spur.points == tuple(hang)
    assert spur.unfused_points == tuple(hang)
    assert spur.deep
    assert not spur.branched
    assert spur.fuse is None


def test_two_sockets_side_by_side_from_a_joint_branch_without_being_deep(h: Ways) -> None:
    d, s, hang = h.way(), h.sockets(2, 3), h.sockets(1, 1)
    joint = h.point("junction box", cables=3)
    h.ring(d, *s)
    h.run(s[1], joint)
    for each in hang:
        h.run(joint, each)
    (spur,) = h.shape().spurs
    assert spur.branched
    assert not spur.deep  # a joint box is no point


def test_sockets_behind_a_fused_unit_are_fused_and_the_unit_is_the_unfused_point(h: Ways) -> None:
    d, s, hang, f = h.way(), h.sockets(2, 3), h.sockets(2, 1), h.fused(1, 1)
    h.ring(d, *s)
    h.run(s[1], f)
    h.run(End(at=f, side="load"), hang[0])
    h.run(hang[0], hang[1])
    (spur,) = h.shape().spurs
    assert spur.fuse == f
    assert spur.points == (f, *hang)
    assert spur.unfused_points == (f,)
    assert not spur.deep
    assert not spur.branched
    assert h.shape().kind == "ring with spurs"


def test_a_socket_before_the_fuse_is_told_from_those_behind_it(h: Ways) -> None:
    d, s, hang, f = h.way(), h.sockets(2, 3), h.sockets(2, 1), h.fused(1, 1)
    h.ring(d, *s)
    h.chain(s[1], hang[0], f)
    h.run(End(at=f, side="load"), hang[1])
    (spur,) = h.shape().spurs
    assert spur.unfused_points == (hang[0], f)
    assert spur.deep
    assert spur.fuse == f


def test_a_third_cable_at_the_way_of_a_ring_is_a_spur_from_the_origin(h: Ways) -> None:
    d, s, hang = h.way(cables=3), h.sockets(2, 2), h.sockets(1)
    h.ring(d, *s)
    h.run(d, hang[0])
    (spur,) = h.shape().spurs
    assert spur.leaves == d
    assert spur.points == tuple(hang)


def test_seven_points_in_a_ring_and_five_spurs(h: Ways) -> None:
    # Electrical Installation Work (5th ed.) gives a ring of seven points with five unfused spurs as within the rule.
    d, s = h.way(), h.sockets(*[3] * 5, 2, 2)
    hang = h.sockets(*[1] * 5)
    h.ring(d, *s)
    for take_off, each in zip(s, hang, strict=False):
        h.run(take_off, each)
    shape = h.shape()
    assert shape.kind == "ring with spurs"
    assert len(shape.loop) - 1 == 7
    assert len([spur for spur in shape.spurs if spur.fuse is None]) == 5


def test_a_board_on_a_spur_is_described_with_it(h: Ways) -> None:
    d, s = h.way(), h.sockets(2, 3)
    shed = h.board("B", source="run")
    h.ring(d, *s)
    h.run(s[1], shed)
    shape = h.shape()
    assert shape.boards == (shed,)
    (spur,) = shape.spurs
    assert spur.boards == (shed,)
    assert spur.points == ()


def test_a_ring_stays_a_ring_whatever_else_has_not_been_traced(h: Ways) -> None:
    d, s = h.way(), h.sockets(2, 3)
    h.ring(d, *s)
    shape = h.shape()
    assert shape.kind == "ring"
    assert [(each.at, each.cables) for each in shape.untraced] == [(s[1], 1)]


def test_one_run_taken_out_of_a_ring_is_not_known_enough_and_names_both_sides(h: Ways) -> None:
    d, s = h.way(cables=2), h.sockets(2, 2, 2, 2)
    runs = h.ring(d, *s)
    from circuitmap.home.verbs import count_cables, remove

    h.do(remove(h.home, runs[2]))
    shape = h.shape()
    assert shape.kind == "not known enough"
    assert [(each.at, each.cables) for each in shape.untraced] == [(s[1], 1), (s[2], 1)]
    assert shape.gap is None
    for end in s[1:3]:
        h.do(count_cables(h.home, end, 1))
    shape = h.shape()
    assert shape.kind == "open ring"
    assert shape.gap == (s[1], s[2])
    assert shape.loop == (d, *s)
    assert shape.closed == ()
    assert shape.absence == "seen"
    assert not shape.untraced


def test_a_ring_nobody_counted_with_a_run_out_is_not_known_enough(h: Ways) -> None:
    d, s = h.way(), h.sockets(None, None, None, None)
    h.chain(d, s[0], s[1])
    h.chain(s[2], s[3], d)
    shape = h.shape()
    assert shape.kind == "not known enough"
    assert {(each.at, each.cables) for each in shape.untraced} == {(s[1], None), (s[2], None)}


def test_two_radials_left_on_one_32_a_way_are_an_open_ring(h: Ways) -> None:
    d, s = h.way(32, cables=2), h.sockets(2, 1, 2, 3, 1, 1)
    h.chain(d, s[0], s[1])
    h.chain(d, s[2], s[3], s[4])
    h.run(s[3], s[5])
    shape = h.shape()
    assert shape.kind == "open ring"
    assert shape.gap == (s[1], s[4])
    assert [spur.points for spur in shape.spurs] == [(s[5],)]


@pytest.mark.parametrize("rating_a", [16, 20, None])
def test_two_legs_on_a_smaller_way_are_a_branched_radial(h: Ways, rating_a: float | None) -> None:
    d, s = h.way(rating_a, cables=2), h.sockets(2, 1, 2, 1)
    h.chain(d, s[0], s[1])
    h.chain(d, s[2], s[3])
    assert h.shape().kind == "branched radial"


def test_two_legs_of_cable_that_carries_32_a_are_radials(h: Ways) -> None:
    d, s = h.way(32, cables=2), h.sockets(2, 1, 2, 1)
    h.chain(d, s[0], s[1], cable="T&E 4/1.5")
    h.chain(d, s[2], s[3], cable="T&E 4/1.5")
    assert h.shape().kind == "branched radial"


def test_oven_and_hob_from_one_32_a_way_are_no_broken_ring(h: Ways) -> None:
    d = h.way(32, cables=2)
    for kind in ("oven", "hob"):
        h.run(d, h.point(kind))  # type: ignore[arg-type]
    assert h.shape().kind == "branched radial"


def test_an_end_seen_loose_is_evidence_of_a_break_without_any_count(h: Ways) -> None:
    d, s = h.way(), h.sockets(None, None, None)
    h.chain(d, s[0], s[1])
    h.run(s[1], End(state="loose"))
    h.chain(d, s[2])
    shape = h.shape()
    assert shape.kind == "open ring"
    assert shape.gap == (s[1], s[2])
    assert [(each.run, each.known) for each in shape.loose] == [("R3", s[1])]


def test_a_second_leg_that_ends_loose_without_a_point_on_it_is_half_a_ring(h: Ways) -> None:
    d, s = h.way(32, cables=2), h.sockets(2, 1)
    h.chain(d, *s)
    h.run(d, End(state="loose"))
    shape = h.shape()
    assert shape.kind == "open ring"
    assert shape.gap == (s[1], d)
    assert shape.loop == (d, *s)


def test_a_socket_leg_and_a_leg_to_a_sub_board_are_no_broken_ring(h: Ways) -> None:
    d, s = h.way(32, cables=2), h.sockets(2, 1)
    h.chain(d, *s)
    h.run(d, h.board("B", source="run"))
    assert h.shape().kind == "branched radial"


def test_one_loose_end_does_not_settle_it_while_a_cable_on_that_leg_goes_on(h: Ways) -> None:
    d, s = h.way(), h.sockets(3, 2, 1)
    h.chain(d, s[0], s[1])
    h.run(s[1], End(state="loose"))
    h.run(d, s[2])
    shape = h.shape()
    assert shape.kind == "not known enough"
    assert [(each.at, each.cables) for each in shape.untraced] == [(s[0], 1)]


def test_two_halves_and_a_spur_from_the_origin_are_still_an_open_ring(h: Ways) -> None:
    d, s, hang = h.way(32, cables=3), h.sockets(2, 1, 2, 1), h.sockets(1)
    h.chain(d, s[0], s[1])
    h.chain(d, s[2], s[3])
    h.run(d, hang[0])
    shape = h.shape()
    assert shape.kind == "open ring"
    assert shape.gap == (s[1], s[3])
    assert [(spur.leaves, spur.points) for spur in shape.spurs] == [(d, tuple(hang))]


def test_a_loose_end_on_a_single_leg_is_a_radial_with_a_loose_end(h: Ways) -> None:
    d, s = h.way(20), h.sockets(2, 2)
    h.chain(d, *s)
    h.run(s[1], End(at=s[0], state="loose"))
    shape = h.shape()
    assert shape.kind == "radial"
    assert shape.loose[0].near == s[0]


def test_a_cable_that_nobody_followed_is_untraced_at_its_known_end(h: Ways) -> None:
    d, (s,) = h.way(), h.sockets(2)
    h.run(d, s)
    h.run(s, End(state="unknown"))
    shape = h.shape()
    assert shape.kind == "not known enough"
    assert [(each.at, each.cables, each.run) for each in shape.untraced] == [(s, None, "R2")]


def test_a_lone_cable_from_a_way_that_nobody_followed_is_not_known_enough(h: Ways) -> None:
    d = h.way()
    h.run(d, End(state="unknown"))
    shape = h.shape()
    assert shape.kind == "not known enough"
    assert shape.untraced[0].at == d


def test_an_open_cpc_leaves_a_ring_in_line_and_neutral(h: Ways) -> None:
    d, s = h.way(), h.sockets(2, 2, 2)
    runs = h.ring(d, *s)
    h.fault(runs[1], "E")
    shape = h.shape()
    assert shape.kind == "ring"
    assert shape.closed == ("L", "N")


@pytest.mark.parametrize(("cores", "closed"), [((), ()), (("L", "N", "E"), ()), (("L",), ("N", "E"))])
def test_an_open_line_makes_an_open_ring_between_the_ends_of_that_run(
    h: Ways, cores: tuple[str, ...], closed: tuple[str, ...]
) -> None:
    d, s = h.way(), h.sockets(2, 2, 2)
    runs = h.ring(d, *s)
    h.fault(runs[1], *cores)
    shape = h.shape()
    assert shape.kind == "open ring"
    assert shape.gap == (s[0], s[1])
    assert shape.open_runs == (runs[1],)
    assert shape.closed == closed
    assert shape.absence == "tested"


def test_an_assumed_fault_makes_only_an_assumed_break(h: Ways) -> None:
    d, s = h.way(), h.sockets(2, 2)
    h.fault(h.ring(d, *s)[1], evidence="assumed")
    assert h.shape().evidence == "assumed"


def test_one_leg_and_counted_ends_are_a_radial(h: Ways) -> None:
    d, s = h.way(32, cables=1), h.sockets(2, 2, 1)
    h.chain(d, *s)
    shape = h.shape()
    assert shape.kind == "radial"
    assert shape.absence == "seen"
    assert shape.gap is None


def test_three_cables_at_a_socket_of_a_radial_are_a_branch_without_a_spur(h: Ways) -> None:
    d, s = h.way(20), h.sockets(2, 3, 1, 1)
    h.chain(d, *s[:3])
    h.run(s[1], s[3])
    shape = h.shape()
    assert shape.kind == "branched radial"
    assert shape.spurs == ()


def test_one_twin_socket_by_the_board_is_one_point_only(h: Ways) -> None:
    d, (s,) = h.way(32, cables=1), h.sockets(1)
    h.run(d, s)
    assert h.shape().kind == "one point only"


def test_a_shower_behind_its_switch_is_one_point_and_needs_no_count_at_the_shower(h: Ways) -> None:
    d, switch, shower = h.way(40), h.point("double-pole switch", cables=1), h.point("shower")
    h.run(d, switch)
    h.run(End(at=switch, side="load"), shower)
    assert h.shape().kind == "one point only"


def test_a_fused_unit_on_one_cable_with_its_boiler_is_one_point_only(h: Ways) -> None:
    d, f, boiler = h.way(16), h.fused(1, 1), h.point("boiler")
    h.run(d, f)
    h.run(End(at=f, side="load"), boiler)
    assert h.shape().kind == "one point only"


def test_a_load_not_drawn_behind_a_fused_unit_does_not_make_a_radial_unknown(h: Ways) -> None:
    d, (s,), f = h.way(20), h.sockets(2), h.fused(1, 1)
    h.chain(d, s, f)
    shape = h.shape()
    assert shape.kind == "radial"
    assert [(each.at, each.after_fuse) for each in shape.untraced] == [(f, True)]


def test_a_ring_fed_through_one_cable_is_a_loop_on_a_stalk(h: Ways) -> None:
    d, s = h.way(cables=1), h.sockets(2, 3, 2, 2)
    runs = h.chain(d, s[0], s[1], s[2], s[3], s[1])
    shape = h.shape()
    assert shape.kind == "loop on a stalk"
    assert shape.loop == (s[1], s[2], s[3])
    assert shape.stalk == tuple(runs[:2])
    assert shape.legs == (runs[0],)


def test_a_bridged_ring_names_the_run_across(h: Ways) -> None:
    d, s = h.way(), h.sockets(2, 3, 2, 3, 2)
    h.ring(d, *s)
    across = h.run(s[1], s[3])
    shape = h.shape()
    assert shape.kind == "bridged ring"
    assert shape.bridges == (across,)
    assert shape.loop == (d, *s)


def test_a_bridge_with_a_socket_in_it_names_both_its_runs(h: Ways) -> None:
    d, s, (mid,) = h.way(), h.sockets(2, 3, 2, 2, 3, 2), h.sockets(2)
    h.ring(d, *s)
    across = h.chain(s[1], mid, s[4])
    assert h.shape().bridges == tuple(across)


def test_two_rings_from_one_way_are_several_loops(h: Ways) -> None:
    d, s = h.way(cables=4), h.sockets(2, 2, 2, 2)
    h.ring(d, *s[:2])
    h.ring(d, *s[2:])
    assert h.shape().kind == "several loops"


def test_two_loops_that_meet_in_a_socket_are_several_loops(h: Ways) -> None:
    d, s = h.way(), h.sockets(2, 4, 2, 2)
    h.ring(d, s[0], s[1])
    h.chain(s[1], s[2], s[3], s[1])
    shape = h.shape()
    assert shape.kind == "several loops"
    assert shape.loop == (d, s[0], s[1])


def test_one_leg_in_each_of_two_ways_is_said_so(h: Ways) -> None:
    a, b, s = h.way(32, cables=1), h.way(32, cables=1), h.sockets(2, 3, 2)
    (hang,) = h.sockets(1)
    runs = h.chain(a, *s, b)
    h.run(s[1], hang)
    shape = h.shape()
    assert shape.kind == "legs on two ways"
    assert shape.loop == (a, *s, b)
    assert shape.legs == (runs[0], runs[-1])
    assert [spur.points for spur in shape.spurs] == [(hang,)]


def test_two_rings_with_a_run_between_them_are_two_ways_joined_there(h: Ways) -> None:
    a, b, s = h.way(), h.way(), h.sockets(2, 3, 2, 3)
    h.ring(a, s[0], s[1])
    h.ring(b, s[2], s[3])
    between = h.run(s[1], s[3])
    shape = h.shape()
    assert shape.kind == "two ways joined"
    assert shape.joins == (between,)
    assert shape.spurs == ()


def test_two_rings_that_share_a_socket_are_joined_at_it(h: Ways) -> None:
    a, b, s = h.way(), h.way(), h.sockets(2, 2, 4)
    h.ring(a, s[0], s[2])
    h.ring(b, s[1], s[2])
    shape = h.shape()
    assert shape.kind == "two ways joined"
    assert shape.joins == (s[2],)


def test_two_lighting_ways_that_meet_are_joined_not_a_ring(h: Ways) -> None:
    a, b = h.way(6, cables=1), h.way(6, cables=1)
    lights = [h.point("light", cables=2) for _ in range(3)]
    h.chain(a, *lights, b)
    assert h.shape().kind == "two ways joined"


def test_two_ways_with_more_cables_than_legs_are_joined_not_one_ring(h: Ways) -> None:
    a, b, s = h.way(32, cables=2), h.way(32, cables=2), h.sockets(2, 2)
    h.chain(a, *s, b)
    assert h.shape().kind == "two ways joined"


def test_points_without_a_way_are_fed_by_nothing_once_all_is_counted(h: Ways) -> None:
    s = h.sockets(1, 1)
    h.run(*s)
    assert h.shape().kind == "fed by nothing"


def test_points_without_a_way_and_not_counted_are_not_known_enough(h: Ways) -> None:
    h.run(*h.sockets(None, 2))
    assert h.shape().kind == "not known enough"


def test_looped_in_lights_with_switch_drops_are_a_radial(h: Ways) -> None:
    d = h.way(6, cables=1)
    lights = [h.point("light", cables=count) for count in (3, 3, 2)]
    switches = [h.point("switch") for _ in lights]
    h.chain(d, *lights)
    for light, switch in zip(lights, switches, strict=True):
        h.run(light, switch, role="switch drop")
    shape = h.shape()
    assert shape.kind == "radial"
    assert shape.points == tuple(lights)


def test_a_switch_cable_that_was_only_said_as_worked_is_not_untraced(h: Ways) -> None:
    d, light, switch = h.way(6), h.point("light", cables=2), h.point("switch")
    h.do(edit(h.home, switch, controls=(light,)))
    h.run(d, light)
    assert h.shape().kind == "one point only"


def test_two_way_switching_with_strappers_is_never_a_ring(h: Ways) -> None:
    d = h.way(6)
    first, second = (h.point("switch", cables=3) for _ in range(2))
    light = h.point("light")
    h.run(d, first)
    for _ in range(2):
        h.run(first, second, role="strappers")
    h.run(second, light, role="switched")
    shape = h.shape()
    assert shape.kind == "one point only"
    assert set(shape.points) == {first, second, light}
    assert shape.closed == ()


def test_lamps_off_their_switches_do_not_branch_a_radial(h: Ways) -> None:
    d = h.way(6, cables=1)
    switches = [h.point("switch", cables=count) for count in (3, 2)]
    lamps = [h.point("light") for _ in switches]
    h.chain(d, *switches)
    for switch, lamp in zip(switches, lamps, strict=True):
        h.run(switch, lamp, role="switched")
    assert h.shape().kind == "radial"


def test_a_lamp_cable_at_a_looped_switch_that_was_only_said_is_not_untraced(h: Ways) -> None:
    d, lights = h.way(6), [h.point("light") for _ in range(2)]
    switches = [h.point("switch", cables=count) for count in (3, 2)]
    for switch, light in zip(switches, lights, strict=True):
        h.do(edit(h.home, switch, controls=(light,)))
    h.chain(d, *switches)
    shape = h.shape()
    assert shape.kind == "radial"
    assert not shape.untraced


def test_planned_and_removed_runs_are_not_in_the_shape(h: Ways) -> None:
    d, s = h.way(), h.sockets(1, 1)
    h.run(d, s[0])
    planned = h.run(s[0], s[1])
    h.do(edit(h.home, planned, phase="planned"))
    assert h.shape().points == (s[0],)


def test_a_shape_is_as_good_as_its_weakest_run(h: Ways) -> None:
    d, s = h.way(), h.sockets(2, 2)
    h.run(d, s[0], evidence="tested")
    h.run(s[0], s[1], evidence="inferred")
    h.run(s[1], d, evidence="seen")
    assert h.shape().evidence == "inferred"


def test_the_order_in_which_runs_were_drawn_does_not_change_the_shape(h: Ways) -> None:
    d, s = h.way(), h.sockets(2, 3, 2)
    (hang,) = h.sockets(1)
    h.ring(d, *s)
    h.run(s[1], hang)
    piece = pieces(h.home)[0]
    turned = replace(piece, runs=tuple(msgspec.structs.replace(run, a=run.b, b=run.a) for run in piece.runs))
    assert shape_of(turned) == shape_of(piece)


def test_only_the_piece_that_changed_gets_a_new_shape(h: Ways) -> None:
    one, two = h.way(), h.way()
    s, t = h.sockets(2, 2), h.sockets(2, 2)
    h.ring(one, *s)
    runs = h.ring(two, *t)
    memo = Memo()
    before = shapes(h.home, memo)
    h.do(edit(h.home, runs[0], evidence="tested"))
    after = shapes(h.home, memo)
    assert after[0] is before[0]
    assert after[1] is not before[1]
    assert [piece.name for piece, _ in after] == [one, two]
