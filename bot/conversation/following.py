"""A season file loaded anew: what is under way follows its people, and nothing of one person passes to another.

What a phone has chosen by law, no more texts, stays the phone's; its language and its questions are the person's.
"""

from collections.abc import Sequence
from datetime import datetime

from bot.conversation.crossing import review_field
from bot.conversation.releasing import Held, untold
from bot.conversation.telling_out import call_about
from bot.conversation.turn import Purpose, can_hear, tell_supervisors
from bot.field_book import FieldBook
from bot.replies import (
    Speech,
    density_words,
    first_fitting,
    level_words,
    named,
    phone_words,
    sentences,
    shortened,
    standing_words,
    target_words,
)
from bot.rules import Field, Person, PersonKey, Season
from storage import (
    InboxText,
    OutboxText,
    Question,
    QuestionState,
    alerts_in,
    close_question,
    drop,
    oks_open,
    open_question,
    phone_state,
    readdress,
    waiting_texts,
)

SAID_AT_MOST = (80, 40, 20)


def follow_season(book: FieldBook, before: Season) -> None:
    """Let everything under way follow the people of a book's season, as they stood in the one before it."""
    for old in before.people.values():
        if old.active and old.phone is not None and not _still_has(book, old, old.phone):
            _part(book, old, old.phone)
    changed = {
        number
        for number, field in book.season.fields.items()
        if number in before.fields and set(field.growers) != set(before.fields[number].growers)
    }
    for row in waiting_texts(book.session):
        if not _follows(book, row):
            changed |= _let_alerts_go(book, row)
    for wanted in oks_open(book.session):
        gone = before.people.get(PersonKey(wanted.person))
        if gone is not None and wanted.called_at is None and book.person(gone.key) is None:
            call_about(book, wanted, gone)
    for number in sorted(changed):
        if number in book.season.fields:
            _tell_untold(book, book.season.fields[number])


def _still_has(book: FieldBook, old: Person, phone: str) -> bool:
    holder = book.season.person_with(phone)
    return holder is not None and holder.key == old.key


def _part(book: FieldBook, old: Person, phone: str) -> None:
    """Part somebody from a phone: his language and his question go with him, an opt-out stays with the phone."""
    session = book.session
    now, holder = book.person(old.key), book.season.person_with(phone)
    moved_to = now.phone if now is not None and now.active else None
    state = phone_state(session, phone)
    if moved_to is not None and state.language is not None:
        other = phone_state(session, moved_to)
        other.language = other.language or state.language
    state.language = None
    if holder is not None:
        state.paused_at = None
        if state.opted_out_at is not None:
            _tell_opted_out(book, holder, phone, state.opted_out_at)
    session.flush()
    question = open_question(session, phone)
    if question is None or question.person != old.key:
        return
    if moved_to is not None and open_question(session, moved_to) is None:
        question.phone = moved_to
        session.flush()
        return
    close_question(session, question, QuestionState.DROPPED, book.now)
    _tell_dropped(book, old, question)


def _tell_opted_out(book: FieldBook, holder: Person, phone: str, since: datetime) -> None:
    """Tell the supervisors that a new holder hears nothing: the phone opted out before it was his."""
    day = book.local(since).date()

    def build(speech: Speech) -> str:
        return speech.say(
            "notice.phone_opted_out",
            name=holder.name,
            phone=phone_words(phone),
            day=speech.short_date(day),
        )

    key = f"{Purpose.NOTICE}:phone-opted-out:{holder.key}:{since.isoformat()}"
    tell_supervisors(book, None, key, build, cause=None, at_once=True, leaders_of=holder, about=True)


def _tell_dropped(book: FieldBook, old: Person, question: Question) -> None:
    """Tell the supervisors what waited for an answer of somebody who has left, and is not stored."""
    text = book.session.get_one(InboxText, question.text_id)
    field = book.season.fields.get(question.field) if question.field is not None else None
    words = " ".join(text.body.split())

    def build(speech: Speech) -> str:
        time = speech.clock(book.local(text.received_at))
        values = {"name": old.name, "time": time}
        return first_fitting(
            *(
                speech.say("notice.question_dropped", said=shortened(words, most), **values)
                for most in SAID_AT_MOST
            )
        )

    tell_supervisors(
        book, field, f"{Purpose.NOTICE}:question-dropped:{question.id}", build, cause=text.id, at_once=True
    )
    if field is not None:
        review_field(book, field, None)


def _follows(book: FieldBook, row: OutboxText) -> bool:
    """Let a text that has not left go to where its reader is now; False where it goes to nobody any more."""
    person = book.person(row.person) if row.person is not None else None
    phone = person.phone if person is not None and person.active else None
    if phone == row.recipient:
        return True
    if person is not None and phone is not None and can_hear(book, person, Purpose(row.purpose)):
        readdress(row, phone)
        return True
    if row.purpose == Purpose.KEEP_OUT and book.season.person_with(row.recipient) is None:
        # who has left may stand in the field all the same, and nobody else has his phone
        return True
    return not drop(row)


def _let_alerts_go(book: FieldBook, row: OutboxText) -> set[int]:
    """Note that the alerts of a text reach nobody; give the fields that they are of."""
    alerts = alerts_in(book.session, row.id)
    for alert in alerts:
        alert.withdrawn_at = alert.withdrawn_at or book.now
    book.session.flush()
    return {alert.crossing.field for alert in alerts}


def _tell_untold(book: FieldBook, field: Field) -> None:
    """Tell the supervisors which growers of a field have had no alert of how it stands."""
    for held, growers in untold(book, field):
        if growers:
            _tell_of(book, field, held, growers)


def _tell_of(book: FieldBook, field: Field, held: Held, growers: Sequence[Person]) -> None:
    reached = [one.name for one in growers if can_hear(book, one, Purpose.ALERT)]
    missed = [one.name for one in growers if one.name not in reached]
    figures = held.figures

    def build(speech: Speech) -> str:
        ends = []
        if reached:
            ends.append(speech.say("notice.untold", names=speech.names(reached), field=field.number))
        if missed:
            ends.append(speech.say("notice.not_told", names=speech.names(missed)))
        values: dict[str, object] = {
            "target": target_words(speech, book.season, figures.target, codes=False),
            "density": density_words(speech, figures),
            "level": level_words(figures.judged),
            "standing": standing_words(speech, figures.standing),
        }
        leads = [
            speech.say("notice.growers_changed", field=field.number, name=name, **values)
            for name in named(field.name)
        ]
        return first_fitting(*(sentences([lead, *ends]) for lead in leads))

    key = f"{Purpose.NOTICE}:untold:{held.row.id}:{','.join(sorted(one.key for one in growers))}"
    tell_supervisors(book, field, key, build, cause=held.row.text_id)
