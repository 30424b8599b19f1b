"""Loading a season file into the database: kept as the one that governs, and what is under way follows its people."""

from datetime import datetime

from bot.conversation import follow_season
from bot.field_book import FieldBook
from bot.rules import Season
from bot.season_file import SeasonText
from storage import Session, Store, keep_season

__all__ = ["load_season"]


def load_season(
    store: Store, texts: SeasonText, season: Season, before: Season | None, now: datetime
) -> bool:
    """Keep a season file that has no faults, all in one transaction; False where it is loaded already."""

    def step(session: Session) -> bool:
        changed = keep_season(session, season.name, texts.season, texts.book, now)
        if changed and before is not None:
            follow_season(FieldBook(session, season, now), before)
        return changed

    return store.write(step)
