"""The hours of the day in which a method works, and the visits whose counts were sent outside them."""

from datetime import date, datetime

from bot.field_book.book import FieldBook
from bot.field_book.snapshots import plan_of
from bot.rules import Plan
from storage import SampleRow, standing_samples, visit_on


def works_at(plan: Plan, local: datetime) -> bool:
    """Tell whether a local time lies in the hours in which a plan's method works, both ends to the minute."""
    if plan.hours is None:
        return True
    begins, ends = plan.hours
    return begins <= local.time().replace(second=0, microsecond=0) <= ends


def first_outside_hours(book: FieldBook, site: int, day: date) -> SampleRow | None:
    """Give the first sample of a visit that was sent on its day outside the hours of its method; None where none was.

    A sample of another day's text says nothing of when it was taken.
    """
    visit = visit_on(book.session, site, day)
    if visit is None:
        return None
    plan = plan_of(visit.plan)
    rows = sorted(standing_samples(visit), key=lambda row: (row.counted_at, row.id))
    return next(
        (
            row
            for row in rows
            if (local := book.local(row.counted_at)).date() == day and not works_at(plan, local)
        ),
        None,
    )
