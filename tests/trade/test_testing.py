"""The tables of the tests: every lamp pattern has its row, markings give capacities, and suspects come in order."""

from itertools import product

import pytest

from circuitmap.quantities.indicated import INDICATED
from circuitmap.trade import load


def test_every_pattern_of_three_lamps_has_a_row_whose_word_a_record_may_hold() -> None:
    rows = [load().lamps(*lit) for lit in product((False, True), repeat=3)]
    assert len({(row.l_n, row.l_e, row.n_e) for row in rows}) == 8
    assert {row.word for row in rows if row.word} <= set(INDICATED)


@pytest.mark.parametrize(
    ("marking", "ka"),
    [("M1", 1), ("M1.5", 1.5), ("M3", 3), ("M4.5", 4.5), ("M6", 6), ("M9", 9)],  # from memory: On-Site Guide 7.2.7
)
def test_an_old_breaker_breaks_what_its_marking_says(marking: str, ka: float) -> None:
    row = load().breaking("MCB BS 3871", marking)
    assert row is not None
    assert row.ka == ka


def test_an_unmarked_device_is_taken_for_the_weakest_or_the_usual_one() -> None:
    trade = load()
    for kind, ka in (("fuse BS 3036", 1), ("MCB BS 3871", 1), ("MCB", 6)):
        row = trade.breaking(kind)  # type: ignore[arg-type]  # words of the table
        assert row is not None
        assert row.ka == ka
    assert trade.breaking("MCB", "a stamp nobody knows") is None
    assert trade.breaking("RCD") is None


def test_a_better_tester_is_blind_to_less() -> None:
    trade = load()
    simple, advanced = ({row.what for row in trade.blind(kind)} for kind in ("simple", "advanced"))
    assert advanced < simple
    assert simple - advanced == {"a poor earth (high loop impedance)"}


def test_unplugging_is_suspected_before_fixed_loads_and_cable() -> None:
    assert [row.name for row in load().suspects()] == ["plugged in", "fixed loads", "cable"]


@pytest.mark.parametrize("edition", ["17th", "18th", "18th+A2", "18th+A4"])
def test_every_limit_that_a_test_needs_stands_in_every_edition(edition: str) -> None:
    trade = load()
    for name in ("ring legs agree ohm", "plug contact ohm", "insulation note below Mohm", "RCD half hold s"):
        assert trade.limit(name, edition).value > 0
