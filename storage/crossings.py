"""Crossings of fields, and who was told of them."""

from collections.abc import Sequence
from datetime import date, datetime

import sqlalchemy as sa
from sqlalchemy.orm import Session, aliased, selectinload

from storage.changes import read_once
from storage.field_tables import Round
from storage.tables import Alert, CrossingRow, OutboxState, OutboxText


@read_once
def last_crossing(session: Session, field: int, target: str) -> CrossingRow | None:
    """Give the last crossing of a field for a target, with its alerts."""
    return session.scalars(
        sa.select(CrossingRow)
        .where(CrossingRow.field == field, CrossingRow.target == target, ~CrossingRow.late)
        .order_by(CrossingRow.id.desc())
        .limit(1)
        .options(selectinload(CrossingRow.alerts).selectinload(Alert.outbox))
    ).first()


@read_once
def last_crossings(session: Session, field: int, begun_by: date | None = None) -> dict[str, CrossingRow]:
    """Give a field's last crossing for each target and share that has one, with its alerts.

    With a day only those of rounds that began by then: a newer round may have been taken back whole.
    """
    last = (
        sa.select(sa.func.max(CrossingRow.id))
        .where(CrossingRow.field == field, ~CrossingRow.late)
        .group_by(CrossingRow.target)
    )
    if begun_by is not None:
        last = last.join(Round, Round.id == CrossingRow.round_id).where(Round.first_day <= begun_by)
    rows = session.scalars(
        sa.select(CrossingRow)
        .where(CrossingRow.id.in_(last))
        .order_by(CrossingRow.id)
        .options(selectinload(CrossingRow.alerts).selectinload(Alert.outbox))
    )
    return {row.target: row for row in rows}


@read_once
def crossed_in(session: Session, round_id: int) -> set[str]:
    """Give the targets and shares that have crossed in a round."""
    return set(session.scalars(sa.select(CrossingRow.target).where(CrossingRow.round_id == round_id)))


def told_before(
    session: Session, row: CrossingRow, kinds: Sequence[str], ended_by: str, corrected_by: str
) -> Sequence[CrossingRow]:
    """Give what was told of a field's target before a crossing, newest first, since what ended it all.

    That is a crossing of one kind, or a correction that somebody was told of.
    """
    earlier = sa.and_(
        CrossingRow.field == row.field,
        CrossingRow.target == row.target,
        CrossingRow.id < row.id,
        ~CrossingRow.late,
    )
    corrected = sa.and_(CrossingRow.kind == corrected_by, CrossingRow.alerts.any())
    ended = sa.select(sa.func.max(CrossingRow.id)).where(
        earlier, sa.or_(CrossingRow.kind == ended_by, corrected)
    )
    return session.scalars(
        sa.select(CrossingRow)
        .where(
            earlier,
            CrossingRow.kind.in_(kinds),
            CrossingRow.alerts.any(),
            CrossingRow.id > sa.func.coalesce(ended.scalar_subquery(), 0),
        )
        .order_by(CrossingRow.id.desc())
        .options(selectinload(CrossingRow.alerts).selectinload(Alert.outbox))
    ).all()


def unread_alerts(session: Session, person: str) -> Sequence[Alert]:
    """Give the alerts that have left for a person and that he has not said he read, oldest first.

    When one left does not matter: the clock may have been set back since, and its OK is one all the same.
    """
    return session.scalars(
        sa.select(Alert)
        .join(OutboxText)
        .where(
            Alert.person == person,
            Alert.read_at.is_(None),
            OutboxText.state == OutboxState.LEFT,
        )
        .order_by(Alert.id)
    ).all()


def all_unread_alerts(session: Session, now: datetime) -> Sequence[Alert]:
    """Give every alert that has left, was not read, and tells how its field stands now, oldest first."""
    told, newer = CrossingRow, aliased(CrossingRow)
    overtaken = (
        sa.select(newer.id)
        .where(newer.field == told.field, newer.target == told.target, newer.id > told.id, ~newer.late)
        .exists()
    )
    return session.scalars(
        sa.select(Alert)
        .join(OutboxText)
        .join(Alert.crossing.of_type(told))
        .where(
            Alert.read_at.is_(None),
            Alert.withdrawn_at.is_(None),
            OutboxText.state == OutboxState.LEFT,
            OutboxText.left_at <= now,
            ~overtaken,
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
