from circuitmap.home.records import Device
from circuitmap.home.verbs import edit, tag
from circuitmap.memo import Memo
from circuitmap.wiring import above, under
from tests.build import Builder


class Boards(Builder):
    """A main switch over an RCD over two ways; the second feeds a shed board with one way."""

    def __init__(self) -> None:
        super().__init__()
        self.main, self.shed = self.board("A"), self.board("B", source="run")
        self.switch = self.device(self.main, "", "main switch", 100)
        self.rcd = self.device(self.main, "R", "RCD", 63, upstream=self.switch)
        self.one = self.device(self.main, "1", upstream=self.rcd)
        self.two = self.device(self.main, "2", upstream=self.rcd)
        self.lamp = self.device(self.shed, "1", rating_a=6)


def test_an_rcd_takes_all_ways_under_it_and_the_main_switch_everything() -> None:
    h = Boards()
    assert under(h.home, [h.rcd]) == {h.rcd, h.one, h.two}
    assert under(h.home, [h.switch]) == {h.switch, h.rcd, h.one, h.two}
    assert under(h.home, [h.one]) == {h.one}


def test_a_sub_board_on_a_spur_of_somebodys_ring_goes_off_with_it() -> None:
    h = Boards()
    sockets = [h.point() for _ in range(3)]
    h.chain(h.one, *sockets[:2], h.one)
    h.chain(sockets[1], sockets[2], h.shed)
    assert under(h.home, [h.one]) == {h.one, h.lamp}
    assert under(h.home, [h.two]) == {h.two}
    assert above(h.home, h.lamp) == (h.one, h.rcd, h.switch)


def test_a_sub_board_said_to_be_fed_goes_off_too() -> None:
    h = Boards()
    h.do(tag(h.home, h.shed, h.two))
    assert under(h.home, [h.rcd]) == {h.rcd, h.one, h.two, h.lamp}
    assert above(h.home, h.lamp) == (h.two, h.rcd, h.switch)


def test_a_board_with_two_feeds_goes_off_only_with_both() -> None:
    h = Boards()
    h.run(h.one, h.shed)
    h.do(tag(h.home, h.shed, h.two))
    assert under(h.home, [h.one]) == {h.one}
    assert under(h.home, [h.one, h.two]) == {h.one, h.two, h.lamp}
    assert set(above(h.home, h.lamp)) == {h.one, h.two, h.rcd, h.switch}


def test_ways_under_a_sub_boards_own_switch_follow_its_feed() -> None:
    h = Boards()
    own = h.device(h.shed, "", "main switch", 40)
    h.do(edit(h.home, h.lamp, upstream=own))
    h.run(h.one, h.shed)
    assert under(h.home, [h.one]) == {h.one, own, h.lamp}
    assert above(h.home, h.lamp)[:2] == (own, h.one)


def test_boards_that_feed_each_other_come_to_an_end() -> None:
    h = Boards()
    h.run(h.one, h.shed)
    h.do(tag(h.home, h.main, h.lamp))
    assert h.lamp in under(h.home, [h.one])
    assert h.lamp not in above(h.home, h.lamp)
    assert h.one in above(h.home, h.lamp)


def test_what_is_not_a_device_takes_nothing() -> None:
    h = Boards()
    assert under(h.home, ["D99"]) == frozenset()
    assert above(h.home, "D99") == ()


def test_feeds_are_looked_for_again_only_when_wiring_or_tags_change() -> None:
    h = Boards()
    h.run(h.one, h.shed)
    memo = Memo()
    under(h.home, [h.one], memo)
    missed = memo.misses
    h.room("Kitchen")
    under(h.home, [h.two], memo)
    assert memo.misses == missed
    assert isinstance(h.home.find(Device, h.one), Device)
