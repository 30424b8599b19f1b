"""Closures of fields, and the OKs that are waited for."""

from collections.abc import Sequence
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy.orm import Session, selectinload

from storage.changes import read_once
from storage.programme_tables import ClosureRow, OkWanted


@read_once
def closures_of(session: Session, field: int) -> Sequence[ClosureRow]:
    """Give every closure of a field, oldest first."""
    found = sa.select(ClosureRow).where(ClosureRow.field == field)
    return session.scalars(found.order_by(ClosureRow.since, ClosureRow.id)).all()


def unended_closures(session: Session) -> Sequence[ClosureRow]:
    """Give the closures that nothing has ended and of whose end nobody was told, oldest first."""
    found = sa.select(ClosureRow).where(ClosureRow.ended_at.is_(None), ClosureRow.over_told_at.is_(None))
    return session.scalars(found.order_by(ClosureRow.id)).all()


def told_too_early(session: Session, now: datetime) -> Sequence[ClosureRow]:
    """Give the closures of whose end people were told by a clock that has been set back since, oldest first."""
    found = sa.select(ClosureRow).where(ClosureRow.ended_at.is_(None), ClosureRow.over_told_at > now)
    return session.scalars(found.order_by(ClosureRow.id)).all()


def ok_wanted(session: Session, about: str, person: str) -> OkWanted | None:
    """Give what is waited for from somebody about something."""
    found = sa.select(OkWanted).where(OkWanted.about == about, OkWanted.person == person)
    return session.scalars(found).first()


def oks_about(session: Session, about: str) -> Sequence[OkWanted]:
    """Give everybody from whom an OK about something is or was waited for."""
    found = sa.select(OkWanted).where(OkWanted.about == about).order_by(OkWanted.id)
    return session.scalars(found.options(selectinload(OkWanted.outbox))).all()


def oks_open(session: Session, person: str | None = None) -> Sequence[OkWanted]:
    """Give the OKs that have not come and are still wanted, of one person or of everybody, oldest first."""
    found = sa.select(OkWanted).where(OkWanted.read_at.is_(None), OkWanted.over_at.is_(None))
    if person is not None:
        found = found.where(OkWanted.person == person)
    return session.scalars(found.order_by(OkWanted.id).options(selectinload(OkWanted.outbox))).all()


def oks_not_called(session: Session, begins: str) -> Sequence[OkWanted]:
    """Give what is waited for about anything that begins so, where nobody was told yet who gave none, oldest first."""
    found = sa.select(OkWanted).where(
        OkWanted.about.startswith(begins, autoescape=True), OkWanted.called_at.is_(None)
    )
    return session.scalars(found.order_by(OkWanted.id).options(selectinload(OkWanted.outbox))).all()


def want_ok(
    session: Session, about: str, field: int | None, person: str, outbox_id: int | None, now: datetime
) -> OkWanted:
    """Wait for somebody's OK about something; once however often it is asked for."""
    row = ok_wanted(session, about, person)
    if row is None:
        row = OkWanted(about=about, field=field, person=person, outbox_id=outbox_id, wanted_at=now)
        session.add(row)
        session.flush()
    return row
