"""The tables of the day and the season: fields kept shut, OKs, sites handed over, temperatures, mail to go out."""

from datetime import date, datetime

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column, relationship

from storage.tables import Leased, OutboxText, Table


class ClosureRow(Table):
    """One reason to keep out of a field; it is never deleted.

    `cause` is a `Cause` of the rules, `since` the end of the application or when a sign was seen, `known_at` when
    the text came, `hours` of re-entry null while not known. `ended_at` and `ended_by` (a text) where something
    ended it before its hours. `over_told_at` when it was said that the hours are over.
    """

    __tablename__ = "closures"

    id: Mapped[int] = mapped_column(primary_key=True)
    field: Mapped[int] = mapped_column(index=True)
    cause: Mapped[str]
    since: Mapped[datetime]
    hours: Mapped[int | None]
    person: Mapped[str]
    text_id: Mapped[int] = mapped_column(sa.ForeignKey("inbox.id"), index=True)
    said: Mapped[str]
    known_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]
    ended_by: Mapped[int | None] = mapped_column(sa.ForeignKey("inbox.id"))
    over_told_at: Mapped[datetime | None]


class OkWanted(Table):
    """A text that somebody must say he read: keep-out, drift, the crew's. `about` names what, as `closure:7`.

    `outbox_id` is null where the text could not even be put down (no phone, opted out). `called_at` when leader
    and supervisors were told to call, as no OK had come.
    """

    __tablename__ = "oks_wanted"
    __table_args__ = (sa.UniqueConstraint("about", "person"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    about: Mapped[str] = mapped_column(index=True)
    field: Mapped[int | None]
    person: Mapped[str] = mapped_column(index=True)
    outbox_id: Mapped[int | None] = mapped_column(sa.ForeignKey("outbox.id"), index=True)
    wanted_at: Mapped[datetime]
    read_at: Mapped[datetime | None]
    called_at: Mapped[datetime | None]
    over_at: Mapped[datetime | None]

    outbox: Mapped[OutboxText | None] = relationship()


class HandOverRow(Table):
    """A site handed to a scout for its next visit; ended when that visit is over or it is handed on."""

    __tablename__ = "hand_overs"

    id: Mapped[int] = mapped_column(primary_key=True)
    site: Mapped[int] = mapped_column(index=True)
    person: Mapped[str]
    given_by: Mapped[str]
    text_id: Mapped[int] = mapped_column(sa.ForeignKey("inbox.id"), index=True)
    given_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]


class TemperatureRow(Table):
    """The high and low of a day in degrees F, exact numbers as text; a later row of a day replaces the earlier.

    `text_id` is null for a row that was loaded from a file.
    """

    __tablename__ = "temperatures"

    id: Mapped[int] = mapped_column(primary_key=True)
    day: Mapped[date] = mapped_column(index=True)
    high: Mapped[str]
    low: Mapped[str]
    person: Mapped[str | None]
    text_id: Mapped[int | None] = mapped_column(sa.ForeignKey("inbox.id"), index=True)
    noted_at: Mapped[datetime]


class MailRow(Leased, Table):
    """A mail to go out, as plain text and as HTML. `key` makes it happen once and gives its Message-ID.

    It may leave until `leave_by`: a digest that is a day old has a newer one behind it.
    """

    __tablename__ = "mails"
    __table_args__ = (sa.Index("ix_mails_state_due_at", "state", "due_at"),)

    key: Mapped[str] = mapped_column(unique=True)
    person: Mapped[str]
    name: Mapped[str]
    recipient: Mapped[str]
    language: Mapped[str]
    subject: Mapped[str]
    plain: Mapped[str]
    html: Mapped[str]
    leave_by: Mapped[datetime]
