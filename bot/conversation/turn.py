"""One text's turn: who sent it, on which day, in which language; and how anything is put down to be sent."""

import logging
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from bot.field_book import FieldBook
from bot.replies import Speech, capital, first_fitting, sentences, septets_of, speech
from bot.rules import Field, Person, Role, Season
from parsing import TEXT_SEPTETS, fold
from storage import Draft, InboxText, PhoneState, Question, first_time, phone_state, put

log = logging.getLogger(__name__)

UNHEARD = "unheard"
"""What begins the ledger's key of a notice that reached nobody."""


class Purpose(StrEnum):
    """What a text is for, as `rowfoot text --json` names it."""

    REPLY = "reply"
    ALERT = "alert"
    KEEP_OUT = "keepout"
    DIGEST = "digest"
    NOTICE = "notice"


DayAccount = Callable[[FieldBook, Speech, Person], list[str]]
"""Gives the account of the day as of now for somebody, in texts, the first within the room of the speech."""


@dataclass(slots=True)
class Turn:
    """The handling of one text from a known person.

    `whose` are the counts: the sender's own, unless he sends them for somebody else. `day_said` where the text
    names its day, `check` where it is a check count. Of a `practice` nothing is kept but its reply, which is put
    down when all else is undone. A `warning` is said before everything else, its short form where the reply has no
    room beside it; a reply that is `dated` says its day itself. `account` gives what TODAY asks for.
    """

    book: FieldBook
    text: InboxText
    person: Person
    phone: PhoneState
    day: date
    whose: Person
    account: DayAccount
    day_said: bool = False
    check: bool = False
    practice: bool = False
    dropped: Question | None = None
    dropped_notes: tuple[str, ...] = ()
    warning: str = ""
    warning_short: str = ""
    dated: bool = False
    body: str | None = None

    @property
    def season(self) -> Season:
        return self.book.season

    @property
    def speech(self) -> Speech:
        """The language of the phone, with the room that a reply has beside its heading and a dropped question."""
        beside = [self._heading()]
        if self.dropped_notes:
            beside.append(min(self.dropped_notes, key=septets_of))
        taken = sum(septets_of(one) + 1 for one in beside if one)
        return speech_of(self.book, self.person).within(TEXT_SEPTETS - taken)

    def _heading(self, *, short: bool = False) -> str:
        """Give what every reply of this turn begins with: that it is practice, for whom, of which day."""
        language = speech_of(self.book, self.person)
        parts = []
        if self.practice:
            parts.append(language.say("head.practice"))
        if self.whose.key != self.person.key:
            parts.append(language.say("head.whose", name=self.whose.first_name))
        if self.check:
            parts.append(language.say("head.check"))
        if not self.dated and (self.day_said or self.day != self.book.today):
            parts.append(language.weekday_date(self.day))
        heading = capital(f"{', '.join(parts)}:") if parts else ""
        warning = self.warning_short if short and self.warning_short else self.warning
        return fold(f"{warning} {heading}".strip())

    @property
    def sent(self) -> datetime:
        """When the text was sent, as far as known: never after it was received."""
        if self.text.sent_at is None:
            return self.text.received_at
        return min(self.text.sent_at, self.text.received_at)

    @property
    def silent(self) -> bool:
        """Whether this phone gets no answers because it opted out."""
        return self.phone.opted_out_at is not None

    def say(self, key: str, **values: object) -> str:
        """Fill in a template of this phone's language."""
        return self.speech.say(key, **values)

    def wordings(self, key: str, **values: object) -> tuple[str, ...]:
        """Fill in a template of this phone's language, and its short form where the wording has one."""
        speech_ = self.speech
        return tuple(speech_.say(one, **values) for one in (key, f"{key}_short") if speech_.has(one))

    def reply(self, *variants: str, even_if_silent: bool = False) -> None:
        """Answer the text, once, with the fullest wording that fits beside what must be said of a dropped question."""
        if self.silent and not even_if_silent:
            return
        wordings = list(variants)
        if self.dropped_notes:
            wordings = [sentences([one, note]) for one in variants for note in self.dropped_notes]
        self.body = self._headed(self._heading(), wordings)
        if septets_of(self.body) > TEXT_SEPTETS and self.warning_short:
            self.body = self._headed(self._heading(short=True), wordings)
        if not self.practice:
            self.put_reply()

    def _headed(self, heading: str, wordings: Sequence[str]) -> str:
        room = TEXT_SEPTETS - (septets_of(heading) + 1 if heading else 0)
        return f"{heading} {first_fitting(*wordings, room=room)}".strip()

    def put_reply(self) -> None:
        """Put the reply down to be sent, where there is one."""
        if self.body is None:
            return
        key = f"{Purpose.REPLY}:{self.text.id}"
        sender, cause = self.text.sender, self.text.id
        out = Draft(key, sender, Purpose.REPLY, self.body, self.book.now, self.person.key, cause)
        put(self.book.session, out, self.book.now)

    def supervisor_of(self, field_: Field | None) -> str:
        """Give the first name of the supervisor who looks after a field, and may do what others may not."""
        people = _supervisors(self.season, field_)
        return people[0].first_name if people else self.season.contact

    def who_hears(self, field_: Field | None) -> str:
        """Give who is told of a field by first name: its supervisor, else who hears for one whom no text reaches."""
        people = _supervisors(self.season, field_)
        all_of_them = (*people, *_standing_in(self.season, people))
        hears = next((one for one in all_of_them if can_hear(self.book, one, Purpose.NOTICE)), None)
        return hears.first_name if hears is not None else self.season.contact


def tell(
    book: FieldBook,
    person: Person,
    key: str,
    purpose: Purpose,
    build: Callable[[Speech], str],
    *,
    cause: int | None,
    at_once: bool = False,
) -> bool:
    """Put down a text that the machine starts, in the person's language; it waits out quiet hours.

    False where the person cannot be told: no phone, one that opted out, or he has left the programme.
    """
    if person.phone is None or not can_hear(book, person, purpose):
        return False
    due = book.now if at_once else book.quiet_until(book.now)
    body = fold(build(speech_of(book, person)))
    put(
        book.session,
        Draft(f"{key}:{person.key}", person.phone, purpose, body, due, person.key, cause),
        book.now,
    )
    return True


def can_hear(book: FieldBook, person: Person, purpose: Purpose) -> bool:
    """Tell whether such texts reach somebody: no phone that opted out, nobody who has left (it may be another's now).

    Alerts and digests pause while a wish to stop is in doubt.
    """
    if person.phone is None or not person.active:
        return False
    state = phone_state(book.session, person.phone)
    paused = state.paused_at is not None and purpose in (Purpose.ALERT, Purpose.DIGEST)
    return state.opted_out_at is None and not paused


def speech_of(book: FieldBook, person: Person) -> Speech:
    """Give the language in which somebody is spoken to: the phone's own choice, else the season's."""
    chosen = phone_state(book.session, person.phone).language if person.phone else None
    return speech(chosen or person.language)


def tell_supervisors(
    book: FieldBook,
    field_: Field | None,
    key: str,
    build: Callable[[Speech], str],
    *,
    cause: int | None,
    at_once: bool = False,
    leaders_of: Person | None = None,
    but: Person | None = None,
    about: bool = False,
) -> bool:
    """Put a notice down for a field's supervisors (all without a field), and for somebody's leaders; `but` knows.

    Whom it is about, or who caused it, is not told; `about` where it is about him, and he does not know. Where no
    text reaches any of them, the other supervisors hear it, else the leaders. False where nobody hears it or knows:
    the ledger and the log say so.
    """
    season = book.season
    people = list(_supervisors(season, field_))
    if leaders_of is not None:
        people += [one for one in season.leaders_of(leaders_of.key) if one not in people]
    left_out = (leaders_of, but)

    def told(some: Iterable[Person]) -> bool:
        reached = [
            tell(book, one, key, Purpose.NOTICE, build, cause=cause, at_once=at_once)
            for one in some
            if one not in left_out
        ]
        return any(reached)

    if told(people) or (not about and any(one in people for one in left_out)):
        return True
    others = _standing_in(season, people)
    if any(told([one for one in others if role in one.roles]) for role in (Role.SUPERVISOR, Role.LEADER)):
        return True
    if first_time(book.session, f"{UNHEARD}:{key}", book.now):
        log.warning("%s reaches nobody: no supervisor and no leader can be texted", key)
    return False


def _supervisors(season: Season, field_: Field | None) -> tuple[Person, ...]:
    return season.supervisors_of(field_) if field_ else season.with_role(Role.SUPERVISOR)


def _standing_in(season: Season, people: Iterable[Person]) -> tuple[Person, ...]:
    """Give who hears what is for some supervisors that no text reaches: the other supervisors, then the leaders."""
    known = list(people)
    others = (*season.with_role(Role.SUPERVISOR), *season.with_role(Role.LEADER))
    return tuple({one.key: one for one in others if one not in known}.values())
