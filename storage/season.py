"""The season as it was loaded: every version of the file with its level book; the newest governs."""

from datetime import datetime

import sqlalchemy as sa
from sqlalchemy.orm import Session

from storage.store import DatabaseNotReady
from storage.tables import SeasonVersion


def newest_season(session: Session) -> SeasonVersion:
    """Give the season that governs.

    Raises:
        DatabaseNotReady: no season was loaded.
    """
    row = session.scalars(sa.select(SeasonVersion).order_by(SeasonVersion.id.desc()).limit(1)).first()
    if row is None:
        raise DatabaseNotReady("no season is loaded in this database: rowfoot load FILE")
    return row


def keep_season(session: Session, name: str, season_text: str, book_text: str, now: datetime) -> bool:
    """Keep a season file as the one that governs; False where it is the same to the letter already."""
    newest = session.scalars(sa.select(SeasonVersion).order_by(SeasonVersion.id.desc()).limit(1)).first()
    if newest is not None and (newest.season_text, newest.book_text) == (season_text, book_text):
        return False
    session.add(SeasonVersion(name=name, season_text=season_text, book_text=book_text, loaded_at=now))
    session.flush()
    return True
