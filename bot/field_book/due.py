"""Which sites are due on a day: by the round, after a skip, after a treatment; and how many days late they are.

A recheck is due from the first of the plan's `recheck_days` after a treatment, never before its hours are over nor
while they are not known. A visit begun on one of its days or later is the recheck; an earlier one cannot tell yet.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from bot.field_book.book import FieldBook
from bot.field_book.closed import closures, kept_out
from bot.field_book.keeping import is_kept
from bot.field_book.snapshots import plan_of
from bot.rules import Closure, Field, VisitEnd, tells_of_treatment
from storage import rounds_by, standing_samples


@dataclass(frozen=True, slots=True)
class FieldDue:
    """The sites of a field that are due on a day, with those that are rechecks, and by how many days each is late."""

    sites: tuple[int, ...]
    rechecks: frozenset[int] = frozenset()
    late: dict[int, int] = field(default_factory=dict)


def due_sites(book: FieldBook, field: Field, day: date, *, treated_by: datetime | None = None) -> list[int]:
    """Give the sites that are to be sampled on a day, those finished on it too: by `due_on`."""
    return list(due_on(book, field, day, treated_by=treated_by).sites)


def left_sites(book: FieldBook, field: Field, day: date) -> list[int]:
    """Give the sites of a field where somebody is to go yet: due, not finished nor skipped; none of a shut field."""
    if kept_out(book, field) is not None:
        return []
    views = [book.site_view(site, day) for site in due_sites(book, field, day)]
    return [view.site for view in views if not view.is_over]


@is_kept
def due_on(book: FieldBook, field: Field, day: date, *, treated_by: datetime | None = None) -> FieldDue:
    """Give what of a field is due on a day, whether or not the field is shut.

    All of a field never sampled, or whose round ran out; the sites not finished in an open round; those skipped on
    an earlier day; those to be looked at again after a treatment that was known by a moment (now).
    """
    again = _rechecks(book, field, day, treated_by or book.now)
    newest = book.newest_round(field, day)
    if newest is None:
        return FieldDue(field.sites, frozenset(again))
    late = {site: days for site, days in again.items() if days > 0}
    ends = newest.first_day + timedelta(days=plan_of(newest.plan).every_days)
    if day >= ends:
        late |= {site: (day - ends).days for site in field.sites if day > ends}
        return FieldDue(field.sites, frozenset(again), late)
    visits = book.newest_visits(newest, day)
    sites = []
    for site in field.sites:
        visit = visits.get(site)
        skipped_before = visit is not None and visit.skipped and visit.day < day
        if visit is None or visit.day == day or visit.end is VisitEnd.OPEN or skipped_before or site in again:
            sites.append(site)
        if visit is not None and skipped_before and day - visit.day > timedelta(days=1):
            late.setdefault(site, (day - visit.day).days - 1)
    return FieldDue(tuple(sites), frozenset(again), late)


def recheck_days(book: FieldBook, field: Field, treatment: Closure) -> tuple[date, date] | None:
    """Give the first and last day on which a treated field is to be looked at again; None while hours are unknown.

    Never before the hours are over, or were ended by a text.
    """
    ends = [end for end in (treatment.until, treatment.ended_at) if end is not None]
    plan = book.plan_on(field.sites[0], book.today) or book.season.plans[field.plans[0][1]]
    days = plan.recheck_days
    if not ends or not days:
        return None
    treated = book.local(treatment.since).date()
    first = max(treated + timedelta(days=min(days)), book.local(min(ends)).date())
    return first, max(treated + timedelta(days=max(days)), first)


def _rechecks(book: FieldBook, field: Field, day: date, known_by: datetime) -> dict[int, int]:
    """Give the sites that are to be looked at again after the newest treatment, with the days they are late."""
    treatments = [
        one for one in closures(book, field) if tells_of_treatment(one) and one.known_at <= known_by
    ]
    # one whose hours were put right stands on record twice, of one time: the later holds
    newest = max(treatments, key=lambda one: (one.since, one.id), default=None)
    window = recheck_days(book, field, newest) if newest is not None else None
    if window is None or day < window[0]:
        return {}
    first, last = window
    of_field = book.newest_round(field, day)
    if day > last and (of_field is None or book.days_are_out(of_field, day)):
        # the field is due in any case: nothing is left of a recheck that was never made
        return {}
    seen = _seen_between(book, field, first, day)
    return {site: max((day - last).days, 0) for site in field.sites if site not in seen}


def _seen_between(book: FieldBook, field: Field, first: date, before: date) -> Sequence[int]:
    """Give the sites of a field with a visit that began on a day or later, and before another."""
    return [
        visit.site
        for one in rounds_by(book.session, field.number)
        for visit in one.visits
        if first <= visit.day < before and standing_samples(visit)
    ]
