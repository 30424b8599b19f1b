"""What stands beside the visits: the counts of people in training, as the rules see them, and who waits for a check."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from bot.field_book.book import FieldBook
from bot.rules import SampleFacts, VisitFacts
from storage import CheckRow, checks_of_trainees, holds_something, standing_samples, visit_on


@dataclass(frozen=True, slots=True)
class InTraining:
    """How far somebody in training is at a site on a day: the numbers that he has in, of how many.

    `beside` are those that wait for a check; the rest of `numbers` stands.
    """

    site: int
    person: str
    beside: tuple[int, ...]
    numbers: tuple[int, ...]
    planned: int

    @property
    def complete(self) -> bool:
        """Whether all that is planned is in."""
        return len(self.numbers) >= self.planned

    @property
    def next_number(self) -> int | None:
        """The lowest number of his that is not in."""
        return next((one for one in range(1, self.planned + 1) if one not in self.numbers), None)


def in_training(book: FieldBook, site: int, day: date, person: str) -> InTraining:
    """Give how far somebody in training is at a site on a day; lost samples are not in."""
    visit = visit_on(book.session, site, day)
    standing = standing_samples(visit) if visit is not None else []
    own = {row.number for row in standing if row.person == person and not row.lost}
    beside = [
        row.number for row in checks_of_trainees(book.session, day, site=site, person=person) if not row.lost
    ]
    plan = book.plan_on(site, day)
    planned = plan.samples if plan is not None else 0
    return InTraining(site, person, tuple(beside), tuple(sorted({*own, *beside})), planned)


def sites_in_training(book: FieldBook, person: str, day: date) -> list[int]:
    """Give the sites where somebody in training has counts on a day, beside or in a visit, and has not all in."""
    rows = checks_of_trainees(book.session, day, person=person)
    beside = [row.site for row in rows if row.site in book.sites]
    sites = dict.fromkeys([*beside, *book.open_sites_of(person, day)])
    return [site for site in sites if not in_training(book, site, day, person).complete]


def waiting_trainees(book: FieldBook, day: date, sites: Iterable[int] | None = None) -> list[InTraining]:
    """Give where somebody in training has all in on a day and no check of it agrees yet, of all sites or some."""
    rows = checks_of_trainees(book.session, day)
    wanted = book.sites if sites is None else set(sites)
    pairs = dict.fromkeys((row.site, row.person) for row in rows if row.site in wanted)
    found = [in_training(book, site, day, person) for site, person in pairs]
    return [one for one in found if one.complete and one.beside]


def facts_beside(book: FieldBook, site: int, day: date) -> VisitFacts | None:
    """Give what counts beside a visit are judged under: its plan, stage and rows; None where no plan is known."""
    visit = visit_on(book.session, site, day)
    if visit is not None and visit.round is not None and holds_something(visit):
        return book.facts(visit)
    plan = book.plan_on(site, day)
    if plan is None:
        return None
    stage = book.stage_on(book.sites[site], day)
    return VisitFacts(site, day, plan, stage, book.candidate_rows(plan), samples=())


def facts_of_checks(rows: Iterable[CheckRow], plan: str) -> tuple[SampleFacts, ...]:
    """Give counts that stand beside as the rules see samples; those of another plan are left out."""
    return tuple(
        SampleFacts(row.number, row.counts, Fraction(row.effort), row.lost)
        for row in rows
        if row.plan == plan
    )
