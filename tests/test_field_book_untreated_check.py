"""The untreated check of a treated field: which of its visits stand beside the field's, and when it is left out."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.talk import Talk, talking
from tests.test_field_book_treatments import BLOOM, CHECK, count, day, lygus


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    """A season in which field 14 has field 16 as its untreated check."""
    with talking(tmp_path, "talk.toml", CHECK, BLOOM) as opened:
        yield opened


def test_a_field_and_its_check_counted_both_times_go_by_henderson_tilton(talk: Talk) -> None:
    # design/levels.md, section 7: Tb 50, Ta 5, Cb 40, Ca 60 is 93.33 percent
    count(talk, 14, day(6), 50)
    count(talk, 16, day(6), 40)
    talk.says("opal", day(6, "12:00"), "14 SPRAYED 24")
    count(talk, 14, day(10), 5)
    count(talk, 16, day(12), 60)
    found = lygus(talk, 14, 12)
    assert (found["by"], found["check_left_out"]) == ("Henderson-Tilton", None)
    assert found["percent"] == pytest.approx(93.33, abs=5e-3)
    assert found["before_after"] == 90
    assert (found["check_before"]["days"], found["check_after"]["days"]) == (
        ["2027-07-06"] * 2,
        ["2027-07-12"] * 2,
    )
    # as of the day before the check was counted again there is only before and after
    assert lygus(talk, 14, 11)["check_left_out"] == "not counted then"


@pytest.mark.parametrize(
    ("before", "after", "by"), [(3, 13, "Henderson-Tilton"), (2, 13, "Abbott"), (3, 14, "before/after")]
)
def test_a_check_counted_over_three_days_apart_is_no_check(
    tmp_path: Path, before: int, after: int, by: str
) -> None:
    with talking(tmp_path, "talk.toml", CHECK, BLOOM) as talk:
        count(talk, 16, day(before), 40)
        count(talk, 14, day(6), 50)
        talk.says("opal", day(6, "12:00"), "14 SPRAYED 24")
        count(talk, 14, day(10), 5)
        count(talk, 16, day(after), 60)
        assert lygus(talk, 14, 14)["by"] == by


def test_one_count_of_a_check_is_never_before_and_after(talk: Talk) -> None:
    count(talk, 14, day(6), 50)
    count(talk, 16, day(6), 40)
    talk.says("opal", day(6, "12:00"), "14 SPRAYED 24")
    count(talk, 14, day(9), 5)
    assert lygus(talk, 14, 9)["check_left_out"] == "not counted then"


def test_of_several_counts_of_a_check_the_nearest_holds(talk: Talk) -> None:
    for of, nymphs in ((3, 10), (5, 40), (8, 90), (11, 60), (13, 20)):
        count(talk, 16, day(of), nymphs)
    count(talk, 14, day(6, "09:00"), 50)
    talk.says("opal", day(6, "12:00"), "14 SPRAYED 24")
    count(talk, 14, day(10), 5)
    found = lygus(talk, 14, 13)
    assert (found["check_before"]["days"][0], found["check_after"]["days"][0]) == ("2027-07-05", "2027-07-11")


@pytest.mark.parametrize("closing", ["16 SPRAYED 24", "16 POSTED", "16 SPRAYING"])
def test_a_check_that_was_shut_in_between_may_have_been_treated(talk: Talk, closing: str) -> None:
    count(talk, 14, day(6), 50)
    count(talk, 16, day(6), 40)
    talk.says("opal", day(6, "12:00"), "14 SPRAYED 24")
    talk.says("ramon", day(8), closing)
    count(talk, 14, day(10), 5)
    count(talk, 16, day(10, "09:00"), 60)
    found = lygus(talk, 14, 10)
    assert (found["by"], found["check_left_out"]) == ("before/after", "shut then")


@pytest.mark.parametrize(("treated", "by"), [(-2, "Henderson-Tilton"), (3, "before/after")])
def test_a_check_treated_in_the_week_before_is_not_untreated(tmp_path: Path, treated: int, by: str) -> None:
    at = day(treated) if treated > 0 else "2027-06-25T08:00"
    with talking(tmp_path, "talk.toml", CHECK, BLOOM) as talk:
        talk.says("ramon", at, "16 SPRAYED 24")
        count(talk, 14, day(6), 50)
        count(talk, 16, day(6), 40)
        talk.says("opal", day(6, "12:00"), "14 SPRAYED 24")
        count(talk, 14, day(10), 5)
        count(talk, 16, day(10), 60)
        assert lygus(talk, 14, 10)["by"] == by
