"""treatments.csv: what was counted before and after every treatment of a field, by target."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from bot.exporting.record import Record
from bot.exporting.table import Cell, Column, Kind, Table
from bot.field_book import Treated, treatments
from bot.rules import Effect, Field, Finding, NoCheck, Seen

NOTHING = "nothing finished after it, or nothing compared"
NO_PERCENT = "nothing to set it against"
NO_CHECK = "no untreated check, or it is left out"


@dataclass(frozen=True, slots=True)
class OfTarget:
    """A target after a treatment; None where nothing is finished after it."""

    field: Field
    treated: Treated
    effect: Effect | None


def treatments_table(record: Record) -> Table[OfTarget]:
    """Give every treatment of the fields that the season has, by target."""
    book = record.book
    # a clock that was set back takes nothing out of the record
    last = max([book.today, *(visit.day for visit in record.visits)])
    rows = [
        OfTarget(field, one, effect)
        for field in book.season.fields.values()
        for one in treatments(book, field, last)
        for effect in one.effects or (None,)
    ]
    columns: tuple[Column[OfTarget], ...] = (
        Column("field", Kind.NUMBER, "the field's number", lambda one: one.field.number),
        Column(
            "closure",
            Kind.NUMBER,
            "the newest closure that tells of it, as in closures.csv",
            lambda one: one.treated.application.closure.id,
        ),
        Column(
            "began",
            Kind.TIME,
            "from when on it may have been made",
            lambda one: one.treated.application.began,
        ),
        Column("over", Kind.TIME, "when it was over", lambda one: one.treated.application.over),
        Column(
            "recheck",
            Kind.WORD,
            "none (nothing finished after it); so far; final",
            lambda one: one.treated.recheck.value,
        ),
        Column("target", Kind.TEXT, "key of the target", _of(lambda one: one.target), NOTHING),
        Column(
            "level_id",
            Kind.TEXT,
            "the level row that it is counted by",
            _of(lambda one: one.level.id),
            NOTHING,
        ),
        Column(
            "per_amount", Kind.NUMBER, "what a density is per", _of(lambda one: one.level.per.amount), NOTHING
        ),
        Column("per_unit", Kind.WORD, "its unit", _of(lambda one: one.level.per.unit.value), NOTHING),
        *_seen("before", "before it", lambda one: one.before),
        *_seen("after", "after it", lambda one: one.after),
        *_seen("check_before", "in the untreated check before it", lambda one: one.check_before, NO_CHECK),
        *_seen("check_after", "in the untreated check after it", lambda one: one.check_after, NO_CHECK),
        Column(
            "untreated_check",
            Kind.NUMBER,
            "the field that the season names as its untreated check",
            lambda one: one.treated.check,
            "none is named",
        ),
        Column(
            "check_left_out",
            Kind.WORD,
            "why the check is left out: " + "; ".join(why.value for why in NoCheck),
            _of(lambda one: one.no_check.value if one.no_check else None),
            "it is not",
        ),
        Column(
            "by",
            Kind.WORD,
            "Henderson-Tilton, Abbott, or before/after (which also holds what would have changed in any case)",
            _of(lambda one: one.way.value if one.way else None),
            NO_PERCENT,
        ),
        Column(
            "percent",
            Kind.NUMBER,
            "by how much there are fewer, under 0 where there are more",
            _of(lambda one: one.fewer.percent if one.fewer else None),
            NO_PERCENT,
            "percent",
        ),
        Column(
            "percent_low",
            Kind.NUMBER,
            "its 80 % interval by the samples, low end",
            _of(lambda one: one.fewer.low if one.fewer else None),
            "no interval, or no low end",
            "percent",
        ),
        Column(
            "percent_high",
            Kind.NUMBER,
            "its high end",
            _of(lambda one: one.fewer.high if one.fewer else None),
            "no interval",
            "percent",
        ),
        Column(
            "before_after_percent",
            Kind.NUMBER,
            "the same by before and after alone",
            _of(lambda one: one.plain.percent if one.plain else None),
            NO_PERCENT,
            "percent",
        ),
        Column(
            "finding",
            Kind.WORD,
            "what the counts bear out: " + "; ".join(finding.value for finding in Finding),
            _of(lambda one: one.finding.value),
            NOTHING,
        ),
    )
    about = (
        "One row for every treatment of a field and target that has a level, by the counts as they stood at the moment "
        "of this record; they say nothing about entering the field. By field, then treatment, then in card order."
    )
    return Table("treatments", about, columns, rows)


def _of(give: Callable[[Effect], Cell]) -> Callable[[OfTarget], Cell]:
    return lambda one: give(one.effect) if one.effect is not None else None


def _seen(
    which: str, meaning: str, give: Callable[[Effect], Seen | None], empty: str = NOTHING
) -> tuple[Column[Any], ...]:
    def of(what: Callable[[Seen], Cell]) -> Callable[[OfTarget], Cell]:
        return _of(lambda one: what(seen) if (seen := give(one)) is not None else None)

    return (
        Column(
            which,
            Kind.NUMBER,
            f"density {meaning}, the mean of the sites counted both times",
            of(lambda seen: seen.density),
            empty,
            "per_amount per_unit",
        ),
        Column(f"{which}_sites", Kind.NUMBER, "sites in it", of(lambda seen: len(seen.sites)), empty),
        Column(f"{which}_day", Kind.DAY, "its last day", of(lambda seen: seen.last), empty),
    )
