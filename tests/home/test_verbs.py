"""The trade's verbs: what each does to a home, and its sentence when it can't."""

import pytest

from circuitmap.errors import HomeError
from circuitmap.home import verbs
from circuitmap.home.records import (
    Check,
    Device,
    End,
    Place,
    Plate,
    Point,
    ProvingTest,
    Room,
    Round,
    Ruling,
    Run,
    Supply,
    Tag,
)
from tests.build import Builder


def ring() -> Builder:
    build = Builder("Ring")
    build.storey()
    build.room("Kitchen", "G1", (0, 0, 4000, 3000))
    build.board()
    build.device("B1", "1")
    for n in range(3):
        build.point(at=("G1", n * 1000, 0))
    build.chain("D1", "P1", "P2", "P3", "D1")
    return build


def test_the_legs_of_a_ring_are_numbered_as_they_are_drawn() -> None:
    home = ring().home
    assert (home.take(Run, "R1").a.leg, home.take(Run, "R4").b.leg) == (1, 2)


def test_inserting_a_point_into_a_run_makes_two_of_the_same_cable() -> None:
    build = ring()
    build.do(verbs.edit(build.home, "R2", length_mm=5001))
    point = build.point(at=("G1", 1500, 0))
    change = verbs.split(build.home, "R2", point)
    build.do(change)
    first, second = build.home.take(Run, "R2"), build.home.take(Run, "R5")
    assert (first.a.at, first.b.at, second.a.at, second.b.at) == ("P1", "P4", "P4", "P2")
    assert (first.length_mm, second.length_mm, second.cable) == (2500, 2501, first.cable)
    with pytest.raises(HomeError, match=r"P4 is already at an end of this run\."):
        verbs.split(build.home, "R2", "P4")


def test_removing_a_device_takes_its_runs_tags_and_switch_offs_along_and_undo_brings_all_back() -> None:
    build = ring()
    build.device("B1", "2", upstream="D1")
    build.do(verbs.tag(build.home, "P1", "D1"))
    visit = build.visit()
    build.check(build.round(visit, "D1"), "P1", "off")
    build.round(visit, "D1", "D2")
    before = build.home
    change = verbs.remove(before, "D1")
    build.do(change)
    assert sorted(build.home.table(Run)) == ["R2", "R3"]
    assert not build.home.table(Tag)
    assert not build.home.table(Check)
    assert build.home.take(Device, "D2").upstream is None
    assert list(build.home.table(Round)) == ["S2"]  # S1 would read as "everything on"
    assert build.home.take(Round, "S2").off == ("D2",)
    assert build.home.problems() == []
    build.do(change.inverse())
    assert build.home == before


def test_points_on_a_plate_that_goes_take_over_its_place() -> None:
    build = ring()
    build.do(verbs.share_plate(build.home, ["P1", "P2"]))
    plate = build.home.take(Plate, "T1")
    assert (plate.gangs, plate.place) == (2, Place(storey="G1", x_mm=0, y_mm=0))
    assert build.home.take(Point, "P1").place is None
    moved = Place(storey="G1", x_mm=9, y_mm=9)
    build.do(verbs.move(build.home, "P2", moved))
    build.do(verbs.remove(build.home, "T1"))
    assert [build.home.take(Point, i).place for i in ("P1", "P2")] == [moved, moved]
    with pytest.raises(HomeError, match=r"Choose at least two points to share a plate\."):
        verbs.share_plate(build.home, ["P1", "P1"])
    with pytest.raises(HomeError, match=r"The home itself can't be removed\."):
        verbs.remove(build.home, "home")


def test_removing_a_storey_leaves_its_rooms_as_names_and_its_points_unplaced() -> None:
    build = ring()
    build.do(verbs.remove(build.home, "G1"))
    room = build.home.take(Room, "M1")
    assert (room.storey, room.outline_mm) == (None, ())
    assert build.home.take(Point, "P1").place is None
    assert build.home.problems() == []


def test_an_end_is_followed_counted_and_seen_loose() -> None:
    build = ring()
    run = build.run("P3", End(state="unknown"))
    build.do(verbs.follow(build.home, run, "b", "P1"))
    assert build.home.take(Run, run).b == End(at="P1")
    build.do(verbs.cut(build.home, run, "b"))
    assert build.home.take(Run, run).b == End(state="loose")
    change = verbs.count_cables(build.home, "P3", 1, load_side=True)
    assert change.title == "1 cable at socket P3"
    build.do(change)
    build.do(verbs.count_cables(build.home, "D1", 2))
    assert (build.home.take(Point, "P3").cables_seen_load, build.home.take(Device, "D1").cables_seen) == (1, 2)
    with pytest.raises(HomeError, match="Cables are counted at ways and points, not at"):
        verbs.count_cables(build.home, "B1", 2)
    with pytest.raises(HomeError, match="A run can't end at"):
        verbs.join(build.home, "P1", "M1")


def test_saying_again_what_feeds_a_point_only_sets_the_evidence() -> None:
    build = ring()
    build.do(verbs.tag(build.home, "P1", "D1", "assumed"))
    build.do(verbs.tag(build.home, "P1", "D1", "tested"))
    assert [(t.id, t.evidence) for t in verbs.tags_of(build.home, "P1")] == [("K1", "tested")]
    build.do(verbs.untag(build.home, "P1", "D1"))
    assert verbs.tags_of(build.home, "P1") == ()
    with pytest.raises(HomeError, match=r"There is no P99 in this home\."):
        verbs.tag(build.home, "P99", "D1")


def test_boards_take_the_next_free_letter_and_ways_the_next_number() -> None:
    build = ring()
    build.do(verbs.add_board(build.home))
    assert build.home.letter_of("B2") == "B"
    assert verbs.next_way(build.home, "B1") == "2"
    for _ in range(24):
        build.do(verbs.add_board(build.home))
    with pytest.raises(HomeError, match=r"All 26 board letters are taken; remove a board first\."):
        verbs.add_board(build.home)


def test_the_supply_page_is_started_once_and_then_changed() -> None:
    build = ring()
    build.do(verbs.set_supply(build.home, earthing="TT"))
    build.do(verbs.set_supply(build.home, phases=1))
    supply = verbs.supply_of(build.home)
    assert supply == Supply(id="E1", earthing="TT", phases=1)


def test_a_switch_off_is_open_until_the_power_is_back() -> None:
    build = ring()
    visit = build.visit()
    all_on, off = build.round(visit), build.round(visit, "D1")
    assert (verbs.is_open(build.home.take(Round, all_on)), verbs.is_open(build.home.take(Round, off))) == (False, True)
    build.do(verbs.record_event(build.home, off, "power back"))
    assert not verbs.is_open(build.home.take(Round, off))


def test_dead_is_proved_only_when_every_step_was_recorded() -> None:
    build = ring()
    visit = build.visit()
    tests = tuple(ProvingTest(pair=pair, dead=True) for pair in ("L-N", "L-E", "N-E"))
    facts = {"locked": True, "proved_before": True, "proved_after": True}

    def proved(**changed: object) -> bool:
        made = verbs.record_isolation(build.home, visit, ("P1",), ("D1",), **{"tests": tests, **facts, **changed})  # type: ignore[arg-type]  # facts by name
        record = made.pairs[0][1]
        return bool(getattr(record, "is_proved"))  # noqa: B009 - any record may stand in a pair

    assert proved()
    for missing in ({"locked": False}, {"proved_before": False}, {"proved_after": False}, {"tests": tests[:2]},
                    {"tests": (*tests, ProvingTest(pair="L-N", dead=False))}):  # fmt: skip
        assert not proved(**missing), missing


def test_a_later_ruling_on_the_same_finding_replaces_the_earlier() -> None:
    build = ring()
    build.do(verbs.rule_on(build.home, "spur:P1", "agree"))
    build.do(verbs.rule_on(build.home, "spur:P1", "not so", why="looked again"))
    assert [(r.id, r.why) for r in build.home.sorted(Ruling)] == [("U1", "looked again")]
