"""A field by the mean of its sites: its state, its figures, what it has for sure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from bot.rules.levels import Level, StageNeeded
from bot.rules.methods import Effort, Method
from bot.rules.plan import Plan
from bot.rules.standing import Judgement, Needs, Standing, densities_for, is_sure, judge, least_also, per_also
from bot.rules.totals import SquaresOn, VisitFacts


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
    densities = {visit.site: densities_for(visit, known) for visit in taken}
    found = _mean([one.per(known.per) for one, _ in densities.values()])
    if isinstance(row, StageNeeded):
        judged = Judgement(Standing.UNKNOWN, Needs.STAGE, None, None)
        return FieldFigures(
            None, target, plan.method, len(taken), len(sites), found, known.per, judged, final
        )
    also = _mean([per_also(row, other) for _, other in densities.values()])
    judged = judge(row, found, also, squares)
    if 2 * (len(sites) - len(left_out)) < len(sites) or (final and not taken):
        judged = Judgement(Standing.UNKNOWN, Needs.SAMPLES, judged.low, judged.high)
    least, second = _field_least(sites, row, visits)
    sure = is_sure(row, least, second, squares)
    if sure and judged.standing is not Standing.ABOVE:
        judged = Judgement(Standing.ABOVE, None, judged.low, judged.high)
    alone: tuple[int, ...] = ()
    if judged.standing is Standing.BELOW:
        alone = tuple(
            visit.site
            for visit in taken
            if judge(
                row, densities[visit.site][0].per(row.per), per_also(row, densities[visit.site][1]), squares
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
    second: list[Fraction | None] = []
    for site in sites:
        visit = visits.get(site)
        if visit is None or visit.skipped:
            least.append(Fraction(0))
            second.append(Fraction(0))
            continue
        found, also = densities_for(visit, level)
        least.append(found.at_least_per(level.per) or Fraction(0))
        second.append(least_also(level, also) or Fraction(0))
    return _mean(least), _mean(second)
