"""How two people who counted the same samples compare, held against scipy and the definition of each interval."""

import math
import random
from collections.abc import Sequence
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import optimize, stats

from bot.statistics import (
    NoInterval,
    OutOfRange,
    RatioInterval,
    could_differ,
    exact_ratio,
    ratio_between_samples,
    ratio_of_counts,
)

sums = st.integers(0, 300)
confidences = st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99])
pairs = st.lists(st.tuples(st.integers(0, 20), st.integers(0, 20)), min_size=3, max_size=15)

Pairs = Sequence[tuple[int, int]]


def between(counts: Pairs, confidence: float = 0.8) -> RatioInterval:
    """Give the interval between samples of counts that have one."""
    found = ratio_between_samples(counts, confidence)
    assume(isinstance(found, RatioInterval))
    assert isinstance(found, RatioInterval)
    return found


def errors_off(counts: Pairs, ratio: float) -> float:
    """Give by how many of its own errors the mean of (ours - R * theirs) is off 0: what Fieller's ends are made of."""
    left = [ours - ratio * theirs for ours, theirs in counts]
    return float(np.mean(left)) / float(np.std(left, ddof=1) / math.sqrt(len(left)))


# The exact interval


@given(sums, sums, confidences)
def test_the_exact_interval_is_scipys_of_the_share_turned_into_a_ratio(
    ours: int, theirs: int, confidence: float
) -> None:
    assume(ours + theirs)
    share = stats.binomtest(ours, ours + theirs).proportion_ci(confidence, method="exact")
    found = exact_ratio(ours, theirs, confidence)
    assert found is not None
    assert found.low == pytest.approx(share.low / (1 - share.low), rel=1e-7)
    if theirs:
        assert found.high == pytest.approx(share.high / (1 - share.high), rel=1e-7)
    else:
        assert (share.high, found.high) == (1, None)


@given(sums, sums, confidences)
def test_it_holds_an_equal_share_exactly_where_neither_tail_is_too_thin(
    ours: int, theirs: int, confidence: float
) -> None:
    assume(ours + theirs)
    found = exact_ratio(ours, theirs, confidence)
    tail, total = (1 - confidence) / 2, ours + theirs
    # whole numbers out of 2 to the sum: the tails of a fair coin, added up by hand
    fewer, more = (
        Fraction(sum(math.comb(total, k) for k in range(up_to + 1)), 2**total) for up_to in (ours, theirs)
    )
    assert found is not None
    assert found.holds(1) == (fewer >= tail and more >= tail)


@given(sums, sums, confidences)
def test_an_end_of_the_exact_interval_is_rejected_exactly_at_its_level(
    ours: int, theirs: int, confidence: float
) -> None:
    assume(ours + theirs)
    found = exact_ratio(ours, theirs, confidence)
    assert found is not None
    tail, total = (1 - confidence) / 2, ours + theirs
    if ours:
        assert stats.binom.sf(ours - 1, total, found.low / (1 + found.low)) == pytest.approx(tail, rel=1e-6)
    if found.high is not None:
        assert stats.binom.cdf(ours, total, found.high / (1 + found.high)) == pytest.approx(tail, rel=1e-6)


@given(sums, sums, confidences)
def test_two_people_who_change_places_have_the_exact_interval_upside_down(
    ours: int, theirs: int, confidence: float
) -> None:
    assume(ours and theirs)
    one, other = exact_ratio(ours, theirs, confidence), exact_ratio(theirs, ours, confidence)
    assert one is not None
    assert other is not None
    assert one.high is not None
    assert other.high is not None
    assert (other.low, other.high) == pytest.approx((1 / one.high, 1 / one.low), rel=1e-9)


def test_twelve_against_twenty_by_hand() -> None:
    # 12 of 32: the 95 % interval of a share by Clopper and Pearson is 0.211 to 0.563 (scipy, and any table)
    found = exact_ratio(12, 20, 0.95)
    assert found is not None
    assert (found.low, found.high) == pytest.approx((0.211 / 0.789, 0.563 / 0.437), rel=5e-3)


def test_one_who_counted_none_has_a_low_end_of_0_and_the_other_then_no_upper_end() -> None:
    none, some = exact_ratio(0, 9, 0.8), exact_ratio(9, 0, 0.8)
    assert none is not None
    assert some is not None
    assert none.low == 0
    assert some.high is None
    assert some.holds(1e9)
    assert exact_ratio(0, 0, 0.8) is None


def test_of_three_insects_no_parting_can_show_a_difference_and_of_four_one_can() -> None:
    assert not could_differ(0, 0.8)
    assert not could_differ(3, 0.8)  # all to one: 1/8, over the tail of 1/10
    assert could_differ(4, 0.8)  # 1/16


@given(st.integers(0, 60), confidences)
def test_where_no_parting_can_show_a_difference_none_does(total: int, confidence: float) -> None:
    shown = [
        found is not None and not found.holds(1)
        for ours in range(total + 1)
        for found in [exact_ratio(ours, total - ours, confidence)]
    ]
    assert any(shown) == could_differ(total, confidence)


# The interval between samples


@given(pairs, confidences)
def test_at_its_ends_the_mean_difference_is_t_errors_off(
    counts: list[tuple[int, int]], confidence: float
) -> None:
    found = between(counts, confidence)
    assert found.high is not None
    assume(found.high - found.low > 1e-3)
    t = float(stats.t.ppf((1 + confidence) / 2, len(counts) - 1))
    if found.low > 0:
        assert errors_off(counts, found.low) == pytest.approx(t, rel=1e-5)
    if found.high > 0:
        assert errors_off(counts, found.high) == pytest.approx(-t, rel=1e-5)


@given(pairs, confidences)
def test_its_ends_are_those_that_a_search_for_rejected_ratios_finds(
    counts: list[tuple[int, int]], confidence: float
) -> None:
    found = between(counts, confidence)
    assert found.high is not None
    assume(found.high - found.low > 1e-3)
    t = float(stats.t.ppf((1 + confidence) / 2, len(counts) - 1))
    ratio = sum(ours for ours, _ in counts) / sum(theirs for _, theirs in counts)

    def rejected(at: float) -> float:
        ours, theirs = np.array(counts, dtype=float).T
        (tt, tc), (_, cc) = np.cov(ours, theirs) / len(counts)
        return float((ours.mean() - at * theirs.mean()) ** 2 - t**2 * (tt - 2 * at * tc + at**2 * cc))

    far = ratio + 1.0
    while rejected(far) <= 0:
        far = 2 * far + 1
    assert found.high == pytest.approx(optimize.brentq(rejected, ratio, far, xtol=1e-12), rel=1e-6)
    if found.low > 0:
        assert found.low == pytest.approx(optimize.brentq(rejected, 0, ratio, xtol=1e-12), rel=1e-5, abs=1e-7)
    else:
        assert rejected(0) <= 1e-9


@given(pairs)
def test_two_people_who_change_places_have_the_interval_between_samples_upside_down(
    counts: list[tuple[int, int]],
) -> None:
    one, other = between(counts), ratio_between_samples([(theirs, ours) for ours, theirs in counts], 0.8)
    assert one.high is not None
    if one.low > 1e-6:
        assert isinstance(other, RatioInterval)
        assert (other.low, other.high) == pytest.approx((1 / one.high, 1 / one.low), rel=1e-6)
    elif one.low == 0:
        # 0 lies inside or at its edge, and what it is the reciprocal of has no end
        assert isinstance(other, NoInterval)


@given(pairs, st.integers(2, 7), st.integers(2, 7))
def test_counts_so_many_times_as_large_move_the_ratio_as_much(
    counts: list[tuple[int, int]], ours: int, theirs: int
) -> None:
    found = between(counts)
    scaled = between([(ours * one, theirs * other) for one, other in counts])
    assert found.high is not None
    assert scaled.high is not None
    assert scaled.low == pytest.approx(found.low * ours / theirs, rel=1e-9, abs=1e-12)
    assert scaled.high == pytest.approx(found.high * ours / theirs, rel=1e-9, abs=1e-12)


@given(pairs, st.randoms(use_true_random=False))
def test_the_order_of_samples_does_not_move_it(
    counts: list[tuple[int, int]], shuffler: random.Random
) -> None:
    other = counts.copy()
    shuffler.shuffle(other)
    assert ratio_between_samples(other, 0.8) == ratio_between_samples(counts, 0.8)


@given(pairs)
def test_it_holds_the_ratio_and_grows_with_confidence(counts: list[tuple[int, int]]) -> None:
    outer = between(counts, 0.95)
    inner = between(counts, 0.8)
    ratio = ratio_of_counts(sum(ours for ours, _ in counts), sum(theirs for _, theirs in counts))
    assert ratio is not None
    assert inner.high is not None
    assert outer.high is not None
    assert inner.low - 1e-9 <= ratio <= inner.high + 1e-9
    assert outer.low <= inner.low
    assert inner.high <= outer.high


@given(st.lists(st.integers(0, 20), min_size=3, max_size=12), st.integers(1, 5))
def test_counts_in_one_proportion_leave_one_ratio(theirs: list[int], times: int) -> None:
    assume(any(theirs))
    found = ratio_between_samples([(times * one, one) for one in theirs], 0.8)
    if isinstance(found, RatioInterval):
        assert (found.low, found.high) == pytest.approx((times, times), rel=1e-12)
    else:
        assert "too uneven" in found.why


def test_it_covers_a_true_ratio_as_often_as_it_says() -> None:
    # clumped counts, both people finding alike: 80 in 100 within four standard errors of 2000 draws
    chance = np.random.default_rng(20270706)
    held = drawn = 0
    for _ in range(2000):
        means = chance.gamma(1.5, 6 / 1.5, 12)
        found = ratio_between_samples([(int(chance.poisson(m)), int(chance.poisson(m))) for m in means], 0.8)
        drawn += 1
        held += isinstance(found, NoInterval) or found.holds(1)
    assert held / drawn == pytest.approx(0.8, abs=4 * math.sqrt(0.16 / drawn))


@pytest.mark.parametrize(
    ("counts", "why"),
    [
        ([], "How samples differ shows from 3 on; there are 0."),
        ([(3, 4)], "How samples differ shows from 3 on; there is 1."),
        ([(3, 4), (2, 2)], "How samples differ shows from 3 on; there are 2."),
        ([(3, 0), (2, 0), (1, 0)], "The other counted none, so there is no ratio."),
        (
            [(3, 0), (2, 0), (1, 9)],
            "The counts of the other are too few or too uneven for the ratio to have an end.",
        ),
    ],
)
def test_where_it_has_no_end_it_says_why(counts: Pairs, why: str) -> None:
    assert ratio_between_samples(counts, 0.8) == NoInterval(why)


def test_what_cannot_be_counted_is_refused() -> None:
    with pytest.raises(OutOfRange, match="A count is 0 or more; -1 is not"):
        exact_ratio(-1, 3, 0.8)
    with pytest.raises(OutOfRange, match="A count is 0 or more"):
        ratio_between_samples([(1, 1), (1, -2), (1, 1)], 0.8)
    with pytest.raises(OutOfRange, match="A count is 0 or more"):
        ratio_of_counts(3, -3)
    for confidence in (0.0, 1.0, math.nan):
        with pytest.raises(OutOfRange, match="confidence"):
            ratio_between_samples([(1, 1), (2, 1), (1, 1)], confidence)
        with pytest.raises(OutOfRange, match="confidence"):
            exact_ratio(1, 2, confidence)
