"""What happens once, and what a phone has chosen."""

from datetime import datetime

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
