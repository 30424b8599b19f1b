"""An answer on several texts: the first is the reply, the others leave right after it."""

from collections.abc import Sequence
from functools import partial

from bot.conversation.turn import Purpose, Turn, tell
from bot.replies import Speech


def reply_on_pages(turn: Turn, texts: Sequence[str], name: str) -> None:
    """Answer a text with the first page, and put the others down as notices; quiet hours do not hold what was asked."""
    first, *more = texts
    turn.reply(first)
    for number, text in enumerate(more, start=2):
        key = f"{Purpose.NOTICE}:{name}:{turn.text.id}:{number}"
        tell(
            turn.book,
            turn.person,
            key,
            Purpose.NOTICE,
            partial(_as_it_is, text),
            cause=turn.text.id,
            at_once=True,
        )


def _as_it_is(text: str, _: Speech) -> str:
    return text
