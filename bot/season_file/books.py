"""Level books row by row: a book by itself, and which of its rows a season goes by."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from bot.rules import Level, Season, StopTime
from bot.season_file.draft import Draft, read_draft
from bot.season_file.entries import given
from bot.season_file.faults import Fault
from bot.season_file.levels import level_faults, written_levels
from bot.season_file.reading import SeasonText
from bot.season_file.season import read_season
from bot.season_file.stop_times import stop_time_faults, written_stop_times

OF_THE_BOOK = "book "
"""How the path of a fault begins that lies in the book."""


@dataclass(frozen=True, slots=True)
class LevelBook:
    """A level book and all its rows, verified or not. `names` are those of targets and shares by key."""

    name: str
    region: str
    rows: tuple[Level, ...]
    names: Mapping[str, str]
    stop_times: tuple[StopTime, ...] = ()


class Origin(StrEnum):
    """Why a row is in force in a season."""

    BOOK = "book"
    ACCEPTED = "book, accepted unverified"
    SEASON = "season"
    INSTEAD = "season, in place of the book's"


@dataclass(frozen=True, slots=True)
class RowInForce:
    """A row that a season goes by; `replaces` is the book's row of the same id where there is one."""

    level: Level
    origin: Origin
    replaces: Level | None


@dataclass(frozen=True, slots=True)
class SeasonLevels:
    """The rows of a season: those in force in their order, and those of its book that wait to be accepted.

    `accepted` are the ids that the season file accepts already.
    """

    season: str
    book: LevelBook
    in_force: tuple[RowInForce, ...]
    waiting: tuple[Level, ...]
    accepted: tuple[str, ...]


def read_book(text: str, season: str = "") -> LevelBook | tuple[Fault, ...]:
    """Give the book that a text holds, or all its faults as they are said of a season that names it.

    `season` is the text of a season file, where there is one: a book may count its targets and shares too.
    Never raises for what the texts hold.
    """
    faults: list[Fault] = []
    # An empty text stands for a book that was not found; a file with nothing in it lacks its tables.
    draft = read_draft(SeasonText(season, text or "\n"), faults)
    if draft is not None:
        draft = replace(draft, rows=tuple(row for row in draft.rows if not row.own))
        faults.extend(level_faults(draft))
        faults.extend(stop_time_faults(draft))
    found = tuple(dict.fromkeys(fault for fault in faults if fault.path.startswith(OF_THE_BOOK)))
    if draft is None or found:
        return found or tuple(faults)
    return _book(draft)


def season_levels(texts: SeasonText) -> SeasonLevels | tuple[Fault, ...]:
    """Give the rows that a season goes by and those that it could accept, or the faults of its file."""
    season = read_season(texts)
    if not isinstance(season, Season):
        return season
    draft = given(read_draft(texts, []))
    book, own = _book(draft), {level.id for level in written_levels(draft, own=True)}
    of_book = {level.id: level for level in book.rows}
    governs = {level.id for level in season.levels}
    return SeasonLevels(
        season=season.name,
        book=book,
        in_force=tuple(_in_force(level, own, of_book) for level in season.levels),
        waiting=tuple(level for level in book.rows if level.id not in governs),
        accepted=tuple(draft.season.form.accept_unverified),
    )


def _in_force(level: Level, own: set[str], of_book: Mapping[str, Level]) -> RowInForce:
    if level.id in own:
        replaces = of_book.get(level.id)
        return RowInForce(level, Origin.SEASON if replaces is None else Origin.INSTEAD, replaces)
    return RowInForce(level, Origin.BOOK if level.verified else Origin.ACCEPTED, None)


def _book(draft: Draft) -> LevelBook:
    form = given(draft.book).form
    return LevelBook(
        name=given(form.name),
        region=given(form.region),
        rows=written_levels(draft, own=False),
        names={key: given(entry.form.name) for key, entry in draft.targets.items()}
        | {key: given(entry.form.name) for key, entry in draft.shares.items()},
        stop_times=written_stop_times(draft, own=False),
    )
