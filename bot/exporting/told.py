"""crossings.csv and alerts.csv: when a field's standing changed, and who was told of it."""

from collections.abc import Mapping
from typing import Any

from bot.exporting.record import Record
from bot.exporting.table import Column, Kind, Table
from storage import Alert, CrossingRow, every


def crossings_table(record: Record) -> Table[CrossingRow]:
    """Give every crossing."""
    season = record.season

    def name(one: CrossingRow) -> str | None:
        known = season.targets.get(one.target) or season.shares.get(one.target)
        return known.name if known is not None else None

    def said(one: CrossingRow, what: str) -> Any:
        return one.figures.get(what)

    def reasons(one: CrossingRow) -> str | None:
        return record.words("; ".join(_reason(reason) for reason in one.reasons)) or None

    late = "a late change, or nothing was left"
    columns: tuple[Column[CrossingRow], ...] = (
        Column("crossing", Kind.NUMBER, "number of the crossing", lambda one: one.id),
        Column("field", Kind.NUMBER, "the field's number", lambda one: one.field),
        Column("round", Kind.NUMBER, "the round, as in fields.csv", lambda one: one.round_id),
        Column("key", Kind.TEXT, "key of the target or share", lambda one: one.target),
        Column("name", Kind.TEXT, "its name", name, "the season no longer has it"),
        Column("day", Kind.DAY, "day of the round's newest visit then", lambda one: one.day),
        Column(
            "kind",
            Kind.WORD,
            "above; still above; in range; back below; withdrawn (a correction took a standing away); "
            "quiet (noted, told to nobody)",
            lambda one: one.kind,
        ),
        Column(
            "standing",
            Kind.WORD,
            "below, in range or above; open where none was left",
            lambda one: one.standing,
        ),
        Column(
            "density",
            Kind.TEXT,
            "the density as it was said, rounded",
            lambda one: said(one, "density"),
            late,
        ),
        Column("level", Kind.TEXT, "the level as it was said", lambda one: said(one, "level") or None, late),
        Column("level_id", Kind.TEXT, "row of the level book", lambda one: said(one, "level_id"), late),
        Column("ratio", Kind.NUMBER, "density over level", lambda one: said(one, "ratio"), "not to be given"),
        Column("sites_in", Kind.NUMBER, "sites in the mean then", lambda one: said(one, "sites_in"), late),
        Column("sites", Kind.NUMBER, "sites of the field then", lambda one: said(one, "sites"), late),
        Column(
            "before",
            Kind.WORD,
            "the standing that a late change took away",
            lambda one: said(one, "before"),
            "no late change",
        ),
        Column("waits_for", Kind.TEXT, "why its alert waits for a person", reasons, "it does not wait"),
        Column(
            "late",
            Kind.YES_NO,
            "whether its round was over already: in the evening's account, told to nobody else",
            lambda one: one.late,
        ),
        Column("crossed_at", Kind.TIME, "when", lambda one: one.crossed_at),
        Column(
            "text",
            Kind.NUMBER,
            "the text that caused it",
            lambda one: one.text_id,
            "the clock or the desk did",
        ),
    )
    about = (
        "One row for every change of a field's final or certain standing, in the order in which they came."
    )
    return Table("crossings", about, columns, every(record.book.session, CrossingRow))


def _reason(reason: Mapping[str, Any]) -> str:
    more = ", ".join(str(value) for key, value in reason.items() if key != "reason")
    return f"{reason['reason']} ({more})" if more else str(reason["reason"])


def alerts_table(record: Record) -> Table[Alert]:
    """Give everybody told of every crossing."""
    columns: tuple[Column[Alert], ...] = (
        Column("alert", Kind.NUMBER, "number of the row", lambda one: one.id),
        Column("crossing", Kind.NUMBER, "the crossing, as in crossings.csv", lambda one: one.crossing_id),
        Column("field", Kind.NUMBER, "the field's number", lambda one: one.crossing.field),
        Column("key", Kind.TEXT, "key of the target or share", lambda one: one.crossing.target),
        Column("person", Kind.TEXT, "key of who was told", lambda one: one.person),
        Column(
            "person_name",
            Kind.TEXT,
            "his or her name",
            lambda one: record.name(one.person),
            "the season no longer has the person",
        ),
        Column("text", Kind.NUMBER, "the text that told it, as in texts_out.csv", lambda one: one.outbox_id),
        Column("due_at", Kind.TIME, "from when on it might leave", lambda one: one.outbox.due_at),
        Column("left_at", Kind.TIME, "when it left", lambda one: one.outbox.left_at, "it has not left"),
        Column("state", Kind.WORD, "waiting, left, failed or dropped", lambda one: one.outbox.state),
        Column(
            "delivery",
            Kind.TEXT,
            "what the gateway said of it",
            lambda one: one.outbox.delivery,
            "nothing yet",
        ),
        Column("read_at", Kind.TIME, "when the person answered OK", lambda one: one.read_at, "not answered"),
        Column(
            "withdrawn_at",
            Kind.TIME,
            "when a correction took it back",
            lambda one: one.withdrawn_at,
            "it was not taken back",
        ),
    )
    about = "One row for every person told of a crossing, in the order in which they were told."
    return Table("alerts", about, columns, every(record.book.session, Alert))
