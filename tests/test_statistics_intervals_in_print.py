"""Ways to an interval that stand in print beside ours, each made of our means, errors, k and likelihoods.

Values: design/statistics.md, section 6, I1 (ten webworm counts) and I3 (mites), SELF by scipy and R. The bootstrap
intervals there, (1.2, 3.7) and (1.4, 3.9), are made of nothing of ours.
"""

import math
from collections.abc import Sequence

import pytest
from scipy import optimize, stats

from bot.statistics import LEAST_K, k_by_likelihood, mean, mean_interval, standard_error, variance
from bot.statistics.likelihood import Likelihood
from tests.counts_in_print import MITES, TEN_WEBWORMS

Z = float(stats.norm.ppf(0.975))


def profiled(counts: Sequence[int], cut: float) -> tuple[float, float]:
    """Give the means at which twice the logarithm of the likelihood, k fitted anew, is `cut` under the best."""
    likelihood, most = Likelihood.of(counts), 1 / LEAST_K
    best = likelihood.best(likelihood.mean, most)

    def over(of: float) -> float:
        return 2 * (best - likelihood.best(of, most)) - cut

    low = optimize.brentq(over, likelihood.mean / 20, likelihood.mean, xtol=1e-12)
    high = optimize.brentq(over, likelihood.mean, likelihood.mean * 20, xtol=1e-12)
    return float(low), float(high)


def test_the_ten_webworm_counts_have_the_mean_and_spread_in_print() -> None:
    assert mean(TEN_WEBWORMS) == 2.4
    assert variance(TEN_WEBWORMS) == pytest.approx(4.4888889, abs=5e-8)
    assert standard_error(TEN_WEBWORMS) == pytest.approx(0.6699917, abs=5e-8)


@pytest.mark.parametrize(
    ("counts", "low", "high"),
    [(TEN_WEBWORMS, 1.355702, 4.345798), (MITES, 0.920986, 1.429768)],
    ids=["ten webworms", "mites"],
)
def test_our_profile_cut_off_at_chi_square_has_the_ends_in_print(
    counts: Sequence[int], low: float, high: float
) -> None:
    assert profiled(counts, float(stats.chi2.ppf(0.95, 1))) == pytest.approx((low, high), abs=5.1e-7)


def test_our_profile_cut_off_at_f_has_the_ends_in_print_and_is_our_interval() -> None:
    ends = profiled(TEN_WEBWORMS, float(stats.f.ppf(0.95, 1, 9)))
    assert ends == pytest.approx((1.222204, 4.938485), abs=5.1e-7)
    interval = mean_interval(TEN_WEBWORMS, 0.95)
    assert (interval.low, interval.high) == pytest.approx(ends, rel=1e-8)


def test_the_mites_interval_is_our_profile_cut_off_at_f() -> None:
    interval = mean_interval(MITES, 0.95)
    assert (interval.low, interval.high) == pytest.approx(
        profiled(MITES, float(stats.f.ppf(0.95, 1, 149))), rel=1e-8
    )


def test_mean_and_error_give_the_z_interval_in_print() -> None:
    middle, half = mean(TEN_WEBWORMS), Z * standard_error(TEN_WEBWORMS)
    assert (middle - half, middle + half) == pytest.approx((1.08684, 3.71316), abs=5.1e-6)


def test_mean_and_error_give_the_t_interval_on_the_logarithm_in_print() -> None:
    middle = mean(TEN_WEBWORMS)
    factor = math.exp(float(stats.t.ppf(0.975, 9)) * standard_error(TEN_WEBWORMS) / middle)
    assert (middle / factor, middle * factor) == pytest.approx((1.2762903, 4.5130798), abs=5.1e-8)


def test_the_likeliest_k_held_gives_the_interval_on_the_logarithm_in_print() -> None:
    middle, k = mean(TEN_WEBWORMS), k_by_likelihood(TEN_WEBWORMS).k
    factor = math.exp(Z * math.sqrt((1 / middle + 1 / k) / 10))
    assert (middle / factor, middle * factor) == pytest.approx((1.425993, 4.039292), abs=5.1e-7)


def test_all_ways_agree_where_there_are_many_samples() -> None:
    # I3: at n = 150 the ends lie within .04 of each other; at n = 10 up to 1.2.
    ends = [(0.903387, 1.389946), (0.922688, 1.426283), profiled(MITES, float(stats.chi2.ppf(0.95, 1)))]
    for low, high in ends:
        assert mean_interval(MITES, 0.95).low == pytest.approx(low, abs=0.045)
        assert mean_interval(MITES, 0.95).high == pytest.approx(high, abs=0.045)
