"""Highs and lows of days: the row of a day that came last governs, the earlier ones stay on record."""

from collections.abc import Sequence
from datetime import date

import sqlalchemy as sa
from sqlalchemy.orm import Session

from storage.programme_tables import TemperatureRow


def temperature_on(session: Session, day: date) -> TemperatureRow | None:
    """Give the high and low of a day that govern, None where none came."""
    found = sa.select(TemperatureRow).where(TemperatureRow.day == day)
    return session.scalars(found.order_by(TemperatureRow.id.desc())).first()


def temperatures_between(session: Session, since: date, by: date) -> Sequence[TemperatureRow]:
    """Give the highs and lows that govern from one day to another, both counted in, by day."""
    found = sa.select(TemperatureRow).where(TemperatureRow.day >= since, TemperatureRow.day <= by)
    rows = session.scalars(found.order_by(TemperatureRow.id)).all()
    return sorted({row.day: row for row in rows}.values(), key=lambda row: row.day)
