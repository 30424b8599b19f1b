"""Rounds, visits, samples and the check counts beside them: what was counted, never overwritten."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime

import sqlalchemy as sa
from sqlalchemy.orm import Session, selectinload

from storage.changes import read_once
from storage.field_tables import CheckRow, Round, SampleRow, Visit, VisitState

MOST_ROUNDS = 3
"""Rounds looked back at; more than one only where a newer one was taken back whole."""


def rounds_by(session: Session, field: int, by: date | None = None) -> Iterator[Round]:
    """Give a field's rounds, newest first, or those that began by a day; their visits and samples with them."""
    for place in range(MOST_ROUNDS):
        # one at a time: nearly always the newest is all that is wanted
        found = _round_before(session, field, by, place)
        if found is None:
            return
        yield found


_ROUND_BEFORE = (
    sa.select(Round)
    .where(Round.field == sa.bindparam("field"), Round.first_day <= sa.bindparam("by"))
    .order_by(Round.first_day.desc(), Round.id.desc())
    .limit(1)
    .offset(sa.bindparam("place"))
    .options(selectinload(Round.visits).selectinload(Visit.samples))
)


@read_once
def _round_before(session: Session, field: int, by: date | None, place: int) -> Round | None:
    asked = {"field": field, "by": by or date.max, "place": place}
    return session.scalars(_ROUND_BEFORE, asked).first()


def holds_something(visit: Visit) -> bool:
    """Tell whether a visit has a sample that stands, or was skipped; all taken back leaves nothing."""
    return visit.state == VisitState.SKIPPED or any(row.ended_at is None for row in visit.samples)


def skipped_without_round(session: Session, field: int, day: date) -> Sequence[Visit]:
    """Give the visits of a field skipped on a day while it had no round open."""
    return session.scalars(
        sa.select(Visit).where(Visit.field == field, Visit.day == day, Visit.round_id.is_(None))
    ).all()


@read_once
def round_after(session: Session, of: Round) -> Round | None:
    """Give the round of the same field that came next."""
    return session.scalars(
        sa.select(Round)
        .where(Round.field == of.field, Round.first_day > of.first_day)
        .order_by(Round.first_day, Round.id)
        .limit(1)
    ).first()


_VISIT_ON = (
    sa.select(Visit)
    .where(Visit.site == sa.bindparam("site"), Visit.day == sa.bindparam("day"))
    .options(selectinload(Visit.samples))
)


@read_once
def visit_on(session: Session, site: int, day: date) -> Visit | None:
    """Give the visit of a site on a day."""
    return session.scalars(_VISIT_ON, {"site": site, "day": day}).first()


_VISITS_OF_DAY = (
    sa.select(Visit)
    .where(Visit.day == sa.bindparam("day"))
    .order_by(Visit.id)
    .options(selectinload(Visit.samples))
)


@read_once
def visits_of_day(session: Session, day: date) -> Sequence[Visit]:
    """Give all visits of a day, in the order in which they began."""
    return session.scalars(_VISITS_OF_DAY, {"day": day}).all()


@read_once
def visits_of_field(session: Session, field: int, first: date, last: date) -> Sequence[Visit]:
    """Give a field's visits of some days, oldest first, their samples with them."""
    return session.scalars(
        sa.select(Visit)
        .where(Visit.field == field, Visit.day.between(first, last))
        .order_by(Visit.day, Visit.id)
        .options(selectinload(Visit.samples))
    ).all()


def standing_samples(visit: Visit) -> list[SampleRow]:
    """Give the samples of a visit that count or are lost, neither replaced nor taken back, by number."""
    return sorted((row for row in visit.samples if row.ended_at is None), key=lambda row: row.number)


def end_sample(session: Session, row: SampleRow, text_id: int, now: datetime) -> None:
    """Let a sample count no more; it stays on record."""
    row.ended_at = now
    row.ended_by = text_id
    session.flush()


def checks_on(session: Session, site: int, day: date, person: str | None = None) -> Sequence[CheckRow]:
    """Give the standing check counts of a site on a day by number, everybody's or one person's."""
    query = sa.select(CheckRow).where(CheckRow.site == site, CheckRow.day == day, CheckRow.ended_at.is_(None))
    if person is not None:
        query = query.where(CheckRow.person == person)
    return session.scalars(query.order_by(CheckRow.number, CheckRow.id)).all()


def checks_of_trainees(
    session: Session, day: date, *, site: int | None = None, person: str | None = None
) -> Sequence[CheckRow]:
    """Give the counts of people in training that stand beside on a day, of all sites and people or of one."""
    query = sa.select(CheckRow).where(
        CheckRow.day == day, CheckRow.ended_at.is_(None), CheckRow.trainee.is_(True)
    )
    if site is not None:
        query = query.where(CheckRow.site == site)
    if person is not None:
        query = query.where(CheckRow.person == person)
    return session.scalars(query.order_by(CheckRow.site, CheckRow.person, CheckRow.number)).all()


def checks_ended_by(session: Session, site: int, day: date, text_id: int) -> Sequence[CheckRow]:
    """Give the counts of people in training whose place at a site samples took, or others, by a text."""
    return session.scalars(
        sa.select(CheckRow)
        .where(
            CheckRow.site == site,
            CheckRow.day == day,
            CheckRow.ended_by == text_id,
            CheckRow.trainee.is_(True),
        )
        .order_by(CheckRow.person, CheckRow.number)
    ).all()


def checks_between(session: Session, first: date | None, last: date | None) -> Sequence[CheckRow]:
    """Give the standing check counts of some days, a trainee's among them, oldest first."""
    query = sa.select(CheckRow).where(CheckRow.ended_at.is_(None))
    if first is not None:
        query = query.where(CheckRow.day >= first)
    if last is not None:
        query = query.where(CheckRow.day <= last)
    return session.scalars(query.order_by(CheckRow.counted_at, CheckRow.id)).all()


def samples_beside(session: Session, checks: Sequence[CheckRow]) -> Sequence[SampleRow]:
    """Give the standing samples of the sites and days of some check counts, their visits with them."""
    days = {check.day for check in checks}
    sites = {check.site for check in checks}
    if not checks:
        return []
    return session.scalars(
        sa.select(SampleRow)
        .join(Visit)
        .where(Visit.day.between(min(days), max(days)), Visit.site.in_(sites), SampleRow.ended_at.is_(None))
        .options(selectinload(SampleRow.visit))
        .order_by(SampleRow.id)
    ).all()


def visit_before(session: Session, site: int, day: date) -> Visit | None:
    """Give the newest visit of a site before a day that holds something."""
    rows = session.scalars(
        sa.select(Visit)
        .where(Visit.site == site, Visit.day < day)
        .order_by(Visit.day.desc())
        .options(selectinload(Visit.samples))
    )
    return next((visit for visit in rows if holds_something(visit)), None)
