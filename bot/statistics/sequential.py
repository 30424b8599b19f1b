"""Wald's sequential test: the lines at which counting may stop, and what he says they lead to.

Formulas in the notation of Binns, Nyrop and van der Werf, Sampling and Monitoring in Crop Protection (2000),
section 5.4, after Wald (1947); T is the sum of the counts of n samples:

    stop low   when T <= slope n - h0      h0 = ln((1 - alpha)/beta) / g
    stop high  when T >= slope n + h1      h1 = ln((1 - beta)/alpha) / g

                 g                              slope
    neg. bin.    ln[m1(k + m0) / (m0(k + m1))]  k ln[(k + m1)/(k + m0)] / g
    Poisson      ln(m1/m0)                      (m1 - m0) / g
    binomial     ln[p1(1 - p0) / (p0(1 - p1))]  ln[(1 - p0)/(1 - p1)] / g

Wald's chance of "low" (OC) and mean number of samples (ASN) act as if a count always met a line exactly, and
know no least or most number of samples. Real plans take up to a third more samples: `exact` says how many.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from scipy.optimize import brentq

from bot.statistics.counts import MOST_COUNT
from bot.statistics.errors import OutOfRange
from bot.statistics.families import (
    Binomial,
    Family,
    NegativeBinomial,
    Poisson,
    over_zero,
    possible_mean,
    variance_at,
)

ON_THE_LINE = 1e-9
"""A whole number this near to a line is on it: ten digits of a line are certain, and ties are real."""

LEAST_WEIGHT = 1e-12
"""An insect that says less than this about low or high puts the lines beyond every field."""

AT_THE_SLOPE = 1e-7
"""A dummy h under this is as good as 0, where the mean number of samples needs its limit."""


@dataclass(frozen=True, slots=True)
class SequentialPlan:
    """What a sequential test tells apart: a mean count of one sample of `low` from one of `high`.

    `alpha` is the chance of calling a true mean of `low` high, `beta` that of calling one of `high` low.

    Raises:
        OutOfRange: low is not over 0 and under high, high is over MOST_COUNT, a share is not under 1, alpha + beta
            is not under 1, or low and high lie too near or too far apart for any lines.
    """

    family: Family
    low: float
    high: float
    alpha: float
    beta: float

    def __post_init__(self) -> None:
        over_zero("low", self.low)
        over_zero("high", self.high)
        if self.low >= self.high:
            raise OutOfRange(f"low must be under high; {self.low:g} is not under {self.high:g}.")
        if self.high > MOST_COUNT:
            raise OutOfRange(f"high must be at most {MOST_COUNT}, the most in one sample, not {self.high:g}.")
        if isinstance(self.family, Binomial) and self.high >= 1:
            raise OutOfRange(f"low and high of a binomial are shares under 1, not {self.high:g}.")
        for name, chance in (("alpha", self.alpha), ("beta", self.beta)):
            if not 0 < chance < 1:
                raise OutOfRange(f"{name} must be between 0 and 1, not {chance:g}.")
        if self.alpha + self.beta >= 1:
            raise OutOfRange(
                f"alpha and beta together must be under 1, not {self.alpha + self.beta:g}: "
                "tossing a coin would do as well."
            )
        if _weight(self) < LEAST_WEIGHT:
            raise OutOfRange(f"No number of samples tells {self.low!r} from {self.high!r} here.")
        if math.isinf(_weight(self)):
            raise OutOfRange(f"{self.low!r} and {self.high!r} lie too far apart for lines between them.")


@dataclass(frozen=True, slots=True)
class StopLines:
    """Two parallel lines for the sum of counts: `slope` is in counts a sample, `h0` and `h1` are in counts.

    `hit_or_not` says that no sample can count more than 1.
    """

    slope: float
    h0: float
    h1: float
    hit_or_not: bool = False

    def low_at_most(self, n: int) -> int | None:
        """Give the largest sum of n samples that stops counting low; None while no sum is small enough."""
        largest = math.floor(self.slope * n - self.h0 + ON_THE_LINE)
        return largest if largest >= 0 else None

    def high_at_least(self, n: int) -> int | None:
        """Give the smallest sum of n samples that stops counting high; None while n hits are too few."""
        smallest = math.ceil(self.slope * n + self.h1 - ON_THE_LINE)
        return None if self.hit_or_not and smallest > n else smallest

    def rows(self, samples: int) -> Iterator["StopRow"]:
        """Give the rows of the stop table, from 1 sample to `samples`."""
        for n in range(1, samples + 1):
            yield StopRow(n, self.low_at_most(n), self.high_at_least(n))


@dataclass(frozen=True, slots=True)
class StopRow:
    """After n samples: stop low at a sum of `low_at_most` or less, high at `high_at_least` or more."""

    n: int
    low_at_most: int | None
    high_at_least: int | None


@dataclass(frozen=True, slots=True)
class WaldPoint:
    """What Wald says a plan does at a true mean: the chance that it calls it low, the mean number of samples.

    `h` is the dummy variable of his formulas: 1 at low, 0 at the slope, -1 at high, infinite at a mean of 0.
    """

    mean: float
    h: float
    low: float
    n: float


def stop_lines(plan: SequentialPlan) -> StopLines:
    """Give the lines at which a plan may stop."""
    g = _weight(plan)
    return StopLines(
        slope=_drift(plan) / g,
        h0=(math.log1p(-plan.alpha) - math.log(plan.beta)) / g,
        h1=(math.log1p(-plan.beta) - math.log(plan.alpha)) / g,
        hit_or_not=isinstance(plan.family, Binomial),
    )


def wald_at(plan: SequentialPlan, mean: float) -> WaldPoint:
    """Give what Wald says a plan does at a true mean of one sample's count.

    Raises:
        OutOfRange: no sample of the family can have this mean.
    """
    possible_mean(plan.family, mean)
    return _point(plan, mean, _dummy_at(plan, mean))


def wald_at_dummy(plan: SequentialPlan, h: float) -> WaldPoint:
    """Give what Wald says a plan does at the true mean that belongs to a finite dummy h.

    Raises:
        OutOfRange: h is not finite.
    """
    if not math.isfinite(h):
        raise OutOfRange(f"h must be finite, not {h:g}.")
    return _point(plan, stop_lines(plan).slope if h == 0 else math.exp(_log_mean(plan, h)), h)


def _point(plan: SequentialPlan, mean: float, h: float) -> WaldPoint:
    lines = stop_lines(plan)
    low = _chance_of_low(plan, h)
    if abs(h) < AT_THE_SLOPE:
        n = lines.h0 * lines.h1 / variance_at(plan.family, lines.slope)
    else:
        n = ((1 - low) * lines.h1 - low * lines.h0) / (mean - lines.slope)
    return WaldPoint(mean=mean, h=h, low=low, n=n)


def _chance_of_low(plan: SequentialPlan, h: float) -> float:
    """Work out L(h) = (A^h - 1)/(A^h - B^h) so that no power overflows."""
    a = math.log1p(-plan.beta) - math.log(plan.alpha)
    b = math.log(plan.beta) - math.log1p(-plan.alpha)
    if h == 0:
        return a / (a - b)
    if math.isinf(h):
        return 1.0 if h > 0 else 0.0
    if h > 0:
        return math.expm1(-h * a) / math.expm1(h * (b - a))
    return math.exp(-h * b) * math.expm1(h * a) / math.expm1(h * (a - b))


def _weight(plan: SequentialPlan) -> float:
    """Give g, the log-likelihood ratio of high against low that one insect more adds."""
    low, high = plan.low, plan.high
    match plan.family:
        case NegativeBinomial(k=k):
            return math.log1p((high - low) / low * (k / (k + high)))
        case Poisson():
            return math.log1p((high - low) / low)
        case Binomial():
            return math.log1p((high - low) / low) + math.log1p((high - low) / (1 - high))


def _drift(plan: SequentialPlan) -> float:
    """Give the log-likelihood ratio of low against high that one sample more adds."""
    low, high = plan.low, plan.high
    match plan.family:
        case NegativeBinomial(k=k):
            return k * math.log1p((high - low) / (k + low))
        case Poisson():
            return high - low
        case Binomial():
            return math.log1p((high - low) / (1 - high))


def _log_mean(plan: SequentialPlan, h: float) -> float:
    """Give the logarithm of the true mean at a dummy h other than 0.

    It is the mean at which the h-th power of the likelihood ratio has the expectation 1.
    """
    drift = _drift(plan)
    match plan.family:
        case NegativeBinomial(k=k):
            above = math.log(k) + _log_expm1(-h * drift / k)
        case Poisson():
            above = math.log(abs(h * drift))
        case Binomial():
            above = _log_expm1(h * drift)
    return above - _log_expm1(h * _weight(plan))


def _log_expm1(x: float) -> float:
    """Give ln|e^x - 1|, also where e^x has no end."""
    return x + math.log(-math.expm1(-x)) if x > 0 else math.log(-math.expm1(x))


def _dummy_at(plan: SequentialPlan, mean: float) -> float:
    """Find the dummy h of a true mean; it falls as the mean rises."""
    if mean == 0:
        return math.inf
    if isinstance(plan.family, Binomial) and mean == 1:
        return -math.inf
    slope = stop_lines(plan).slope
    if mean == slope:
        return 0.0
    sign, target = (1.0 if mean < slope else -1.0), math.log(mean)
    far = sign
    while sign * (_log_mean(plan, far) - target) > 0:
        far *= 2
    near = sign * AT_THE_SLOPE / 2
    if sign * (_log_mean(plan, near) - target) <= 0:
        return 0.0
    return float(brentq(lambda h: _log_mean(plan, h) - target, near, far, xtol=1e-15, rtol=1e-14))
