"""What a sequential plan really leads to, worked out count by count instead of by Wald's approximation.

The chances of every sum at which the plan has not stopped are carried from sample to sample. Beside the pure
plan there is the one that people walk: no look at the lines before a least number of samples, and an end at a
most, where neither line may have been met.
"""

from dataclasses import dataclass

import numpy as np

from bot.statistics.errors import OutOfRange, TooLong
from bot.statistics.families import Chances, chances, possible_mean
from bot.statistics.sequential import SequentialPlan, StopLines, stop_lines

AS_GOOD_AS_OVER = 1e-13
"""A plan that goes on with a smaller chance than this has ended."""

MOST_WIDE = 3000
"""Open sums that may lie between the lines; no crew walks a plan as wide as that."""

MOST_STEPS = 100_000
MOST_WORK = 10_000_000_000
"""Products of chances that may be formed: two or three seconds' worth."""


@dataclass(frozen=True, slots=True)
class Course:
    """How a plan ends at one true mean: the chances of each end, which add up to 1, and the mean number of samples.

    `low` and `high` are by a stop line. `undecided` met none by the most number of samples; of it,
    `leans_high` is the part whose sum is over slope × n, likelier from a mean of high than from one of low.
    A plan without a most leaves nothing undecided.
    """

    mean: float
    low: float
    high: float
    undecided: float
    leans_high: float
    n: float

    @property
    def called_low(self) -> float:
        """The chance of "low" where whoever ends undecided says what is likelier."""
        return self.low + self.undecided - self.leans_high

    @property
    def called_high(self) -> float:
        """The chance of "high" where whoever ends undecided says what is likelier."""
        return self.high + self.leans_high


@dataclass(frozen=True, slots=True)
class CapCost:
    """What a least and a most number of samples do to a plan: how it ends at its low and high, without and with them.

    The errors of the plan are `called_high` at low (alpha) and `called_low` at high (beta).
    """

    least: int
    most: int | None
    free_at_low: Course
    free_at_high: Course
    capped_at_low: Course
    capped_at_high: Course

    @property
    def alpha_more(self) -> float:
        """How much likelier a true mean of low is called high with the cap than without."""
        return self.capped_at_low.called_high - self.free_at_low.called_high

    @property
    def beta_more(self) -> float:
        """How much likelier a true mean of high is called low with the cap than without."""
        return self.capped_at_high.called_low - self.free_at_high.called_low


def exact_course(plan: SequentialPlan, mean: float, least: int = 1, most: int | None = None) -> Course:
    """Give how a plan ends at a true mean of one sample's count.

    The lines are looked at from `least` samples on; without a `most` it is followed until it has ended but for
    a chance of 1e-13.

    Raises:
        OutOfRange: no sample of the family can have this mean, or least and most are not 1 <= least <= most.
        TooLong: the lines lie so far apart, or the counts are so few, that it takes too many steps.
    """
    possible_mean(plan.family, mean)
    if least < 1:
        raise OutOfRange(f"The least number of samples must be 1 or more, not {least}.")
    if most is not None and most < least:
        raise OutOfRange(f"The most number of samples, {most}, must not be under the least, {least}.")
    lines = stop_lines(plan)
    width = _widest(lines, least)
    steps = min(MOST_STEPS, MOST_WORK // width**2) if width <= MOST_WIDE else 0
    one = chances(plan.family, mean, width if steps else 0)
    alive, first = np.ones(1), 0
    going = 1.0  # the chance not to have stopped; alive[i] of it with the sum first + i
    low = high = walked = 0.0
    n = 0
    while n != most and going > AS_GOOD_AS_OVER:
        if n >= steps:
            raise TooLong(f"At a mean of {mean:g} this plan takes too many samples to follow one by one.")
        n += 1
        # A sum never falls: one past the high line of the least is sure to stop there, and walks on till then.
        walked += going + (high if n <= least else 0.0)
        lowest, highest = _between(lines, n, least)
        sums = np.convolve(alive, one[: max(highest - first + 1, 1)])
        under = float(sums[: max(lowest - first, 0)].sum())
        alive = sums[max(lowest - first, 0) : max(highest - first + 1, 0)]
        first = max(lowest, first)
        before, going = going, float(alive.sum())
        low += under
        high += max(before - under - going, 0.0)
    walked += high * max(least - n, 0)  # all are sure to stop high, and walk on to the least
    return Course(
        mean=mean,
        low=low,
        high=high,
        undecided=going if n == most else 0.0,
        leans_high=_over(alive, first, lines.slope * n) if n == most else 0.0,
        n=walked,
    )


def cap_cost(plan: SequentialPlan, least: int = 1, most: int | None = None) -> CapCost:
    """Give what a least and a most number of samples cost a plan in errors, and save it in samples.

    Raises:
        OutOfRange: they are not 1 <= least <= most.
        TooLong: the plan without them takes too many steps.
    """
    return CapCost(
        least=least,
        most=most,
        free_at_low=exact_course(plan, plan.low),
        free_at_high=exact_course(plan, plan.high),
        capped_at_low=exact_course(plan, plan.low, least, most),
        capped_at_high=exact_course(plan, plan.high, least, most),
    )


def _between(lines: StopLines, n: int, least: int) -> tuple[int, int]:
    """Give the lowest and the highest sum of n samples that goes on."""
    low = lines.low_at_most(n) if n >= least else None
    looked = max(n, least)
    high = lines.high_at_least(looked)
    return (0 if low is None else low + 1), (looked if high is None else high - 1)


def _widest(lines: StopLines, least: int) -> int:
    """Give a number of counts that no step from an open sum to an open sum goes beyond."""
    before = _between(lines, 1, least)[1]
    after = int(lines.h0 + lines.h1 + lines.slope)
    return max(before, after) + 3


def _over(alive: Chances, first: int, line: float) -> float:
    """Give the chance of the open sums over a line."""
    return float(alive[np.arange(first, first + alive.size) > line].sum())
