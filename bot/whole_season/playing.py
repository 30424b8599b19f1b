"""Plays a script against a database by the road of the texts that are taken by hand."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from bot.by_hand import ByHand
from bot.loading import load_season
from bot.rules import PersonKey, Season
from bot.season_file import SeasonText, faults_against, read_season
from bot.whole_season.happening import Caused, Happening, Reloads, Says, Strikes
from bot.whole_season.script import Script
from bot.whole_season.season_text import read_whole_season, season_texts
from storage import Store


def play(script: Script, store: Store) -> Iterator[tuple[Happening, tuple[Caused, ...]]]:
    """Play a script from its first text to its last; give each happening with the texts that it caused."""
    player = Player(store)
    while (happening := script.next()) is not None:
        caused = player.do(happening)
        script.hears(happening, caused)
        yield happening, caused


class Player:
    """Does what happens to a database, by the road of the real texts and of the real clock."""

    def __init__(self, store: Store) -> None:
        """Load the season that ships into a database that holds none."""
        self.store = store
        self.texts = season_texts()
        self.season = read_whole_season(self.texts)
        load_season(store, self.texts, self.season, None, _long_before(self.season))
        self.hand = ByHand(store, lambda: _long_before(self.season))

    def do(self, happening: Happening) -> tuple[Caused, ...]:
        """Let something happen; give the texts that it caused."""
        match happening:
            case Says(at=at, sent=sent, text=text, id=name):
                phone = self.phone_of(happening)
                said = None if sent is None else sent.isoformat()
                return _caused(self.hand.take(phone, text, at.isoformat(), said, name))
            case Strikes(at=at):
                return _caused(self.hand.strike(at))
            case Reloads(at=at, season=text):
                self._load(SeasonText(text, self.texts.book), at)
                return ()

    def phone_of(self, says: Says) -> str:
        """Give the phone that a text comes from, as the season has it now."""
        person = self.season.people.get(PersonKey(says.who))
        return says.who if person is None or person.phone is None else person.phone

    def _load(self, texts: SeasonText, at: datetime) -> None:
        """Load a changed season file by the checks of `load`.

        Raises:
            ValueError: it has faults, or may not follow the one that is loaded.
        """
        season = read_season(texts)
        if not isinstance(season, Season):
            raise ValueError(f"the changed season has faults: {season}")  # noqa: TRY004  its text is wrong
        if faults := faults_against(self.season, season):
            raise ValueError(f"the changed season may not follow: {faults}")
        load_season(self.store, texts, season, self.season, at)
        self.season, self.texts = season, texts


def _caused(texts: Sequence[dict[str, str]]) -> tuple[Caused, ...]:
    return tuple(Caused(one["to"], one["purpose"], one["text"]) for one in texts)


def _long_before(season: Season) -> datetime:
    return datetime(2027, 5, 1, 8, tzinfo=ZoneInfo(season.timezone))
