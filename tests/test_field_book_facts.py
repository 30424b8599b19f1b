"""What the field book makes of the rows of a visit: sums over samples, another effort, squares stop by stop."""

from collections.abc import Iterator
from datetime import UTC, date, datetime
from fractions import Fraction
from typing import Any

import pytest

from bot.field_book import FieldBook, begin_visit
from bot.rules import Field, FieldState, Season, SquaresOn, Standing, VisitEnd, VisitFacts
from parsing import TOTALS
from storage import Arrived, EffortRow, SampleRow, Session, ShareRow, Store, keep, visit_on

DAY = date(2027, 7, 6)
ANA = "+12705550111"


def at(clock: str) -> datetime:
    """Give a time of the day in UTC; Chicago is five hours behind."""
    return datetime.fromisoformat(f"{DAY}T{clock}:00").replace(tzinfo=UTC)


class Notebook:
    """Puts rows down for the Larkspur season as its texts would: ten sheets of 3 row feet, lygus at 3 in 5."""

    def __init__(self, session: Session, season: Season) -> None:
        self.book = FieldBook(session, season, at("17:00"))
        text = keep(session, Arrived("oma", "m-1", ANA, "", "121", None, at("14:00")))
        assert text is not None
        self.said: dict[str, Any] = {"person": "ana", "text_id": text.id}

    def sample(self, site: int, number: int, *, covers: int = 0, effort: str = "3", **counts: int) -> None:
        """Put a sample down, or sums over several."""
        plan = self.book.plan_on(site, DAY)
        assert plan is not None
        row = SampleRow(
            visit=begin_visit(self.book, site, DAY, "ana", plan),
            number=number,
            covers=covers,
            form="coded",
            counts={**dict.fromkeys(plan.codes, 0), **counts},
            extras={},
            effort=effort,
            counted_at=at("14:00"),
            **self.said,
        )
        self.book.session.add(row)
        self.book.session.flush()

    def each(self, site: int, clock: str, amount: str, day: date = DAY) -> None:
        """Put down what one sample takes from a time on."""
        row = EffortRow(site=site, field=12, day=day, amount=amount, said_at=at(clock), **self.said)
        self.book.session.add(row)
        self.book.session.flush()

    def squares(self, number: int, n: int, of: int, sample: int | None = None, day: date = DAY) -> None:
        """Put down squares still on, of a stop or of all."""
        row = ShareRow(
            number=number,
            field=12,
            day=day,
            code="SQ",
            sample=sample,
            n=n,
            of=of,
            counted_at=at("14:00"),
            **self.said,
        )
        self.book.session.add(row)
        self.book.session.flush()

    def facts(self, site: int) -> VisitFacts:
        """Give the visit of a site as the rules see it."""
        visit = visit_on(self.book.session, site, DAY)
        assert visit is not None
        return self.book.facts(visit)

    @property
    def field(self) -> Field:
        """Field 12, of sites 121, 123 and 125."""
        return self.book.sites[121]


@pytest.fixture
def note(store: Store, larkspur: Season) -> Iterator[Notebook]:
    """A notebook on the Larkspur season; what is put down is seen in its own session only."""
    with store.read() as session:
        yield Notebook(session, larkspur)


def lygus(note: Notebook, site: int = 121) -> tuple[Fraction | None, Standing, bool]:
    """Give the density, standing and certainty of plant bugs at a site."""
    (figures,) = note.book.site_view(site, DAY).figures
    return figures.density, figures.standing, figures.certain


# Sums over several samples


def test_a_row_without_sums_is_one_sample(note: Notebook) -> None:
    note.sample(121, 1, LA=1)
    (sample,) = note.facts(121).samples
    assert (sample.number, sample.covers, sample.is_sums) == (1, 1, False)


def test_sums_are_as_many_samples_as_they_cover(note: Notebook) -> None:
    # 31 + 12 plant bugs on ten sheets of 3 row feet: 43 x 5 / 30
    note.sample(121, TOTALS, covers=10, LA=31, LN=12)
    visit = note.facts(121)
    assert (visit.samples_in, visit.end, visit.spread_known) == (10, VisitEnd.DONE, False)
    assert lygus(note) == (Fraction(43, 6), Standing.ABOVE, True)


def test_a_site_with_sums_over_part_of_its_plan_is_open_still(note: Notebook) -> None:
    note.sample(121, TOTALS, covers=6, LA=9)
    assert note.book.open_sites_of("ana", DAY) == [121]
    # 9 x 5 / 18; over the whole 30 row feet they would be 1.5, so it may still end below
    assert lygus(note) == (Fraction(5, 2), Standing.BELOW, False)


def test_sums_over_the_whole_plan_end_a_site_and_the_round_of_a_field_of_one(note: Notebook) -> None:
    note.sample(14, TOTALS, covers=9)
    assert note.book.open_round(note.book.sites[14], DAY) is not None
    note.sample(14, 10)
    assert note.book.open_sites_of("ana", DAY) == []
    assert note.book.open_round(note.book.sites[14], DAY) is None


# Another effort of one sample


def test_the_effort_is_the_newest_said_by_a_moment(note: Notebook) -> None:
    for clock, amount in (("15:00", "2"), ("16:00", "5/2"), ("14:30", "4")):
        note.each(121, clock, amount)
    found = {
        clock: note.book.effort_of(121, DAY, at(clock)) for clock in ("14:29", "14:30", "15:59", "16:00")
    }
    assert found == {"14:29": None, "14:30": 4, "15:59": 2, "16:00": Fraction(5, 2)}


def test_the_later_of_two_efforts_said_at_one_moment_holds(note: Notebook) -> None:
    note.each(121, "15:00", "2")
    note.each(121, "15:00", "4")
    assert note.book.effort_of(121, DAY, at("15:00")) == 4


def test_an_effort_holds_at_its_site_on_its_day_only(note: Notebook) -> None:
    note.each(121, "15:00", "2")
    assert note.book.effort_of(123, DAY, at("16:00")) is None
    assert note.book.effort_of(121, date(2027, 7, 7), at("16:00")) is None
    note.sample(121, 1)
    note.sample(123, 1)
    assert [note.facts(121).each, note.facts(121).effort_now] == [2, 2]
    assert [note.facts(123).each, note.facts(123).effort_now] == [None, 3]


@pytest.mark.parametrize(("bugs", "certain"), [(15, False), (16, True)])
def test_what_is_in_keeps_its_effort_and_the_rest_of_the_plan_is_at_today_s(
    note: Notebook, bugs: int, *, certain: bool
) -> None:
    # 6 x 3 row feet are in, 4 x 2 to come: 3 in 5 of the 26 are 15.6 bugs
    for number in range(1, 7):
        note.sample(121, number, LA=bugs if number == 1 else 0)
    note.each(121, "15:00", "2")
    assert lygus(note) == (Fraction(bugs * 5, 18), Standing.ABOVE, certain)


@pytest.mark.parametrize(("bugs", "state"), [(43, FieldState.SO_FAR), (44, FieldState.CERTAIN)])
def test_a_field_is_certain_over_the_planned_effort_of_each_of_its_sites(
    note: Notebook, bugs: int, state: FieldState
) -> None:
    # Of 121, 4 x 3 row feet are in and 6 x 2 to come: 44 x 5 / 24 = 9.17, of three sites 3.06 in the mean
    for number in range(1, 5):
        note.sample(121, number, LN=bugs if number == 1 else 0)
    note.each(121, "15:00", "2")
    assert note.book.field_view(note.field, DAY).standing.state is state


# Squares stop by stop


def test_squares_of_stops_and_of_whole_sites_are_pooled_alike(note: Notebook) -> None:
    note.sample(121, 1)
    note.squares(121, 4, 5, sample=1)
    note.squares(121, 3, 5, sample=2)
    note.squares(123, 80, 90)
    assert note.book.site_view(121, DAY).squares == SquaresOn(87, 100)
    assert note.book.field_view(note.field, DAY).squares == SquaresOn(87, 100)


def test_stops_of_the_newest_day_alone_are_retention(note: Notebook) -> None:
    note.sample(121, 1)
    note.squares(121, 1, 5, sample=1)
    note.squares(121, 5, 5, sample=1, day=date(2027, 7, 7))
    assert note.book.squares_for(note.field, note.book.newest_round(note.field), DAY) == SquaresOn(5, 5)


@pytest.mark.parametrize(("day", "known"), [(date(2027, 6, 29), True), (date(2027, 6, 28), False)])
def test_stops_of_the_7_days_before_a_visit_are_retention_too(
    note: Notebook, day: date, *, known: bool
) -> None:
    note.squares(123, 4, 5, sample=1, day=day)
    note.sample(121, 1)
    assert note.book.site_view(121, DAY).squares == (SquaresOn(4, 5) if known else None)
