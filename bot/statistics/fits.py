"""The k of the negative binomial: by moments, by zeros, by likelihood.

A small k is strong clumping; as k grows without end the counts become a Poisson's. Counts that are no more
spread than a Poisson's have no k by any of the three, and NoClumping says so. Source of the three: Bliss &
Fisher 1953, Biometrics 9:176-200.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from scipy import optimize

from bot.statistics.counts import Sums, sums
from bot.statistics.errors import AllZeros, NoClumping, OutOfRange, StatisticsError
from bot.statistics.likelihood import Likelihood

NOT_CLUMPED = "The counts are no more spread than chance alone makes them (Poisson), so they have no k."


@dataclass(frozen=True, slots=True)
class LikelyK:
    """The likeliest k with its standard error from the observed information."""

    k: float
    se: float


@dataclass(frozen=True, slots=True)
class Fits:
    """Every k that counts have, None by a way by which they have none.

    `loglik` is the natural logarithm of the highest likelihood of any k, which is the Poisson's where
    `k_ml` is None.
    """

    k_moment: float | None
    k_ml: float | None
    k_zero: float | None
    loglik: float


def every_k(counts: Sequence[int]) -> Fits:
    """Give every k of two counts or more, and how well the likeliest explains them."""
    of = sums(counts, least=2)
    loglik = 0.0  # no insects are certain where the mean is 0
    if of.total:
        likelihood = Likelihood.of(counts)
        loglik = likelihood.best(likelihood.mean)
    return Fits(
        k_moment=_unless_refused(k_by_moments, counts),
        k_ml=_unless_refused(lambda given: k_by_likelihood(given).k, counts),
        k_zero=_unless_refused(k_by_zeros, counts),
        loglik=loglik,
    )


def _unless_refused(fit: Callable[[Sequence[int]], float], counts: Sequence[int]) -> float | None:
    try:
        return fit(counts)
    except StatisticsError:
        return None


def k_by_moments(counts: Sequence[int], *, by_n: bool = False) -> float:
    """Give k as mean² / (variance - mean), the variance by n - 1, or by n if asked.

    Raises NoClumping where the variance is not over the mean, AllZeros, TooFewSamples for fewer than two.
    """
    of = _clumped(counts)
    samples, total = of.samples, of.total
    divisor = samples if by_n else samples - 1
    # (S/n)² / (spread/(n d) - S/n), over n² d: whole numbers until the last step
    excess = samples * of.spread - samples * divisor * total
    if excess <= 0:
        raise NoClumping(NOT_CLUMPED)
    return total**2 * divisor / excess


def k_by_zeros(counts: Sequence[int]) -> float:
    """Give the k with which a negative binomial of this mean has as many zeros as the counts have.

    It solves k ln(1 + m/k) = -ln(zeros/n). Raises NoClumping where the zeros are no more than a Poisson's or
    the variance is not over the mean, OutOfRange where no count is 0, AllZeros, TooFewSamples.
    """
    of = _clumped(counts)
    zeros = sum(count == 0 for count in counts)
    if not zeros:
        raise OutOfRange("No count is 0, so there is no k by zeros.")
    mean, wanted = of.total / of.samples, -math.log(zeros / of.samples)
    if wanted >= mean:
        raise NoClumping(
            "There are no more zeros than chance alone makes (Poisson), so there is no k by zeros."
        )

    def missed(log_ratio: float) -> float:
        ratio = math.exp(log_ratio)
        return mean * math.log1p(ratio) / ratio - wanted

    # ln(1 + r)/r of r = m/k falls from 1 to 0; its roots for any share of zeros lie well inside
    return mean / math.exp(float(optimize.brentq(missed, -40.0, 40.0, xtol=1e-13)))


def k_by_likelihood(counts: Sequence[int]) -> LikelyK:
    """Give the likeliest k and its standard error.

    Raises NoClumping where the variance by n is not over the mean, as the likelihood then grows without end
    with k (Levin & Reeds 1977, Annals of Statistics 5:79-87); AllZeros; TooFewSamples for fewer than two.
    """
    of = _clumped(counts)
    if of.spread <= of.samples * of.total:
        raise NoClumping(NOT_CLUMPED)
    likelihood = Likelihood.of(counts)
    mean = likelihood.mean
    k = 1 / likelihood.likeliest_clumping(mean)
    # mean and k do not share information at the likeliest mean; the sum is -d²lnL/dk² with its terms paired
    # so that nearly equal ones do not cancel where k is large
    steps = likelihood.steps
    paired = ((mean - 2 * steps) - steps**2 / k) / ((k + mean) * (k + steps) ** 2)
    return LikelyK(k, 1 / math.sqrt(float(likelihood.above @ paired)))


def log_likelihood(counts: Sequence[int], mean: float, k: float) -> float:
    """Give the natural logarithm of the likelihood of counts under a mean and a k (infinite: Poisson).

    Raises OutOfRange where the mean or k is not over 0.
    """
    if not 0 < mean < math.inf:
        raise OutOfRange(f"A mean is over 0; {mean:g} is not.")
    if not k > 0:
        raise OutOfRange(f"k is over 0; {k:g} is not.")
    return Likelihood.of(counts).at(mean, 1 / k)


def _clumped(counts: Sequence[int]) -> Sums:
    of = sums(counts, least=2)
    if not of.total:
        raise AllZeros("All counts are 0, so they have no k.")
    if not of.is_clumped:
        raise NoClumping(NOT_CLUMPED)
    return of
