"""From figures to a standing: a site by its own visit, a field by the mean of its sites."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from bot.rules.levels import Level, RetentionRule, StageNeeded, governing_row
from bot.rules.methods import Effort, Method
from bot.rules.plan import Plan
from bot.rules.stages import Stage
from bot.rules.totals import Density, SquaresOn, VisitFacts, density, weights_on


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


@dataclass(frozen=True, slots=True)
class SiteFigures:
    """One target at a site: `total` and `effort` exact, `density` and marks in the level's unit `per`."""

    level: Level | None
    target: str
    total: Fraction
    effort: Fraction
    density: Fraction | None
    per: Effort | None
    judged: Judgement
    certain: bool

    @property
    def standing(self) -> Standing:
        return self.judged.standing


@dataclass(frozen=True, slots=True)
class FieldFigures:
    """One target in a field: the mean of its finished sites.

    `least` is the density that remains for sure if nothing more is found, sites not begun at 0.
    """

    level: Level | None
    target: str
    method: Method
    sites_in: int
    sites: int
    density: Fraction | None
    per: Effort | None
    judged: Judgement
    certain: bool
    above_alone: tuple[int, ...] = ()
    least: Fraction | None = None

    @property
    def standing(self) -> Standing:
        return self.judged.standing


class FieldState(StrEnum):
    """How far a field's round is."""

    NONE = "none"
    SO_FAR = "so far"
    CERTAIN = "certain"
    FINAL = "final"


@dataclass(frozen=True, slots=True)
class FieldStanding:
    """A field's newest round: its state, its figures by target in card order, sites left out of the mean."""

    state: FieldState
    figures: tuple[FieldFigures, ...]
    left_out: tuple[int, ...] = field(default=())

    def told(self, target: str) -> Standing | None:
        """Give the final-or-certain standing for a target; None while it may still change or is not known."""
        figures = next((one for one in self.figures if one.target == target), None)
        if figures is None or figures.standing is Standing.UNKNOWN:
            return None
        sure = self.state is FieldState.FINAL or (figures.certain and figures.standing is Standing.ABOVE)
        return figures.standing if sure else None


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
    if found is None or (level.also is not None and also is None):
        return Judgement(Standing.UNKNOWN, Needs.SAMPLES, low, high)
    standing = _by_count(found, low, high)
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


def rows_by_target(plan: Plan, rows: Sequence[Level], stage: Stage | None) -> dict[str, Level | StageNeeded]:
    """Give the governing row, or that the stage is needed, for each target of a card that has rows."""
    targets = dict.fromkeys(column.target for column in plan.card)
    fitting = [row for row in rows if row.per.unit is plan.each.unit]
    found = {target: governing_row(fitting, target, plan.method, stage) for target in targets}
    return {target: row for target, row in found.items() if row is not None}


def site_standing(visit: VisitFacts, squares: SquaresOn | None, *, alone: bool) -> tuple[SiteFigures, ...]:
    """Stand a site for each target of its card that has a level, in card order.

    `alone` is a field of one site: there a visit that is certain stands even when cut too short.
    """
    return tuple(
        _site_figures(visit, target, row, squares, alone=alone)
        for target, row in rows_by_target(visit.plan, visit.rows, visit.stage).items()
    )


def _site_figures(
    visit: VisitFacts, target: str, row: Level | StageNeeded, squares: SquaresOn | None, *, alone: bool
) -> SiteFigures:
    known = row if isinstance(row, Level) else row.rows[0]
    found, also = _densities(visit, known)
    per = found.per(known.per)
    if isinstance(row, StageNeeded):
        judged = Judgement(Standing.UNKNOWN, Needs.STAGE, None, None)
        return SiteFigures(None, target, found.total, found.effort, per, known.per, judged, visit.finished)
    judged = judge(row, per, _per_also(row, also), squares)
    sure = is_sure(row, found.at_least_per(row.per), _least_also(row, also), squares)
    if visit.too_short and not (alone and sure):
        judged = Judgement(Standing.UNKNOWN, Needs.SAMPLES, judged.low, judged.high)
    return SiteFigures(
        row, target, found.total, found.effort, per, row.per, judged, certain=visit.finished or sure
    )


def _densities(visit: VisitFacts, level: Level) -> tuple[Density, Density | None]:
    target = level.target or ""
    found = density(visit, weights_on(visit.plan.card, target, level.count, level.others))
    if level.also is None:
        return found, None
    return found, density(visit, weights_on(visit.plan.card, target, level.also.count, {}))


def _per_also(level: Level, also: Density | None) -> Fraction | None:
    return also.per(level.also.per) if also and level.also else None


def _least_also(level: Level, also: Density | None) -> Fraction | None:
    return also.at_least_per(level.also.per) if also and level.also else None


def field_standing(
    sites: Sequence[int],
    plan: Plan,
    rows: Mapping[str, Level | StageNeeded],
    visits: Mapping[int, VisitFacts],
    squares: SquaresOn | None,
) -> FieldStanding:
    """Stand a field by the mean of the densities of its sites' finished visits; sites are never pooled.

    `visits` holds each site's newest visit of the round. Skipped sites and those cut too short are left
    out; where that leaves fewer than half the field is unknown, unless it is certain.
    """
    if not visits:
        return FieldStanding(FieldState.NONE, ())
    over = {
        site: visits[site]
        for site in sites
        if site in visits and (visits[site].finished or visits[site].skipped)
    }
    left_out = tuple(site for site, visit in over.items() if visit.skipped or visit.too_short)
    figures = tuple(
        _field_figures(sites, plan, target, row, visits, squares, left_out, final=len(over) == len(sites))
        for target, row in rows.items()
    )
    if len(over) == len(sites):
        state = FieldState.FINAL
    else:
        state = FieldState.CERTAIN if any(one.certain for one in figures) else FieldState.SO_FAR
    return FieldStanding(state, figures, left_out)


def _field_figures(
    sites: Sequence[int],
    plan: Plan,
    target: str,
    row: Level | StageNeeded,
    visits: Mapping[int, VisitFacts],
    squares: SquaresOn | None,
    left_out: Sequence[int],
    *,
    final: bool,
) -> FieldFigures:
    known = row if isinstance(row, Level) else row.rows[0]
    taken = [
        visits[site] for site in sites if site in visits and visits[site].finished and site not in left_out
    ]
    densities = {visit.site: _densities(visit, known) for visit in taken}
    found = _mean([one.per(known.per) for one, _ in densities.values()])
    if isinstance(row, StageNeeded):
        judged = Judgement(Standing.UNKNOWN, Needs.STAGE, None, None)
        return FieldFigures(
            None, target, plan.method, len(taken), len(sites), found, known.per, judged, final
        )
    also = _mean([_per_also(row, other) for _, other in densities.values()])
    judged = judge(row, found, also, squares)
    if 2 * (len(sites) - len(left_out)) < len(sites) or (final and not taken):
        judged = Judgement(Standing.UNKNOWN, Needs.SAMPLES, judged.low, judged.high)
    least, least_also = _field_least(sites, row, visits)
    sure = is_sure(row, least, least_also, squares)
    if sure and judged.standing is not Standing.ABOVE:
        judged = Judgement(Standing.ABOVE, None, judged.low, judged.high)
    alone: tuple[int, ...] = ()
    if judged.standing is Standing.BELOW:
        alone = tuple(
            visit.site
            for visit in taken
            if judge(
                row, densities[visit.site][0].per(row.per), _per_also(row, densities[visit.site][1]), squares
            ).standing
            is Standing.ABOVE
        )
    return FieldFigures(
        row, target, plan.method, len(taken), len(sites), found, row.per, judged, final or sure, alone, least
    )


def _mean(densities: Sequence[Fraction | None]) -> Fraction | None:
    known = [one for one in densities if one is not None]
    return sum(known, Fraction(0)) / len(known) if known else None


def _field_least(
    sites: Sequence[int], level: Level, visits: Mapping[int, VisitFacts]
) -> tuple[Fraction | None, Fraction | None]:
    """Give the mean over all sites of what each has for sure; sites not begun, or skipped, have nothing."""
    least: list[Fraction | None] = []
    least_also: list[Fraction | None] = []
    for site in sites:
        visit = visits.get(site)
        if visit is None or visit.skipped:
            least.append(Fraction(0))
            least_also.append(Fraction(0))
            continue
        found, also = _densities(visit, level)
        least.append(found.at_least_per(level.per) or Fraction(0))
        least_also.append(_least_also(level, also) or Fraction(0))
    return _mean(least), _mean(least_also)
