"""The recount's own form of `show NUMBER --json`, for site and field."""

from fractions import Fraction
from typing import Any

from tests.recount.fields import field_state
from tests.recount.file import Level
from tests.recount.rounds import FieldRecord, Round
from tests.recount.stages import plan_on, rows_on, stage_on
from tests.recount.standings import Stands
from tests.recount.visits import Visit, extras, whole


def show_site(record: FieldRecord, site: int, closed: str | None) -> dict[str, Any]:
    """Say how a site stands on the record's day."""
    day = record.day
    stage = stage_on(record.of, record.said, day)
    visit = record.ledger.visits(day).get(site)
    own = record.round_of(visit) if visit is not None else None
    if visit is not None and visit.first_at is not None:
        stage = record.stage_of(visit)
    running = own or record.running(day)
    plan = running.plan if running is not None else plan_on(record.season, record.of, stage)
    if plan is None:
        return {
            "site": site,
            "field": record.of.number,
            "day": day.isoformat(),
            "stage": "unknown",
            "state": "none",
        }
    rows = rows_on(record.season, plan, stage) if plan.wants_level else []
    one = own or Round(day, plan, stage, rows)
    begun = visit if own is not None else None
    state = record.state(one, begun) if begun is not None else "none"
    shown = {
        "site": site,
        "field": record.of.number,
        "day": day.isoformat(),
        "stage": stage.said,
        "method": plan.method,
        "state": state,
        "reason": None
        if visit is None
        else visit.short
        if state == "short"
        else visit.skipped
        if state == "none"
        else None,
        "samples_in": len(begun.samples) if begun else 0,
        "samples_planned": plan.samples,
        "lost": sorted(begun.lost) if begun else [],
        "samples": {str(n): whole(sample, plan) for n, sample in sorted(begun.samples.items())}
        if begun
        else {},
        "extras": {
            str(n): extras(sample, plan)
            for n, sample in sorted(begun.samples.items())
            if extras(sample, plan)
        }
        if begun
        else {},
        "shares": {code: {"n": n, "of": of} for code, (n, of) in visit.shares.items()} if visit else {},
        "closed_until": closed,
        "levels": [
            _level(record.site_stands(one, begun, row)) for row in rows if _is_shown(record, row, visit)
        ],
    }
    if visit is not None and visit.skipped is not None and not visit.begun:
        del shown["levels"]  # the pages do not say which rows a site has that was not sampled
    return shown


def _level(one: Stands) -> dict[str, Any]:
    return {
        "id": one.row.id or None,
        "share" if one.row.is_share else "target": one.row.target,
        "total": number(one.total),
        "effort": number(one.effort),
        "effort_unit": one.row.unit,
        "density": number(one.density),
        "per": one.row.per_said,
        "standing": one.standing,
        "needs": one.needs,
        "certain": one.certain,
    } | (
        {}
        if one.needs == "samples" and not one.effort
        else {"low": None, "high": None}
        if not one.row.id
        else {"low": number(one.low), "high": number(one.high)}
    )


def show_field(record: FieldRecord, closed: str | None) -> dict[str, Any]:
    """Say how a field of several sites stands on the record's day."""
    state = field_state(record)
    newest = state.round
    squares = state.squares
    return {
        "field": record.of.number,
        "day": record.day.isoformat(),
        "stage": stage_on(record.of, record.said, record.day).said,
        "state": state.state,
        "round": None
        if newest is None
        else [
            newest.first.isoformat(),
            max(one.day for one in [*newest.visits, *newest.skips.values()]).isoformat()
            if state.through
            else None,
        ],
        "closed_until": closed,
        "retention": {"n": squares.n, "of": squares.of} if squares else None,
        "levels": [
            {
                "id": one.row.id or None,
                "share" if one.row.is_share else "target": one.row.target,
                "sites_in": one.sites_in,
                "sites": len(record.of.sites),
                "density": number(one.density),
                "per": one.row.per_said,
                "low": number(one.low) if one.row.id else None,
                "high": number(one.high) if one.row.id else None,
                "standing": one.standing,
                "needs": one.needs,
                "certain": one.certain,
                "above_alone": list(one.above_alone),
            }
            for one in state.levels
            if one.seen
        ],
    }


def number(value: Fraction | None) -> float | None:
    """Give a fraction as JSON does."""
    return None if value is None else float(value)


def _is_shown(record: FieldRecord, row: Level, visit: Visit | None) -> bool:
    """A share's level stands only where such a share is in."""
    return not row.is_share or (visit is not None and record.season.shares[row.target][0] in visit.shares)
