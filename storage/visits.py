"""Visits, rounds, samples, shares and stage texts: what was counted, never overwritten."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime

import sqlalchemy as sa
from sqlalchemy.orm import Session, selectinload

from storage.tables import InboxText, Round, SampleRow, ShareRow, StageText, Visit, VisitState

MOST_ROUNDS = 3
"""Rounds looked back at; more than one only where a newer one was taken back whole."""


def rounds_by(session: Session, field: int, by: date | None = None) -> Iterator[Round]:
    """Give a field's rounds, newest first, or those that began by a day; their visits and samples with them."""
    query = (
        sa.select(Round)
        .where(Round.field == field)
        .order_by(Round.first_day.desc(), Round.id.desc())
        .options(selectinload(Round.visits).selectinload(Visit.samples))
    )
    if by is not None:
        query = query.where(Round.first_day <= by)
    yield from session.scalars(query.limit(MOST_ROUNDS))


def holds_something(visit: Visit) -> bool:
    """Tell whether a visit has a sample that stands, or was skipped; all taken back leaves nothing."""
    return visit.state == VisitState.SKIPPED or any(row.ended_at is None for row in visit.samples)


def skipped_without_round(session: Session, field: int, day: date) -> Sequence[Visit]:
    """Give the visits of a field skipped on a day while it had no round open."""
    return session.scalars(
        sa.select(Visit).where(Visit.field == field, Visit.day == day, Visit.round_id.is_(None))
    ).all()


def round_after(session: Session, of: Round) -> Round | None:
    """Give the round of the same field that came next."""
    return session.scalars(
        sa.select(Round)
        .where(Round.field == of.field, Round.first_day > of.first_day)
        .order_by(Round.first_day, Round.id)
        .limit(1)
    ).first()


def visit_on(session: Session, site: int, day: date) -> Visit | None:
    """Give the visit of a site on a day."""
    return session.scalars(
        sa.select(Visit).where(Visit.site == site, Visit.day == day).options(selectinload(Visit.samples))
    ).first()


def visits_of_day(session: Session, day: date) -> Sequence[Visit]:
    """Give all visits of a day, in the order in which they began."""
    return session.scalars(
        sa.select(Visit).where(Visit.day == day).order_by(Visit.id).options(selectinload(Visit.samples))
    ).all()


def standing_samples(visit: Visit) -> list[SampleRow]:
    """Give the samples of a visit that count or are lost, neither replaced nor taken back, by number."""
    return sorted((row for row in visit.samples if row.ended_at is None), key=lambda row: row.number)


def end_sample(session: Session, row: SampleRow, text_id: int, now: datetime) -> None:
    """Let a sample count no more; it stays on record."""
    row.ended_at = now
    row.ended_by = text_id
    session.flush()


def shares_of_field(
    session: Session, field: int, code: str, since: date, before: date | None
) -> Sequence[ShareRow]:
    """Give a field's standing shares of one code from a day on, and before another if one is given."""
    query = sa.select(ShareRow).where(
        ShareRow.field == field,
        ShareRow.code == code,
        ShareRow.ended_at.is_(None),
        ShareRow.day >= since,
    )
    if before is not None:
        query = query.where(ShareRow.day < before)
    return session.scalars(query.order_by(ShareRow.id)).all()


def share_on(session: Session, number: int, code: str, day: date) -> ShareRow | None:
    """Give the standing share of a site or field on a day."""
    return session.scalars(
        sa.select(ShareRow).where(
            ShareRow.number == number,
            ShareRow.code == code,
            ShareRow.day == day,
            ShareRow.ended_at.is_(None),
        )
    ).first()


def shares_on(session: Session, number: int, day: date) -> Sequence[ShareRow]:
    """Give all standing shares of a site or field on a day."""
    return session.scalars(
        sa.select(ShareRow)
        .where(ShareRow.number == number, ShareRow.day == day, ShareRow.ended_at.is_(None))
        .order_by(ShareRow.id)
    ).all()


def stage_texts(session: Session, field: int) -> Sequence[StageText]:
    """Give a field's stages as texted, in the order in which they came."""
    return session.scalars(sa.select(StageText).where(StageText.field == field).order_by(StageText.id)).all()


def newest_own_rows(
    session: Session, site: int, day: date, person: str
) -> tuple[list[SampleRow], list[ShareRow]]:
    """Give what somebody's newest text to a site on a day put down: samples by number, and shares.

    Rows that another has replaced since are given too, ended; what was taken back is not.
    """
    samples = session.scalars(
        sa.select(SampleRow)
        .join(Visit)
        .where(Visit.site == site, Visit.day == day, SampleRow.person == person)
        .order_by(SampleRow.number)
    ).all()
    shares = session.scalars(
        sa.select(ShareRow).where(ShareRow.number == site, ShareRow.day == day, ShareRow.person == person)
    ).all()
    kept = [row for row in samples if _stands_or_replaced(session, row, person)]
    kept_shares = [row for row in shares if _stands_or_replaced(session, row, person)]
    newest = max((*(row.text_id for row in kept), *(row.text_id for row in kept_shares)), default=None)
    return (
        [row for row in kept if row.text_id == newest],
        [row for row in kept_shares if row.text_id == newest],
    )


def _stands_or_replaced(session: Session, row: SampleRow | ShareRow, person: str) -> bool:
    """Tell whether a row still stands or was ended by somebody else."""
    if row.ended_at is None:
        return True
    if row.ended_by is None:
        return False
    return session.get_one(InboxText, row.ended_by).person != person
