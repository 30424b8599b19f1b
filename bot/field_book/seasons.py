"""The season that governs, read from the database once per version; and whose a phone was before it was loaded."""

import threading
from datetime import datetime

from bot.rules import Person, Season
from bot.season_file import SeasonText, read_season
from storage import DatabaseNotReady, Session, newest_season, newest_version, season_before


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
        newest = newest_version(session)
        with self._lock:
            if self._season is None or self._version != newest:
                row = newest_season(session)
                read = read_season(SeasonText(season=row.season_text, book=row.book_text))
                if not isinstance(read, Season):
                    raise DatabaseNotReady(f"the season in the database has faults now: {read[0]}")
                self._season, self._version = read, row.id
            return self._season


def holder_before(session: Session, phone: str, moment: datetime) -> Person | None:
    """Give who had a phone at a moment before the newest season file was loaded, as he stood in that file.

    None where the newest governed then already, or nobody had the phone.
    """
    row = season_before(session, moment)
    read = read_season(SeasonText(season=row.season_text, book=row.book_text)) if row is not None else None
    return read.person_with(phone) if isinstance(read, Season) else None
