"""Where the rules ask the statistics: the stop lines of sequential plans, the intervals of finished visits.

Standings are decided in exact fractions. Lines and intervals are floats by nature: they come from
`bot.statistics`, which is loaded when it is first asked for one, as scipy takes half a second to load.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from bot.rules.judging import marks_in_force
from bot.rules.levels import Level, StageNeeded
from bot.rules.methods import Effort
from bot.rules.plan import Plan, SequentialStop
from bot.rules.rows import rows_by_target
from bot.rules.totals import ShareFacts, Side, SquaresOn, VisitFacts, density, weights_on

CONFIDENCE = 0.8
"""The confidence of the interval that shows a close call."""

LEAST_FOR_INTERVAL = 3
"""Of fewer samples no interval is given."""

PERCENT = 100


@dataclass(frozen=True, slots=True)
class Between:
    """An interval in the unit of a level, both ends included; `method` says how it was made."""

    low: float
    high: float
    method: str

    def holds(self, mark: Fraction) -> bool:
        """Tell whether a mark of a level lies in it."""
        return self.low <= mark <= self.high


def with_stop(visit: VisitFacts, squares: SquaresOn | None) -> VisitFacts:
    """Give a visit of a sequential plan with the stop line that its samples have reached, if they have.

    A line counts from `at_least` samples on, and where the density stands on its side of the level. Where
    the target has no level in this stage the line alone decides; where the level turns on a stage that is not
    known none does. Lines are of samples of the plan's own effort: with another they do not hold.
    """
    stop = visit.plan.stop
    if stop is None or visit.skipped:
        return visit
    return replace(visit, stopped=_stopped(visit, stop, squares))


def _stopped(visit: VisitFacts, stop: SequentialStop, squares: SquaresOn | None) -> Side | None:
    codes = [column.code for column in visit.plan.card if column.target == stop.target]
    taken = [one for one in visit.counted if all(one.counts.get(code) is not None for code in codes)]
    if any(one.effort != visit.plan.each.amount for one in taken):
        return None
    n = sum(one.covers for one in taken)
    if n < stop.at_least:
        return None
    total = sum(one.counts.get(code) or 0 for one in taken for code in codes)
    row = stop_row(visit.plan, n)
    if row.low_at_most is not None and total <= row.low_at_most:
        return Side.LOW if _stands(visit, stop, squares, Side.LOW) else None
    if row.high_at_least is not None and total >= row.high_at_least:
        return Side.HIGH if _stands(visit, stop, squares, Side.HIGH) else None
    return None


def _stands(visit: VisitFacts, stop: SequentialStop, squares: SquaresOn | None, side: Side) -> bool:
    """Tell whether the density of a stop's target stands on a side of its level by the count."""
    row = rows_by_target(visit.plan, visit.rows, visit.stage).get(stop.target)
    if row is None:
        return True
    if isinstance(row, StageNeeded):
        return False
    found = density(visit, weights_on(visit.plan.card, stop.target, row.count, row.others)).per(row.per)
    if found is None:
        return False
    low, high = marks_in_force(row, squares)
    return found < low if side is Side.LOW else found >= high


@dataclass(frozen=True, slots=True)
class StopAt:
    """After n samples: stop low at a sum of `low_at_most` or less, high at `high_at_least` or more."""

    n: int
    low_at_most: int | None
    high_at_least: int | None


def stop_table(plan: Plan) -> tuple[StopAt, ...]:
    """Give the stop table of a sequential plan, from its least number of samples to its most; else nothing."""
    stop = plan.stop
    if stop is None:
        return ()
    return tuple(stop_row(plan, n) for n in range(stop.at_least, plan.samples + 1))


def stop_row(plan: Plan, n: int) -> StopAt:
    """Give the sums that stop a sequential plan after n samples.

    Raises:
        ValueError: the plan is not sequential.
    """
    if plan.stop is None:
        raise ValueError(f"{plan.key} has no stop lines")
    return _rows(plan.stop, plan.each, max(plan.samples, n))[n - 1]


def one_sample(stop: SequentialStop, each: Effort) -> tuple[Fraction, Fraction]:
    """Give the low and high of a stop as mean counts of one sample of an effort."""
    share = each.amount / stop.per.amount
    return stop.low * share, stop.high * share


@lru_cache(maxsize=64)
def _rows(stop: SequentialStop, each: Effort, samples: int) -> tuple[StopAt, ...]:
    from bot.statistics import NegativeBinomial, Poisson, SequentialPlan, stop_lines

    low, high = one_sample(stop, each)
    family = Poisson() if stop.k is None else NegativeBinomial(float(stop.k))
    plan = SequentialPlan(family, float(low), float(high), float(stop.alpha), float(stop.beta))
    return tuple(StopAt(row.n, row.low_at_most, row.high_at_least) for row in stop_lines(plan).rows(samples))


def count_interval(visit: VisitFacts, level: Level, weights: Mapping[str, Fraction]) -> Between | None:
    """Give the 80 % interval of the density of a finished visit, in the level's unit.

    None before it is finished, for fewer than three samples with all the columns, for weighted counts (their
    sum is no count), for sums over samples (their spread is not known), and for samples of unequal effort
    (their counts have no one mean).
    """
    taken = [one for one in visit.counted if all(one.counts.get(code) is not None for code in weights)]
    efforts = {one.effort for one in taken}
    plain = weights and all(weight == 1 for weight in weights.values())
    if not (visit.finished and visit.spread_known and plain) or len(efforts) != 1:
        return None
    if len(taken) < LEAST_FOR_INTERVAL:
        return None
    counts = tuple(sorted(sum(one.counts.get(code) or 0 for code in weights) for one in taken))
    return _scaled(_mean_between(counts), float(level.per.amount / efforts.pop()))


def share_interval(share: ShareFacts, *, finished: bool) -> Between | None:
    """Give the 80 % interval of a share in percent by the exact binomial, as if each were looked at alone."""
    if not finished or share.of < LEAST_FOR_INTERVAL:
        return None
    return _share_between(share.n, share.of)


def stops_interval(share: ShareFacts, *, finished: bool) -> Between | None:
    """Give the 80 % interval of a share in percent by how its stops differ, which what is clumped asks for.

    The counts of the stops are treated as those of samples are. None without three stops of equal m.
    """
    looked = {of for _, of in share.stops}
    if not finished or len(share.stops) < LEAST_FOR_INTERVAL or len(looked) != 1:
        return None
    found = _scaled(_mean_between(tuple(sorted(n for n, _ in share.stops))), PERCENT / looked.pop())
    return replace(found, high=min(found.high, float(PERCENT)))


def _scaled(one: Between, factor: float) -> Between:
    return replace(one, low=one.low * factor, high=one.high * factor)


@lru_cache(maxsize=4096)
def _mean_between(counts: tuple[int, ...]) -> Between:
    from bot.statistics import mean_interval

    found = mean_interval(counts, CONFIDENCE)
    return Between(found.low, found.high, found.method.value)


@lru_cache(maxsize=1024)
def _share_between(n: int, of: int) -> Between:
    from bot.statistics import share_interval

    found = share_interval(n, of, CONFIDENCE).times(PERCENT)
    return Between(found.low, found.high, found.method.value)


def error_between_sites(densities: Sequence[Fraction]) -> float | None:
    """Give the standard error of the mean of a field's sites, in their unit; None for fewer than two."""
    if len(densities) < 2:
        return None
    from bot.statistics import field_mean

    return field_mean([[float(one)] for one in densities]).se
