"""Invented homes: the same for the same seed, whole, of the size asked for, with the faults asked for and no others."""

import math
from collections import Counter
from pathlib import Path

import pytest

from circuitmap.errors import HomeError
from circuitmap.home.exchange import open_home, write_folder
from circuitmap.home.records import Check, Device, Plate, Point, Room, Round, Run, Supply, Tag, Visit, Wall
from circuitmap.memo import Memo
from circuitmap.plan import rooms_of_points
from circuitmap.survey.kinds import is_way
from circuitmap.survey.rehearsal import Invented, invent
from circuitmap.survey.taken import taken
from circuitmap.trade import load

TRADE = load()
SIZES = (2, 3, 4, 5, 7, 10, 13, 17, 21, 29, 40, 60)


def ways_of(made: Invented) -> set[str]:
    return {device.id for device in made.home.table(Device).values() if is_way(device)}


def feeding(made: Invented) -> set[str]:
    return {device for fed in made.truth.values() for device in fed.devices}


def checkable(made: Invented) -> set[str]:
    return {point.id for point in made.home.table(Point).values() if TRADE.point(point.kind).checkable}


def how(made: Invented) -> Counter[str]:
    return Counter(fed.how for fed in made.truth.values())


def test_the_same_seed_gives_the_same_home_and_another_seed_another() -> None:
    one, again, other = invent(5), invent(5), invent(6)
    assert one == again
    assert one.home.counters == again.home.counters
    assert one.home != other.home


@pytest.mark.parametrize("ways", SIZES)
def test_every_way_feeds_a_point_at_any_size(ways: int) -> None:
    for seed in range(6):
        made = invent(seed, ways=ways)
        assert len(ways_of(made)) == ways
        assert feeding(made) == ways_of(made)
        assert checkable(made) == set(made.truth)
        assert how(made) == {"one way": len(made.truth)}


@pytest.mark.parametrize(("ways", "points"), [(2, 2), (7, 7), (12, 60), (30, 500), (40, 45), (60, 1000)])
def test_as_many_points_that_can_be_checked_as_asked_for(ways: int, points: int) -> None:
    made = invent(3, ways=ways, points=points)
    assert len(checkable(made)) == points
    assert feeding(made) == ways_of(made)


def test_points_alone_choose_a_likely_number_of_ways() -> None:
    assert [len(ways_of(invent(1, points=points))) >= least for points, least in ((2, 2), (40, 6), (500, 60))] == [
        True, True, True
    ]  # fmt: skip
    assert len(ways_of(invent(1, points=40))) <= 10


def test_with_fewer_points_than_ways_each_point_is_on_a_way_of_its_own() -> None:
    made = invent(2, ways=12, points=8)
    assert len(made.truth) == len(feeding(made)) == 8
    assert len(ways_of(made)) == 12


@pytest.mark.parametrize("seed", range(25))
def test_an_invented_home_holds_together_and_survives_the_text_form(seed: int, tmp_path: Path) -> None:
    made = invent(seed, ways=2 + seed, joined=seed % 2, second_source=seed % 3, not_fed=seed % 2)
    assert made.home.problems() == []
    write_folder(tmp_path / "home", made.home)
    assert open_home(tmp_path / "home") == made.home


def test_nothing_of_the_wiring_is_recorded() -> None:
    home = invent(4, joined=1, second_source=1).home
    assert not any(home.table(kind) for kind in (Run, Tag, Visit, Round, Check))
    supply = home.sorted(Supply)[0]
    assert (supply.phases, supply.sources_asked, supply.sources) == (1, True, ())
    assert all(point.cables_seen is None for point in home.table(Point).values())


def test_every_point_stands_in_a_room_and_inside_its_outline() -> None:
    for seed in range(20):
        home = invent(seed).home
        rooms = rooms_of_points(home, Memo())
        assert all(rooms[point] is not None for point in home.table(Point))
        drawn = [room for room in home.table(Room).values() if room.outline_mm]
        for one in drawn:
            for other in drawn:
                if one.id < other.id and one.storey == other.storey:
                    assert not _overlap(one, other), (one.name, other.name)


def _overlap(one: Room, other: Room) -> bool:
    (a, b), (c, d) = one.outline_mm[0], one.outline_mm[2]
    (e, f), (g, h) = other.outline_mm[0], other.outline_mm[2]
    return a < g and e < c and b < h and f < d


# what is planted ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(20))
def test_joined_ways_feed_all_their_points_together_under_one_rcd_or_none(seed: int) -> None:
    made = invent(seed, ways=8 + seed, joined=2)
    assert len(made.joined) == 2
    assert len({device for pair in made.joined for device in pair}) == 4
    for pair in made.joined:
        touched = [fed for fed in made.truth.values() if set(fed.devices) & set(pair)]
        assert touched
        assert all(fed.how == "joined" and fed.devices == pair for fed in touched)
        one, other = (made.home.take(Device, device) for device in pair)
        assert one.upstream == other.upstream
        assert one.rcd is None
        assert other.rcd is None


@pytest.mark.parametrize("seed", range(20))
def test_points_fed_from_elsewhere_or_from_nowhere_are_as_many_as_asked_for(seed: int) -> None:
    made = invent(seed, second_source=2, not_fed=1, joined=1)
    assert {point for point, fed in made.truth.items() if fed.how == "elsewhere"} == set(made.second_source)
    assert {point for point, fed in made.truth.items() if fed.how == "not fed"} == set(made.not_fed)
    assert (len(made.second_source), len(made.not_fed)) == (2, 1)
    assert feeding(made) == ways_of(made)
    assert not any(made.home.take(Point, point).loads for point in made.not_fed)


def test_a_borrowed_neutral_is_switched_with_its_way_and_under_the_same_rcd() -> None:
    for seed in range(20):
        made = invent(seed, ways=9, borrowed=1)
        (fed,) = [fed for fed in made.truth.values() if fed.how == "either"]
        line, neutral = (made.home.take(Device, device) for device in fed.devices)
        assert line.neutral_switched
        assert neutral.neutral_switched
        assert line.upstream == neutral.upstream


def test_faults_that_would_leave_a_way_without_a_point_are_refused() -> None:
    with pytest.raises(HomeError, match="too few"):
        invent(1, ways=6, points=7, second_source=2)
    with pytest.raises(HomeError, match="can't be joined"):
        invent(1, ways=3, joined=2)
    with pytest.raises(HomeError, match="borrow a neutral"):
        invent(1, ways=2, borrowed=1)


@pytest.mark.parametrize("numbers", [{"ways": 0}, {"ways": 1000}, {"points": 0}, {"joined": -1}, {"sensitive": -2}])
def test_numbers_out_of_reach_are_refused_in_a_sentence(numbers: dict[str, int]) -> None:
    with pytest.raises(HomeError, match=r"A practice home .*\.$"):
        invent(1, **numbers)  # type: ignore[arg-type]  # one number by its name


def test_the_story_names_all_that_is_planted() -> None:
    made = invent(7, ways=12, joined=1, second_source=1, not_fed=1, surprises=False)
    assert len(made.story) == 3
    codes = [made.home.code(device) for device in made.joined[0]]
    assert f"{codes[0]} and {codes[1]} are joined somewhere." in made.story
    assert any(made.second_source[0] in line and "elsewhere" in line for line in made.story)
    assert any(made.not_fed[0] in line and "nothing" in line for line in made.story)


def test_surprises_move_points_and_are_told() -> None:
    moved = sum(len(invent(seed, ways=10).story) for seed in range(20))
    assert moved >= 20
    assert all(invent(seed, ways=10, surprises=False).story == () for seed in range(20))


@pytest.mark.parametrize("count", [0, 1, 4, 12])
def test_as_many_loads_that_matter_as_asked_for(count: int) -> None:
    for seed in range(10):
        points = invent(seed, ways=10, sensitive=count).home.table(Point).values()
        assert sum(any(each.if_off != "nothing" for each in point.loads) for point in points) == count


# what it looks like ---------------------------------------------------------------------------------------------------


def test_homes_look_likely() -> None:
    """Common practice, no source: what is on which rating, and what a home has."""
    lights = sockets = showers = 0
    sizes = []
    for seed in range(60):
        made = invent(seed)
        sizes.append(len(made.truth) / len(ways_of(made)))
        for point_id, fed in made.truth.items():
            kind = made.home.take(Point, point_id).kind
            rating = made.home.take(Device, fed.devices[0]).rating_a or 0
            if kind in ("light", "downlight"):
                lights += 1
                assert rating <= 20, "a garage's lights are on its own 20 A way at most"
            elif kind == "socket":
                sockets += 1
                assert 15 <= rating <= 32
            elif kind == "shower":
                showers += 1
                assert rating >= 32
    assert lights > 400
    assert sockets > 800
    assert showers > 10
    assert 3.5 < sum(sizes) / len(sizes) < 8


def test_labels_are_as_found() -> None:
    def labels(how: str, seed: int) -> list[str]:
        made = invent(seed, ways=12, labels=how)  # type: ignore[arg-type]  # one of three words
        return [made.home.take(Device, device).label for device in sorted(ways_of(made))]

    assert set(labels("none", 1)) == {""}
    for seed in range(10):
        good = labels("good", seed)
        assert all(good)
        assert len(set(good)) == len(good)
    poor = [labels("poor", seed) for seed in range(20)]
    assert any("" in each for each in poor)
    assert any(len({label for label in each if label}) < sum(map(bool, each)) for each in poor), "twice the same"


def test_a_fuse_board_has_carriers_and_nothing_over_them_but_a_main_switch() -> None:
    for seed in range(10):
        home = invent(seed, ways=14, fuse_board=True).home
        kinds = Counter(device.kind for device in home.table(Device).values())
        assert kinds == {"fuse BS 3036": 14, "main switch": 2}
        assert {d.rating_a for d in home.table(Device).values() if is_way(d)} <= {5, 15, 20, 30, 45}


@pytest.mark.parametrize("rcds", [0, 1, 2, 3])
def test_as_many_rcds_as_asked_for_and_each_has_ways_under_it(rcds: int) -> None:
    for seed in range(8):
        home = invent(seed, ways=11, rcds=rcds).home
        found = [device for device in home.sorted(Device) if device.kind == "RCD"]
        assert len(found) == rcds
        for device in found:
            assert len(taken(home, frozenset({device.id}), Memo()).sure) > 1


def test_a_large_home_has_several_boards_each_with_its_main_switch() -> None:
    home = invent(1, ways=60).home
    mains = [device for device in home.sorted(Device) if device.kind == "main switch"]
    assert len(mains) == len({device.board for device in mains}) == 3
    assert len({home.code(device.id) for device in home.sorted(Device) if is_way(device)}) == 60


def test_switches_work_lights_and_hall_and_landing_share_plates() -> None:
    shared = 0
    for seed in range(20):
        home = invent(seed, ways=10).home
        lamps = {p.id for p in home.table(Point).values() if p.kind in ("light", "downlight")}
        worked = {light for point in home.table(Point).values() for light in point.controls}
        assert lamps <= worked
        for plate in home.table(Plate):
            on_it = [point for point in home.table(Point).values() if point.plate == plate]
            assert len(on_it) > 1
            shared += 1
    assert shared > 10


def test_every_room_of_a_storey_has_a_door_in_a_wall_beside_it() -> None:
    """A door is let into a wall of the storey, where the passage is on the other side of it."""
    for seed in range(20):
        home = invent(seed).home
        doors = []
        for wall in home.table(Wall).values():
            (ax, ay), (bx, by) = wall.a_mm, wall.b_mm
            long = math.dist(wall.a_mm, wall.b_mm)
            for each in wall.openings:
                if each.kind == "door":
                    assert 0 <= each.along_mm <= long - each.width_mm
                    part = (each.along_mm + each.width_mm / 2) / long
                    doors.append((wall.storey, ax + (bx - ax) * part, ay + (by - ay) * part))
        for room in home.table(Room).values():
            if room.outline_mm:
                (x0, y0), (x1, y1) = room.outline_mm[0], room.outline_mm[2]
                assert any(
                    storey == room.storey and x0 - 150 <= x <= x1 + 150 and y0 - 150 <= y <= y1 + 150
                    for storey, x, y in doors
                ), room.name
