"""How many switch-offs it takes, against bounds of group testing that no planner can beat, and brute force.

Sources: CHECKS 15: the counting bound (classical, from memory), codes with parity (coding theory, from memory), the
largest antichain (theorem of 1928, from memory), searching with one lie (theorem of 1987, from memory).
"""

from functools import cache
from itertools import combinations, combinations_with_replacement, product
from math import ceil, comb, log2

import numpy as np
import pytest

from circuitmap.survey.planner.choose import Chooser, bits
from circuitmap.survey.rehearsal.truth import Fed
from circuitmap.survey.settle import settle
from tests.survey.board import Surveyed
from tests.survey.play import TRADE, Play, on_ways


def bound(ways: int) -> int:
    return ceil(log2(ways + 1))


# -- counting ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("ways", [2, 3, 4, 5, 7, 8, 12, 15, 16, 25, 31, 32, 40])
def test_one_point_on_every_way_takes_no_more_switch_offs_than_counting_demands(ways: int) -> None:
    """With one point on each of n ways every way must be told from the others and seen off: ceil(log2(n + 1))."""
    home = Surveyed(ways, ways)
    play = Play(home.home, on_ways(home.points, home.ways, tuple(range(ways))))
    assert Chooser(play.look).rounds_needed() == bound(ways)
    play.go()
    assert play.is_right()
    assert len(play.switch_offs) == bound(ways)
    assert play.proposals[0].kind == "look"


@pytest.mark.parametrize("ways", [3, 6, 11, 20])
def test_more_points_than_ways_take_no_more_switch_offs(ways: int) -> None:
    home = Surveyed(ways, 3 * ways)
    truth = tuple(n * n % ways for n in range(3 * ways))
    play = Play(home.home, on_ways(home.points, home.ways, truth)).go()
    assert play.is_right()
    assert len(play.switch_offs) <= bound(ways)


def test_the_rounds_left_that_are_told_never_grow_and_end_at_none() -> None:
    home = Surveyed(12, 12)
    play = Play(home.home, on_ways(home.points, home.ways, tuple(range(12)))).go()
    left = [p.rounds_left for p in play.proposals]
    assert left == sorted(left, reverse=True)
    assert left[0] == len(play.proposals)


@pytest.mark.parametrize("chance", [0.0, 1.0, 0.5, 0.25])
def test_an_answer_tells_the_entropy_of_its_chance(chance: float) -> None:
    """H(0.5) = 1, H(0.25) = 0.811278, H(0) = H(1) = 0 bits (Shannon 1948, from memory)."""
    wanted = {0.0: 0.0, 1.0: 0.0, 0.5: 1.0, 0.25: 0.811278}[chance]
    assert bits(np.array([chance]))[0] == pytest.approx(wanted, abs=1e-6)


# -- brute force on tiny homes ----------------------------------------------------------------------------------------

_Point = tuple[frozenset[int], bool]  # the ways that a point may be on, and whether it was seen off


@cache
def fewest(points: tuple[_Point, ...], ways: int) -> int:
    """Switch-offs that the best of all plans needs at worst, found by trying every set and every course of answers."""
    waiting = tuple(p for p in points if len(p[0]) > 1 or not p[1])
    if not waiting:
        return 0
    best = 99
    for size in range(1, ways + 1):
        for off in map(frozenset, combinations(range(ways), size)):
            worst = 0
            for gone in product((True, False), repeat=len(waiting)):
                after = tuple(
                    (left & off, True) if is_gone else (left - off, seen)
                    for (left, seen), is_gone in zip(waiting, gone, strict=True)
                )
                if all(left for left, _ in after) and after != waiting:
                    worst = max(worst, 1 + fewest(tuple(sorted(after, key=repr)), ways))
                elif after == waiting:
                    worst = 99  # this answer leaves everything as it was: the set may be useless for ever
                if worst >= best:
                    break
            best = min(best, worst)
    return best


@pytest.mark.parametrize(("ways", "points"), [(2, 1), (2, 2), (2, 3), (3, 1), (3, 2), (3, 3), (4, 1), (4, 2), (4, 3)])
def test_on_tiny_homes_the_planner_never_needs_more_than_the_best_of_all_plans(ways: int, points: int) -> None:
    best = fewest(((frozenset(range(ways)), False),) * points, ways)
    assert best == bound(ways)
    for truth in combinations_with_replacement(range(ways), points):
        home = Surveyed(ways, points)
        play = Play(home.home, on_ways(home.points, home.ways, truth)).go()
        assert play.is_right(), truth
        assert len(play.switch_offs) <= best, truth


# -- points fed by two ways -------------------------------------------------------------------------------------------


def largest_family(rounds: int) -> int:
    """How many sets of rounds there can be with none inside another, by trying them all."""
    codes = range(2**rounds)

    def grow(chosen: tuple[int, ...], start: int) -> int:
        most = len(chosen)
        for code in codes[start:]:
            if all(code & c not in (code, c) for c in chosen):
                most = max(most, grow((*chosen, code), code + 1))
        return most

    return grow((), 0)


@pytest.mark.parametrize(("rounds", "ways"), [(1, 1), (2, 2), (3, 3), (4, 6)])
def test_no_more_ways_than_the_largest_antichain_can_be_told_from_pairs(rounds: int, ways: int) -> None:
    assert largest_family(rounds) == comb(rounds, rounds // 2) == ways


def switched(home: Surveyed, codes: list[int], rounds: int, truth: dict[str, Fed]) -> None:
    """Look with everything on, then switch every way off in the rounds of its code."""
    for bit in (None, *range(rounds)):
        off = [] if bit is None else [way for way, code in zip(home.ways, codes, strict=True) if code >> bit & 1]
        record = home.round(home.now, *off)
        for point, fed in truth.items():
            home.say(record, point, "off" if all(way in off for way in fed.devices) else "still on")


@pytest.mark.parametrize(("rounds", "ways"), [(3, 3), (4, 6), (5, 10)])
def test_with_codes_none_inside_another_two_joined_ways_never_pass_for_one(rounds: int, ways: int) -> None:
    """A point on two ways goes off where both codes meet: with an antichain that is never another way's code."""
    codes = [sum(1 << n for n in each) for each in combinations(range(rounds), rounds // 2)]
    assert len(codes) == ways
    for first, second in combinations(range(ways), 2):
        home = Surveyed(ways, ways)
        pair = (home.ways[first], home.ways[second])
        truth = {
            point: Fed(pair, "joined") if way in pair else Fed((way,), "one way")
            for point, way in zip(home.points, home.ways, strict=True)
        }
        switched(home, codes, rounds, truth)
        found = settle(home.home, home.memo, TRADE, 0.0)
        assert not [p for p, fed in truth.items() if fed.how == "joined" and found[p].verdict == "settled"]
        assert not [p for p, fed in truth.items() if fed.how == "one way" and found[p].verdict != "settled"]


def test_with_a_code_inside_another_they_would_pass_for_one_so_the_planner_adds_a_round() -> None:
    """Codes 01, 10 and 11 are enough for three ways; A2 and A3 joined then look like A2 (10 and 11 meet in 10)."""
    home = Surveyed(3, 6)
    joined = Fed((home.ways[1], home.ways[2]), "joined")
    truth = {p: joined if n % 3 else Fed((home.ways[0],), "one way") for n, p in enumerate(home.points)}
    switched(home, [0b01, 0b10, 0b11], 2, truth)
    assert all(home.found(p).verdict == "settled" for p in home.points), "to the exact deduction they pass for one"
    assert Play(home.home, truth, visit=home.now).wrong() == []
    play = Play(home.home, truth, visit=home.now).go()
    assert [p.kind for p in play.proposals] == ["apart"]
    assert all(play.known[p].odd == "only together" for p, fed in truth.items() if fed is joined)
    assert play.is_right()


@pytest.mark.parametrize("ways", [4, 6, 10, 14])
def test_a_home_with_joined_ways_takes_a_round_or_two_more_than_the_bound_all_told(ways: int) -> None:
    """Every way told from every pair in one fixed plan takes t rounds, n <= C(t, t/2); the planner asks as it goes."""
    fixed = next(t for t in range(1, 12) if comb(t, t // 2) >= ways)
    home = Surveyed(ways, 2 * ways)
    pair = (home.ways[0], home.ways[ways // 2])
    feeds = home.ways * 2
    truth = {
        p: Fed(pair, "joined") if way in pair else Fed((way,), "one way")
        for p, way in zip(home.points, feeds, strict=True)
    }
    play = Play(home.home, truth).go()
    assert play.is_right()
    assert all(set(play.known[p].candidates) == set(pair) for p, fed in truth.items() if fed.how == "joined")
    assert all(play.known[p].odd == "only together" for p, fed in truth.items() if fed.how == "joined")
    assert len(play.proposals) - 1 <= fixed + 2
