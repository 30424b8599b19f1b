"""E-mail addresses in the season file: one plain address a person, or a fault that says so."""

import pytest

from bot.rules import PersonKey, Season
from bot.season_file import Fault, SeasonText, read_season, read_texts
from tests.conftest import LARKSPUR

JUNE = 'name = "June Abbot"\n'


def with_address(written: str) -> Season | tuple[Fault, ...]:
    texts = read_texts(LARKSPUR)
    assert JUNE in texts.season
    season = texts.season.replace(JUNE, f"{JUNE}email = {written}\n")
    return read_season(SeasonText(season=season, book=texts.book))


@pytest.mark.parametrize(
    "address",
    [
        "june@larkspur.example",
        "June.Abbot+cotton@mail.larkspur.example",
        "o'neil_1@xn--caf-dma.example",
        "j@1.example",
        f"{'j' * 64}@larkspur.example",
    ],
)
def test_a_persons_address_is_kept_as_written(address: str) -> None:
    season = with_address(f'"{address}"')
    assert isinstance(season, Season)
    assert season.people[PersonKey("june")].email == address
    assert season.people[PersonKey("beto")].email is None


@pytest.mark.parametrize(
    "written",
    [
        '""',
        '"june"',
        '"june@larkspur"',
        '"@larkspur.example"',
        '"june@"',
        '"june@larkspur..example"',
        '".june@larkspur.example"',
        '"june..abbot@larkspur.example"',
        '"june@-larkspur.example"',
        '"june abbot@larkspur.example"',
        '"June <june@larkspur.example>"',
        '"june@larkspur.example, beto@larkspur.example"',
        '"june@larkspur.example\\n"',
        '"june@larkspur.example\\r\\nBcc: all@larkspur.example"',
        '"juné@larkspur.example"',
        f'"{"j" * 65}@larkspur.example"',
        f'"june@{"larkspur." * 30}example"',
        "7",
        '["june@larkspur.example"]',
    ],
)
def test_what_is_not_one_plain_address_is_a_fault(written: str) -> None:
    faults = with_address(written)
    assert faults == (
        Fault(
            "people.june.email",
            'This must be one plain e-mail address, like "june@larkspur.example".',
        ),
    )
