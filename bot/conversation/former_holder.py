"""A text sent before its phone became another's that comes only now: whose it is, and what is done with it."""

from bot.conversation.turn import Purpose, can_hear, speech_of, tell_supervisors
from bot.field_book import FieldBook, holder_before
from bot.replies import Speech, first_fitting, moment_words, shortened
from bot.rules import Person
from parsing import Help, OptIn, OptOut, Reading, Sos, Treated, Unreadable
from storage import Draft, InboxState, InboxText, put

SAID_AT_MOST = (80, 40, 20)


def sender_of(book: FieldBook, text: InboxText) -> Person | None:
    """Give whose text it is: who has the phone, or who has just left and had it when he sent it."""
    holder = book.season.person_with(text.sender)
    if holder is not None:
        return holder
    former = former_holder(book, text)
    return book.person(former.key) if former is not None else None


def former_holder(book: FieldBook, text: InboxText) -> Person | None:
    """Give who had a phone when he sent a text, where it was another's than today's."""
    sent = text.received_at if text.sent_at is None else min(text.sent_at, text.received_at)
    former = holder_before(book.session, text.sender, sent)
    holder = book.season.person_with(text.sender)
    return former if former is not None and (holder is None or holder.key != former.key) else None


def is_the_phones(reading: Reading) -> bool:
    """Tell whether a text is heard whoever sent it: a cry for help, a treated field, no more texts."""
    treated = isinstance(reading, Unreadable) and reading.treated
    return treated or isinstance(reading, Sos | Treated | OptOut | OptIn | Help)


def set_aside(book: FieldBook, text: InboxText, former: Person, holder: Person) -> None:
    """Keep a text of who had a phone before for a person; nothing of it is stored for who has it now."""
    text.state, text.person, text.needs_person = InboxState.ASIDE, former.key, True
    sent = book.local(min(text.sent_at or text.received_at, text.received_at))
    words = " ".join(text.body.split())

    def build(speech: Speech) -> str:
        values = {"name": former.name, "time": moment_words(speech, sent), "now": holder.first_name}
        return first_fitting(
            *(
                speech.say("notice.before_passed", said=shortened(words, most), **values)
                for most in SAID_AT_MOST
            )
        )

    key = f"{Purpose.NOTICE}:before-passed:{text.id}"
    tell_supervisors(book, None, key, build, cause=text.id, at_once=True)
    if not can_hear(book, holder, Purpose.REPLY):
        return
    answer = speech_of(book, holder).say("phone.before_yours")
    out = Draft(
        f"{Purpose.REPLY}:{text.id}", text.sender, Purpose.REPLY, answer, book.now, holder.key, text.id
    )
    put(book.session, out, book.now)
