"""From figures to a standing: a site by its own visit, for each target of its card and each share looked at."""

from dataclasses import dataclass, replace
from fractions import Fraction

from bot.rules.judging import Judgement, Needs, Standing, is_sure, judge
from bot.rules.levels import Level, StageNeeded
from bot.rules.methods import Effort
from bot.rules.rows import rows_by_share, rows_by_target
from bot.rules.sampling import Between, count_interval, share_interval, stops_interval
from bot.rules.totals import Density, ShareFacts, SquaresOn, VisitFacts, density, weights_on


@dataclass(frozen=True, slots=True)
class SiteFigures:
    """One target, or one share, at a site: `total` and `effort` exact, `density` and marks in the level's `per`.

    `target` is the key of either; of a share the total is n, the effort m, and `share` what was looked at.
    `interval` holds the density of a finished visit at 80 %, `between_stops` a share's by how its stops differ.
    """

    level: Level | None
    target: str
    total: Fraction
    effort: Fraction
    density: Fraction | None
    per: Effort | None
    judged: Judgement
    certain: bool
    share: ShareFacts | None = None
    interval: Between | None = None
    between_stops: Between | None = None

    @property
    def standing(self) -> Standing:
        return self.judged.standing

    @property
    def close_call(self) -> bool | None:
        """Whether the interval holds a mark of the level; None where there is no interval or no level."""
        marks = (self.judged.low, self.judged.high)
        if self.interval is None or None in marks:
            return None
        return any(self.interval.holds(mark) for mark in marks if mark is not None)


def site_standing(visit: VisitFacts, squares: SquaresOn | None, *, alone: bool) -> tuple[SiteFigures, ...]:
    """Stand a site for each target of its card that has a level, in card order, then for each share that has one.

    `alone` is a field of one site: there a visit that is certain stands even when cut too short.
    """
    targets = rows_by_target(visit.plan, visit.rows, visit.stage)
    return (
        *(_site_figures(visit, key, row, squares, alone=alone) for key, row in targets.items()),
        *share_standing(visit),
    )


def share_standing(visit: VisitFacts) -> tuple[SiteFigures, ...]:
    """Stand a site for each share that was looked at there and has a level."""
    rows = rows_by_share([share.key for share in visit.shares], visit.rows, visit.stage)
    return tuple(
        _share_figures(visit, share, row)
        for key, row in rows.items()
        if (share := visit.share(key)) is not None
    )


def _site_figures(
    visit: VisitFacts, target: str, row: Level | StageNeeded, squares: SquaresOn | None, *, alone: bool
) -> SiteFigures:
    known = row if isinstance(row, Level) else row.rows[0]
    found, also = densities_for(visit, known)
    per = found.per(known.per)
    between = count_interval(visit, known, weights_of(visit, known))
    if isinstance(row, StageNeeded):
        judged = Judgement(Standing.UNKNOWN, Needs.STAGE, None, None)
        return SiteFigures(
            None, target, found.total, found.effort, per, known.per, judged, visit.finished, interval=between
        )
    judged = judge(row, per, per_also(row, also), squares)
    sure = is_sure(row, found.at_least_per(row.per), least_also(row, also), squares)
    if visit.too_short and not (alone and sure):
        judged = Judgement(Standing.UNKNOWN, Needs.SAMPLES, judged.low, judged.high)
    certain = visit.finished or sure
    return SiteFigures(
        row, target, found.total, found.effort, per, row.per, judged, certain, interval=between
    )


def _share_figures(visit: VisitFacts, share: ShareFacts, row: Level | StageNeeded) -> SiteFigures:
    known = row if isinstance(row, Level) else row.rows[0]
    found, _ = densities_for(visit, known)
    whole = share.of >= share.look
    over = visit.finished or (whole and not visit.samples)
    one = SiteFigures(
        None,
        share.key,
        found.total,
        found.effort,
        found.per(known.per),
        known.per,
        Judgement(Standing.UNKNOWN, Needs.STAGE, None, None),
        over,
        share,
        share_interval(share, finished=over),
        stops_interval(share, finished=over),
    )
    if isinstance(row, StageNeeded):
        return one
    judged = judge(row, one.density, None, None)
    if visit.too_short and not whole:
        judged = Judgement(Standing.UNKNOWN, Needs.SAMPLES, judged.low, judged.high)
    least, most = found.at_least_per(row.per), _at_most_per(share, row)
    sure = whole or (least is not None and least >= row.high) or most < row.low
    return replace(one, level=row, judged=judged, certain=over or sure)


def _at_most_per(share: ShareFacts, level: Level) -> Fraction:
    """Give the share, per the level's unit, that comes out if all that is still to be looked at counts."""
    return (share.n + share.planned - share.of) * level.per.amount / share.planned


def densities_for(visit: VisitFacts, level: Level) -> tuple[Density, Density | None]:
    """Give the density of a level's target or share, and of its second count where it has one."""
    if level.share is not None:
        share = visit.share(level.share)
        if share is None:
            return Density(Fraction(0), Fraction(0), Fraction(0)), None
        return Density(Fraction(share.n), Fraction(share.of), Fraction(share.planned - share.of)), None
    found = density(visit, weights_of(visit, level))
    if level.also is None:
        return found, None
    return found, density(visit, weights_on(visit.plan.card, level.target or "", level.also.count, {}))


def weights_of(visit: VisitFacts, level: Level) -> dict[str, Fraction]:
    """Give the weight of each code of a visit's card for a target's level."""
    return weights_on(visit.plan.card, level.target or "", level.count, level.others)


def per_also(level: Level, also: Density | None) -> Fraction | None:
    return also.per(level.also.per) if also and level.also else None


def least_also(level: Level, also: Density | None) -> Fraction | None:
    return also.at_least_per(level.also.per) if also and level.also else None
