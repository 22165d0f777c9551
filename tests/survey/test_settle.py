"""When a point counts as settled. Without errors the exact deduction is the limit; the rules are common practice."""

from typing import Final

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from circuitmap.home import verbs
from circuitmap.memo import Memo
from circuitmap.survey import Deduced, deduce
from circuitmap.survey.deduce import checks_of
from circuitmap.survey.settle import SETTLES, settle
from circuitmap.survey.weigh import weigh
from circuitmap.trade import load
from tests.survey.board import Surveyed

TRADE: Final = load()


def settled(home: Surveyed, point: str, slip: float | None = None) -> Deduced:
    return settle(home.home, home.memo, TRADE, slip)[point]


def top(home: Surveyed, point: str, slip: float | None = None) -> float:
    return weigh(home.home, home.memo, TRADE, slip)[point].explanations[0].chance


# -- without errors ---------------------------------------------------------------------------------------------------


def a_pair_fits(ways: int, answers: list[tuple[frozenset[int], bool]]) -> bool:
    """Whether two joined ways would have given all these answers as well."""
    return any(
        all(live is not (off >= {a, b}) for off, live in answers) for a in range(ways) for b in range(a + 1, ways)
    )


@st.composite
def surveys(draw: st.DrawFn) -> tuple[int, list[int], list[frozenset[int]]]:
    ways = draw(st.integers(2, 6))
    truth = draw(st.lists(st.integers(0, ways - 1), min_size=1, max_size=4))
    offs = draw(st.lists(st.frozensets(st.integers(0, ways - 1)), min_size=1, max_size=7))
    return ways, truth, offs


@settings(max_examples=120, deadline=None)
@given(drawn=surveys())
def test_without_errors_it_is_the_exact_deduction_and_never_settles_more(
    drawn: tuple[int, list[int], list[frozenset[int]]],
) -> None:
    """Where two joined ways would have looked the same, a point may stay in doubt; nothing else may differ."""
    ways, truth, offs = drawn
    home = Surveyed(ways, len(truth))
    for off in offs:
        record = home.round(home.now, *(home.ways[n] for n in sorted(off)))
        for point, fed in zip(home.points, truth, strict=True):
            home.say(record, point, "off" if fed in off else "still on")
    exact, found = deduce(home.home, home.memo), settle(home.home, home.memo, TRADE, 0.0)
    for point, fed in zip(home.points, truth, strict=True):
        was, now = exact[point], found[point]
        if now.verdict == "settled":
            assert was.verdict == "settled"
            assert now.candidates == was.candidates == (home.ways[fed],)
        elif was.verdict == "settled":
            assert a_pair_fits(ways, [(off, fed not in off) for off in offs])
            assert now.verdict == "in doubt"
        else:
            assert (now.verdict, now.odd) == (was.verdict, was.odd)
        assert home.ways[fed] in now.candidates


@pytest.mark.parametrize("slip", [0.0, 0.02, None])
def test_a_clean_survey_one_way_at_a_time_settles_every_point(slip: float | None) -> None:
    home = Surveyed(4, 4)
    for off in [(), *((way,) for way in home.ways)]:
        record = home.round(home.now, *off)
        for point, way in zip(home.points, home.ways, strict=True):
            home.say(record, point, "off" if way in off else "still on")
    for point, way in zip(home.points, home.ways, strict=True):
        assert (settled(home, point, slip).verdict, settled(home, point, slip).candidates) == ("settled", (way,))
        assert top(home, point, slip) >= SETTLES


# -- seen on and off in one visit -------------------------------------------------------------------------------------


@st.composite
def answers(draw: st.DrawFn) -> list[tuple[int, frozenset[int], bool]]:
    """Answers as they come, right or wrong, over two visits: (visit, ways off, still on)."""
    one = st.tuples(st.integers(0, 1), st.frozensets(st.integers(0, 2)), st.booleans())
    return draw(st.lists(one, min_size=1, max_size=8))


@settings(max_examples=150, deadline=None)
@given(given_=answers(), slip=st.sampled_from([0.0, 0.02, 0.2, None]))
def test_nothing_settles_that_was_not_seen_on_and_off_in_one_visit(
    given_: list[tuple[int, frozenset[int], bool]], slip: float | None
) -> None:
    home = Surveyed(3, 1)
    (p,) = home.points
    visits = (home.now, home.visit("2026-02-01"))
    for visit, off, live in given_:
        home.look(p, "still on" if live else "off", *(home.ways[n] for n in sorted(off)), visit=visits[visit])
    if settled(home, p, slip).verdict == "settled":
        assert any(
            any(v == n and live for v, _, live in given_)
            and any(v == n and off and not live for v, off, live in given_)
            for n in (0, 1)
        )


def test_seen_on_in_one_visit_and_off_in_another_does_not_settle_however_likely() -> None:
    home = Surveyed(2, 1)
    (p,) = home.points
    home.look(p, "still on")
    home.look(p, "still on", home.ways[1])
    later = home.visit("2026-02-01")
    for _ in range(4):
        home.look(p, "off", home.ways[0], visit=later)
    assert settled(home, p).verdict != "settled"


# -- what was believed beforehand -------------------------------------------------------------------------------------


def sure_of_a1() -> tuple[Surveyed, str]:
    """A shower that label, rating and a tag give to A1, next to three ways for lights."""
    home = Surveyed(0, 0)
    home.ways = [home.device(home.a, "1", "RCBO", 40, upstream=home.main, label="Shower")]
    home.ways += [home.device(home.a, str(n), "MCB", 6, upstream=home.main, label="Lights") for n in (2, 3, 4)]
    point = home.point("shower")
    home.do(verbs.tag(home.home, point, home.ways[0], "seen"))
    return home, point


def test_label_rating_and_tag_alone_settle_nothing() -> None:
    home, shower = sure_of_a1()
    assert top(home, shower) > 0.9, "it is as good as certain beforehand"
    assert settled(home, shower).verdict == "unchecked"
    home.look(shower, "still on")
    assert settled(home, shower).verdict == "in doubt"


def test_going_off_in_a_group_does_not_settle_the_likeliest_of_the_group() -> None:
    """The answers alone must speak for it ten to one: here they speak for the shower's way and a light's alike."""
    home, shower = sure_of_a1()
    home.look(shower, "still on")
    home.look(shower, "off", home.ways[0], home.ways[1])
    assert top(home, shower) > 0.9
    found = settled(home, shower)
    assert found.verdict == "in doubt"
    home.look(shower, "off", home.ways[0])
    assert settled(home, shower).verdict == "settled"


def test_looking_overrules_what_was_believed() -> None:
    home, shower = sure_of_a1()
    home.look(shower, "still on")
    home.look(shower, "still on", home.ways[0])
    home.look(shower, "off", home.ways[2])
    home.look(shower, "still on", home.ways[0], home.ways[1])
    home.look(shower, "off", home.ways[2], home.ways[3])
    found = settled(home, shower)
    assert (found.verdict, found.candidates) == ("settled", (home.ways[2],))


# -- a wrong answer among right ones ----------------------------------------------------------------------------------


def test_one_wrong_answer_among_many_right_ones_no_longer_stands_in_the_way_and_is_named() -> None:
    home = Surveyed(4, 1)
    (p,) = home.points
    for _ in range(2):
        home.look(p, "still on")
        home.look(p, "off", home.ways[0])
        for way in home.ways[1:]:
            home.look(p, "still on", way)
    slip_of_the_tongue = home.look(p, "off", home.ways[3])
    assert home.found(p).verdict == "contradiction"
    found = settled(home, p)
    assert (found.verdict, found.candidates) == ("settled", (home.ways[0],))
    assert slip_of_the_tongue in found.notes[-1]


def test_a_contradiction_that_leaves_it_open_names_the_checks_and_which_to_repeat() -> None:
    home = Surveyed(4, 1)
    (p,) = home.points
    home.look(p, "still on")
    one, two = home.look(p, "off", home.ways[0]), home.look(p, "off", home.ways[1])
    found = settled(home, p)
    assert found.verdict == "contradiction"
    assert set(found.checks) >= {one, two}
    assert set(found.repeat) >= {one, two}


def test_two_joined_ways_are_named_with_the_terminal_that_stays_live() -> None:
    home = Surveyed(4, 3)
    for off in [(), *((way,) for way in home.ways), tuple(home.ways[:2])]:
        record = home.round(home.now, *off)
        for point in home.points:
            home.say(record, point, "off" if len(off) == 2 else "still on")
    for point in home.points:
        found = settled(home, point)
        assert (found.odd, found.candidates) == ("only together", tuple(home.ways[:2]))
        assert "terminal stays live" in found.says
        assert "prove dead" in found.says


def test_a_look_at_a_point_changes_its_own_verdict_and_no_other_object() -> None:
    home = Surveyed(4, 3)
    for off in [(), (home.ways[0],), (home.ways[1],)]:
        record = home.round(home.now, *off)
        for point, way in zip(home.points, home.ways, strict=False):
            home.say(record, point, "off" if way in off else "still on")
    before = settle(home.home, home.memo, TRADE)
    assert settle(home.home, home.memo, TRADE) is before
    home.look(home.points[2], "off", home.ways[2])
    after = settle(home.home, home.memo, TRADE)
    assert after[home.points[2]] is not before[home.points[2]]
    assert after[home.points[0]] is before[home.points[0]]


@settings(max_examples=40, deadline=None)
@given(drawn=surveys(), slip=st.sampled_from([0.0, None]))
def test_brought_up_to_date_check_by_check_it_is_what_starting_afresh_gives(
    drawn: tuple[int, list[int], list[frozenset[int]]], slip: float | None
) -> None:
    ways, truth, offs = drawn
    home = Surveyed(ways, len(truth))
    for off in offs:
        record = home.round(home.now, *(home.ways[n] for n in sorted(off)))
        for point, fed in zip(home.points, truth, strict=True):
            home.say(record, point, "off" if fed in off else "still on")
            settle(home.home, home.memo, TRADE, slip)
    kept, fresh = (weigh(home.home, memo, TRADE, slip) for memo in (home.memo, Memo()))
    for point in home.points:
        assert checks_of(home.home, home.memo, point)
        for mine, anew in zip(kept[point].explanations, fresh[point].explanations, strict=True):
            assert (mine.kind, mine.devices) == (anew.kind, anew.devices) or mine.chance == pytest.approx(anew.chance)
            assert mine.chance == pytest.approx(anew.chance, abs=1e-6)
    assert settle(home.home, home.memo, TRADE, slip) == settle(home.home, Memo(), TRADE, slip)


def test_a_home_without_checks_gives_the_deduction_itself() -> None:
    home = Surveyed(3, 2)
    assert settle(home.home, home.memo, TRADE) is deduce(home.home, home.memo)
