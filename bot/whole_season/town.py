"""What everybody in the play has in common: the hour, who is who, what is about to be said, which fields are shut.

People are generators: they yield a pause, or something to say, for which they get the texts that came back.
"""

import heapq
import re
from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from enum import Enum
from random import Random
from zoneinfo import ZoneInfo

from bot.rules import Cause, Closure, Field, Person, PersonKey, Season, keep_out
from bot.whole_season.happening import Caused, Happening, Meaning, Nothing, Says
from bot.whole_season.world import World


class Expect(Enum):
    """What somebody who knows Rowfoot expects back."""

    TAKEN = "taken"
    ASKED = "asked"
    REFUSED = "refused"
    ANYTHING = "anything"


@dataclass(frozen=True, slots=True)
class Say:
    """Something that somebody texts; without a meaning it changes nothing.

    `late` is how long the network keeps it, `id` that of a text that was sent before.
    """

    who: str
    text: str
    means: tuple[Meaning, ...]
    expect: Expect = Expect.ANYTHING
    late: timedelta | None = None
    id: str | None = None


Walk = Generator[timedelta | Say, Sequence[str], None]
"""What somebody does: pauses, and texts; each text gives what came back to that phone."""

Part = Generator[timedelta | Say, Sequence[str], Sequence[str]]
"""A piece of what somebody does; it gives what came back to its last text."""

ASKS = re.compile(r"\b1 (yes|si|these|son|se manda|sends?)\b|[.?] 1: ")
REFUSES = re.compile(r"Nothing stored\.|No se guardo nada|Nothing changed\.|No cambia nada")


@dataclass(slots=True)
class Town:
    """The play's state. Every draw comes from a stream of its own name: one person's luck moves nobody else's."""

    seed: int
    season: Season
    now: datetime
    world: World = field(init=False)
    surprises: list[str] = field(default_factory=list)
    closures: dict[int, list[Closure]] = field(default_factory=dict)
    happened: dict[str, int] = field(default_factory=dict)
    _agenda: list[tuple[datetime, int, Callable[[], Happening | None]]] = field(default_factory=list)
    _streams: dict[str, Random] = field(default_factory=dict)
    _walking: dict[str, tuple[Walk, Say]] = field(default_factory=dict)
    _placed: int = 0
    _texts: int = 0
    _shut: int = 0

    def __post_init__(self) -> None:
        self.world = World(self.seed)

    @property
    def zone(self) -> ZoneInfo:
        """The season's zone."""
        return ZoneInfo(self.season.timezone)

    @property
    def today(self) -> date:
        """The local day."""
        return self.now.astimezone(self.zone).date()

    def at(self, day: date, hour: int, minute: int = 0) -> datetime:
        """Give the moment of a local time."""
        return datetime.combine(day, time(hour, minute), self.zone)

    def stream(self, *name: object) -> Random:
        """Give the random numbers of one name."""
        key = " ".join(map(str, (self.seed, *name)))
        if key not in self._streams:
            self._streams[key] = Random(key)  # noqa: S311  a game: what is drawn must come again
        return self._streams[key]

    def person(self, key: str) -> Person:
        """Give somebody by his key."""
        return self.season.people[PersonKey(key)]

    def spanish(self, key: str) -> bool:
        """Tell whether somebody texts in Spanish."""
        return self.person(key).language == "es"

    def field_of(self, site: int) -> Field:
        """Give the field that a site lies in."""
        found = self.season.field_of(site)
        if found is None:
            raise KeyError(site)
        return found

    def whose_phone(self, phone: str) -> str | None:
        """Give the key of the one who has a phone now."""
        person = self.season.person_with(phone)
        return None if person is None else str(person.key)

    def put(self, at: datetime, action: Callable[[], Happening | None]) -> None:
        """Let something be done at a moment, after all else of that moment that was put down before."""
        self._placed += 1
        heapq.heappush(self._agenda, (max(at, self.now), self._placed, action))

    def next(self) -> Happening | None:
        """Do what comes next until something happens; None at the end."""
        while self._agenda:
            self.now, _, action = heapq.heappop(self._agenda)
            happening = action()
            if happening is not None:
                return happening
        return None

    def walk(self, at: datetime, steps: Walk) -> None:
        """Let somebody begin to do something at a moment."""
        self.put(at, lambda: self._begin(steps))

    def _begin(self, steps: Walk) -> Happening | None:
        try:
            return self._step(steps, next(steps))
        except StopIteration:
            return None

    def _go_on(self, steps: Walk, replies: Sequence[str]) -> Happening | None:
        try:
            return self._step(steps, steps.send(replies))
        except StopIteration:
            return None

    def _step(self, steps: Walk, step: timedelta | Say) -> Happening | None:
        if isinstance(step, timedelta):
            self.put(self.now + step, lambda: self._go_on(steps, ()))
            return None
        says = self._says(step)
        if step.late is not None:
            # the network holds it; whoever sent it goes on and gets no answer
            held = replace(says, at=self.now + step.late, sent=self.now)
            self.put(held.at, lambda: held)
            self.put(self.now, lambda: self._go_on(steps, ()))
            return None
        self._walking[says.id] = (steps, step)
        return says

    def _says(self, step: Say) -> Says:
        if step.id is None:
            self._texts += 1
        means = step.means or (Nothing(step.who),)
        return Says(step.id or self.last_id, self.now, None, step.who, step.text, means)

    @property
    def last_id(self) -> str:
        """Give the id of the text that was put down last."""
        return f"s{self._texts:04d}"

    def hears(self, says: Says, caused: Sequence[Caused]) -> None:
        """Hand what a text caused to the one who sent it, and look whether it is what was expected."""
        walking = self._walking.pop(says.id, None)
        if walking is None:
            return
        steps, step = walking
        known = PersonKey(says.who) in self.season.people
        phone = self.person(says.who).phone if known else says.who
        replies = [one.text for one in caused if one.to == phone and one.purpose == "reply"]
        self._look(says, step.expect, " ".join(replies))
        self.put(self.now, lambda: self._go_on(steps, replies))

    def _look(self, says: Says, expect: Expect, reply: str) -> None:
        if expect is Expect.ANYTHING:
            return
        found = Expect.TAKEN
        if ASKS.search(reply):
            found = Expect.ASKED
        elif REFUSES.search(reply):
            found = Expect.REFUSED
        if found is not expect:
            self.surprises.append(
                f"{says.at:%b %d %H:%M} {says.who}: {says.text!r} was to be {expect.value}: {reply}"
            )

    def count(self, kind: str) -> int:
        """Note that something of a kind is done once more; give how often by now."""
        self.happened[kind] = self.happened.get(kind, 0) + 1
        return self.happened[kind]

    def shut(self, number: int, cause: Cause, hours: int | None) -> None:
        """Remember that a field is closed, as Rowfoot takes it."""
        self._shut += 1
        rows = self.closures.setdefault(number, [])
        if cause is Cause.SPRAYED and hours is not None:
            self._end(number, (Cause.SPRAYING, Cause.SIGN))
        rows.append(Closure(self._shut, cause, self.now, self.now, hours))

    def all_hours(self, number: int) -> None:
        """Remember that no hours are missing any more."""
        rows = self.closures.get(number, [])
        self.closures[number] = [
            replace(one, ended_at=self.now) if one.hours is None and one.ended_at is None else one
            for one in rows
        ]

    def open(self, number: int, hours: int | None) -> None:
        """Remember that a supervisor ended a keep-out, or gave its hours from the last treatment."""
        rows = self.closures.get(number, [])
        if hours is None:
            self._end(number, tuple(Cause))
            return
        running = [one for one in rows if one.runs_at(self.now) and one.cause in (Cause.SPRAYED, Cause.WORDS)]
        last = max(running, key=lambda one: (one.since, one.id))
        self.closures[number] = [
            replace(one, hours=hours)
            if one.id == last.id
            else replace(one, ended_at=self.now)
            if one in running and one.hours is None
            else one
            for one in rows
        ]

    def _end(self, number: int, causes: tuple[Cause, ...]) -> None:
        self.closures[number] = [
            replace(one, ended_at=self.now) if one.ended_at is None and one.cause in causes else one
            for one in self.closures.get(number, [])
        ]

    def is_shut(self, number: int) -> bool:
        """Tell whether people are kept out of a field now."""
        return keep_out(self.closures.get(number, ()), self.now) is not None

    def missing_hours(self, number: int) -> list[Closure]:
        """Give what keeps people out of a field without an end that is known."""
        rows = self.closures.get(number, [])
        return [one for one in rows if one.runs_at(self.now) and one.hours is None]


def minutes(amount: float) -> timedelta:
    """Give some minutes, to the second."""
    return timedelta(seconds=round(amount * 60))
