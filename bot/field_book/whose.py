"""Whose a site is: the scouts of its field, or for its next visit the one to whom it was handed over."""

from collections.abc import Iterable
from datetime import time

from bot.field_book.book import FieldBook
from bot.field_book.due import due_sites
from bot.rules import Field, Person, PersonKey, Role
from storage import HandOverRow, Visit, hand_overs, happened, people_counting, rounds_by


def seen_before(row: HandOverRow) -> str:
    """Give the ledger's key by which a site was finished already on the day on which it was handed over."""
    return f"handed-after:{row.id}"


def handed_over(book: FieldBook) -> dict[int, HandOverRow]:
    """Give the hand-overs that hold now, by site: the visit is not finished, and its round not over."""
    rows = [
        row for row in hand_overs(book.session) if row.site in book.sites and _is_active(book, row.person)
    ]
    return {row.site: row for row in rows if still_holds(book, row)}


def still_holds(book: FieldBook, row: HandOverRow) -> bool:
    """Tell whether the visit for which a site was handed over is still to be finished, and its round not over."""
    field = book.sites.get(row.site)
    if field is None:
        return False
    given = book.local(row.given_at).date()
    rounds = list(rounds_by(book.session, field.number))
    visits = [visit for one in rounds for visit in one.visits if visit.site == row.site]
    if any(_ends(book, visit, row) for visit in visits if visit.day >= given):
        return False
    under = book.newest_round(field, given)
    if under is None or book.is_over(under, field, given):
        # it was handed over for a round that was yet to begin
        under = next((one for one in reversed(rounds) if one.first_day > given), None)
    return under is None or not book.days_are_out(under, book.today)


def _ends(book: FieldBook, visit: Visit, row: HandOverRow) -> bool:
    """Tell whether a visit is the one handed over, and finished."""
    if visit.day == book.local(row.given_at).date() and happened(book.session, seen_before(row)):
        return False
    return book.facts(visit).finished


def _is_active(book: FieldBook, key: str) -> bool:
    person = book.person(key)
    return person is not None and person.active


def whose_site(book: FieldBook, site: int) -> tuple[PersonKey, ...]:
    """Give those whose site it is: the one to whom it was handed over, else its field's scouts who have not left."""
    row = handed_over(book).get(site)
    if row is not None:
        return (PersonKey(row.person),)
    return tuple(key for key in book.sites[site].scouts if _is_active(book, key))


def own_sites(book: FieldBook, people: Iterable[str]) -> list[int]:
    """Give the sites of some people, in the order of the season: those of their fields, and those handed to them."""
    keys, handed = set(people), handed_over(book)
    return [
        site
        for site, field in book.sites.items()
        if (handed[site].person in keys if site in handed else keys & set(field.scouts))
    ]


def sites_in_view(book: FieldBook, person: Person) -> list[int]:
    """Give the sites of which somebody has the plan: his own, his crew's, those of the fields he supervises."""
    people = {person.key, *person.crew} if Role.LEADER in person.roles else {person.key}
    own = set(own_sites(book, people))
    if Role.SUPERVISOR in person.roles:
        own |= {site for site, field in book.sites.items() if person.key in field.supervisors}
    return [site for site in book.sites if site in own]


def people_at(book: FieldBook, field: Field) -> list[Person]:
    """Give those who may be in a field: it is in their plan of today, or they counted there today.

    A treatment of today takes nothing out of a plan that was made before it.
    """
    morning = book.at(book.today, time.min)
    due = due_sites(book, field, book.today) + due_sites(book, field, book.today, treated_by=morning)
    keys: dict[str, None] = {}
    handed = handed_over(book)
    for site in dict.fromkeys(due):
        row = handed.get(site)
        keys |= dict.fromkeys(field.scouts if row is None else [row.person])
        if row is not None and book.local(row.given_at).date() == book.today:
            # those who had it until now may be there already
            keys |= dict.fromkeys(field.scouts)
    keys |= dict.fromkeys(people_counting(book.session, field.number, book.today))
    people = [book.season.people.get(PersonKey(key)) for key in keys]
    return [one for one in people if one is not None and one.active]
