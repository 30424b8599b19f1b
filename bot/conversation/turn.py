"""One text's turn: who sent it, on which day, in which language; and how anything is put down to be sent."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum

from bot.field_book import FieldBook
from bot.replies import Speech, first_fitting, speech
from bot.rules import Field, Person, Role, Season
from parsing import fits, fold
from storage import Draft, InboxText, PhoneState, Question, phone_state, put


class Purpose(StrEnum):
    """What a text is for, as `rowfoot text --json` names it."""

    REPLY = "reply"
    ALERT = "alert"
    KEEP_OUT = "keepout"
    DIGEST = "digest"
    NOTICE = "notice"


@dataclass(slots=True)
class Turn:
    """The handling of one text from a known person."""

    book: FieldBook
    text: InboxText
    person: Person
    phone: PhoneState
    day: date
    dropped: Question | None = None
    dropped_notes: tuple[str, ...] = ()
    answered: bool = field(default=False)

    @property
    def season(self) -> Season:
        return self.book.season

    @property
    def speech(self) -> Speech:
        return speech(self.phone.language or self.person.language)

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

    def reply(self, *variants: str, even_if_silent: bool = False) -> None:
        """Answer the text, once, with the fullest wording that fits beside what must be said of a dropped question."""
        self.answered = True
        if self.silent and not even_if_silent:
            return
        body = first_fitting(*variants)
        if self.dropped_notes:
            noted = [f"{one} {note}" for one in variants for note in self.dropped_notes]
            body = next((fold(one) for one in noted if fits(fold(one))), None) or first_fitting(
                f"{self.dropped_notes[-1]} {variants[-1]}"
            )
        key = f"{Purpose.REPLY}:{self.text.id}"
        out = Draft(key, self.text.sender, Purpose.REPLY, body, self.book.now, self.person.key, self.text.id)
        put(self.book.session, out, self.book.now)

    def supervisor_of(self, field_: Field | None) -> str:
        """Give the first name of the supervisor who looks after a field."""
        people = self.season.supervisors_of(field_) if field_ else self.season.with_role(Role.SUPERVISOR)
        return people[0].first_name if people else self.season.contact


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

    False where the person cannot be told: no phone, or one that opted out.
    """
    if person.phone is None or not _may_hear(book, person.phone, purpose):
        return False
    due = book.now if at_once else book.quiet_until(book.now)
    body = build(speech_of(book, person))
    put(
        book.session,
        Draft(f"{key}:{person.key}", person.phone, purpose, body, due, person.key, cause),
        book.now,
    )
    return True


def _may_hear(book: FieldBook, phone: str, purpose: Purpose) -> bool:
    """Tell whether a phone wants such texts: none after an opt-out; alerts pause while a wish to stop is in doubt."""
    state = phone_state(book.session, phone)
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
) -> None:
    """Put a notice down for a field's supervisors (all without a field), and for somebody's leaders."""
    people = list(book.season.supervisors_of(field_) if field_ else book.season.with_role(Role.SUPERVISOR))
    if leaders_of is not None:
        people += [one for one in book.season.leaders_of(leaders_of.key) if one not in people]
    for one in people:
        if leaders_of is None or one.key != leaders_of.key:
            tell(book, one, key, Purpose.NOTICE, build, cause=cause, at_once=at_once)
