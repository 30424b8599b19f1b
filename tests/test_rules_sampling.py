"""Stop lines, intervals and shares as the rules see them, held to what they promise over all that may come."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from bot.rules import (
    Effort,
    Level,
    SequentialStop,
    ShareFacts,
    Side,
    SiteFigures,
    Standing,
    Unit,
    VisitFacts,
    parse_span,
    share_standing,
    site_standing,
    stop_table,
    with_stop,
)
from bot.statistics import NegativeBinomial, SequentialPlan, mean_interval, stop_lines
from tests.test_rules_totals import BLOOM_2, make_level, make_plan, make_visit

STOP = SequentialStop(
    target="lygus",
    low=Fraction(2),
    high=Fraction(4),
    per=Effort(Fraction(5), Unit.ROW_FT),
    alpha=Fraction(1, 10),
    beta=Fraction(1, 10),
    at_least=4,
    k=Fraction(6, 5),
)
PLAN = replace(make_plan(samples=20), stop=STOP)
LEVEL = make_level()  # 3 per 5 row ft, 1.8 a sheet
LINES = stop_lines(SequentialPlan(NegativeBinomial(1.2), 1.2, 2.4, 0.1, 0.1))

sheets = st.lists(st.integers(0, 12), min_size=1, max_size=19)


def visit_of(counts: list[int], level: Level = LEVEL) -> VisitFacts:
    """A visit of the sequential plan with so many lygus on each sheet."""
    return replace(make_visit([{"LA": count, "LN": 0} for count in counts], level), plan=PLAN)


@given(counts=sheets)
def test_a_visit_stops_where_the_sum_is_at_a_line_and_the_density_on_its_side(counts: list[int]) -> None:
    stopped = with_stop(visit_of(counts), None).stopped
    n, total = len(counts), sum(counts)
    low = total <= LINES.slope * n - LINES.h0 + 1e-9 and Fraction(total, n) < Fraction(9, 5)
    high = total >= LINES.slope * n + LINES.h1 - 1e-9 and Fraction(total, n) >= Fraction(9, 5)
    expected = None if n < STOP.at_least else Side.LOW if low else Side.HIGH if high else None
    assert stopped is expected


@given(counts=sheets, data=st.data())
def test_the_order_of_the_sheets_does_not_matter(counts: list[int], data: st.DataObject) -> None:
    mixed = data.draw(st.permutations(counts))
    assert with_stop(visit_of(counts), None).stopped is with_stop(visit_of(mixed), None).stopped


@given(counts=sheets)
def test_a_stopped_visit_is_done_and_certain(counts: list[int]) -> None:
    visit = with_stop(visit_of(counts), None)
    (figures,) = site_standing(visit, None, alone=True)
    assert visit.finished is (visit.stopped is not None)
    if visit.stopped is not None:
        assert figures.certain
        assert figures.standing is (Standing.BELOW if visit.stopped is Side.LOW else Standing.ABOVE)


@given(counts=st.lists(st.integers(0, 40), min_size=1, max_size=9))
def test_a_fixed_plan_never_stops_at_a_line(counts: list[int]) -> None:
    visit = make_visit([{"LA": count} for count in counts], LEVEL)
    assert with_stop(visit, None) == visit


def test_the_stop_table_goes_from_the_least_to_the_most() -> None:
    table = stop_table(PLAN)
    assert [row.n for row in table] == list(range(4, 21))
    highs = [row.high_at_least for row in table if row.high_at_least is not None]
    lows = [row.low_at_most for row in table if row.low_at_most is not None]
    assert highs == sorted(highs)
    assert lows == sorted(lows)


@given(counts=st.lists(st.integers(0, 30), min_size=3, max_size=10))
def test_the_interval_of_a_visit_is_that_of_its_counts_in_the_levels_unit(counts: list[int]) -> None:
    visit = make_visit([{"LA": count, "LN": 0} for count in counts], LEVEL, short=len(counts) < 10)
    (figures,) = site_standing(visit, None, alone=True)
    expected = mean_interval(counts, 0.8)
    assert figures.interval is not None
    assert figures.interval.low == pytest.approx(expected.low * 5 / 3, rel=1e-6)
    assert figures.interval.high == pytest.approx(expected.high * 5 / 3, rel=1e-6)
    assert figures.close_call is (figures.interval.low <= 3 <= figures.interval.high)


# Shares


def share_level(low: int, high: int) -> Level:
    """A level of hurt bolls in percent."""
    return replace(
        make_level(low=low, high=high),
        target=None,
        share="bollhurt",
        method=None,
        count={},
        per=Effort(Fraction(100), Unit.BOLLS),
    )


def stood(n: int, of: int, level: Level, look: int = 25) -> SiteFigures:
    """The figures of a share at a site of which nothing else is known."""
    visit = make_visit([], level)
    (figures,) = share_standing(replace(visit, shares=(ShareFacts("bollhurt", n, of, look),)))
    return figures


@given(data=st.data(), of=st.integers(1, 30), low=st.integers(1, 60), wide=st.integers(0, 20))
def test_a_share_is_certain_where_all_that_may_still_come_leaves_its_standing(
    data: st.DataObject, of: int, low: int, wide: int
) -> None:
    level = share_level(low, low + wide)
    n = data.draw(st.integers(0, of))
    figures = stood(n, of, level)
    left = max(25 - of, 0)
    ends = {stood(n + more, of + left, level).standing for more in range(left + 1)}
    if figures.certain:
        assert ends == {figures.standing}
    if left and figures.standing is not Standing.IN_RANGE:
        assert figures.certain is (ends == {figures.standing})


@given(data=st.data(), of=st.integers(3, 200))
def test_a_shares_interval_is_the_exact_binomial(data: st.DataObject, of: int) -> None:
    n = data.draw(st.integers(0, of))
    figures = stood(n, of, share_level(10, 10), look=of)
    exact = binomtest(n, of).proportion_ci(0.8, "exact")
    assert figures.interval is not None
    assert (figures.interval.low, figures.interval.high) == pytest.approx(
        (100 * exact.low, 100 * exact.high), abs=1e-7
    )


@given(n=st.integers(0, 25))
def test_a_share_exactly_at_its_level_is_above(n: int) -> None:
    figures = stood(n, 25, share_level(12, 12))
    assert figures.standing is (Standing.ABOVE if n >= 3 else Standing.BELOW)


def test_a_share_with_week_rows_needs_the_stage() -> None:
    span = parse_span("bloom 2")
    assert span is not None
    level = replace(share_level(10, 10), stages=(span,))
    shares = (ShareFacts("bollhurt", 3, 25, 25),)
    (unknown,) = share_standing(replace(make_visit([], level), shares=shares, stage=None))
    (known,) = share_standing(replace(make_visit([], level), shares=shares, stage=BLOOM_2))
    assert unknown.standing is Standing.UNKNOWN
    assert known.standing is Standing.ABOVE
