"""CLOSE: of a scout it ends the visit; of anybody else it may mean that people are to be kept out."""

from bot.conversation.asking import Asked, ask
from bot.conversation.ending import hear_short
from bot.conversation.treated_words import close_by_words
from bot.conversation.turn import Turn
from parsing import Close


def hear_close(turn: Turn, said: Close) -> None:
    """End the visit of a scout who has one open there; else ask, with keeping people out first."""
    field = turn.book.season.field_of(said.number)
    if field is None:
        return
    if said.number in turn.book.open_sites_of(turn.whose.key, turn.day):
        hear_short(turn, said.number, said.reason)
        return
    ask(turn, Asked.CLOSE, field, {"number": field.number, "said": " ".join(turn.text.body.split())})
    turn.reply(*turn.wordings("waits.close", number=said.number, field=field.number))


def close_for_a_person(turn: Turn, number: int, said: str) -> None:
    """Keep people out of a field at once, and let a person know."""
    field = turn.book.season.field_of(number)
    if field is not None:
        close_by_words(turn, said, field)
