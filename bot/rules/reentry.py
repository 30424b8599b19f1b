"""Keeping people out of treated fields: closing is easy, opening is hard (standing.md, Re-entry).

There is never a default number of hours. A field is closed while any closure of it runs or has no known end.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum


class Cause(StrEnum):
    """What closed a field."""

    SPRAYED = "sprayed"
    SPRAYING = "spraying"
    SIGN = "sign"
    WORDS = "words"


ENDED_BY_HOURS = frozenset({Cause.SPRAYING, Cause.SIGN})
"""What the hours of a treatment end by themselves; other unknown ends only after a question."""


@dataclass(frozen=True, slots=True)
class Closure:
    """One reason to keep out of a field: `since` the end of the application, or when it was seen or said.

    It holds from `known_at`, even where its sender's clock puts `since` later. `hours` are those of re-entry, None
    while they are not known. `ended_at` where a later text ended it.
    """

    id: int
    cause: Cause
    known_at: datetime
    since: datetime
    hours: int | None
    ended_at: datetime | None = None

    @property
    def until(self) -> datetime | None:
        """When the interval is over; None while it is not known."""
        return None if self.hours is None else self.since + timedelta(hours=self.hours)

    def runs_at(self, moment: datetime) -> bool:
        """Tell whether it keeps people out at a moment."""
        if self.known_at > moment or (self.ended_at is not None and self.ended_at <= moment):
            return False
        return self.until is None or self.until > moment


@dataclass(frozen=True, slots=True)
class KeepOut:
    """A field that nobody may enter: since when, and at least until when; None while that is not known."""

    since: datetime
    until: datetime | None
    running: tuple[Closure, ...]


def keep_out(closures: Iterable[Closure], moment: datetime) -> KeepOut | None:
    """Give why a field is closed at a moment; the latest end governs, and an end not known beats all."""
    running = tuple(one for one in closures if one.runs_at(moment))
    if not running:
        return None
    ends = [one.until for one in running]
    known = [end for end in ends if end is not None]
    since = min(one.since for one in running)
    return KeepOut(since, max(known) if len(known) == len(ends) else None, running)


def last_end(closures: Iterable[Closure], moment: datetime) -> datetime | None:
    """Give when the last closure of a field that is open at a moment came to its end; None where none did."""
    ends = [
        min(end for end in (one.until, one.ended_at) if end is not None)
        for one in closures
        if not (one.until is None and one.ended_at is None)
    ]
    return max((end for end in ends if end <= moment), default=None)
