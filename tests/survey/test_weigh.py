"""How likely each explanation is in a home's own records: rates by method, visits, cut neutrals, bad rates."""

from typing import Final

import pytest

from circuitmap.home import verbs
from circuitmap.memo import Memo
from circuitmap.survey.evidence import EARLIER_SLIP
from circuitmap.survey.settle import settle
from circuitmap.survey.weigh import Explanation, Weighed, weigh
from circuitmap.trade import load
from tests.survey.board import Surveyed

TRADE: Final = load()


def weighed(home: Surveyed, point: str, slip: float | None = None) -> Weighed:
    return weigh(home.home, home.memo, TRADE, slip)[point]


def chance(home: Surveyed, point: str, kind: str, *devices: str, slip: float | None = None) -> float:
    found = weighed(home, point, slip).explanations
    return sum(each.chance for each in found if each.kind == kind and set(each.devices) == set(devices))


def test_explanations_come_likeliest_first_and_make_up_the_whole() -> None:
    home = Surveyed(4, 1)
    (p,) = home.points
    home.look(p, "still on")
    home.look(p, "off", home.ways[2])
    found = weighed(home, p).explanations
    assert (found[0].kind, found[0].devices) == ("one way", (home.ways[2],))
    assert [each.chance for each in found] == sorted((each.chance for each in found), reverse=True)
    assert sum(each.chance for each in found) == pytest.approx(1, abs=0.02), (
        "those under one in a thousand are left out"
    )


def test_before_any_check_every_way_is_possible() -> None:
    home = Surveyed(4, 1)
    assert all(chance(home, home.points[0], "one way", way) > 0.15 for way in home.ways)


def test_on_with_everything_off_is_fed_from_elsewhere_and_never_on_is_not_fed() -> None:
    home = Surveyed(4, 2)
    on, dark = home.points
    for off in [(), *((way,) for way in home.ways), (home.main,)]:
        record = home.round(home.now, *off)
        home.say(record, on, "still on")
        home.say(record, dark, "off")
    assert chance(home, on, "elsewhere") > 0.95
    assert settle(home.home, home.memo, TRADE)[on].verdict == "elsewhere"
    assert settle(home.home, home.memo, TRADE)[dark].verdict == "not seen on"


def test_the_chance_of_going_off_with_a_device_leaves_out_pairs_that_need_both() -> None:
    found = Weighed(
        "P1",
        (
            Explanation("one way", ("D1",), 0.5),
            Explanation("either", ("D2", "D1"), 0.2),
            Explanation("joined", ("D1", "D2"), 0.3),
        ),
    )
    assert found.chance_of("D1") == pytest.approx(0.7)
    assert found.chance_of("D2") == pytest.approx(0.2)


# -- how far an answer is believed ------------------------------------------------------------------------------------


def test_a_lamp_that_is_out_says_less_than_a_tester_that_is_dark() -> None:
    """TRADE: lamps seem off though on in 2 to 5 % of points, plug-in testers in 1 %; common practice, no source."""
    home = Surveyed(4, 0)
    lamp, socket = home.point("light"), home.point("socket")
    for point in (lamp, socket):
        home.look(point, "off", home.ways[0])
    assert chance(home, lamp, "not fed") > 1.5 * chance(home, socket, "not fed")


def test_on_tells_more_than_off() -> None:
    """TRADE 4.2: still on is proof of a feed; off may be a dead lamp. Common practice, no source."""
    home = Surveyed(2, 2)
    on, off = home.points
    home.look(on, "still on", home.ways[0])
    home.look(off, "off", home.ways[1])
    assert chance(home, on, "one way", home.ways[1]) > chance(home, off, "one way", home.ways[1])
    assert chance(home, off, "not fed") > chance(home, on, "elsewhere")


def test_a_meters_own_rate_takes_the_place_of_the_tables() -> None:
    home = Surveyed(2, 2)
    wild, plain = home.points
    meter = home.do(verbs.add_instrument(home.home, "socket indicator"))
    home.do(verbs.edit(home.home, meter, error_rate=0.3))
    for point, by in ((wild, meter), (plain, None)):
        home.look(point, "still on")
        home.look(point, "off", home.ways[0], instrument=by)
    assert chance(home, wild, "one way", home.ways[0]) < chance(home, plain, "one way", home.ways[0])


def test_an_earlier_visit_counts_for_less() -> None:
    """Wiring changes between visits, so that an answer of an earlier one is wrong in 5 of 100 at least."""
    home = Surveyed(2, 2)
    then, now = home.points
    later = home.visit("2026-06-01")
    for point, visit in ((then, home.now), (now, later)):
        home.look(point, "still on", visit=visit)
        home.look(point, "still on", home.ways[0], visit=visit)
    home.look(then, "still on", visit=later)
    before, after = chance(home, then, "one way", home.ways[0]), chance(home, now, "one way", home.ways[0])
    assert before > 10 * max(after, 0.001)
    others = chance(home, then, "one way", home.ways[1])
    assert before / others == pytest.approx(EARLIER_SLIP / (1 - EARLIER_SLIP), rel=1e-6)


def test_an_answer_set_aside_or_given_through_another_point_weighs_nothing() -> None:
    home = Surveyed(4, 3)
    p, q, other = home.points
    before = [chance(home, point, "one way", home.ways[0]) for point in (p, q)]
    record = home.round(home.now, home.ways[0])
    home.happens(record, "look good")
    home.say(record, p, "off")
    home.say(record, q, "off", via=other)
    home.happens(record, "look out")
    assert [chance(home, point, "one way", home.ways[0]) for point in (p, q)] == pytest.approx(before)


# -- neutrals ---------------------------------------------------------------------------------------------------------


def borrowed(poles: int | None) -> tuple[Surveyed, str]:
    """A light with its line on A1 and its neutral on A2, where A2 has so many poles, surveyed one way at a time."""
    home = Surveyed(3, 1)
    (p,) = home.points
    if poles is not None:
        home.do(verbs.edit(home.home, home.ways[1], poles=poles))
    cuts = poles == 2
    home.look(p, "still on")
    for n, way in enumerate(home.ways):
        home.look(p, "off" if n == 0 or (n == 1 and cuts) else "still on", way)
    return home, p


def test_a_neutral_cut_by_a_two_pole_device_shows_and_is_named() -> None:
    home, p = borrowed(2)
    found = weighed(home, p).explanations[0]
    assert (found.kind, found.devices) == ("either", (home.ways[0], home.ways[1]))
    assert weighed(home, p).chance_of(home.ways[1]) > 0.8
    for way in home.ways[:2]:
        home.look(p, "off", way)
    known = settle(home.home, home.memo, TRADE)[p]
    assert (known.odd, known.candidates) == ("off in two", (home.ways[0], home.ways[1]))
    assert "its neutral seems to be on the other" in known.says
    assert "prove dead" in known.says


@pytest.mark.parametrize("poles", [1, None])
def test_a_neutral_borrowed_behind_single_poles_is_invisible_and_nothing_is_said_of_it(poles: int | None) -> None:
    """TRADE correction 3: with single-pole devices the point follows its line alone."""
    home, p = borrowed(poles)
    assert settle(home.home, home.memo, TRADE)[p].verdict == "settled"
    assert not [each for each in weighed(home, p).explanations if each.kind == "either"]


def test_an_rcd_cuts_the_neutral_of_what_is_under_it() -> None:
    home = Surveyed(2, 1)
    (p,) = home.points
    rcd = home.device(home.a, "R", "RCD", 63, upstream=home.main)
    under = home.device(home.a, "3", upstream=rcd)
    for _ in range(2):
        home.look(p, "still on")
        home.look(p, "off", home.ways[0])
        home.look(p, "off", rcd)
        home.look(p, "still on", home.ways[1])
        home.look(p, "still on", under)
    assert chance(home, p, "either", home.ways[0], under) > 0.9


# -- bad rates --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("rate", [0.5, 1.0, 1, -0.01, 7.0])
def test_an_error_rate_of_one_half_and_more_is_refused_in_a_sentence(rate: float) -> None:
    home = Surveyed(2, 1)
    home.look(home.points[0], "still on")
    with pytest.raises(ValueError, match=r"error rate is from 0 to under 0\.5"):
        weigh(home.home, home.memo, TRADE, rate)


def test_an_error_rate_that_is_no_number_is_refused_too() -> None:
    home = Surveyed(2, 1)
    with pytest.raises(ValueError, match="error rate"):
        weigh(home.home, home.memo, TRADE, float("nan"))


def test_error_rate_0_is_allowed_even_where_answers_contradict_each_other() -> None:
    home = Surveyed(3, 1)
    (p,) = home.points
    home.look(p, "still on")
    home.look(p, "off", home.ways[0])
    home.look(p, "still on", home.ways[0])
    total = sum(each.chance for each in weighed(home, p, 0.0).explanations)
    assert total == pytest.approx(1, abs=0.01)
    assert settle(home.home, home.memo, TRADE, 0.0)[p].verdict == "contradiction"


def test_no_board_and_no_points_weigh_nothing() -> None:
    bare = Surveyed(0, 1)
    bare.look(bare.points[0], "still on")
    assert weigh(bare.home, bare.memo, TRADE)[bare.points[0]].explanations is not None
    assert weigh(Surveyed(3, 0).home, Memo(), TRADE) == {}
