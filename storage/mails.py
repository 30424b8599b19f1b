"""Mail out, as texts out: put down in a transaction, claimed with a lease, sent outside, settled."""

from dataclasses import dataclass
from datetime import datetime, timedelta

import sqlalchemy as sa
from sqlalchemy.orm import Session

from storage.leasing import Pace, hold_next, let_go, nobody_holds, put_off
from storage.programme_tables import MailRow
from storage.tables import OutboxState

MAIL = Pace(
    lease=timedelta(minutes=5),
    first_wait=timedelta(seconds=30),
    longest_wait=timedelta(minutes=30),
    most_doublings=6,
)
"""The lease is longer than a slow mail server may take over one mail: each of its answers is waited for."""


@dataclass(frozen=True, slots=True)
class MailDraft:
    """A mail to put down, with one body as plain text and as HTML. Its key makes it happen once.

    `name` and `recipient` are whom it goes to; after `leave_by` it is of no use any more.
    """

    key: str
    person: str
    name: str
    recipient: str
    language: str
    subject: str
    plain: str
    html: str
    leave_by: datetime


def put_mail(session: Session, mail: MailDraft, now: datetime) -> MailRow | None:
    """Put a mail down to go out at once; None where one with its key was put down before."""
    if mail_with_key(session, mail.key) is not None:
        return None
    row = MailRow(
        key=mail.key,
        person=mail.person,
        name=mail.name,
        recipient=mail.recipient,
        language=mail.language,
        subject=mail.subject,
        plain=mail.plain,
        html=mail.html,
        created_at=now,
        due_at=now,
        leave_by=mail.leave_by,
    )
    session.add(row)
    session.flush()
    return row


def claim_next_mail(session: Session, now: datetime) -> MailRow | None:
    """Take the next mail that may leave and hold it for one lease; those that are too late have failed."""
    session.execute(
        sa.update(MailRow)
        .where(nobody_holds(MailRow, MAIL, now), MailRow.leave_by <= now)
        .values(state=OutboxState.FAILED, claimed_until=None)
    )
    return hold_next(session, MailRow, MAIL, now)


def settle_mail_left(session: Session, mail_id: int, now: datetime) -> None:
    """Note that a mail has left."""
    let_go(session.get_one(MailRow, mail_id), now)


def settle_mail_failed(session: Session, mail_id: int, fault: str, now: datetime, *, again: bool) -> None:
    """Note that a mail did not leave; it waits longer each time, or has failed where it is not to go again."""
    put_off(session.get_one(MailRow, mail_id), fault, MAIL, now, again=again)


def mail_with_key(session: Session, key: str) -> MailRow | None:
    """Give the mail that was put down under a key."""
    return session.scalars(sa.select(MailRow).where(MailRow.key == key)).first()
