"""The options as given, the stop lines they ask for, and what is taken for granted where they say nothing."""

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TypeVar

from bot.rehearsal.one_site import lines_plan
from bot.rehearsal.values import CannotRehearse
from bot.rules import Effort, Level, Plan, RetentionRule, SequentialStop, SquaresOn

ASSUMED_K = 1.0
ASSUMED_K_SITES = 4.0
"""Where nobody gives a k: counts as clumped as 1, site means that differ by half their mean (1/√4). No k for
these insects by method was found in print."""

DEFAULT_CHANCE = Fraction(1, 10)
DEFAULT_AT_LEAST = 4

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Asked:
    """The options as they were given; None where one was not."""

    sites: int | None = None
    samples: int | None = None
    most: int | None = None
    each: Effort | None = None
    level: Fraction | None = None
    per: Effort | None = None
    low: Fraction | None = None
    high: Fraction | None = None
    alpha: Fraction | None = None
    beta: Fraction | None = None
    at_least: int | None = None
    k: float | None = None
    k_sites: float | None = None
    k_lines: float | None = None
    target: str | None = None
    stage: str | None = None
    sample_by_sample: bool = False


def sequential_asked(asked: Asked, plan: Plan, row: Level, stop: SequentialStop | None) -> Plan | None:
    """Give the sequential plan beside the fixed one, None where no stop lines are given."""
    low, high = asked.low, asked.high
    if stop is not None:
        low, high = low or stop.low, high or stop.high
    if asked.low is not None and asked.low <= 0:
        raise CannotRehearse(f"low must be over 0, not {float(asked.low):g}.")
    if asked.high is not None and asked.high <= 0:
        raise CannotRehearse(f"high must be over 0, not {float(asked.high):g}.")
    if low is None and high is None:
        return None
    if low is None or high is None:
        raise CannotRehearse(
            "Stop lines need both --low and --high; without either no sequential plan is rehearsed."
        )
    if low >= high:
        raise CannotRehearse(f"low must be under high; {float(low):g} is not under {float(high):g}.")
    most = plan.samples if asked.most is None else asked.most
    lines_k = asked.k_lines if asked.k_lines is not None else _k_of(asked, stop)
    if lines_k is not None and not lines_k > 0:
        raise CannotRehearse(f"k must be over 0, not {lines_k:g}; inf is no clumping at all.")
    per = stop.per if stop is not None and asked.low is None and asked.high is None else row.per
    lines = SequentialStop(
        target=row.target or "",
        low=low,
        high=high,
        per=per,
        alpha=_given(asked.alpha, stop.alpha if stop else None, DEFAULT_CHANCE),
        beta=_given(asked.beta, stop.beta if stop else None, DEFAULT_CHANCE),
        at_least=_given(asked.at_least, stop.at_least if stop else None, min(DEFAULT_AT_LEAST, max(most, 1))),
        k=None if lines_k is None or lines_k == float("inf") else Fraction(str(lines_k)),
    )
    sequential = replace(plan, samples=most, stop=lines)
    lines_plan(sequential)
    return sequential


def _k_of(asked: Asked, stop: SequentialStop | None) -> float | None:
    """Give the k of the lines where none is given for them alone: the plan's own, by hand that of the counts."""
    if stop is not None:
        return None if stop.k is None else float(stop.k)
    return ASSUMED_K if asked.k is None else asked.k


def k_asked(asked: Asked, sequential: Plan | None, stop: SequentialStop | None, assumed: list[str]) -> float:
    """Give the k of the counts within a site; one that nobody gave is said in `assumed`.

    `stop` are the stop lines of the season's plan, where there is one.
    """
    lines = None if sequential is None else sequential.stop
    if asked.k is not None:
        if lines is not None and (float("inf") if lines.k is None else float(lines.k)) != asked.k:
            said = "no clumping" if lines.k is None else f"k = {float(lines.k):g}"
            assumed.append(f"counts truly of k = {asked.k:g}, though the stop lines take {said}.")
        return asked.k
    given = asked.k_lines is not None or (stop is not None and stop.k is not None)
    if given and lines is not None and lines.k is not None:
        assumed.append(
            f"counts truly of k = {float(lines.k):g} within a site, as the stop lines take it (--k)."
        )
        return float(lines.k)
    known = " The stop lines take no clumping." if lines is not None and lines.k is None else ""
    assumed.append(
        f"k = {ASSUMED_K:g} within a site; no k for these insects was found in print (--k).{known}"
    )
    return ASSUMED_K


def k_sites_asked(asked: Asked, sites: int, assumed: list[str]) -> float:
    if sites == 1:
        if asked.k_sites is not None:
            raise CannotRehearse("A field of one site is its site: there is nothing for --k-sites to spread.")
        assumed.append("the one site stands for its whole field; nothing is spread between sites.")
        return float("inf")
    if asked.k_sites is not None:
        return asked.k_sites
    assumed.append(
        f"k = {ASSUMED_K_SITES:g} between sites: their means differ by half the field's (--k-sites)."
    )
    return ASSUMED_K_SITES


def _given(*figures: T | None) -> T:
    return next(figure for figure in figures if figure is not None)


def neutral_squares(row: Level) -> SquaresOn | None:
    """Give the squares on at which a row's count alone decides."""
    if row.retention is None:
        return None
    return SquaresOn(0 if row.retention.rule is RetentionRule.AND else 100, 100)
