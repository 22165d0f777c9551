"""Sums of triangular amounts with shared causes: exact figures beside other methods."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, stats

from circuitmap.extension.simulate import simulate
from circuitmap.extension.spread import covariance, explained, hermite_parts, means, quantile, variances
from circuitmap.jobs import StoppedError, Ticket

SIX = np.array([[40.0, 60.0, 140.0]] * 6).T
SOME = np.array([[10, 15, 25], [20, 28, 45], [2, 2, 9], [0, 7, 7], [5, 5, 5], [100, 130, 400]], dtype=np.float64).T
amounts = st.lists(st.floats(0, 1000), min_size=3, max_size=3).map(sorted)


@given(amounts)
def test_mean_variance_and_inverse_of_a_triangular_amount_are_those_of_scipy(amount: list[float]) -> None:
    # independent: scipy.stats.triang
    low, likely, high = amount
    abm = np.array([[low], [likely], [high]])
    if high - low < 1e-3:
        assert variances(abm)[0] == pytest.approx(0, abs=1e-6)
        return
    told = stats.triang((likely - low) / (high - low), loc=low, scale=high - low)
    assert means(abm)[0] == pytest.approx(told.mean(), rel=1e-9)
    assert variances(abm)[0] == pytest.approx(told.var(), rel=1e-6, abs=1e-6)
    u = np.array([0.001, 0.1, 0.5, 0.9, 0.999])
    assert quantile(abm, u[:, None])[:, 0] == pytest.approx(told.ppf(u), rel=1e-7, abs=1e-7)


def test_six_jobs_of_40_60_140_minutes() -> None:
    # worked by hand by a practitioner: likely 360, mean 480; P90 550 one by one, 670 when one cause drives all
    assert SIX[1].sum() == 360
    assert means(SIX).sum() == pytest.approx(480)
    alone = simulate(SIX, np.zeros((6, 1)))
    together = simulate(SIX, np.ones((6, 1)))
    assert alone.p90 == pytest.approx(550, abs=3)
    assert together.p90 == pytest.approx(670, abs=3)
    assert alone.mean == pytest.approx(480, rel=0.002)
    assert together.mean == pytest.approx(480, rel=0.002)


def test_the_covariance_is_that_of_numerical_integration() -> None:
    # independent: the double integral of the product over a bivariate normal density
    pair = np.array([[10.0, 15.0, 25.0], [20.0, 21.0, 60.0]]).T
    loadings = np.sqrt(np.array([[0.7, 0.2], [0.6, 0.1]]))
    r = float((loadings @ loadings.T)[0, 1])
    density = stats.multivariate_normal(cov=[[1, r], [r, 1]])

    def product(y: float, x: float) -> float:
        u, v = stats.norm.cdf([x, y])
        a, b = (quantile(pair[:, i : i + 1], np.array([w]))[0] for i, w in ((0, u), (1, v)))
        return float(a * b * density.pdf([x, y]))

    both, _ = integrate.dblquad(product, -7, 7, -7, 7, epsabs=1e-3, epsrel=1e-4)
    found = covariance(pair, loadings)
    assert found[0, 1] == pytest.approx(both - means(pair).prod(), rel=2e-3)


def test_amounts_that_move_as_one_have_the_variance_of_their_sum() -> None:
    # worked by hand: six times the same amount has 36 times its variance
    assert covariance(SIX, np.ones((6, 1))).sum() == pytest.approx(36 * variances(SIX)[0], rel=1e-5)
    assert covariance(SIX, np.zeros((6, 1))).sum() == pytest.approx(6 * variances(SIX)[0], rel=1e-9)


def test_hermite_parts_hold_the_whole_variance() -> None:
    # Parseval: the squares of the parts add up to the variance
    assert (hermite_parts(SOME) ** 2).sum(axis=1) == pytest.approx(variances(SOME), rel=2e-3, abs=1e-9)


@settings(max_examples=15, deadline=None)
@given(st.lists(amounts, min_size=2, max_size=12), st.integers(0, 2**32 - 1), st.data())
def test_simulated_mean_and_variance_agree_with_the_exact_ones(
    listed: list[list[float]], seed: int, data: st.DataObject
) -> None:
    abm = np.array(listed).T
    shares = np.array([data.draw(st.tuples(st.floats(0, 0.6), st.floats(0, 0.4))) for _ in listed])
    loadings = np.sqrt(shares)
    exact = covariance(abm, loadings).sum()
    drawn = simulate(abm, loadings, seed=seed, draws=100_000)
    assert drawn.mean == pytest.approx(means(abm).sum(), rel=0.01, abs=1e-6)
    # 100 000 draws leave some 0.4 % of a variance to chance; five times that never happens
    assert drawn.variance == pytest.approx(exact, rel=0.02, abs=1e-6)


def test_simulated_variance_is_within_one_per_cent() -> None:
    loadings = np.sqrt(np.array([[0.5, 0.2], [0.6, 0.2], [0, 0.3], [0.1, 0.1], [0.5, 0], [0.7, 0.2]]))
    exact = covariance(SOME, loadings).sum()
    drawn = simulate(SOME, loadings, draws=400_000)
    assert drawn.mean == pytest.approx(means(SOME).sum(), rel=0.001)
    assert drawn.variance == pytest.approx(exact, rel=0.01)
    assert drawn.p10 < drawn.p50 < drawn.p90


def test_a_cause_explains_what_knowing_it_would_take_away() -> None:
    # independent: the variance of means over draws that share the cause, by brute force
    loadings = np.sqrt(np.array([[0.5, 0.2], [0.6, 0.2], [0, 0.3], [0.1, 0.1], [0.5, 0], [0.7, 0.2]]))
    by_cause, by_own = explained(SOME, loadings)
    rng = np.random.default_rng(7)
    outer, inner = 2000, 400
    z = rng.standard_normal(outer)
    rest = rng.standard_normal((outer, inner))
    own = np.sqrt(1 - (loadings**2).sum(axis=1))
    total = np.zeros((outer, inner))
    for i in range(6):
        score = loadings[i, 0] * z[:, None] + loadings[i, 1] * rest + own[i] * rng.standard_normal((outer, inner))
        total += quantile(SOME[:, i : i + 1], stats.norm.cdf(score).reshape(-1, 1)).reshape(outer, inner)
    brute = total.mean(axis=1).var(ddof=1) - total.var(axis=1, ddof=1).mean() / inner
    assert by_cause[0] == pytest.approx(brute, rel=0.1)
    assert by_cause.sum() + by_own.sum() <= covariance(SOME, loadings).sum() * (1 + 1e-6)


def test_few_draws_of_many_amounts_still_give_a_mean() -> None:
    many = np.array([[10.0, 15.0, 25.0]] * 150).T
    drawn = simulate(many, np.full((150, 2), 0.5), draws=100)
    assert drawn.mean == pytest.approx(150 * 50 / 3, rel=0.01)


def test_the_same_seed_gives_the_same_figures_and_another_seed_others() -> None:
    loadings = np.full((6, 1), 0.5)
    assert simulate(SIX, loadings, seed=3, draws=500) == simulate(SIX, loadings, seed=3, draws=500)
    assert simulate(SIX, loadings, seed=3, draws=500) != simulate(SIX, loadings, seed=4, draws=500)


def test_drawing_can_be_stopped_and_refuses_too_few() -> None:
    ticket = Ticket()
    ticket.stop()
    with pytest.raises(StoppedError):
        simulate(SIX, np.zeros((6, 1)), ticket=ticket)
    with pytest.raises(ValueError, match="hundred draws"):
        simulate(SIX, np.zeros((6, 1)), draws=99)
