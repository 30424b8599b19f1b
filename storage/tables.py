"""The tables of the service: texts in and out, seasons, questions, phones, crossings; and the root of them all.

Times are kept in UTC and come back with their zone; a time without one is refused. `person` columns
hold keys of the season file, `site` and `field` its numbers. What is counted in the field: `field_tables`.
"""

from datetime import UTC, date, datetime
from enum import StrEnum
from typing import Any, ClassVar

import sqlalchemy as sa
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, relationship
from sqlalchemy.types import TypeDecorator


class UtcTime(TypeDecorator[datetime]):
    """A time that never loses its zone: naive times are refused, UTC comes back."""

    impl = sa.DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: sa.Dialect) -> datetime | None:
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a time without its zone cannot be kept")
        kept = value.astimezone(UTC)
        return kept.replace(tzinfo=None) if dialect.name == "sqlite" else kept

    def process_result_value(self, value: datetime | None, dialect: sa.Dialect) -> datetime | None:
        del dialect
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


class Table(DeclarativeBase):
    """The common root of the tables; names of constraints are stable for migrations."""

    metadata = sa.MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map: ClassVar[dict[Any, Any]] = {
        datetime: UtcTime,
        dict[str, Any]: sa.JSON,
        list[Any]: sa.JSON,
        str: sa.Text,
    }


class InboxState(StrEnum):
    """How far a text is on its road."""

    UNREAD = "unread"
    READ = "read"
    PARKED = "parked"
    ASIDE = "aside"


class OutboxState(StrEnum):
    """How far an answer or a notice is."""

    WAITING = "waiting"
    LEFT = "left"
    FAILED = "failed"
    DROPPED = "dropped"


class SeasonVersion(Table):
    """A season file as it was loaded, with the text of its level book; the newest governs."""

    __tablename__ = "season_versions"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    season_text: Mapped[str]
    book_text: Mapped[str]
    loaded_at: Mapped[datetime]


class InboxText(Table):
    """A text as it came. `gateway_id` is the gateway's own name for it, unique per gateway.

    `needs_person` is set where somebody should read it; `aside` marks senders that the season lacks. `repeats`
    is an earlier text of the same phone with the same words, shortly before. `perhaps_cut` where it is as long
    as one full part of a longer text, from a gateway that does not join parts.
    """

    __tablename__ = "inbox"
    __table_args__ = (
        sa.UniqueConstraint("gateway", "gateway_id"),
        sa.Index("ix_inbox_state_sender", "state", "sender", "id"),
        sa.Index(None, "sender", "received_at"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    gateway: Mapped[str]
    gateway_id: Mapped[str]
    sender: Mapped[str]
    recipient: Mapped[str]
    body: Mapped[str]
    sent_at: Mapped[datetime | None]
    received_at: Mapped[datetime]
    state: Mapped[str] = mapped_column(default=InboxState.UNREAD)
    tries: Mapped[int] = mapped_column(default=0)
    fault: Mapped[str | None]
    read_at: Mapped[datetime | None]
    person: Mapped[str | None]
    understood: Mapped[str | None]
    needs_person: Mapped[bool] = mapped_column(default=False)
    repeats: Mapped[int | None] = mapped_column(sa.ForeignKey("inbox.id"))
    perhaps_cut: Mapped[bool] = mapped_column(default=False)


class Leased:
    """What goes out, and how far it is: it may leave from `due_at` on; a sender holds it until `claimed_until`.

    `state` is an `OutboxState`; `fault` names codes, never an address or what was said.
    """

    id: Mapped[int] = mapped_column(primary_key=True)
    created_at: Mapped[datetime]
    due_at: Mapped[datetime]
    state: Mapped[str] = mapped_column(default=OutboxState.WAITING)
    claimed_until: Mapped[datetime | None]
    tries: Mapped[int] = mapped_column(default=0)
    fault: Mapped[str | None]
    left_at: Mapped[datetime | None]


class OutboxText(Leased, Table):
    """A text to go out. `key` makes it happen once and is the correlator that the gateway is given.

    `cause` is the text in that caused it, None for the clock's own.
    """

    __tablename__ = "outbox"
    __table_args__ = (sa.Index("ix_outbox_state_due_at", "state", "due_at"),)

    key: Mapped[str] = mapped_column(unique=True)
    recipient: Mapped[str]
    person: Mapped[str | None]
    purpose: Mapped[str]
    body: Mapped[str]
    cause: Mapped[int | None] = mapped_column(sa.ForeignKey("inbox.id"))
    delivery: Mapped[str | None]
    delivery_at: Mapped[datetime | None]


class QuestionState(StrEnum):
    """What became of a question."""

    OPEN = "open"
    YES = "yes"
    NO = "no"
    DROPPED = "dropped"
    LAPSED = "lapsed"


class Question(Table):
    """What a phone was asked: everything that a 1 stores, fixed when it was asked. One is open per phone."""

    __tablename__ = "questions"
    __table_args__ = (
        sa.Index(
            "uq_questions_phone_open",
            "phone",
            unique=True,
            sqlite_where=sa.text("state = 'open'"),
            postgresql_where=sa.text("state = 'open'"),
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    phone: Mapped[str]
    person: Mapped[str]
    field: Mapped[int | None]
    kind: Mapped[str]
    waits: Mapped[dict[str, Any]]
    asked_at: Mapped[datetime]
    text_id: Mapped[int] = mapped_column(sa.ForeignKey("inbox.id"))
    state: Mapped[str] = mapped_column(default=QuestionState.OPEN)
    closed_at: Mapped[datetime | None]


class PhoneState(Table):
    """What a phone has chosen: its language, no more texts, or a pause while a person looks what was meant."""

    __tablename__ = "phones"

    phone: Mapped[str] = mapped_column(primary_key=True)
    language: Mapped[str | None]
    opted_out_at: Mapped[datetime | None]
    paused_at: Mapped[datetime | None]


class CrossingRow(Table):
    """A change of a field's final-or-certain standing for one target, numbered by its id.

    `figures` holds what was said of it (density, level …); `reasons` why it waits for a person, empty
    where it does not. A `late` one is of a round that was over already, and stands in the digest only.
    """

    __tablename__ = "crossings"
    __table_args__ = (sa.Index("ix_crossings_field_target", "field", "target", "id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    field: Mapped[int]
    target: Mapped[str]
    round_id: Mapped[int] = mapped_column(sa.ForeignKey("rounds.id"))
    kind: Mapped[str]
    standing: Mapped[str]
    figures: Mapped[dict[str, Any]]
    reasons: Mapped[list[Any]]
    crossed_at: Mapped[datetime]
    day: Mapped[date]
    text_id: Mapped[int | None] = mapped_column(sa.ForeignKey("inbox.id"))
    late: Mapped[bool] = mapped_column(default=False)

    alerts: Mapped[list["Alert"]] = relationship(back_populates="crossing", order_by="Alert.id")


class Alert(Table):
    """One person told of one crossing, by a text that may hold several."""

    __tablename__ = "alerts"
    __table_args__ = (sa.UniqueConstraint("crossing_id", "person"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    crossing_id: Mapped[int] = mapped_column(sa.ForeignKey("crossings.id"))
    person: Mapped[str] = mapped_column(index=True)
    outbox_id: Mapped[int] = mapped_column(sa.ForeignKey("outbox.id"))
    read_at: Mapped[datetime | None]
    withdrawn_at: Mapped[datetime | None]

    crossing: Mapped[CrossingRow] = relationship(back_populates="alerts")
    outbox: Mapped[OutboxText] = relationship()


class LedgerKey(Table):
    """Something that has happened and happens once. Keys outlive pruning."""

    __tablename__ = "ledger"

    key: Mapped[str] = mapped_column(primary_key=True)
    happened_at: Mapped[datetime]
