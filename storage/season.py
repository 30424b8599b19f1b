"""The season as it was loaded: every version of the file with its level book; the newest governs."""

from datetime import datetime

import sqlalchemy as sa
from sqlalchemy.orm import Session

from storage.store import DatabaseNotReady
from storage.tables import SeasonVersion

_NEWEST = sa.select(sa.func.max(SeasonVersion.id))


def newest_version(session: Session) -> int | None:
    """Give the number of the version that governs, None where no season was loaded."""
    return session.scalar(_NEWEST)


def newest_season(session: Session) -> SeasonVersion:
    """Give the season that governs.

    Raises:
        DatabaseNotReady: no season was loaded.
    """
    row = session.scalars(sa.select(SeasonVersion).order_by(SeasonVersion.id.desc()).limit(1)).first()
    if row is None:
        raise DatabaseNotReady("no season is loaded in this database: rowfoot load FILE")
    return row


def season_before(session: Session, moment: datetime) -> SeasonVersion | None:
    """Give the season that governed at a moment before the newest was loaded; None where that one did, or none."""
    loaded = sa.select(SeasonVersion.id, SeasonVersion.loaded_at).order_by(SeasonVersion.id.desc())
    versions = session.execute(loaded).all()
    if not versions or versions[0][1] <= moment:
        return None
    found = next((key for key, loaded_at in versions if loaded_at <= moment), None)
    return session.get(SeasonVersion, found) if found is not None else None


def keep_season(session: Session, name: str, season_text: str, book_text: str, now: datetime) -> bool:
    """Keep a season file as the one that governs; False where it is the same to the letter already."""
    newest = session.scalars(sa.select(SeasonVersion).order_by(SeasonVersion.id.desc()).limit(1)).first()
    if newest is not None and (newest.season_text, newest.book_text) == (season_text, book_text):
        return False
    session.add(SeasonVersion(name=name, season_text=season_text, book_text=book_text, loaded_at=now))
    session.flush()
    return True
