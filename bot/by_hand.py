"""Texts taken by hand, by the road of the real ones: what `text`, `replay` and `round` do."""

import os
import re
from collections.abc import Callable
from datetime import UTC, datetime
from typing import TypeVar
from zoneinfo import ZoneInfo

from bot.field_book import SeasonShelf
from bot.rounds import hear_all, strike
from bot.season_file import normal_phone
from bot.settings import Clock
from storage import Arrived, OutboxText, Session, Store, keep, leave_now, newest_outbox_id

__all__ = ["ByHand", "UnreadableSaying"]

COMMAND_GATEWAY = "command"

Done = TypeVar("Done")

_E164 = re.compile(r"\+[1-9][0-9]{6,14}")
"""A stranger's number need not be valid, only possible: numbers are given out faster than lists are made."""


class UnreadableSaying(Exception):  # noqa: N818  it is what was said that cannot be read
    """A time or a phone as somebody typed it cannot be read; the sentence says which."""


class ByHand:
    """Takes texts by hand, by the road of the real ones; what it gives counts as having left."""

    def __init__(self, store: Store, clock: Clock) -> None:
        """Take texts into a database.

        Raises:
            DatabaseNotReady: it holds no season.
        """
        self.store, self.clock = store, clock
        self.shelf = SeasonShelf()
        with store.read() as session:
            self.season = self.shelf.season(session)

    def moment(self, said: str | None) -> datetime:
        """Read a time; without an offset it is in the season's timezone."""
        if said is None:
            return self.clock()
        try:
            moment = datetime.fromisoformat(said)
            zoned = moment if moment.tzinfo else moment.replace(tzinfo=ZoneInfo(self.season.timezone))
            return zoned.astimezone(UTC)
        except (
            ValueError,
            OverflowError,
        ) as fault:  # the second: a zone that leads out of the years 1 to 9999
            raise UnreadableSaying(f"{said!r} is no time as 2027-07-06T09:30") from fault

    def take(
        self, phone: str, words: str, at: str | None, sent: str | None, gateway_id: str | None
    ) -> list[dict[str, str]]:
        """Take a text from a phone; give the texts that it caused as {to, purpose, text}, none for a repeated id.

        Raises:
            UnreadableSaying: the phone or a time cannot be read.
        """
        number = normal_phone(phone, self.season.country) or (phone if _E164.fullmatch(phone) else None)
        if number is None:
            raise UnreadableSaying(f"{phone!r} is no phone number")
        words = re.sub("[\0\ud800-\udfff]", "\ufffd", words)
        now = self.moment(at)
        sent_at = self.moment(sent) if sent is not None else None

        def put_in(session: Session) -> bool:
            name = gateway_id or f"{now.timestamp():.6f}:{os.urandom(6).hex()}"
            arrived = Arrived(COMMAND_GATEWAY, name, number, "", words, sent_at, now)
            return keep(session, arrived) is not None

        with self.store.read() as session:
            before = newest_outbox_id(session)
        if not self.store.write(put_in):
            return []
        hear_all(self.store, self.shelf, now)
        return self._leave(now, before)

    def strike(self, now: datetime) -> list[dict[str, str]]:
        """Do what the clock would do by a moment; give the texts that it frees."""
        strike(self.store, self.shelf, now)
        return self._leave(now)

    def do(self, now: datetime, step: Callable[[Session], Done]) -> tuple[Done, list[dict[str, str]]]:
        """Do a step in one transaction; give its result and the texts that it caused, which count as having left."""
        with self.store.read() as session:
            before = newest_outbox_id(session)
        done = self.store.write(step)
        return done, self._leave(now, before)

    def _leave(self, now: datetime, after: int = 0) -> list[dict[str, str]]:
        return self.store.write(lambda session: [_as_json(row) for row in leave_now(session, now, after)])


def _as_json(row: OutboxText) -> dict[str, str]:
    return {"to": row.recipient, "purpose": row.purpose, "text": row.body}
