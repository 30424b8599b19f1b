"""What is rehearsed: a field, its plan, its level, and how the counts are taken to be spread."""

import math
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from bot.rules import Column, Effort, Level, Plan, SquaresOn

LEAST_K = 0.001
MOST_SITES = 100
MOST_SAMPLES = 5000
MOST_MEAN = 10_000
"""A mean of one sample beyond every count of insects."""


class CannotRehearse(Exception):  # noqa: N818  the sentence says what is wrong with what was asked
    """What was asked cannot be rehearsed; the sentence says why."""


class Way(StrEnum):
    """A way to walk a field's round: to the end, to the end or until it is certain, each site to a stop line."""

    FIXED = "fixed"
    CERTAIN = "certain"
    SEQUENTIAL = "sequential"


@dataclass(frozen=True, slots=True)
class Spread:
    """How counts are spread: negative binomial within a site, site means by a gamma about the field's mean.

    `k` is of one sample, `k_sites` of a site's mean. Infinite is none: Poisson counts, sites alike.
    """

    k: float
    k_sites: float

    def __post_init__(self) -> None:
        for name, k in (("k", self.k), ("k-sites", self.k_sites)):
            if math.isnan(k) or k <= 0:
                raise CannotRehearse(f"{name} must be over 0, not {k:g}; inf is no clumping at all.")
            if k < LEAST_K:
                raise CannotRehearse(f"{name} is at least {LEAST_K:g} here, not {k:g}.")


@dataclass(frozen=True, slots=True)
class Rehearsal:
    """A field of some sites, all walked by `plan` or by `sequential`, and judged by one level.

    Both plans have one column on their card, in which all that is found is written. `squares` are those
    at which the count alone decides, where the level has a retention rule.
    """

    sites: int
    plan: Plan
    sequential: Plan | None
    level: Level
    squares: SquaresOn | None
    spread: Spread
    sample_by_sample: bool = False

    def __post_init__(self) -> None:
        if not 1 <= self.sites <= MOST_SITES:
            raise CannotRehearse(f"A field has 1 to {MOST_SITES} sites here, not {self.sites}.")
        for plan in self.plans.values():
            if not 1 <= plan.samples <= MOST_SAMPLES:
                raise CannotRehearse(f"A site has 1 to {MOST_SAMPLES} samples here, not {plan.samples}.")
            if plan.stop is not None and not 1 <= plan.stop.at_least <= plan.samples:
                raise CannotRehearse(
                    f"The least number of samples, {plan.stop.at_least}, must be from 1 to the most, {plan.samples}."
                )
        if self.level.high <= 0:
            raise CannotRehearse(f"A level must be over 0, not {float(self.level.high):g}.")

    @property
    def plans(self) -> dict[Way, Plan]:
        """The plan of each way that is rehearsed."""
        ways = {Way.FIXED: self.plan, Way.CERTAIN: self.plan}
        return ways if self.sequential is None else ways | {Way.SEQUENTIAL: self.sequential}

    @property
    def most(self) -> int:
        """The most samples that any way takes of a site."""
        return max(plan.samples for plan in self.plans.values())

    @property
    def column(self) -> Column:
        """The column in which all that is found is written."""
        return self.plan.card[0]

    @property
    def weight(self) -> Fraction:
        """What one found counts for in the level."""
        return self.level.count[self.column.life_stage]

    def sum_at(self, density: Fraction, samples: int) -> Fraction:
        """Give the sum of counts of some samples whose density, in the level's unit, is exactly this."""
        return density * samples * self.plan.each.amount / self.level.per.amount / self.weight

    def mean_at(self, times: Fraction) -> float:
        """Give the mean count of one sample where the true density is so many times the level.

        Raises:
            CannotRehearse: no sample has so many.
        """
        mean = float(self.sum_at(times * self.level.high, 1))
        if mean > MOST_MEAN:
            raise CannotRehearse(
                f"No sample holds {mean:.3g} insects on average; {MOST_MEAN} is the most here."
            )
        return mean


def said_effort(effort: Effort) -> str:
    """Give an effort as a season file spells it, as 5 row ft."""
    return f"{float(effort.amount):g} {effort.unit}"
