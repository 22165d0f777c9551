"""What a plan says of itself beside what its option said: the one from the map, the other from the change."""

import pytest

from circuitmap import trade
from circuitmap.errors import HomeError
from circuitmap.extension import pricebook
from circuitmap.extension.accept import accept, done
from circuitmap.extension.afterwards import afterwards, differ, what_changed
from circuitmap.extension.kinds import Asking
from circuitmap.extension.options import options
from circuitmap.extension.wish_place import put_wishes
from circuitmap.extension.wishes import read_wish
from circuitmap.findings import run as find
from circuitmap.home import Home
from circuitmap.home.records import Extension, Point
from circuitmap.memo import Memo
from tests.samples import make_terrace

TRADE = trade.load()


@pytest.fixture(scope="module")
def wished() -> Home:
    home, memo = make_terrace.make().home, Memo()
    words = ("twin socket, Kitchen, wall 2, 1.4 m, 1100 mm", "remove P37")
    return home.apply(put_wishes(home, memo, TRADE, "", [read_wish(home, memo, TRADE, each) for each in words]))


@pytest.fixture(scope="module")
def asking(wished: Home) -> Asking:
    return options(wished, wished.take(Extension, "X1"), TRADE, pricebook.load(), Memo())


def test_a_plan_expects_what_its_option_did(wished: Home, asking: Asking) -> None:
    sound = [option for option in asking.options if option.is_sound]
    assert len({option.kind for option in sound}) >= 4
    for option in sound:
        planned = wished.apply(accept(wished, "X1", (option,), wished))
        after = afterwards(planned, "X1", TRADE, Memo())
        told = {each.point: each for _, each in after.expected}
        for each in option.expected:
            assert told[each.point] == each, option.key
        if option.ring is not None and option.kind != "taken out":
            assert option.ring in [ends for _, ends in after.ring], option.key
        assert {(f.key, f.code) for f in after.added} == {(f.key, f.code) for f in option.added}
        assert {(f.key, f.code) for f in after.cleared} == {(f.key, f.code) for f in option.cleared}


def test_what_changed_is_said_of_each_record(wished: Home, asking: Asking) -> None:
    socket = next(o for o in asking.options if o.is_sound and o.wishes == (0,))
    gone = next(o for o in asking.options if o.is_sound and o.wishes == (1,))
    planned = wished.apply(accept(wished, "X1", (socket, gone), wished))
    record = planned.take(Extension, "X1")
    changed = what_changed(planned, "X1", TRADE, Memo())
    assert [line.partition(":")[0] for line in changed.new] == list(record.puts)
    assert changed.goes == ("P37: twin socket, Utility, wall 2, 1.60 m, 1.10 m",)
    assert {line.partition(":")[0] for line in changed.altered} == {alter.record for alter in record.alters}
    assert f"{socket.points[0]}: twin socket, Kitchen, wall 2, 1.40 m, 1.10 m" in changed.new
    finished = planned.apply(done(planned, "X1", "2026-01-31"))
    assert what_changed(finished, "X1", TRADE, Memo()).new == changed.new
    with pytest.raises(HomeError, match="done already"):
        afterwards(finished, "X1", TRADE, Memo())


def test_nothing_planned_has_no_afterwards(wished: Home) -> None:
    with pytest.raises(HomeError, match="Nothing of “Extension 1” is on the map as planned"):
        afterwards(wished, "X1", TRADE, Memo())
    assert what_changed(wished, "X1", TRADE, Memo()) == what_changed(wished, "X1", TRADE, Memo())


def test_findings_differ_by_rule_and_subject_only(wished: Home) -> None:
    found = find(wished.existing(), TRADE, Memo())
    assert differ(found, found) == ((), ())
    counted = [f for f in found if not f.aside and f.code != "note"]
    assert len(counted) > 2
    added, cleared = differ(found, [f for f in found if f is not counted[0]])
    assert (added, cleared) == ((), (counted[0],))
    added, cleared = differ([f for f in found if f is not counted[1]], found)
    assert (added, cleared) == ((counted[1],), ())


def test_a_blank_plate_is_no_place_to_read_at(wished: Home, asking: Asking) -> None:
    gone = next(o for o in asking.options if o.is_sound and o.wishes == (1,))
    planned = wished.apply(accept(wished, "X1", (gone,), wished))
    plates = [i for i in planned.take(Extension, "X1").puts if planned.take(Point, i).kind == "blank plate"]
    assert plates
    assert afterwards(planned, "X1", TRADE, Memo()).expected == ()
