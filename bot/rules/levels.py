"""Published action levels: which row governs, and where a density stands to it. Exact arithmetic only."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from bot.rules.methods import Effort, Method
from bot.rules.stages import Stage, StageSpan


class RetentionRule(StrEnum):
    """How square retention bears on a level: both must hold, either is enough, or the level is halved."""

    AND = "and"
    OR = "or"
    HALVE = "halve"


@dataclass(frozen=True, slots=True)
class Retention:
    """A mark of square retention in percent; `inclusive` where the mark itself counts as poor."""

    mark: Fraction
    inclusive: bool
    rule: RetentionRule

    def poor(self, share: Fraction) -> bool:
        """Tell whether a share of squares still on (0 to 1) is on the poor side of the mark."""
        percent = share * 100
        return percent <= self.mark if self.inclusive else percent < self.mark


@dataclass(frozen=True, slots=True)
class Also:
    """A second count that must hold too: at least so much per effort of its own life stages."""

    count: Mapping[str, Fraction]
    at_least: Fraction
    per: Effort


@dataclass(frozen=True, slots=True)
class Level:
    """One row of a level book. A row has a target, its method and weights, or a share.

    `count` gives weights by life stage, `others` weights of other targets that count in as far as the
    card has them; `stages` empty is any stage. `low` < `high` is a published range.
    """

    id: str
    target: str | None
    share: str | None
    method: Method | None
    count: Mapping[str, Fraction]
    stages: tuple[StageSpan, ...]
    low: Fraction
    high: Fraction
    per: Effort
    source: str
    year: int | None
    verified: bool
    others: Mapping[str, Fraction]
    also: Also | None = None
    retention: Retention | None = None

    def rank_for(self, stage: Stage) -> int | None:
        """Rank how closely the row names a stage: 2 its week, 1 its phase, 0 any; None where it does not."""
        if not self.stages:
            return 0
        ranks = [1 if span.week is None else 2 for span in self.stages if span.covers(stage)]
        return max(ranks, default=None)


@dataclass(frozen=True, slots=True)
class StageNeeded:
    """There are rows for the target and method, but which one governs turns on a stage not known."""

    rows: tuple[Level, ...]


def governing_row(
    rows: Iterable[Level], target: str, method: Method, stage: Stage | None
) -> Level | StageNeeded | None:
    """Give the row for a target, method and stage: a named week beats a phase, a phase beats any.

    None where the book has no row; `StageNeeded` where it has some and the stage is not known.
    """
    return _governing([row for row in rows if row.target == target and row.method is method], stage)


def governing_share_row(rows: Iterable[Level], share: str, stage: Stage | None) -> Level | StageNeeded | None:
    """Give the row for a share and stage, whatever the method: it is not counted by one."""
    return _governing([row for row in rows if row.share == share], stage)


def _governing(fitting: Sequence[Level], stage: Stage | None) -> Level | StageNeeded | None:
    if stage is None:
        if any(row.stages for row in fitting):
            return StageNeeded(tuple(fitting))
        return fitting[0] if fitting else None
    ranked = [(rank, row) for row in fitting if (rank := row.rank_for(stage)) is not None]
    return max(ranked, key=lambda pair: pair[0])[1] if ranked else None
