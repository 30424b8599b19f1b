"""A field by the mean of its sites: its state, its figures, what it has for sure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from fractions import Fraction

from bot.rules.judging import Judgement, Needs, Standing, is_sure, judge
from bot.rules.levels import Level, StageNeeded
from bot.rules.methods import Effort, Method
from bot.rules.plan import Plan
from bot.rules.sampling import error_between_sites
from bot.rules.standing import densities_for, least_also, per_also
from bot.rules.totals import ShareFacts, SquaresOn, VisitFacts


@dataclass(frozen=True, slots=True)
class FieldFigures:
    """One target, or one share, in a field: the mean of its finished sites, `target` the key of either.

    `least` is the density that remains for sure if nothing more is found, sites not begun at 0. `se` is the
    standard error between sites in the level's unit; None for fewer than two.
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
    se: float | None = None
    is_share: bool = False

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
    whole: Sequence[ShareFacts] = (),
) -> FieldStanding:
    """Stand a field by the mean of the densities of its sites' finished visits; sites are never pooled.

    `visits` holds each site's newest visit of the round. Skipped sites and those cut too short are left
    out; where that leaves fewer than half the field is unknown, unless it is certain. `whole` are shares sent
    for the field as one, which stand where no site has its own.
    """
    if not visits:
        return FieldStanding(FieldState.NONE, ())
    over = {
        site: visits[site]
        for site in sites
        if site in visits and (visits[site].finished or visits[site].skipped)
    }
    left_out = tuple(site for site, visit in over.items() if visit.skipped or visit.too_short)
    final = len(over) == len(sites)
    as_one = {share.key: share for share in whole if not any(one.share(share.key) for one in visits.values())}
    figures = tuple(
        _whole_share(plan, as_one[target], row, len(sites), final=final)
        if target in as_one
        else _field_figures(sites, plan, target, row, visits, squares, left_out, final=final)
        for target, row in rows.items()
    )
    if final:
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
    is_share = known.share is not None
    taken = [
        visits[site]
        for site in sites
        if site in visits and site not in left_out and _is_in(visits[site], known)
    ]
    densities = {visit.site: densities_for(visit, known) for visit in taken}
    each = [per for one, _ in densities.values() if (per := one.per(known.per)) is not None]
    found, se = _mean(each), error_between_sites(each)
    if isinstance(row, StageNeeded):
        judged = Judgement(Standing.UNKNOWN, Needs.STAGE, None, None)
        return FieldFigures(
            None,
            target,
            plan.method,
            len(taken),
            len(sites),
            found,
            known.per,
            judged,
            final,
            se=se,
            is_share=is_share,
        )
    also = _mean([per_also(row, other) for _, other in densities.values()])
    judged = judge(row, found, also, squares)
    too_few = final and is_share and 2 * len(taken) < len(sites)
    if 2 * (len(sites) - len(left_out)) < len(sites) or (final and not taken) or too_few:
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
        row,
        target,
        plan.method,
        len(taken),
        len(sites),
        found,
        row.per,
        judged,
        final or sure,
        alone,
        least,
        se,
        is_share,
    )


def _is_in(visit: VisitFacts, level: Level) -> bool:
    """Tell whether a site's figure counts for its field: its visit is finished, or all of a share was looked at."""
    if level.share is None:
        return visit.finished
    share = visit.share(level.share)
    return share is not None and (visit.finished or share.of >= share.look)


def _whole_share(
    plan: Plan, share: ShareFacts, row: Level | StageNeeded, sites: int, *, final: bool
) -> FieldFigures:
    """Stand a share that was looked at over a field as one: it is planned for each of its sites."""
    known = row if isinstance(row, Level) else row.rows[0]
    facts = replace(share, look=share.look * sites)
    amount = known.per.amount
    found = facts.n * amount / facts.of
    if isinstance(row, StageNeeded):
        judged = Judgement(Standing.UNKNOWN, Needs.STAGE, None, None)
        return FieldFigures(
            None, share.key, plan.method, 0, sites, found, known.per, judged, final, is_share=True
        )
    judged = judge(row, found, None, None)
    least = facts.n * amount / facts.planned
    certain = final or least >= row.high
    return FieldFigures(
        row, share.key, plan.method, 0, sites, found, row.per, judged, certain, (), least, is_share=True
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
