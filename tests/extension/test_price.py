"""What a take-off costs: money by hand, the sums a practitioner would expect, the range and its reasons."""

from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.extension.money import pence, percent_of, show_money
from circuitmap.extension.price import Priced, price
from circuitmap.extension.pricebook import Book, with_rows
from circuitmap.extension.takeoff import Fitting, Job, Line, Remedy, Taken, Work, takeoff
from tests.extension.priced import EMPTY, WALL, demo, fused_spur, new_circuit, priced, swap, twins

POUND = 100
NEW_CIRCUIT = Job(occupied=False, certificate="installation certificate", notify="notify by scheme")


def labour_minutes(of: Priced) -> float:
    return of.minutes_mean


# --- worked by hand ---


def book_of_two(**terms: object) -> Book:
    rows = {
        "rate": [{"key": "electrician", "hour": 60}],
        "task": [
            {"key": "one", "title": "One", "block": "first fix", "minutes": [40, 60, 140]},
            {"key": "two", "title": "Two", "block": "test and certificate", "minutes": [30, 30, 30]},
        ],
        "material": [{"key": "stuff", "title": "Stuff", "unit": "m", "price": [1, 1, 1], "waste": True}],
        "fee": [{"key": "paper", "title": "Paper", "block": "test and certificate", "price": [5, 5, 5]}],
    }
    own = with_rows(demo(), rows, {"minimum_charge": 0, **terms})
    assert not own.problems
    return own


def test_a_price_worked_by_hand() -> None:
    # 60.00 an hour is a pound a minute. "one": mean (40 + 60 + 140) / 3 = 80 min = 80.00; "two": 30.00; stuff: 10 m
    # with 7.5 % waste and 20 % handling 12.90; paper 5.00. Net 127.90, 20 % tax 25.58, total 153.48.
    lines = tuple(
        Line(key=key, quantity=n, why="test") for key, n in (("one", 1), ("two", 1), ("stuff", 10), ("paper", 1))
    )
    done = price(Taken(lines=lines), book_of_two(), EMPTY, draws=0)
    assert {block.block: block.charge for block in done.blocks} == {
        "first fix": 8000,
        "test and certificate": 3500,
        "materials": 1290,
    }
    assert (done.net, done.tax, done.total) == (12_790, 2558, 15_348)
    # (1600 + 3600 + 19600 − 2400 − 5600 − 8400) / 18 = 466.67 min², at a pound a minute
    assert done.variance == pytest.approx(8400 / 18 * POUND**2)
    assert done.mean == pytest.approx(12_790)


def test_repeats_and_a_furnished_home_by_hand() -> None:
    # box brick twin 20–28–45: the first in full, the second by 0.60–0.67–0.75: 32–46.76–78.75; furnished 1.1–1.2–1.3:
    # 35.2–56.112–102.375
    lines = (Line(key="box brick twin", quantity=2, repeated=1, why="test"),)
    bare = price(Taken(lines=lines), demo(), EMPTY, draws=0).minutes
    assert (bare.low, bare.likely, bare.high) == pytest.approx((32, 46.76, 78.75))
    lived_in = price(Taken(lines=lines), demo(), Job(occupied=True), draws=0).minutes
    assert (lived_in.low, lived_in.likely, lived_in.high) == pytest.approx((35.2, 56.112, 102.375))


def test_furniture_slows_work_but_neither_setting_up_nor_tests() -> None:
    lines = tuple(Line(key=key, quantity=1, why="test") for key in ("set up", "isolate", "minor works"))
    a, b = (price(Taken(lines=lines), demo(), Job(occupied=said), draws=0).minutes for said in (False, True))
    assert a == b


def test_long_jobs_are_charged_in_half_days_and_short_ones_by_their_hours() -> None:
    # 6.25 h a day: eight times 80 min is 640 min = 10.67 h; half days of 3.125 h: four, 12.5 h; 1.83 h more at 60.00
    lines = (Line(key="one", quantity=8, why="test"),)
    done = price(Taken(lines=lines), book_of_two(), EMPTY, draws=0)
    assert done.half_days == 4
    assert [(b.block, b.charge) for b in done.blocks] == [("preliminaries", 11_000), ("first fix", 64_000)]
    assert done.net == 12.5 * 60 * POUND
    short = price(Taken(lines=(Line(key="one", quantity=4, why="test"),)), book_of_two(), EMPTY, draws=0)
    assert short.half_days == 0
    assert short.net == 32_000


def test_exactly_two_days_are_not_rounded_up_to_more() -> None:
    lines = (Line(key="two", quantity=25, why="test"),)  # 750 min = 12.5 h = 4 half days
    done = price(Taken(lines=lines), book_of_two(), EMPTY, draws=0)
    assert done.half_days == 4
    assert done.net == 75_000


def test_overhead_is_a_block_of_its_own_where_it_is_not_in_the_rate() -> None:
    lines = (Line(key="two", quantity=1, why="test"),)
    done = price(Taken(lines=lines), book_of_two(overhead_percent=12.5), EMPTY, draws=0)
    assert [(b.block, b.charge) for b in done.blocks][-1] == ("overhead and profit", 375)


@pytest.mark.parametrize(
    ("kind", "percent", "tax"), [("standard", 20, 600), ("reduced", 5, 150), ("zero", 0, 0), ("not registered", 0, 0)]
)
def test_tax_by_its_kind(kind: str, percent: float, tax: int) -> None:
    lines = (Line(key="two", quantity=1, why="test"),)
    done = price(Taken(lines=lines), book_of_two(tax=kind), EMPTY, draws=0)
    assert (done.tax_percent, done.tax, done.total) == (percent, tax, 3000 + tax)


@given(st.integers(0, 10**9), st.decimals(0, 100, places=2))
def test_percentages_are_rounded_to_the_nearest_penny(amount: int, percent: Decimal) -> None:
    assert abs(Decimal(percent_of(amount, percent)) - amount * percent / 100) <= Decimal("0.5")


def test_halves_go_up_and_binary_fractions_decide_nothing() -> None:
    # worked by hand: 20 % of 0.125 in pence is 2.5; 1.15 is stored as 1.149999… in binary
    assert percent_of(50, 5) == 3
    assert percent_of(1000, 1.15) == 12
    assert pence(1.15) == 115
    with pytest.raises(ValueError, match="part of a penny"):
        pence(0.655)
    assert show_money(-123_456_789, "£") == "−£1,234,567.89"


# --- what a practitioner expects (common practice, no source) ---


def test_a_chased_twin_costs_about_one_and_a_half_to_1_9_times_one_in_a_stud_wall() -> None:
    stud, brick = priced(twins(1, "stud")), priced(twins(1, "brick"))
    assert 1.5 <= brick.net / stud.net <= 1.9


def test_the_minimum_charge_bites_on_a_swap_and_not_on_a_new_twin() -> None:
    plain = priced(swap(), Job(occupied=False, certificate="functional check"))
    assert plain.is_minimum
    assert plain.net == pence(demo().terms.minimum_charge)
    assert not priced(twins(1, "stud")).is_minimum


@pytest.mark.parametrize(("build", "noggin", "job"), [("brick", False, EMPTY), ("stud", True, Job(occupied=True))])
def test_three_twins_on_one_wall_take_about_1_6_to_2_times_the_labour_of_one(
    build: str, noggin: bool, job: Job
) -> None:
    one, three = (priced(twins(count, build, noggin=noggin), job) for count in (1, 3))
    assert 1.6 <= labour_minutes(three) / labour_minutes(one) <= 2.0


@pytest.mark.parametrize(
    ("work", "job", "least", "most"),
    [
        (twins(1, "stud"), EMPTY, 85, 160),
        (twins(1, "brick"), EMPTY, 160, 290),
        (fused_spur(), EMPTY, 95, 180),
        (new_circuit(), NEW_CIRCUIT, 350, 750),
        (Work(remedies=(Remedy(what="main bonding", why="gas"),)), EMPTY, 120, 300),
        (Work(remedies=(Remedy(what="board change", why="old"),)), EMPTY, 550, 950),
    ],
)
def test_demonstration_prices_are_plausible(work: Work, job: Job, least: int, most: int) -> None:
    assert least * POUND <= priced(work, job).net <= most * POUND


def test_brick_may_take_three_times_a_stud_wall_on_the_wall_itself() -> None:
    stud, brick = (
        sum(line.mean for line in priced(twins(1, build)).lines if line.block == "first fix")
        for build in ("stud", "brick")
    )
    assert 2 <= brick / stud <= 4


# --- sums ---


@pytest.mark.parametrize("work", [twins(1, "stud"), twins(3, "unknown"), new_circuit(), swap(), Work()])
def test_blocks_add_up_to_the_net_and_net_and_tax_to_the_total(work: Work) -> None:
    done = priced(work)
    assert sum(block.charge for block in done.blocks) == done.net
    assert done.net + done.tax == done.total
    assert all(isinstance(block.charge, int) for block in done.blocks)
    order = [block.block for block in done.blocks]
    assert order == sorted(
        order,
        key=[
            "preliminaries",
            "making existing fit",
            "first fix",
            "second fix",
            "test and certificate",
            "making good",
            "materials",
            "overhead and profit",
            "provisional sums",
        ].index,
    )


def test_optional_lines_are_priced_and_in_no_total() -> None:
    bonding = Remedy(what="main bonding", why="gas")
    board = Remedy(what="board change", why="a better board", optional=True)
    with_board, without = priced(Work(remedies=(bonding, board))), priced(Work(remedies=(bonding,)))
    assert with_board.net == without.net
    assert {line.line.key for line in with_board.optional} == {"change board", "board with RCBOs", "label set"}
    assert all(line.mean > 0 for line in with_board.optional)


def test_sums_set_aside_are_within_the_contingency_and_only_for_what_is_named() -> None:
    assert priced(twins(1, "brick")).provisional == ()
    done = priced(twins(1, "unknown"))
    assert [sum_.for_what for sum_ in done.provisional] == [WALL]
    work = done.net - done.provisional[0].charge
    assert 0.05 <= done.provisional[0].charge / work <= 0.15


def test_sums_set_aside_for_two_places_add_up_to_the_penny() -> None:
    fittings = tuple(Fitting(what="socket", gangs=n, where=f"wall {n}") for n in (1, 2, 2))
    done = priced(Work(fittings=fittings))
    assert [sum_.for_what for sum_ in done.provisional] == ["wall 1", "wall 2"]
    work = done.net - sum(sum_.charge for sum_ in done.provisional)
    assert 0.05 * work - 1 <= sum(sum_.charge for sum_ in done.provisional) <= 0.15 * work + 1
    assert done.provisional[1].charge > done.provisional[0].charge


# --- the range ---


@pytest.mark.parametrize("build", ["stud", "brick", "unknown"])
def test_the_simulated_mean_and_variance_of_a_job_are_the_exact_ones_within_one_per_cent(build: str) -> None:
    counted = takeoff(twins(3, build), demo(), Job())
    for seed in range(8):
        done = price(counted, demo(), Job(), seed=seed)
        assert done.drawn is not None
        assert done.drawn.mean == pytest.approx(done.mean, rel=0.01)
        assert done.drawn.variance == pytest.approx(done.variance, rel=0.01)


def test_shared_causes_make_the_range_wider_than_lines_drawn_one_by_one() -> None:
    alone = with_rows(demo(), {"task": [{"key": key, "shares": {}} for key in demo().tasks]})
    assert not alone.problems
    shared, single = priced(twins(3, "brick"), draws=20_000), priced(twins(3, "brick"), book=alone, draws=20_000)
    assert shared.mean == pytest.approx(single.mean)
    assert shared.variance > 1.5 * single.variance
    assert shared.drawn is not None
    assert single.drawn is not None
    assert shared.drawn.p90 - shared.drawn.p10 > single.drawn.p90 - single.drawn.p10


def test_the_mean_is_no_sum_of_likeliest_values() -> None:
    done = priced(twins(1, "brick"))
    assert done.mean > sum(line.cost.likely for line in done.lines)
    assert done.mean == pytest.approx(sum(line.mean for line in done.lines))


def test_a_wall_that_nobody_saw_into_is_the_first_driver() -> None:
    done = priced(twins(1, "unknown"))
    assert (done.drivers[0].kind, done.drivers[0].title) == ("place", WALL)
    assert done.drivers[0].share > 0.5
    assert any(driver.key == "walls" and WALL in driver.places for driver in done.drivers)
    assert all(driver.kind != "place" for driver in priced(twins(1, "brick")).drivers)
    assert all(a.share >= b.share for a, b in zip(done.drivers, done.drivers[1:], strict=False))


def test_knowing_the_place_takes_away_what_the_driver_says() -> None:
    # independent: the same lines with the unseen ones at their means have the variance that is left
    book, work = demo(), twins(1, "unknown")
    done = priced(work)
    rows = [line for line in done.lines if line.line.unseen]
    fixed = {
        line.line.key: sum((m.low, m.likely, m.high)) / 3 / line.line.quantity for line in rows if (m := line.minutes)
    }
    known = with_rows(book, {"task": [{"key": key, "minutes": [mean, mean, mean]} for key, mean in fixed.items()]})
    assert not known.problems
    left = priced(work, book=known).variance
    assert 1 - left / done.variance == pytest.approx(done.drivers[0].share, rel=1e-6)


def test_the_same_seed_gives_the_same_price() -> None:
    a, b, c = (price(takeoff(twins(1, "brick"), demo()), demo(), seed=s, draws=1000).drawn for s in (5, 5, 6))
    assert a == b != c


def test_a_line_that_the_book_lacks_is_told_and_the_rest_priced() -> None:
    lines = (Line(key="minor works", quantity=1, why="test"), Line(key="unheard of", quantity=1, why="the moat"))
    done = price(Taken(lines=lines), demo(), draws=0)
    assert done.left_out == ("The price book has no row “unheard of”: the moat is not wholly in the price.",)
    assert done.net > 0


def test_prices_stay_marked_as_invented_until_they_are_ones_own() -> None:
    done = priced(swap(), Job(certificate="functional check"))
    assert {"electrician", "socket twin"} <= set(done.invented)
    assert "fix socket" in done.customary
    own = with_rows(
        demo(),
        {
            "material": [{"key": "socket twin", "price": [3, 4, 5]}],
            "task": [{"key": "fix socket", "minutes": [9, 9, 9]}],
        },
    )
    mine = priced(swap(), Job(certificate="functional check"), book=own)
    assert "socket twin" not in mine.invented
    assert "fix socket" not in mine.customary


def test_costs_of_a_line_are_one_amount_not_independent_of_quantity() -> None:
    lines = (Line(key="chase brick", quantity=4, why="test"),)
    one = (Line(key="chase brick", quantity=1, why="test"),)
    four, single = (price(Taken(lines=these), demo(), EMPTY, draws=0) for these in (lines, one))
    assert np.sqrt(four.variance) == pytest.approx(4 * np.sqrt(single.variance))
