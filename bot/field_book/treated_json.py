"""A field's treatments as JSON: what `rowfoot show --json` prints under `treatments`, oldest first.

| key | what |
|---|---|
| `began`, `over` | between which times it was made, as far as texts tell; `over` is when the hours began to run |
| `hours` | of re-entry; null while not known |
| `recheck_days` | first and last day of the recheck; null while the hours are not known |
| `recheck` | none (nothing finished yet), so far, final |
| `untreated_check` | the field that the season names; null where it names none |
| `targets` | one for each target with a level, in the order of the card |

| key of a target | what |
|---|---|
| `id`, `target`, `method`, `per` | the level row that it is counted by |
| `before`, `after`, `check_before`, `check_after` | each null or {density, sites, samples, days} |
| `by` | Henderson-Tilton, Abbott or before/after; null where there is no percent |
| `percent` | fewer by so much, under 0: more; null where there is nothing to set it against |
| `interval` | its ends at 80 %; the lower null where it has none; all null where samples give no interval |
| `before_after` | the plain percent, whatever `by` says |
| `finding` | fewer, more, no difference; none before, not counted before, no interval, other method, too few sites |
| `check_left_out` | shut then, not counted then, other method, none there; null |
"""

from datetime import date
from typing import Any

from bot.field_book.book import FieldBook
from bot.field_book.treatments import Treated, treatments
from bot.rules import Effect, Field, Seen


def treatments_json(book: FieldBook, field: Field, day: date) -> list[dict[str, Any]]:
    """Give the treatments of a field as of a day, with what was counted before and after each."""
    return [_treated(book, one) for one in treatments(book, field, day)]


def _treated(book: FieldBook, one: Treated) -> dict[str, Any]:
    return {
        "began": book.local(one.application.began).isoformat(),
        "over": book.local(one.application.over).isoformat(),
        "hours": one.application.closure.hours,
        "recheck_days": [day.isoformat() for day in one.days] if one.days else None,
        "recheck": one.recheck.value,
        "untreated_check": one.check,
        "targets": [_effect(effect) for effect in one.effects],
    }


def _effect(one: Effect) -> dict[str, Any]:
    fewer, per = one.fewer, one.level.per
    return {
        "id": one.level.id,
        "target": one.target,
        "method": one.level.method.value if one.level.method else None,
        "per": f"{float(per.amount):g} {per.unit.value}",
        "before": _seen(one.before),
        "after": _seen(one.after),
        "check_before": _seen(one.check_before),
        "check_after": _seen(one.check_after),
        "by": one.way.value if one.way else None,
        "percent": fewer.percent if fewer else None,
        "interval": [fewer.low, fewer.high] if fewer and fewer.has_interval else None,
        "before_after": one.plain.percent if one.plain else None,
        "finding": one.finding.value,
        "check_left_out": one.no_check.value if one.no_check else None,
    }


def _seen(one: Seen | None) -> dict[str, Any] | None:
    if one is None:
        return None
    return {
        "density": float(one.density),
        "sites": list(one.sites),
        "samples": one.samples,
        "days": [one.first.isoformat(), one.last.isoformat()],
    }
