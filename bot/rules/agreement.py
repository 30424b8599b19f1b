"""Whether the counts of somebody in training agree with those of a check over the samples that both counted."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from bot.rules.judging import Standing, judge
from bot.rules.levels import Level
from bot.rules.rows import rows_by_target
from bot.rules.standing import densities_for, per_also
from bot.rules.totals import SampleFacts, VisitFacts

LEAST_CHECKED = 3
"""Samples that a check must share with a trainee; all that are planned where the plan has fewer."""

AGREES_AT = 0.8
"""The confidence of the interval that must hold an equal share (statistics.md: 80 % throughout)."""


@dataclass(frozen=True, slots=True)
class ColumnSums:
    """One column of a card over the samples in which both counted it: how many these are, and both sums."""

    code: str
    samples: int
    counted: int
    checked: int


@dataclass(frozen=True, slots=True)
class Agreement:
    """Two people's counts of the same samples set against each other.

    `samples` are the numbers that both counted with the same effort, `short` how many of `least` are missing,
    `unchecked` a column that the check left out too often; `differs` the columns whose sums differ by more than chance,
    `apart` the targets whose level lies between the two.
    """

    samples: tuple[int, ...]
    least: int
    short: int
    unchecked: ColumnSums | None
    differs: tuple[ColumnSums, ...]
    apart: tuple[str, ...]

    @property
    def enough(self) -> bool:
        """Whether there is enough to say yes or no."""
        return not self.short and self.unchecked is None

    @property
    def agrees(self) -> bool:
        """Whether the two agree: enough was checked, no column differs, no level lies between them."""
        return self.enough and not self.differs and not self.apart


def agreement(visit: VisitFacts, counted: Sequence[SampleFacts], checked: Sequence[SampleFacts]) -> Agreement:
    """Set the counts of a trainee against those of a check, under the plan, stage and rows of their visit.

    They agree where, over at least `LEAST_CHECKED` samples that both counted (all that are planned where these are
    fewer), the exact 80 % interval of the ratio of both sums holds 1 for every column of the card, and both stand
    on the same side of every level by their counts. A sample that either lost is none; a column that either did
    not count is left out of that sample; nothing found by both agrees.
    """
    theirs = {one.number: one for one in checked if not one.lost}
    both = [
        (one, other)
        for one in counted
        if not one.lost and (other := theirs.get(one.number)) is not None and other.effort == one.effort
    ]
    least = min(LEAST_CHECKED, visit.plan.samples)
    sums = [_sums(code, both) for code in visit.plan.codes]
    unchecked = next((one for one in sums if one.samples < least and _left_out(one.code, both)), None)
    return Agreement(
        samples=tuple(sorted(one.number for one, _ in both)),
        least=least,
        short=max(least - len(both), 0),
        unchecked=unchecked,
        differs=tuple(one for one in sums if not _alike(one.counted, one.checked)),
        apart=_apart(visit, both),
    )


Pairs = Sequence[tuple[SampleFacts, SampleFacts]]


def _sums(code: str, both: Pairs) -> ColumnSums:
    pairs = [
        (ours, theirs)
        for one, other in both
        if (ours := one.counts.get(code)) is not None and (theirs := other.counts.get(code)) is not None
    ]
    return ColumnSums(code, len(pairs), sum(ours for ours, _ in pairs), sum(theirs for _, theirs in pairs))


def _left_out(code: str, both: Pairs) -> bool:
    """Tell whether the check did not count a column that the trainee did."""
    return any(one.counts.get(code) is not None and other.counts.get(code) is None for one, other in both)


@lru_cache(maxsize=4096)
def _alike(ours: int, theirs: int) -> bool:
    from bot.statistics import exact_ratio

    found = exact_ratio(ours, theirs, AGREES_AT)
    return found is None or found.holds(1)


def _apart(visit: VisitFacts, both: Pairs) -> tuple[str, ...]:
    """Give the targets of which one person's counts reach a mark of the level and the other's do not."""
    of_both = [_as_far_as_both(one, other) for one, other in both]
    mine, other = (replace(visit, samples=tuple(pair[who] for pair in of_both), shares=()) for who in (0, 1))
    rows = rows_by_target(visit.plan, visit.rows, visit.stage)
    return tuple(
        target
        for target, row in rows.items()
        # where the stage is not known, any of its rows may come to govern
        for levels in [(row,) if isinstance(row, Level) else row.rows]
        if any(_stands(mine, level) is not _stands(other, level) for level in levels)
    )


def _as_far_as_both(one: SampleFacts, other: SampleFacts) -> tuple[SampleFacts, SampleFacts]:
    """Give both counts of a sample with the columns alone that both counted."""
    left = {code for each in (one, other) for code, count in each.counts.items() if count is None}
    gone = dict.fromkeys(left)
    return replace(one, counts={**one.counts, **gone}), replace(other, counts={**other.counts, **gone})


def _stands(visit: VisitFacts, level: Level) -> Standing:
    """Stand counts to a level by themselves, whatever squares were seen."""
    found, also = densities_for(visit, level)
    by_count = replace(level, retention=None)
    return judge(by_count, found.per(level.per), per_also(level, also), None).standing
