"""How a field stands: the mean of its finished sites in the newest round, final, certain or so far."""

from dataclasses import dataclass
from fractions import Fraction

from tests.recount.file import Level
from tests.recount.rounds import FieldRecord, Round
from tests.recount.stages import plan_on, rows_on, stage_on
from tests.recount.standings import Squares, halved, is_sure, standing_of, sums_for
from tests.recount.visits import Visit


@dataclass(frozen=True, slots=True)
class FieldStands:
    """How one level stands in a field; `sure` is the mean with all that is to come at zero."""

    row: Level
    sites_in: int
    density: Fraction | None
    low: Fraction
    high: Fraction
    standing: str
    needs: str | None
    certain: bool
    above_alone: tuple[int, ...]
    sure: Fraction
    seen: bool


@dataclass(frozen=True, slots=True)
class FieldState:
    """A field as it stands: its state, its newest round, its squares, its levels."""

    state: str
    round: Round | None
    squares: Squares | None
    levels: tuple[FieldStands, ...]
    through: bool


def field_state(record: FieldRecord) -> FieldState:
    """Put a field's newest round together."""
    if not record.rounds:
        return FieldState("none", None, record.squares(None, record.day), tuple(_unbegun(record)), False)
    newest = record.rounds[-1]
    squares = record.squares(newest, newest.first)
    through = record.is_through(newest, record.day)
    levels = tuple(_level(record, newest, row, through) for row in newest.rows)
    certain = any(one.certain for one in levels)
    return FieldState(
        "final" if through else "certain" if certain else "so far", newest, squares, levels, through
    )


def governing(record: FieldRecord, one: Round) -> dict[int, Visit]:
    """Give each site's visit that counts in a round: its newest finished one, else the one with most in."""
    chosen: dict[int, Visit] = {}
    for visit in sorted(one.visits, key=lambda visit: visit.day):
        old = chosen.get(visit.site)
        open_ = old is not None and not record.ended(one, old) and len(visit.samples) >= len(old.samples)
        if old is None or record.ended(one, visit) or open_:
            chosen[visit.site] = visit
    return chosen


def left_out(record: FieldRecord, one: Round, visit: Visit) -> bool:
    """Say whether a finished visit is left out of the mean: short, with fewer samples than the least."""
    return record.state(one, visit) == "short" and len(visit.samples) < one.plan.least


def _level(record: FieldRecord, one: Round, row: Level, through: bool) -> FieldStands:
    visits = governing(record, one)
    sites = record.of.sites
    squares = record.squares(one, one.first)
    low, high = halved(row, squares)
    densities: list[Fraction] = []
    alsos: list[Fraction] = []
    above: list[int] = []
    share_in = False
    firsts = Fraction(0)
    seconds = Fraction(0)
    gone = len([site for site in sites if site in one.skips and site not in visits])
    for site in sites:
        visit = visits.get(site)
        if visit is None:
            continue
        stands = record.site_stands(one, visit, row)
        if row.is_share:
            ended = record.ended(one, visit)
            share_in = share_in or (stands.density is not None and ended)
            if stands.density is not None and ended and not left_out(record, one, visit):
                densities.append(stands.density)
                if stands.standing == "above":
                    above.append(site)
            continue
        first, second = sums_for(record.season, visit, one.plan, row)
        ended = record.ended(one, visit)
        alone_and_sure = len(sites) == 1 and stands.standing != "unknown"
        if ended and left_out(record, one, visit) and not alone_and_sure:
            gone += 1
        elif ended and first.density is not None:
            densities.append(first.density)
            if second is not None and second.density is not None:
                alsos.append(second.density)
            if stands.standing == "above":
                above.append(site)
        firsts += first.sure
        if second is not None:
            seconds += second.sure
    seen = not row.is_share or share_in
    if through:
        gone = len(sites) - len(densities)
    mean = sum(densities, Fraction(0)) / len(densities) if densities else None
    also = sum(alsos, Fraction(0)) / len(alsos) if alsos else None
    sure = firsts / len(sites)
    certain = not row.is_share and is_sure(row, sure, seconds / len(sites), squares)
    standing, needs = standing_of(row, mean, also, squares)
    if (len(sites) - gone) * 2 < len(sites):
        standing, needs = "unknown", "samples"
    if certain:
        standing, needs = "above", None
    alone = tuple(above) if len(sites) > 1 and standing == "below" else ()
    return FieldStands(
        row, len(densities), mean, low, high, standing, needs, through or certain, alone, sure, seen
    )


def _unbegun(record: FieldRecord) -> list[FieldStands]:
    stage = stage_on(record.of, record.said, record.day)
    plan = plan_on(record.season, record.of, stage)
    rows = rows_on(record.season, plan, stage) if plan is not None and plan.wants_level else []
    nothing = Fraction(0)
    return [
        FieldStands(
            row, 0, None, row.low, row.high, "unknown", "samples", False, (), nothing, not row.is_share
        )
        for row in rows
    ]
