"""Two people who counted the same samples: their ratio, and between which ratios the truth may lie.

Two intervals, as they ask two things. The exact one asks whether two sums could come from people who find
equally much: of all insects found by either, each is then the one's or the other's at even odds. It leaves
out that samples differ. The one between samples asks what the ratio would be over other samples of the sort:
it has the spread of the counts themselves, and needs a few of them.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from scipy import special

from bot.statistics.errors import OutOfRange
from bot.statistics.intervals import share_interval

LEAST_PAIRS = 3
"""Samples that the interval between samples needs: two have one degree of freedom, and bear out nearly anything."""

HALF = 0.5


@dataclass(frozen=True, slots=True)
class RatioInterval:
    """The ratios from `low` to `high`, both included; a `high` of None is no upper end."""

    low: float
    high: float | None

    def holds(self, ratio: float) -> bool:
        """Say whether a ratio lies inside it."""
        return self.low <= ratio and (self.high is None or ratio <= self.high)


@dataclass(frozen=True, slots=True)
class NoInterval:
    """There is no interval between samples that ends; `why` is a plain sentence."""

    why: str


def ratio_of_counts(ours: int, theirs: int) -> float | None:
    """Give how many we count for one of theirs; None where they counted none."""
    _look_at_counts(ours, theirs)
    return ours / theirs if theirs else None


def exact_ratio(ours: int, theirs: int, confidence: float) -> RatioInterval | None:
    """Give the exact interval of the ratio of two Poisson means from their counts, at a confidence as 0.8.

    Given the sum, ours is binomial with p = ratio / (1 + ratio): the comparison is Przyborowski & Wilenski's (1940,
    Biometrika 31:313-323, from memory), the ends of p are Clopper & Pearson's (1934, Biometrika 26:404-413).
    No upper end where theirs is 0; None where both are. Raises OutOfRange for a count under 0.
    """
    _look_at_counts(ours, theirs)
    if not ours + theirs:
        return None
    share = share_interval(ours, ours + theirs, confidence)
    return RatioInterval(_odds(share.low), _odds(share.high) if theirs else None)


def could_differ(total: int, confidence: float) -> bool:
    """Say whether any parting of a sum between two people could speak against their finding equally much.

    The furthest parting is all of it to one of them; of 3 insects not even that does at 0.8 (1/8 is over 1/10).
    """
    found = exact_ratio(0, total, confidence)
    return found is not None and not found.holds(1)


def ratio_between_samples(pairs: Sequence[tuple[int, int]], confidence: float) -> RatioInterval | NoInterval:
    """Give the interval of the ratio of our mean to theirs, from what both counted in each sample.

    Fieller's (1940, J. R. Stat. Soc. Suppl. 7:1-64; 1954, J. R. Stat. Soc. B 16:175-185; both from memory): every
    ratio R at which the mean of (ours - R * theirs) is within t errors of 0, t with n - 1 degrees of freedom.
    A low end under 0 is 0, as no ratio of counts lies there. Raises OutOfRange for a count under 0 and for a
    confidence not between 0 and 1.
    """
    if not 0 < confidence < 1:
        raise OutOfRange(f"A confidence lies between 0 and 1, as 0.95; {confidence:g} does not.")
    for ours, theirs in pairs:
        _look_at_counts(ours, theirs)
    n = len(pairs)
    if n < LEAST_PAIRS:
        return NoInterval(f"How samples differ shows from {LEAST_PAIRS} on; there {_are(n)}.")
    if not any(theirs for _, theirs in pairs):
        return NoInterval("The other counted none, so there is no ratio.")
    t = Fraction(float(special.stdtrit(n - 1, HALF + confidence / 2)))
    mean_ours, mean_theirs = (Fraction(sum(pair[who] for pair in pairs), n) for who in (0, 1))

    def widened(one: int, other: int) -> Fraction:
        """Give t² times the covariance of two means."""
        means = (mean_ours, mean_theirs)
        products = sum((pair[one] - means[one]) * (pair[other] - means[other]) for pair in pairs)
        return t * t * products / (n * (n - 1))

    # every R with square * R² - 2 * cross * R + rest <= 0
    square = mean_theirs**2 - widened(1, 1)
    cross = mean_ours * mean_theirs - widened(0, 1)
    rest = mean_ours**2 - widened(0, 0)
    if square <= 0:
        return NoInterval("The counts of the other are too few or too uneven for the ratio to have an end.")
    # exact until here, so that counts in one proportion give one ratio; under 0 by rounding of t it cannot be
    root = math.sqrt(max(cross**2 - square * rest, Fraction(0)))
    middle, half = float(cross / square), root / float(square)
    return RatioInterval(max(middle - half, 0.0), max(middle + half, 0.0))


def _are(n: int) -> str:
    return "is 1" if n == 1 else f"are {n}"


def _odds(share: float) -> float:
    return share / (1 - share)


def _look_at_counts(*counts: int) -> None:
    for count in counts:
        if count < 0:
            raise OutOfRange(f"A count is 0 or more; {count} is not.")
