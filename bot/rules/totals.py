"""Sums, effort and density of a visit, in exact fractions."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction

from bot.rules.levels import Level
from bot.rules.methods import Effort
from bot.rules.plan import Column, Plan
from bot.rules.stages import Stage
from parsing import TOTALS


class VisitEnd(StrEnum):
    """How far a visit is, as `show` says it."""

    OPEN = "open"
    DONE = "done"
    SHORT = "short"
    SKIPPED = "none"


@dataclass(frozen=True, slots=True)
class SampleFacts:
    """A sample that counts, or is lost; or the sums over several that nobody sent one by one.

    Sums have the number `TOTALS` and count for as many samples as they cover. `effort` is that of one sample,
    in the plan's unit; a None count was not counted.
    """

    number: int
    counts: Mapping[str, int | None]
    effort: Fraction
    lost: bool = False
    covers: int = 1

    @property
    def is_sums(self) -> bool:
        """Whether the counts are sums over samples whose own counts and numbers are not known."""
        return self.number == TOTALS

    @property
    def whole_effort(self) -> Fraction:
        """The effort of all the samples that it counts for."""
        return self.effort * self.covers


@dataclass(frozen=True, slots=True)
class ShareFacts:
    """A share that was looked at: `n` of `of`, and n and m at each stop where it was sent stop by stop.

    `look` is how many were planned to be looked at.
    """

    key: str
    n: int
    of: int
    look: int
    stops: tuple[tuple[int, int], ...] = ()

    @property
    def planned(self) -> int:
        """How many will have been looked at when all is done: those planned, or more where more were."""
        return max(self.of, self.look)


class Side(StrEnum):
    """On which of its two stop lines a sequential plan stopped."""

    LOW = "low"
    HIGH = "high"


@dataclass(frozen=True, slots=True)
class VisitFacts:
    """A visit as the rules see it: its plan and stage as they were, and its samples by number.

    `each` is the effort of one sample from now on where somebody changed it that day, else None: the plan's.
    `stopped` where a sequential plan has reached a stop line (`with_stop` works it out).
    """

    site: int
    day: date
    plan: Plan
    stage: Stage | None
    rows: tuple[Level, ...]
    samples: tuple[SampleFacts, ...]
    short: bool = False
    skipped: bool = False
    each: Fraction | None = None
    shares: tuple[ShareFacts, ...] = ()
    stopped: Side | None = None

    @property
    def effort_now(self) -> Fraction:
        """The effort of a sample that is still to come, in the plan's unit."""
        return self.plan.each.amount if self.each is None else self.each

    @property
    def counted(self) -> tuple[SampleFacts, ...]:
        """The samples that are in; lost ones are not."""
        return tuple(sample for sample in self.samples if not sample.lost)

    @property
    def samples_in(self) -> int:
        """How many samples are in, each of those that sums cover among them."""
        return sum(sample.covers for sample in self.counted)

    def share(self, key: str) -> ShareFacts | None:
        """Give what was seen of a share, None where it was not looked at."""
        return next((one for one in self.shares if one.key == key), None)

    @property
    def spread_known(self) -> bool:
        """Whether every sample that is in has its own counts; without them there is no interval."""
        return not any(sample.is_sums for sample in self.counted)

    @property
    def missing(self) -> tuple[int, ...]:
        """The sample numbers not in, lost ones among them; none where sums hide which are."""
        if not self.spread_known:
            return ()
        have = {sample.number for sample in self.counted}
        return tuple(number for number in range(1, self.plan.samples + 1) if number not in have)

    @property
    def end(self) -> VisitEnd:
        """How far the visit is; enough samples, or a stop line, make it done whatever was said."""
        if self.skipped:
            return VisitEnd.SKIPPED
        if self.samples_in >= self.plan.samples or self.stopped is not None:
            return VisitEnd.DONE
        return VisitEnd.SHORT if self.short else VisitEnd.OPEN

    @property
    def finished(self) -> bool:
        return self.end in (VisitEnd.DONE, VisitEnd.SHORT)

    @property
    def too_short(self) -> bool:
        """Whether it was ended with fewer samples than the plan's least."""
        return self.end is VisitEnd.SHORT and self.samples_in < self.plan.least


def visit_that_counts(visits: Sequence[VisitFacts]) -> VisitFacts:
    """Give the visit of a site that counts for its round, of all that it has there, oldest first.

    The newest that is finished; else it was skipped last; else of those left open the one with the most samples,
    of two alike the older: a new visit that has only begun takes nothing away from what was counted before.
    """
    finished = [visit for visit in visits if visit.finished]
    if finished:
        return finished[-1]
    if visits[-1].skipped:
        return visits[-1]
    return max((visit for visit in visits if not visit.skipped), key=lambda visit: visit.samples_in)


@dataclass(frozen=True, slots=True)
class Density:
    """Weighted count, the effort of the samples in which all its columns were counted, and the rest of the plan.

    `to_come` is the planned effort not yet in, at today's effort of one sample; of a visit that was ended short
    too: it may go on.
    """

    total: Fraction
    effort: Fraction
    to_come: Fraction

    def per(self, effort: Effort) -> Fraction | None:
        """Give the density in a level's unit, None where nothing was counted."""
        return self.total * effort.amount / self.effort if self.effort else None

    def at_least_per(self, effort: Effort) -> Fraction | None:
        """Give the density that remains if all effort still to come finds nothing."""
        whole = self.effort + self.to_come
        return self.total * effort.amount / whole if whole else None


def weights_on(
    card: Iterable[Column], target: str, count: Mapping[str, Fraction], others: Mapping[str, Fraction]
) -> dict[str, Fraction]:
    """Give the weight of each code on a card for a target's life stages and the other targets that count in."""
    weights: dict[str, Fraction] = {}
    for column in card:
        if column.target == target and column.life_stage in count:
            weights[column.code] = count[column.life_stage]
        elif column.target in others:
            weights[column.code] = others[column.target]
    return weights


def density(visit: VisitFacts, weights: Mapping[str, Fraction]) -> Density:
    """Sum a visit for some weighted codes: effort counts only where all of them were counted.

    A column not counted takes its sample's effort out of the plan too.
    """
    total = effort = Fraction(0)
    for sample in visit.counted:
        counts = [sample.counts.get(code) for code in weights]
        if any(count is None for count in counts):
            continue
        total += sum(
            (weight * (count or 0) for weight, count in zip(weights.values(), counts, strict=True)),
            Fraction(0),
        )
        effort += sample.whole_effort
    rest = visit.plan.samples - visit.samples_in
    return Density(total, effort, max(rest, 0) * visit.effort_now)


def column_sums(visit: VisitFacts) -> dict[str, int]:
    """Sum each column of the card over the samples in which it was counted."""
    return {code: sum(sample.counts.get(code) or 0 for sample in visit.counted) for code in visit.plan.codes}


@dataclass(frozen=True, slots=True)
class SquaresOn:
    """Squares still on the plant, n of those looked at."""

    n: int
    of: int

    @property
    def share(self) -> Fraction:
        return Fraction(self.n, self.of)


def pooled(shares: Sequence[SquaresOn]) -> SquaresOn | None:
    """Pool shares of one day over the sites of a field, None where there are none."""
    if not shares:
        return None
    return SquaresOn(sum(share.n for share in shares), sum(share.of for share in shares))
