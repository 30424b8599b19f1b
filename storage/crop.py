"""What was said of the crop and of the sampling there: shares, nodes, stages, efforts, remarks."""

from collections.abc import Sequence
from datetime import date

import sqlalchemy as sa
from sqlalchemy.orm import Session

from storage.field_tables import EffortRow, NawfRow, RemarkRow, ShareRow, StageText


def shares_of_field(
    session: Session, field: int, code: str, since: date, before: date | None
) -> Sequence[ShareRow]:
    """Give a field's standing shares of one code, those of stops among them, from a day on to before another."""
    query = sa.select(ShareRow).where(
        ShareRow.field == field,
        ShareRow.code == code,
        ShareRow.ended_at.is_(None),
        ShareRow.day >= since,
    )
    if before is not None:
        query = query.where(ShareRow.day < before)
    return session.scalars(query.order_by(ShareRow.id)).all()


def share_on(
    session: Session, number: int, code: str, day: date, sample: int | None = None
) -> ShareRow | None:
    """Give the standing share of one stop of a site on a day; without a stop that of the whole site or field."""
    return session.scalars(
        _shares(number, day).where(ShareRow.code == code, ShareRow.sample == sample)
    ).first()


def stop_shares_on(session: Session, number: int, code: str, day: date) -> Sequence[ShareRow]:
    """Give the standing shares of one code that were looked at stop by stop on a day, by stop."""
    stops = _shares(number, day).where(ShareRow.code == code, ShareRow.sample.is_not(None))
    return session.scalars(stops.order_by(ShareRow.sample, ShareRow.id)).all()


def shares_on(session: Session, number: int, day: date) -> Sequence[ShareRow]:
    """Give all standing shares of a site or field on a day, whole ones and those of stops."""
    return session.scalars(_shares(number, day).order_by(ShareRow.id)).all()


def _shares(number: int, day: date) -> sa.Select[ShareRow]:
    return sa.select(ShareRow).where(
        ShareRow.number == number, ShareRow.day == day, ShareRow.ended_at.is_(None)
    )


def nawf_on(session: Session, number: int, day: date) -> Sequence[NawfRow]:
    """Give the standing nodes above white flower of a site or field on a day, in the order in which they came."""
    return session.scalars(
        sa.select(NawfRow)
        .where(NawfRow.number == number, NawfRow.day == day, NawfRow.ended_at.is_(None))
        .order_by(NawfRow.id)
    ).all()


def nawf_of_field(session: Session, field: int) -> Sequence[NawfRow]:
    """Give all standing nodes above white flower of a field and its sites, by day."""
    return session.scalars(
        sa.select(NawfRow)
        .where(NawfRow.field == field, NawfRow.ended_at.is_(None))
        .order_by(NawfRow.day, NawfRow.number, NawfRow.id)
    ).all()


def stage_texts(session: Session, field: int) -> Sequence[StageText]:
    """Give a field's stages as texted, in the order in which they came."""
    return session.scalars(sa.select(StageText).where(StageText.field == field).order_by(StageText.id)).all()


def efforts_on(session: Session, site: int, day: date) -> Sequence[EffortRow]:
    """Give the efforts of one sample that were said for a site on a day, the newest said last."""
    return session.scalars(
        sa.select(EffortRow)
        .where(EffortRow.site == site, EffortRow.day == day)
        .order_by(EffortRow.said_at, EffortRow.id)
    ).all()


def remarks_on(session: Session, number: int, day: date) -> Sequence[RemarkRow]:
    """Give what was remarked of a site or field on a day, in the order in which it came."""
    return session.scalars(
        sa.select(RemarkRow).where(RemarkRow.number == number, RemarkRow.day == day).order_by(RemarkRow.id)
    ).all()


def shares_ended_by(session: Session, number: int, code: str, text_id: int) -> Sequence[ShareRow]:
    """Give the shares of one code at a site that a text ended, by stop."""
    return session.scalars(
        sa.select(ShareRow)
        .where(ShareRow.number == number, ShareRow.code == code, ShareRow.ended_by == text_id)
        .order_by(ShareRow.sample, ShareRow.id)
    ).all()
