"""The JSON of a site with what texts say beyond its samples: sums, stops, nodes, remarks, check counts."""

from collections.abc import Iterator
from typing import Any

import pytest

from bot.field_book import show
from bot.rules import Season
from parsing import TOTALS
from storage import CheckRow, NawfRow, RemarkRow, Store, standing_samples, visit_on
from tests.test_field_book_facts import DAY, Notebook, at


@pytest.fixture
def note(store: Store, larkspur: Season) -> Iterator[Notebook]:
    """A notebook on the Larkspur season; what is put down is seen in its own session only."""
    with store.read() as session:
        yield Notebook(session, larkspur)


def shown(note: Notebook) -> dict[str, Any]:
    """Give the JSON of site 121."""
    found = show(note.book, 121, DAY)
    assert found is not None
    return found


def add(note: Notebook, *rows: object) -> None:
    note.book.session.add_all(rows)
    note.book.session.flush()


def nodes(note: Notebook, *plants: str) -> NawfRow:
    return NawfRow(number=121, field=12, day=DAY, plants=list(plants), counted_at=at("15:00"), **note.said)


def check(note: Notebook, number: int, person: str, *, lost: bool = False, **counts: int) -> CheckRow:
    whose = {**note.said, "person": person}
    return CheckRow(
        site=121,
        field=12,
        day=DAY,
        number=number,
        form="lost" if lost else "coded",
        counts=counts,
        extras={} if lost else {"SB": 1},
        lost=lost,
        effort="3",
        counted_at=at("15:00"),
        **whose,
    )


def test_a_site_without_any_of_it_says_so(note: Notebook) -> None:
    note.sample(121, 1)
    found = shown(note)
    assert (found["totals"], found["shares"], found["nawf"]) == (None, {}, None)
    assert (found["remarks"], found["checks"]) == ([], {})


def test_sums_stand_under_totals_and_not_among_the_samples(note: Notebook) -> None:
    note.sample(121, TOTALS, covers=9, FA=31, FN=12, LA=16)
    note.sample(121, 10, LN=2)
    found = shown(note)
    assert found["totals"] == {"samples": 9, "counts": {"FA": 31, "FN": 12, "LA": 16, "LN": 0, "MP": 0}}
    assert found["samples"] == {"10": {"FA": 0, "FN": 0, "LA": 0, "LN": 2, "MP": 0}}
    assert (found["samples_in"], found["state"], found["extras"], found["lost"]) == (10, "done", {}, [])


def test_a_visit_with_sums_has_no_interval_and_no_close_call(note: Notebook) -> None:
    # standing.md, Density: exactly at the level, 18 x 5 / 30
    note.sample(121, TOTALS, covers=10, LA=18)
    (level,) = shown(note)["levels"]
    assert (level["density"], level["standing"], level["certain"]) == (3.0, "above", True)
    assert (level["interval"], level["close_call"]) == (None, None)


def test_a_column_not_counted_and_extras_of_sums_are_shown_with_them(note: Notebook) -> None:
    note.sample(121, TOTALS, covers=10)
    visit = visit_on(note.book.session, 121, DAY)
    assert visit is not None
    (row,) = standing_samples(visit)
    row.counts, row.extras = {**row.counts, "FA": None}, {"SB": 3}
    found = shown(note)
    assert found["totals"]["counts"]["FA"] is None
    assert found["totals"]["extras"] == {"SB": 3}
    assert found["extras"] == {}


def test_a_share_is_the_sum_over_its_stops(note: Notebook) -> None:
    note.squares(121, 4, 5, sample=1)
    note.squares(121, 3, 5, sample=2)
    assert shown(note)["shares"] == {"SQ": {"n": 7, "of": 10}}


def test_a_share_of_the_whole_site_goes_before_its_stops(note: Notebook) -> None:
    note.squares(121, 4, 5, sample=1)
    note.squares(121, 88, 100)
    assert shown(note)["shares"] == {"SQ": {"n": 88, "of": 100}}


def test_nodes_are_numbers_plant_by_plant(note: Notebook) -> None:
    add(note, nodes(note, "6", "5.5"), nodes(note, "7"))
    assert shown(note)["nawf"] == [6, 5.5, 7]


def test_nodes_taken_back_are_not_shown(note: Notebook) -> None:
    row = nodes(note, "6")
    row.ended_at, row.ended_by = at("15:30"), note.said["text_id"]
    add(note, row)
    assert shown(note)["nawf"] is None


def test_remarks_are_shown_as_they_came(note: Notebook) -> None:
    said = [("note", "hail on north end"), ("wet", None)]
    for about, words in said:
        row = RemarkRow(
            number=121, field=12, day=DAY, about=about, words=words, said_at=at("15:00"), **note.said
        )
        add(note, row)
    assert shown(note)["remarks"] == [{"about": about, "words": words} for about, words in said]


def test_check_counts_are_shown_by_person_and_in_no_figure(note: Notebook) -> None:
    note.sample(121, 3, LA=1)
    before = shown(note)
    add(note, check(note, 3, "beto", LA=9), check(note, 4, "beto", lost=True), check(note, 3, "june", LN=2))
    found = shown(note)
    card = {"FA": None, "FN": None, "LA": None, "LN": None, "MP": None, "SB": 1}
    assert found["checks"] == {"beto": {"3": {**card, "LA": 9}}, "june": {"3": {**card, "LN": 2}}}
    assert {**found, "checks": {}} == before
