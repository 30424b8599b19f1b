"""Texts in: kept first and once, read in the order of each phone, parked when they cannot be read."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session, aliased

from storage.tables import InboxState, InboxText

MOST_TRIES = 5
LOOKED_THROUGH = 50
"""How many texts may come in between a clock that is set back and the next look at it."""


@dataclass(frozen=True, slots=True)
class Arrived:
    """A text as a gateway hands it over; `sent_at` where the gateway says.

    `perhaps_cut` where it may be one part of a longer text: as long as a full part, and the gateway joins none.
    """

    gateway: str
    gateway_id: str
    sender: str
    recipient: str
    body: str
    sent_at: datetime | None
    received_at: datetime
    perhaps_cut: bool = False


def keep(session: Session, arrived: Arrived) -> InboxText | None:
    """Keep a text, unread; None where the gateway brought the same one before."""
    row = InboxText(
        gateway=arrived.gateway,
        gateway_id=arrived.gateway_id,
        sender=arrived.sender,
        recipient=arrived.recipient,
        body=arrived.body,
        sent_at=arrived.sent_at,
        received_at=arrived.received_at,
        perhaps_cut=arrived.perhaps_cut,
    )
    try:
        with session.begin_nested():
            session.add(row)
            session.flush()
    except IntegrityError:
        return None
    return row


_OLDER = aliased(InboxText)
_NEXT_UNREAD = (
    sa.select(InboxText)
    .where(
        InboxText.state == InboxState.UNREAD,
        ~sa.exists().where(
            _OLDER.sender == InboxText.sender,
            _OLDER.state == InboxState.UNREAD,
            _OLDER.id < InboxText.id,
        ),
    )
    .order_by(InboxText.tries, InboxText.id)
    .limit(1)
)


def next_unread(session: Session) -> InboxText | None:
    """Give the oldest unread text whose phone has no older one unread."""
    return session.scalars(_NEXT_UNREAD).first()


def failed_reading(session: Session, text_id: int, fault: str, now: datetime) -> bool:
    """Note that reading a text failed; True where it is parked now, so that it stops nobody's queue."""
    row = session.get_one(InboxText, text_id)
    row.tries += 1
    row.fault = fault
    if row.tries < MOST_TRIES:
        return False
    row.state = InboxState.PARKED
    row.read_at = now
    row.needs_person = True
    return True


def texts_since(session: Session, since: datetime, *, needing_person: bool = False) -> Sequence[InboxText]:
    """Give the texts received from a moment on, oldest first; only those a person should read if asked."""
    query = sa.select(InboxText).where(InboxText.received_at >= since).order_by(InboxText.id)
    if needing_person:
        query = query.where(InboxText.needs_person)
    return session.scalars(query).all()


def latest_seen(session: Session) -> datetime | None:
    """Give the latest time on record at which a text came in, of the newest of them."""
    newest = sa.select(InboxText.received_at).order_by(InboxText.id.desc()).limit(LOOKED_THROUGH)
    return max(session.scalars(newest), default=None)


def when_received(session: Session, texts: Iterable[int]) -> dict[int, datetime]:
    """Give when some texts came, by their number."""
    found = sa.select(InboxText.id, InboxText.received_at).where(InboxText.id.in_(set(texts)))
    return {row.id: row.received_at for row in session.execute(found)}


def when_sent(session: Session, texts: Iterable[int]) -> dict[int, datetime]:
    """Give when some texts were sent, of those of which the gateway said it, by their number."""
    found = sa.select(InboxText.id, InboxText.sent_at).where(InboxText.id.in_(set(texts)))
    return {row.id: row.sent_at for row in session.execute(found) if row.sent_at is not None}


def text_before(session: Session, text: InboxText) -> InboxText | None:
    """Give the text of the same phone that was kept just before one."""
    return session.scalars(
        sa.select(InboxText)
        .where(InboxText.sender == text.sender, InboxText.id < text.id)
        .order_by(InboxText.id.desc())
        .limit(1)
    ).first()


def understood_lately(session: Session, text: InboxText, understood: str, since: datetime) -> bool:
    """Tell whether an earlier text of the same phone was understood as a certain form since a moment."""
    found = sa.select(InboxText.id).where(
        InboxText.sender == text.sender,
        InboxText.id < text.id,
        InboxText.understood == understood,
        InboxText.received_at >= since,
    )
    return session.scalar(found.limit(1)) is not None


def same_text_before(session: Session, text: InboxText) -> InboxText | None:
    """Give an earlier text of the same phone with the same words and the same sent time, where one is known."""
    if text.sent_at is None:
        return None
    return session.scalars(
        sa.select(InboxText)
        .where(
            InboxText.sender == text.sender,
            InboxText.sent_at == text.sent_at,
            InboxText.body == text.body,
            InboxText.id < text.id,
        )
        .limit(1)
    ).first()


def same_words_lately(session: Session, text: InboxText, since: datetime) -> InboxText | None:
    """Give the newest earlier text of the same phone with the same words, received since a moment.

    Case, the blanks at the ends and how many stand between two words do not matter.
    """
    lately = session.scalars(
        sa.select(InboxText)
        .where(
            InboxText.sender == text.sender,
            InboxText.received_at >= since,
            InboxText.id < text.id,
        )
        .order_by(InboxText.id.desc())
    )
    words = _words(text.body)
    return next((one for one in lately if _words(one.body) == words), None)


def _words(body: str) -> list[str]:
    return body.casefold().split()
