"""Intervals of means and shares, held against print, other engines, and the test each is the other side of."""

import math
import random
import time
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import optimize, special, stats
from statsmodels.stats.proportion import proportion_confint

from bot.statistics import (
    LEAST_K,
    MOST_COUNT,
    IntervalMethod,
    NoEffort,
    OutOfRange,
    TooFewSamples,
    k_by_likelihood,
    log_likelihood,
    mean,
    mean_interval,
    share_interval,
    standard_error,
    variance,
)
from tests.counts_in_print import MITES, TEN_WEBWORMS

any_counts = st.lists(st.integers(0, 15), min_size=3, max_size=15)
confidences = st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99])


def best_by_another_engine(counts: Sequence[int], of: float) -> float:
    """Give the highest log-likelihood of a mean over every k from LEAST_K, by a search of another kind."""

    def badness(log_k: float) -> float:
        k = math.exp(log_k)
        return -float(stats.nbinom.logpmf(counts, k, k / (k + of)).sum())

    poisson = float(stats.poisson.logpmf(counts, of).sum())
    found = optimize.minimize_scalar(badness, bounds=(math.log(LEAST_K), 12), method="bounded")
    return max(poisson, -float(found.fun), -badness(math.log(LEAST_K)))


def lost(counts: Sequence[int], of: float) -> float:
    """Give twice the logarithm of the likelihood that a mean loses against the best, k fitted anew."""
    return 2 * (best_by_another_engine(counts, mean(counts)) - best_by_another_engine(counts, of))


def test_the_interval_of_ten_webworm_counts_is_that_in_print() -> None:
    interval = mean_interval(TEN_WEBWORMS, 0.95)  # I1, SELF by scipy and R: profile with an F(1, 9) cut-off
    assert (interval.low, interval.high) == pytest.approx((1.222204, 4.938485), abs=5e-7)
    assert interval.method is IntervalMethod.NB_PROFILE


@pytest.mark.parametrize(
    ("counts", "low", "high", "tolerance"),
    [(TEN_WEBWORMS, 1.355702, 4.345798, 2e-5), (MITES, 0.920986, 1.429768, 2e-4)],  # I1 and I3, SELF
    ids=["ten webworms", "mites"],
)
def test_the_ends_in_print_with_a_chi_square_cut_off_lose_as_much_as_it(
    counts: Sequence[int], low: float, high: float, tolerance: float
) -> None:
    cut = float(stats.chi2.ppf(0.95, 1))
    assert [lost(counts, low), lost(counts, high)] == pytest.approx([cut, cut], abs=tolerance)


def test_the_mites_interval_is_hardly_wider_than_that_in_print_as_f_nears_chi_square() -> None:
    interval = mean_interval(MITES, 0.95)
    assert 0.918 < interval.low < 0.920986  # I3, SELF
    assert 1.429768 < interval.high < 1.433


@pytest.mark.parametrize(
    ("counts", "low", "high", "tolerance"),
    [(TEN_WEBWORMS, 1.410062, 4.018097, 2e-3), (MITES, 0.922688, 1.426283, 5e-3)],  # R's MASS, SELF
    ids=["ten webworms", "mites"],
)
def test_the_ends_in_print_with_k_held_lose_as_much_as_chi_square_allows(
    counts: Sequence[int], low: float, high: float, tolerance: float
) -> None:
    k = k_by_likelihood(counts).k
    best = log_likelihood(counts, mean(counts), k)
    losses = [2 * (best - log_likelihood(counts, end, k)) for end in (low, high)]
    assert losses == pytest.approx([stats.chi2.ppf(0.95, 1)] * 2, abs=tolerance)


@pytest.mark.parametrize(
    ("counts", "low", "high", "tolerance"),
    [(TEN_WEBWORMS, 0.8843735, 3.9156265, 5e-8), (MITES, 0.903387, 1.389946, 5e-7)],  # I1, I3: scipy and R
    ids=["ten webworms", "mites"],
)
def test_mean_and_error_give_the_t_interval_in_print(
    counts: Sequence[int], low: float, high: float, tolerance: float
) -> None:
    ends = stats.t.interval(0.95, len(counts) - 1, mean(counts), standard_error(counts))
    assert ends == pytest.approx((low, high), abs=tolerance)


def test_the_interval_is_wider_than_one_that_holds_k() -> None:
    interval = mean_interval(TEN_WEBWORMS, 0.95)
    assert interval.low < 1.425993  # I1, k held at the likeliest, Wald on the logarithm, SELF
    assert interval.high > 4.039292


@settings(max_examples=40)
@given(any_counts, confidences)
def test_the_ends_are_rejected_exactly_at_their_level(counts: list[int], confidence: float) -> None:
    interval = mean_interval(counts, confidence)
    if interval.method is IntervalMethod.NB_PROFILE:
        cut = stats.f.ppf(confidence, 1, len(counts) - 1)
        assert lost(counts, interval.low) == pytest.approx(cut, abs=1e-4, rel=1e-4)
        if interval.high < MOST_COUNT:
            assert lost(counts, interval.high) == pytest.approx(cut, abs=1e-4, rel=1e-4)
        else:
            assert lost(counts, MOST_COUNT) <= cut + 1e-4
    elif interval.method is IntervalMethod.POISSON_EXACT:
        n, total, tail = len(counts), sum(counts), (1 - confidence) / 2
        assert stats.poisson.sf(total - 1, n * interval.low) == pytest.approx(tail)
        assert stats.poisson.cdf(total, n * interval.high) == pytest.approx(tail)
    else:
        assert math.exp(-len(counts) * interval.high) == pytest.approx(1 - confidence)


@given(any_counts)
def test_the_method_is_read_off_the_counts(counts: list[int]) -> None:
    if not any(counts):
        expected = IntervalMethod.ZEROS_BOUND
    elif variance(counts) > mean(counts) * (1 + 1e-12):
        expected = IntervalMethod.NB_PROFILE
    else:
        expected = IntervalMethod.POISSON_EXACT
    assert mean_interval(counts, 0.8).method is expected


@given(any_counts)
def test_the_interval_holds_the_mean_and_grows_with_confidence(counts: list[int]) -> None:
    inner, outer = mean_interval(counts, 0.8), mean_interval(counts, 0.95)
    assert inner.holds(mean(counts))
    assert outer.low <= inner.low
    assert inner.high <= outer.high


@given(any_counts, st.randoms(use_true_random=False))
def test_the_order_of_samples_does_not_move_the_ends(counts: list[int], shuffler: random.Random) -> None:
    other = counts.copy()
    shuffler.shuffle(other)
    assert mean_interval(other, 0.8) == mean_interval(counts, 0.8)


@given(any_counts)
def test_ends_are_always_numbers_in_order(counts: list[int]) -> None:
    interval = mean_interval(counts, 0.95)
    assert 0 <= interval.low < interval.high <= MOST_COUNT


def test_more_clumped_counts_of_one_mean_have_a_wider_interval() -> None:
    widths = [
        interval.high - interval.low
        for counts in (
            (1, 2, 3, 2, 2, 2, 2, 2, 2, 2),
            (0, 5, 3, 2, 2, 2, 0, 2, 4, 0),
            (0, 14, 0, 0, 6, *[0] * 5),
        )
        for interval in [mean_interval(counts, 0.8)]
    ]
    assert widths == sorted(widths)


@pytest.mark.parametrize(
    ("total", "low", "high"),
    # Garwood 1936 as tabled in any book of exact Poisson limits, 95 %: two decimals
    [(1, 0.0253, 5.572), (5, 1.623, 11.668), (10, 4.795, 18.39)],
)
def test_counts_that_are_not_clumped_have_the_exact_interval_of_a_poisson(
    total: int, low: float, high: float
) -> None:
    counts = [total // 10 + (sample < total % 10) for sample in range(10)]
    interval = mean_interval(counts, 0.95)
    assert (10 * interval.low, 10 * interval.high) == pytest.approx((low, high), rel=1e-3)
    assert interval.method is IntervalMethod.POISSON_EXACT


@given(st.integers(1, 60), confidences)
def test_the_poisson_interval_is_that_of_another_engine(total: int, confidence: float) -> None:
    counts = [total // 10 + (sample < total % 10) for sample in range(10)]
    tail = (1 - confidence) / 2
    ends = (stats.chi2.ppf(tail, 2 * total) / 20, stats.chi2.isf(tail, 2 * total + 2) / 20)
    interval = mean_interval(counts, confidence)
    assert (interval.low, interval.high) == pytest.approx(ends)


@pytest.mark.parametrize(("confidence", "high"), [(0.95, 0.299573), (0.8, 0.160944)])
def test_ten_empty_samples_bound_the_mean_from_above(confidence: float, high: float) -> None:
    interval = mean_interval([0] * 10, confidence)
    assert (interval.low, interval.high) == pytest.approx((0, high), abs=5e-7)  # ln 20 / 10, ln 5 / 10
    assert interval.method is IntervalMethod.ZEROS_BOUND


def test_uneven_counts_of_two_samples_bear_out_any_mean() -> None:
    assert mean_interval([0, 9], 0.95).high == MOST_COUNT


def test_one_full_sample_among_nine_empty_ones_still_bounds_the_mean() -> None:
    interval = mean_interval([*[0] * 9, 2], 0.8)  # with k free to go to 0 the high end were twice that
    assert interval.low < 0.2 < 2 < interval.high < 5


def test_an_interval_of_ten_counts_takes_a_few_milliseconds() -> None:
    draw = np.random.default_rng(5)
    sheets: list[list[int]] = draw.negative_binomial(1, 0.4, (40, 10)).tolist()
    mean_interval(sheets[0], 0.8)
    times = []
    for counts in sheets:
        begun = time.perf_counter()
        mean_interval(counts, 0.8)
        times.append(time.perf_counter() - begun)
    assert sorted(times)[len(times) // 2] < 0.01  # 1.2 ms on one quiet core


@given(any_counts, st.floats(0.01, 100))
def test_an_interval_in_another_unit_holds_what_it_held(counts: list[int], factor: float) -> None:
    interval = mean_interval(counts, 0.8)
    other = interval.times(factor)
    middle = (interval.low + interval.high) / 2
    assert other.holds(middle * factor)
    assert not other.holds(interval.high * factor * 1.001)
    assert other.method is interval.method


@pytest.mark.parametrize("factor", [0.0, -1.0, math.inf, math.nan])
def test_units_that_differ_by_nothing_are_refused(factor: float) -> None:
    with pytest.raises(OutOfRange, match="factor over 0"):
        mean_interval(TEN_WEBWORMS, 0.8).times(factor)


@pytest.mark.parametrize("confidence", [0.0, 1.0, -0.5, 95.0, math.nan])
def test_a_confidence_that_is_no_part_of_one_is_refused(confidence: float) -> None:
    with pytest.raises(OutOfRange, match="between 0 and 1"):
        mean_interval(TEN_WEBWORMS, confidence)
    with pytest.raises(OutOfRange, match="between 0 and 1"):
        share_interval(1, 2, confidence)


def test_one_sample_has_no_interval() -> None:
    with pytest.raises(TooFewSamples, match="At least 2 samples"):
        mean_interval([4], 0.8)


@given(st.integers(0, 80), st.integers(1, 80), confidences)
def test_the_interval_of_a_share_is_that_of_another_engine(n: int, of: int, confidence: float) -> None:
    assume(n <= of)
    low, high = proportion_confint(n, of, alpha=1 - confidence, method="beta")
    interval = share_interval(n, of, confidence)
    assert (interval.low, interval.high) == pytest.approx((low, high), abs=1e-12)
    assert interval.method is IntervalMethod.BINOMIAL_EXACT


@given(st.integers(0, 80), st.integers(1, 80), confidences)
def test_the_ends_of_a_share_are_rejected_exactly_at_their_level(n: int, of: int, confidence: float) -> None:
    assume(n <= of)
    interval, tail = share_interval(n, of, confidence), (1 - confidence) / 2
    if n:
        assert stats.binom.sf(n - 1, of, interval.low) == pytest.approx(tail, rel=1e-6)
    if n < of:
        assert stats.binom.cdf(n, of, interval.high) == pytest.approx(tail, rel=1e-6)


@given(st.integers(0, 80), st.integers(1, 80))
def test_a_share_and_its_rest_have_mirrored_intervals(n: int, of: int) -> None:
    assume(n <= of)
    one, rest = share_interval(n, of, 0.9), share_interval(of - n, of, 0.9)
    assert (one.low, one.high) == pytest.approx((1 - rest.high, 1 - rest.low), abs=1e-12)


def test_none_of_ten_is_at_most_three_in_ten() -> None:
    interval = share_interval(0, 10, 0.95)
    assert (interval.low, interval.high) == pytest.approx((0, 1 - 0.025**0.1))  # by hand


def test_a_share_of_nothing_is_refused() -> None:
    with pytest.raises(NoEffort, match="share of nothing"):
        share_interval(0, 0, 0.8)


@pytest.mark.parametrize(("n", "of"), [(3, 2), (-1, 4)])
def test_a_share_that_is_no_part_is_refused(n: int, of: int) -> None:
    with pytest.raises(OutOfRange, match="part of its whole"):
        share_interval(n, of, 0.8)


def test_the_cut_off_at_ten_samples_is_wider_than_chi_squares() -> None:
    assert special.fdtri(1, 9, 0.95) == pytest.approx(5.117355)  # F(1, 9) at 0.95, any table
