"""Phone numbers as people write them. Numbers are of the range kept for fiction (555-0100 to 555-0199)."""

import pytest

from bot.season_file import normal_phone


@pytest.mark.parametrize(
    "raw",
    [
        "+12705550111",
        "+1 270 555 0111",
        "270-555-0111",
        "(270) 555-0111",
        "270.555.0111",
        " 1 270 555 0111 ",
        "270\u2011555\u20110111",
    ],
)
def test_a_number_is_read_however_it_is_written(raw: str) -> None:
    assert normal_phone(raw, "US") == "+12705550111"


@pytest.mark.parametrize(
    "raw",
    [
        "",
        "+",
        "270-555-FARM",  # the library would make digits of the letters
        "270 555 0111 x12",
        "270 555 0111 ext. 12",
        "270 555 0111 #12",
        "270 555 0111;ext=12",
        "270 555 0111, 270 555 0112",
        "555-0111",
        "72345",  # a short code, which the library would make a number of
        "+1 555 555 0100",  # 555 is no area code
        "911",
    ],
)
def test_what_is_no_number_to_text_to_is_none(raw: str) -> None:
    assert normal_phone(raw, "US") is None


def test_a_number_without_plus_is_read_as_one_of_the_country() -> None:
    assert normal_phone("555 555 0111", "MX") == "+525555550111"
    assert normal_phone("555 555 0111", "US") is None


def test_the_old_mobile_form_of_mexico_is_read_as_the_new_one() -> None:
    assert normal_phone("+52 1 555 555 0111", "US") == "+525555550111"
