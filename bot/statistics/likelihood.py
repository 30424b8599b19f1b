"""The likelihood of counts under a negative binomial, with the Poisson as the end where clumping is 0.

It is written in the clumping 1/k instead of k, so that the Poisson is a point of it and not a limit:

    ln L = Σ_j N_j ln(1 + j/k) + S ln m - (S + n k) ln(1 + m/k) - Σ ln x!

with n counts x of total S, and N_j of them above j. Source of the model: Bliss & Fisher 1953,
Biometrics 9:176-200; the sum over N_j is the ratio of gamma functions written out, which keeps its digits
where k is large.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import optimize, special

from bot.statistics.counts import sums

SMALL = 1e-2
"""Below this mean/k a power series is nearer than the difference of two nearly equal terms."""

SERIES = tuple((-1) ** power * (power + 1) / (power + 2) for power in range(9))
"""Coefficients of (ln(1 + u) - u/(1 + u)) / u², lowest power first; at SMALL the rest is under 1e-16."""


@dataclass(frozen=True, slots=True)
class Likelihood:
    """How well means and clumpings (1/k) explain given counts.

    `steps` holds j = 0, 1, … up to the highest count less one, and `above` how many counts are over each.
    """

    samples: int
    total: int
    steps: NDArray[np.float64]
    above: NDArray[np.float64]
    factorials: float

    @classmethod
    def of(cls, counts: Sequence[int]) -> "Likelihood":
        """Give the likelihood of counts. Raises as `counts.sums` does."""
        of = sums(counts)
        having = np.bincount(np.asarray(counts, dtype=np.int64))
        above = (of.samples - np.cumsum(having))[:-1].astype(np.float64)
        factorials = float(having @ special.gammaln(np.arange(len(having)) + 1.0))
        return cls(of.samples, of.total, np.arange(len(above), dtype=np.float64), above, factorials)

    @property
    def mean(self) -> float:
        """The mean count: the likeliest mean, whatever the clumping."""
        return self.total / self.samples

    def at(self, mean: float, clumping: float) -> float:
        """Give the natural logarithm of the likelihood of a mean over 0 and a clumping of 0 or more."""
        ratio = clumping * mean
        grown = math.log1p(ratio)
        zeros = self.samples * mean * (grown / ratio if ratio else 1.0)
        clumped = float(self.above @ np.log1p(clumping * self.steps))
        return clumped + self.total * (math.log(mean) - grown) - zeros - self.factorials

    def slope(self, mean: float, clumping: float) -> float:
        """Give how fast `at` grows with the clumping, the mean held."""
        ratio = clumping * mean
        if ratio < SMALL:
            curve = math.fsum(term * ratio**power for power, term in enumerate(SERIES))
        else:
            curve = (math.log1p(ratio) - ratio / (1 + ratio)) / ratio**2
        clumped = float(self.above @ (self.steps / (1 + clumping * self.steps)))
        return clumped + self.samples * mean**2 * curve - self.total * mean / (1 + ratio)

    def likeliest_clumping(self, mean: float, most: float = math.inf) -> float:
        """Give the clumping from 0 to `most` that explains the counts best with a mean; not all may be 0.

        At the mean of the counts it is the only one with a slope of 0 (Levin & Reeds 1977, Annals of
        Statistics 5:79-87).
        """
        if self.slope(mean, 0.0) <= 0:
            return 0.0
        under, over = 0.0, min(1.0, most)
        while self.slope(mean, over) > 0:
            if over >= most:
                return most
            under, over = over, min(4 * over, most)
        return float(optimize.brentq(lambda clumping: self.slope(mean, clumping), under, over, xtol=1e-13))

    def best(self, mean: float, most: float = math.inf) -> float:
        """Give the highest logarithm of the likelihood that a mean can have, its clumping fitted anew."""
        return self.at(mean, self.likeliest_clumping(mean, most))
