"""Where a field stands: the mean of its sites, certain before it is final, and what leaves it unknown."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from bot.rules import (
    FieldFigures,
    FieldState,
    Level,
    Method,
    Needs,
    Plan,
    RetentionRule,
    SquaresOn,
    Standing,
    VisitFacts,
    field_standing,
    rows_by_target,
)
from tests.test_rules_standing import FOUR_NYMPHS, GOOD, POOR, site, under_80
from tests.test_rules_totals import BLOOM_2, make_level, make_plan, make_visit

ABOVE, BELOW, UNKNOWN = Standing.ABOVE, Standing.BELOW, Standing.UNKNOWN
LEVEL = make_level()  # 3 per 5 row ft, so 18 bugs on ten sheets of 3 row feet
SITES = (121, 123, 125)


def field_of(
    visits: Mapping[int, VisitFacts],
    level: Level = LEVEL,
    squares: SquaresOn | None = None,
    sites: Sequence[int] = SITES,
    plan: Plan | None = None,
) -> tuple[FieldState, FieldFigures]:
    """Give a field's state and the figures of its one target with a level."""
    under = plan or make_plan()
    rows = rows_by_target(under, [level], BLOOM_2)
    at_sites = {number: replace(visit, site=number) for number, visit in visits.items()}
    standing = field_standing(sites, under, rows, at_sites, squares)
    (figures,) = standing.figures
    return standing.state, figures


def done(bugs: int, level: Level = LEVEL, *, samples: int = 10, short: bool = False) -> VisitFacts:
    """Give a visit of ten sheets, or fewer, that found so many bugs."""
    return make_visit([{"LA": bugs}, *[{}] * (samples - 1)], level, short=short)


def skipped() -> VisitFacts:
    return make_visit([], LEVEL, skipped=True)


def test_a_field_is_the_plain_mean_of_its_sites_never_pooled() -> None:
    # 5 sheets with 15 bugs are 5 in 5 row feet, 10 with none are 0: mean 2.5; pooled they would be 1.67
    visits = {121: done(15, samples=5, short=True), 123: done(0)}
    state, figures = field_of(visits, sites=(121, 123))
    assert (state, figures.density, figures.standing) == (FieldState.FINAL, Fraction(5, 2), BELOW)


def test_a_mean_exactly_at_the_level_is_above() -> None:
    state, figures = field_of({121: done(17), 123: done(18), 125: done(19)})
    assert (state, figures.density, figures.standing) == (FieldState.FINAL, Fraction(3), ABOVE)
    assert field_of({121: done(17), 123: done(18), 125: done(18)})[1].standing is BELOW


def test_only_finished_visits_are_in_the_mean() -> None:
    opened = make_visit([{"LA": 9}], LEVEL)
    state, figures = field_of({121: done(6), 123: opened})
    assert (state, figures.sites_in, figures.sites) == (FieldState.SO_FAR, 1, 3)
    assert figures.density == 1


def test_a_field_without_a_finished_visit_has_no_density() -> None:
    state, figures = field_of({121: make_visit([{"LA": 9}], LEVEL)})
    assert (state, figures.density) == (FieldState.SO_FAR, None)
    assert (figures.standing, figures.judged.needs) == (UNKNOWN, Needs.SAMPLES)
    assert field_standing(SITES, make_plan(), {}, {}, None).state is FieldState.NONE


def test_a_field_is_final_when_every_site_is_finished_or_skipped() -> None:
    assert field_of({121: done(0), 123: done(0), 125: skipped()})[0] is FieldState.FINAL
    assert field_of({121: done(0), 123: done(0)})[0] is FieldState.SO_FAR


def test_sites_skipped_or_cut_too_short_are_left_out_of_the_mean() -> None:
    state, figures = field_of({121: done(6), 123: done(12), 125: skipped()})
    assert (state, figures.sites_in, figures.density) == (FieldState.FINAL, 2, Fraction(3, 2))
    state, figures = field_of({121: done(6), 123: done(12), 125: done(9, samples=4, short=True)})
    assert (state, figures.sites_in, figures.density) == (FieldState.FINAL, 2, Fraction(3, 2))


@pytest.mark.parametrize(
    ("sites", "left_out", "standing"),
    [(2, 1, BELOW), (3, 1, BELOW), (3, 2, UNKNOWN), (4, 2, BELOW), (5, 3, UNKNOWN), (1, 1, UNKNOWN)],
)
def test_fewer_than_half_of_the_sites_is_unknown(sites: int, left_out: int, standing: Standing) -> None:
    numbers = range(121, 121 + sites)
    visits = {number: skipped() if number < 121 + left_out else done(6) for number in numbers}
    state, figures = field_of(visits, sites=numbers)
    assert (state, figures.standing) == (FieldState.FINAL, standing)
    assert figures.judged.needs is (Needs.SAMPLES if standing is UNKNOWN else None)


def test_a_field_is_certain_when_the_sums_so_far_are_at_the_level_over_all_its_sites() -> None:
    # Three sites of 30 row feet: 54 bugs in all are 3 in 5 over the 90; sites not begun have none
    assert field_of({121: done(54)})[0] is FieldState.CERTAIN
    assert field_of({121: done(53)})[0] is FieldState.SO_FAR
    opened = make_visit([{"LA": 30}], LEVEL)
    state, figures = field_of({121: done(24), 123: opened})
    assert (state, figures.certain, figures.standing) == (FieldState.CERTAIN, True, ABOVE)
    assert figures.least == 3


def test_a_field_certain_before_any_visit_is_finished_is_above() -> None:
    state, figures = field_of({121: make_visit([{"LA": 54}], LEVEL)})
    assert (state, figures.standing, figures.density) == (FieldState.CERTAIN, ABOVE, None)


def test_a_certain_field_stays_above_when_sites_are_left_out_afterwards() -> None:
    state, figures = field_of({121: done(54), 123: skipped(), 125: skipped()})
    assert (state, figures.standing) == (FieldState.FINAL, ABOVE)
    too_short = make_visit([{"LA": 30}], LEVEL, short=True)
    state, figures = field_of({121: done(24), 123: too_short, 125: done(0)})
    assert (state, figures.standing) == (FieldState.FINAL, ABOVE)


def test_a_field_below_with_a_site_above_says_which() -> None:
    _, figures = field_of({121: done(18), 123: done(0), 125: done(17)})
    assert (figures.standing, figures.above_alone) == (BELOW, (121,))
    _, figures = field_of({121: done(54), 123: done(0), 125: done(0)})
    assert (figures.standing, figures.above_alone) == (ABOVE, ())


def test_retention_of_the_field_bears_on_its_mean() -> None:
    every = [done(18)] * 3
    level = make_level(retention=under_80(RetentionRule.AND))
    visits = dict(zip(SITES, every, strict=True))
    _, figures = field_of(visits, level)
    assert (figures.standing, figures.judged.needs) == (UNKNOWN, Needs.SQUARES)
    assert field_of(visits, level, POOR)[1].standing is ABOVE
    assert field_of(visits, level, GOOD)[1].standing is BELOW
    halved = make_level(retention=under_80(RetentionRule.HALVE))
    assert field_of(dict.fromkeys(SITES, done(9)), halved, POOR)[1].standing is ABOVE


def test_a_second_count_of_a_field_goes_by_its_own_mean() -> None:
    level = make_level(method=Method.SWEEP_NET, low=15, per=100, also=FOUR_NYMPHS)
    plan = make_plan(method=Method.SWEEP_NET, samples=4, each=25)
    many = make_visit([{"LA": 20, "LN": 8}, {}, {}, {}], level, plan=plan)
    none = make_visit([{"LA": 20}, {}, {}, {}], level, plan=plan)
    assert field_of({1: many, 2: none}, level, sites=(1, 2), plan=plan)[1].standing is ABOVE
    _, figures = field_of({1: many, 2: none, 3: none}, level, sites=(1, 2, 3), plan=plan)
    assert (figures.standing, figures.judged.also_failed) == (BELOW, True)


def test_a_field_whose_stage_is_not_known_needs_it() -> None:
    level = make_level(stages=("bloom",))
    plan = make_plan()
    rows = rows_by_target(plan, [level], None)
    standing = field_standing(SITES, plan, rows, dict.fromkeys(SITES, done(18, level)), None)
    assert [(one.standing, one.judged.needs) for one in standing.figures] == [(UNKNOWN, Needs.STAGE)]


@given(bugs=st.lists(st.integers(0, 60), min_size=1, max_size=5), samples=st.integers(5, 10))
def test_a_field_s_density_is_the_mean_of_its_sites_densities(bugs: list[int], samples: int) -> None:
    sites = range(121, 121 + len(bugs))
    visits = {
        number: done(found, samples=samples if number == 121 else 10, short=number == 121)
        for number, found in zip(sites, bugs, strict=True)
    }
    _, figures = field_of(visits, sites=sites)
    densities = [site(visit, alone=False).density or Fraction(0) for visit in visits.values()]
    assert figures.density == sum(densities) / len(densities)
    assert figures.standing is (ABOVE if figures.density >= 3 else BELOW)


@given(bugs=st.integers(40, 80), rest=st.tuples(st.integers(0, 9), st.integers(0, 9)))
def test_a_certain_field_is_above_whatever_its_other_sites_find(bugs: int, rest: tuple[int, int]) -> None:
    first = {121: done(bugs)}
    assume(field_of(first)[0] is FieldState.CERTAIN)
    assert field_of({**first, 123: done(rest[0]), 125: done(rest[1])})[1].standing is ABOVE
    assert field_of({**first, 123: skipped(), 125: done(rest[1])})[1].standing is ABOVE
