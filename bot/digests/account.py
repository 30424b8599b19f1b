"""The account of a day: the fields and sites of a reader, what was due, what changed late."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime

from bot.digests.missed import last_day
from bot.field_book import FieldBook, FieldView, SiteView, due_sites, kept_out
from bot.rules import (
    CrossingKind,
    Field,
    Person,
    Role,
    Season,
)
from storage import (
    CrossingRow,
    crossings_since,
)


@dataclass(frozen=True, slots=True)
class Account:
    """A day's account of some fields, put into words per language by `digest_texts`; `since` the last one."""

    day: date
    views: tuple[FieldView, ...]
    sites: tuple[SiteView, ...]
    due: frozenset[int]
    since: datetime
    late: tuple[CrossingRow, ...] = field(default=())


@dataclass(frozen=True, slots=True)
class Section:
    """One part of a digest and what it says, an item for each thing; `headed` where it stands under a heading."""

    name: str
    items: tuple[str, ...]
    headed: bool = True


def readers(season: Season) -> list[Person]:
    """Give those who get a digest: supervisors and leaders."""
    return [
        person
        for person in season.people.values()
        if person.active and person.roles & {Role.SUPERVISOR, Role.LEADER}
    ]


def fields_of(season: Season, person: Person) -> tuple[Field, ...]:
    """Give the fields that somebody's digest is about: those he supervises, and those his crew scouts."""
    crew = {person.key, *person.crew}
    return tuple(
        one
        for one in season.fields.values()
        if (Role.SUPERVISOR in person.roles and person.key in one.supervisors)
        or (Role.LEADER in person.roles and crew & set(one.scouts))
    )


def account_of(book: FieldBook, fields: Iterable[Field]) -> Account:
    """Give the account of today for some fields, as of now."""
    today = book.today
    chosen = tuple(fields)
    views = tuple(book.field_view(one, today) for one in chosen)
    sites = tuple(book.site_view(site, today) for one in chosen for site in one.sites)
    due = frozenset(
        site for one in chosen if kept_out(book, one) is None for site in due_sites(book, one, today)
    )
    since = book.at(last_day(book), book.season.day_ends)
    late = tuple(
        row
        for row in crossings_since(book.session, since)
        if row.field in {one.number for one in chosen}
        and (row.late or (row.kind == CrossingKind.WITHDRAWN and row.day < today))
    )
    return Account(today, views, sites, due, since, late)
