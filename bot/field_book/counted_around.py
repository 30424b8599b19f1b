"""Which visits of a field were made before a treatment and which after it; and which of an untreated check beside them.

By the day where the days differ, on the same day by when the samples were sent. A count put right later is of the
time at which it was first sent.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from bot.field_book.book import FieldBook
from bot.field_book.snapshots import plan_of
from bot.rules import Field, VisitFacts
from storage import SampleRow, Visit, VisitState, standing_samples, visits_of_field

CHECK_WITHIN = timedelta(days=3)
"""How far apart a field and its untreated check may be counted (common practice)."""


@dataclass(frozen=True, slots=True)
class Counted:
    """A visit that shows a site, with its row on record."""

    row: Visit
    facts: VisitFacts


@dataclass(frozen=True, slots=True)
class After:
    """What was counted after a treatment: a visit for each site that has one, and the sites that were skipped.

    It is `final` where no more of it is to come; `ran_out` is the day on which its days were over before that.
    """

    visits: Mapping[int, Counted]
    skipped: tuple[Visit, ...]
    final: bool
    ran_out: date | None


def counted_before(
    book: FieldBook, field: Field, began: datetime, since: datetime | None
) -> dict[int, Counted]:
    """Give the last visit of each site before a treatment, of the newest round that has half of the sites.

    What is older than the plan's `every_days` is left out, as the field was due again by then; so is what was
    counted before `since`, the end of an earlier treatment. Of rounds that all have fewer sites it is the newest.
    """
    last = book.local(began).date()
    first = last - timedelta(days=_longest(book))
    rounds: dict[int, dict[int, Counted]] = {}
    for row in visits_of_field(book.session, field.number, first, last):
        due_again = row.day + timedelta(days=plan_of(row.plan).every_days)
        fresh = due_again >= last and (since is None or _is_after(book, row, since))
        if row.round_id is not None and fresh and _is_before(book, row, began) and _shows(book, row):
            # a later visit of a site takes the place of the one before, and its round's place in the order
            rounds.setdefault(row.round_id, {})[row.site] = Counted(row, book.facts(row))
    newest_first = sorted(
        rounds.values(), key=lambda of: max(one.row.day for one in of.values()), reverse=True
    )
    enough = [of for of in newest_first if 2 * len(of) >= len(field.sites)]
    return next(iter([*enough, *newest_first]), {})


def counted_after(book: FieldBook, field: Field, first: date, until: datetime | None, by: date) -> After:
    """Give the first visit of each site from the first day of the recheck on, up to a day.

    They are of as many days as the plan has from one round to the next, and of none from `until` on, when the next
    treatment may have begun. All is final when each site was finished or skipped, and when those days are over.
    """
    rows = [
        row
        for row in visits_of_field(book.session, field.number, first, by)
        if until is None or _is_before(book, row, until)
    ]
    begun = next((row for row in rows if _is_over(book, row)), None)
    if begun is None:
        return After({}, (), final=until is not None, ran_out=None)
    ends = begun.day + timedelta(days=plan_of(begun.plan).every_days)
    within = [row for row in rows if begun.day <= row.day < ends]
    over = {row.site for row in within if _is_over(book, row)}
    skipped = {row.site: row for row in within if row.state == VisitState.SKIPPED and row.site not in over}
    visits: dict[int, Counted] = {}
    for row in within:
        if row.site not in visits and _shows(book, row):
            visits[row.site] = Counted(row, book.facts(row))
    ran_out = ends if by >= ends and over | set(skipped) != set(field.sites) else None
    final = over | set(skipped) == set(field.sites) or ran_out is not None or until is not None
    return After(visits, tuple(skipped.values()), final, ran_out)


def counted_near(book: FieldBook, field: Field, near: date, first: date, last: date) -> dict[int, Counted]:
    """Give the visit of each site of a check nearest to a day: within three days of it, from a first to a last day."""
    found: dict[int, Counted] = {}
    begins, ends = max(near - CHECK_WITHIN, first), min(near + CHECK_WITHIN, last)
    for row in visits_of_field(book.session, field.number, begins, ends):
        beside = found.get(row.site)
        if (beside is None or abs(row.day - near) < abs(beside.row.day - near)) and _shows(book, row):
            found[row.site] = Counted(row, book.facts(row))
    return found


def first_sent(row: Visit) -> list[SampleRow]:
    """Give for each sample of a visit that stands the row in which it first came."""
    known = {one.id: one for one in row.samples}
    found = []
    for one in standing_samples(row):
        while one.replaces in known:
            one = known[one.replaces]
        found.append(one)
    return found


def _longest(book: FieldBook) -> int:
    return max(plan.every_days for plan in book.season.plans.values())


def _is_before(book: FieldBook, row: Visit, moment: datetime) -> bool:
    day = book.local(moment).date()
    return row.day < day or (row.day == day and all(sent < moment for sent in _sent(row)))


def _is_after(book: FieldBook, row: Visit, moment: datetime) -> bool:
    day = book.local(moment).date()
    return row.day > day or (row.day == day and all(sent > moment for sent in _sent(row)))


def _sent(row: Visit) -> Iterable[datetime]:
    return [one.counted_at for one in first_sent(row)] or [row.begun_at]


def _shows(book: FieldBook, row: Visit) -> bool:
    """Tell whether a visit stands for its site: over, with samples enough."""
    if not _is_over(book, row):
        return False
    facts = book.facts(row)
    return not facts.too_short or book.site_view(row.site, row.day).is_enough


def _is_over(book: FieldBook, row: Visit) -> bool:
    """Tell whether a visit with counts is finished, or need not be."""
    if row.site not in book.sites or not standing_samples(row):
        return False
    return book.facts(row).finished or book.site_view(row.site, row.day).is_enough
