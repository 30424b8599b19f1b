"""Shares with a level, as they were looked at: of a site on a day, of a whole field in a round."""

from collections.abc import Sequence
from datetime import date, timedelta

from bot.field_book.retention import SQUARES
from bot.rules import Field, Season, ShareFacts
from storage import Session, ShareRow, shares_of_field, shares_on


def shares_seen(session: Session, season: Season, site: int, day: date) -> tuple[ShareFacts, ...]:
    """Give what was looked at for shares at a site on a day; squares have their own road, the retention."""
    return _facts(season, shares_on(session, site, day))


def shares_of_whole_field(
    session: Session, season: Season, field: Field, since: date, by: date
) -> tuple[ShareFacts, ...]:
    """Give the shares sent for a field of several sites as one, each of the newest day from one day to another."""
    if not field.several:
        return ()
    found: dict[str, ShareRow] = {}
    for code in {share.code for share in season.shares.values()} - {SQUARES}:
        rows = shares_of_field(session, field.number, code, since, by + timedelta(days=1))
        whole = [row for row in rows if row.number == field.number]
        if whole:
            found[code] = max(whole, key=lambda row: (row.day, row.id))
    return _facts(season, list(found.values()))


def _facts(season: Season, rows: Sequence[ShareRow]) -> tuple[ShareFacts, ...]:
    """Give shares by code: of the whole site where that was looked at, else the sum over its stops."""
    shares = []
    for code in dict.fromkeys(row.code for row in rows if row.code != SQUARES):
        share = season.share(code)
        of_code = [row for row in rows if row.code == code]
        stops = [row for row in of_code if row.sample is not None]
        taken = [row for row in of_code if row.sample is None] or stops
        if share is None:
            continue
        shares.append(
            ShareFacts(
                share.key,
                n=sum(row.n for row in taken),
                of=sum(row.of for row in taken),
                look=share.look,
                stops=tuple((row.n, row.of) for row in stops) if taken is stops else (),
            )
        )
    return tuple(shares)
