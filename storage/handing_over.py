"""Sites handed to a scout for their next visit, and who has counted in a field."""

from collections.abc import Sequence
from datetime import date

import sqlalchemy as sa
from sqlalchemy.orm import Session

from storage.changes import read_once
from storage.field_tables import CheckRow, SampleRow, ShareRow, Visit
from storage.programme_tables import HandOverRow


@read_once
def hand_overs(session: Session) -> Sequence[HandOverRow]:
    """Give the hand-overs that hold, oldest first; at most one a site."""
    found = sa.select(HandOverRow).where(HandOverRow.ended_at.is_(None)).order_by(HandOverRow.id)
    return session.scalars(found).all()


@read_once
def people_counting(session: Session, field: int, day: date) -> list[str]:
    """Give those who texted counts or shares of a field for a day, check counts too, each once."""
    samples = sa.select(SampleRow.person).join(Visit).where(Visit.field == field, Visit.day == day)
    checks = sa.select(CheckRow.person).where(CheckRow.field == field, CheckRow.day == day)
    shares = sa.select(ShareRow.person).where(ShareRow.field == field, ShareRow.day == day)
    return sorted(set(session.scalars(samples.union(checks, shares))))
