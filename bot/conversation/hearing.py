"""A text heard: read, checked, done, answered once; all in the transaction that the caller holds."""

from datetime import date, timedelta

from bot.conversation.asking import drop_question, lapse_if_old
from bot.conversation.checking import hear_check
from bot.conversation.crossing import note_late_change, review_field, standing_of_older_round
from bot.conversation.doing import do
from bot.conversation.former_holder import former_holder, is_the_phones, sender_of, set_aside
from bot.conversation.people import hear_stranger
from bot.conversation.prefixes import NoOne, day_said, sent_for, what_may_not_stand
from bot.conversation.turn import DayAccount, Turn
from bot.field_book import FieldBook, sites_in_training
from parsing import (
    AllNothing,
    Answer,
    Close,
    Counts,
    Courtesy,
    Done,
    Fix,
    MarkRead,
    Move,
    OptIn,
    Prefixes,
    Reading,
    ShareSaid,
    Short,
    Skip,
    Sos,
    StageSaid,
    Treated,
    Undo,
    Unreadable,
    read,
    read_prefixes,
    shipped_words,
)
from storage import InboxState, InboxText, open_question, phone_state, same_words_lately, tried

YES_WHEN_SILENT = "YES"
PRACTICE = "Practice"
REPEATS_WITHIN = timedelta(minutes=10)


def hear(book: FieldBook, text: InboxText, account: DayAccount) -> None:
    """Hear one unread text: everything that it changes and causes is put down, or nothing.

    `account` gives the texts of the day's account for somebody, which TODAY asks for.
    """
    day = book.text_day(text.sent_at, text.received_at)
    text.read_at, text.state = book.now, InboxState.READ
    earlier = same_words_lately(book.session, text, text.received_at - REPEATS_WITHIN)
    text.repeats = earlier.id if earlier is not None else None
    person = sender_of(book, text)
    if person is None:
        reading = read(text.body, book.ground(day, None))
        text.understood = type(reading).__name__
        hear_stranger(book, text, reading)
        return
    former = former_holder(book, text)
    if former is not None and former.key != person.key:
        reading = read(text.body, book.ground(day, None))
        text.understood = type(reading).__name__
        if not is_the_phones(reading):
            set_aside(book, text, former, person)
            return
    text.person = person.key
    before = read_prefixes(text.body, shipped_words())
    turn = Turn(
        book,
        text,
        person,
        phone_state(book.session, text.sender),
        day,
        person,
        account,
        practice=before.practice,
    )
    if before.practice:
        _try(turn, before)
    else:
        _hear(turn, before)


def _try(turn: Turn, before: Prefixes) -> None:
    """Answer a practice text as if it were real, and undo all else that it did."""
    session = turn.book.session
    session.flush()
    with tried(session):
        _hear(turn, before)
    turn.text.understood = PRACTICE
    turn.put_reply()


def _hear(turn: Turn, before: Prefixes) -> None:
    book, text = turn.book, turn.text
    if before.day is not None:
        turn.day, turn.day_said = day_said(before.day, turn.day), True
    whose = sent_for(turn, before.by) if before.by is not None else turn.person
    if not isinstance(whose, NoOne):
        turn.whose = whose
    mine = book.open_sites_of(turn.whose.key, turn.day)
    if turn.whose.trainee:
        mine = sites_in_training(book, turn.whose.key, turn.day)
    reading = read(text.body, book.ground(turn.day, mine[0] if len(mine) == 1 else None))
    text.understood = type(reading).__name__
    if turn.silent and text.body.strip().upper() == YES_WHEN_SILENT:
        reading = OptIn()
    refused = what_may_not_stand(turn, before, reading)
    treated = isinstance(reading, Treated) or (isinstance(reading, Unreadable) and reading.treated)
    if isinstance(whose, NoOne) and not (treated or isinstance(reading, Sos)):
        refused = whose.answer
    if not turn.practice:
        lapse_if_old(turn)
        if _drops_question(reading):
            drop_question(turn)
    if refused is not None:
        # what could not be taken is said without "for Ana" and the day
        turn.whose, turn.day_said, turn.day = turn.person, False, book.today
        turn.reply(*refused)
        return
    fields = {
        one.number: one for one in map(book.season.field_of, _concerned(turn, reading)) if one is not None
    }
    day = _day_of(turn, reading)
    older = (
        [standing_of_older_round(book, field, day) for field in fields.values()] if day < book.today else []
    )
    if before.check and isinstance(reading, Counts | Fix | Undo) and not turn.whose.trainee:
        hear_check(turn, reading)
    else:
        do(turn, reading)
    for view in filter(None, older):
        note_late_change(book, view, text.id)
    for field in fields.values():
        review_field(book, field, text.id)


def _day_of(turn: Turn, reading: Reading) -> date:
    """Give the day that a text may change: its own, or that of the question it answers."""
    question = open_question(turn.book.session, turn.text.sender) if isinstance(reading, Answer) else None
    return date.fromisoformat(question.waits["day"]) if question is not None else turn.day


def _drops_question(reading: Reading) -> bool:
    """Any readable text but an answer drops an open question; kind words and OK repeat it, a cry for help leaves it."""
    return not isinstance(reading, Answer | Courtesy | MarkRead | Unreadable | Sos)


def _concerned(turn: Turn, reading: Reading) -> list[int]:
    """Give the numbers of the fields whose standing a text may change, by what it stores or lets go."""
    question = open_question(turn.book.session, turn.text.sender) or turn.dropped
    numbers = [question.field] if question is not None and question.field is not None else []
    if question is not None and "to" in question.waits:
        numbers.append(question.waits["to"])
    match reading:
        case Counts(site=number) | Fix(site=number):
            numbers.append(number)
        case Short(number=number) | Done(number=number) | Skip(number=number) | Close(number=number):
            numbers.append(number)
        case ShareSaid(number=number) | StageSaid(number=number) | AllNothing(number=number):
            numbers.append(number)
        case Undo(number=int() as number) | Move(number=number):
            numbers.append(number)
        case _:
            pass
    return numbers
