"""What each reading does: the dispatch from a text understood to what is done about it."""

from bot.conversation.answering import answer
from bot.conversation.closing import hear_close
from bot.conversation.counting import hear_all_nothing, hear_counts, hear_fix
from bot.conversation.crew import hear_crew, hear_today
from bot.conversation.cropping import hear_nawf, hear_stage
from bot.conversation.emergency import hear_sos
from bot.conversation.ending import hear_done, hear_short, hear_skip
from bot.conversation.handing import around, refuse_counting, refuse_seeing
from bot.conversation.handing_over import hear_hand_over
from bot.conversation.looking import hear_card, hear_where
from bot.conversation.moving import hear_move
from bot.conversation.people import (
    hear_courtesy,
    hear_help,
    hear_language,
    hear_opt_in,
    hear_opt_out,
    hear_read,
)
from bot.conversation.planning import hear_plan
from bot.conversation.releasing import hear_send, hear_wait
from bot.conversation.remarks import hear_each, hear_note
from bot.conversation.reopening import hear_open
from bot.conversation.sharing import hear_share
from bot.conversation.shutting import hear_treated, warn_if_shut
from bot.conversation.status import hear_status
from bot.conversation.telling import hear_tell
from bot.conversation.training import has_begun, hear_in_training, say_how_far
from bot.conversation.treated_words import close_what_is_named, warn_of_treated
from bot.conversation.turn import Turn
from bot.conversation.undoing import hear_undo
from bot.conversation.unreadable import hear_unreadable
from bot.conversation.weather import hear_temp
from bot.replies import refusal
from parsing import (
    AllNothing,
    Answer,
    ChooseLanguage,
    Close,
    Counts,
    Courtesy,
    CrewAsked,
    Done,
    Each,
    Fix,
    HandOver,
    Help,
    Kind,
    MarkRead,
    Move,
    Nawf,
    Note,
    OpenUp,
    OptIn,
    OptOut,
    PlanAsked,
    Problem,
    Reading,
    Send,
    ShareSaid,
    Short,
    ShowCard,
    Skip,
    Sos,
    StageSaid,
    Status,
    Tell,
    Temp,
    TodayAsked,
    Treated,
    Undo,
    Unreadable,
    Wait,
    Where,
)

Counted = Counts | Fix | AllNothing | Short | Done | Skip | ShareSaid | Nawf | Move | Each | Undo
"""What only those do who count: scouts, leaders, supervisors."""


def do(turn: Turn, reading: Reading) -> None:
    """Do what a text says, and answer it."""
    match reading:
        case Short(number, words) | Done(number, words) | Skip(number, words) | Close(number, words):
            warn_if_shut(turn, number)
            warn_of_treated(turn, number, words)
        case Note(number=number, words=words):
            warn_if_shut(turn, number)
            warn_of_treated(turn, number, words)
        case Counts(site=number) | Fix(site=number):
            warn_if_shut(turn, number, counts=True)
            if reading.problems:
                warn_of_treated(turn, number, turn.text.body)
        case Tell(words):
            close_what_is_named(turn, words)
        case ShareSaid(number=number) | Nawf(number=number) | AllNothing(number=number):
            warn_if_shut(turn, number, counts=True)
        case Unreadable(number=int() as number) if not reading.treated:
            warn_if_shut(turn, number)
        case ShowCard(number=int() as number) | Undo(number=int() as number):
            warn_if_shut(turn, number)
        case Status(number) | Where(number) | Each(number=number) | Move(number=number):
            warn_if_shut(turn, number)
        case _:
            pass
    match reading:
        case Counts(site=number) | Fix(site=number) if not turn.person.may_count:
            refuse_counting(turn, number)
        case (
            AllNothing(number=number)
            | Short(number=number)
            | Done(number=number)
            | Skip(number=number)
            | ShareSaid(number=number)
            | Nawf(number=number)
            | Move(number=number)
            | Each(number=number)
            | Undo(number=int() as number)
        ) if not turn.person.may_count:
            refuse_counting(turn, number)
        case (
            Counts()
            | Fix()
            | AllNothing()
            | Short()
            | Done()
            | Skip()
            | ShareSaid()
            | Nawf()
            | Move()
            | Each()
            | Undo()
        ):
            if turn.whose.trainee:
                hear_in_training(turn, reading)
            else:
                _do_counted(turn, reading)
        case Status(number) | Note(number=number) | Where(number) if not has_to_do_with(turn, number):
            refuse_seeing(turn, number)
        case Status(number):
            if not (turn.whose.trainee and say_how_far(turn, number)):
                hear_status(turn, number)
        case Note():
            hear_note(turn, reading)
        case Where(number):
            hear_where(turn, number)
        case StageSaid(number=number):
            if has_to_do_with(turn, number):
                hear_stage(turn, reading)
            else:
                refuse_seeing(turn, number)
        case Close(number):
            if turn.whose.trainee and has_begun(turn, number):
                hear_in_training(turn, reading)
            else:
                hear_close(turn, reading)
        case MarkRead():
            hear_read(turn, reading.number)
        case Answer(yes):
            answer(turn, yes=yes)
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
        case Treated():
            hear_treated(turn, reading)
        case OpenUp():
            hear_open(turn, reading)
        case HandOver():
            hear_hand_over(turn, reading)
        case PlanAsked():
            hear_plan(turn)
        case Send(number):
            hear_send(turn, number)
        case Wait(number):
            hear_wait(turn, number)
        case TodayAsked():
            hear_today(turn)
        case CrewAsked():
            hear_crew(turn)
        case Tell():
            hear_tell(turn, reading)
        case Sos():
            hear_sos(turn, reading)
        case Temp():
            hear_temp(turn, reading)


def _do_counted(turn: Turn, reading: Counted) -> None:
    match reading:
        case Counts():
            hear_counts(turn, reading)
        case Fix():
            hear_fix(turn, reading)
        case AllNothing(number):
            if _one_site(turn, number, "TOTAL"):
                hear_all_nothing(turn, number)
        case Undo():
            if reading.number is None or _one_site(turn, reading.number, "UNDO"):
                hear_undo(turn, reading.number, asked=reading.doubtful)
        case Short(number, reason):
            if _one_site(turn, number, "SHORT"):
                hear_short(turn, number, reason)
        case Done(number, reason):
            if number in turn.book.sites:
                hear_done(turn, number, reason)
            else:
                hear_status(turn, number)
        case Skip(number, reason):
            if _one_site(turn, number, "SKIP"):
                hear_skip(turn, number, reason)
        case Move():
            hear_move(turn, reading)
        case Each():
            hear_each(turn, reading)
        case ShareSaid():
            hear_share(turn, reading)
        case Nawf():
            hear_nawf(turn, reading)


def _one_site(turn: Turn, number: int, word: str) -> bool:
    """Tell whether a number is a site; a field of several is asked back with its list."""
    if number in turn.book.sites:
        return True
    problem = Problem(Kind.FIELD_NOT_SITE, (0, 0), word)
    turn.reply(refusal(turn.speech, problem, around(turn, number)))
    return False


def has_to_do_with(turn: Turn, number: int) -> bool:
    """Tell whether a field is somebody's to hear of: one of its growers, or anybody who counts."""
    field = turn.season.field_of(number)
    return turn.person.may_count or (field is not None and turn.person.key in field.growers)
