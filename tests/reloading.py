"""A season file that is changed and loaded again while people text: what the command load does."""

from datetime import datetime

from bot.loading import load_season
from bot.rules import Season
from bot.season_file import SeasonText, read_season
from storage import newest_season
from tests.talk import Talk, at_time


def reload(talk: Talk, at: str, *more: tuple[str, str]) -> None:
    """Load the season of a talk again with pieces of its text replaced, at a time of the day or a whole ISO time."""
    with talk.store.read() as session:
        kept = newest_season(session)
        text, book = kept.season_text, kept.book_text
    for old, new in more:
        assert old in text, old
        text = text.replace(old, new)
    texts = SeasonText(season=text, book=book)
    before, season = talk.hand.season, read_season(texts)
    assert isinstance(season, Season), season
    now: datetime = talk.hand.moment(at_time(at))
    assert load_season(talk.store, texts, season, before, now)
    talk.hand = type(talk.hand)(talk.store, talk.hand.clock)
