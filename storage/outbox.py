"""Texts out: put down in the transaction that causes them, claimed with a lease, sent outside, settled."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import sqlalchemy as sa
from sqlalchemy.orm import Session

from storage.leasing import Pace, hold_next, let_go, may_leave, put_off
from storage.tables import InboxState, InboxText, OutboxState, OutboxText, PhoneState

TEXTS = Pace(
    lease=timedelta(seconds=60),
    first_wait=timedelta(seconds=5),
    longest_wait=timedelta(minutes=30),
    most_doublings=16,
    most_tries=60,
)
"""Sixty tries are more than a day of a gateway that does not answer."""
REPLY = "reply"
KEEP_OUT = "keepout"
ON_THE_PHONE = "DeliveredToTerminal"
"""The one final good state; nothing that comes late takes it back."""


@dataclass(frozen=True, slots=True)
class Draft:
    """A text to put down. Its key makes it happen once; it may leave from `due_at` on."""

    key: str
    recipient: str
    purpose: str
    body: str
    due_at: datetime
    person: str | None = None
    cause: int | None = None


def put(session: Session, text: Draft, now: datetime) -> OutboxText | None:
    """Put a text down to go out; None where one with its key was put down before."""
    if session.scalar(sa.select(OutboxText.id).where(OutboxText.key == text.key)) is not None:
        return None
    row = OutboxText(
        key=text.key,
        recipient=text.recipient,
        person=text.person,
        purpose=text.purpose,
        body=text.body,
        created_at=now,
        due_at=text.due_at,
        cause=text.cause,
    )
    session.add(row)
    session.flush()
    return row


def claim_next(session: Session, now: datetime) -> OutboxText | None:
    """Take the next text that may leave and hold it for one lease: keep-out first, then answers, then the clock's."""
    first = (OutboxText.purpose != KEEP_OUT, OutboxText.purpose != REPLY)
    return hold_next(session, OutboxText, TEXTS, now, first)


def settle_left(session: Session, outbox_id: int, now: datetime) -> None:
    """Note that a text has left."""
    let_go(session.get_one(OutboxText, outbox_id), now)


def settle_failed(session: Session, outbox_id: int, fault: str, now: datetime, *, again: bool) -> None:
    """Note that a text did not leave; it waits longer each time, and after some tries it has failed.

    One that was being sent when its phone opted out is not tried again.
    """
    row = session.get_one(OutboxText, outbox_id)
    put_off(row, fault, TEXTS, now, again=again)
    phone = session.get(PhoneState, row.recipient)
    if phone is not None and phone.opted_out_at is not None and row.created_at < phone.opted_out_at:
        drop(row)


def note_deliveries(session: Session, told: Iterable[tuple[str, str]], now: datetime) -> None:
    """Note what receipts say, each a text's key and a status; receipts are advice, come twice and out of order."""
    for key, status in told:
        row = session.scalars(sa.select(OutboxText).where(OutboxText.key == key)).first()
        if row is not None and row.delivery != ON_THE_PHONE:
            row.delivery = status
            row.delivery_at = now


def drop(row: OutboxText) -> bool:
    """Keep a text that has not left from leaving; False where it has left, or may have."""
    if row.state != OutboxState.WAITING or row.claimed_until is not None:
        return False
    row.state = OutboxState.DROPPED
    return True


def reword(row: OutboxText, body: str) -> bool:
    """Say a text that still waits in other words; False where it has left, or may have."""
    if row.state != OutboxState.WAITING or row.claimed_until is not None:
        return False
    row.body = body
    return True


def readdress(row: OutboxText, recipient: str) -> bool:
    """Let a text that still waits go to another phone; False where it has left, or may have."""
    if row.state != OutboxState.WAITING or row.claimed_until is not None:
        return False
    row.recipient = recipient
    return True


def waiting_texts(session: Session) -> Sequence[OutboxText]:
    """Give the texts to somebody known that have not left, oldest first."""
    return session.scalars(
        sa.select(OutboxText)
        .where(OutboxText.state == OutboxState.WAITING, OutboxText.person.is_not(None))
        .order_by(OutboxText.id)
    ).all()


def drop_waiting(session: Session, recipient: str) -> None:
    """Keep every text that still waits for a phone from leaving."""
    waiting = sa.select(OutboxText).where(
        OutboxText.recipient == recipient, OutboxText.state == OutboxState.WAITING
    )
    for row in session.scalars(waiting):
        drop(row)


def newest_outbox_id(session: Session) -> int:
    """Give the id of the text that was put down last, 0 where there is none."""
    return session.scalar(sa.select(sa.func.max(OutboxText.id))) or 0


def leave_now(session: Session, now: datetime, after: int = 0) -> Sequence[OutboxText]:
    """Let every text that may leave count as having left, of those put down after an id; give them in order."""
    rows = session.scalars(
        sa.select(OutboxText)
        .where(
            OutboxText.state == OutboxState.WAITING, may_leave(OutboxText, TEXTS, now), OutboxText.id > after
        )
        .order_by(OutboxText.id)
    ).all()
    for row in rows:
        row.state = OutboxState.LEFT
        row.left_at = now
    return rows


def answer_to(session: Session, text_id: int) -> OutboxText | None:
    """Give the reply that a text got."""
    return session.scalars(
        sa.select(OutboxText).where(OutboxText.cause == text_id, OutboxText.purpose == REPLY)
    ).first()


def outbox_with_key(session: Session, key: str) -> OutboxText | None:
    """Give the text that was put down under a key."""
    return session.scalars(sa.select(OutboxText).where(OutboxText.key == key)).first()


def outbox_beginning(session: Session, start: str) -> Sequence[OutboxText]:
    """Give the texts whose key begins with something."""
    return session.scalars(
        sa.select(OutboxText).where(OutboxText.key.startswith(start, autoescape=True)).order_by(OutboxText.id)
    ).all()


def road_of(session: Session, now: datetime) -> dict[str, int]:
    """Give how many texts are on the road: in and read, in and unread, and out but not yet left."""

    def count(query: sa.Select[int]) -> int:
        return session.scalar(query) or 0

    kept = sa.select(sa.func.count(InboxText.id))
    waiting = sa.select(sa.func.count(OutboxText.id)).where(
        OutboxText.state == OutboxState.WAITING, may_leave(OutboxText, TEXTS, now)
    )
    return {
        "read": count(kept.where(InboxText.state != InboxState.UNREAD)),
        "unread": count(kept.where(InboxText.state == InboxState.UNREAD)),
        "to_leave": count(waiting),
    }
