"""A text heard: read, checked, done, answered once; all in the transaction that the caller holds."""

from datetime import date
from typing import Any

from bot.conversation.asking import (
    Asked,
    close_by_answer,
    drop_question,
    had_left,
    lapse_if_old,
    repeat_question,
    samples_from_json,
)
from bot.conversation.counting import hear_counts, hear_fix
from bot.conversation.cropping import hear_share, hear_stage
from bot.conversation.crossing import review_field
from bot.conversation.doubting import RIVAL
from bot.conversation.ending import hear_done, hear_short, hear_skip
from bot.conversation.people import (
    around,
    hear_card,
    hear_courtesy,
    hear_help,
    hear_language,
    hear_opt_in,
    hear_opt_out,
    hear_read,
    hear_stranger,
    hear_unreadable,
    refuse_counting,
    refuse_seeing,
)
from bot.conversation.status import hear_status
from bot.conversation.turn import Turn
from bot.conversation.undoing import hear_undo, undo
from bot.field_book import FieldBook
from bot.replies import refusal, way_to_send
from parsing import (
    Answer,
    ChooseLanguage,
    Counts,
    Courtesy,
    Done,
    Fix,
    Help,
    Kind,
    MarkRead,
    OptIn,
    OptOut,
    Problem,
    Reading,
    ShareSaid,
    Short,
    ShowCard,
    Skip,
    StageSaid,
    Status,
    Undo,
    Unreadable,
    read,
)
from storage import InboxState, InboxText, Question, open_question, phone_state

YES_WHEN_SILENT = "YES"


def hear(book: FieldBook, text: InboxText) -> None:
    """Hear one unread text: everything that it changes and causes is put down, or nothing."""
    day = book.text_day(text.sent_at, text.received_at)
    person = book.season.person_with(text.sender)
    mine = book.open_sites_of(person.key, day) if person is not None else []
    reading = read(text.body, book.ground(day, mine[0] if len(mine) == 1 else None))
    text.understood = type(reading).__name__
    text.read_at = book.now
    text.state = InboxState.READ
    if person is None:
        hear_stranger(book, text, reading)
        return
    text.person = person.key
    turn = Turn(book, text, person, phone_state(book.session, text.sender), day)
    if turn.silent and text.body.strip().upper() == YES_WHEN_SILENT:
        reading = OptIn()
    lapse_if_old(turn)
    if _drops_question(reading):
        drop_question(turn)
    numbers = _concerned(turn, reading)
    _do(turn, reading)
    for field in {one.number: one for one in map(book.season.field_of, numbers) if one is not None}.values():
        review_field(book, field, text.id)


def _drops_question(reading: Reading) -> bool:
    """Any readable text but an answer drops an open question; kind words and OK repeat it."""
    return not isinstance(reading, Answer | Courtesy | MarkRead | Unreadable)


def _concerned(turn: Turn, reading: Reading) -> list[int]:
    """Give the numbers of the fields whose standing a text may change, by what it stores or lets go."""
    question = open_question(turn.book.session, turn.text.sender) or turn.dropped
    numbers = [question.field] if question is not None and question.field is not None else []
    match reading:
        case Counts(site=number) | Fix(site=number):
            numbers.append(number)
        case Short(number=number) | Done(number=number) | Skip(number=number):
            numbers.append(number)
        case ShareSaid(number=number) | StageSaid(number=number):
            numbers.append(number)
        case Undo(number=int() as number):
            numbers.append(number)
        case _:
            pass
    return numbers


def _do(turn: Turn, reading: Reading) -> None:
    match reading:
        case Counts(site=site) | Fix(site=site) if not turn.person.may_count:
            refuse_counting(turn, site)
        case Counts():
            hear_counts(turn, reading)
        case Fix():
            hear_fix(turn, reading)
        case Status(number):
            _status(turn, number)
        case Short(number=number) | Done(number=number) | Skip(number=number) | ShareSaid(number=number) if (
            not turn.person.may_count
        ):
            refuse_counting(turn, number)
        case Undo(number=int() as number) if not turn.person.may_count:
            refuse_counting(turn, number)
        case Undo(number=number, said_cancel=asked):
            if number is None or _one_site(turn, number, "UNDO"):
                hear_undo(turn, number, asked=asked)
        case Short(number, reason):
            if _one_site(turn, number, "SHORT"):
                hear_short(turn, number, reason)
        case Done(number, reason):
            if number in turn.book.sites:
                hear_done(turn, number, reason)
            else:
                _status(turn, number)
        case Skip(number, reason):
            if _one_site(turn, number, "SKIP"):
                hear_skip(turn, number, reason)
        case ShareSaid():
            hear_share(turn, reading)
        case StageSaid(number=number):
            if _has_to_do_with(turn, number):
                hear_stage(turn, reading)
            else:
                refuse_seeing(turn, number)
        case MarkRead(number):
            hear_read(turn, number)
        case Answer(yes):
            _answer(turn, yes=yes)
        case ShowCard():
            hear_card(turn, reading)
        case Help():
            hear_help(turn)
        case OptOut():
            hear_opt_out(turn)
        case OptIn():
            hear_opt_in(turn)
        case ChooseLanguage(language):
            hear_language(turn, language)
        case Courtesy(thanks):
            hear_courtesy(turn, thanks=thanks)
        case Unreadable():
            hear_unreadable(turn, reading)


def _one_site(turn: Turn, number: int, word: str) -> bool:
    """Tell whether a number is a site; a field of several is asked back with its list."""
    if number in turn.book.sites:
        return True
    problem = Problem(Kind.FIELD_NOT_SITE, (0, 0), word)
    turn.reply(refusal(turn.speech, problem, around(turn, number)))
    return False


def _has_to_do_with(turn: Turn, number: int) -> bool:
    field = turn.season.field_of(number)
    return turn.person.may_count or (field is not None and turn.person.key in field.growers)


def _status(turn: Turn, number: int) -> None:
    if _has_to_do_with(turn, number):
        hear_status(turn, number)
    else:
        refuse_seeing(turn, number)


def _answer(turn: Turn, *, yes: bool) -> None:
    """Do what an open question waits for, or let it go; an answer sent before the question had left is none."""
    question = open_question(turn.book.session, turn.text.sender)
    if question is None:
        turn.reply(turn.say("answers.no_question", said="1" if yes else "2"))
        return
    if not had_left(turn, question):
        repeat_question(turn, turn.say("answers.too_early"))
        return
    close_by_answer(turn, question, yes=yes)
    turn.day = date.fromisoformat(question.waits["day"])
    if yes:
        _do_what_waited(turn, question)
    else:
        _let_go(turn, question)


def _do_what_waited(turn: Turn, question: Question) -> None:
    waits: dict[str, Any] = question.waits
    match question.kind:
        case Asked.SAMPLES | Asked.RIVAL:
            samples = samples_from_json(waits["samples"])
            if waits.get("fix"):
                hear_fix(turn, Fix(waits["site"], samples), waits["yes_to"])
            else:
                hear_counts(turn, Counts(waits["site"], samples), [*waits["yes_to"], RIVAL])
        case Asked.SHARE:
            hear_share(turn, ShareSaid(waits["number"], "SQ", waits["n"], waits["of"]), sure=True)
        case Asked.FINISH:
            hear_short(turn, waits["number"], waits["reason"])
        case Asked.UNDO:
            undo(turn, waits["number"])
        case _:
            raise AssertionError(f"a question of kind {question.kind} cannot be answered")


def _let_go(turn: Turn, question: Question) -> None:
    waits: dict[str, Any] = question.waits
    match question.kind:
        case Asked.RIVAL:
            echo = way_to_send(waits["site"], samples_from_json(waits["rival"]))
            turn.reply(turn.say("waits.rival_no", echo=echo), turn.say("answers.dropped_no"))
        case Asked.FINISH:
            view = turn.book.site_view(waits["number"], turn.day)
            n, planned = (view.visit.samples_in, view.visit.plan.samples) if view.visit else (0, 0)
            turn.reply(turn.say("answers.go_on_no", number=waits["number"], n=n, planned=planned))
        case Asked.UNDO:
            turn.reply(turn.say("answers.kept_number", number=waits["number"]))
        case _:
            turn.reply(turn.say("answers.dropped_no"))
