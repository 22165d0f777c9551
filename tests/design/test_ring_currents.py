"""Currents in legs against closed forms and exact rational elimination."""

import random
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from circuitmap.design import ring_shares_a
from circuitmap.design.ring_currents import (
    SOURCE,
    Stretch,
    flow,
    furthest,
    judge_currents,
    laid,
    spread_load,
)
from circuitmap.readings.drawn import network_of
from circuitmap.readings.network import ReadingError
from circuitmap.trade import load
from tests.design.by_fractions import currents, potentials
from tests.design.layouts import in_line, ring, tangle, wires
from tests.readings.wired import Wired

PERMILLE = 1e-3  # asked for: within 0.1 %


@pytest.mark.parametrize(
    ("load_a", "percent", "near", "far"),
    [(26, 50, 13, 13), (26, 10, 23.4, 2.6), (20, 20, 16, 4), (30, 20, 24, 6)],
)
def test_one_load_divides_as_the_two_ways_to_it(load_a: float, percent: int, near: float, far: float) -> None:
    """Arithmetic, two resistances in parallel: 26 A a tenth of the way round puts 23.4 A, over 20 A, in one leg."""
    found = flow(laid(ring([percent, 100 - percent])), {"p1": load_a})
    assert found.legs_a == pytest.approx((near, far), rel=1e-9)
    assert found.legs_a == pytest.approx(ring_shares_a(load_a, percent / 100), rel=1e-9)


@given(
    st.lists(st.integers(1, 300), min_size=2, max_size=12),
    st.lists(st.integers(0, 300), min_size=11, max_size=11),
)
@settings(max_examples=60, deadline=None)
def test_a_ring_with_many_loads_is_the_sum_of_x_and_one_less_x(decimetres: list[int], tenths: list[int]) -> None:
    lengths = [each / 10 for each in decimetres]
    loads = {f"p{n}": tenths[n - 1] / 10 for n in range(1, len(lengths))}
    found = flow(laid(ring(lengths)), loads)
    whole, done = sum(lengths), 0.0
    near = far = 0.0
    for n, (metres, load_a) in enumerate(zip(lengths, loads.values(), strict=False), 1):
        done += metres
        shares = ring_shares_a(loads[f"p{n}"], done / whole)
        near, far = near + shares[0], far + shares[1]
        assert load_a == loads[f"p{n}"]
    assert found.legs_a == pytest.approx((near, far), rel=PERMILLE, abs=1e-9)


@pytest.mark.parametrize("seed", range(60))
def test_any_layout_is_as_exact_elimination_has_it(seed: int) -> None:
    """Trees, rings, bridged rings and spurs at random: every core of every cable, and the volts lost at every place."""
    pick = random.Random(seed)
    points = pick.randrange(2, 12)
    layout = tangle(seed, points, pick.randrange(0, 4))
    loads = {f"p{n}": pick.randrange(0, 130) / 10 for n in range(1, points + 1)}
    exact_loads = {place: Fraction(a) for place, a in loads.items()}
    found = flow(laid(layout), loads)
    lost = dict.fromkeys(loads, Fraction(0))
    for core in ("L", "N"):
        exact = currents(wires(layout, core), exact_loads, SOURCE)
        for s in layout:
            sign = 1 if core == "L" else -1
            assert found.amps[s.name, core] * sign == pytest.approx(float(exact[s.name]), rel=PERMILLE, abs=1e-9)
        volts = potentials(wires(layout, core), exact_loads, SOURCE)
        lost = {place: v - volts[place] for place, v in lost.items()}
    for place, v in lost.items():
        assert found.drop_v[place] == pytest.approx(float(v), rel=PERMILLE, abs=1e-9)


def test_what_flows_in_at_the_board_is_what_the_loads_take() -> None:
    layout = tangle(7, 10, 5)
    found = flow(laid(layout), {f"p{n}": float(n) for n in range(1, 11)})
    legs = [(s.name, 1 if s.a == SOURCE else -1) for s in layout if SOURCE in (s.a, s.b)]
    assert sum(found.amps[name, "L"] * sign for name, sign in legs) == pytest.approx(55)


def test_a_spur_carries_its_load_and_the_ring_shares_it() -> None:
    layout = [*ring([10, 20, 30]), *in_line([4], ["p1", "s"], name="spur")]
    found = flow(laid(layout), {"s": 12.0})
    assert found.run_a("spur1") == pytest.approx(12)
    assert found.legs_a == pytest.approx((10, 2))


def test_twenty_amperes_at_the_end_and_twelve_spread_lose_as_much_as_twenty_six_at_the_end() -> None:
    """On-Site Guide 7.2.2 as quoted: for a 32 A ring 20 A furthest, the balance evenly spread, equals 26 A furthest.

    Spread over a cable without end: 20 L/4 + 12 L/8 = 6.5 L = 26 L/4; over n points even legs apart it is a little off.
    """
    legs = 200
    network = laid(ring([0.3] * legs))
    points = [f"p{n}" for n in range(1, legs)]
    middle = f"p{legs // 2}"
    assert furthest(network, points) == middle
    spread = flow(network, spread_load(network, points, 32)).drop_v[middle]
    at_end = flow(network, {middle: 26.0}).drop_v[middle]
    assert spread == pytest.approx(at_end, rel=0.003)
    assert sum(spread_load(network, points, 32).values()) == pytest.approx(32)


def test_the_furthest_point_of_a_radial_is_the_end_of_its_longest_branch() -> None:
    layout = [*in_line([5, 5, 5], [SOURCE, "a", "b", "c"]), *in_line([11], ["a", "d"], name="d")]
    assert furthest(laid(layout), ["a", "b", "c", "d"]) == "d"


def test_a_load_bunched_near_one_end_overloads_that_leg() -> None:
    """433.1.204 as quoted: no part of a ring may be likely to carry more than Iz for long; 2.5 mm² by A has 20 A."""
    carries = dict.fromkeys(("c1", "c2"), (20.0, 20.0))
    bunched = judge_currents(flow(laid(ring([6, 54])), {"p1": 26.0}), carries, "test")
    assert bunched.answer == "no"
    assert "c1 would carry 23.4 A" in bunched.says
    even = judge_currents(flow(laid(ring([30, 30])), {"p1": 26.0}), carries, "test")
    assert (even.answer, even.need_a) == ("yes", pytest.approx(13))


def test_what_is_not_known_of_a_cable_is_not_judged() -> None:
    found = flow(laid(ring([6, 54])), {"p1": 26.0})
    assert judge_currents(found, {"c1": (13.5, 27.0), "c2": (13.5, 27.0)}, "test").answer == "can't judge"
    assert judge_currents(found, {"c1": None, "c2": (20.0, 20.0)}, "test").answer == "can't judge"


def test_a_ring_from_the_map_shares_its_loads_by_length() -> None:
    wired = Wired()
    first, second = wired.ring(10, 20, 30)
    found = flow(network_of(wired.on_way, load(), copper_c=70), {first: 12.0, second: 6.0})
    assert found.legs_a == pytest.approx((12 * 5 / 6 + 6 / 2, 12 / 6 + 6 / 2))
    assert not found.unsure


def test_a_length_that_nobody_knows_leaves_a_ring_unsure_and_not_the_current_of_a_radial() -> None:
    wired = Wired()
    a, b = wired.point(), wired.point()
    wired.chain(wired.way_id, a, b)
    radial = flow(network_of(wired.on_way, load()), {a: 3.0, b: 4.0})
    assert radial.legs_a == pytest.approx((7,))
    assert not radial.unsure
    assert radial.unsure_at == {a, b}
    wired.length(b, wired.way_id, 5)
    assert flow(network_of(wired.on_way, load()), {a: 3.0, b: 4.0}).unsure


def test_what_cannot_be_loaded_is_said_in_a_sentence() -> None:
    network = laid(ring([10, 10]))
    with pytest.raises(ReadingError, match="none or more"):
        flow(network, {"p1": -1.0})
    with pytest.raises(ReadingError, match="isn't on this circuit"):
        flow(network, {"elsewhere": 1.0})
    with pytest.raises(ReadingError, match="No cable leaves"):
        laid(in_line([1], ["a", "b"]))
    with pytest.raises(ReadingError, match="isn't reached"):
        flow(laid([*ring([1, 1]), *in_line([1], ["x", "y"], name="z")]), {"y": 1.0})
    with pytest.raises(ReadingError, match="above zero"):
        Stretch(name="c", a="a", b="b", line_ohm=0.0, neutral_ohm=1.0)
    with pytest.raises(ReadingError, match="no point to be the furthest"):
        furthest(network, [])
