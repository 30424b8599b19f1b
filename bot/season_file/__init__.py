"""The season file: read, checked, and made into the season that the rules go by; all its faults in one go."""

from bot.season_file.books import LevelBook, Origin, RowInForce, SeasonLevels, read_book, season_levels
from bot.season_file.changes import faults_against
from bot.season_file.faults import Fault
from bot.season_file.phones import normal_phone
from bot.season_file.reading import (
    SeasonFileError,
    SeasonFileUnreadable,
    SeasonText,
    read_book_text,
    read_texts,
    shipped_books,
)
from bot.season_file.remarks import remarks_on
from bot.season_file.season import read_season
from bot.season_file.snapshots import level_from_json, level_to_json, plan_from_json, plan_to_json

__all__ = [
    "Fault",
    "LevelBook",
    "Origin",
    "RowInForce",
    "SeasonFileError",
    "SeasonFileUnreadable",
    "SeasonLevels",
    "SeasonText",
    "faults_against",
    "level_from_json",
    "level_to_json",
    "normal_phone",
    "plan_from_json",
    "plan_to_json",
    "read_book",
    "read_book_text",
    "read_season",
    "read_texts",
    "remarks_on",
    "season_levels",
    "shipped_books",
]
