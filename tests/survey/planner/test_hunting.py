"""The hunt for one point by two people, beside the optimal prefix code. Nobody walks, so steps are all that counts.

Sources, CHECKS 15: H <= mean < H + 1 for the optimal prefix code (Huffman 1952, from memory); its means by hand there.
"""

from dataclasses import replace
from heapq import heapify, heappop, heappush
from math import ceil, log2

import numpy as np
import pytest

from circuitmap.home import verbs
from circuitmap.survey.method import Method
from circuitmap.survey.planner import hunt
from circuitmap.survey.planner.hunting import hunt_step
from circuitmap.survey.planner.outlook import Outlook, outlook
from circuitmap.survey.proposal import HuntStep
from tests.survey.board import Surveyed
from tests.survey.play import TRADE

UNEQUAL = [
    ((0.5, 0.25, 0.125, 0.125), 1.75),
    ((0.4, 0.2, 0.2, 0.1, 0.1), 2.2),
    ((0.3, 0.3, 0.2, 0.1, 0.1), 2.2),
    ((1 / 12,) * 12, 3.667),
]


def entropy(chances: tuple[float, ...]) -> float:
    return -sum(c * log2(c) for c in chances)


def huffman(chances: tuple[float, ...]) -> float:
    """Mean length of the optimal prefix code, by merging the two least likely again and again."""
    heap = list(chances)
    heapify(heap)
    total = 0.0
    while len(heap) > 1:
        both = heappop(heap) + heappop(heap)
        total += both
        heappush(heap, both)
    return total


@pytest.mark.parametrize(("chances", "mean"), UNEQUAL)
def test_the_optimal_prefix_code_lies_between_the_entropy_and_one_more(chances: tuple[float, ...], mean: float) -> None:
    assert huffman(chances) == pytest.approx(mean, abs=5e-4)
    assert entropy(chances) - 1e-9 <= huffman(chances) < entropy(chances) + 1


def believing(chances: tuple[float, ...]) -> tuple[Surveyed, Outlook]:
    """A home in which one point is believed to be on its ways with these chances."""
    home = Surveyed(len(chances), 1)
    look = outlook(home.home, home.memo, TRADE, Method(), None)
    belief = look.scales.belief
    belief.chances = np.zeros_like(belief.chances)
    belief.chances[0, : belief.ways] = chances
    return home, look


def steps(home: Surveyed, look: Outlook, fed: str) -> tuple[int, HuntStep]:
    """Follow a hunt to its end; give the steps it took."""
    answers: list[tuple[frozenset[str], bool]] = []
    while True:
        step = hunt_step(look, home.points[0], answers)
        if not step.off:
            return len(answers), step
        answers.append((frozenset(step.off), fed not in step.off))
        assert len(answers) < 30


@pytest.mark.parametrize(("chances", "optimal"), UNEQUAL)
def test_a_hunt_takes_hardly_more_steps_than_the_optimal_code(chances: tuple[float, ...], optimal: float) -> None:
    """A hunt must see the point go off too, so "none of them" is one more answer to tell: up to one step more."""
    home, look = believing(chances)
    mean, longest = 0.0, 0
    for way, chance in zip(home.ways, chances, strict=True):
        taken, last = steps(home, look, way)
        assert last.chances[0][0] == way
        assert last.says.endswith(f"goes off with {home.home.code(way)}.")
        mean += chance * taken
        longest = max(longest, taken)
    assert entropy(chances) - 1e-9 <= mean < entropy(chances) + 1
    assert mean <= optimal + 0.5
    assert longest <= len(chances)


@pytest.mark.parametrize("ways", [2, 3, 4, 7, 8, 15, 16, 31])
def test_ways_alike_take_no_more_steps_than_counting_demands(ways: int) -> None:
    """A call is wrong 2 times in 1000: eight ways ruled out by one call each ask for one step more."""
    home, look = believing((1 / ways,) * ways)
    assert max(steps(home, look, way)[0] for way in home.ways) <= ceil(log2(ways + 1)) + (ways > 8)


def test_the_steps_left_are_told_and_become_fewer() -> None:
    home, look = believing((1 / 16,) * 16)
    first = hunt_step(look, home.points[0])
    second = hunt_step(look, home.points[0], [(frozenset(first.off), True)])
    assert first.steps_left == 4
    assert second.steps_left == 3


def test_what_was_off_and_is_no_longer_needed_goes_back_on() -> None:
    home, look = believing((0.125,) * 8)
    first = hunt_step(look, home.points[0])
    assert first.then_on == ()
    gone = [(frozenset(first.off), False)]
    second = hunt_step(look, home.points[0], gone)
    assert set(second.off) < set(first.off), "nothing is put out beside what it may still be"
    assert set(second.then_on) == set(first.off) - set(second.off)


def test_ways_that_must_stay_on_or_be_left_alone_are_never_switched() -> None:
    home = Surveyed(4, 1)
    home.do(verbs.edit(home.home, home.ways[0], keep_on="a lift stands on it"))
    home.do(verbs.edit(home.home, home.ways[1], how_switched="leave alone"))
    point = home.points[0]
    answers: list[tuple[frozenset[str], bool]] = []
    for _ in range(12):
        step = hunt(home.home, home.memo, TRADE, point, answers, frozenset((home.ways[2],)))
        if not step.off:
            break
        assert set(step.off) == {home.ways[3]}
        answers.append((frozenset(step.off), True))
    assert "No switch that may be used tells more" in step.says
    assert step.chances, "what is left is still told"


def test_a_point_that_stays_on_whatever_is_off_is_fed_from_elsewhere() -> None:
    home = Surveyed(4, 1)
    answers: list[tuple[frozenset[str], bool]] = []
    for _ in range(20):
        step = hunt(home.home, home.memo, TRADE, home.points[0], answers)
        if not step.off:
            break
        answers.append((frozenset(step.off), True))
    assert "fed from elsewhere" in step.says
    assert set().union(*(off for off, _ in answers)) == set(home.ways)


def test_a_wrong_call_is_outvoted_when_the_hunt_goes_on() -> None:
    """Answers that contradict each other never raise; the likeliest way is still told."""
    home = Surveyed(4, 1)
    one, two = home.ways[:2]
    answers = [
        (frozenset((one,)), False),
        (frozenset((one,)), True),
        (frozenset((one,)), False),
        (frozenset((two,)), True),
    ]
    step = hunt(home.home, home.memo, TRADE, home.points[0], answers)
    assert step.chances[0][0] == one


def test_what_the_survey_knows_already_shortens_the_hunt() -> None:
    home = Surveyed(8, 1)
    (p,) = home.points
    home.look(p, "still on")
    home.look(p, "off", *home.ways[:2])
    step = hunt(home.home, home.memo, TRADE, p)
    assert set(step.off) & set(home.ways[:2])
    answers = [(frozenset((home.ways[0],)), False)]
    assert hunt(home.home, home.memo, TRADE, p, answers).says == f"{p} goes off with A1."


def test_a_gentle_hunt_switches_no_more_than_it_may() -> None:
    home, look = believing((0.1,) * 10)
    gentle = replace(look, method=Method("gentle", most_off=3))
    answers: list[tuple[frozenset[str], bool]] = []
    for _ in range(20):
        step = hunt_step(gentle, home.points[0], answers)
        if not step.off:
            break
        assert len(step.off) <= 3
        answers.append((frozenset(step.off), home.ways[9] not in step.off))
    assert step.says.endswith("goes off with A10.")
