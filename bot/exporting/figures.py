"""The columns that a site's and a field's figures have in common: what stands, its density, its level."""

from typing import Any, Protocol

from bot.exporting.record import Record
from bot.exporting.table import Column, Kind
from bot.rules import FieldFigures, Judgement, Level, SiteFigures

TARGET, SHARE = "target", "share"

NO_LEVEL = "no level is wanted or known for the round"


class Stood(Protocol):
    """A row with one figure, of a target or of a share; None where there is no level to stand to."""

    @property
    def figures(self) -> SiteFigures | FieldFigures | None: ...

    @property
    def is_share(self) -> bool: ...


def what_stands(record: Record) -> tuple[Column[Any], ...]:
    """Give the columns of what stands, and of the level row that it stands to."""

    def name(one: Stood) -> str | None:
        if one.figures is None:
            return None
        known = (record.season.shares if one.is_share else record.season.targets).get(one.figures.target)
        return known.name if known is not None else None

    def level(one: Stood) -> Level | None:
        return one.figures.level if one.figures is not None else None

    no_row = "no row governs yet: the stage is not known"
    return (
        Column(
            "kind",
            Kind.WORD,
            "target or share",
            lambda one: (SHARE if one.is_share else TARGET) if one.figures else None,
            NO_LEVEL,
        ),
        Column(
            "key",
            Kind.TEXT,
            "key of the target or share",
            lambda one: one.figures.target if one.figures else None,
            NO_LEVEL,
        ),
        Column("name", Kind.TEXT, "its name", name, "the season no longer has it"),
        Column("level_id", Kind.TEXT, "row of the level book", lambda one: _id(level(one)), no_row),
        Column(
            "level_source",
            Kind.TEXT,
            "where the level was published",
            lambda one: _source(level(one)),
            no_row,
        ),
        Column(
            "level_year", Kind.NUMBER, "in which year", lambda one: _year(level(one)), f"{no_row}; or undated"
        ),
    )


def _id(level: Level | None) -> str | None:
    return level.id if level is not None else None


def _source(level: Level | None) -> str | None:
    return level.source if level is not None else None


def _year(level: Level | None) -> int | None:
    return level.year if level is not None else None


def density_found() -> tuple[Column[Any], ...]:
    return (
        Column(
            "density",
            Kind.NUMBER,
            "insects, or n of a share, for the effort in per_amount and per_unit",
            lambda one: one.figures.density if one.figures else None,
            "nothing counted",
            "per_amount per_unit",
        ),
        Column(
            "per_amount",
            Kind.NUMBER,
            "what density, marks, errors and intervals are for, as 5",
            lambda one: one.figures.per.amount if one.figures and one.figures.per else None,
            "nothing to stand",
            "per_unit",
        ),
        Column(
            "per_unit",
            Kind.WORD,
            "and its unit, as row ft",
            lambda one: one.figures.per.unit.value if one.figures and one.figures.per else None,
            "nothing to stand",
        ),
    )


def as_judged() -> tuple[Column[Any], ...]:
    def judged(one: Stood) -> Judgement | None:
        return one.figures.judged if one.figures is not None else None

    def mark(one: Stood, which: str) -> Any:
        found = judged(one)
        return getattr(found, which) if found is not None else None

    def needs(one: Stood) -> str | None:
        found = judged(one)
        return found.needs.value if found is not None and found.needs is not None else None

    def standing(one: Stood) -> str | None:
        return one.figures.standing.value if one.figures is not None else None

    per = "per_amount per_unit"
    return (
        Column(
            "low",
            Kind.NUMBER,
            "the level in force, its low end",
            lambda one: mark(one, "low"),
            "unknown",
            per,
        ),
        Column("high", Kind.NUMBER, "its high end", lambda one: mark(one, "high"), "unknown", per),
        Column("standing", Kind.WORD, "below, in range, above or unknown", standing, NO_LEVEL),
        Column(
            "needs", Kind.WORD, "what an unknown one needs: squares, stage or samples", needs, "it is known"
        ),
        Column(
            "certain",
            Kind.YES_NO,
            "whether what is still to come cannot change it",
            lambda one: one.figures.certain if one.figures else None,
            NO_LEVEL,
        ),
    )
