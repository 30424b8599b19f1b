"""Means, variances and the k of counts, held against print, other engines and their own shape."""

import math
import random
import statistics
from collections.abc import Callable, Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special, stats
from statsmodels.discrete.discrete_model import NegativeBinomial

from bot.statistics import (
    MOST_COUNT,
    AllZeros,
    NoClumping,
    OutOfRange,
    StatisticsError,
    TooFewSamples,
    counts_from_frequencies,
    every_k,
    k_by_likelihood,
    k_by_moments,
    k_by_zeros,
    log_likelihood,
    mean,
    standard_error,
    variance,
)
from tests.counts_in_print import MITES, TEN_WEBWORMS, WEBWORMS, WEBWORMS_2, WEBWORMS_3, WEBWORMS_4

any_counts = st.lists(st.integers(0, 40), min_size=2, max_size=30)


@pytest.mark.parametrize(
    ("counts", "in_print", "tolerance"),
    [  # design/statistics.md, section 4 (N1 and N4, T1 to T4) and section 6 (I1); SELF by scipy, statsmodels, R
        (MITES, {"m": 1.1466667, "s2": 2.2736465, "k_mom": 1.1666974}, 5e-8),
        (WEBWORMS, {"m": 1.4000, "s2": 2.3272, "k_mom": 2.1140}, 5e-5),
        (WEBWORMS_2, {"m": 0.5046, "s2": 0.5841, "k_mom": 3.2043}, 5e-5),
        (WEBWORMS_3, {"m": 0.8523, "s2": 1.1386, "k_mom": 2.5372}, 5e-5),
        (WEBWORMS_4, {"m": 0.4123, "s2": 0.5208, "k_mom": 1.5664}, 5e-5),
        (TEN_WEBWORMS, {"m": 2.4, "s2": 4.4888889, "k_mom": 2.7574468}, 5e-8),
    ],
    ids=["mites", "webworms 1", "webworms 2", "webworms 3", "webworms 4", "ten webworms"],
)
def test_mean_variance_and_k_by_moments_are_those_in_print(
    counts: Sequence[int], in_print: dict[str, float], tolerance: float
) -> None:
    worked_out = {"m": mean(counts), "s2": variance(counts), "k_mom": k_by_moments(counts)}
    assert worked_out == pytest.approx(in_print, abs=tolerance)


def test_the_standard_error_of_ten_webworm_counts_is_that_in_print() -> None:
    assert standard_error(TEN_WEBWORMS) == pytest.approx(0.6699917, abs=5e-8)  # I1, SELF


def test_the_mites_k_by_moments_with_n_is_that_in_print() -> None:
    assert k_by_moments(MITES, by_n=True) == pytest.approx(1.1826031, abs=5e-8)  # N1, SELF


def test_the_mites_k_by_zeros_is_that_in_print() -> None:
    assert k_by_zeros(MITES) == pytest.approx(0.9923061, abs=5e-8)  # N1, SELF


@pytest.mark.parametrize(
    ("counts", "k", "se", "tolerance"),
    [
        (MITES, 1.02459, 0.27591, 5e-6),  # k: Bliss & Fisher 1953; se: scipy, statsmodels and R alike
        (MITES, 1.0245924, 0.27591, 5e-6),  # N1, SELF by all three engines
        (WEBWORMS, 1.9113, 0.4135, 5e-5),  # N4, T1 to T4, SELF
        (WEBWORMS_2, 3.0221, 1.9243, 5e-5),
        (WEBWORMS_3, 2.1577, 0.7191, 5e-5),
        (WEBWORMS_4, 1.4234, 0.6321, 5e-5),
    ],
    ids=["mites in print", "mites recomputed", "webworms 1", "webworms 2", "webworms 3", "webworms 4"],
)
def test_the_likeliest_k_and_its_error_are_those_in_print(
    counts: Sequence[int], k: float, se: float, tolerance: float
) -> None:
    likely = k_by_likelihood(counts)
    assert likely.k == pytest.approx(k, abs=tolerance)
    assert likely.se == pytest.approx(se, abs=tolerance)


def test_the_mites_likeliest_k_has_all_seven_digits() -> None:
    assert k_by_likelihood(MITES).k == pytest.approx(1.0245924, abs=5e-8)  # N1, SELF
    assert 1 / k_by_likelihood(MITES).k == pytest.approx(0.9759979, abs=5e-8)  # N1, statsmodels' alpha


@pytest.mark.parametrize("counts", [WEBWORMS, WEBWORMS_2, WEBWORMS_3, WEBWORMS_4])
def test_each_treatment_has_a_quarter_of_the_1300_webworm_plots(counts: Sequence[int]) -> None:
    assert len(counts) == 1300 / 4  # N4


def test_ten_webworm_counts_have_the_likeliest_k_in_print() -> None:
    assert k_by_likelihood(TEN_WEBWORMS).k == pytest.approx(3.4618903, abs=5e-8)  # I1, SELF


def test_the_mites_log_likelihood_is_that_in_print() -> None:
    assert every_k(MITES).loglik == pytest.approx(-222.437154, abs=5e-7)  # N1, SELF
    assert 2 * every_k(MITES).loglik == pytest.approx(-444.874307, abs=1e-6)  # N1, R's glm.nb


def drawn(seed: int, samples: int, mean_count: float, k: float) -> list[int]:
    draw = np.random.default_rng(seed)
    counts: list[int] = draw.negative_binomial(k, k / (k + mean_count), samples).tolist()
    return counts


@pytest.mark.parametrize("seed", range(6))
def test_the_likeliest_k_is_that_of_another_engine(seed: int) -> None:
    counts = drawn(seed, 120, 2.0, 0.7)
    other = NegativeBinomial(np.array(counts), np.ones(len(counts))).fit(disp=0, maxiter=200)
    _, clumping = other.params
    assert k_by_likelihood(counts).k == pytest.approx(1 / clumping, rel=1e-4)
    # its error is of 1/k, and ours of k: the same to the first order, 1/k² apart
    assert k_by_likelihood(counts).se == pytest.approx(other.bse[1] / clumping**2, rel=1e-3)
    assert every_k(counts).loglik == pytest.approx(other.llf, abs=1e-6)


@given(any_counts, st.floats(0.01, 50), st.floats(0.01, 500))
def test_the_log_likelihood_is_that_of_another_engine(counts: list[int], of: float, k: float) -> None:
    other = stats.nbinom.logpmf(counts, k, k / (k + of)).sum()
    assert log_likelihood(counts, of, k) == pytest.approx(other, rel=1e-9, abs=1e-9)


@given(any_counts, st.floats(0.01, 50))
def test_with_k_without_end_the_likelihood_is_the_poissons(counts: list[int], of: float) -> None:
    poisson = stats.poisson.logpmf(counts, of).sum()
    assert log_likelihood(counts, of, math.inf) == pytest.approx(poisson, rel=1e-9, abs=1e-9)
    assert log_likelihood(counts, of, 1e12) == pytest.approx(poisson, rel=1e-7, abs=1e-7)


@given(any_counts)
def test_no_k_explains_counts_better_than_the_likeliest(counts: list[int]) -> None:
    best = every_k(counts).loglik
    if any(counts):
        for k in [*np.geomspace(1e-3, 1e6, 60).tolist(), math.inf]:
            assert log_likelihood(counts, mean(counts), k) <= best + 1e-8 * max(1.0, abs(best))


@given(any_counts)
def test_k_by_zeros_gives_back_the_zeros(counts: list[int]) -> None:
    try:
        k = k_by_zeros(counts)
    except StatisticsError:
        return
    share = counts.count(0) / len(counts)
    assert special.xlog1py(-k, mean(counts) / k) == pytest.approx(math.log(share), rel=1e-9)


@given(any_counts)
def test_k_by_moments_gives_back_the_variance(counts: list[int]) -> None:
    try:
        k = k_by_moments(counts)
    except StatisticsError:
        return
    assert mean(counts) + mean(counts) ** 2 / k == pytest.approx(variance(counts))


@given(any_counts)
def test_mean_and_variance_are_those_of_another_engine(counts: list[int]) -> None:
    assert mean(counts) == pytest.approx(statistics.mean(counts))
    assert variance(counts) == pytest.approx(statistics.variance(counts))


@given(any_counts, st.randoms(use_true_random=False))
def test_the_order_of_samples_changes_no_digit(counts: list[int], shuffler: random.Random) -> None:
    other = counts.copy()
    shuffler.shuffle(other)
    assert every_k(other) == every_k(counts)
    assert (mean(other), variance(other), standard_error(other)) == (
        mean(counts),
        variance(counts),
        standard_error(counts),
    )


@given(any_counts)
def test_frequencies_are_another_way_to_say_counts(counts: list[int]) -> None:
    said = [counts.count(count) for count in range(max(counts) + 1)]
    assert counts_from_frequencies(said) == tuple(sorted(counts))


EVEN = (1, 2, 1, 2, 1)
"""Less spread than a Poisson's: mean 1.4, variance 0.3."""


@pytest.mark.parametrize("way", [k_by_moments, k_by_zeros, k_by_likelihood])
@pytest.mark.parametrize("counts", [EVEN, (3, 3, 3), (0, 2, 0, 2, 2, 2)])
def test_counts_less_spread_than_poissons_have_no_k(
    way: Callable[[Sequence[int]], object], counts: Sequence[int]
) -> None:
    with pytest.raises(NoClumping, match="no more spread than chance alone"):
        way(counts)
    fit = every_k(counts)
    assert (fit.k_moment, fit.k_ml, fit.k_zero) == (None, None, None)


def test_counts_without_a_k_are_as_likely_as_under_a_poisson() -> None:
    assert every_k(EVEN).loglik == pytest.approx(stats.poisson.logpmf(EVEN, 1.4).sum())


def test_between_the_two_variances_there_is_a_k_by_moments_but_no_likeliest() -> None:
    counts = (0, 1, 3, 1)  # mean 1.25, variance 1.583 by n - 1 and 1.1875 by n
    assert k_by_moments(counts) == pytest.approx(1.25**2 / (19 / 12 - 1.25))
    assert every_k(counts).k_ml is None
    for refused in (lambda: k_by_likelihood(counts), lambda: k_by_moments(counts, by_n=True)):
        with pytest.raises(NoClumping):
            refused()


@pytest.mark.parametrize("way", [k_by_moments, k_by_zeros, k_by_likelihood])
def test_zeros_alone_have_no_k(way: Callable[[Sequence[int]], object]) -> None:
    with pytest.raises(AllZeros, match="All counts are 0"):
        way((0, 0, 0))
    assert every_k((0, 0, 0)).loglik == 0


def test_without_a_zero_there_is_no_k_by_zeros() -> None:
    with pytest.raises(OutOfRange, match="No count is 0"):
        k_by_zeros((1, 9, 30, 2))
    assert every_k((1, 9, 30, 2)).k_zero is None


def test_with_fewer_zeros_than_chance_makes_there_is_no_k_by_zeros() -> None:
    with pytest.raises(NoClumping, match="no more zeros than chance"):
        k_by_zeros((0, 1, 1, 1, 1, 1, 1, 5))  # variance 2.3 over mean 1.4; one zero, and chance makes two


@pytest.mark.parametrize("figure", [variance, standard_error, every_k, k_by_moments, k_by_likelihood])
def test_one_sample_has_no_variance_and_no_k(figure: Callable[[Sequence[int]], object]) -> None:
    with pytest.raises(TooFewSamples, match="At least 2 samples are needed, and there are 1"):
        figure((3,))


def test_no_samples_have_no_mean() -> None:
    with pytest.raises(TooFewSamples, match="At least 1 sample is needed"):
        mean(())


@pytest.mark.parametrize("count", [-1, MOST_COUNT + 1])
def test_a_count_that_no_sample_can_have_is_refused(count: int) -> None:
    with pytest.raises(OutOfRange, match=str(count)):
        mean((1, count))


@pytest.mark.parametrize("frequencies", [(3, -1), (1, 2_000_000)])
def test_frequencies_that_cannot_be_are_refused(frequencies: Sequence[int]) -> None:
    with pytest.raises(OutOfRange):
        counts_from_frequencies(frequencies)


@pytest.mark.parametrize(("of", "k"), [(0.0, 1.0), (-1.0, 1.0), (1.0, 0.0), (1.0, -2.0), (math.nan, 1.0)])
def test_a_mean_or_k_not_over_0_has_no_likelihood(of: float, k: float) -> None:
    with pytest.raises(OutOfRange, match="over 0"):
        log_likelihood(MITES, of, k)


def test_the_likeliest_k_of_nearly_poisson_counts_has_a_finite_error() -> None:
    found = 0
    for seed in range(200):
        counts: list[int] = np.random.default_rng(seed).poisson(1.0, 400).tolist()
        try:
            likely = k_by_likelihood(counts)
        except NoClumping:
            continue
        found += 1
        assert 0 < likely.se < math.inf
    assert found > 50
