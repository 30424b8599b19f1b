"""Fields walked sample by sample: where counting ends, when the alert may go, as the rules decide.

Sums by numpy only propose at which sample to ask. The rules are asked there and at the sample before; where
they do not bear the proposal out, they are asked at every sample from the first.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from bot.rehearsal.drawing import Counts
from bot.rehearsal.values import Rehearsal, Way
from bot.rules import Plan, SampleFacts, Standing, VisitFacts, field_standing, stop_table, with_stop
from parsing import TOTALS

DAY = date(2027, 7, 6)
"""Any day: nothing here turns on it."""

NEVER = np.iinfo(np.int64).max


@dataclass(frozen=True, slots=True)
class Walked:
    """A field's round: what was told of it, samples in when counting might end and when an alert might go."""

    told: Standing | None
    samples: int
    alert: int | None

    @property
    def above(self) -> bool:
        return self.told is Standing.ABOVE


class Walker:
    """Walks fields one way, site after site, and asks the rules."""

    def __init__(self, rehearsal: Rehearsal, way: Way) -> None:
        self.rehearsal, self.way = rehearsal, way
        self.plan: Plan = rehearsal.plans[way]
        self.sites = tuple(range(1, rehearsal.sites + 1))
        self.rows = {rehearsal.column.target: rehearsal.level}
        whole = rehearsal.sum_at(rehearsal.level.high, rehearsal.sites * self.plan.samples)
        self.certain_at = math.ceil(whole)
        self.low_at_most, self.high_at_least = _lines(rehearsal, self.plan)

    def walk(self, counts: Counts) -> Walked:
        """Walk one field; `counts` are sites by samples, at least as many as the plan takes."""
        counts = counts[:, : self.plan.samples]
        if self.way is Way.FIXED:
            taken = [self.plan.samples] * len(self.sites)
            told, last = self.told_after(counts, taken, sum(taken)), sum(taken)
            return Walked(told, last, last if told is Standing.ABOVE else None)
        taken = [self.samples_of(row) for row in counts]
        return self._walk_until_told(counts, taken)

    def samples_of(self, counts: Counts) -> int:
        """Give after how many samples one site is finished."""
        if self.plan.stop is None:
            return self.plan.samples
        sums = counts.cumsum()
        over = (sums <= self.low_at_most) | (sums >= self.high_at_least)
        over[-1] = True
        proposed = int(over.argmax()) + 1

        def is_finished(n: int) -> bool:
            return self.visit(1, counts, n).finished

        return _first(is_finished, proposed, self.plan.samples) or self.plan.samples

    def _walk_until_told(self, counts: Counts, taken: Sequence[int]) -> Walked:
        last = sum(taken)
        walk = np.concatenate([row[:n] for row, n in zip(counts, taken, strict=True)])
        proposed = int(np.searchsorted(walk.cumsum(), self.certain_at)) + 1
        told = self.told_after(counts, taken, last)

        def is_told_above(n: int) -> bool:
            return (told if n == last else self.told_after(counts, taken, n)) is Standing.ABOVE

        # A site may stop on its high line long before the whole plan would be certain.
        alert = _first(is_told_above, min(proposed, last) if told is Standing.ABOVE else proposed, last)
        return Walked(told, last, None) if alert is None else Walked(Standing.ABOVE, alert, alert)

    def told_after(self, counts: Counts, taken: Sequence[int], n: int) -> Standing | None:
        """Give the standing that the rules let be told after the first n samples of a field, None while none is."""
        visits: dict[int, VisitFacts] = {}
        for site, row, most in zip(self.sites, counts, taken, strict=True):
            if n <= 0:
                break
            visits[site] = self.visit(site, row, min(n, most))
            n -= most
        standing = field_standing(self.sites, self.plan, self.rows, visits, self.rehearsal.squares)
        return standing.told(self.rehearsal.column.target)

    def visit(self, site: int, counts: Counts, n: int) -> VisitFacts:
        """Give a site's visit after its first n samples, with the stop line that they reach."""
        code, effort = self.rehearsal.column.code, self.plan.each.amount
        if self.rehearsal.sample_by_sample:
            taken = enumerate(counts[:n].tolist(), start=1)
            samples = tuple(SampleFacts(number, {code: count}, effort) for number, count in taken)
        elif n:
            samples = (SampleFacts(TOTALS, {code: int(counts[:n].sum())}, effort, covers=n),)
        else:
            samples = ()
        visit = VisitFacts(site, DAY, self.plan, None, (self.rehearsal.level,), samples)
        return with_stop(visit, self.rehearsal.squares)


def _first(holds: Callable[[int], bool], proposed: int, last: int) -> int | None:
    """Give the first sample after which the rules say so, by the proposal where they bear it out; None if after none.

    A proposal beyond the last sample is that they never do.
    """
    at = min(proposed, last)
    if holds(at) == (proposed <= last) and (at == 1 or not holds(at - 1)):
        return at if proposed <= last else None
    return next((n for n in range(1, last + 1) if holds(n)), None)


def _lines(rehearsal: Rehearsal, plan: Plan) -> tuple[Counts, Counts]:
    """Give the sums that stop a site low and high after 1, 2, … samples, on their side of the level."""
    low = np.full(plan.samples, -1, dtype=np.int64)
    high = np.full(plan.samples, NEVER, dtype=np.int64)
    below, above = (rehearsal.sum_at(mark, 1) for mark in (rehearsal.level.low, rehearsal.level.high))
    for row in stop_table(plan):
        under, over = math.ceil(below * row.n) - 1, math.ceil(above * row.n)
        if row.low_at_most is not None:
            low[row.n - 1] = min(row.low_at_most, under)
        if row.high_at_least is not None:
            high[row.n - 1] = max(row.high_at_least, over)
    return low, high
