"""Plans and levels kept with a visit come back from JSON as they went in, to the last fraction."""

import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.rules import Effort, Level, Plan, Season, Unit
from bot.season_file import (
    level_from_json,
    level_to_json,
    plan_from_json,
    plan_to_json,
    read_season,
    read_texts,
    shipped_books,
)

SEASONS = Path(__file__).parent.parent / "fixtures" / "seasons"
FRACTIONS = st.fractions(min_value=Fraction(1, 1000), max_value=1000)


def season_with(book: str, folder: Path) -> Season:
    """Give the plain season with another book, all of whose rows are in force that can be."""
    text = (SEASONS / "plain.toml").read_text(encoding="utf-8")
    file = folder / "season.toml"
    file.write_text(
        text.replace("plain_book.toml", book).replace("samples =", 'level = "none"\nsamples ='),
        encoding="utf-8",
    )
    season = read_season(read_texts(file))
    assert isinstance(season, Season)
    return season


def plans_and_levels() -> tuple[list[Plan], list[Level]]:
    seasons = [read_season(read_texts(SEASONS / name)) for name in ("larkspur.toml", "plain.toml")]
    good = [season for season in seasons if isinstance(season, Season)]
    return [plan for s in good for plan in s.plans.values()], [level for s in good for level in s.levels]


PLANS, LEVELS = plans_and_levels()


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.key)
def test_a_plan_comes_back_as_it_went_in(plan: Plan) -> None:
    assert plan_from_json(json.loads(json.dumps(plan_to_json(plan)))) == plan


@pytest.mark.parametrize("level", LEVELS, ids=lambda level: level.id)
def test_a_level_comes_back_as_it_went_in(level: Level) -> None:
    assert level_from_json(json.loads(json.dumps(level_to_json(level)))) == level


@pytest.mark.parametrize("book", shipped_books())
def test_the_levels_of_every_book_come_back_as_they_went_in(book: str, tmp_path: Path) -> None:
    for level in season_with(book, tmp_path).levels:
        assert level_from_json(json.loads(json.dumps(level_to_json(level)))) == level


@given(low=FRACTIONS, weight=FRACTIONS, amount=FRACTIONS)
def test_no_fraction_of_a_level_is_bent(low: Fraction, weight: Fraction, amount: Fraction) -> None:
    level = replace(LEVELS[0], low=low, high=low, count={"adult": weight}, per=Effort(amount, Unit.SWEEPS))
    assert level_from_json(json.loads(json.dumps(level_to_json(level)))) == level


@given(amount=FRACTIONS, hoop=FRACTIONS)
def test_no_fraction_of_a_plan_is_bent(amount: Fraction, hoop: Fraction) -> None:
    plan = replace(PLANS[0], each=Effort(amount, Unit.SWEEPS), hoop_in=hoop)
    assert plan_from_json(json.loads(json.dumps(plan_to_json(plan)))) == plan


def test_a_fraction_is_written_as_one() -> None:
    level = replace(LEVELS[0], low=Fraction(3, 5))
    assert level_to_json(level)["low"] == "3/5"
