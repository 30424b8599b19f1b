"""Seasons of weekly rounds in a field that grows: how long after the level was crossed the alert goes."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from bot.rehearsal.drawing import Counts, draw_counts, draw_field_sites, source_for
from bot.rehearsal.values import CannotRehearse, Rehearsal, Way
from bot.rehearsal.walking import Walker
from bot.rules import CrossingKind, LastCrossing, crossing

STREAM = 2
"""Keeps a season's chances apart from those of single rounds."""

END_TIMES = 32
"""A season ends where the field has grown to so many times the level."""

LEAST_DAYS, MOST_DAYS = Fraction(1), Fraction(60)


@dataclass(frozen=True, slots=True)
class Growth:
    """How a field grows: from `start` times the level it doubles every so many days; a round every `every_days`."""

    start: Fraction
    doubling_days: Fraction
    every_days: int

    def __post_init__(self) -> None:
        if not 0 < self.start < 1:
            raise CannotRehearse(
                f"A season starts over 0 and under the level, not at {float(self.start):g} times it."
            )
        if not LEAST_DAYS <= self.doubling_days <= MOST_DAYS:
            raise CannotRehearse(
                f"Insects double in 1 to 60 days here, not in {float(self.doubling_days):g}."
            )
        if self.every_days < 1:
            raise CannotRehearse(f"A round is due every day at most, not every {self.every_days} days.")

    @property
    def crossed(self) -> float:
        """The day, from the season's start, on which the true density meets the level."""
        return float(self.doubling_days) * math.log2(1 / self.start)

    def times_on(self, day: int) -> float:
        """Give the true density on a day as times the level."""
        return float(self.start) * 2 ** (day / float(self.doubling_days))


@dataclass(frozen=True, slots=True)
class SeasonEnd:
    """One season, one way: days from the true crossing to the alert (under 0: too early), and what it took.

    `missed` counts the rounds on or after the crossing that called the field below. No alert at all: `days` is None.
    """

    days: float | None
    missed: int
    samples: int


@dataclass(frozen=True, slots=True)
class SeasonTally:
    """Many seasons of one way, in the order in which they were drawn."""

    ends: tuple[SeasonEnd, ...] = ()

    @property
    def days(self) -> Sequence[float]:
        """The days of the seasons that had an alert, in rising order."""
        return sorted(end.days for end in self.ends if end.days is not None)

    @property
    def early(self) -> float:
        """The part of seasons whose alert went before the level was crossed."""
        return sum(day < 0 for day in self.days) / len(self.ends)

    @property
    def late_days(self) -> Sequence[float]:
        """The days of the alerts that were not too early, in rising order."""
        return [day for day in self.days if day >= 0]

    @property
    def mean_late(self) -> float | None:
        """The mean of days from the crossing to an alert that was not too early."""
        return math.fsum(self.late_days) / len(self.late_days) if self.late_days else None

    @property
    def nine_in_ten(self) -> float | None:
        """The days after which nine in ten of the alerts that were not too early have gone."""
        late = self.late_days
        return late[math.ceil(0.9 * len(late)) - 1] if late else None

    @property
    def mean_missed(self) -> float:
        """The mean number of rounds that missed it, in seasons whose alert was not too early."""
        missed = [end.missed for end in self.ends if end.days is None or end.days >= 0]
        return sum(missed) / len(missed) if missed else 0.0

    @property
    def mean_samples(self) -> float:
        """The mean number of samples counted until the alert."""
        return sum(end.samples for end in self.ends) / len(self.ends)


def play_seasons(
    rehearsal: Rehearsal, growth: Growth, seed: int, chunk: int, seasons: int
) -> tuple[dict[Way, SeasonTally], tuple[float, ...]]:
    """Play some seasons every way; give also the days after which the first round on or past the crossing came.

    A site that is rich stays so. The first round falls on any of the days between two rounds.
    """
    source = source_for(seed, STREAM, growth.start, chunk)
    walkers = {way: Walker(rehearsal, way) for way in rehearsal.plans}
    ends: dict[Way, list[SeasonEnd]] = {way: [] for way in walkers}
    soonest: list[float] = []
    for _ in range(seasons):
        sites = draw_field_sites(source, rehearsal.spread, 1, rehearsal.sites)
        first = int(source.integers(growth.every_days))
        days = _round_days(growth, first)
        rounds: list[tuple[int, Counts]] = []
        for day in days:
            means = sites * rehearsal.mean_at(Fraction(1)) * growth.times_on(day)
            rounds.append((day, draw_counts(source, rehearsal.spread, means, rehearsal.most)[0]))
        for way, walker in walkers.items():
            ends[way].append(_season(walker, growth, rounds))
        soonest.append(min(day for day in days if day >= growth.crossed) - growth.crossed)
    return {way: SeasonTally(tuple(some)) for way, some in ends.items()}, tuple(soonest)


def _round_days(growth: Growth, first: int) -> list[int]:
    """Give the days of a season's rounds; the last is the first on which the field has outgrown every plan."""
    days = [first]
    while growth.times_on(days[-1]) < END_TIMES:
        days.append(days[-1] + growth.every_days)
    return days


def _season(walker: Walker, growth: Growth, rounds: Sequence[tuple[int, Counts]]) -> SeasonEnd:
    samples = missed = 0
    last: LastCrossing | None = None
    for number, (day, counts) in enumerate(rounds):
        walked = walker.walk(counts)
        samples += walked.samples
        if crossing(last, walked.told, number, final=True) is CrossingKind.ABOVE:
            return SeasonEnd(day - growth.crossed, missed, samples)
        if walked.told is not None:
            last = LastCrossing(walked.told, number)
        missed += day >= growth.crossed
    return SeasonEnd(None, missed, samples)


def joined(parts: Sequence[Mapping[Way, SeasonTally]]) -> dict[Way, SeasonTally]:
    """Join the tallies of several stretches of seasons, in their order."""
    ways = parts[0] if parts else {}
    return {way: SeasonTally(tuple(end for part in parts for end in part[way].ends)) for way in ways}
