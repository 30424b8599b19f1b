"""Evenings on which no digest went out, as nothing ran: the next one says so, and looks back over them."""

from datetime import date, timedelta

from bot.field_book import FieldBook
from bot.replies import Speech
from storage import days_with_key

LOOKS_BACK = 14
"""Days; a service that did not run for longer was not in its season."""

DIGEST = "digest"
"""What the ledger's keys of texts and of mail begin with."""


def last_day(book: FieldBook) -> date:
    """Give the newest day before today of which anybody got a digest; yesterday where that is not known."""
    since = book.now - timedelta(days=LOOKS_BACK)
    before = [day for day in days_with_key(book.session, DIGEST, since) if day < book.today]
    return max(before, default=book.today - timedelta(days=1))


def missed_days(book: FieldBook) -> list[date]:
    """Give the days since then on which none went out."""
    last = last_day(book)
    return [last + timedelta(days=n) for n in range(1, (book.today - last).days)]


def missed_words(book: FieldBook, say: Speech) -> list[str]:
    """Say which evenings had no digest; of many, the first and the last."""
    days = [say.short_date(day) for day in missed_days(book)]
    if len(days) <= 1:
        return [say.say("digest.missed", days=day) for day in days]
    return [say.say("digest.missed_span", first=days[0], last=days[-1])]
