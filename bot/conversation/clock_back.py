"""A clock that was set back: the supervisors hear it once, as the hours of KEEP OUT go by it."""

from datetime import timedelta

from bot.conversation.turn import Purpose, tell_supervisors
from bot.field_book import FieldBook
from bot.replies import Speech, moment_words
from storage import latest_seen

APART = timedelta(minutes=10)
"""By how much less a clock must show than it has shown: those of two processes may differ a little."""


def tell_clock_back(book: FieldBook) -> None:
    """Tell the supervisors, once, that texts are on record from a time that the clock does not show yet."""
    seen = latest_seen(book.session)
    if seen is None or seen < book.now + APART:
        return

    def build(speech: Speech) -> str:
        shown = moment_words(speech, book.local(book.now))
        return speech.say("notice.clock_back", now=shown, seen=moment_words(speech, book.local(seen)))

    key = f"{Purpose.NOTICE}:clock-back:{seen.isoformat()}"
    tell_supervisors(book, None, key, build, cause=None, at_once=True)
