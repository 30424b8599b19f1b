"""The untreated check that a season names for a field, and what is no check."""

import pytest

from bot.rules import Season
from bot.season_file import SeasonText, read_season
from tests.test_season_faults import PLAIN, Edit, edited, faults_with, field, the_fault


def check(number: object) -> Edit:
    """Name a check of field 12."""
    return "sites = 3", f"untreated_check = {number}"


def test_a_field_has_the_check_that_the_season_names_and_none_by_itself() -> None:
    season = read_season(SeasonText(edited(PLAIN.season, check(14)), PLAIN.book))
    assert isinstance(season, Season)
    assert (season.fields[12].untreated_check, season.fields[14].untreated_check) == (14, None)


@pytest.mark.parametrize(
    ("number", "says"),
    [
        (15, "There is no field 15."),
        (12, "A field is not its own check."),
        ('"14"', "whole number"),
        ("[14]", "whole number"),
    ],
)
def test_what_is_no_other_field_is_no_check(number: object, says: str) -> None:
    fault = the_fault(check(number))
    assert fault.path == "fields.12.untreated_check"
    assert says in fault.says


def test_a_check_has_no_check_itself() -> None:
    fault = the_fault(check(14), ("[fields.14]", "[fields.14]\nuntreated_check = 16"), field(16))
    assert (fault.path, fault.says) == (
        "fields.12.untreated_check",
        "14 has a check itself (fields.14.untreated_check), so it is to be treated too.",
    )


def test_two_fields_that_are_each_others_check_are_two_faults() -> None:
    found = faults_with(check(14), ("[fields.14]", "[fields.14]\nuntreated_check = 12"))
    assert [one.path for one in found] == ["fields.12.untreated_check", "fields.14.untreated_check"]


def test_one_field_may_be_the_check_of_several() -> None:
    assert faults_with(check(14), field(16, "untreated_check = 14")) == ()
