"""How what is left after a treatment is set against what would have been, and what of it the counts bear out.

Percent and interval are floats by nature: they come from `bot.statistics`, loaded when first asked for.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from bot.rules.seen_twice import Seen

PERCENT = 100


class Way(StrEnum):
    """How what was left is set against what would have been."""

    HENDERSON_TILTON = "Henderson-Tilton"
    ABBOTT = "Abbott"
    BEFORE_AFTER = "before/after"


@dataclass(frozen=True, slots=True)
class Fewer:
    """By how much there are fewer, in percent, under 0 where there are more; 100 is none left.

    `low` and `high` are the ends at 80 %, both None where the samples give no interval; `low` alone None where it
    has no end.
    """

    percent: float
    low: float | None = None
    high: float | None = None

    @property
    def has_interval(self) -> bool:
        return self.high is not None

    @property
    def is_fewer(self) -> bool:
        """Whether the counts bear out that there are fewer: the interval lies over 0."""
        return self.low is not None and self.low > 0

    @property
    def is_more(self) -> bool:
        """Whether the counts bear out that there are more: the interval lies under 0."""
        return self.high is not None and self.high < 0


def before_and_after(before: Seen, after: Seen) -> Fewer | None:
    """Give the plain fall; None where none was there before."""
    from bot.statistics import Change, before_after

    percent = before_after(Change(float(before.density), float(after.density)))
    return _fewer(percent, after, before)


def by_abbott(after: Seen, check_after: Seen) -> Fewer | None:
    """Give what is left set against a check that began alike; None where the check has none."""
    from bot.statistics import Change, abbott

    percent = abbott(Change(0, float(after.density)), Change(0, float(check_after.density)))
    return _fewer(percent, after, check_after)


def by_henderson_tilton(before: Seen, after: Seen, check_before: Seen, check_after: Seen) -> Fewer | None:
    """Give the change in a field set against that in a check; None where one of the three others has none."""
    from bot.statistics import Change, henderson_tilton

    percent = henderson_tilton(
        Change(float(before.density), float(after.density)),
        Change(float(check_before.density), float(check_after.density)),
    )
    return _fewer(percent, after, before, check_after, check_before)


def _fewer(percent: float | None, *parts: Seen) -> Fewer | None:
    """Give a percent with its interval, where each of the figures that it is made of has one.

    It is of the first over the second, over the third over the fourth where there are four.
    """
    if percent is None or not all(part.between for part in parts):
        return None if percent is None else Fewer(percent)
    from bot.statistics import Estimate, mean_of, ratio_of

    means = []
    for part in parts:
        sites = [(float(one), ends) for one, ends in zip(part.densities, part.between, strict=True)]
        # the density is exact and the ends are floats: a figure at its own end may lie a rounding outside it
        means.append(mean_of([Estimate(one, min(ends.low, one), max(ends.high, one)) for one, ends in sites]))
    left = ratio_of(means[0], means[1])
    if len(means) > 2:
        left = ratio_of(left, ratio_of(means[2], means[3]))
    low = PERCENT * (1 - left.high) if math.isfinite(left.high) else None
    return Fewer(percent, low, PERCENT * (1 - left.low))
