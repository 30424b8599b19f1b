"""A scout who has begun a site and falls silent: leader and supervisors are told to call, once a silence."""

from functools import partial

from bot.conversation.turn import Purpose, tell_supervisors
from bot.field_book import FieldBook, Whereabouts, silent_people, whereabouts
from bot.replies import Speech, phone_words
from storage import first_time, happened


def tell_silent(book: FieldBook) -> None:
    """Tell who has a site under way and has not texted for too long; after the day's end the digest says it.

    Somebody may lie in a field: the notice does not wait out quiet hours.
    """
    if book.now >= book.at(book.today, book.season.day_ends):
        return
    for person, since in silent_people(book):
        key = f"{Purpose.NOTICE}:silent:{person.key}:{since.isoformat()}"
        if happened(book.session, key):
            continue
        (found,) = whereabouts(book, [person])
        if not found.under_way:
            continue
        first_time(book.session, key, book.now)
        tell_supervisors(
            book,
            book.sites[found.under_way[-1].site],
            key,
            partial(_words, book, found),
            cause=None,
            at_once=True,
            leaders_of=person,
            about=True,
        )


def _words(book: FieldBook, found: Whereabouts, speech: Speech) -> str:
    site = found.under_way[-1]
    return speech.say(
        "notice.silent",
        name=found.person.name,
        time=speech.hour(book.local(found.last)) if found.last is not None else "",
        site=site.site,
        n=site.n,
        planned=site.planned,
        phone=phone_words(found.person.phone),
    )
