"""What somebody in training may send: his counts go beside, and what would change a visit is not done."""

from bot.conversation.beside import (
    ask_undo_beside,
    newest_beside,
    take_back_beside,
)
from bot.conversation.doubting import (
    is_the_same_text,
)
from bot.conversation.handing import around
from bot.conversation.sampling import undone_lately
from bot.conversation.status import hear_status
from bot.conversation.training_counts import hear_counts_in_training, refuse_in_training
from bot.conversation.turn import Turn
from bot.field_book import in_training, sites_in_training
from bot.replies import (
    number_list,
    refusal,
)
from parsing import (
    AllNothing,
    Close,
    Counts,
    Done,
    Each,
    Fix,
    Kind,
    Move,
    Nawf,
    Problem,
    ShareSaid,
    Short,
    Skip,
    Undo,
)

InTrainingToo = (
    Counts | Fix | AllNothing | Short | Done | Skip | ShareSaid | Nawf | Move | Each | Undo | Close
)
"""What somebody in training may send as well as anybody, and hears something of his own."""


def hear_in_training(turn: Turn, said: InTrainingToo) -> None:
    """Do what a text of somebody in training says: counts go beside; what would change a visit is not done."""
    match said:
        case Counts() | Fix():
            hear_counts_in_training(turn, said)
        case Undo():
            _undo(turn, said)
        case Done(number=number):
            if not say_how_far(turn, number):
                hear_status(turn, number)
        case AllNothing(number=number):
            turn.reply(*turn.wordings("training.no_totals", number=number))
        case ShareSaid(number=number) | Nawf(number=number):
            refuse_in_training(turn, "training.no_shares", number)
        case Move(number=number, to=to):
            turn.reply(*turn.wordings("training.no_move", number=number, to=to))
        case Each(number=number):
            refuse_in_training(turn, "training.no_effort", number)
        case Short(number=number) | Skip(number=number) | Close(number=number):
            refuse_in_training(turn, "training.no_end", number)


def has_begun(turn: Turn, number: int) -> bool:
    """Tell whether somebody in training has counts of the day at a site."""
    if number not in turn.book.sites:
        return False
    return bool(in_training(turn.book, number, turn.day, turn.whose.key).numbers)


def say_how_far(turn: Turn, number: int) -> bool:
    """Say what somebody in training has beside at a site; False where there is nothing."""
    if number not in turn.book.sites:
        return False
    far = in_training(turn.book, number, turn.day, turn.whose.key)
    if not far.beside:
        return False
    values: dict[str, object] = {
        "number": number,
        "n": len(far.numbers),
        "planned": far.planned,
        "numbers": number_list(list(far.beside)),
        "name": turn.whose.first_name,
    }
    view = turn.book.site_view(number, turn.day)
    values["all"] = view.visit.samples_in if view.visit is not None else 0
    turn.reply(*turn.wordings("training.how_far", **values))
    return True


def _undo(turn: Turn, said: Undo) -> None:
    """Take back what the newest text of somebody in training put beside, or ask whether to."""
    site, asked = said.number, said.doubtful
    if site is None:
        mine = sites_in_training(turn.book, turn.whose.key, turn.day)
        if len(mine) != 1:
            turn.reply(turn.say("undo.which"))
            return
        site, asked = mine[0], True
    if site not in turn.book.sites:
        turn.reply(refusal(turn.speech, Problem(Kind.FIELD_NOT_SITE, (0, 0), "UNDO"), around(turn, site)))
        return
    taken = newest_beside(turn, site)
    if is_the_same_text(turn):
        turn.reply(turn.say("undo.same_text", number=site))
    elif not taken and has_begun(turn, site):
        refuse_in_training(turn, "training.stands", site)
    elif not taken:
        turn.reply(turn.say("undo.nothing", number=site))
    elif asked or undone_lately(turn):
        ask_undo_beside(turn, site, taken)
    else:
        take_back_in_training(turn, site)


def take_back_in_training(turn: Turn, site: int) -> None:
    """Take back what the newest text of somebody in training put beside a site."""
    turn.reply(*take_back_beside(turn, site).said)
