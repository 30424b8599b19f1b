"""texts_in.csv and texts_out.csv: what came, what went out, and what caused what."""

from bot.exporting.record import Record
from bot.exporting.table import Column, Kind, Table
from storage import InboxText, OutboxText

CODE = "code"
"""The purpose of texts with a code to sign in, whose words never leave."""


def texts_in_table(record: Record) -> Table[InboxText]:
    """Give every text that came."""
    phones: tuple[Column[InboxText], ...] = (
        Column("phone", Kind.TEXT, "the sender's number in E.164", lambda one: one.sender),
    )
    columns: tuple[Column[InboxText], ...] = (
        Column("text", Kind.NUMBER, "number of the text", lambda one: one.id),
        Column("received_at", Kind.TIME, "when it came", lambda one: one.received_at),
        Column(
            "sent_at",
            Kind.TIME,
            "when the gateway says that it was sent",
            lambda one: one.sent_at,
            "the gateway does not say",
        ),
        Column(
            "person",
            Kind.TEXT,
            "key of the sender",
            lambda one: one.person,
            "not read yet, or a phone that the season does not know",
        ),
        Column(
            "person_name",
            Kind.TEXT,
            "his or her name",
            lambda one: record.name(one.person),
            "as for person, or the season no longer has the person",
        ),
        *(phones if record.phones else ()),
        Column(
            "state",
            Kind.WORD,
            "unread; read; parked (reading it failed again and again); aside (a phone that the season lacks)",
            lambda one: one.state,
        ),
        Column(
            "kind",
            Kind.WORD,
            "as what it was understood: Counts, Fix, Undo …, or the problem that it was answered with",
            lambda one: one.understood,
            "not read yet, or not understood",
        ),
        Column("needs_person", Kind.YES_NO, "whether somebody should read it", lambda one: one.needs_person),
        Column(
            "repeats",
            Kind.NUMBER,
            "an earlier text of the phone with the same words",
            lambda one: one.repeats,
            "there was none shortly before",
        ),
        Column("words", Kind.TEXT, "the text", lambda one: record.words(one.body)),
    )
    about = "One row for every text that came, in the order in which they were kept."
    return Table("texts_in", about, columns, list(record.texts_in.values()))


def texts_out_table(record: Record) -> Table[OutboxText]:
    """Give every text put down to go out."""

    def caused_by(one: OutboxText) -> str | None:
        return record.texts_in[one.cause].person if one.cause is not None else None

    phones: tuple[Column[OutboxText], ...] = (
        Column("phone", Kind.TEXT, "the receiver's number in E.164", lambda one: one.recipient),
    )
    columns: tuple[Column[OutboxText], ...] = (
        Column("text", Kind.NUMBER, "number of the text", lambda one: one.id),
        Column(
            "person",
            Kind.TEXT,
            "key of whom it is to",
            lambda one: one.person,
            "a phone that the season lacks",
        ),
        Column(
            "person_name",
            Kind.TEXT,
            "his or her name",
            lambda one: record.name(one.person),
            "as for person, or the season no longer has the person",
        ),
        *(phones if record.phones else ()),
        Column("kind", Kind.WORD, "reply, alert, keepout, digest, notice or code", lambda one: one.purpose),
        Column(
            "caused_by_text",
            Kind.NUMBER,
            "the text that caused it, as in texts_in.csv",
            lambda one: one.cause,
            "the clock or the desk did",
        ),
        Column(
            "caused_by",
            Kind.TEXT,
            "key of that text's sender",
            caused_by,
            "as for caused_by_text, or a stranger",
        ),
        Column("created_at", Kind.TIME, "when it was put down", lambda one: one.created_at),
        Column("due_at", Kind.TIME, "from when on it might leave", lambda one: one.due_at),
        Column("left_at", Kind.TIME, "when it left", lambda one: one.left_at, "it has not left"),
        Column("state", Kind.WORD, "waiting, left, failed or dropped", lambda one: one.state),
        Column("delivery", Kind.TEXT, "what the gateway said of it", lambda one: one.delivery, "nothing yet"),
        Column(
            "delivery_at", Kind.TIME, "when the gateway said so", lambda one: one.delivery_at, "nothing yet"
        ),
        Column(
            "words",
            Kind.TEXT,
            "the text",
            lambda one: None if one.purpose == CODE else record.words(one.body),
            "it holds a code to sign in",
        ),
    )
    about = "One row for every text put down to go out, in the order in which they were put down."
    return Table("texts_out", about, columns, record.texts_out)
