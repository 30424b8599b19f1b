"""How the counts of one sample are spread about their mean: one value a family, and what it gives."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bot.statistics.errors import OutOfRange

Chances = NDArray[np.float64]
"""Chances of the counts 0, 1, 2 … in this order, or of a stretch of counts."""


@dataclass(frozen=True, slots=True)
class NegativeBinomial:
    """Clumped counts, of variance m + m²/k: the smaller k, the more clumped.

    Raises:
        OutOfRange: k is not over 0.
    """

    k: float

    def __post_init__(self) -> None:
        over_zero("k", self.k)


@dataclass(frozen=True, slots=True)
class Poisson:
    """Counts scattered at random, of variance m: what the negative binomial comes to as k grows."""


@dataclass(frozen=True, slots=True)
class Binomial:
    """Samples of one plant, square or boll that is hit or not: a count of 0 or 1, of variance p(1 - p)."""


Family = NegativeBinomial | Poisson | Binomial


def over_zero(name: str, figure: float) -> None:
    """Refuse a figure that is not a number over 0.

    Raises:
        OutOfRange: it is not; the sentence names it.
    """
    if not (math.isfinite(figure) and figure > 0):
        raise OutOfRange(f"{name} must be a number over 0, not {figure:g}.")


def possible_mean(family: Family, mean: float) -> None:
    """Refuse a mean that no sample of the family can have; 0 is possible in each.

    Raises:
        OutOfRange: it is under 0, without end, or a share over 1.
    """
    if not (math.isfinite(mean) and mean >= 0):
        raise OutOfRange(f"A mean must be 0 or more, not {mean:g}.")
    if isinstance(family, Binomial) and mean > 1:
        raise OutOfRange(f"The mean of a binomial is a share from 0 to 1, not {mean:g}.")


def variance_at(family: Family, mean: float) -> float:
    """Give the variance of one sample's count at a true mean, in counts squared.

    Raises:
        OutOfRange: no sample of the family can have this mean.
    """
    possible_mean(family, mean)
    match family:
        case NegativeBinomial(k=k):
            return mean + mean * mean / k
        case Poisson():
            return mean
        case Binomial():
            return mean * (1 - mean)


def chances(family: Family, mean: float, counts: int) -> Chances:
    """Give the chances of the counts 0, 1, … at a true mean: an array of `counts` of them.

    Each follows from the one before it. This keeps all digits where k is very large, at which a form with
    gamma functions loses them.

    Raises:
        OutOfRange: no sample of the family can have this mean.
    """
    possible_mean(family, mean)
    if isinstance(family, Binomial):
        both = np.array([1 - mean, mean])
        return both[:counts] if counts < 2 else np.concatenate([both, np.zeros(counts - 2)])
    if mean == 0:
        return np.concatenate([np.ones(1), np.zeros(max(counts - 1, 0))])[:counts]
    before = np.arange(max(counts - 1, 0), dtype=np.float64)
    match family:
        case NegativeBinomial(k=k):
            none = -k * math.log1p(mean / k)
            growth = np.log1p(before / k) - np.log1p(before) + math.log(mean) - math.log1p(mean / k)
        case Poisson():
            none = -mean
            growth = math.log(mean) - np.log1p(before)
    logs = none + np.concatenate([np.zeros(1), np.cumsum(growth)])
    return np.asarray(np.exp(logs[:counts]), dtype=np.float64)
