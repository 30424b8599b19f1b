"""Counts of insects, one a sample, and what is read off them without any model: mean, variance, error.

Sums are taken over whole numbers, so the order of samples changes no figure, not even its last digit.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from bot.statistics.errors import OutOfRange, TooFewSamples

MOST_COUNT = 100_000
"""No sample holds more insects; past it a count is a slip of the hand."""

MOST_SAMPLES = 1_000_000
"""No season takes more samples."""


@dataclass(frozen=True, slots=True)
class Sums:
    """The sums of counts that every figure here is made of: how many, their total, that of their squares."""

    samples: int
    total: int
    squares: int

    @property
    def spread(self) -> int:
        """Give n * (sum of squared distances from the mean), a whole number: n² times the variance by n."""
        return self.samples * self.squares - self.total**2

    @property
    def is_clumped(self) -> bool:
        """Say whether the variance, by n - 1, is over the mean; exactly, as both sides are whole numbers."""
        return self.spread > (self.samples - 1) * self.total


def sums(counts: Sequence[int], *, least: int = 1) -> Sums:
    """Give the sums of counts after looking at each of them.

    Raises OutOfRange for a count under 0 or over MOST_COUNT, TooFewSamples where there are fewer than `least`.
    """
    whole = [int(count) for count in counts]  # a count handed in as a numpy integer would overflow squared
    for count in whole:
        if count < 0:
            raise OutOfRange(f"A count is 0 or more; {count} is not.")
        if count > MOST_COUNT:
            raise OutOfRange(f"A count of {count} is over {MOST_COUNT}, the most in one sample.")
    if len(whole) < least:
        needed = "1 sample is" if least == 1 else f"{least} samples are"
        raise TooFewSamples(f"At least {needed} needed, and there are {len(whole)}.")
    return Sums(len(whole), sum(whole), sum(count * count for count in whole))


def mean(counts: Sequence[int]) -> float:
    """Give the mean count a sample. Raises TooFewSamples for no samples."""
    of = sums(counts)
    return of.total / of.samples


def variance(counts: Sequence[int]) -> float:
    """Give the variance of counts, by n - 1. Raises TooFewSamples for fewer than two."""
    of = sums(counts, least=2)
    return of.spread / (of.samples * (of.samples - 1))


def standard_error(counts: Sequence[int]) -> float:
    """Give the standard error of the mean count, sqrt(variance / n). Raises TooFewSamples for fewer than two."""
    return math.sqrt(variance(counts) / len(counts))


def counts_from_frequencies(frequencies: Sequence[int]) -> tuple[int, ...]:
    """Give the counts of samples from how many samples had 0, 1, 2, …, in rising order.

    Raises OutOfRange for a frequency under 0 and for over MOST_SAMPLES samples, TooFewSamples for none.
    """
    for count, samples in enumerate(frequencies):
        if samples < 0:
            raise OutOfRange(f"0 or more samples have a count of {count}; {samples} is not.")
    if sum(frequencies) > MOST_SAMPLES:
        raise OutOfRange(f"{sum(frequencies)} samples are more than {MOST_SAMPLES}, the most in one go.")
    counts = tuple(count for count, samples in enumerate(frequencies) for _ in range(samples))
    sums(counts)
    return counts
