"""What the counts before and after a treatment bear out, and by which way: design/levels.md, section 7."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.rules import (
    CheckField,
    Effect,
    Finding,
    Level,
    Method,
    NoCheck,
    Phase,
    Stage,
    VisitFacts,
    Way,
    effects,
)
from tests.test_rules_totals import BLOOM_2, make_level, make_plan, make_sums, make_visit

BEFORE, AFTER = date(2027, 7, 6), date(2027, 7, 10)
LEVEL = make_level()  # adults and nymphs per 5 row ft

Visits = Mapping[int, VisitFacts]


def counted(*nymphs: int, site: int = 14, day: date = BEFORE, rows: Sequence[Level] = (LEVEL,)) -> VisitFacts:
    """Give a finished visit with a sheet for each count."""
    visit = make_visit([{"LN": one} for one in nymphs], *rows, plan=make_plan(samples=len(nymphs)), site=site)
    return replace(visit, day=day)


def spread(total: int) -> tuple[int, ...]:
    """Give ten counts of a total, as even as they can be."""
    return tuple((total + n) // 10 for n in range(10))


def alone(visit: VisitFacts) -> Visits:
    return {visit.site: visit}


def check(before: Sequence[int], after: Sequence[int], left_out: NoCheck | None = None) -> CheckField:
    return CheckField(
        (16,),
        alone(counted(*before, site=16)) if before else {},
        alone(counted(*after, site=16, day=AFTER)) if after else {},
        left_out,
    )


def effect(before: Sequence[int], after: Sequence[int], beside: CheckField | None = None) -> Effect:
    """Give the one effect in field 14 by counts of ten sheets; no counts before: it was not counted."""
    (found,) = effects(
        (14,),
        alone(counted(*before)) if before else {},
        alone(counted(*after, day=AFTER)),
        beside,
    )
    return found


def percent(one: Effect) -> float:
    assert one.fewer is not None
    return one.fewer.percent


def test_the_worked_numbers_of_the_page_come_out_by_each_way() -> None:
    # design/levels.md, section 7, computed there: Tb 50, Ta 5, Cb 40, Ca 60; 50 on ten sheets is 8.33 in 5 row ft
    by_both = effect(spread(50), spread(5), check(spread(40), spread(60)))
    assert (by_both.way, by_both.finding) == (Way.HENDERSON_TILTON, Finding.FEWER)
    assert percent(by_both) == pytest.approx(93.33, abs=5e-3)
    by_abbott = effect((), spread(5), check(spread(40), spread(60)))
    assert (by_abbott.way, by_abbott.before) == (Way.ABBOTT, None)
    assert percent(by_abbott) == pytest.approx(91.67, abs=5e-3)
    plain = effect(spread(50), spread(5))
    assert (plain.way, percent(plain)) == (Way.BEFORE_AFTER, 90)
    assert by_both.plain == plain.fewer


def test_abbotts_own_figures_give_96_percent() -> None:
    # Abbott 1925 (design/levels.md, section 7): half of the check is alive after, and 2 in 100 of the treated
    assert percent(effect((), spread(2), check((), spread(50)))) == pytest.approx(96)


def test_a_check_that_was_not_counted_before_is_set_against_by_abbott() -> None:
    found = effect(spread(50), spread(5), check((), spread(60)))
    assert (found.way, found.no_check) == (Way.ABBOTT, None)
    assert found.plain is not None
    assert found.plain.percent == 90


def test_the_densities_are_those_of_the_level() -> None:
    found = effect(spread(50), spread(5), check(spread(40), spread(60)))
    each = (found.before, found.after, found.check_before, found.check_after)
    assert [one.density for one in each if one is not None] == [
        Fraction(total * 5, 30) for total in (50, 5, 40, 60)
    ]


@pytest.mark.parametrize(
    ("before", "after", "finding"),
    [
        (30, 2, Finding.FEWER),
        (10, 30, Finding.MORE),
        (3, 1, Finding.NO_DIFFERENCE),
        (20, 18, Finding.NO_DIFFERENCE),
        (1, 0, Finding.NO_DIFFERENCE),
        (20, 0, Finding.FEWER),
        (0, 5, Finding.NONE_BEFORE),
        (0, 0, Finding.NONE_BEFORE),
    ],
)
def test_fewer_or_more_is_claimed_only_where_the_counts_bear_it(
    before: int, after: int, finding: Finding
) -> None:
    assert effect(spread(before), spread(after)).finding is finding


def test_none_left_is_100_percent_and_none_before_is_no_percent() -> None:
    assert percent(effect(spread(20), spread(0))) == 100
    nothing = effect(spread(0), spread(5), check(spread(40), spread(60)))
    # levels.md, Guards: undefined where none was before; nor is it a case for Abbott, as they did not begin alike
    assert (nothing.way, nothing.fewer, nothing.plain) == (None, None, None)


def test_more_than_before_is_not_clipped_at_0() -> None:
    # design/levels.md, section 7, Guards: report, do not clip
    assert percent(effect(spread(10), spread(30))) == -200


def test_a_fall_that_the_check_has_too_shows_no_difference() -> None:
    found = effect(spread(40), spread(10), check(spread(40), spread(10)))
    assert (found.finding, percent(found)) == (Finding.NO_DIFFERENCE, 0)
    assert found.plain is not None
    assert found.plain.is_fewer


@pytest.mark.parametrize(
    ("beside", "why"),
    [
        (check(spread(40), spread(60), NoCheck.SHUT), NoCheck.SHUT),
        (check(spread(40), ()), NoCheck.NOT_COUNTED),
        (check(spread(0), spread(60)), NoCheck.NONE_THERE),
        (check(spread(40), spread(0)), NoCheck.NONE_THERE),
        (check((), spread(0)), NoCheck.NONE_THERE),
    ],
)
def test_a_check_that_says_nothing_is_left_out_and_why_is_told(beside: CheckField, why: NoCheck) -> None:
    found = effect(spread(50), spread(5), beside)
    assert (found.way, found.no_check, percent(found)) == (Way.BEFORE_AFTER, why, 90)


def test_a_check_by_another_method_is_left_out() -> None:
    sweeps = make_plan(samples=10, each=25, method=Method.SWEEP_NET)
    swept = {16: replace(make_visit([{"LN": 4}] * 10, plan=sweeps, site=16), day=AFTER)}
    found = effect(spread(50), spread(5), CheckField((16,), {}, swept))
    assert (found.way, found.no_check) == (Way.BEFORE_AFTER, NoCheck.OTHER_COUNT)


def test_nothing_is_compared_where_the_method_changed_between() -> None:
    level = make_level(method=Method.SWEEP_NET, per=100, low=15)
    sweeps = make_plan(samples=10, each=25, method=Method.SWEEP_NET)
    before = {14: make_visit([{"LN": 4}] * 10, level, plan=sweeps, site=14)}
    (found,) = effects((14,), before, alone(counted(*spread(5), day=AFTER)), None)
    assert (found.finding, found.before, found.after, found.fewer) == (Finding.OTHER_COUNT, None, None, None)


@pytest.mark.parametrize(
    "other",
    [make_level("two", per=3), make_level("two", count={"nymph": Fraction(1)})],
    ids=["unit", "stages"],
)
def test_nothing_is_compared_where_the_level_came_to_count_otherwise(other: Level) -> None:
    before = alone(counted(*spread(50), rows=(other,)))
    (found,) = effects((14,), before, alone(counted(*spread(5), day=AFTER)), None)
    assert found.finding is Finding.OTHER_COUNT


def test_a_level_with_other_marks_is_no_other_count() -> None:
    before = alone(counted(*spread(50), rows=(make_level("two", low=9),)))
    (found,) = effects((14,), before, alone(counted(*spread(5), day=AFTER)), None)
    assert (found.finding, found.level) == (Finding.FEWER, LEVEL)


def test_a_target_without_a_level_after_goes_by_the_one_before() -> None:
    squaring = make_level("early", stages=["squaring"])
    before = replace(counted(*spread(50), rows=(squaring,)), stage=Stage(Phase.SQUARING, 3))
    after = counted(*spread(5), day=AFTER, rows=(squaring,))
    assert after.stage == BLOOM_2
    (found,) = effects((14,), alone(before), alone(after), None)
    assert (found.finding, found.level.id) == (Finding.FEWER, "early")


def test_sums_over_samples_show_no_spread_so_nothing_is_claimed_of_them() -> None:
    sums = replace(make_sums(10, {"LN": 50}, LEVEL), site=14)
    (found,) = effects((14,), {14: sums}, alone(counted(*spread(5), day=AFTER)), None)
    assert (found.finding, percent(found)) == (Finding.NO_INTERVAL, 90)
    assert found.fewer is not None
    assert (found.fewer.low, found.fewer.high) == (None, None)


def test_nothing_after_is_nothing_to_say() -> None:
    assert effects((14,), alone(counted(*spread(50))), {}, None) == ()


def sites(totals: Mapping[int, int], day: date) -> Visits:
    return {site: counted(*spread(total), site=site, day=day) for site, total in totals.items()}


def test_a_field_of_several_sites_goes_by_the_mean_of_those_counted_both_times() -> None:
    before, after = sites({121: 20, 123: 40, 125: 60}, BEFORE), sites({121: 4, 123: 2}, AFTER)
    (found,) = effects((121, 123, 125), before, after, None)
    assert found.before is not None
    assert (found.before.sites, found.before.density, found.before.samples) == ((121, 123), Fraction(5), 20)
    assert (found.finding, percent(found)) == (Finding.FEWER, 90)


def test_under_half_of_the_sites_nothing_is_compared() -> None:
    before, after = sites({121: 20, 123: 40}, BEFORE), sites({123: 2, 125: 1}, AFTER)
    (found,) = effects((121, 123, 125), before, after, None)
    assert (found.finding, found.fewer) == (Finding.FEW_SITES, None)


def test_sites_that_weigh_alike_are_never_pooled() -> None:
    # two sites of unequal effort: the mean of 20 and 40 in 30 row ft, whatever the second was counted on
    two = {121: counted(*spread(20), site=121), 123: counted(*spread(20), *[2] * 10, site=123)}
    after = sites({121: 2, 123: 4}, AFTER)
    (found,) = effects((121, 123), two, after, None)
    assert found.before is not None
    assert found.before.density == Fraction(Fraction(20 * 5, 30) + Fraction(40 * 5, 60), 2)


@given(
    st.lists(st.integers(0, 9), min_size=3, max_size=10), st.lists(st.integers(0, 9), min_size=3, max_size=10)
)
def test_a_claim_always_goes_the_way_of_the_counts(before: list[int], after: list[int]) -> None:
    found = effect(before, after)
    was, left = sum(before) / len(before), sum(after) / len(after)
    match found.finding:
        case Finding.FEWER:
            assert left < was
        case Finding.MORE:
            assert left > was
        case Finding.NONE_BEFORE:
            assert was == 0
        case other:
            assert other is Finding.NO_DIFFERENCE
    if found.fewer is not None:
        assert found.fewer.high is not None
        assert found.fewer.percent <= found.fewer.high + 1e-9
        assert found.fewer.low is None or found.fewer.low <= found.fewer.percent + 1e-9


@given(st.lists(st.integers(0, 9), min_size=3, max_size=10))
def test_the_same_counts_again_show_no_difference(counts: list[int]) -> None:
    found = effect(counts, counts)
    assert found.finding is (Finding.NO_DIFFERENCE if sum(counts) else Finding.NONE_BEFORE)
