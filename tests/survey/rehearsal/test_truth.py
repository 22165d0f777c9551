"""What feeds each point of a home whose wiring is drawn, and the same home with its wiring hidden."""

from pathlib import Path

import pytest

from circuitmap.home import Home, verbs
from circuitmap.home.exchange import open_home
from circuitmap.home.records import Check, Device, Note, Point, Reading, Round, Run, Supply, Tag, Visit
from circuitmap.memo import Memo
from circuitmap.places import sample_homes
from circuitmap.survey import deduce
from circuitmap.survey.rehearsal import Fed, hide, invent, truth_of
from circuitmap.trade import load
from circuitmap.wiring import under
from tests.build import Builder

TRADE = load()
SAMPLES = sorted(path for path in sample_homes().iterdir() if path.is_dir())


def truth(home: Home) -> dict[str, Fed]:
    return dict(truth_of(home, Memo(), TRADE))


def test_a_point_on_a_cable_is_on_its_way_and_one_that_nobody_knows_is_left_out() -> None:
    b = Builder()
    way = b.device(b.board(), "1")
    near, far, alone, switch = b.point(), b.point(), b.point(), b.point("switch")
    b.chain(way, near, far, switch)
    assert truth(b.home) == {near: Fed((way,), "one way"), far: Fed((way,), "one way")}
    assert alone not in truth(b.home)


def test_a_piece_with_two_ways_is_joined() -> None:
    b = Builder()
    board = b.board()
    one, two = b.device(board, "1"), b.device(board, "2")
    point = b.point()
    b.chain(one, point, two)
    assert truth(b.home) == {point: Fed((one, two), "joined")}


def test_what_was_seen_or_tested_counts_and_what_was_assumed_does_not() -> None:
    b = Builder()
    board = b.board()
    one, two = b.device(board, "1"), b.device(board, "2")
    seen, guessed, both = b.point(), b.point(), b.point()
    b.do(verbs.tag(b.home, seen, one, "tested"))
    b.do(verbs.tag(b.home, guessed, one, "assumed"))
    b.do(verbs.tag(b.home, both, two, "seen"))
    b.do(verbs.tag(b.home, both, one, "seen"))
    assert truth(b.home) == {seen: Fed((one,), "one way"), both: Fed((one, two), "joined")}


def test_cables_win_over_what_was_said() -> None:
    b = Builder()
    board = b.board()
    one, two, point = b.device(board, "1"), b.device(board, "2"), b.point()
    b.run(one, point)
    b.do(verbs.tag(b.home, point, two, "seen"))
    assert truth(b.home) == {point: Fed((one,), "one way")}


def test_a_point_proved_unconnected_is_not_fed_and_does_not_give_it_away_when_hidden() -> None:
    b = Builder()
    b.device(b.board(), "1")
    point = b.point("not connected")
    assert truth(b.home) == {point: Fed((), "not fed")}
    assert TRADE.point(hide(b.home).take(Point, point).kind).checkable


def test_hiding_keeps_what_stands_there_and_takes_what_only_opening_up_tells() -> None:
    b = Builder()
    way = b.device(b.board(), "1", label="Sockets", cables_seen=2)
    point = b.point(cables=2)
    b.run(way, point)
    b.do(verbs.note(b.home, point, ("scorched",)))
    visit = b.visit()
    b.check(b.round(visit, way), point, "off")
    b.do(verbs.set_supply(b.home, ze_ohm=0.2, phases=1))
    found = hide(b.home)
    assert found.problems() == []
    assert not any(found.table(kind) for kind in (Run, Tag, Visit, Round, Check, Note, Reading))
    assert found.take(Device, way).label == "Sockets"
    assert found.take(Device, way).cables_seen is None
    assert found.take(Point, point).cables_seen is None
    supply = found.sorted(Supply)[0]
    assert (supply.ze_ohm, supply.phases) == (None, 1)


def test_hiding_leaves_out_what_is_only_planned_and_what_it_would_work() -> None:
    b = Builder()
    b.device(b.board(), "1")
    lamp, later, switch = b.point("light"), b.point("light"), b.point("switch")
    b.do(verbs.edit(b.home, later, phase="planned"))
    b.do(verbs.edit(b.home, switch, controls=(lamp, later)))
    found = hide(b.home)
    assert found.problems() == []
    assert set(found.table(Point)) == {lamp, switch}
    assert found.take(Point, switch).controls == (lamp,)


def test_what_feeds_a_sub_board_stays_known() -> None:
    b = Builder()
    main, sub = b.board("A"), b.board("G", source="run")
    feed, way = b.device(main, "1"), b.device(sub, "1")
    b.run(feed, sub)
    found = hide(b.home)
    assert under(found, (feed,)) == {feed, way}


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.name)
def test_all_of_a_sample_home_is_known_and_none_of_it_shows_when_hidden(sample: Path) -> None:
    home = open_home(sample)
    known = truth(home)
    points = {p.id for p in home.table(Point).values() if TRADE.point(p.kind).checkable and p.phase == "existing"}
    assert known.keys() == points
    for point, found in deduce(home, Memo()).items():
        if found.verdict == "settled" and point in known:
            assert known[point].devices == found.candidates
    hidden = hide(home)
    assert hidden.problems() == []
    assert points <= hidden.table(Point).keys()
    assert truth(hidden) == {}


def test_hiding_an_invented_home_changes_nothing_that_a_stranger_sees() -> None:
    home = invent(3, ways=9).home
    assert hide(home) == home
