"""What goes out is held for a lease while somebody sends it, then settled: it left, it waits again, or it failed."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, TypeVar

import sqlalchemy as sa
from sqlalchemy.orm import Session

from storage.tables import Leased, OutboxState

Row = TypeVar("Row", bound=Leased)


APART = timedelta(minutes=10)
"""Clocks of two processes may differ by so much: neither takes the other's lease for one of a clock set back."""


@dataclass(frozen=True, slots=True)
class Pace:
    """How long a sender holds what it sends, and how it waits after a failure: longer each time, up to a longest.

    `most_tries` None: tried for as long as it is of use.
    """

    lease: timedelta
    first_wait: timedelta
    longest_wait: timedelta
    most_doublings: int
    most_tries: int | None = None

    def wait(self, tries: int) -> timedelta:
        """Give the wait after so many tries."""
        doublings = min(tries - 1, self.most_doublings)
        return min(self.first_wait * (1 << doublings), self.longest_wait)


def nobody_holds(kind: type[Leased], pace: Pace, now: datetime) -> sa.ColumnElement[bool]:
    """Give the condition of what waits and is held by no sender.

    A lease that seems longer than the pace's was given before the clock was set back, and is over.
    """
    held = kind.claimed_until
    unheld = sa.or_(held.is_(None), held <= now, held > now + pace.lease + APART)
    return sa.and_(kind.state == OutboxState.WAITING, unheld)


def may_leave(kind: type[Leased], pace: Pace, now: datetime) -> sa.ColumnElement[bool]:
    """Give the condition of what is due: its time has come, or the clock was set back behind a time that had come.

    That is so for what was to leave at once, whose sender died, or which waits longer than any failure lets it. What
    was to wait when it was put down, for the end of quiet hours, still waits.
    """
    at_once = sa.and_(kind.tries == 0, kind.due_at <= kind.created_at)
    long_wait = sa.and_(kind.tries > 0, kind.due_at > now + pace.longest_wait)
    had_come = sa.or_(at_once, kind.claimed_until.is_not(None), long_wait)
    return sa.or_(kind.due_at <= now, sa.and_(kind.created_at > now, had_come))


def hold_next(
    session: Session, kind: type[Row], pace: Pace, now: datetime, first: Sequence[sa.ColumnElement[Any]] = ()
) -> Row | None:
    """Take the next that may leave and hold it for one lease; `first` goes before the order in which they are due."""
    row = session.scalars(
        sa.select(kind)
        .where(nobody_holds(kind, pace, now), may_leave(kind, pace, now))
        .order_by(*first, kind.due_at, kind.id)
        .limit(1)
        .with_for_update(skip_locked=True)
    ).first()
    if row is not None:
        row.claimed_until = now + pace.lease
        row.tries += 1
    return row


def let_go(row: Leased, now: datetime) -> None:
    """Note that it has left."""
    row.state = OutboxState.LEFT
    row.left_at = now
    row.claimed_until = None


def put_off(row: Leased, fault: str, pace: Pace, now: datetime, *, again: bool) -> None:
    """Note that it did not leave: it waits, or has failed where it is not to go again or was tried enough."""
    row.fault = fault
    row.claimed_until = None
    if not again or (pace.most_tries is not None and row.tries >= pace.most_tries):
        row.state = OutboxState.FAILED
        return
    row.due_at = now + pace.wait(row.tries)
