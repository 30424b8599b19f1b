"""Heat units of cotton: DD60 of a day from its high and low, their sum from a day on, and the day of cutout.

Temperatures are in degrees F and exact, so that a sum meets its mark on every machine alike.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache

from bot.rules.stages import Phase, StageMark, governing_mark

BASE = Fraction(60)
"""Degrees F at and under which cotton is taken not to grow: the 60 of DD60."""


class HeatMethod(StrEnum):
    """How heat units are worked out of a day's high and low, as the season file names it."""

    MEAN = "mean"
    SINGLE_TRIANGLE = "single triangle"


@dataclass(frozen=True, slots=True)
class Temperatures:
    """The high and the low of a day, in degrees F; the high is never under the low."""

    high: Fraction
    low: Fraction

    def __post_init__(self) -> None:
        if self.high < self.low:
            raise ValueError(f"a high of {self.high} is under the low of {self.low}")


@dataclass(frozen=True, slots=True)
class HeatDay:
    """A day's temperatures and the heat units that they come to."""

    day: date
    temperatures: Temperatures
    units: Fraction


@dataclass(frozen=True, slots=True)
class HeatSum:
    """The heat units from one day to another, both counted in, and the days of which nothing is known.

    No day is guessed: where some are missing `total` is the least that it can be, as no day takes any away.
    """

    since: date
    by: date
    days: tuple[HeatDay, ...]
    missing: tuple[date, ...]
    total: Fraction


@dataclass(frozen=True, slots=True)
class StopTime:
    """The heat units since cutout after which a source no longer watches for a pest.

    A number that a season file gives without a row has neither id nor pest nor source.
    """

    id: str | None
    pest: str | None
    units: int
    source: str | None
    year: int | None = None


@lru_cache(maxsize=1024)
def heat_units(day: Temperatures, method: HeatMethod = HeatMethod.MEAN) -> Fraction:
    """Give the DD60 of a day, never under 0.

    Mean: (high + low) / 2 - 60. That nothing under 0 is counted is from memory; the rest is UT Extension, 2013.

    Single triangle, from memory: the day is a triangle that rises from the low to the high and falls back to
    the same low, and its area over 60 F is what counts. A low of 60 or more gives the mean less 60, a high of
    60 or less gives 0, and between them it is (high - 60)^2 / (2 (high - low)). No upper limit.
    """
    if method is HeatMethod.SINGLE_TRIANGLE and day.low < BASE < day.high:
        return (day.high - BASE) ** 2 / (2 * (day.high - day.low))
    return max((day.high + day.low) / 2 - BASE, Fraction(0))


def heat_sum(known: Mapping[date, Temperatures], since: date, by: date, method: HeatMethod) -> HeatSum:
    """Sum the heat units from one day to another, both counted in; empty where the last is before the first."""
    days = [since + timedelta(days=n) for n in range((by - since).days + 1)]
    found = tuple(HeatDay(day, known[day], heat_units(known[day], method)) for day in days if day in known)
    missing = tuple(day for day in days if day not in known)
    return HeatSum(since, by, found, missing, sum((one.units for one in found), Fraction(0)))


def cutout_day(marks: Iterable[StageMark], day: date) -> date | None:
    """Give the day since which a field is in cutout as of a day, None where it is not.

    Cutout said once more does not begin again. What a supervisor or the file says is not carried back to
    an earlier proposal.
    """
    known = list(marks)
    mark = governing_mark(known, day)
    if mark is None or mark.phase is not Phase.CUTOUT:
        return None
    while True:
        before = governing_mark(known, mark.since - timedelta(days=1))
        if before is None or before.phase is not Phase.CUTOUT or before.proposal != mark.proposal:
            return mark.since
        mark = before
