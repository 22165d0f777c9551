"""The weighing of answers, held against sums done by hand and against going through every home there could be.

Bayes' rule needs no source; how ways come to be joined, and how likely, are estimates of our own (``belief.py``).
"""

from collections.abc import Sequence
from itertools import combinations, product
from math import exp, log, prod

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from circuitmap.survey.belief import (
    ELSEWHERE,
    EMPTY_WAY,
    JOINED_HOMES,
    LIKE_ROOM,
    NOT_FED,
    Belief,
    total_chance,
    uniform,
)
from circuitmap.survey.evidence import Seen, Told

OFF_SLIP, ON_SLIP = 0.02, 0.01
NO_NEUTRALS = 0

Answer = tuple[int, bool]  # the ways off as bits, and whether the point was still on


def told(*answers: Answer, off_slip: float = OFF_SLIP, on_slip: float = ON_SLIP, neutral: int = NO_NEUTRALS) -> Told:
    seen = tuple(Seen(live, mask, mask, neutral & mask, False, off_slip, on_slip) for mask, live in answers)
    off, on = any(not a[1] and a[0] for a in answers), any(a[1] for a in answers)
    return Told(seen, off and on, off, on)


def belief(
    prior: Sequence[Sequence[float]], answers: Sequence[Sequence[Answer]], stuck_off: float = 0.0, stuck_on: float = 0.0
) -> Belief:
    points = len(prior)
    made = Belief(np.array(prior, dtype=float), np.full(points, stuck_off), np.full(points, stuck_on))
    for point, mine in enumerate(answers):
        made.tell(point, told(*mine))
    made.weigh()
    return made


A, B, C = 1, 2, 4


def test_one_point_on_three_ways_comes_out_as_by_hand() -> None:
    """Bayes' rule by hand.

    Prior A 0.5, B 0.3, C 0.2. Seems off though on: 0.02; seems on though off: 0.01. Stuck off 0.03, on 0.002, so
    N = 0.01 + 0.03 = 0.04, E = 0.01 + 0.002 = 0.012 and 1 - N - E = 0.948 is shared by the ways.

    Seen: "still on" with everything on, then "off" with A off.

        A    0.948 · 0.5 · 0.98 · 0.99 = 0.4598748
        B    0.948 · 0.3 · 0.98 · 0.02 = 0.00557424
        C    0.948 · 0.2 · 0.98 · 0.02 = 0.00371616
        E    0.012       · 0.98 · 0.02 = 0.0002352
        N    0.04        · 0.01 · 0.99 = 0.000396
        sum                              0.4697964

    so A 97.888 %, B 1.1865 %, C 0.7910 %, E 0.0501 %, N 0.0843 %.
    """
    made = belief([(0.5, 0.3, 0.2)], [[(0, True), (A, False)]], stuck_off=0.03, stuck_on=0.002)
    assert made.plain[0] == pytest.approx([0.978881, 0.0118652, 0.0079102, 0.00050064, 0.00084292], rel=1e-4)
    assert made.plain[0].sum() == pytest.approx(1)


def test_two_points_on_two_joined_ways_come_out_as_by_hand() -> None:
    """Two points, three ways alike, every answer wrong once in a hundred, so nothing stuck: N = E = 0.01, ways 0.98.

    Both points: on with all on, with A off, with B off, with C off; off with A and B off. With f = 0.99, s = 0.01:

        A alone   f·s·f·f·f = f⁴s       B alone the same      C alone   f·f·f·s·s = f³s²
        A+B       f⁵                    A+C and B+C   f·f·f·f·s = f⁴s
        E         f⁴s                   N   s⁴f

    Weights without any pair, in f⁴s = 0.00960596: A and B 0.98/3 each, C 0.98/3 · s/f, E 0.01, N 0.01 · s³/f³.
    Their sum is W = 0.98/3 · (2 + 0.010101) + 0.01 + 0.00000001 = 0.66663310.
    With A and B joined, in the same unit: W' = 0.98 · 2/3 · f/s + 0.98/3 · 0.010101 + 0.01 = 64.6932997.
    So each point makes the pair 64.6932997 / 0.66663310 = 97.0448 times likelier than no pair.
    With A and C joined: W' = 0.98/3 · (1 + 2) + 0.01 = 0.99: 1.48507 times; B and C the same.

    Before looking each pair has odds of 0.05/3. Ways on which nothing is found count ten to one for their pairs:
    a point is on A with 0.98/3 / W = 0.490023, so nothing is on A with (1 - 0.490023)² = 0.260077, on B the same, and
    nothing on C with (1 - 0.00494973)² = 0.990125. So A+B gets 10^0.520153, A+C and B+C 10^1.250202.

    Odds at one point, from the other alone (leaving its own answers out):
        A+B   0.05/3 · 3.312483 · 97.0448 = 5.357664       A+C, B+C   0.05/3 · 17.791075 · 1.48507 = 0.440352
    These exclude each other: sum with "none" 1 + 5.357664 + 2 · 0.440352 = 7.238368. So A is joined to nothing with
    1 - (5.357664 + 0.440352)/7.238368 = 0.198988, C with 1 - 2 · 0.440352/7.238368 = 0.878329.

    Weights at the point, in f⁴s:
        A, B   0.98/3 · 0.198988 each = 0.0650027         C   0.98/3 · 0.010101 · 0.878329 = 0.0028982
        E 0.01        A+B   0.98 · 2/3 · 99 · 5.357664/7.238368 = 47.874539
        A+C, B+C   0.98 · 2/3 · 0.440352/7.238368 = 0.0397459 each
    Their sum is 48.096934, so A+B has 99.5376 %.
    """
    seen: list[Answer] = [(0, True), (A, True), (B, True), (C, True), (A | B, False)]
    made = Belief(uniform(2, 3), np.zeros(2), np.zeros(2))
    for point in (0, 1):
        made.tell(point, told(*seen, off_slip=0.01, on_slip=0.01))
    made.weigh()
    pair = made.pair_of.index((0, 1))
    for point in (0, 1):
        assert made.plain[point, 0] == pytest.approx(0.490023, abs=2e-6)
        assert made.chances[point, 5 + pair] == pytest.approx(0.995376, abs=5e-6)
        assert made.chances[point, 0] == pytest.approx(0.0650027 / 48.096934, rel=1e-3)
        assert made.chances[point].sum() == pytest.approx(1)


# -- every home there could be ---------------------------------------------------------------------------------------


def likelihood(fed: tuple[int, ...], answers: Sequence[Answer]) -> float:
    """Chance of the answers at a point fed by all of ``fed`` together: () is from elsewhere, (-1,) is not at all."""
    total = 1.0
    for mask, live in answers:
        down = fed == (-1,) or (bool(fed) and all(mask >> way & 1 for way in fed))
        total *= (ON_SLIP if live else 1 - ON_SLIP) if down else (1 - OFF_SLIP if live else OFF_SLIP)
    return total


def enumerate_homes(
    prior: Sequence[Sequence[float]], answers: Sequence[Sequence[Answer]], stuck_off: float, stuck_on: float
) -> list[dict[tuple[int, ...], float]]:
    """Chances of what feeds each point, from all homes in which every point is on a way and one pair at most is joined.

    A way that seems bare makes it likelier, ten to one, that it is joined: that seeming is counted over the homes
    without any pair, as the weighing counts it.
    """
    ways = len(prior[0])
    not_fed, elsewhere = NOT_FED + stuck_off, ELSEWHERE + stuck_on
    choices: list[tuple[int, ...]] = [*((way,) for way in range(ways)), (), (-1,)]

    def first(point: int, fed: tuple[int, ...]) -> float:
        if fed == ():
            return elsewhere
        return not_fed if fed == (-1,) else prior[point][fed[0]] * (1 - not_fed - elsewhere)

    homes = list(product(choices, repeat=len(prior)))
    apart = [prod(first(p, fed) * likelihood(fed, answers[p]) for p, fed in enumerate(home)) for home in homes]
    looked = [p for p, mine in enumerate(answers) if mine]
    bare = [
        sum(w for w, home in zip(apart, homes, strict=True) if all(home[p] != (way,) for p in looked)) / sum(apart)
        if looked
        else 0.0
        for way in range(ways)
    ]
    found: list[dict[tuple[int, ...], float]] = [{} for _ in prior]
    pairs = list(combinations(range(ways), 2))
    for pair in [None, *pairs]:
        odds = 1.0 if pair is None else JOINED_HOMES / len(pairs) * EMPTY_WAY ** -(bare[pair[0]] + bare[pair[1]])
        for home in homes:
            fed = [pair if pair is not None and each and each[0] in pair else each for each in home]
            weight = odds * prod(
                first(p, each) * likelihood(now, answers[p])
                for p, (each, now) in enumerate(zip(home, fed, strict=True))
            )
            for p, now in enumerate(fed):
                found[p][now] = found[p].get(now, 0.0) + weight
    return [{fed: weight / sum(each.values()) for fed, weight in each.items()} for each in found]


@st.composite
def small_homes(draw: st.DrawFn, ways: int) -> tuple[list[tuple[float, ...]], list[list[Answer]]]:
    points = draw(st.integers(1, 3))
    prior = []
    for _ in range(points):
        raw = draw(st.lists(st.integers(1, 9), min_size=ways, max_size=ways))
        prior.append(tuple(n / sum(raw) for n in raw))
    masks = draw(st.lists(st.integers(0, 2**ways - 1), min_size=0, max_size=5))
    answers = [[(mask, draw(st.booleans())) for mask in masks if draw(st.booleans())] for _ in range(points)]
    return prior, answers


def furthest(prior: Sequence[Sequence[float]], answers: Sequence[Sequence[Answer]]) -> float:
    made = belief(prior, answers, stuck_off=0.01, stuck_on=0.002)
    exact = enumerate_homes(prior, answers, stuck_off=0.01, stuck_on=0.002)
    apart = 0.0
    for point, chances in enumerate(exact):
        columns: list[tuple[int, ...]] = [*((way,) for way in range(made.ways)), (), (-1,), *made.pair_of]
        given_ = dict(zip(columns, made.chances[point], strict=True))
        apart = max(apart, *(abs(chances[fed] - given_.get(fed, 0.0)) for fed in chances))
    return apart


@pytest.mark.parametrize("ways", [2, 3])
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_up_to_three_ways_it_is_what_all_homes_together_say(ways: int, data: st.DataObject) -> None:
    assert furthest(*data.draw(small_homes(ways))) < 1e-3  # one point joined by itself is allowed for beside


@settings(max_examples=40, deadline=None)
@given(drawn=small_homes(4))
def test_with_four_ways_two_pairs_may_be_joined_which_hardly_matters(
    drawn: tuple[list[tuple[float, ...]], list[list[Answer]]],
) -> None:
    """From four ways on the weighing allows for two pairs at once, which the homes gone through here don't have."""
    assert furthest(*drawn) < 0.05


@settings(max_examples=60, deadline=None)
@given(ways=st.integers(1, 7), data=st.data())
def test_chances_of_a_point_sum_to_1(ways: int, data: st.DataObject) -> None:
    made = belief(*data.draw(small_homes(ways)))
    assert made.chances.sum(axis=1) == pytest.approx(np.ones(made.points))
    assert made.chances.min() >= 0
    assert total_chance(made, 0, range(ways)) <= 1 + 1e-9


@settings(max_examples=60, deadline=None)
@given(drawn=small_homes(4), order=st.permutations(range(15)))
def test_told_step_by_step_in_any_order_it_is_what_telling_all_at_once_gives(
    drawn: tuple[list[tuple[float, ...]], list[list[Answer]]], order: list[int]
) -> None:
    prior, answers = drawn
    made = Belief(np.array(prior), np.zeros(len(prior)), np.zeros(len(prior)))
    steps = [(p, n) for p, mine in enumerate(answers) for n in range(1, len(mine) + 1)]
    for k in order:
        if k < len(steps):
            point, many = steps[k]
            made.tell(point, told(*answers[point][:many]))
            made.weigh()
    for point, mine in enumerate(answers):
        made.tell(point, told(*mine))
    made.weigh()
    fresh = belief(prior, answers)
    assert made.pair_of == fresh.pair_of
    assert made.chances == pytest.approx(fresh.chances, abs=1e-9)


def test_with_very_many_ways_told_step_by_step_is_what_all_at_once_gives() -> None:
    """Beyond forty ways only bare ways are weighed in pairs, and which those are changes from step to step."""
    rng = np.random.default_rng(7)
    ways, points = 45, 60
    truth = rng.integers(0, ways - 3, points)
    masks = [0, *(sum(1 << way for way in range(ways) if (way + 1) >> bit & 1) for bit in range(6))]
    answers = [[(mask, not mask >> int(truth[p]) & 1) for mask in masks] for p in range(points)]
    made = Belief(uniform(points, ways), np.zeros(points), np.zeros(points))
    for many in range(1, len(masks) + 1):
        for point in range(points):
            made.tell(point, told(*answers[point][:many]))
        made.weigh()
    fresh = Belief(uniform(points, ways), np.zeros(points), np.zeros(points))
    for point in range(points):
        fresh.tell(point, told(*answers[point]))
    fresh.weigh()
    assert made.pair_of == fresh.pair_of
    assert made.chances == pytest.approx(fresh.chances, abs=1e-9)
    assert (fresh.chances[:, :ways].argmax(axis=1) == truth).all()


# -- what answers can and can't do -----------------------------------------------------------------------------------


def test_a_dead_lamp_is_dead_every_time_so_more_of_the_same_answer_adds_little() -> None:
    """What persists is one explanation with its own chance, not one slip after another."""
    seen: list[Answer] = [(0, False), (A, False), (B, False), (C, False)]
    once = belief([(1 / 3, 1 / 3, 1 / 3)], [seen[:2]], stuck_off=0.03)
    often = belief([(1 / 3, 1 / 3, 1 / 3)], [seen], stuck_off=0.03)
    assert once.chances[0, 4] > 0.9
    assert often.chances[0, 4] > 0.999, "slips would each have to happen again; a dead lamp happens once"
    slips = OFF_SLIP**3 * (1 - ON_SLIP) / (0.04 * (1 - ON_SLIP) ** 4)
    assert often.plain[0, :3].sum() == pytest.approx(0.95 * slips, rel=0.02)


def test_what_shines_by_its_own_battery_looks_fed_from_elsewhere_not_like_many_slips() -> None:
    seen: list[Answer] = [(A, True), (B, True), (C, True), (A | B | C, True)]
    made = belief([(1 / 3, 1 / 3, 1 / 3)], [seen], stuck_on=0.02)
    assert made.plain[0, 3] > 0.99


def test_a_neutral_is_looked_for_only_where_a_device_that_cuts_it_was_off() -> None:
    seen: list[Answer] = [(0, True), (A, False), (B, False), (C, True)]
    blind = belief([(1 / 3, 1 / 3, 1 / 3)], [seen])
    assert blind.either(0) == []
    made = Belief(uniform(1, 3), np.zeros(1), np.zeros(1))
    made.tell(0, told(*seen, neutral=B))
    made.weigh()
    assert [(line, neutral) for line, neutral, _ in made.either(0)] == [(0, 1)]


def test_a_clean_survey_has_nothing_to_say_of_neutrals() -> None:
    made = Belief(uniform(1, 3), np.zeros(1), np.zeros(1))
    made.tell(0, told((0, True), (A, False), (B, True), (C, True), neutral=B))
    made.weigh()
    assert made.either(0) == []


def test_neighbours_lean_a_point_that_nobody_looked_at_and_their_own_answers_never_come_back_to_them(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Of two points of one room one is found on A: the other leans to A by half of LIKE_ROOM, n/(n + 1) with n = 1."""
    monkeypatch.setattr("circuitmap.survey.belief.JOINED_HOMES", 1e-9)  # no pairs, so that the sum is short
    rooms = np.array([0, 0], dtype=np.intp)
    made = Belief(uniform(2, 3), np.zeros(2), np.zeros(2), rooms)
    made.tell(0, told((0, True), (A, False)))
    made.weigh()
    on_a = made.plain[0, 0] / made.plain[0, :3].sum()
    leant = (1 - LIKE_ROOM / 2) / 3 + LIKE_ROOM / 2 * on_a
    assert made.chances[1, 0] / made.chances[1, :3].sum() == pytest.approx(leant, abs=1e-6)
    alone = belief([(1 / 3, 1 / 3, 1 / 3)], [[(0, True), (A, False)]])
    assert made.chances[0, :3] == pytest.approx(alone.chances[0, :3], abs=1e-9)


def test_an_answer_that_may_have_been_read_either_way_counts_half() -> None:
    made = Belief(uniform(1, 2), np.zeros(1), np.zeros(1))
    seen = Seen(False, A, A | B, 0, False, OFF_SLIP, ON_SLIP)
    made.tell(0, Told((seen,), on_and_off=False, seen_off=True, seen_on=False))
    made.weigh()
    half = 0.5 * (1 - ON_SLIP) + 0.5 * OFF_SLIP
    assert made.plain[0, 1] / made.plain[0, 0] == pytest.approx(half / (1 - ON_SLIP))


def test_a_misread_label_at_many_points_joins_no_ways_against_a_points_own_answers() -> None:
    """Twelve points are believed to be on A and are on B or C; the thirteenth went off with A and with nothing else.

    That they aren't on A makes "A and B joined" likelier at each of them, by beliefs that all err alike. Together it
    may not outweigh what the thirteenth showed.
    """
    d = 8
    others: list[Answer] = [(0, True), (A | d, True), (A | B | C, False)]
    mine: list[Answer] = [(0, True), (A | d, False), (A | B | C, False)]
    prior = [(0.91, 0.03, 0.03, 0.03)] * 12 + [(0.25,) * 4]
    made = Belief(np.array(prior), np.zeros(13), np.zeros(13))
    for point in range(12):
        made.tell(point, told(*others, off_slip=1e-9, on_slip=1e-9))
    made.tell(12, told(*mine, off_slip=1e-9, on_slip=1e-9))
    made.weigh()
    assert made.chances[12, 0] > 0.99


def test_one_way_alone_has_no_pair_and_still_sums_up() -> None:
    made = belief([(1.0,)], [[(0, True), (A, False)]])
    assert made.pair_of == []
    assert made.chances[0] == pytest.approx(made.plain[0])
    assert made.chances[0, 0] > 0.99


def test_a_home_without_points_weighs_nothing() -> None:
    made = Belief(uniform(0, 4), np.zeros(0), np.zeros(0))
    made.weigh()
    assert made.chances.shape[0] == 0


def test_the_odds_of_a_pair_are_the_product_of_what_each_point_says() -> None:
    """Three points that all go off only with A and B together speak three times for the pair."""
    seen: list[Answer] = [(0, True), (A, True), (B, True), (A | B, False)]
    alone = belief([(0.25,) * 4], [seen])
    three = belief([(0.25,) * 4] * 3, [seen] * 3)
    n = alone.pair_of.index((0, 1))
    first = log(JOINED_HOMES / 6)
    assert alone.odds[n] == pytest.approx(first + alone.lifts[0, n])
    assert three.odds[n] == pytest.approx(first + 3 * alone.lifts[0, n])
    assert exp(three.lifts[0, n]) > 10
