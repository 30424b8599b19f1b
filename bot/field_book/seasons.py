"""The season that governs, read from the database once per version."""

import threading

from bot.rules import Season
from bot.season_file import SeasonText, read_season
from storage import DatabaseNotReady, Session, newest_season


class SeasonShelf:
    """Keeps the season last read, so that a text does not read the whole file again."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._version: int | None = None
        self._season: Season | None = None

    def season(self, session: Session) -> Season:
        """Give the season that governs now.

        Raises:
            DatabaseNotReady: no season was loaded, or this programme no longer takes the one that was.
        """
        row = newest_season(session)
        with self._lock:
            if self._season is None or self._version != row.id:
                read = read_season(SeasonText(season=row.season_text, book=row.book_text))
                if not isinstance(read, Season):
                    raise DatabaseNotReady(f"the season in the database has faults now: {read[0]}")
                self._season, self._version = read, row.id
            return self._season
