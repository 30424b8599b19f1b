"""Which digests go by e-mail: once per person and local day, to those for whom the season file has an address.

An opt-out, or a pause, is of a phone and does not end the mail: the address was given to the programme, not texted,
the mail says how to end it, and it is then the one road on which the day's account still comes. Quiet hours are
of phones that ring; a mail lies there until it is looked for.
"""

from datetime import timedelta

from bot.digests.account import fields_of, readers
from bot.digests.letter import digest_letter
from bot.digests.letter_html import letter_html
from bot.digests.letter_plain import letter_plain
from bot.field_book import FieldBook
from bot.replies import speech
from storage import MailDraft, first_time, happened, language_of, put_mail

MAIL = "digest-mail"
"""Beside the key of the texts: either happens once, whatever becomes of the other."""

OF_USE = timedelta(days=1)
"""A mail that has not left by then has failed: the next day's is there."""


def put_due_mails(book: FieldBook) -> None:
    """Put down the digests that are due by e-mail now, each once per person and local day."""
    if book.now < book.at(book.today, book.season.day_ends):
        return
    for person in readers(book.season):
        key = f"{MAIL}:{person.key}:{book.today}"
        if person.email is None or happened(book.session, key):
            continue
        first_time(book.session, key, book.now)
        chosen = language_of(book.session, person.phone) if person.phone is not None else None
        letter = digest_letter(book, speech(chosen or person.language), fields_of(book.season, person))
        put_mail(
            book.session,
            MailDraft(
                key=key,
                person=person.key,
                name=person.name,
                recipient=person.email,
                language=letter.language,
                subject=letter.subject,
                plain=letter_plain(letter),
                html=letter_html(letter),
                leave_by=book.now + OF_USE,
            ),
            book.now,
        )
