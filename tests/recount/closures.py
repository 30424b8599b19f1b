"""Keeping people out: which fields are closed until when, who is told, whom to call."""

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from bot.whole_season.happening import Opened, Shut


@dataclass(slots=True)
class Closure:
    """A closing of a field: by what, from when, until when (None: hours not known)."""

    field: int
    cause: str
    by: str
    at: datetime
    until: datetime | None
    hours: int | None
    recorded: datetime
    over: bool = False


@dataclass(slots=True)
class Warned:
    """Somebody who was told to keep out, and has to say OK within ten minutes."""

    person: str
    field: int
    at: datetime
    beside: int | None = None
    ok: bool = False
    called: bool = False


@dataclass(slots=True)
class Closures:
    """All closings of a season; nothing is deleted, a field is closed while one of them runs."""

    all: list[Closure] = field(default_factory=list)
    warned: list[Warned] = field(default_factory=list)
    ended: set[int] = field(default_factory=set)
    counted_in: set[tuple[str, int, date]] = field(default_factory=set)

    def shut(self, means: Shut, at: datetime, sent: datetime | None) -> Closure:
        """Close a field; hours count from the later of sent and received, and end SPRAYING and a sign."""
        start = max(at, sent) if sent is not None else at
        known = means.cause == "sprayed" and means.hours is not None
        if known:
            for one in self.all:
                if one.field == means.field and one.cause in ("spraying", "posted") and one.until is None:
                    one.over = True
        until = start + timedelta(hours=means.hours or 0) if known else None
        closure = Closure(
            means.field, means.cause, means.by, start, until, means.hours if known else None, at
        )
        self.all.append(closure)
        self.ended.discard(means.field)
        return closure

    def open(self, means: Opened, at: datetime) -> None:
        """Open a field, or set its hours from the last SPRAYED."""
        ours = [one for one in self.all if one.field == means.field and not one.over]
        if means.hours is None:
            for one in ours:
                one.over = True
            return
        treated = [one for one in ours if one.cause in ("sprayed", "words")]
        last = max(treated, key=lambda one: one.at, default=None)
        for one in ours:
            one.over = one is not last
        if last is not None:
            last.until = last.at + timedelta(hours=means.hours)
            last.hours, last.recorded = means.hours, at
        self.ended.discard(means.field)

    def hours_are_all(self, number: int) -> None:
        """Take the hours that are known as the end of those that are not."""
        for one in self.all:
            if one.field == number and one.until is None:
                one.over = True

    def active(self, number: int, at: datetime) -> list[Closure]:
        """Give the closings of a field that run at a moment."""
        return [
            one
            for one in self.all
            if one.field == number and not one.over and one.at <= at and (one.until is None or one.until > at)
        ]

    def until(self, number: int, at: datetime) -> datetime | str | None:
        """Give until when a field is closed: a time, unknown, or None where it is not."""
        active = self.active(number, at)
        if not active:
            return None
        ends = [one.until for one in active if one.until is not None]
        return max(ends) if len(ends) == len(active) else "unknown"

    def just_over(self, at: datetime) -> list[Closure]:
        """Give the closing that ended last of each field whose hours are over since the last look."""
        found = []
        for number in {one.field for one in self.all} - self.ended:
            ours = [one for one in self.all if one.field == number and not one.over]
            if ours and not self.active(number, at) and all(one.until is not None for one in ours):
                self.ended.add(number)
                found.append(max(ours, key=lambda one: str(one.until)))
        return found

    def warnings_open(self, person: str) -> list[Warned]:
        """Give the keep-outs that a person has not said OK to."""
        return [one for one in self.warned if one.person == person and not one.ok]

    def to_call(self, at: datetime) -> list[Warned]:
        """Give who has not said OK for ten minutes, once."""
        late = [
            one
            for one in self.warned
            if not one.ok and not one.called and at - one.at >= timedelta(minutes=10)
        ]
        for one in late:
            one.called = True
        return late
