"""The tables. Counts are superseded, never overwritten: a row that no longer counts has `ended_at`.

Times are kept in UTC and come back with their zone; a time without one is refused. `person` columns
hold keys of the season file, `site` and `field` its numbers.
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

    `needs_person` is set where somebody should read it; `aside` marks senders that the season lacks.
    """

    __tablename__ = "inbox"
    __table_args__ = (
        sa.UniqueConstraint("gateway", "gateway_id"),
        sa.Index("ix_inbox_state_sender", "state", "sender", "id"),
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


class OutboxText(Table):
    """A text to go out. `key` makes it happen once and is the correlator that the gateway is given.

    It may leave from `due_at` on; a sender holds it until `claimed_until`. `cause` is the text in that
    caused it, None for the clock's own.
    """

    __tablename__ = "outbox"
    __table_args__ = (sa.Index("ix_outbox_state_due_at", "state", "due_at"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(unique=True)
    recipient: Mapped[str]
    person: Mapped[str | None]
    purpose: Mapped[str]
    body: Mapped[str]
    created_at: Mapped[datetime]
    due_at: Mapped[datetime]
    cause: Mapped[int | None] = mapped_column(sa.ForeignKey("inbox.id"))
    state: Mapped[str] = mapped_column(default=OutboxState.WAITING)
    claimed_until: Mapped[datetime | None]
    tries: Mapped[int] = mapped_column(default=0)
    fault: Mapped[str | None]
    left_at: Mapped[datetime | None]
    delivery: Mapped[str | None]
    delivery_at: Mapped[datetime | None]


class Round(Table):
    """One pass over all sites of a field with one plan, from its first sample on."""

    __tablename__ = "rounds"

    id: Mapped[int] = mapped_column(primary_key=True)
    field: Mapped[int] = mapped_column(index=True)
    first_day: Mapped[date]
    plan: Mapped[dict[str, Any]]
    levels: Mapped[list[Any]]

    visits: Mapped[list["Visit"]] = relationship(back_populates="round", order_by="Visit.id")


class VisitState(StrEnum):
    """What a person said of a visit; DONE is never said, it follows from the samples."""

    OPEN = "open"
    SHORT = "short"
    SKIPPED = "skipped"


class Visit(Table):
    """One site on one local day with one method, and the plan and level rows that it is made under.

    `stage` is the field's stage as `show` prints it, None where it was not known at the first sample. A
    visit skipped while no round was open has no round.
    """

    __tablename__ = "visits"
    __table_args__ = (sa.UniqueConstraint("site", "day"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    round_id: Mapped[int | None] = mapped_column(sa.ForeignKey("rounds.id"), index=True)
    site: Mapped[int]
    field: Mapped[int] = mapped_column(index=True)
    day: Mapped[date]
    plan: Mapped[dict[str, Any]]
    levels: Mapped[list[Any]]
    stage: Mapped[str | None]
    state: Mapped[str] = mapped_column(default=VisitState.OPEN)
    reason: Mapped[str | None]
    person: Mapped[str]
    begun_at: Mapped[datetime]

    round: Mapped[Round | None] = relationship(back_populates="visits")
    samples: Mapped[list["SampleRow"]] = relationship(back_populates="visit", order_by="SampleRow.id")


class SampleRow(Table):
    """One sample of a visit. `counts` is {code: count or null}, `effort` an exact fraction as text.

    A row with `ended_at` was replaced (`ended_by` is the text that did it) or taken back.
    """

    __tablename__ = "samples"
    __table_args__ = (
        sa.Index(
            "uq_samples_visit_id_number_standing",
            "visit_id",
            "number",
            unique=True,
            sqlite_where=sa.text("ended_at IS NULL"),
            postgresql_where=sa.text("ended_at IS NULL"),
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    visit_id: Mapped[int] = mapped_column(sa.ForeignKey("visits.id"), index=True)
    number: Mapped[int]
    form: Mapped[str]
    counts: Mapped[dict[str, Any]]
    extras: Mapped[dict[str, Any]]
    lost: Mapped[bool] = mapped_column(default=False)
    effort: Mapped[str]
    person: Mapped[str]
    assigned: Mapped[bool] = mapped_column(default=True)
    text_id: Mapped[int] = mapped_column(sa.ForeignKey("inbox.id"), index=True)
    counted_at: Mapped[datetime]
    replaces: Mapped[int | None] = mapped_column(sa.ForeignKey("samples.id"))
    ended_at: Mapped[datetime | None]
    ended_by: Mapped[int | None] = mapped_column(sa.ForeignKey("inbox.id"))

    visit: Mapped[Visit] = relationship(back_populates="samples")


class ShareRow(Table):
    """n of m looked at, at a site or field on a day. `asked` where it was confirmed after a question."""

    __tablename__ = "shares"

    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[int]
    field: Mapped[int] = mapped_column(index=True)
    day: Mapped[date]
    code: Mapped[str]
    n: Mapped[int]
    of: Mapped[int]
    asked: Mapped[bool] = mapped_column(default=False)
    person: Mapped[str]
    text_id: Mapped[int] = mapped_column(sa.ForeignKey("inbox.id"), index=True)
    counted_at: Mapped[datetime]
    replaces: Mapped[int | None] = mapped_column(sa.ForeignKey("shares.id"))
    ended_at: Mapped[datetime | None]
    ended_by: Mapped[int | None] = mapped_column(sa.ForeignKey("inbox.id"))


class StageText(Table):
    """A field's stage as somebody texted it, counted on from its day; a proposal is nobody's decision yet."""

    __tablename__ = "stage_texts"

    id: Mapped[int] = mapped_column(primary_key=True)
    field: Mapped[int] = mapped_column(index=True)
    day: Mapped[date]
    phase: Mapped[str]
    week: Mapped[int]
    proposal: Mapped[bool]
    person: Mapped[str]
    text_id: Mapped[int] = mapped_column(sa.ForeignKey("inbox.id"))
    said_at: Mapped[datetime]


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
    where it does not.
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
