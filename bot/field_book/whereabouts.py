"""Where somebody is and how far: his last text of today, the sites under way, done and still to come."""

from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from bot.field_book.beside import in_training, sites_in_training
from bot.field_book.book import FieldBook
from bot.field_book.due import left_sites
from bot.field_book.snapshots import plan_of
from bot.field_book.whose import handed_over, own_sites
from bot.rules import FieldState, Person, Standing
from storage import (
    Visit,
    VisitState,
    checks_of_trainees,
    newest_count,
    newest_text,
    standing_samples,
    visits_of_day,
)


@dataclass(frozen=True, slots=True)
class UnderWay:
    """A site where somebody has begun today and is not through: `n` samples in of `planned`."""

    site: int
    n: int
    planned: int


@dataclass(frozen=True, slots=True)
class Place:
    """The site or field from which somebody last counted, and when he sent it."""

    number: int
    at: datetime


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """Somebody's day so far: sites under way (the one he counted at last stands last), and done.

    `unchecked` are those where all of somebody in training is in and waits for a check: they are not done. `ahead`,
    where he has nothing under way, are the sites of his plan that nobody has begun. `silent_since` is his last text
    where he has a site under way and has not texted for too long.
    """

    person: Person
    last: datetime | None
    place: Place | None
    under_way: tuple[UnderWay, ...]
    done: tuple[int, ...]
    ahead: tuple[int, ...]
    silent_since: datetime | None
    unchecked: tuple[int, ...] = ()


def whereabouts(book: FieldBook, people: Iterable[Person]) -> list[Whereabouts]:
    """Give where some people are today, and how far."""
    visits = visits_of_day(book.session, book.today)
    return [_of(book, person, visits) for person in people]


def _of(book: FieldBook, person: Person, visits: Sequence[Visit]) -> Whereabouts:
    place = last_place(book, person)
    begun = _begun_by(book, person, visits)
    under_way = _under_way(book, person, begun, place)
    open_sites = {one.site for one in under_way}
    unchecked = tuple(site for site in begun if site not in open_sites and _is_unchecked(book, person, site))
    return Whereabouts(
        person,
        last_heard(book, person),
        place,
        under_way,
        tuple(site for site in begun if site not in open_sites and site not in unchecked),
        () if under_way else _ahead(book, person, {*begun, *(visit.site for visit in visits)}),
        silent_since(book, person) if under_way else None,
        unchecked,
    )


def _is_unchecked(book: FieldBook, person: Person, site: int) -> bool:
    return person.trainee and bool(in_training(book, site, book.today, person.key).beside)


def _ahead(book: FieldBook, person: Person, begun: Container[int]) -> tuple[int, ...]:
    mine = [site for site in own_sites(book, [person.key]) if site not in begun]
    fields = {book.sites[site].number: book.sites[site] for site in mine}
    ahead = {site for field in fields.values() for site in left_sites(book, field, book.today)}
    return tuple(site for site in mine if site in ahead)


def last_place(book: FieldBook, person: Person) -> Place | None:
    """Give where somebody last counted today, None where he has not."""
    found = newest_count(book.session, person.key, _midnight(book))
    return Place(*found) if found is not None else None


def last_heard(book: FieldBook, person: Person) -> datetime | None:
    """Give when somebody last texted today, or counts of his were sent by another for him."""
    since = _midnight(book)
    texted = newest_text(book.session, person.phone, person.key, since) if person.phone is not None else None
    counted = newest_count(book.session, person.key, since)
    said = [moment for moment in (texted, counted[1] if counted else None) if moment is not None]
    return max(said, default=None)


def silent_since(book: FieldBook, person: Person) -> datetime | None:
    """Give since when somebody has not texted today, where that is too long for one with a site under way."""
    last = last_heard(book, person)
    return last if last is not None and _is_silent(book, last) else None


def silent_people(book: FieldBook) -> list[tuple[Person, datetime]]:
    """Give those who have begun a site today, are not through, and have not texted for too long; since when."""
    keys = dict.fromkeys(
        row.person
        for visit in visits_of_day(book.session, book.today)
        if visit.state == VisitState.OPEN and not _is_full(visit)
        for row in standing_samples(visit)
    )
    keys |= dict.fromkeys(row.person for row in checks_of_trainees(book.session, book.today))
    found = []
    for key in keys:
        person = book.person(key)
        since = silent_since(book, person) if person is not None and person.active else None
        if person is not None and since is not None:
            found.append((person, since))
    return found


def _is_silent(book: FieldBook, last: datetime) -> bool:
    return book.now - last >= timedelta(minutes=book.season.silence_minutes)


def _is_full(visit: Visit) -> bool:
    """Tell whether all that a plan wants is in; a stop line may end a visit sooner."""
    have = sum(max(row.covers, 1) for row in standing_samples(visit) if not row.lost)
    return have >= plan_of(visit.plan).samples


def _midnight(book: FieldBook) -> datetime:
    return book.at(book.today, time.min)


def _begun_by(book: FieldBook, person: Person, visits: Sequence[Visit]) -> list[int]:
    """Give the sites where somebody has counts of today or that he skipped, in the order in which they began.

    A site that was handed over to another is the other's.
    """
    handed = handed_over(book)
    sites = [
        visit.site
        for visit in visits
        if any(row.person == person.key for row in standing_samples(visit))
        or (visit.state == VisitState.SKIPPED and visit.person == person.key)
    ]
    if person.trainee:
        sites += [row.site for row in checks_of_trainees(book.session, book.today, person=person.key)]
    return [
        site
        for site in dict.fromkeys(sites)
        if site in book.sites and (site not in handed or handed[site].person == person.key)
    ]


def _under_way(
    book: FieldBook, person: Person, begun: Sequence[int], place: Place | None
) -> tuple[UnderWay, ...]:
    found = []
    if person.trainee:
        for site in sites_in_training(book, person.key, book.today):
            one = in_training(book, site, book.today, person.key)
            found.append(UnderWay(site, len(one.numbers), one.planned))
    else:
        for site in begun:
            view = book.site_view(site, book.today)
            if view.visit is not None and not view.is_over and not _field_is_certain(book, site):
                found.append(UnderWay(site, view.visit.samples_in, view.visit.plan.samples))
    return tuple(sorted(found, key=lambda one: place is not None and one.site == place.number))


def _field_is_certain(book: FieldBook, site: int) -> bool:
    """Tell whether a site may be left as its field of several stands above for sure."""
    field = book.sites[site]
    if not field.several:
        return False
    standing = book.field_view(field).standing
    return standing.state is FieldState.CERTAIN and any(
        one.certain and one.standing is Standing.ABOVE for one in standing.figures
    )
