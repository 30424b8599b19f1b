"""The account of a day: the fields and sites of a reader, what was due, what changed late."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta

from bot.field_book import FieldBook, FieldView, SiteView
from bot.rules import (
    CrossingKind,
    Field,
    Person,
    Role,
    Season,
    VisitEnd,
)
from storage import (
    CrossingRow,
    crossings_since,
)


@dataclass(frozen=True, slots=True)
class Account:
    """A day's account of some fields, put into words per language by `digest_texts`."""

    day: date
    views: tuple[FieldView, ...]
    sites: tuple[SiteView, ...]
    due: frozenset[int]
    late: tuple[CrossingRow, ...] = field(default=())


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
    due = frozenset(site for one in chosen for site in _due_sites(book, one, today))
    since = book.at(today - timedelta(days=1), book.season.day_ends)
    late = tuple(
        row
        for row in crossings_since(book.session, since)
        if row.field in {one.number for one in chosen}
        and (row.late or (row.kind == CrossingKind.WITHDRAWN and row.day < today))
    )
    return Account(today, views, sites, due, late)


def _due_sites(book: FieldBook, one: Field, day: date) -> list[int]:
    """Give the sites that were to be sampled on a day: of a field never sampled, in an open round, or due again."""
    newest = book.newest_round(one, day)
    if newest is None or book.days_are_out(newest, day):
        return list(one.sites)
    visits = book.newest_visits(newest)
    return [
        site
        for site in one.sites
        if site not in visits or visits[site].day == day or visits[site].end is VisitEnd.OPEN
    ]
