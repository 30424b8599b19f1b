"""A site or a field as JSON: the fixed form that `rowfoot show --json` prints (season.md names its keys)."""

from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from typing import Any

from bot.field_book.book import FieldBook
from bot.field_book.views import FieldView, SiteView
from bot.rules import (
    Effort,
    FieldFigures,
    Level,
    Needs,
    SiteFigures,
    StageNeeded,
    Standing,
    VisitEnd,
    rows_by_target,
)
from storage import SampleRow, shares_on, standing_samples, visit_on


def show(book: FieldBook, number: int, day: date) -> dict[str, Any] | None:
    """Give a site, or a field of several sites, as it stands on a day; None where there is no such number."""
    if number in book.sites:
        return site_json(book, book.site_view(number, day))
    if number in book.season.fields:
        return field_json(book, book.field_view(book.season.fields[number], day), day)
    return None


def site_json(book: FieldBook, view: SiteView) -> dict[str, Any]:
    """Give a site's JSON: counts with null where not counted, exact figures as floats."""
    visit = view.visit
    row = visit_on(book.session, view.site, view.day)
    samples = standing_samples(row) if row is not None else []
    stage = visit.stage if visit else book.stage_on(view.field, view.day)
    plan = visit.plan if visit else book.plan_on(view.site, view.day)
    shares = shares_on(book.session, view.site, view.day)
    return {
        "site": view.site,
        "field": view.field.number,
        "day": view.day.isoformat(),
        "stage": str(stage) if stage else "unknown",
        "method": plan.method.value if plan else None,
        "state": visit.end.value if visit else VisitEnd.SKIPPED.value,
        "reason": row.reason if row is not None else None,
        "samples_in": visit.samples_in if visit else 0,
        "samples_planned": plan.samples if plan else None,
        "lost": [sample.number for sample in samples if sample.lost],
        "samples": {
            str(sample.number): _counts(sample, plan.codes if plan else ())
            for sample in samples
            if not sample.lost
        },
        "totals": None,
        "extras": {str(sample.number): dict(sample.extras) for sample in samples if sample.extras},
        "shares": {share.code: {"n": share.n, "of": share.of} for share in shares},
        "closed_until": None,
        "levels": [_site_level(one) for one in view.figures] if visit else _levels_without_visit(book, view),
    }


def _counts(sample: SampleRow, codes: Sequence[str]) -> dict[str, int | None]:
    return {code: sample.counts.get(code) for code in codes}


def _site_level(one: SiteFigures) -> dict[str, Any]:
    return {
        "id": one.level.id if one.level else None,
        "target": one.target,
        "total": _number(one.total),
        "effort": _number(one.effort),
        "effort_unit": one.per.unit.value if one.per else None,
        "density": _float(one.density),
        "per": _per(one.per),
        "low": _number(one.judged.low),
        "high": _number(one.judged.high),
        "standing": one.standing.value,
        "needs": one.judged.needs.value if one.judged.needs else None,
        "certain": one.certain,
        "close_call": None,
        "interval": None,
    }


def _levels_without_visit(book: FieldBook, view: SiteView) -> list[dict[str, Any]]:
    plan = book.plan_on(view.site, view.day)
    if plan is None:
        return []
    rows = rows_by_target(plan, book.candidate_rows(plan), book.stage_on(view.field, view.day))
    return [_unsampled(target, row) for target, row in rows.items()]


def _unsampled(target: str, row: Level | StageNeeded) -> dict[str, Any]:
    known = row if isinstance(row, Level) else row.rows[0]
    return {
        "id": row.id if isinstance(row, Level) else None,
        "target": target,
        "total": 0,
        "effort": 0,
        "effort_unit": known.per.unit.value,
        "density": None,
        "per": _per(known.per),
        "low": _number(row.low) if isinstance(row, Level) else None,
        "high": _number(row.high) if isinstance(row, Level) else None,
        "standing": Standing.UNKNOWN.value,
        "needs": Needs.SAMPLES.value,
        "certain": False,
        "close_call": None,
        "interval": None,
    }


def field_json(book: FieldBook, view: FieldView, day: date) -> dict[str, Any]:
    """Give a field's JSON, the forms of its sites within."""
    stage = book.stage_on(view.field, day)
    days = {site: visit.day for site, visit in view.visits.items()}
    sites = [book.site_view(site, days.get(site, day)) for site in view.field.sites]
    return {
        "field": view.field.number,
        "day": day.isoformat(),
        "stage": str(stage) if stage else "unknown",
        "state": view.standing.state.value,
        "round": None
        if view.first_day is None
        else [view.first_day.isoformat(), view.last_day.isoformat() if view.last_day else None],
        "closed_until": None,
        "retention": {"n": view.squares.n, "of": view.squares.of} if view.squares else None,
        "sites": [site_json(book, site) for site in sites],
        "levels": [_field_level(one) for one in view.standing.figures]
        if view.round_id is not None
        else _field_levels_without_round(book, view, day),
    }


def _field_levels_without_round(book: FieldBook, view: FieldView, day: date) -> list[dict[str, Any]]:
    plan = book.plan_on(view.field.sites[0], day)
    if plan is None:
        return []
    rows = rows_by_target(plan, book.candidate_rows(plan), book.stage_on(view.field, day))
    return [
        {
            "id": row.id if isinstance(row, Level) else None,
            "target": target,
            "method": plan.method.value,
            "sites_in": 0,
            "sites": len(view.field.sites),
            "density": None,
            "se": None,
            "per": _per((row if isinstance(row, Level) else row.rows[0]).per),
            "low": _number(row.low) if isinstance(row, Level) else None,
            "high": _number(row.high) if isinstance(row, Level) else None,
            "standing": Standing.UNKNOWN.value,
            "needs": Needs.SAMPLES.value,
            "certain": False,
            "above_alone": [],
        }
        for target, row in rows.items()
    ]


def _field_level(one: FieldFigures) -> dict[str, Any]:
    return {
        "id": one.level.id if one.level else None,
        "target": one.target,
        "method": one.method.value,
        "sites_in": one.sites_in,
        "sites": one.sites,
        "density": _float(one.density),
        "se": None,
        "per": _per(one.per),
        "low": _number(one.judged.low),
        "high": _number(one.judged.high),
        "standing": one.standing.value,
        "needs": one.judged.needs.value if one.judged.needs else None,
        "certain": one.certain,
        "above_alone": list(one.above_alone),
    }


def _number(value: Fraction | None) -> int | float | None:
    """Give a whole number as one, any other as a float."""
    if value is None:
        return None
    return value.numerator if value.denominator == 1 else float(value)


def _float(value: Fraction | None) -> float | None:
    return None if value is None else float(value)


def _per(per: Effort | None) -> str | None:
    return f"{_number(per.amount)} {per.unit.value}" if per else None
