"""How many samples a wanted precision takes, and the lines of plans that stop at a precision or at a limit.

Precision D has two meanings in print, and mixing them up changes the number of samples by z² = 3.84: SE/mean,
and half the width of a confidence interval/mean. `Precision` always says which.

Samples needed: n = variance / (mean D)², after Karandinos (1976) and Ruesink, which is (1/m + 1/k)/D² for the
negative binomial; with Taylor's power law s² = a m^b it is Green's (1970) n = a m^(b - 2)/D². Iwao (1975) for
the limits about a critical mean.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from bot.statistics.errors import OutOfRange
from bot.statistics.families import Binomial, Family, NegativeBinomial, Poisson, over_zero, possible_mean

Z_95 = 1.96
"""The factor of a 95 % interval, rounded as the published forms round it."""

MOST_NEEDED = 2**53
"""Past it a float is no longer told from the next whole number, and no crew counts that long."""

ROUNDING = 1e-12
"""A number of samples this near over a whole one, as a part of it, is the whole one."""


class Meaning(StrEnum):
    """What a precision is a ratio of."""

    SE = "se"
    HALF_WIDTH = "half-width"


@dataclass(frozen=True, slots=True)
class Precision:
    """A wanted precision: the SE, or half the width of an interval of z SEs to each side, as a part of the mean.

    Raises:
        OutOfRange: the ratio or z is not over 0.
    """

    ratio: float
    meaning: Meaning = Meaning.SE
    z: float = Z_95

    def __post_init__(self) -> None:
        over_zero("The precision", self.ratio)
        over_zero("z", self.z)

    @property
    def of_se(self) -> float:
        """The precision as SE/mean, whichever way it was said."""
        match self.meaning:
            case Meaning.SE:
                return self.ratio
            case Meaning.HALF_WIDTH:
                return self.ratio / self.z


@dataclass(frozen=True, slots=True)
class Taylor:
    """Taylor's power law of the spread: the variance of one sample's count is a m^b.

    Raises:
        OutOfRange: a is not over 0, or b is not a number.
    """

    a: float
    b: float

    def __post_init__(self) -> None:
        over_zero("Taylor's a", self.a)
        if not math.isfinite(self.b):
            raise OutOfRange(f"Taylor's b must be a number, not {self.b:g}.")


@dataclass(frozen=True, slots=True)
class Needed:
    """The samples that a precision takes: `exact` as the formula gives it, `n` whole and rounded up, at least 1."""

    n: int
    exact: float


@dataclass(frozen=True, slots=True)
class Crowding:
    """Iwao's line of mean crowding on the mean, m* = alpha + beta m, so a variance of (alpha + 1)m + (beta - 1)m².

    An alpha of 0 and a beta of 1 + 1/k are the negative binomial.
    """

    alpha: float
    beta: float


@dataclass(frozen=True, slots=True)
class IwaoLimits:
    """The sums of n samples outside of which the mean differs from the critical one, in counts, unrounded."""

    lower: float
    upper: float

    @property
    def stops_low(self) -> bool:
        """Whether any sum is small enough yet."""
        return self.lower >= 0


def samples_needed(spread: Family | Taylor, mean: float, precision: Precision) -> Needed:
    """Give how many samples estimate a true mean, in counts of one sample, to a precision.

    Raises:
        OutOfRange: the mean is 0 or none that a sample can have, or the number is over MOST_NEEDED.
    """
    over_zero("The mean", mean)
    if isinstance(spread, Binomial):
        possible_mean(spread, mean)
    try:
        exact = _relative_variance(spread, mean) / precision.of_se / precision.of_se
    except OverflowError:  # a power of the mean beyond all floats
        exact = math.inf
    if not exact <= MOST_NEEDED:
        raise OutOfRange("That takes more samples than can be counted.")
    return Needed(n=max(1, math.ceil(exact * (1 - ROUNDING))), exact=exact)


def green_line(taylor: Taylor, precision: Precision, n: int) -> float:
    """Give Green's stop line: the sum of n samples, in counts and unrounded, at which the precision is reached.

    T = (D²/a)^(1/(b - 2)) n^((b - 1)/(b - 2)), D as SE/mean; stop when the sum is on the line or over it.

    Raises:
        OutOfRange: n is under 1, or b is 2 or more: then a larger sum says nothing for stopping.
    """
    _at_least_one(n)
    if taylor.b >= 2:
        raise OutOfRange(f"Green's line needs a Taylor's b under 2, not {taylor.b:g}.")
    power = 1 / (taylor.b - 2)
    log_sum = power * (2 * math.log(precision.of_se) - math.log(taylor.a)) + (1 + power) * math.log(n)
    try:
        return math.exp(log_sum)
    except OverflowError as endless:
        raise OutOfRange("That takes a larger sum than can be counted.") from endless


def iwao_limits(crowding: Crowding, critical: float, t: float, n: int) -> IwaoLimits:
    """Give Iwao's limits for the sum of n samples: n m0 ± t √(n variance), m0 the critical mean of one sample.

    Raises:
        OutOfRange: the critical mean or t is not over 0, n is under 1, or the line of crowding gives no variance.
    """
    over_zero("t", t)
    _at_least_one(n)
    half = t * math.sqrt(n * _crowded_variance(crowding, critical))
    return IwaoLimits(lower=n * critical - half, upper=n * critical + half)


def iwao_most(crowding: Crowding, critical: float, t: float, half_width: float) -> float:
    """Give the number of samples, unrounded, after which a mean that is the critical one is known to ± half_width.

    `half_width` is in counts of one sample, not a part of the mean.

    Raises:
        OutOfRange: a figure is not over 0, or the line of crowding gives no variance.
    """
    over_zero("t", t)
    over_zero("The half-width", half_width)
    return (t / half_width) ** 2 * _crowded_variance(crowding, critical)


def _relative_variance(spread: Family | Taylor, mean: float) -> float:
    match spread:
        case Taylor(a=a, b=b):
            return a * math.pow(mean, b - 2)
        case NegativeBinomial(k=k):
            return 1 / mean + 1 / k
        case Poisson():
            return 1 / mean
        case Binomial():
            return (1 - mean) / mean


def _crowded_variance(crowding: Crowding, mean: float) -> float:
    over_zero("The critical mean", mean)
    spread = (crowding.alpha + 1) * mean + (crowding.beta - 1) * mean * mean
    over_zero("The variance by the line of crowding", spread)
    return spread


def _at_least_one(n: int) -> None:
    if n < 1:
        raise OutOfRange(f"The number of samples must be 1 or more, not {n}.")
