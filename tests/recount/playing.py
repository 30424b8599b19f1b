"""A season played through Rowfoot by its own doors, what `show` says on the way, and the same from memory."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from bot.by_hand import ByHand
from bot.field_book import FieldBook, show
from bot.whole_season import Player, Script, play, season_texts
from bot.whole_season.happening import Caused, Happening
from storage import Store
from tests.recount.season import Look, Recount

Shown = dict[tuple[int, date], dict[str, Any]]


@dataclass(frozen=True, slots=True)
class Moment:
    """A happening of a season, the texts that it caused, and what `show` said after it."""

    happening: Happening
    caused: tuple[Caused, ...]
    shown: Shown


@dataclass(slots=True)
class Played:
    """A season that was played: its moments, and where the recount does not agree."""

    moments: list[Moment] = field(default_factory=list)
    lines: list[str] = field(default_factory=list)


def season_text() -> str:
    """Give the season file that is played."""
    return season_texts().season


def play_season(store: Store, seed: int) -> Played:
    """Play a whole season through a fresh database and recount it on the way."""
    return _recounted(play(Script(seed), store), store)


def play_by_hand(store: Store, happenings: Iterable[Happening]) -> Played:
    """Play a few happenings and recount them on the way."""
    player = Player(store)
    return _recounted(((one, player.do(one)) for one in happenings), store)


def recount_again(moments: Iterable[Moment]) -> Iterator[str]:
    """Recount what was played before, from memory."""
    recount = Recount(season_text())
    for moment in moments:
        lines = recount.happens(moment.happening, list(moment.caused), _remembered(moment.shown))
        yield from (_said(moment.happening, line) for line in lines)


def _remembered(shown: Shown) -> Look:
    return lambda numbers, day: {number: shown[number, day] for number in numbers}


def _recounted(pairs: Iterable[tuple[Happening, tuple[Caused, ...]]], store: Store) -> Played:
    recount = Recount(season_text())
    played = Played()
    shelf: ByHand | None = None
    for happening, caused in pairs:
        shelf = shelf or ByHand(store, lambda: played.moments[-1].happening.at)  # a season is loaded only now
        shown: Shown = {}
        lines = recount.happens(happening, list(caused), _look(store, shelf, happening.at, shown))
        played.moments.append(Moment(happening, caused, shown))
        played.lines += [_said(happening, line) for line in lines]
    return played


def _look(store: Store, shelf: ByHand, at: datetime, shown: Shown) -> Look:
    def look(numbers: list[int], day: date) -> dict[int, dict[str, Any]]:
        with store.read() as session:
            book = FieldBook(session, shelf.season, at)
            found = {number: show(book, number, day) for number in numbers}
        shown.update({(number, day): one for number, one in found.items() if one is not None})
        return {number: one for number, one in found.items() if one is not None}

    return look


def _said(happening: Happening, line: str) -> str:
    text = getattr(happening, "text", "")
    name = getattr(happening, "id", "")
    who = getattr(happening, "who", "the clock strikes")
    return f"{happening.at:%a %b %d %H:%M} {name} {who}: {text}\n    {line}"
