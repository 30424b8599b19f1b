"""Who is told what of a standing, and when: alerts, notices, quiet hours, OKs, reminders."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from tests.recount.crossings import Event
from tests.recount.expected import Expected
from tests.recount.file import Field, Person, SeasonPage, in_gsm
from tests.recount.heard import level_said

NOTICE = {
    "above": "told above",
    "still above": "told still",
    "back below": "told back",
    "corrected": "told corrected",
}


@dataclass(slots=True)
class Alert:
    """An alert that left: to whom, of which field and targets, when, and whether it was read."""

    person: str
    number: int
    events: tuple[Event, ...]
    left: datetime
    read: datetime | None = None
    reminded: datetime | None = None
    noticed: bool = False
    over: set[str] = field(default_factory=set)

    @property
    def targets(self) -> set[str]:
        """Give what it is about."""
        return {event.target for event in self.events}

    @property
    def stands(self) -> list[Event]:
        """Give what of the alert still stands."""
        return [event for event in self.events if event.target not in self.over]


@dataclass(slots=True)
class Pending:
    """Something to say that waits: for the end of quiet hours, or for a person."""

    event: Event
    reasons: tuple[str, ...] = ()
    kept_back: bool = False
    noticed: bool = False
    told: tuple[str, ...] = ()
    sent_by: str | None = None
    notice: bool = True
    held: bool = False
    since: datetime | None = None

    @property
    def waits(self) -> bool:
        """Say whether it waits for a person."""
        return bool(self.reasons) or self.kept_back


@dataclass(slots=True)
class Alerts:
    """The alerts of a season."""

    page: SeasonPage
    left: list[Alert] = field(default_factory=list)
    pending: list[Pending] = field(default_factory=list)
    had: dict[tuple[int, str], set[str]] = field(default_factory=dict)
    silent: set[str] = field(default_factory=set)
    standing: dict[tuple[int, str], Event] = field(default_factory=dict)
    passed_on: set[tuple[int, str]] = field(default_factory=set)
    later: list[tuple[str, Event, list[str]]] = field(default_factory=list)

    def quiet(self, at: datetime) -> bool:
        """Say whether a moment lies in quiet hours."""
        start, end = self.page.quiet
        now = at.timetz().replace(tzinfo=None)
        return now >= start or now < end if start > end else start <= now < end

    def growers(self, of: Field) -> list[Person]:
        """Give a field's growers."""
        return [self.page.people[key] for key in of.growers if self.page.people[key].active]

    def cross(self, event: Event, reasons: tuple[str, ...], at: datetime) -> None:
        """Take in what is to be said; an older word on the same target that has not left is dropped."""
        key = (event.field, event.target)
        older = [one for one in self.pending if (one.event.field, one.event.target) == key]
        self.pending = [one for one in self.pending if one not in older]
        self.standing[key] = event
        self.passed_on.discard(key)
        ours = [one for one in self.left if one.number == event.field and event.target in one.targets]
        for alert in ours:
            if event.kind != "still above":
                alert.over.add(event.target)
        if event.kind == "below":
            return  # nobody is told, but what was said before is of the past
        told = tuple(sorted(self.had.get(key, ())))
        unheard = bool(older) and not any(one.noticed for one in older)
        if event.kind == "corrected" and not told and unheard:
            return  # nothing of it has left yet
        if event.kind == "corrected" and unheard:
            if event.gone:
                return
            event = replace(
                event, kind="back below"
            )  # of this round nothing has left: the last word is an older one
        waits = reasons if event.kind in ("above", "still above") else ()
        urgent = event.kind == "corrected" and any(at - one.left < timedelta(hours=12) for one in ours)
        self.pending.append(Pending(event, waits, told=told, held=self.quiet(at) and not urgent, since=at))

    def answered(self, still_open: Callable[[int], bool]) -> None:
        """Let go what waits for nothing but the answer to a question that is open no more."""
        for one in self.pending:
            if "open question" in one.reasons and not still_open(one.event.field):
                one.reasons = tuple(reason for reason in one.reasons if reason != "open question")

    def refresh(self, newest: Callable[[Event], Event]) -> None:
        """Bring what has not left to the newest figures."""
        for one in self.pending:
            one.event = newest(one.event)

    def frees(self, at: datetime, strikes: bool) -> list[Expected]:
        """Give what leaves now; what quiet hours held leaves when the clock strikes."""
        out: list[Expected] = []
        if strikes and not self.quiet(at):
            for kind, event, told in self.later:
                out += self._to_supervisors(
                    kind, event, names=tuple(in_gsm(name.split()[0]) for name in told)
                )
            self.later.clear()
        for one in self.pending:
            one.held = one.held and (self.quiet(at) or not strikes)
        going = [one for one in self.pending if not one.waits and not one.held]
        for one in self.pending:
            if one in going or one.held:
                continue
            if not one.noticed:
                one.noticed = True
                out += self._to_supervisors("waits", one.event)
        self.pending = [one for one in self.pending if one not in going]
        groups: dict[tuple[int, str, datetime | None], list[Pending]] = {}
        fresh = {(one.event.field, one.since) for one in going if one.event.kind == "above"}
        for one in going:
            with_new = one.event.kind == "still above" and (one.event.field, one.since) in fresh
            kind = "above" if with_new else one.event.kind
            groups.setdefault((one.event.field, kind, one.since), []).append(one)
        for (number, kind, _), group in groups.items():
            out += self._say(number, kind, group, at)
        return out

    def _say(self, number: int, kind: str, group: list[Pending], at: datetime) -> list[Expected]:
        of = self.page.fields[number]
        out: list[Expected] = []
        events = tuple(one.event for one in group)
        names: dict[str, list[str]] = {}
        if kind in ("above", "still above") or (kind == "in range" and group[0].sent_by):
            people = [one for one in self.growers(of) if self._reached(one)]
            for person in people:
                out += [self._text(person.phone, kind, event) for event in events]
                self.left.append(Alert(person.key, number, events, at))
            for event in events:
                self.had.setdefault((number, event.target), set()).update(one.key for one in people)
                names[event.target] = [one.name for one in self.growers(of)]
        elif kind in ("back below", "corrected"):
            for one in group:
                people = [self.page.people[key] for key in one.told if self._reached(self.page.people[key])]
                for person in people:
                    out.append(self._text(person.phone, kind, one.event))
                    if kind == "corrected":
                        self.left.append(Alert(person.key, number, (one.event,), at))
                names[one.event.target] = [one.name for one in people]
                self.had.pop((number, one.event.target), None)
        for one in group:
            if one.notice and self.quiet(at):
                self.later.append((NOTICE[one.event.kind], one.event, names.get(one.event.target, [])))
            elif one.notice:
                notice = "told range" if kind == "in range" else NOTICE[one.event.kind]
                called = tuple(in_gsm(name.split()[0]) for name in names.get(one.event.target, ()))
                out += self._to_supervisors(notice, one.event, names=called)
        return out

    def _reached(self, person: Person) -> bool:
        return person.phone is not None and person.active and person.key not in self.silent

    def _to_supervisors(
        self, kind: str, event: Event, *, but: str | None = None, names: tuple[str, ...] | None = None
    ) -> list[Expected]:
        of = self.page.fields[event.field]
        return [
            self._text(person.phone, kind, event, names)
            for person in self.page.supervisors_of(of)
            if person.phone is not None and person.key != but and person.key not in self.silent
        ]

    def _text(
        self, to: str | None, kind: str, event: Event, names: tuple[str, ...] | None = None
    ) -> Expected:
        assert to is not None
        level = level_said(event.low, event.high)
        return Expected(to, kind, event.field, event.target, event.density, level, names)

    def send_on(
        self, number: int, by: str, at: datetime, in_range: set[str], newest: Callable[[Event], Event]
    ) -> list[Expected]:
        """Let waiting alerts of a field go, or what is in range now."""
        out: list[Expected] = []
        waiting = [one for one in self.pending if one.event.field == number]
        for one in waiting:
            one.reasons, one.kept_back, one.sent_by, one.notice = (), False, by, False
            one.held = self.quiet(at)
        if not waiting:
            for (field_number, target), event in list(self.standing.items()):
                if field_number == number and target in in_range and (number, target) not in self.passed_on:
                    self.passed_on.add((number, target))
                    self.pending.append(Pending(newest(event), sent_by=by, notice=False, held=self.quiet(at)))
                    waiting.append(self.pending[-1])
        events = [one.event for one in waiting]
        out += self.frees(at, strikes=False)
        for event in events:
            name = in_gsm(self.page.people[by].name)
            out += self._to_supervisors("let go", event, but=by, names=(name,))
        return out

    def keep_back(self, number: int, by: str) -> list[Expected]:
        """Keep a field's alerts back, and let the other supervisors know."""
        out: list[Expected] = []
        for one in self.pending:
            if one.event.field == number:
                one.kept_back = one.noticed = True
                name = in_gsm(self.page.people[by].name)
                out += self._to_supervisors("kept back", one.event, but=by, names=(name,))
        return out

    def unread(self, person: str) -> list[Alert]:
        """Give a person's alerts that are not read."""
        return [one for one in self.left if one.person == person and one.read is None]

    def ok(self, person: str, at: datetime) -> None:
        """Take a person's OK for every unread alert."""
        for one in self.unread(person):
            one.read = at

    def reminders(self, at: datetime) -> list[Expected]:
        """Give reminders and notices of what was not read in time; quiet time does not count."""
        out: list[Expected] = []
        if self.quiet(at):
            return out
        wait = timedelta(hours=float(self.page.reminder_hours))
        for one in self.left:
            if one.read is not None or not one.stands or one.noticed:
                continue
            person = self.page.people[one.person]
            if one.reminded is None:
                if self._awake(one.left, at) >= wait:
                    one.reminded = at
                    if self._reached(person):
                        out.append(self._text(person.phone, "reminder", one.stands[0]))
            elif self._awake(one.left, at) >= 2 * wait:
                one.noticed = True
                out += self._to_supervisors("unread", one.stands[0], names=(in_gsm(person.name),))
        return out

    def _awake(self, since: datetime, at: datetime) -> timedelta:
        """Give the time between two moments that is not quiet."""
        start, end = self.page.quiet
        total = timedelta()
        day = since.date()
        while day <= at.date():
            begin = datetime.combine(day, end, tzinfo=since.tzinfo)
            finish = datetime.combine(day, start, tzinfo=since.tzinfo)
            total += max(min(at, finish) - max(since, begin), timedelta())
            day += timedelta(1)
        return total
