"""What the most number of samples costs one site of a sequential plan in errors: exact, and through the rules."""

from dataclasses import dataclass, replace
from fractions import Fraction

from bot.rehearsal.tally import Tally
from bot.rehearsal.values import Rehearsal, Spread
from bot.rules import Plan, one_sample
from bot.statistics import CapCost, NegativeBinomial, Poisson, SequentialPlan, TooLong, cap_cost


@dataclass(frozen=True, slots=True)
class OneSite:
    """One site at the low and at the high of its stop lines, as times the level, with the rules' tallies of each.

    `exact` is None where the counts are spread otherwise than the lines take them to be, or where it takes too long.
    """

    low: Fraction
    high: Fraction
    exact: CapCost | None
    at_low: Tally
    at_high: Tally

    @property
    def alpha(self) -> float:
        """The part of sites at low that the rules called above."""
        return self.at_low.share_above

    @property
    def beta(self) -> float:
        """The part of sites at high that the rules did not call above."""
        return 1 - self.at_high.share_above


def marks_of(rehearsal: Rehearsal, plan: Plan) -> tuple[Fraction, Fraction]:
    """Give the low and high of a plan's stop lines as times the level.

    Raises:
        ValueError: the plan is not sequential.
    """
    if plan.stop is None:
        raise ValueError(f"{plan.key} has no stop lines")
    low, high = one_sample(plan.stop, plan.each)
    level = rehearsal.sum_at(rehearsal.level.high, 1)
    return low / level, high / level


def single(rehearsal: Rehearsal) -> Rehearsal:
    """Give the rehearsal of one site alone."""
    return replace(rehearsal, sites=1, spread=Spread(rehearsal.spread.k, float("inf")))


def lines_plan(plan: Plan) -> SequentialPlan:
    """Give a plan's stop lines as the statistics know them.

    Raises:
        OutOfRange: they are no lines: low not under high, k not over 0, chances that add up to 1.
        ValueError: the plan is not sequential.
    """
    if plan.stop is None:
        raise ValueError(f"{plan.key} has no stop lines")
    low, high = one_sample(plan.stop, plan.each)
    family = Poisson() if plan.stop.k is None else NegativeBinomial(float(plan.stop.k))
    return SequentialPlan(family, float(low), float(high), float(plan.stop.alpha), float(plan.stop.beta))


def exact_cost(rehearsal: Rehearsal, plan: Plan) -> CapCost | None:
    """Give what a plan's least and most cost in errors, count by count; None where that cannot be worked out."""
    if plan.stop is None:
        return None
    lines_k = float("inf") if plan.stop.k is None else float(plan.stop.k)
    if lines_k != rehearsal.spread.k:
        return None
    try:
        return cap_cost(lines_plan(plan), plan.stop.at_least, plan.samples)
    except TooLong:
        return None
