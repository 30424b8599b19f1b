"""What happens once, and what a phone has chosen."""

from collections.abc import Collection
from datetime import date, datetime

import sqlalchemy as sa
from sqlalchemy.orm import Session

from storage.tables import LedgerKey, PhoneState


def happened(session: Session, key: str) -> bool:
    """Tell whether something has happened."""
    return session.get(LedgerKey, key) is not None


def first_time(session: Session, key: str, now: datetime) -> bool:
    """Note that something happens; False where it has happened before."""
    if happened(session, key):
        return False
    session.add(LedgerKey(key=key, happened_at=now))
    session.flush()
    return True


def which_happened(session: Session, keys: Collection[str]) -> set[str]:
    """Give those of some keys whose thing has happened."""
    return set(session.scalars(sa.select(LedgerKey.key).where(LedgerKey.key.in_(keys))))


def days_with_key(session: Session, start: str, since: datetime) -> set[date]:
    """Give the days in which keys end that begin with something and happened since a moment."""
    found = sa.select(LedgerKey.key).where(
        LedgerKey.key.startswith(start, autoescape=True), LedgerKey.happened_at >= since
    )
    return {date.fromisoformat(key.rpartition(":")[2]) for key in session.scalars(found)}


def phone_state(session: Session, phone: str) -> PhoneState:
    """Give what a phone has chosen, for reading and changing."""
    state = session.get(PhoneState, phone)
    if state is None:
        state = PhoneState(phone=phone)
        session.add(state)
    return state


def language_of(session: Session, phone: str) -> str | None:
    """Give the language that a phone has chosen, None where it has chosen none; changes nothing."""
    state = session.get(PhoneState, phone)
    return state.language if state is not None else None
