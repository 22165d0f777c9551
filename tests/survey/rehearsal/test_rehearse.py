"""Whole surveys practised on homes whose wiring is known. The wide figures are in ``tests/bench/survey_table.py``."""

from dataclasses import replace
from functools import cache

import pytest

from circuitmap.home import verbs
from circuitmap.home.records import Check, Round
from circuitmap.survey.method import METHODS, Method, MethodKind
from circuitmap.survey.rehearsal import Invented, invent
from circuitmap.survey.rehearsal.rehearse import Practice, rehearse
from circuitmap.survey.rehearsal.tally import Tally
from circuitmap.survey.rehearsal.truth import Fed
from circuitmap.survey.settle import settle
from tests.bench.survey_table import bound, with_look
from tests.survey.board import Surveyed
from tests.survey.play import TRADE

HOMES = range(1, 9)
KINDS = pytest.mark.parametrize("kind", METHODS)


@cache
def home(seed: int, ways: int = 8, **planted: int) -> Invented:
    return invent(seed, ways=ways, **planted)


def practise(
    made: Invented, kind: MethodKind = "fewest rounds", error: float = 0.0, seed: int = 1, **facts: object
) -> Tally:
    return rehearse(made.home, TRADE, made.truth, Method(kind), error, seed, **facts)  # type: ignore[arg-type]  # test shorthand


# -- no errors --------------------------------------------------------------------------------------------------------


@KINDS
@pytest.mark.parametrize("seed", [1, 2])
def test_without_errors_every_point_comes_out_right(kind: MethodKind, seed: int) -> None:
    tally = practise(home(seed), kind)
    assert (tally.right, tally.wrong, tally.doubtful) == (tally.points, 0, 0)
    assert tally.points == len(home(seed).truth)
    assert tally.ways == 8
    assert tally.looks == 1


@pytest.mark.parametrize(("seed", "ways"), [(1, 4), (2, 7), (3, 12), (4, 15)])
def test_fewest_rounds_keep_to_the_bound_and_beat_one_at_a_time(seed: int, ways: int) -> None:
    made = home(seed, ways)
    fewest, one = practise(made), practise(made, "one at a time")
    assert with_look(fewest) <= bound(ways) + 1
    assert fewest.checks <= one.checks
    assert fewest.minutes < one.minutes
    assert one.rounds <= ways


def test_gentle_interrupts_listed_loads_less_than_fewest_rounds_do() -> None:
    made = [invent(seed, ways=10, sensitive=4) for seed in (1, 2, 3)]
    gentle = [practise(each, "gentle") for each in made]
    fewest = [practise(each) for each in made]
    assert max(t.most_off for t in gentle) <= 2
    assert sum(t.most_off for t in gentle) < sum(t.most_off for t in fewest)
    assert sum(t.together for t in gentle) < sum(t.together for t in fewest)


def test_the_tally_adds_up_to_the_points() -> None:
    tally = practise(home(1), error=0.05)
    assert tally.right + tally.wrong + tally.doubtful == tally.points
    assert tally.wrong <= tally.ever_wrong
    assert tally.flagged <= tally.misled
    assert tally.minutes > 0


# -- with errors ------------------------------------------------------------------------------------------------------


def test_with_2_percent_wrong_answers_hardly_a_point_is_settled_wrongly() -> None:
    tallies = [practise(home(seed), error=0.02, seed=seed) for seed in HOMES]
    points = sum(t.points for t in tallies)
    misled = sum(t.misled for t in tallies)
    assert misled > 10, "the bare answers would have misled"
    assert sum(t.wrong for t in tallies) <= max(1, 0.005 * points)
    assert sum(t.flagged for t in tallies) >= 0.9 * misled
    assert sum(t.right for t in tallies) >= 0.95 * points


def test_the_same_seed_gives_the_same_survey_and_another_gives_other_errors() -> None:
    made = home(3)
    assert practise(made, error=0.05, seed=4) == practise(made, error=0.05, seed=4)
    assert len({practise(made, error=0.05, seed=seed) for seed in range(1, 6)}) > 1


@pytest.mark.parametrize("rate", [1.0, 0.5, -0.1, float("nan")])
def test_a_rate_of_one_half_and_more_is_refused_in_a_sentence(rate: float) -> None:
    with pytest.raises(ValueError, match="error rate is from 0 to under"):
        practise(home(1), error=rate)


def test_very_many_wrong_answers_end_in_doubt_and_not_in_an_endless_survey() -> None:
    tally = practise(home(1, 4), error=0.4, seed=2)
    assert tally.doubtful > 0
    assert tally.rounds <= 3 * 4 + 20


# -- planted faults ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["fewest rounds", "gentle"])
def test_joined_ways_are_found_and_named(kind: MethodKind) -> None:
    tallies = [practise(home(seed, joined=1), kind) for seed in HOMES]
    assert all(t.odd > 0 for t in tallies)
    assert sum(t.named == t.odd for t in tallies) == len(tallies)
    assert sum(t.wrong for t in tallies) == 0


@pytest.mark.parametrize("kind", ["fewest rounds", "gentle"])
def test_a_second_source_is_found_and_named(kind: MethodKind) -> None:
    tallies = [practise(home(seed, second_source=1), kind) for seed in HOMES]
    assert all(t.odd == 1 for t in tallies)
    assert sum(t.named for t in tallies) == len(tallies)
    assert sum(t.wrong for t in tallies) == 0


@pytest.mark.parametrize(("seed", "ways"), [(48, 9), (69, 15)])
def test_a_second_source_is_proved_though_one_unlikely_way_is_left(seed: int, ways: int) -> None:
    """Nobody would look for it on that way, so everything off tells more than that way alone."""
    tally = practise(invent(seed, ways=ways, second_source=1), seed=seed)
    assert (tally.odd, tally.named, tally.doubtful) == (1, 1, 0)


@pytest.mark.parametrize("kind", ["fewest rounds", "gentle"])
def test_an_rcd_that_trips_in_mid_walk_is_found_and_misleads_nobody(kind: MethodKind) -> None:
    tallies = [practise(home(seed, rcds=2), kind, seed=seed, trips=True) for seed in HOMES]
    assert all(t.trip for t in tallies)
    assert sum(t.wrong for t in tallies) == 0


def test_a_trip_that_no_lamp_told_of_has_every_answer_of_the_walk_asked_again() -> None:
    """Nothing is known yet in the first walk, so the lamps may all hang under the other RCD."""
    made = invent(27, ways=18, rcds=2)
    seen: list[Practice] = []
    tally = rehearse(
        made.home, TRADE, made.truth, Method(), 0.0, 27, trips=True, each_round=lambda p, _: seen.append(p)
    )
    assert tally.trip
    assert tally.wrong == 0
    assert tally.right == tally.points
    outs = [e for record in seen[-1].home.sorted(Round) for e in record.events if e.what in ("look out", "trip")]
    assert [e.what for e in outs] == ["look out", "trip"]


def test_without_an_rcd_nothing_trips_and_the_tally_says_so() -> None:
    made = home(1, rcds=0)
    assert practise(made, trips=True).trip is None
    assert practise(made).trip is None


def test_what_is_connected_to_nothing_is_named_too() -> None:
    tally = practise(home(2, not_fed=1))
    assert (tally.odd, tally.named) == (1, 1)


def test_one_at_a_time_a_point_with_another_ways_neutral_ends_on_one_of_its_two_ways() -> None:
    """It goes off with either, and the first of them settles it: no clean survey shows that a neutral is borrowed."""
    for seed in (1, 2, 3):
        made = home(seed, borrowed=1)
        ((point, fed),) = [(p, f) for p, f in made.truth.items() if f.how == "either"]
        seen: list[Practice] = []
        tally = practise(made, "one at a time", each_round=lambda p, _, seen=seen: seen.append(p))
        known = settle(seen[-1].home, seen[-1].memo, TRADE, 0.0)[point]
        assert known.candidates[0] in fed.devices
        assert tally.right == tally.points - 1


# -- odd homes --------------------------------------------------------------------------------------------------------


@KINDS
def test_homes_without_ways_or_points_are_practised_in_no_time(kind: MethodKind) -> None:
    bare, empty = Surveyed(0, 2), Surveyed(3, 0)
    no_way = rehearse(bare.home, TRADE, {p: Fed((), "not fed") for p in bare.points}, Method(kind))
    assert (no_way.rounds, no_way.ways) == (0, 0)
    assert rehearse(empty.home, TRADE, {}, Method(kind)).rounds == 0


def test_points_that_nobody_knows_about_are_taken_as_out_of_reach() -> None:
    made = home(1)
    known = dict(list(made.truth.items())[:10])
    tally = rehearse(made.home, TRADE, known, Method())
    assert (tally.points, tally.right) == (10, 10)


def test_it_stops_after_as_many_switch_offs_as_it_was_told() -> None:
    tally = practise(home(1), most_rounds=2)
    assert tally.rounds == 2
    assert tally.doubtful > 0


def test_every_answer_is_kept_in_the_home() -> None:
    seen: list[Practice] = []
    tally = practise(home(1), each_round=lambda p, _: seen.append(p))
    assert len(seen[-1].home.table(Check)) == tally.checks
    assert len(seen) == tally.rounds + tally.looks


def test_what_stays_on_is_left_on_in_practice_too() -> None:
    made = home(1)
    kept = made.truth[next(iter(made.truth))].devices[0]
    changed = replace(made, home=made.home.apply(verbs.edit(made.home, kept, keep_on="a fish tank")))
    off: list[tuple[str, ...]] = []
    practise(changed, each_round=lambda _, proposal: off.append(proposal.off))
    assert all(kept not in each for each in off)
