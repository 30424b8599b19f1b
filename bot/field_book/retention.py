"""Square retention: squares still on of those looked at, pooled over a field."""

from datetime import date, timedelta

from bot.rules import SquaresOn, pooled
from storage import Session, shares_of_field

SQUARES = "SQ"
RETENTION_DAYS = 7


def squares_between(session: Session, field: int, since: date, before: date) -> SquaresOn | None:
    """Give a field's squares of the newest day from one day on to before another, None where there are none.

    All that was looked at that day is pooled: whole sites, stops, the field itself (standing.md, Retention).
    """
    rows = shares_of_field(session, field, SQUARES, since, before)
    newest = max((row.day for row in rows), default=None)
    return pooled([SquaresOn(row.n, row.of) for row in rows if row.day == newest])


def squares_lately(session: Session, field: int, day: date) -> SquaresOn | None:
    """Give a field's squares of the newest of a day and the 7 days before it, None where there are none."""
    return squares_between(session, field, day - timedelta(days=RETENTION_DAYS), day + timedelta(days=1))
