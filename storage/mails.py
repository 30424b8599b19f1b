"""Mail out, as texts out: put down in a transaction, claimed with a lease, sent outside, settled."""

from dataclasses import dataclass
from datetime import datetime, timedelta

import sqlalchemy as sa
from sqlalchemy.orm import Session

from storage.programme_tables import MailRow
from storage.tables import OutboxState

MAIL_LEASE = timedelta(minutes=5)
"""Longer than a slow mail server may take over one mail: each of its answers is waited for."""
FIRST_MAIL_WAIT = timedelta(seconds=30)
LONGEST_MAIL_WAIT = timedelta(minutes=30)
MOST_MAIL_DOUBLINGS = 6


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
    unheld = sa.or_(MailRow.claimed_until.is_(None), MailRow.claimed_until <= now)
    waiting = sa.and_(MailRow.state == OutboxState.WAITING, unheld)
    session.execute(
        sa.update(MailRow)
        .where(waiting, MailRow.leave_by <= now)
        .values(state=OutboxState.FAILED, claimed_until=None)
    )
    row = session.scalars(
        sa.select(MailRow)
        .where(waiting, MailRow.due_at <= now)
        .order_by(MailRow.due_at, MailRow.id)
        .limit(1)
        .with_for_update(skip_locked=True)
    ).first()
    if row is not None:
        row.claimed_until = now + MAIL_LEASE
        row.tries += 1
    return row


def settle_mail_left(session: Session, mail_id: int, now: datetime) -> None:
    """Note that a mail has left."""
    row = session.get_one(MailRow, mail_id)
    row.state = OutboxState.LEFT
    row.left_at = now
    row.claimed_until = None


def settle_mail_failed(session: Session, mail_id: int, fault: str, now: datetime, *, again: bool) -> None:
    """Note that a mail did not leave; it waits longer each time, or has failed where it is not to go again."""
    row = session.get_one(MailRow, mail_id)
    row.fault = fault
    row.claimed_until = None
    if not again:
        row.state = OutboxState.FAILED
        return
    doublings = min(row.tries - 1, MOST_MAIL_DOUBLINGS)
    row.due_at = now + min(FIRST_MAIL_WAIT * 2**doublings, LONGEST_MAIL_WAIT)


def mail_with_key(session: Session, key: str) -> MailRow | None:
    """Give the mail that was put down under a key."""
    return session.scalars(sa.select(MailRow).where(MailRow.key == key)).first()
