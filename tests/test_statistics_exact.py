"""Sequential plans followed count by count, against figures worked out by others, by hand and by playing."""

from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import signal, stats

from bot.statistics import (
    Binomial,
    Family,
    NegativeBinomial,
    OutOfRange,
    Poisson,
    SequentialPlan,
    TooLong,
    cap_cost,
    exact_course,
    stop_lines,
    wald_at,
)
from bot.statistics.families import chances, variance_at

ONE = SequentialPlan(NegativeBinomial(1), 0.5, 1, 0.1, 0.1)
MIRIDS = SequentialPlan(NegativeBinomial(0.6572), 0.8, 1.2, 0.1, 0.05)
SPARSE = SequentialPlan(NegativeBinomial(0.5), 0.10, 0.25, 0.1, 0.1)
NIST = SequentialPlan(Binomial(), 0.01, 0.10, 0.05, 0.10)


@pytest.mark.parametrize(
    ("plan", "mean", "wald_low", "wald_n", "low", "n", "half"),
    [
        # 1.4 of the statistics page: exact by convolution on an independent route (SELF), to the digits printed.
        (ONE, 0.5, 0.9000, 20.69, 0.9356, 23.77, 0.005),
        (ONE, 0.70951, 0.5000, 24.21, 0.5321, 31.47, 0.005),
        (ONE, 1.0, 0.1000, 14.92, 0.0910, 19.60, 0.005),
        (ONE, 0.25, 0.9984, 11.76, 0.9996, 12.59, 0.005),
        (ONE, 1.5, 0.0078, 6.75, 0.0058, 9.19, 0.005),
        (MIRIDS, 0.8, 0.9000, 81.72, 0.9254, 87.94, 0.006),
        (MIRIDS, 0.97848, 0.4379, 100.68, 0.4619, 117.51, 0.005),
        (MIRIDS, 1.2, 0.0500, 55.26, 0.0477, 64.55, 0.005),
        (SPARSE, 0.10, 0.9000, 41.60, 0.9345, 45.72, 0.005),
        (SPARSE, 0.16096, 0.5000, 47.22, 0.5388, 58.57, 0.005),
        (SPARSE, 0.25, 0.1000, 28.48, 0.0990, 36.29, 0.005),
        (NIST, 0.01, 0.9500, 27.957, 0.9780, 30.213, 0.0005),
        (NIST, 0.10, 0.1000, 16.447, 0.0996, 22.369, 0.0005),
    ],
)
def test_a_plan_leads_to_what_the_page_says(
    plan: SequentialPlan, mean: float, wald_low: float, wald_n: float, low: float, n: float, half: float
) -> None:
    wald, exact = wald_at(plan, mean), exact_course(plan, mean)
    assert (wald.low, exact.low) == pytest.approx((wald_low, low), abs=5.1e-5)
    assert (wald.n, exact.n) == pytest.approx((wald_n, n), abs=half * 1.01)
    assert exact.undecided == 0


@pytest.mark.parametrize("plan", [ONE, MIRIDS, SPARSE, NIST])
def test_real_errors_keep_to_the_wanted_ones_and_cost_more_samples_than_wald_says(
    plan: SequentialPlan,
) -> None:
    # 1.4, "Reading": errors at or under nominal, 7 to 36 % more samples (SELF).
    at_low, at_high = exact_course(plan, plan.low), exact_course(plan, plan.high)
    assert at_low.called_high <= plan.alpha
    assert at_high.called_low <= plan.beta
    for course in (at_low, at_high):
        assert 1.07 < course.n / wald_at(plan, course.mean).n < 1.365


@given(
    st.one_of(st.builds(NegativeBinomial, st.floats(0.02, 1e4)), st.just(Poisson())),
    st.floats(0.001, 60),
    st.integers(0, 120),
)
def test_chances_are_those_of_scipy(family: Family, mean: float, counts: int) -> None:
    match family:
        case NegativeBinomial(k=k):
            theirs = stats.nbinom.pmf(np.arange(counts), k, k / (k + mean))
        case _:
            theirs = stats.poisson.pmf(np.arange(counts), mean)
    ours = chances(family, mean, counts)
    assert ours.shape == (counts,)
    assert ours == pytest.approx(theirs, rel=1e-8, abs=1e-15)


@pytest.mark.parametrize(
    ("family", "mean"),
    [(NegativeBinomial(0.7), 1.3), (NegativeBinomial(1e14), 2.0), (Poisson(), 2.0), (Binomial(), 0.3)],
)
def test_chances_have_the_mean_and_variance_of_their_family(family: Family, mean: float) -> None:
    those = chances(family, mean, 400)
    counts = np.arange(400)
    assert those.sum() == pytest.approx(1, abs=1e-12)
    assert those @ counts == pytest.approx(mean, rel=1e-10)
    assert those @ (counts - mean) ** 2 == pytest.approx(variance_at(family, mean), rel=1e-9)


@pytest.mark.parametrize("family", [NegativeBinomial(1), Poisson(), Binomial()])
@pytest.mark.parametrize("counts", [0, 1, 2, 5])
def test_where_there_are_no_insects_only_zeros_are_counted(family: Family, counts: int) -> None:
    assert chances(family, 0, counts).tolist() == [1.0, 0, 0, 0, 0][:counts]


@pytest.mark.parametrize(("least", "most"), [(1, 12), (4, 12), (5, 9), (3, 3)])
def test_a_capped_plan_ends_as_all_courses_of_hits_taken_together(least: int, most: int) -> None:
    # By hand: every course of hits and misses to the most, walked one by one.
    plan, p = SequentialPlan(Binomial(), 0.1, 0.4, 0.15, 0.1), 0.2
    lines = stop_lines(plan)
    ends = {"low": 0.0, "high": 0.0, "undecided": 0.0, "leans_high": 0.0, "n": 0.0}
    for hits in product((0, 1), repeat=most):
        chance = p ** sum(hits) * (1 - p) ** (most - sum(hits))
        end, stopped = "undecided", most
        for n in range(least, most + 1):
            low, high = lines.low_at_most(n), lines.high_at_least(n)
            if low is not None and sum(hits[:n]) <= low:
                end, stopped = "low", n
                break
            if high is not None and sum(hits[:n]) >= high:
                end, stopped = "high", n
                break
        ends[end] += chance
        ends["n"] += chance * stopped
        if end == "undecided" and sum(hits) > lines.slope * most:
            ends["leans_high"] += chance
    course = exact_course(plan, p, least, most)
    assert (course.low, course.high, course.undecided, course.leans_high, course.n) == pytest.approx(
        tuple(ends.values()), abs=1e-12
    )


@given(
    st.sampled_from([ONE, MIRIDS, SPARSE, NIST, SequentialPlan(Poisson(), 2, 4, 0.1, 0.2)]),
    st.floats(0.01, 2.5),
    st.integers(1, 80),
)
def test_a_plan_looked_at_only_once_ends_by_the_sum_of_so_many_samples(
    plan: SequentialPlan, part: float, n: int
) -> None:
    # The sum of n samples has a spread of its own that scipy knows, so nothing need be convolved there.
    mean = part * (0.4 if isinstance(plan.family, Binomial) else plan.high)
    match plan.family:
        case NegativeBinomial(k=k):
            total = stats.nbinom(n * k, k / (k + mean))
        case Poisson():
            total = stats.poisson(n * mean)
        case Binomial():
            total = stats.binom(n, mean)
    lines, course = stop_lines(plan), exact_course(plan, mean, n, n)
    low, high = lines.low_at_most(n), lines.high_at_least(n)
    under = 0.0 if low is None else float(total.cdf(low))
    over = 0.0 if high is None else float(total.sf(high - 1))
    leaning = float(total.sf(np.floor(lines.slope * n))) - over
    assert (course.low, course.high) == pytest.approx((under, over), abs=1e-10)
    assert course.leans_high == pytest.approx(leaning, abs=1e-10)
    assert course.n == pytest.approx(n)


@pytest.mark.parametrize("plan", [ONE, SPARSE, NIST, SequentialPlan(Poisson(), 2, 4, 0.1, 0.2)])
@pytest.mark.parametrize("part", [0.3, 1.0, 1.6])
def test_a_plan_ends_as_a_walk_over_scipys_chances_does(plan: SequentialPlan, part: float) -> None:
    # Another route: a table of open sums, each sample laid on it anew by scipy's convolution at full width.
    mean, lines = part * plan.low, stop_lines(plan)
    counts = np.arange(400)
    match plan.family:
        case NegativeBinomial(k=k):
            one = stats.nbinom.pmf(counts, k, k / (k + mean))
        case Poisson():
            one = stats.poisson.pmf(counts, mean)
        case Binomial():
            one = stats.bernoulli.pmf(counts, mean)
    open_sums, low, walked = np.ones(1), 0.0, 0.0
    for n in range(1, 800):
        walked += open_sums.sum()
        open_sums = signal.convolve(open_sums, one, method="direct")
        sums = np.arange(open_sums.size)
        is_low, is_high = sums <= lines.slope * n - lines.h0, sums >= lines.slope * n + lines.h1
        low += open_sums[is_low].sum()
        open_sums = np.where(is_low | is_high, 0.0, open_sums)[: int(lines.slope * n + lines.h1) + 2]
    course = exact_course(plan, mean)
    assert (course.low, course.n) == pytest.approx((low, walked), rel=1e-7)


@pytest.mark.parametrize("mean", [0.5, 0.7, 1.0])
@pytest.mark.parametrize(("least", "most"), [(1, 400), (6, 25)])
def test_a_plan_played_many_times_ends_as_worked_out(mean: float, least: int, most: int) -> None:
    runs, k, rng = 4000, 1.0, np.random.default_rng(20270706)
    sums = rng.negative_binomial(k, k / (k + mean), (runs, most)).cumsum(axis=1)
    rows = list(stop_lines(ONE).rows(most))
    low = np.array([-1 if row.low_at_most is None else row.low_at_most for row in rows])
    high = np.array([row.high_at_least for row in rows])
    met = (sums <= low) | (sums >= high)
    met[:, : least - 1] = False
    stopped = np.where(met.any(axis=1), met.argmax(axis=1), most - 1)
    last = sums[np.arange(runs), stopped]
    course = exact_course(ONE, mean, least, most)
    off = 4 * (0.25 / runs) ** 0.5  # four standard errors of a share
    assert (last <= low[stopped]).mean() == pytest.approx(course.low, abs=off)
    assert (last >= high[stopped]).mean() == pytest.approx(course.high, abs=off)
    assert (stopped + 1).mean() == pytest.approx(course.n, abs=4 * stopped.std() / runs**0.5)


@settings(max_examples=40)
@given(
    st.sampled_from([ONE, SPARSE, NIST, SequentialPlan(Poisson(), 2, 4, 0.1, 0.2)]),
    st.floats(0, 2),
    st.integers(1, 20),
    st.integers(0, 30),
)
def test_the_ends_of_a_plan_add_up(plan: SequentialPlan, part: float, least: int, more: int) -> None:
    mean = part * (0.5 if isinstance(plan.family, Binomial) else plan.high)
    course = exact_course(plan, mean, least, least + more)
    assert course.low + course.high + course.undecided == pytest.approx(1, abs=1e-9)
    assert course.called_low + course.called_high == pytest.approx(1, abs=1e-9)
    assert 0 <= course.leans_high <= course.undecided + 1e-15
    assert least - 1e-9 <= course.n <= least + more + 1e-9


@pytest.mark.parametrize("plan", [ONE, SPARSE, NIST, SequentialPlan(Poisson(), 2, 4, 0.1, 0.2)])
def test_the_exact_chance_of_low_falls_as_the_true_mean_rises(plan: SequentialPlan) -> None:
    most = 1.0 if isinstance(plan.family, Binomial) else 2.5 * plan.high
    curve = [exact_course(plan, most * step / 25).low for step in range(26)]
    assert all(later < earlier + 1e-12 for earlier, later in pairwise(curve))
    assert (curve[0], curve[-1] < plan.beta) == (1.0, True)


def test_without_clumping_a_plan_ends_as_the_poisson_plan() -> None:
    clumped = SequentialPlan(NegativeBinomial(1e9), 1, 2, 0.1, 0.1)
    scattered = SequentialPlan(Poisson(), 1, 2, 0.1, 0.1)
    for mean in (0.5, 1.0, 1.4, 2.0, 3.0):
        one, other = exact_course(clumped, mean), exact_course(scattered, mean)
        assert (one.low, one.n) == pytest.approx((other.low, other.n), rel=1e-6)


def test_a_most_that_nobody_reaches_costs_nothing() -> None:
    cost = cap_cost(ONE, 1, 5000)
    assert (cost.alpha_more, cost.beta_more) == pytest.approx((0, 0), abs=1e-12)
    assert cost.capped_at_low.n == pytest.approx(cost.free_at_low.n, rel=1e-12)


def test_a_shorter_most_saves_samples_and_decides_less() -> None:
    courses = [exact_course(ONE, 0.7, 1, most) for most in (10, 20, 40, 80, 160)]
    for short, long in pairwise(courses):
        assert short.n < long.n
        assert short.undecided > long.undecided


def test_a_cap_of_ten_samples_costs_errors_and_a_least_number_saves_some() -> None:
    capped, patient = cap_cost(ONE, 1, 10), cap_cost(ONE, 15)
    assert capped.alpha_more > 0.1
    assert capped.beta_more > 0.2
    assert patient.alpha_more < 0
    assert patient.capped_at_low.n > patient.free_at_low.n
    assert patient.capped_at_low.undecided == 0


@pytest.mark.parametrize("most", [None, 8, 30])
def test_where_every_sample_is_a_hit_the_least_number_is_walked_all_the_same(most: int | None) -> None:
    course = exact_course(NIST, 1.0, 8, most)  # two hits stop, by the table, and the eighth sample lets them
    assert (course.high, course.n) == pytest.approx((1, 8))


@pytest.mark.parametrize(("least", "most"), [(0, 5), (-1, None), (6, 5)])
def test_a_least_over_the_most_is_refused(least: int, most: int | None) -> None:
    with pytest.raises(OutOfRange, match="number of samples"):
        exact_course(ONE, 0.5, least, most)


def test_a_plan_that_nobody_could_follow_is_refused_and_not_waited_for() -> None:
    wide = SequentialPlan(NegativeBinomial(1), 50, 51, 0.1, 0.1)
    with pytest.raises(TooLong, match=r"At a mean of 50\.5 this plan takes too many samples"):
        exact_course(wide, 50.5)
    boundless = SequentialPlan(NegativeBinomial(1e-9), 1, 2, 0.1, 0.1)
    with pytest.raises(TooLong):
        exact_course(boundless, 1.5)
    slow = SequentialPlan(Poisson(), 1e-7, 2e-7, 0.1, 0.1)
    with pytest.raises(TooLong):
        exact_course(slow, 1.5e-7)
