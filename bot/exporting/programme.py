"""The rest of the programme's days: fields kept shut, OKs waited for, sites handed over, temperatures."""

from datetime import timedelta
from fractions import Fraction

from bot.exporting.record import Record
from bot.exporting.table import Column, Kind, Table
from storage import ClosureRow, HandOverRow, OkWanted, TemperatureRow, every

GONE = "the season no longer has the person"


def closures_table(record: Record) -> Table[ClosureRow]:
    """Give every closure of a field."""
    columns: tuple[Column[ClosureRow], ...] = (
        Column("closure", Kind.NUMBER, "number of the closure", lambda one: one.id),
        Column("field", Kind.NUMBER, "the field's number", lambda one: one.field),
        Column(
            "cause",
            Kind.WORD,
            "sprayed; spraying (seen while it went on); sign; words (that may mean a treated field)",
            lambda one: one.cause,
        ),
        Column(
            "since", Kind.TIME, "end of the application, or when it was seen or said", lambda one: one.since
        ),
        Column("known_at", Kind.TIME, "when the text came", lambda one: one.known_at),
        Column(
            "hours", Kind.NUMBER, "hours of re-entry as texted", lambda one: one.hours, "not known", "hours"
        ),
        Column(
            "until",
            Kind.TIME,
            "when those hours are over",
            lambda one: one.since + timedelta(hours=one.hours) if one.hours is not None else None,
            "not known",
        ),
        Column("person", Kind.TEXT, "key of who said it", lambda one: one.person),
        Column("person_name", Kind.TEXT, "his or her name", lambda one: record.name(one.person), GONE),
        Column("text", Kind.NUMBER, "the text it came with, as in texts_in.csv", lambda one: one.text_id),
        Column("words", Kind.TEXT, "as texted", lambda one: record.words(one.said)),
        Column(
            "ended_at",
            Kind.TIME,
            "when something ended it before its hours",
            lambda one: one.ended_at,
            "nothing did",
        ),
        Column(
            "ended_by_text",
            Kind.NUMBER,
            "the text that ended it",
            lambda one: one.ended_by,
            "no text ended it",
        ),
        Column(
            "over_told_at",
            Kind.TIME,
            "when it was said that the hours are over",
            lambda one: one.over_told_at,
            "not said",
        ),
    )
    about = "One row for every reason to keep out of a field, in the order in which they came."
    return Table("closures", about, columns, every(record.book.session, ClosureRow))


def oks_table(record: Record) -> Table[OkWanted]:
    """Give every OK that was waited for."""
    columns: tuple[Column[OkWanted], ...] = (
        Column("ok", Kind.NUMBER, "number of the row", lambda one: one.id),
        Column("about", Kind.TEXT, "what it is about, as closure:7", lambda one: one.about),
        Column("field", Kind.NUMBER, "the field's number", lambda one: one.field, "it is about no field"),
        Column("person", Kind.TEXT, "key of whose OK was waited for", lambda one: one.person),
        Column("person_name", Kind.TEXT, "his or her name", lambda one: record.name(one.person), GONE),
        Column(
            "text",
            Kind.NUMBER,
            "the text that asked for it, as in texts_out.csv",
            lambda one: one.outbox_id,
            "none could be put down",
        ),
        Column("wanted_at", Kind.TIME, "since when", lambda one: one.wanted_at),
        Column("read_at", Kind.TIME, "when the OK came", lambda one: one.read_at, "it has not come"),
        Column(
            "called_at",
            Kind.TIME,
            "when others were told to call",
            lambda one: one.called_at,
            "nobody was told to call",
        ),
        Column(
            "over_at", Kind.TIME, "when it was wanted no more", lambda one: one.over_at, "it is wanted still"
        ),
    )
    about = "One row for every OK waited for from somebody, in the order in which they were asked for."
    return Table("oks", about, columns, every(record.book.session, OkWanted))


def hand_overs_table(record: Record) -> Table[HandOverRow]:
    """Give every site handed over."""
    columns: tuple[Column[HandOverRow], ...] = (
        Column("hand_over", Kind.NUMBER, "number of the row", lambda one: one.id),
        Column("site", Kind.NUMBER, "the site's number", lambda one: one.site),
        Column("person", Kind.TEXT, "key of who takes it over", lambda one: one.person),
        Column("person_name", Kind.TEXT, "his or her name", lambda one: record.name(one.person), GONE),
        Column("given_by", Kind.TEXT, "key of who handed it over", lambda one: one.given_by),
        Column("text", Kind.NUMBER, "the text it came with, as in texts_in.csv", lambda one: one.text_id),
        Column("given_at", Kind.TIME, "when", lambda one: one.given_at),
        Column("ended_at", Kind.TIME, "when it was over", lambda one: one.ended_at, "it holds still"),
    )
    about = "One row for every site handed to somebody for its next visit, in the order in which they were."
    return Table("hand_overs", about, columns, every(record.book.session, HandOverRow))


def temperatures_table(record: Record) -> Table[TemperatureRow]:
    """Give every day's temperatures, later ones of a day after those that they replace."""
    found = every(record.book.session, TemperatureRow)
    columns: tuple[Column[TemperatureRow], ...] = (
        Column("temperature", Kind.NUMBER, "number of the row", lambda one: one.id),
        Column("day", Kind.DAY, "the day", lambda one: one.day),
        Column("high", Kind.NUMBER, "the day's high", lambda one: Fraction(one.high), unit="degrees F"),
        Column("low", Kind.NUMBER, "the day's low", lambda one: Fraction(one.low), unit="degrees F"),
        Column("person", Kind.TEXT, "key of who sent it", lambda one: one.person, "from a file"),
        Column("text", Kind.NUMBER, "the text it came with", lambda one: one.text_id, "from a file"),
        Column("noted_at", Kind.TIME, "when it was noted", lambda one: one.noted_at),
    )
    about = "One row for every high and low; of a day's rows the last holds. By day, then row."
    rows = sorted(found, key=lambda row: (row.day, row.id))
    return Table("temperatures", about, columns, rows)
