"""One wrong answer: found out by a parity round, and survived by asking on, never faster than theory allows.

Sources, CHECKS 15: parity detects one error (coding theory, from memory); searching with one lie takes the least q with
n(q + 1) <= 2^q for even n, n(q + 1) + (q - 1) <= 2^q for odd n (theorem of 1987, from memory).
"""

from functools import cache
from itertools import product
from math import ceil, log2
from typing import Final

import pytest

from circuitmap.survey import deduce
from circuitmap.survey.rehearsal.truth import Fed
from circuitmap.survey.settle import settle
from tests.survey.board import Surveyed
from tests.survey.play import TRADE, Play

SLIP: Final = 0.02
MORE: Final = 5  # it asks on till 99 in 100, and everything off once: more than one lie is allowed for


def ask(home: Surveyed, codes: list[int], rounds: int, fed: int, lie: int | None) -> None:
    """Look with everything on, then round by round; the answer of round ``lie`` is wrong."""
    (p,) = home.points
    home.look(p, "still on")
    for bit in range(rounds):
        off = [way for way, code in zip(home.ways, codes, strict=True) if code >> bit & 1]
        gone = bool(codes[fed] >> bit & 1) is not (bit == lie)
        home.look(p, "off" if gone else "still on", *off)


def with_parity(code: int, bits: int) -> int:
    return code | (code.bit_count() % 2) << bits


@pytest.mark.parametrize("ways", [3, 7])
def test_with_a_parity_round_one_wrong_answer_is_always_found_out(ways: int) -> None:
    """Two codes differ in two rounds at least, so one wrong answer makes none of them: ceil(log2(n + 1)) + 1 rounds."""
    bits = ceil(log2(ways + 1))
    codes = [with_parity(n + 1, bits) for n in range(ways)]
    for fed, lie in product(range(ways), [None, *range(bits + 1)]):
        home = Surveyed(ways, 1)
        ask(home, codes, bits + 1, fed, lie)
        exact = deduce(home.home, home.memo)[home.points[0]]
        found = settle(home.home, home.memo, TRADE, SLIP)[home.points[0]]
        if lie is None:
            assert exact.candidates == (home.ways[fed],)
        else:
            assert exact.verdict != "settled"
            assert found.verdict != "settled"


def test_without_a_parity_round_a_wrong_answer_misleads_the_exact_deduction_but_not_the_weighing() -> None:
    """Every answer is wrong 2 times in 100, so nothing that one wrong answer would turn over comes to 99 %."""
    ways, bits = 7, 3
    misled = 0
    for fed, lie in product(range(ways), range(bits)):
        home = Surveyed(ways, 1)
        ask(home, [n + 1 for n in range(ways)], bits, fed, lie)
        exact = deduce(home.home, home.memo)[home.points[0]]
        misled += exact.verdict == "settled" and exact.candidates != (home.ways[fed],)
        assert settle(home.home, home.memo, TRADE, SLIP)[home.points[0]].verdict != "settled"
    assert misled > 10


# -- searching with one lie -------------------------------------------------------------------------------------------


def least_questions(ways: int) -> int:
    """The closed form for searching one of n with one lie."""
    q = 0
    while ways * (q + 1) + (0 if ways % 2 == 0 else q - 1) > 2**q:
        q += 1
    return q


@cache
def can_find(clean: int, lied: int, questions: int) -> bool:
    """Whether so many questions do: ``clean`` are left without a lie so far, ``lied`` if one of the answers was one."""
    if clean + lied <= 1:
        return True
    if questions == 0 or clean * (questions + 1) + lied > 2**questions:
        return False
    for a, b in product(range(clean + 1), range(lied + 1)):
        if can_find(a, b + clean - a, questions - 1) and can_find(clean - a, lied - b + a, questions - 1):
            return True
    return False


@pytest.mark.parametrize(
    ("ways", "questions"), [(2, 3), (4, 5), (6, 6), (8, 6), (10, 7), (12, 7), (16, 7), (18, 8), (20, 8)]
)
def test_the_closed_form_is_what_trying_every_question_gives(ways: int, questions: int) -> None:
    assert least_questions(ways) == questions
    assert can_find(ways, 0, questions)
    assert not can_find(ways, 0, questions - 1)


@pytest.mark.parametrize("ways", [2, 4, 6])
def test_a_search_that_survives_any_one_lie_is_not_faster_than_theory_allows_and_not_much_slower(ways: int) -> None:
    """One point, every way it may be on, every single answer wrong in turn: the point must come out right each time.

    A plan that always does so takes q answers at worst at least. The look with everything on tells no way from another
    and is none of them; what is off there is looked at twice on the spot.
    """
    worst = 0
    for fed in range(ways):
        lie, answers = 0, 1
        while lie <= answers:
            home = Surveyed(ways, 1)
            truth = {home.points[0]: Fed((home.ways[fed],), "one way")}
            play = Play(home.home, truth, slip=SLIP, lie=lambda n, _, lie=lie: n == lie > 0).go()
            assert play.is_right(), (fed, lie)
            answers = sum(p.kind != "look" for p in play.proposals)
            worst = max(worst, answers)
            lie += 1
    assert least_questions(ways) <= worst <= least_questions(ways) + MORE


@pytest.mark.parametrize("ways", [3, 5, 8])
def test_one_wrong_answer_at_one_of_many_points_settles_no_point_wrongly(ways: int) -> None:
    points = 2 * ways
    for lie in range(1, 6):
        home = Surveyed(ways, points)
        truth = {p: Fed((home.ways[n % ways],), "one way") for n, p in enumerate(home.points)}
        misled = home.points[lie % points]
        play = Play(home.home, truth, slip=SLIP, lie=lambda n, p, lie=lie, misled=misled: (n, p) == (lie, misled)).go()
        assert play.wrong() == []
        assert play.is_right()
