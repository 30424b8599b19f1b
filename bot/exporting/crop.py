"""What was said of the crop and the sampling: shares, nodes above white flower, stages, efforts, remarks."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Protocol

from bot.exporting.record import Record
from bot.exporting.samples import REPLACED, STANDS, TAKEN_BACK
from bot.exporting.table import Column, Kind, Table
from storage import EffortRow, NawfRow, RemarkRow, ShareRow, StageText, every


class _Ending(Protocol):
    """A row that another may replace, or that may be taken back."""

    id: Any
    replaces: Any
    text_id: Any
    ended_at: Any
    ended_by: Any


STATUS = "stands; replaced; taken back (undone, or moved to another site)"


def _status(row: _Ending, others: Sequence[_Ending]) -> str:
    if row.ended_at is None:
        return STANDS
    after = any(one.replaces == row.id or one.text_id == row.ended_by for one in others if one is not row)
    return REPLACED if after else TAKEN_BACK


def shares_table(record: Record) -> Table[ShareRow]:
    """Give every share that was sent."""
    of_place: dict[tuple[int, Any, str], list[ShareRow]] = {}
    for row in record.shares:
        of_place.setdefault((row.number, row.day, row.code), []).append(row)

    def status(one: ShareRow) -> str:
        return _status(one, of_place[one.number, one.day, one.code])

    def known(one: ShareRow, what: str) -> str | None:
        share = record.season.share(one.code)
        return getattr(share, what) if share is not None else None

    gone = "a code that the season no longer has"
    columns: tuple[Column[ShareRow], ...] = (
        Column("share", Kind.NUMBER, "number of the row", lambda one: one.id),
        Column(
            "number", Kind.NUMBER, "the site, or the field where it was sent for one", lambda one: one.number
        ),
        Column("field", Kind.NUMBER, "the field's number", lambda one: one.field),
        Column("day", Kind.DAY, "the local day", lambda one: one.day),
        Column("code", Kind.WORD, "the share's code, as texted", lambda one: one.code),
        Column("key", Kind.TEXT, "key of the share", lambda one: known(one, "key"), gone),
        Column("name", Kind.TEXT, "what it is a share of", lambda one: known(one, "name"), gone),
        Column(
            "stop",
            Kind.NUMBER,
            "the sample's number at which it was looked at",
            lambda one: one.sample,
            "it is of the whole site or field",
        ),
        Column("n", Kind.NUMBER, "how many of those looked at", lambda one: one.n, unit="of what `of` says"),
        Column("m", Kind.NUMBER, "how many were looked at", lambda one: one.of, unit="of what `of` says"),
        Column(
            "said", Kind.TEXT, "what n counts: hurt, dirty, still on …", lambda one: known(one, "said"), gone
        ),
        Column("of", Kind.TEXT, "what m counts: bolls, squares …", lambda one: known(one, "of"), gone),
        Column("asked", Kind.YES_NO, "whether it was asked and confirmed", lambda one: one.asked),
        *_who(record),
        Column("counted_at", Kind.TIME, "when the person sent it", lambda one: one.counted_at),
        Column("status", Kind.WORD, STATUS, status),
        Column(
            "ended_at", Kind.TIME, "when it stopped counting", lambda one: one.ended_at, "it still stands"
        ),
        Column(
            "ended_by_text",
            Kind.NUMBER,
            "the text that ended it",
            lambda one: one.ended_by,
            "it still stands",
        ),
    )
    about = "One row for every share (n of m looked at) of a site, field or stop. By day, number, row."
    return Table("shares", about, columns, record.shares)


@dataclass(frozen=True, slots=True)
class _Plant:
    row: NawfRow
    number: int
    nodes: Fraction
    status: str

    @property
    def person(self) -> str:
        return self.row.person

    @property
    def text_id(self) -> int:
        return self.row.text_id


def nawf_table(record: Record) -> Table[_Plant]:
    """Give every plant whose nodes above white flower were counted."""
    found = every(record.book.session, NawfRow)
    rows = sorted(found, key=lambda row: (row.day, row.number, row.id))
    of_place: dict[tuple[int, Any], list[NawfRow]] = {}
    for row in rows:
        of_place.setdefault((row.number, row.day), []).append(row)
    plants = [
        _Plant(row, place, Fraction(nodes), _status(row, of_place[row.number, row.day]))
        for row in rows
        for place, nodes in enumerate(row.plants, start=1)
    ]
    columns: tuple[Column[_Plant], ...] = (
        Column("nawf", Kind.NUMBER, "number of the row that the plants came in", lambda one: one.row.id),
        Column("number", Kind.NUMBER, "the site or field", lambda one: one.row.number),
        Column("field", Kind.NUMBER, "the field's number", lambda one: one.row.field),
        Column("day", Kind.DAY, "the local day", lambda one: one.row.day),
        Column("plant", Kind.NUMBER, "place of the plant in the text, from 1", lambda one: one.number),
        Column("nodes", Kind.NUMBER, "nodes above white flower", lambda one: one.nodes, unit="nodes"),
        *_who(record),
        Column("counted_at", Kind.TIME, "when the person sent it", lambda one: one.row.counted_at),
        Column("status", Kind.WORD, STATUS, lambda one: one.status),
        Column("ended_at", Kind.TIME, "when it stopped counting", lambda one: one.row.ended_at, "it stands"),
        Column(
            "ended_by_text", Kind.NUMBER, "the text that ended it", lambda one: one.row.ended_by, "it stands"
        ),
    )
    about = "One row for every plant. By day, number, row, plant."
    return Table("nawf", about, columns, plants)


def remarks_table(record: Record) -> Table[RemarkRow]:
    """Give every note and what was said of wet plants or wind."""
    found = every(record.book.session, RemarkRow)
    rows = sorted(found, key=lambda row: (row.day, row.number, row.id))
    columns: tuple[Column[RemarkRow], ...] = (
        Column("remark", Kind.NUMBER, "number of the row", lambda one: one.id),
        Column("number", Kind.NUMBER, "the site or field", lambda one: one.number),
        Column("field", Kind.NUMBER, "the field's number", lambda one: one.field),
        Column("day", Kind.DAY, "the local day", lambda one: one.day),
        Column("about", Kind.WORD, "note, wet or wind", lambda one: one.about),
        Column("words", Kind.TEXT, "as texted", lambda one: record.words(one.words), "no words came with it"),
        *_who(record),
        Column("said_at", Kind.TIME, "when the person sent it", lambda one: one.said_at),
    )
    return Table("remarks", "One row for every remark. By day, number, row.", columns, rows)


def stages_table(record: Record) -> Table[StageText]:
    """Give every stage that was texted; those of the season file's dates are not among them."""
    found = every(record.book.session, StageText)
    rows = sorted(found, key=lambda row: (row.day, row.field, row.id))
    columns: tuple[Column[StageText], ...] = (
        Column("stage_text", Kind.NUMBER, "number of the row", lambda one: one.id),
        Column("field", Kind.NUMBER, "the field's number", lambda one: one.field),
        Column("day", Kind.DAY, "the local day that the stage is of", lambda one: one.day),
        Column("phase", Kind.WORD, "presquare, squaring, bloom or cutout", lambda one: one.phase),
        Column("week", Kind.NUMBER, "the week of the phase on that day", lambda one: one.week, unit="weeks"),
        Column("proposal", Kind.YES_NO, "whether it is nobody's decision yet", lambda one: one.proposal),
        *_who(record),
        Column("said_at", Kind.TIME, "when the person sent it", lambda one: one.said_at),
    )
    about = (
        "One row for every stage that was texted; dates of the season file stand there. By day, field, row."
    )
    return Table("stages", about, columns, rows)


def efforts_table(record: Record) -> Table[EffortRow]:
    """Give every other effort of one sample that was texted for a site and day."""
    found = every(record.book.session, EffortRow)
    rows = sorted(found, key=lambda row: (row.day, row.site, row.id))
    columns: tuple[Column[EffortRow], ...] = (
        Column("effort", Kind.NUMBER, "number of the row", lambda one: one.id),
        Column("site", Kind.NUMBER, "the site's number", lambda one: one.site),
        Column("field", Kind.NUMBER, "the field's number", lambda one: one.field),
        Column("day", Kind.DAY, "the local day", lambda one: one.day),
        Column(
            "amount",
            Kind.NUMBER,
            "effort of one sample, for those sent after it that day",
            lambda one: Fraction(one.amount),
            unit="that of the visit's plan",
        ),
        *_who(record),
        Column("said_at", Kind.TIME, "when the person sent it", lambda one: one.said_at),
    )
    about = "One row for every effort that was texted; samples.csv has it in its effort. By day, site, row."
    return Table("efforts", about, columns, rows)


def _who(record: Record) -> tuple[Column[Any], ...]:
    """Give the columns of who sent something, and with which text."""
    return (
        Column("person", Kind.TEXT, "key of whose it is", lambda one: one.person),
        Column(
            "person_name",
            Kind.TEXT,
            "his or her name",
            lambda one: record.name(one.person),
            "the season no longer has the person",
        ),
        Column("text", Kind.NUMBER, "the text it came with, as in texts_in.csv", lambda one: one.text_id),
    )
