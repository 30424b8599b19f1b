"""A season talked to by hand: texts at their times, what they cause, and how things stand."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from bot.by_hand import ByHand
from bot.field_book import FieldBook, show
from bot.rules import PersonKey
from bot.season_file import SeasonText, read_season, read_texts
from storage import Store, keep_season

SEASONS = Path(__file__).parent.parent / "fixtures" / "seasons"
ZONE = ZoneInfo("America/Chicago")
DAY = date(2027, 7, 6)


class Talk:
    """Says what people of a season text, on one day unless a time says another."""

    def __init__(self, store: Store, season: SeasonText) -> None:
        read = read_season(season)
        assert not isinstance(read, tuple), read
        self.store = store
        self.load(season)
        self.hand = ByHand(store, lambda: datetime(2027, 7, 6, 12, tzinfo=ZONE))

    def load(self, season: SeasonText) -> None:
        """Load a season file as the one that governs."""
        self.store.write(
            lambda session: keep_season(
                session, "x", season.season, season.book, datetime(2027, 1, 1, tzinfo=ZONE)
            )
        )

    def says(
        self, who: str, at: str, text: str, *, sent: str | None = None, name: str | None = None
    ) -> list[dict[str, str]]:
        """Text something: `who` a key of the season or a phone, `at` a time of the day or a whole ISO time."""
        person = self.hand.season.people.get(PersonKey(who))
        phone = person.phone if person is not None and person.phone is not None else who
        return self.hand.take(phone, text, at_time(at), None if sent is None else at_time(sent), name)

    def reply(self, who: str, at: str, text: str, *, sent: str | None = None) -> str:
        """Text something and give the one reply to it."""
        (answer,) = [one["text"] for one in self.says(who, at, text, sent=sent) if one["purpose"] == "reply"]
        return answer

    def strikes(self, at: str) -> list[dict[str, str]]:
        """Let the clock strike."""
        return self.hand.strike(self.hand.moment(at_time(at)))

    def show(self, number: int, day: date = DAY) -> dict[str, Any]:
        """Give a site's or field's JSON."""
        with self.store.read() as session:
            book = FieldBook(session, self.hand.season, datetime(2027, 7, 6, 23, tzinfo=ZONE))
            shown = show(book, number, day)
        assert shown is not None
        return shown

    def samples(self, site: int, day: date = DAY) -> dict[str, str]:
        """Give what is in at a site in codes, by sample number."""
        return {
            number: " ".join(f"{code}{count}" for code, count in counts.items() if count) or "0"
            for number, counts in self.show(site, day)["samples"].items()
        }


def at_time(at: str) -> str:
    return at if "-" in at else f"{DAY.isoformat()}T{at}"


def to(caused: list[dict[str, str]], purpose: str) -> list[tuple[str, str]]:
    """Give the texts of one purpose as (to, text)."""
    return [(one["to"], one["text"]) for one in caused if one["purpose"] == purpose]


@contextmanager
def talking(folder: Path, season: str = "talk.toml", *more: tuple[str, str]) -> Iterator[Talk]:
    """Open a fresh database with a season of the fixtures; `more` are pieces of its text to replace."""
    texts = read_texts(SEASONS / season)
    text = texts.season
    for old, new in more:
        assert old in text, old
        text = text.replace(old, new)
    store = Store(f"sqlite:///{folder / 'talk.db'}")
    try:
        yield Talk(store, SeasonText(season=text, book=texts.book))
    finally:
        store.close()
