"""What a way's view gathers. Facts of the trade here are common practice, no source."""

import pytest

from circuitmap.circuits import views
from circuitmap.home.records import End, RunFault
from circuitmap.home.verbs import clear, count_cables, edit, note, remove, share_plate, tag, untag
from circuitmap.memo import Memo
from circuitmap.trade import load
from tests.circuits.house import House


@pytest.fixture
def h() -> House:
    return House()


def by(view: object) -> dict[str, tuple[str, ...]]:
    return {member.point.id: member.by for member in view.members}  # type: ignore[attr-defined]


def test_run_tag_and_switch_off_are_kept_side_by_side(h: House) -> None:
    a = h.way()
    h.way()
    runs, said, seen, every = (h.point(cables=1) for _ in range(4))
    h.run(a, runs)
    h.run(runs, every)
    h.do(tag(h.home, said, a, "inferred"))
    h.do(tag(h.home, every, a, "assumed"))
    h.settle(seen, a)
    h.settle(every, a)
    view = h.view("A1")
    assert by(view) == {runs: ("run",), said: ("tag",), seen: ("round",), every: ("run", "tag", "round")}
    assert [m.evidence for m in view.members] == ["seen", "inferred", "tested", "tested"]
    assert view.names == (runs, said, seen, every)
    assert h.view("A2").members == ()


def test_where_they_disagree_the_point_is_on_both_ways(h: House) -> None:
    a, b, p = h.way(), h.way(), h.point(cables=1)
    h.run(a, p)
    h.settle(p, b)
    assert by(h.view("A1")) == {p: ("run",)}
    assert by(h.view("A2")) == {p: ("round",)}


def test_a_member_by_runs_is_as_good_as_the_weakest_run_of_its_best_way(h: House) -> None:
    a, p = h.way(), [h.point() for _ in range(3)]
    h.run(a, p[0], evidence="tested")
    h.run(p[0], p[1], evidence="inferred")
    h.run(p[1], p[2], evidence="tested")
    assert [m.evidence for m in h.view("A1").members] == ["tested", "inferred", "inferred"]
    h.run(p[2], a, evidence="seen")  # the other way round the ring is the better one
    assert [m.evidence for m in h.view("A1").members] == ["tested", "seen", "seen"]


def test_a_switch_is_on_the_way_of_the_light_it_works(h: House) -> None:
    a = h.way(6)
    light, switch, hung = h.point("light"), h.point("switch"), h.point("switch")
    h.run(a, light, evidence="inferred")
    h.do(edit(h.home, switch, controls=(light,)))
    h.run(light, hung, role="switch drop")
    view = h.view("A1")
    assert by(view) == {light: ("run",), switch: ("run",), hung: ("run",)}
    assert {m.evidence for m in view.members} == {"inferred"}
    assert [run.id for run in view.runs] == ["R1"]
    assert [run.id for run in view.drops] == ["R2"]


def test_a_light_that_nothing_else_names_is_on_the_way_of_its_switch_by_inference(h: House) -> None:
    a = h.way(6)
    light, other, switch = h.point("light"), h.point("light"), h.point("switch")
    h.run(a, switch, evidence="tested")
    h.do(edit(h.home, switch, controls=(light, other)))
    h.say(h.way(6), other)
    view = h.view("A1")
    assert by(view) == {light: ("run",), switch: ("run",)}
    assert view.members[0].evidence == "inferred"
    assert by(h.view("A2")) == {other: ("tag",)}


def test_a_switch_with_a_feed_of_its_own_stays_where_that_is(h: House) -> None:
    a, b = h.way(6), h.way(6)
    light, switch = h.point("light"), h.point("switch")
    h.do(tag(h.home, light, a))
    h.run(b, switch)
    h.do(edit(h.home, switch, controls=(light,)))
    assert by(h.view("A1")) == {light: ("tag",)}
    assert by(h.view("A2")) == {switch: ("run",)}


def test_the_nearest_fused_point_above_a_member_is_named(h: House) -> None:
    a, s = h.way(), [h.point() for _ in range(4)]
    first, second = h.point("fused unit"), h.point("fused unit")
    h.chain(a, s[0], s[1], a)
    h.chain(s[1], first)
    h.run(End(at=first, side="load"), s[2])
    h.run(s[2], second)
    h.run(End(at=second, side="load"), s[3])
    fuse = {m.point.id: m.after_fuse.id if m.after_fuse else None for m in h.view("A1").members}
    assert fuse == {s[0]: None, s[1]: None, first: None, s[2]: first, second: first, s[3]: second}


def test_points_on_a_way_without_runs_leave_a_radial_open_to_anything_but_not_a_ring(h: House) -> None:
    a, b = h.way(20), h.way(32)
    r = [h.point(cables=2), h.point(cables=1)]
    h.chain(a, *r)
    ring = [h.point(cables=2) for _ in range(2)]
    h.chain(b, *ring, b)
    assert h.view("A1").shape.kind == "radial"  # type: ignore[union-attr]
    extra = h.point()
    for way in (a, b):
        h.do(tag(h.home, extra, way))
    first, second = h.view("A1"), h.view("A2")
    assert first.shape is not None
    assert first.shape.kind == "not known enough"
    assert [(each.at, each.cables) for each in first.shape.untraced] == [(extra, None)]
    assert [each.at for each in first.missing] == [extra]
    assert second.shape is not None
    assert second.shape.kind == "ring"
    assert [each.at for each in second.missing] == [extra]


def test_a_break_told_by_counts_alone_falls_with_a_point_that_was_not_traced(h: House) -> None:
    a = h.way(32)
    s = [h.point(cables=1) for _ in range(2)]
    for each in s:
        h.run(a, each)
    assert h.view("A1").shape.kind == "open ring"  # type: ignore[union-attr]
    extra = h.point()
    h.settle(extra, a)
    shape = h.view("A1").shape
    assert shape is not None
    assert (shape.kind, shape.gap, shape.loop) == ("not known enough", None, ())


def test_an_open_core_stays_a_break_whatever_was_not_traced(h: House) -> None:
    a, s, extra = h.way(32), h.point(cables=2), h.point()
    h.run(a, s)
    h.do(tag(h.home, extra, a))
    back = h.run(s, a)
    h.do(edit(h.home, back, faults=(RunFault(kind="open", evidence="tested"),)))
    assert h.view("A1").shape.kind == "open ring"  # type: ignore[union-attr]


def test_an_appliance_that_was_said_but_not_drawn_leaves_a_radial_a_radial(h: House) -> None:
    a, s, fan = h.way(20), h.point(cables=1), h.point("extractor fan")
    h.run(a, s)
    h.do(tag(h.home, fan, a))
    view = h.view("A1")
    assert view.shape is not None
    assert view.shape.kind == "one point only"
    assert [each.at for each in view.missing] == [fan]


def test_a_way_with_points_and_no_runs_says_so_once(h: House) -> None:
    a = h.way()
    for _ in range(3):
        h.say(a, h.point())
    view = h.view("A1")
    assert view.shape is None
    assert [each.at for each in view.missing] == [a]
    assert "A1" in view.missing[0].says


def test_what_is_missing_is_said_with_its_place(h: House) -> None:
    a, s = h.way(cables_seen=2), [h.point(cables=3), h.point()]
    h.chain(a, *s)
    h.run(s[0], End(state="unknown"))
    says = {each.at: each.says for each in h.view("A1").missing}
    assert says[a] == "1 cable more was seen at A1 than there are runs drawn."
    assert "R3" in says[s[0]]
    assert says[s[1]].startswith("Nobody counted the cables at socket P2")


def test_joined_points_without_a_way_belong_to_the_only_way_that_is_named(h: House) -> None:
    a, p = h.way(), [h.point(cables=count) for count in (1, 2, 1)]
    h.way()
    h.chain(*p, evidence="inferred")
    h.do(tag(h.home, p[0], a, "seen"))
    view = h.view("A1")
    assert by(view) == {p[0]: ("tag",), p[1]: ("run",), p[2]: ("run",)}
    assert [m.evidence for m in view.members] == ["seen", "inferred", "inferred"]
    assert view.shape is None
    assert len(view.runs) == 2
    h.do(tag(h.home, p[2], "D2"))
    assert by(h.view("A1")) == {p[0]: ("tag",)}


def test_joined_ways_feed_each_others_points(h: House) -> None:
    a, b, s = h.way(), h.way(), [h.point(cables=2) for _ in range(2)]
    h.chain(a, *s, b)
    for code in ("A1", "A2"):
        assert h.view(code).names == tuple(s)
        assert h.view(code).shape.kind == "legs on two ways"  # type: ignore[union-attr]


def test_a_sub_board_is_named_with_the_way_that_feeds_it_and_its_ways_with_what_is_above(h: House) -> None:
    rcd = h.device(h.b, "R", "RCD", 63)
    feed = h.way(upstream=rcd)
    shed = h.board("B", source="run")
    lamp = h.device(shed, "1", rating_a=6)
    h.run(feed, shed)
    view = h.view("A1")
    assert [board.id for board in view.boards_fed] == [shed]
    assert [device.id for device in view.above] == [rcd]
    assert [device.id for device in h.view("B1").above] == [feed, rcd]
    assert h.view("B1").device.id == lamp


def test_only_what_feeds_a_circuit_has_a_view_unless_something_hangs_on_it(h: House) -> None:
    switch = h.way(100, "main switch")
    h.way()
    isolator = h.way(63, "isolator")
    assert [view.code for view in h.views()] == ["A2"]
    h.run(isolator, h.point("shower"))
    assert [view.code for view in h.views()] == ["A2", "A3"]
    assert switch not in {view.device.id for view in h.views()}


def test_rooms_and_storeys_come_from_the_members(h: House) -> None:
    up, down = h.storey("First", 1), h.storey("Ground", 0)
    kitchen = h.room("Kitchen", down, (0, 0, 4000, 3000))
    a = h.way()
    low = h.point(at=(down, 1000, 1000))
    high = h.point(at=(up, 1000, 1000))
    listed = h.point(room=h.room("Study"))
    for each in (low, high, listed):
        h.do(tag(h.home, each, a))
    view = h.view("A1")
    assert [room.name for room in view.rooms] == ["Kitchen", "Study"]
    assert view.storeys == (down, up)
    assert next(m.room.id for m in view.members if m.room) == kitchen
    assert [m.storey for m in view.members] == [down, up, None]


def test_notes_of_device_points_and_runs_are_there_until_cleared(h: House) -> None:
    a, p, other = h.way(), h.point(), h.point()
    run = h.run(a, p)
    for subject in (a, p, run, other):
        h.do(note(h.home, subject, ("scorched",)))
    assert [each.subject for each in h.view("A1").notes] == [a, p, run]
    h.do(clear(h.home, h.view("A1").notes[1].id, h.visit()))
    assert [each.subject for each in h.view("A1").notes] == [a, run]


def test_planned_points_and_devices_are_left_out(h: House) -> None:
    a, b, p = h.way(), h.way(), h.point()
    h.do(tag(h.home, p, a))
    h.do(edit(h.home, p, phase="planned"))
    h.do(edit(h.home, b, phase="planned"))
    (view,) = h.views()
    assert view.members == ()


def test_a_view_is_the_same_object_while_nothing_it_read_has_changed(h: House) -> None:
    store = h.storey()
    a, b = h.way(), h.way()
    p, q = h.point(at=(store, 0, 0), cables=1), h.point(at=(store, 5000, 0), cables=1)
    h.run(a, p)
    h.run(b, q)
    first = h.views()
    h.visit()
    assert h.views() is first
    h.do(edit(h.home, p, name="by the door"))
    second = h.views()
    assert second[0] is not first[0]
    assert second[1] is first[1]
    h.room("Hall", store, (-1000, -1000, 1000, 1000))
    third = h.views()
    assert third[0].rooms
    assert third[1] is first[1]
    h.do(count_cables(h.home, b, 2))
    assert h.views()[0] is third[0]
    assert h.views()[1] is not third[1]


def test_views_kept_by_memo_equal_those_worked_out_afresh(h: House) -> None:
    store = h.storey()
    a, b = h.way(), h.way(6)
    s = [h.point(at=(store, 100 * i, 0), cables=2) for i in range(4)]
    light, switch = h.point("light", cables=2), h.point("switch")
    steps = [
        lambda: h.chain(a, *s, a),
        lambda: h.do(tag(h.home, light, b)),
        lambda: h.do(edit(h.home, switch, controls=(light,))),
        lambda: h.run(b, light),
        lambda: h.do(note(h.home, switch, ("damp",))),
        lambda: h.settle(s[0], a),
        lambda: h.do(share_plate(h.home, [light, switch])),
        lambda: h.do(edit(h.home, switch, controls=())),
        lambda: h.do(untag(h.home, light, b)),
        lambda: h.do(remove(h.home, "R2")),
        lambda: h.do(edit(h.home, a, upstream=b)),
        lambda: h.do(edit(h.home, h.b, letter_on_map="C")),
        lambda: h.do(remove(h.home, s[3])),
        lambda: h.do(remove(h.home, b)),
    ]
    for step in steps:
        step()
        assert h.views() == views(h.home, load(), Memo())
