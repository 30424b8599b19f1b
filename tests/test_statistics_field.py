"""The mean of a field from its sites and the error of it."""

import math
import random
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.regression.mixed_linear_model import MixedLM

from bot.statistics import OutOfRange, TooFewSamples, field_mean

RINGTAILS = ((7, 5, 3), (4, 2, 3))
"""Two of ten places, three of six samples each: Thompson, Sampling, chapter 13, an exercise and its solution."""

DYESTUFF = (
    (1545, 1440, 1440, 1520, 1580),
    (1540, 1555, 1490, 1560, 1495),
    (1595, 1550, 1605, 1510, 1560),
    (1445, 1440, 1595, 1465, 1545),
    (1595, 1630, 1515, 1635, 1625),
    (1520, 1455, 1450, 1480, 1445),
)
"""Yields of six batches of five: the data set Dyestuff of lme4 (Davies & Goldsmith 1972). No insects, but exact."""


def test_the_ringtails_mean_and_error_are_those_in_print() -> None:
    field = field_mean(RINGTAILS, sites_in_all=10, samples_in_all=6)
    assert field.mean == 4
    assert (10 * 6 * field.mean, (10 * 6 * field.se) ** 2) == pytest.approx((240, 3030))  # T1, in print
    assert field.se**2 == pytest.approx(0.8416667, abs=5e-8)  # T1, SELF
    assert field.se == pytest.approx(0.9174239, abs=5e-8)  # T1, SELF and R's survey
    assert 60 * field.se == pytest.approx(55.0454, abs=5e-5)  # R's survey


def test_the_ringtails_variances_are_those_in_print() -> None:
    field = field_mean(RINGTAILS)
    assert field.between_ms == pytest.approx(3 * 2)  # T1: s1² = 2, of means of three
    assert field.within_ms == pytest.approx(2.5)  # T1: s2²
    assert field.se == pytest.approx(1.0)  # T1, without the correction for a finite field


def test_the_dyestuff_components_are_those_in_print() -> None:
    field = field_mean(DYESTUFF)
    assert field.mean == pytest.approx(1527.5)  # T3, lme4
    assert field.se == pytest.approx(19.3834, abs=5e-5)  # T3, lme4
    assert field.between_component == pytest.approx(1764.05, abs=5e-3)  # T3, lme4 REML
    assert field.within_component == pytest.approx(2451.25, abs=5e-3)  # T3, lme4 REML
    assert field.between_ms == pytest.approx(11271.50, abs=5e-3)  # T3, SELF
    assert field.within_ms == pytest.approx(2451.25, abs=5e-3)  # T3, SELF


@pytest.mark.parametrize(("sites", "part"), [(RINGTAILS, 0.73), (DYESTUFF, 0.59)])
def test_pooling_samples_as_if_they_stood_alone_claims_too_small_an_error(
    sites: Sequence[Sequence[float]], part: float
) -> None:
    field = field_mean(sites)
    assert field.naive_se / field.se == pytest.approx(part, abs=5e-3)  # design/statistics.md, section 0


def test_another_engine_finds_the_dyestuffs_components_by_likelihood() -> None:
    yields, batches = np.array(DYESTUFF), np.repeat(np.arange(6), 5)
    other = MixedLM(yields.ravel(), np.ones(30), batches).fit(reml=True)
    field = field_mean(DYESTUFF)
    assert -2 * other.llf == pytest.approx(319.654, abs=5e-4)  # T3, lme4's REML criterion
    assert float(other.cov_re[0, 0]) == pytest.approx(field.between_component, rel=1e-3)
    assert other.scale == pytest.approx(field.within_component, rel=1e-3)
    assert other.bse_fe[0] == pytest.approx(field.se, rel=1e-3)


@st.composite
def equal_fields(draw: st.DrawFn) -> list[list[float]]:
    sites, samples = draw(st.integers(2, 6)), draw(st.integers(2, 6))
    site = st.lists(st.integers(0, 30).map(float), min_size=samples, max_size=samples)
    return draw(st.lists(site, min_size=sites, max_size=sites))


@given(equal_fields())
def test_the_components_make_the_error(sites: list[list[float]]) -> None:
    field, n, m = field_mean(sites), len(sites), len(sites[0])
    assert field.between_ms is not None
    assert field.between_component is not None
    assert field.within_component is not None
    assert field.se**2 == pytest.approx(field.between_ms / (n * m), abs=1e-12)
    if field.between_component > 0:
        together = field.between_component / n + field.within_component / (n * m)
        assert field.se**2 == pytest.approx(together)


@given(equal_fields())
def test_the_mean_squares_share_out_the_whole_variance(sites: list[list[float]]) -> None:
    field, n, m = field_mean(sites), len(sites), len(sites[0])
    assert field.between_ms is not None
    assert field.within_ms is not None
    whole = (n - 1) * field.between_ms + n * (m - 1) * field.within_ms
    assert whole == pytest.approx(float(np.var(sites)) * n * m, abs=1e-9)
    assert field.naive_se == pytest.approx(math.sqrt(float(np.var(sites, ddof=1)) / (n * m)), abs=1e-12)


@given(equal_fields())
def test_the_mean_squares_are_those_of_another_engines_analysis_of_variance(sites: list[list[float]]) -> None:
    field = field_mean(sites)
    assert field.between_ms is not None
    assert field.within_ms is not None
    if field.within_ms > 0:
        assert stats.f_oneway(*sites).statistic == pytest.approx(field.between_ms / field.within_ms, abs=1e-9)


@given(equal_fields(), st.floats(0.1, 100))
def test_another_unit_changes_mean_and_error_alike(sites: list[list[float]], factor: float) -> None:
    field, other = field_mean(sites), field_mean([[factor * value for value in site] for site in sites])
    assert other.mean == pytest.approx(factor * field.mean)
    assert other.se == pytest.approx(factor * field.se, abs=1e-9)


@given(equal_fields(), st.randoms(use_true_random=False))
def test_neither_the_order_of_sites_nor_of_samples_matters(
    sites: list[list[float]], shuffler: random.Random
) -> None:
    other = [shuffler.sample(site, len(site)) for site in sites]
    shuffler.shuffle(other)
    one, two = field_mean(sites), field_mean(other)
    assert (two.mean, two.se) == pytest.approx((one.mean, one.se))


@given(equal_fields(), st.integers(0, 20), st.integers(0, 20))
def test_a_finite_field_never_has_the_larger_error_where_sites_differ_more(
    sites: list[list[float]], more_sites: int, more_samples: int
) -> None:
    open_end = field_mean(sites)
    finite = field_mean(
        sites, sites_in_all=len(sites) + more_sites, samples_in_all=len(sites[0]) + more_samples
    )
    assert open_end.between_ms is not None
    assert open_end.within_ms is not None
    if open_end.between_ms >= open_end.within_ms:
        assert finite.se <= open_end.se + 1e-12


@given(equal_fields())
def test_a_field_seen_whole_has_no_error(sites: list[list[float]]) -> None:
    assert field_mean(sites, sites_in_all=len(sites), samples_in_all=len(sites[0])).se == 0


def test_sites_that_differ_less_than_their_samples_add_no_variance() -> None:
    field = field_mean([[0, 10], [10, 0], [5, 5]])
    assert field.between_component == 0
    assert field.between_ms == 0


def test_sites_of_unequal_sizes_give_the_error_between_them_alone() -> None:
    field = field_mean([[1, 2], [3], [5, 5, 5]])
    means = [1.5, 3, 5]
    assert field.mean == pytest.approx(np.mean(means))  # each site weighs the same
    assert field.se == pytest.approx(np.std(means, ddof=1) / math.sqrt(3))
    assert (field.between_ms, field.within_ms) == (None, None)
    assert (field.between_component, field.within_component) == (None, None)


def test_a_single_site_has_the_error_within_it() -> None:
    field = field_mean([[7, 5, 3]])
    assert (field.mean, field.se) == pytest.approx((5, math.sqrt(4 / 3)))
    assert (field.between_ms, field.between_component) == (None, None)


@pytest.mark.parametrize("sites", [[], [[]], [[1, 2], []], [[3]]])
def test_too_few_sites_or_samples_are_refused(sites: Sequence[Sequence[float]]) -> None:
    with pytest.raises(TooFewSamples):
        field_mean(sites)


@pytest.mark.parametrize(("sites_in_all", "samples_in_all"), [(1, None), (0, None), (None, 2), (10, 0)])
def test_more_seen_than_there_are_is_refused(sites_in_all: int | None, samples_in_all: int | None) -> None:
    with pytest.raises(OutOfRange, match="were seen"):
        field_mean(RINGTAILS, sites_in_all=sites_in_all, samples_in_all=samples_in_all)


def test_a_value_whose_square_has_no_end_is_refused() -> None:
    with pytest.raises(OutOfRange, match=r"1e\+155 is over 1e\+100, the most in one sample"):
        field_mean([[1e155, 1], [2, 3]])
    assert math.isfinite(field_mean([[1e100, 0], [0, 1e100]]).se)


@pytest.mark.parametrize("value", [-1.0, math.nan, math.inf])
def test_a_value_that_no_sample_has_is_refused(value: float) -> None:
    with pytest.raises(OutOfRange, match="0 or more"):
        field_mean([[1, value], [2, 3]])
