"""Which digests are due: once per person and local day, restart-safe."""

from bot.conversation import Purpose
from bot.digests.account import fields_of, readers
from bot.digests.texts import digest_texts
from bot.field_book import FieldBook
from bot.replies import (
    speech,
)
from storage import (
    Draft,
    first_time,
    happened,
    phone_state,
    put,
)


def put_due_digests(book: FieldBook) -> None:
    """Put down the digests that are due now, each once per person and local day."""
    ends = book.at(book.today, book.season.day_ends)
    if book.now < ends:
        return
    for person in readers(book.season):
        key = f"{Purpose.DIGEST}:{person.key}:{book.today}"
        if person.phone is None or happened(book.session, key):
            continue
        first_time(book.session, key, book.now)
        state = phone_state(book.session, person.phone)
        if state.opted_out_at is not None or state.paused_at is not None:
            continue
        texts = digest_texts(book, speech(state.language or person.language), fields_of(book.season, person))
        due = book.quiet_until(book.now)
        for number, body in enumerate(texts, start=1):
            put(
                book.session,
                Draft(f"{key}:{number}", person.phone, Purpose.DIGEST, body, due, person.key),
                book.now,
            )
