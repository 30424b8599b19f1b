"""The digest: a day's account to each supervisor and leader, once per local day, in at most three texts."""

from bot.digests.account import readers
from bot.digests.due import put_due_digests
from bot.digests.texts import digest_texts

__all__ = ["digest_texts", "put_due_digests", "readers"]
