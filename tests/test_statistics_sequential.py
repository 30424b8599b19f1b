"""Wald's sequential test: his lines and what he says of them, against print and against likelihoods themselves."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from bot.statistics import (
    Binomial,
    Family,
    NegativeBinomial,
    OutOfRange,
    Poisson,
    SequentialPlan,
    StopRow,
    stop_lines,
    wald_at,
    wald_at_dummy,
)

NIST = SequentialPlan(Binomial(), low=0.01, high=0.10, alpha=0.05, beta=0.10)
"""NIST/SEMATECH e-Handbook 6.2.6, as tabulated in the documentation of the Python library `reliability`."""


@st.composite
def plans(draw: st.DrawFn) -> SequentialPlan:
    """Plans of each family that lie within what a field asks."""
    alpha, beta = draw(st.floats(0.01, 0.4)), draw(st.floats(0.01, 0.4))
    family: Family = draw(
        st.one_of(st.builds(NegativeBinomial, st.floats(0.05, 50)), st.just(Poisson()), st.just(Binomial()))
    )
    low = draw(st.floats(0.01, 0.4) if isinstance(family, Binomial) else st.floats(0.02, 20))
    return SequentialPlan(family, low, low * draw(st.floats(1.2, 2.4)), alpha, beta)


def test_the_stop_table_is_the_published_one_row_for_row() -> None:
    # W1: NIST/SEMATECH e-Handbook 6.2.6 as in `reliability`, page "Sequential sampling chart" (FOUND-2ND).
    lows = [None] * 23 + [0] * 25 + [1] * 25 + [2] * 26 + [3]
    highs = [None] + [2] * 18 + [3] * 26 + [4] * 25 + [5] * 25 + [6] * 5
    table = [StopRow(n, low, high) for n, (low, high) in enumerate(zip(lows, highs, strict=True), start=1)]
    assert list(stop_lines(NIST).rows(100)) == table


@pytest.mark.parametrize(
    ("plan", "slope", "h0", "h1", "digits"),
    [
        # W1: NIST 6.2.6, recomputed (SELF)
        (NIST, 0.0397474, 0.93886, 1.20538, 5),
        # W2: Kenett, Zacks and Gedeck 2022, test-suite of mistat, values from R Dodge (FOUND)
        (SequentialPlan(Binomial(), 0.01, 0.05, 0.05, 0.05), 0.02498542, 1.783772, 1.783772, 6),
        # W2: the same with the limit that a comment of that test says (SELF)
        (SequentialPlan(Binomial(), 0.01, 0.04, 0.05, 0.05), 0.0217150, 2.077842, 2.077842, 6),
        # W4: Montgomery, Introduction to Statistical Quality Control, recomputed (SELF)
        (SequentialPlan(Binomial(), 0.01, 0.06, 0.05, 0.10), 0.0281110, 1.22115, 1.56780, 5),
        # W5: pink bollworm in bolls, inputs of Busacca 1980 (SELF)
        (SequentialPlan(Binomial(), 0.06, 0.12, 0.2, 0.2), 0.086889, 1.826222, 1.826222, 6),
        # 1.4: the three negative binomial plans (SELF)
        (SequentialPlan(NegativeBinomial(1), 0.5, 1, 0.1, 0.1), 0.70951, 5.41902, 5.41902, 5),
        (SequentialPlan(NegativeBinomial(0.6572), 0.8, 1.2, 0.1, 0.05), 0.97848, 17.74193, 13.81907, 5),
        (SequentialPlan(NegativeBinomial(0.5), 0.10, 0.25, 0.1, 0.1), 0.16096, 3.16993, 3.16993, 5),
    ],
)
def test_the_lines_are_those_of_the_source(
    plan: SequentialPlan, slope: float, h0: float, h1: float, digits: int
) -> None:
    lines = stop_lines(plan)
    half = 0.51 * 10.0**-digits
    assert lines.slope == pytest.approx(slope, abs=half)
    assert (lines.h0, lines.h1) == pytest.approx((h0, h1), abs=half)


def test_the_lines_at_one_sample_are_the_published_ones() -> None:
    # W2: asserted in the test-suite of mistat, values from R Dodge (FOUND).
    lines = stop_lines(SequentialPlan(Binomial(), 0.01, 0.05, 0.05, 0.05))
    assert lines.slope - lines.h0 == pytest.approx(-1.7587869779636, abs=1e-12)
    assert lines.slope + lines.h1 == pytest.approx(1.80875782243078, abs=1e-12)


@pytest.mark.parametrize(("low", "high"), [(17.75, 13.82), (13.42, 10.45)])
def test_both_plans_for_corn_rootworms_have_the_errors_that_their_lines_tell(low: float, high: float) -> None:
    # W3: McAuslane, Ellis and Allen, The Canadian Entomologist, abstract: both pairs of lines are .10 and .05 (FOUND).
    lines = stop_lines(SequentialPlan(NegativeBinomial(0.9), 0.8, 1.2, alpha=0.10, beta=0.05))
    assert lines.h0 / lines.h1 == pytest.approx(low / high, rel=0.005 / high + 0.005 / low)


@pytest.mark.parametrize(
    ("i", "p", "low", "aoq", "n"),
    [
        (499, 0.0871969888, 0.00180374394096743, 0.000157281040140754, 28.5692446309825),
        (505, 0.0851260051, 0.00215153669520629, 0.000183151723642379, 29.5324157604537),
    ],
)
def test_wald_says_what_the_published_curve_says(i: int, p: float, low: float, aoq: float, n: float) -> None:
    # W2: mistat's grid of the dummy h is -4 h1 + .01 i; OC, AOQ and ASN from R Dodge (FOUND), p recomputed (SELF).
    plan = SequentialPlan(Binomial(), 0.01, 0.05, 0.05, 0.05)
    point = wald_at_dummy(plan, -4 * stop_lines(plan).h1 + 0.01 * i)
    assert point.mean == pytest.approx(p, abs=1e-10)
    assert point.low == pytest.approx(low, rel=1e-11)
    assert point.mean * point.low == pytest.approx(aoq, rel=1e-11)
    assert point.n == pytest.approx(n, rel=1e-11)


@pytest.mark.parametrize(
    ("family", "low", "high", "seed"),
    [
        (NegativeBinomial(0.6572), 0.8, 1.2, 1),
        (Poisson(), 0.5, 1.0, 2),
        (Binomial(), 0.1, 0.25, 3),
        (NegativeBinomial(1e7), 0.8, 1.2, 4),
    ],
)
def test_a_distance_from_the_line_is_a_sum_of_likelihood_ratios(
    family: Family, low: float, high: float, seed: int
) -> None:
    # 1.2: the sum of log-likelihood ratios by scipy.stats is g (T - slope n), and h0 and h1 are Wald's bounds over g.
    rng = np.random.default_rng(seed)
    alpha, beta = 0.1, 0.05
    lines = stop_lines(SequentialPlan(family, low, high, alpha, beta))
    g = math.log((1 - alpha) / beta) / lines.h0
    match family:
        case NegativeBinomial(k=k):
            counts = rng.negative_binomial(k, k / (k + low), 25)
            ratio = stats.nbinom.logpmf(counts, k, k / (k + high)) - stats.nbinom.logpmf(
                counts, k, k / (k + low)
            )
            # A form with gamma functions loses digits where k is large; ours must not.
            kept = 1e-9 if k < 1000 else 1e-3
        case Poisson():
            counts = rng.poisson(low, 25)
            ratio, kept = stats.poisson.logpmf(counts, high) - stats.poisson.logpmf(counts, low), 1e-9
        case Binomial():
            counts = rng.binomial(1, low, 25)
            ratio, kept = stats.bernoulli.logpmf(counts, high) - stats.bernoulli.logpmf(counts, low), 1e-9
    assert g * (counts.sum() - lines.slope * 25) == pytest.approx(ratio.sum(), abs=kept)


@pytest.mark.parametrize(
    ("h", "mean"),
    [(2.9271, 0.25), (-2.2075, 1.5)],
)
def test_a_dummy_h_belongs_to_its_true_mean(h: float, mean: float) -> None:
    # 1.1 and 1.4: low .5, high 1, k 1 (SELF).
    plan = SequentialPlan(NegativeBinomial(1), 0.5, 1, 0.1, 0.1)
    assert wald_at_dummy(plan, h).mean == pytest.approx(mean, abs=5e-5)
    assert wald_at(plan, mean).h == pytest.approx(h, abs=6e-5)


@given(plans())
def test_wald_meets_the_wanted_errors_and_the_slope(plan: SequentialPlan) -> None:
    lines = stop_lines(plan)
    at_low, at_slope, at_high = (wald_at(plan, mean) for mean in (plan.low, lines.slope, plan.high))
    assert (at_low.h, at_slope.h, at_high.h) == pytest.approx((1, 0, -1), abs=1e-6)
    assert at_low.low == pytest.approx(1 - plan.alpha, rel=1e-6)
    assert at_slope.low == pytest.approx(lines.h1 / (lines.h0 + lines.h1), rel=1e-6)
    assert at_high.low == pytest.approx(plan.beta, rel=1e-6)


@given(plans(), st.floats(1e-6, 3))
def test_the_number_of_samples_is_smooth_through_the_slope(plan: SequentialPlan, part: float) -> None:
    slope = stop_lines(plan).slope
    near = [wald_at(plan, slope * (1 + side * part * 1e-6)).n for side in (-1, 0, 1)]
    assert near == pytest.approx([near[1]] * 3, rel=1e-4)


@given(plans(), st.floats(0.001, 0.99))
def test_a_true_mean_leads_to_its_dummy_and_back(plan: SequentialPlan, part: float) -> None:
    mean = part * (1.0 if isinstance(plan.family, Binomial) else 4 * plan.high)
    point = wald_at(plan, mean)
    assume(abs(point.h) > 1e-5)
    assert wald_at_dummy(plan, point.h).mean == pytest.approx(mean, rel=1e-9)
    assert 0 <= point.low <= 1
    assert point.n > 0


@given(plans())
def test_the_chance_of_low_falls_as_the_true_mean_rises(plan: SequentialPlan) -> None:
    most = 1.0 if isinstance(plan.family, Binomial) else 5 * plan.high
    curve = [wald_at(plan, most * step / 40).low for step in range(41)]
    assert curve[0] == 1.0
    assert all(later <= earlier for earlier, later in pairwise(curve))
    assert curve[-1] < plan.beta


@given(plans())
def test_stop_lines_never_meet_and_never_fall(plan: SequentialPlan) -> None:
    lines = stop_lines(plan)
    rows = list(lines.rows(60))
    for row in rows:
        low = -1 if row.low_at_most is None else row.low_at_most
        high = row.n + 1 if row.high_at_least is None else row.high_at_least
        assert low < high
        assert low <= lines.slope * row.n - lines.h0 + 1e-8 < low + 1 + 2e-8 or row.low_at_most is None
        assert high - 1 < lines.slope * row.n + lines.h1 <= high + 1e-8 or row.high_at_least is None
    for one, later in pairwise(rows):
        assert one.low_at_most is None or (later.low_at_most or 0) >= one.low_at_most
        assert one.high_at_least is None or (later.high_at_least or 0) >= one.high_at_least


@given(plans())
def test_the_distances_of_the_lines_stand_to_each_other_as_the_errors_alone_say(plan: SequentialPlan) -> None:
    other = SequentialPlan(Poisson(), 1, 2, plan.alpha, plan.beta)
    ours, theirs = stop_lines(plan), stop_lines(other)
    assert ours.h0 / ours.h1 == pytest.approx(theirs.h0 / theirs.h1, rel=1e-9)


@given(st.floats(0.05, 10), st.floats(1.2, 3))
def test_without_clumping_the_negative_binomial_becomes_the_poisson(low: float, times: float) -> None:
    clumped = SequentialPlan(NegativeBinomial(1e10), low, low * times, 0.1, 0.1)
    scattered = SequentialPlan(Poisson(), low, low * times, 0.1, 0.1)
    one, other = stop_lines(clumped), stop_lines(scattered)
    assert (one.slope, one.h0, one.h1) == pytest.approx((other.slope, other.h0, other.h1), rel=1e-7)
    for mean in (low / 2, low, 2 * low * times):
        assert wald_at(clumped, mean).low == pytest.approx(wald_at(scattered, mean).low, abs=1e-6)


def test_a_sum_that_is_on_the_line_stops() -> None:
    # By hand: shares .1 and .9 with errors of .1 give a slope of 1/2 and distances of 1/2: whole sums are on the lines.
    lines = stop_lines(SequentialPlan(Binomial(), 0.1, 0.9, 0.1, 0.1))
    assert [(row.low_at_most, row.high_at_least) for row in lines.rows(5)] == [
        (0, 1),
        (0, 2),
        (1, 2),
        (1, 3),
        (2, 3),
    ]


def test_no_insects_at_all_are_called_low_for_certain() -> None:
    plan = SequentialPlan(NegativeBinomial(1), 0.5, 1, 0.1, 0.1)
    lines = stop_lines(plan)
    point = wald_at(plan, 0)
    assert point.low == 1.0
    assert point.n == pytest.approx(lines.h0 / lines.slope)


@pytest.mark.parametrize(
    ("family", "low", "high", "alpha", "beta", "said"),
    [
        (Poisson(), 1, 1, 0.1, 0.1, "low must be under high; 1 is not under 1."),
        (Poisson(), 2, 1, 0.1, 0.1, "low must be under high; 2 is not under 1."),
        (Poisson(), 0, 1, 0.1, 0.1, "low must be a number over 0, not 0."),
        (Poisson(), math.nan, 1, 0.1, 0.1, "low must be a number over 0, not nan."),
        (Poisson(), 1, math.inf, 0.1, 0.1, "high must be a number over 0, not inf."),
        (Binomial(), 0.5, 1, 0.1, 0.1, "low and high of a binomial are shares under 1, not 1."),
        (Poisson(), 1, 2, 0, 0.1, "alpha must be between 0 and 1, not 0."),
        (Poisson(), 1, 2, 0.1, math.nan, "beta must be between 0 and 1, not nan."),
        (Poisson(), 1, 2, 0.5, 0.5, "alpha and beta together must be under 1, not 1: tossing a coin would"),
        (NegativeBinomial(1e-20), 1, 2, 0.1, 0.1, "No number of samples tells 1 from 2 here."),
        (Poisson(), 1e-320, 1, 0.1, 0.1, "1e-320 and 1 lie too far apart for lines between them."),
        (Poisson(), 1, 100_001, 0.1, 0.1, "high must be at most 100000, the most in one sample, not 100001."),
    ],
)
def test_a_plan_that_tells_nothing_apart_is_refused(
    family: Family, low: float, high: float, alpha: float, beta: float, said: str
) -> None:
    with pytest.raises(OutOfRange) as refusal:
        SequentialPlan(family, low, high, alpha, beta)
    assert str(refusal.value).startswith(said)


@pytest.mark.parametrize("k", [0, -1, math.nan, math.inf])
def test_a_k_that_is_no_number_over_0_is_refused(k: float) -> None:
    with pytest.raises(OutOfRange, match="k must be a number over 0"):
        NegativeBinomial(k)


@pytest.mark.parametrize(
    ("family", "mean"), [(Poisson(), -0.1), (Poisson(), math.inf), (Binomial(), 1.1), (Binomial(), math.nan)]
)
def test_a_true_mean_that_no_sample_has_is_refused(family: Family, mean: float) -> None:
    with pytest.raises(OutOfRange, match="mean"):
        wald_at(SequentialPlan(family, 0.1, 0.2, 0.1, 0.1), mean)


def test_a_dummy_without_end_is_refused() -> None:
    with pytest.raises(OutOfRange, match="h must be finite"):
        wald_at_dummy(NIST, math.inf)
