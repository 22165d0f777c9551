"""Who tells of a tripped RCD: points known to be on, one for each RCD that stays on (TRADE 4.1, common practice)."""

from circuitmap.home import verbs
from circuitmap.survey.method import Method
from circuitmap.survey.planner import witnesses
from circuitmap.survey.planner.outlook import outlook
from circuitmap.survey.planner.witness import MOST_EACH, groups
from tests.survey.board import Surveyed
from tests.survey.play import TRADE


class Split(Surveyed):
    """Two RCDs with three ways each, two points on every way; ``settle_all`` surveys them one way at a time."""

    def __init__(self) -> None:
        super().__init__(ways=0, points=0)
        self.rcds = [self.device(self.a, name, "RCD", 63, upstream=self.main) for name in ("R", "S")]
        self.ways = [self.device(self.a, str(n), upstream=self.rcds[n // 4]) for n in range(1, 7)]
        self.points = [self.point() for _ in range(12)]

    def way_of(self, point: str) -> str:
        return self.ways[self.points.index(point) % 6]

    def settle_all(self) -> None:
        for off in [(), *((way,) for way in self.ways)]:
            record = self.round(self.now, *off)
            for point in self.points:
                self.say(record, point, "off" if self.way_of(point) in off else "still on")


def under(home: Split, rcd: int) -> set[str]:
    return {p for p in home.points if home.ways.index(home.way_of(p)) // 3 == rcd}


def test_one_point_tells_of_each_rcd_that_stays_on_where_the_ways_are_known() -> None:
    home = Split()
    home.settle_all()
    found = witnesses(home.home, home.memo, TRADE, home.ways[:1])
    assert [w.device for w in found] == home.rcds
    for n, witness in enumerate(found):
        assert witness.point in under(home, n)
        assert home.way_of(witness.point) != home.ways[0], "it must be one that stays on"


def test_a_socket_or_a_light_is_watched_before_an_appliance_that_goes_off_by_itself() -> None:
    home = Split()
    home.settle_all()
    lamps = {w.point for w in witnesses(home.home, home.memo, TRADE, home.ways[:1])}
    for point in lamps:
        home.do(verbs.edit(home.home, point, kind="immersion heater"))
    found = {w.device: w.point for w in witnesses(home.home, home.memo, TRADE, home.ways[:1])}
    assert list(found) == home.rcds
    assert lamps.isdisjoint(found.values())
    for point in home.points:
        home.do(verbs.edit(home.home, point, kind="immersion heater"))
    assert {w.device for w in witnesses(home.home, home.memo, TRADE, home.ways[:1])} == set(home.rcds)


def test_an_rcd_that_is_off_itself_or_has_nothing_left_on_needs_no_witness() -> None:
    home = Split()
    home.settle_all()
    assert {w.device for w in witnesses(home.home, home.memo, TRADE, home.rcds[:1])} == {home.rcds[1]}
    assert {w.device for w in witnesses(home.home, home.memo, TRADE, home.ways[:3])} == {home.rcds[1]}
    assert witnesses(home.home, home.memo, TRADE, (home.main,)) == ()


def test_where_nothing_is_known_yet_several_points_together_stand_for_an_rcd() -> None:
    home = Split()
    record = home.round(home.now)
    for point in home.points:
        home.say(record, point, "still on")
    found = witnesses(home.home, home.memo, TRADE, home.ways[:1])
    each = [sum(w.device == rcd for w in found) for rcd in home.rcds]
    assert all(2 <= count <= MOST_EACH for count in each)


def test_nobody_not_seen_on_in_this_visit_is_a_witness() -> None:
    home = Split()
    assert witnesses(home.home, home.memo, TRADE, home.ways[:1]) == ()
    seen = home.points[0]
    home.look(seen, "still on")
    home.look(home.points[1], "off")
    assert {w.point for w in witnesses(home.home, home.memo, TRADE, home.ways[1:2])} == {seen}


def test_a_point_that_can_t_be_looked_at_is_no_witness() -> None:
    home = Split()
    home.settle_all()
    chosen = {w.point for w in witnesses(home.home, home.memo, TRADE, home.ways[:1])}
    for point in chosen:
        home.do(verbs.edit(home.home, point, uncheckable="behind a wardrobe"))
    again = witnesses(home.home, home.memo, TRADE, home.ways[:1])
    assert [w.device for w in again] == home.rcds
    assert chosen.isdisjoint(w.point for w in again)


def test_an_rcd_of_unknown_reach_may_carry_any_way_of_its_board() -> None:
    home = Surveyed(4, 4)
    rcd = home.device(home.a, "R", "RCD", 63)
    look = outlook(home.home, home.memo, TRADE, Method(), None)
    assert groups(look) == {rcd: frozenset(home.ways)}


def test_an_rcbo_takes_only_its_own_way_so_nobody_watches_for_it() -> None:
    home = Surveyed(2, 2)
    home.device(home.a, "9", "RCBO", 32, upstream=home.main)
    assert groups(outlook(home.home, home.memo, TRADE, Method(), None)) == {}
