"""A target in the same sites of a field at two times: the mean of their densities, with the interval of the samples."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from bot.rules.levels import Level, StageNeeded
from bot.rules.rows import rows_by_target
from bot.rules.sampling import Between, count_interval
from bot.rules.standing import densities_for, weights_of
from bot.rules.totals import VisitFacts

Visits = Mapping[int, VisitFacts]
"""One visit for each of some sites of a field."""


@dataclass(frozen=True, slots=True)
class Seen:
    """A target in some sites, one visit each: the mean of their densities, in a level's unit.

    `between` are the 80 % intervals of the sites, in their order; none where a site has none.
    """

    density: Fraction
    sites: tuple[int, ...]
    samples: int
    first: date
    last: date
    between: tuple[Between, ...]
    densities: tuple[Fraction, ...]


def rows_of(visits: Visits) -> dict[str, Level]:
    """Give the row of each target that governs some visits: that of the first, as of a round.

    Where the stage is not known it is the first that may govern.
    """
    first = min(visits.values(), key=lambda visit: (visit.day, visit.site), default=None)
    if first is None:
        return {}
    rows = rows_by_target(first.plan, first.rows, first.stage)
    return {target: row.rows[0] if isinstance(row, StageNeeded) else row for target, row in rows.items()}


def count_alike(one: Level, other: Level) -> bool:
    """Tell whether two rows count the same in the same unit, whatever their marks."""
    return (one.method, one.per, one.count, one.others) == (
        other.method,
        other.per,
        other.count,
        other.others,
    )


def fit(visits: Iterable[VisitFacts], level: Level) -> bool:
    """Tell whether visits were all made by a row's method, in its unit, with the same of its columns on the card."""
    every = list(visits)
    cards = {frozenset(weights_of(visit, level)) for visit in every}
    return len(cards) == 1 and all(
        visit.plan.method is level.method and visit.plan.each.unit is level.per.unit for visit in every
    )


def seen_twice(
    sites: Sequence[int], before: Visits, after: Visits, level: Level
) -> tuple[Seen | None, Seen | None]:
    """Give a target before and after in the sites that were counted both times; after only, where nothing was before.

    Neither where that is fewer than half of the field's sites.
    """
    counted = {site for site, visit in after.items() if _density(visit, level) is not None}
    if before:
        counted &= {site for site, visit in before.items() if _density(visit, level) is not None}
    taken = [site for site in sites if site in counted]
    if not taken or 2 * len(taken) < len(sites):
        return None, None
    return (
        _seen([before[site] for site in taken], level) if before else None,
        _seen([after[site] for site in taken], level),
    )


def _density(visit: VisitFacts, level: Level) -> Fraction | None:
    return densities_for(visit, level)[0].per(level.per)


def _seen(visits: Sequence[VisitFacts], level: Level) -> Seen:
    densities = tuple(_density(visit, level) or Fraction(0) for visit in visits)
    # one that need not be finished, as its field's one site is above for sure, has all that it will have
    intervals = [
        count_interval(replace(visit, short=True), level, weights_of(visit, level)) for visit in visits
    ]
    return Seen(
        sum(densities, Fraction(0)) / len(densities),
        tuple(visit.site for visit in visits),
        sum(visit.samples_in for visit in visits),
        min(visit.day for visit in visits),
        max(visit.day for visit in visits),
        tuple(one for one in intervals if one is not None) if None not in intervals else (),
        densities,
    )
