"""What must hold of the statistics whatever the counts: limits, order, and the same from engines that others wrote."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats
from statsmodels.discrete.discrete_model import NegativeBinomial as OtherEngine

from bot.statistics import (
    IntervalMethod,
    NoClumping,
    counts_from_frequencies,
    every_k,
    k_by_likelihood,
    k_by_moments,
    mean,
    mean_interval,
    share_interval,
    standard_error,
    variance,
)

any_counts = st.lists(st.integers(0, 15), min_size=3, max_size=15)
confidences = st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99])


def drawn(seed: int, samples: int, of: float, k: float) -> list[int]:
    draw = np.random.default_rng(seed)
    counts: list[int] = draw.negative_binomial(k, k / (k + of), samples).tolist()
    return counts


@settings(max_examples=25)
@given(st.integers(0, 10_000), st.integers(40, 200), st.floats(0.5, 6), st.floats(0.3, 3))
def test_the_likeliest_k_of_any_drawn_counts_is_that_of_another_engine(
    seed: int, samples: int, of: float, k: float
) -> None:
    counts = drawn(seed, samples, of, k)
    assume(variance(counts) > 1.2 * mean(counts) > 0)  # nearer to a Poisson the other engine does not settle
    start = [math.log(mean(counts)), 1 / k_by_moments(counts)]
    other = OtherEngine(np.array(counts), np.ones(samples)).fit(start, disp=0, maxiter=500)
    assume(other.mle_retvals["converged"])
    assert every_k(counts).loglik == pytest.approx(other.llf, abs=1e-5)
    assert k_by_likelihood(counts).k == pytest.approx(1 / other.params[1], rel=5e-3)


@given(st.lists(st.integers(4, 8), min_size=3, max_size=15), confidences)
def test_a_mean_inside_the_exact_interval_of_a_poisson_is_not_rejected_and_one_outside_is(
    counts: list[int], confidence: float
) -> None:
    # Counts from 4 to 8 never have a variance over their mean.
    interval = mean_interval(counts, confidence)
    assert interval.method is IntervalMethod.POISSON_EXACT
    n, total, tail = len(counts), sum(counts), (1 - confidence) / 2
    for of, inside in ((1.001 * interval.low, True), (0.999 * interval.low, False)):
        assert bool(stats.poisson.sf(total - 1, n * of) > tail) is inside
    for of, inside in ((0.999 * interval.high, True), (1.001 * interval.high, False)):
        assert bool(stats.poisson.cdf(total, n * of) > tail) is inside


@settings(max_examples=40)
@given(any_counts, confidences, st.integers(2, 5))
def test_the_same_counts_found_several_times_over_have_a_narrower_interval(
    counts: list[int], confidence: float, times: int
) -> None:
    once, often = mean_interval(counts, confidence), mean_interval(counts * times, confidence)
    assume(once.method is often.method)
    assert once.low <= often.low * (1 + 1e-9)
    assert often.high < once.high


@pytest.mark.parametrize(("of", "k"), [(1.0, 1.0), (4.0, 0.6), (0.5, 2.0)])
def test_with_many_samples_the_interval_is_mean_and_error(of: float, k: float) -> None:
    counts = drawn(11, 20_000, of, k)
    interval, half = mean_interval(counts, 0.95), 1.959964 * standard_error(counts)
    assert interval.low == pytest.approx(mean(counts) - half, rel=2e-3)
    assert interval.high == pytest.approx(mean(counts) + half, rel=2e-3)


def test_where_clumping_goes_to_nothing_the_interval_goes_to_the_poissons() -> None:
    # Variances by n - 1 of 1.009 and .996 about a mean of 1: to either side of the border.
    clumped, even = [296, 293, 145, 50, 13, 3], [294, 295, 146, 50, 12, 3]
    over, under = (mean_interval(counts_from_frequencies(those), 0.95) for those in (clumped, even))
    assert (over.method, under.method) == (IntervalMethod.NB_PROFILE, IntervalMethod.POISSON_EXACT)
    assert (over.low, over.high) == pytest.approx((under.low, under.high), rel=0.01)


@pytest.mark.parametrize("seed", range(8))
def test_the_more_the_insects_clump_the_smaller_is_each_k(seed: int) -> None:
    ks = [every_k(drawn(seed, 4000, 2.0, k)) for k in (4.0, 1.5, 0.5)]
    for way in ("k_moment", "k_ml", "k_zero"):
        found = [getattr(fit, way) for fit in ks]
        assert found == sorted(found, reverse=True), way
        assert found == pytest.approx([4.0, 1.5, 0.5], rel=0.35)


@given(st.integers(0, 80), st.integers(1, 80), confidences)
def test_the_interval_of_a_share_is_that_of_an_exact_binomial_test(
    n: int, of: int, confidence: float
) -> None:
    assume(n <= of)
    exact = stats.binomtest(n, of).proportion_ci(confidence, method="exact")
    interval = share_interval(n, of, confidence)
    assert (interval.low, interval.high) == pytest.approx((exact.low, exact.high), abs=1e-10)


@given(st.integers(0, 60), st.integers(1, 60), st.integers(2, 5))
def test_a_share_of_more_and_one_that_is_less_sure_have_narrower_intervals(
    n: int, of: int, times: int
) -> None:
    assume(n <= of)
    sure, less_sure, more = (
        share_interval(n, of, 0.95),
        share_interval(n, of, 0.8),
        share_interval(n * times, of * times, 0.95),
    )
    for inner in (less_sure, more):
        assert sure.low <= inner.low <= n / of + 1e-12
        assert n / of - 1e-12 <= inner.high <= sure.high


@given(st.integers(0, 59), st.integers(1, 60))
def test_one_hit_more_moves_both_ends_of_a_share_up(n: int, of: int) -> None:
    assume(n < of)
    one, more = share_interval(n, of, 0.9), share_interval(n + 1, of, 0.9)
    assert one.low < more.low
    assert one.high <= more.high


def test_two_uneven_counts_bear_out_every_mean_where_one_wants_to_be_all_but_certain() -> None:
    interval = mean_interval([0, 9], 0.999999)
    assert interval.low == 0
    assert mean_interval([1, 2, 9], 0.9999999999999999).low == 0
    assert 0 < mean_interval([0, 9], 0.95).low < 4.5


@given(any_counts, st.sampled_from([1e-300, 1e-18, 1e-9]))
def test_where_nothing_need_be_sure_the_interval_is_the_mean_alone(
    counts: list[int], confidence: float
) -> None:
    interval = mean_interval(counts, confidence)
    assume(interval.method is IntervalMethod.NB_PROFILE)
    assert interval.low <= mean(counts) <= interval.high
    assert (interval.low, interval.high) == pytest.approx((mean(counts), mean(counts)), rel=1e-6)


def test_an_end_just_before_the_smallest_number_is_found() -> None:
    # About the mean of two counts the likelihood loses 2 S |ln m| at the cut-off F(1, 1): here 11,260 = 18 × 625.
    interval = mean_interval([0, 9], 0.994)
    assert math.log(interval.low) == pytest.approx(-stats.f.ppf(0.994, 1, 1) / 18, rel=0.01)


@given(any_counts)
def test_a_k_by_likelihood_is_refused_just_where_the_variance_by_n_is_not_over_the_mean(
    counts: list[int],
) -> None:
    assume(any(counts))
    n = len(counts)
    if n * sum(count**2 for count in counts) - sum(counts) ** 2 > n * sum(counts):
        assert k_by_likelihood(counts).k > 0
    else:
        with pytest.raises(NoClumping):
            k_by_likelihood(counts)
