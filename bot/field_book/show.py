"""A site or a field as JSON: the fixed form that `rowfoot show --json` prints (season.md names its keys)."""

from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from typing import Any

from bot.field_book.book import FieldBook
from bot.field_book.closed import shut_on
from bot.field_book.treated_json import treatments_json
from bot.field_book.views import FieldView, SiteView
from bot.rules import (
    Between,
    Effort,
    Field,
    FieldFigures,
    Level,
    Needs,
    SiteFigures,
    StageNeeded,
    Standing,
    VisitEnd,
    rows_by_target,
)
from parsing import TOTALS
from storage import (
    CheckRow,
    SampleRow,
    ShareRow,
    checks_on,
    nawf_on,
    remarks_on,
    shares_on,
    standing_samples,
    visit_on,
)


def show(book: FieldBook, number: int, day: date) -> dict[str, Any] | None:
    """Give a site, or a field of several sites, as it stands on a day; None where there is no such number.

    `treatments` are the field's, so a site of several does not have them.
    """
    if number in book.sites:
        shown = site_json(book, book.site_view(number, day))
        field = book.sites[number]
        return shown if field.several else {**shown, "treatments": treatments_json(book, field, day)}
    if number in book.season.fields:
        return field_json(book, book.field_view(book.season.fields[number], day), day)
    return None


def site_json(book: FieldBook, view: SiteView) -> dict[str, Any]:
    """Give a site's JSON: counts with null where not counted, exact figures as floats.

    Sums over several samples stand under `totals`, all else under its sample's number. `shares` is of the whole
    site where that was looked at, else the sum over its stops. `checks` and the counts of `trainees` are in no figure.
    """
    visit = view.visit
    row = visit_on(book.session, view.site, view.day)
    standing = standing_samples(row) if row is not None else []
    samples = [sample for sample in standing if sample.number != TOTALS]
    sums = next((sample for sample in standing if sample.number == TOTALS), None)
    stage = visit.stage if visit else book.stage_on(view.field, view.day)
    plan = visit.plan if visit else book.plan_on(view.site, view.day)
    codes = plan.codes if plan else ()
    session = book.session
    nodes = nawf_on(session, view.site, view.day)
    beside = checks_on(session, view.site, view.day)
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
        "samples": {str(sample.number): _counts(sample, codes) for sample in samples if not sample.lost},
        "totals": _totals(sums, codes) if sums is not None else None,
        "extras": {str(sample.number): dict(sample.extras) for sample in samples if sample.extras},
        "shares": _shares(shares_on(session, view.site, view.day)),
        "nawf": [_number(Fraction(plant)) for one in nodes for plant in one.plants] if nodes else None,
        "remarks": [
            {"about": one.about, "words": one.words} for one in remarks_on(session, view.site, view.day)
        ],
        "checks": _checks([row for row in beside if not row.trainee], codes),
        "trainees": _checks([row for row in beside if row.trainee], codes),
        "closed_until": _closed_until(book, view.field, view.day),
        "levels": [*([] if visit else _levels_without_visit(book, view)), *map(_site_level, view.figures)],
    }


def _closed_until(book: FieldBook, field: Field, day: date) -> str | None:
    """Give until when nobody may enter a field as of a day: a local time, "unknown", or None."""
    shut = shut_on(book, field, day)
    if shut is None:
        return None
    return "unknown" if shut.until is None else book.local(shut.until).isoformat()


def _counts(sample: SampleRow | CheckRow, codes: Sequence[str]) -> dict[str, int | None]:
    return {code: sample.counts.get(code) for code in codes}


def _totals(sums: SampleRow, codes: Sequence[str]) -> dict[str, Any]:
    extras = {"extras": dict(sums.extras)} if sums.extras else {}
    return {"samples": sums.covers, "counts": _counts(sums, codes), **extras}


def _shares(rows: Sequence[ShareRow]) -> dict[str, dict[str, int]]:
    """Give each code's share of the whole site, or the sum over its stops where only stops were looked at."""
    shown: dict[str, dict[str, int]] = {}
    for code in dict.fromkeys(row.code for row in rows):
        of_code = [row for row in rows if row.code == code]
        taken = [row for row in of_code if row.sample is None] or of_code
        shown[code] = {"n": sum(row.n for row in taken), "of": sum(row.of for row in taken)}
    return shown


def _checks(rows: Sequence[CheckRow], codes: Sequence[str]) -> dict[str, dict[str, dict[str, int | None]]]:
    """Give each person's counts by sample number; lost ones have no counts to show."""
    shown: dict[str, dict[str, dict[str, int | None]]] = {}
    for row in rows:
        if not row.lost:
            shown.setdefault(row.person, {})[str(row.number)] = {**_counts(row, codes), **row.extras}
    return shown


def _site_level(one: SiteFigures) -> dict[str, Any]:
    stops = one.share is not None and bool(one.share.stops)
    between_stops = {"interval_between_stops": _ends(one.between_stops)} if stops else {}
    return {
        "id": one.level.id if one.level else None,
        "target" if one.share is None else "share": one.target,
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
        "close_call": one.close_call,
        "interval": _ends(one.interval),
        **between_stops,
    }


def _ends(one: Between | None) -> list[float] | None:
    return None if one is None else [one.low, one.high]


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
        "closed_until": _closed_until(book, view.field, day),
        "retention": {"n": view.squares.n, "of": view.squares.of} if view.squares else None,
        "sites": [site_json(book, site) for site in sites],
        "levels": [_field_level(one) for one in view.standing.figures]
        if view.round_id is not None
        else _field_levels_without_round(book, view, day),
        "treatments": treatments_json(book, view.field, day),
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
        "share" if one.is_share else "target": one.target,
        "method": one.method.value,
        "sites_in": one.sites_in,
        "sites": one.sites,
        "density": _float(one.density),
        "se": one.se,
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
