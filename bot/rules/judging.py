"""A density against its level: above, in range, below or not known, and whether that can still change."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from bot.rules.levels import Level, RetentionRule
from bot.rules.totals import SquaresOn


class Standing(StrEnum):
    """Where a density stands to its level, worst last but for unknown (see `worst`)."""

    BELOW = "below"
    UNKNOWN = "unknown"
    IN_RANGE = "in range"
    ABOVE = "above"


_WORSE = [Standing.BELOW, Standing.UNKNOWN, Standing.IN_RANGE, Standing.ABOVE]


class Needs(StrEnum):
    """What is missing where a standing is unknown."""

    SQUARES = "squares"
    STAGE = "stage"
    SAMPLES = "samples"


@dataclass(frozen=True, slots=True)
class Judgement:
    """A standing with the marks in force, and what else bears on it.

    `also_failed`: the second count does not hold. `squares_wanted`: retention is not known and could
    change the standing. `by_squares`: the retention that made the standing another
    than the count alone would.
    """

    standing: Standing
    needs: Needs | None
    low: Fraction | None
    high: Fraction | None
    also_failed: bool = False
    squares_wanted: bool = False
    by_squares: SquaresOn | None = None


def worst(standings: Sequence[Standing]) -> Standing | None:
    """Give where a site stands: above, else in range, else unknown, else below; None without any."""
    return max(standings, key=_WORSE.index, default=None)


def judge(
    level: Level, found: Fraction | None, also: Fraction | None, squares: SquaresOn | None
) -> Judgement:
    """Set a density against a row: its range, its second count, its retention rule.

    `found` and `also` are in the units of the row and of its second count.
    """
    low, high = marks_in_force(level, squares)
    if found is None:
        return Judgement(Standing.UNKNOWN, Needs.SAMPLES, low, high)
    standing = _by_count(found, low, high)
    if level.also is not None and also is None and standing is not Standing.BELOW:
        return Judgement(Standing.UNKNOWN, Needs.SAMPLES, low, high)
    rule = level.retention
    also_failed = False
    if level.also is not None and standing is not Standing.BELOW and (also or 0) < level.also.at_least:
        standing, also_failed = Standing.BELOW, True
    if rule is None:
        return Judgement(standing, None, low, high, also_failed)
    if squares is None:
        if rule.rule is RetentionRule.AND:
            if standing is Standing.BELOW:
                return Judgement(standing, None, low, high, also_failed)
            return Judgement(Standing.UNKNOWN, Needs.SQUARES, low, high, also_failed, squares_wanted=True)
        return Judgement(standing, None, low, high, also_failed, squares_wanted=True)
    poor = rule.poor(squares.share)
    by_count = standing
    if rule.rule is RetentionRule.AND and not poor:
        standing = Standing.BELOW
    if rule.rule is RetentionRule.OR and poor and found > 0:
        standing, also_failed = Standing.ABOVE, False
    return Judgement(
        standing, None, low, high, also_failed, by_squares=squares if standing is not by_count else None
    )


def marks_in_force(level: Level, squares: SquaresOn | None) -> tuple[Fraction, Fraction]:
    """Give low and high as they hold now: halved where the row halves under poor retention."""
    rule = level.retention
    if rule is not None and rule.rule is RetentionRule.HALVE and squares and rule.poor(squares.share):
        return level.low / 2, level.high / 2
    return level.low, level.high


def _by_count(found: Fraction, low: Fraction, high: Fraction) -> Standing:
    if found >= high:
        return Standing.ABOVE
    return Standing.IN_RANGE if found >= low else Standing.BELOW


def is_sure(
    level: Level, least: Fraction | None, least_also: Fraction | None, squares: SquaresOn | None
) -> bool:
    """Tell whether nothing found from here on could bring a standing under above.

    `least` and `least_also` are the densities that remain if all effort to come finds nothing.
    """
    if least is None:
        return False
    rule = level.retention
    poor = rule is not None and squares is not None and rule.poor(squares.share)
    if rule is not None and rule.rule is RetentionRule.OR and poor and least > 0:
        return True
    _, high = marks_in_force(level, squares)
    if least < high:
        return False
    if level.also is not None and (least_also is None or least_also < level.also.at_least):
        return False
    return poor if rule is not None and rule.rule is RetentionRule.AND else True
