"""What was said of the crop and of the sampling there: shares, nodes, stages, efforts, remarks."""

from collections.abc import Sequence
from datetime import date

import sqlalchemy as sa
from sqlalchemy.orm import Session

from storage.changes import read_once
from storage.field_tables import EffortRow, NawfRow, RemarkRow, ShareRow, StageText

_SHARES_OF_FIELD = (
    sa.select(ShareRow)
    .where(
        ShareRow.field == sa.bindparam("field"),
        ShareRow.code == sa.bindparam("code"),
        ShareRow.ended_at.is_(None),
        ShareRow.day >= sa.bindparam("since"),
        ShareRow.day < sa.bindparam("before"),
    )
    .order_by(ShareRow.id)
)


@read_once
def shares_of_field(
    session: Session, field: int, code: str, since: date, before: date | None
) -> Sequence[ShareRow]:
    """Give a field's standing shares of one code, those of stops among them, from a day on to before another."""
    asked = {"field": field, "code": code, "since": since, "before": before or date.max}
    return session.scalars(_SHARES_OF_FIELD, asked).all()


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
    return [row for row in _shares_of_day(session, day) if row.number == number]


_SHARES_OF_DAY = (
    sa.select(ShareRow)
    .where(ShareRow.day == sa.bindparam("day"), ShareRow.ended_at.is_(None))
    .order_by(ShareRow.id)
)


@read_once
def _shares_of_day(session: Session, day: date) -> Sequence[ShareRow]:
    return session.scalars(_SHARES_OF_DAY, {"day": day}).all()


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


_STAGE_TEXTS = sa.select(StageText).where(StageText.field == sa.bindparam("field")).order_by(StageText.id)


@read_once
def stage_texts(session: Session, field: int) -> Sequence[StageText]:
    """Give a field's stages as texted, in the order in which they came."""
    return session.scalars(_STAGE_TEXTS, {"field": field}).all()


def efforts_on(session: Session, site: int, day: date) -> Sequence[EffortRow]:
    """Give the efforts of one sample that were said for a site on a day, the newest said last."""
    return [row for row in _efforts_of_day(session, day) if row.site == site]


_EFFORTS_OF_DAY = (
    sa.select(EffortRow).where(EffortRow.day == sa.bindparam("day")).order_by(EffortRow.said_at, EffortRow.id)
)


@read_once
def _efforts_of_day(session: Session, day: date) -> Sequence[EffortRow]:
    return session.scalars(_EFFORTS_OF_DAY, {"day": day}).all()


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
