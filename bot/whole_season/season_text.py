"""The season file of the play, as it ships and as it is changed on the way."""

from pathlib import Path

from bot.rules import Season
from bot.season_file import SeasonText, read_season, read_texts


def season_texts() -> SeasonText:
    """Give the season file that ships, with its book."""
    return read_texts(Path(__file__).parent / "season.toml")


def read_whole_season(texts: SeasonText) -> Season:
    """Give the season that texts hold, which has no faults."""
    season = read_season(texts)
    if not isinstance(season, Season):
        raise TypeError(f"the invented season has faults: {season}")
    return season


def read_changed(text: str) -> Season:
    """Give the season of a changed file."""
    return read_whole_season(SeasonText(text, season_texts().book))
