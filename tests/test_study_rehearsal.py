"""A slice of the rehearsal study: sequential plans keep their errors, certain fields their calls; both save samples."""

from fractions import Fraction

import pytest
from scipy.stats import nbinom

from bot.rehearsal import Way
from bot.statistics import stop_lines
from tests.studies.rehearsal import (
    CHANCE,
    MOST_PART,
    NO_MOST,
    PLANS,
    Lines,
    certain_at,
    field,
    fixed_as_good,
    keeps_all_calls,
    most_rows,
    one_site,
    standard_error,
    walked_at,
    walked_otherwise,
)

SITES = 400


@pytest.mark.parametrize("lines", PLANS, ids=str)
def test_with_no_most_both_errors_are_kept_exactly_and_samples_are_saved(lines: Lines) -> None:
    assert lines.exact(lines.low).called_high <= CHANCE
    assert lines.exact(lines.high).called_low <= CHANCE
    samples = [lines.exact(mean).n for mean in (lines.high / 2, 2 * lines.high)]
    assert sum(samples) / 2 <= MOST_PART * fixed_as_good(lines)[0]


def test_the_fixed_plan_that_is_as_good_is_the_smallest() -> None:
    lines = PLANS[0]
    n, cut = fixed_as_good(lines)
    assert (n, cut) == (22, 37)

    def errors(samples: int, mark: int) -> tuple[float, float]:
        shape = 1.2 * samples
        low, high = (nbinom(shape, shape / (shape + samples * mean)) for mean in (1.2, 2.4))
        return float(low.sf(mark - 1)), float(high.cdf(mark - 1))

    assert max(errors(n, cut)) <= CHANCE
    assert min(max(errors(n - 1, mark)) for mark in range(100)) > CHANCE


def test_with_no_most_the_rules_are_as_often_wrong_as_is_exact() -> None:
    lines = PLANS[0]
    free = one_site(lines, NO_MOST)
    for mean in (lines.low, lines.high):
        exact = lines.exact(mean)
        seen = walked_at(free, mean, SITES, seed=1, processes=1)
        assert seen.share_above == pytest.approx(
            exact.called_high, abs=4 * standard_error(exact.called_high, SITES)
        )
        assert seen.mean_samples == pytest.approx(exact.n, abs=4 * exact.n / SITES**0.5)


def test_what_a_most_costs_stands_beside_its_samples() -> None:
    rows = list(most_rows(20, seed=1, processes=1))
    assert [row[0] for row in rows] == ["10", "15", "20", "30", "none, looked at from 1 on"]
    exact = [float(row[1].split(" ")[0]) for row in rows]
    assert exact == sorted(exact, reverse=True)
    assert (exact[0], exact[-1]) == (0.171, 0.057)


def test_certain_fields_are_called_as_the_fixed_plan_calls_them() -> None:
    at = certain_at(40, seed=1, processes=1)
    assert keeps_all_calls(at)
    assert sum(one.ways[Way.CERTAIN].fields for one in at) == 400


def test_asking_after_every_sample_makes_nothing_else_of_a_field() -> None:
    assert walked_otherwise(field(sample_by_sample=False), Way.CERTAIN, 4, seed=2) == 0


def test_lines_lie_on_either_side_of_the_level() -> None:
    for lines in PLANS:
        assert abs(Fraction(stop_lines(lines.plan).slope) - lines.level) < (lines.high - lines.low) / 8
