"""A slice of the coverage study: the intervals keep their word, or the table says what breaks it."""

import math
from collections import Counter

import pytest

from bot.statistics import IntervalMethod
from tests.studies.coverage import GRID, MOST_UNDER, Coverage, coverage, report

VISITS = 250
CHANCE = 3 * math.sqrt(0.2 * 0.8 / VISITS)
"""Three standard errors of a coverage in so few visits: the slice sees a broken method, not a point or two."""


@pytest.fixture(scope="module")
def points() -> list[Coverage]:
    """The study at every point of the grid, with few visits."""
    return [point for mean, k in GRID for point in coverage(mean, k, VISITS, seed=7)]


def test_intervals_hold_the_true_mean_as_often_as_they_say(points: list[Coverage]) -> None:
    for point in points:
        assert point.held >= point.confidence - MOST_UNDER - CHANCE, point


def test_where_the_profile_serves_it_misses_no_more_often_than_it_says(points: list[Coverage]) -> None:
    for point in points:
        by_profile = point.missed[IntervalMethod.NB_PROFILE] / point.visits
        assert by_profile <= 1 - point.confidence + MOST_UNDER + CHANCE, point


def test_a_short_coverage_says_beside_itself_why() -> None:
    missed = Counter({IntervalMethod.POISSON_EXACT: 1, IntervalMethod.ZEROS_BOUND: 9})
    short = Coverage(0.3, 0.5, 0.95, 100, missed)
    assert short.is_short
    assert short.why.startswith("9.0 %: all ten samples empty")
    assert "| 0.3 | 0.5 | 95% | 90.0% | 9.0 %: all ten" in report([short])


def test_a_coverage_that_keeps_its_word_needs_no_reason() -> None:
    good = Coverage(1.0, math.inf, 0.8, 100, Counter({IntervalMethod.POISSON_EXACT: 12}))
    assert good.why == ""
    assert report([good]).endswith("| 1 | Poisson | 80% | 88.0% | - |")


def test_a_seed_draws_the_same_visits_again() -> None:
    assert coverage(1.0, 1.0, 30, seed=3) == coverage(1.0, 1.0, 30, seed=3)
