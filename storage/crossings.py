"""Crossings of fields, and who was told of them."""

from collections.abc import Sequence
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy.orm import Session, selectinload

from storage.tables import Alert, CrossingRow, OutboxState, OutboxText


def last_crossing(session: Session, field: int, target: str) -> CrossingRow | None:
    """Give the last crossing of a field for a target, with its alerts."""
    return session.scalars(
        sa.select(CrossingRow)
        .where(CrossingRow.field == field, CrossingRow.target == target, ~CrossingRow.late)
        .order_by(CrossingRow.id.desc())
        .limit(1)
        .options(selectinload(CrossingRow.alerts).selectinload(Alert.outbox))
    ).first()


def crossed_in(session: Session, round_id: int) -> set[str]:
    """Give the targets and shares that have crossed in a round."""
    return set(session.scalars(sa.select(CrossingRow.target).where(CrossingRow.round_id == round_id)))


def last_told(session: Session, field: int, target: str, kinds: Sequence[str]) -> CrossingRow | None:
    """Give the last crossing of some kinds of a field for a target that somebody was told of."""
    return session.scalars(
        sa.select(CrossingRow)
        .where(
            CrossingRow.field == field,
            CrossingRow.target == target,
            CrossingRow.kind.in_(kinds),
            CrossingRow.alerts.any(),
        )
        .order_by(CrossingRow.id.desc())
        .limit(1)
        .options(selectinload(CrossingRow.alerts).selectinload(Alert.outbox))
    ).first()


def unread_alerts(session: Session, person: str, now: datetime) -> Sequence[Alert]:
    """Give the alerts that have left for a person and that he has not said he read, oldest first."""
    return session.scalars(
        sa.select(Alert)
        .join(OutboxText)
        .where(
            Alert.person == person,
            Alert.read_at.is_(None),
            OutboxText.state == OutboxState.LEFT,
            OutboxText.left_at <= now,
        )
        .order_by(Alert.id)
    ).all()


def all_unread_alerts(session: Session, now: datetime) -> Sequence[Alert]:
    """Give every alert that has left and was not read, oldest first."""
    return session.scalars(
        sa.select(Alert)
        .join(OutboxText)
        .where(
            Alert.read_at.is_(None),
            Alert.withdrawn_at.is_(None),
            OutboxText.state == OutboxState.LEFT,
            OutboxText.left_at <= now,
        )
        .order_by(Alert.id)
        .options(selectinload(Alert.crossing), selectinload(Alert.outbox))
    ).all()


def alerts_in(session: Session, outbox_id: int) -> Sequence[Alert]:
    """Give the alerts that one text holds."""
    return session.scalars(sa.select(Alert).where(Alert.outbox_id == outbox_id).order_by(Alert.id)).all()


def crossings_since(session: Session, since: datetime) -> Sequence[CrossingRow]:
    """Give the crossings from a moment on, oldest first."""
    return session.scalars(
        sa.select(CrossingRow).where(CrossingRow.crossed_at >= since).order_by(CrossingRow.id)
    ).all()
