"""The digest: a day's account to each supervisor and leader, once per local day, in at most three texts and by mail."""

from bot.digests.account import readers
from bot.digests.due import put_due_digests
from bot.digests.letter import Letter, digest_letter
from bot.digests.letter_html import letter_html
from bot.digests.letter_plain import letter_plain
from bot.digests.mails import put_due_mails
from bot.digests.mornings import put_due_mornings
from bot.digests.texts import digest_texts, today_texts

__all__ = [
    "Letter",
    "digest_letter",
    "digest_texts",
    "letter_html",
    "letter_plain",
    "put_due_digests",
    "put_due_mails",
    "put_due_mornings",
    "readers",
    "today_texts",
]
