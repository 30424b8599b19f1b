"""fields.csv: where every round of a field stood to its levels."""

from dataclasses import dataclass

from bot.exporting.figures import NO_LEVEL, as_judged, density_found, what_stands
from bot.exporting.record import Record
from bot.exporting.table import Column, Kind, Table
from bot.field_book import FieldView
from bot.rules import FieldFigures
from storage import Round, holds_something


@dataclass(frozen=True, slots=True)
class InRound:
    """One figure of a field's round; None where the round has no level to stand to."""

    round: Round
    view: FieldView
    figures: FieldFigures | None

    @property
    def is_share(self) -> bool:
        return self.figures is not None and self.figures.is_share


def fields_table(record: Record) -> Table[InRound]:
    """Give every figure of every field's rounds."""
    book = record.book
    rows: list[InRound] = []
    for one in record.rounds:
        field = book.season.fields.get(one.field)
        if field is None or not any(holds_something(visit) for visit in one.visits):
            continue
        view = book.round_view(field, one)
        figures: tuple[FieldFigures | None, ...] = view.standing.figures or (None,)
        rows += [InRound(one, view, figure) for figure in figures]
    columns: tuple[Column[InRound], ...] = (
        Column("field", Kind.NUMBER, "the field's number", lambda one: one.view.field.number),
        Column("field_name", Kind.TEXT, "the field's name", lambda one: one.view.field.name),
        Column("round", Kind.NUMBER, "number of the round", lambda one: one.round.id),
        Column("first_day", Kind.DAY, "day of its first sample", lambda one: one.round.first_day),
        Column(
            "last_day",
            Kind.DAY,
            "day of its last visit",
            lambda one: one.view.last_day,
            "the round is not over",
        ),
        Column(
            "state",
            Kind.WORD,
            "so far; certain (what is still to come cannot change it); final (every site finished or skipped)",
            lambda one: one.view.standing.state.value,
        ),
        *what_stands(record),
        Column(
            "method",
            Kind.WORD,
            "how it was sampled",
            lambda one: one.figures.method.value if one.figures else None,
            NO_LEVEL,
        ),
        Column(
            "sites_in",
            Kind.NUMBER,
            "sites in the mean",
            lambda one: one.figures.sites_in if one.figures else None,
            NO_LEVEL,
        ),
        Column("sites", Kind.NUMBER, "sites of the field", lambda one: len(one.view.field.sites)),
        *density_found(),
        Column(
            "se",
            Kind.NUMBER,
            "standard error of the density between sites",
            lambda one: one.figures.se if one.figures else None,
            "fewer than two sites",
            "per_amount per_unit",
        ),
        *as_judged(),
        Column(
            "above_alone",
            Kind.WORD,
            "sites that are above by themselves, with blanks between",
            lambda one: _numbers(one.figures.above_alone) if one.figures else None,
            "none",
        ),
        Column(
            "left_out",
            Kind.WORD,
            "sites left out of the mean (skipped, or cut too short), with blanks between",
            lambda one: _numbers(one.view.standing.left_out),
            "none",
        ),
        Column(
            "squares_n",
            Kind.NUMBER,
            "squares still on the plant that the levels went by",
            lambda one: one.view.squares.n if one.view.squares else None,
            "none looked at",
            "squares",
        ),
        Column(
            "squares_of",
            Kind.NUMBER,
            "squares looked at",
            lambda one: one.view.squares.of if one.view.squares else None,
            "none looked at",
            "squares",
        ),
    )
    about = (
        "One row for every round of a field and target or share that has a level, at the mean of the field's sites: "
        "as it stood at the moment of this record. By field, round, then in card order."
    )
    return Table("fields", about, columns, rows)


def _numbers(sites: tuple[int, ...]) -> str | None:
    return " ".join(map(str, sites)) or None
