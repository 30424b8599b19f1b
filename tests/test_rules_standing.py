"""Where a site stands to its levels, and when it is certain, against what the design says; in fractions."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.rules import (
    Also,
    Effort,
    Judgement,
    Level,
    Method,
    Needs,
    Retention,
    RetentionRule,
    SiteFigures,
    SquaresOn,
    Standing,
    Unit,
    VisitFacts,
    judge,
    marks_in_force,
    site_standing,
    worst,
)
from tests.test_rules_totals import BLOOM_2, Counts, make_level, make_plan, make_sums, make_visit

ABOVE, IN_RANGE, BELOW, UNKNOWN = Standing.ABOVE, Standing.IN_RANGE, Standing.BELOW, Standing.UNKNOWN
LEVEL = make_level()  # 3 per 5 row ft, so 18 bugs on ten sheets of 3 row feet
FOUR_NYMPHS = Also({"nymph": Fraction(1)}, Fraction(4), Effort(Fraction(100), Unit.SWEEPS))
POOR, AT_80, GOOD = SquaresOn(79, 100), SquaresOn(80, 100), SquaresOn(81, 100)


def under_80(rule: RetentionRule, *, inclusive: bool = False) -> Retention:
    return Retention(Fraction(80), inclusive=inclusive, rule=rule)


def site(visit: VisitFacts, squares: SquaresOn | None = None, *, alone: bool = True) -> SiteFigures:
    """Give the figures of a visit's one target with a level."""
    (figures,) = site_standing(visit, squares, alone=alone)
    return figures


def judged(level: Level, found: Fraction | str, squares: SquaresOn | None = None) -> Judgement:
    return judge(level, Fraction(found), None, squares)


# A density and its level


@pytest.mark.parametrize(("bugs", "standing"), [(0, BELOW), (17, BELOW), (18, ABOVE), (19, ABOVE)])
def test_exactly_at_the_level_is_above(bugs: int, standing: Standing) -> None:
    counts: list[Counts] = [{"LA": bugs}, *[{}] * 9]
    assert site(make_visit(counts, LEVEL)).standing is standing


@pytest.mark.parametrize(
    ("found", "standing"),
    [("24.99", BELOW), ("25", IN_RANGE), ("29.9", IN_RANGE), ("29.999999", IN_RANGE), ("30", ABOVE)],
)
def test_a_published_range_has_three_answers(found: str, standing: Standing) -> None:
    # 25-30 per 100 terminals, Texas A&M AgriLife, Glasscock Co., 2019
    level = make_level(target="fleahopper", method=Method.VISUAL, low=25, high=30, per=100)
    assert judged(level, found).standing is standing


@given(found=st.fractions(0, 10), level=st.fractions(Fraction(1, 100), 10))
def test_one_number_has_no_range_and_the_number_itself_is_above(found: Fraction, level: Fraction) -> None:
    standing = judged(make_level(low=level), found).standing
    assert standing is (ABOVE if found >= level else BELOW)
    assert judged(make_level(low=level), level).standing is ABOVE


@given(thirds=st.integers(1, 3000))
def test_a_level_that_no_float_can_hold_is_met_exactly(thirds: int) -> None:
    level = make_level(low=Fraction(thirds, 3), per=1)
    plan = make_plan(samples=1, each=3)
    assert site(make_visit([{"LA": thirds}], level, plan=plan)).standing is ABOVE
    assert site(make_visit([{"LA": thirds - 1}], level, plan=plan)).standing is BELOW


# A second count


@pytest.mark.parametrize(
    ("adults", "nymphs", "standing", "second_fails"),
    [
        (11, 4, ABOVE, False),
        (15, 0, BELOW, True),
        (12, 3, BELOW, True),
        (0, 14, BELOW, False),
        (0, 15, ABOVE, False),
        (60, 3, BELOW, True),
    ],
)
def test_a_second_count_must_hold_too(
    adults: int, nymphs: int, standing: Standing, *, second_fails: bool
) -> None:
    # 15 in all and at least 4 nymphs per 100 sweeps: Ellsworth & Barkley 2001, Univ. of Arizona
    level = make_level(method=Method.SWEEP_NET, low=15, per=100, also=FOUR_NYMPHS)
    plan = make_plan(method=Method.SWEEP_NET, samples=4, each=25)
    figures = site(make_visit([{"LA": adults}, {"LN": nymphs}, {}, {}], level, plan=plan))
    assert (figures.standing, figures.judged.also_failed) == (standing, second_fails)


def test_a_second_count_keeps_a_density_in_range_from_its_range() -> None:
    level = make_level(method=Method.SWEEP_NET, low=12, high=15, per=100, also=FOUR_NYMPHS)
    assert judge(level, Fraction(13), Fraction(4), None).standing is IN_RANGE
    assert judge(level, Fraction(13), Fraction(39, 10), None).standing is BELOW


def test_a_second_count_goes_by_the_samples_where_its_own_columns_were_counted() -> None:
    also = Also({"nymph": Fraction(1)}, Fraction(1), Effort(Fraction(5), Unit.ROW_FT))
    level = make_level(count={"adult": Fraction(1)}, also=also)
    # 2 nymphs in the 9 row feet where nymphs were counted are 1.11 in 5; over all 12 they would be 0.83
    counts: list[Counts] = [{"LA": 9, "LN": None}, {"LA": 9, "LN": 2}, {}, {}]
    assert site(make_visit(counts, level, plan=make_plan(samples=4))).standing is ABOVE


# Square retention


@pytest.mark.parametrize(
    ("squares", "found", "standing", "needs"),
    [
        (POOR, "3", ABOVE, None),
        (POOR, "2", BELOW, None),
        (AT_80, "3", BELOW, None),  # a mark "below 80" leaves 80 out
        (GOOD, "9", BELOW, None),
        (None, "3", UNKNOWN, Needs.SQUARES),
        (None, "2.99", BELOW, None),
    ],
)
def test_and_asks_for_poor_retention_beside_the_count(
    squares: SquaresOn | None, found: str, standing: Standing, needs: Needs | None
) -> None:
    said = judged(make_level(retention=under_80(RetentionRule.AND)), found, squares)
    assert (said.standing, said.needs) == (standing, needs)


def test_and_without_squares_is_unknown_in_the_range_too() -> None:
    level = make_level(low=2, high=4, retention=under_80(RetentionRule.AND))
    assert judged(level, "2").standing is UNKNOWN
    assert judged(level, "2", POOR).standing is IN_RANGE
    assert judged(level, "2", GOOD).standing is BELOW


@pytest.mark.parametrize(
    ("squares", "found", "standing"),
    [
        (POOR, "0.1", ABOVE),
        (POOR, "0", BELOW),  # no bug, no bugs present
        (AT_80, "2", BELOW),
        (GOOD, "2", BELOW),
        (GOOD, "3", ABOVE),
        (None, "3", ABOVE),
        (None, "2", BELOW),
    ],
)
def test_or_is_above_by_poor_retention_with_a_bug_whatever_the_count(
    squares: SquaresOn | None, found: str, standing: Standing
) -> None:
    level = make_level(retention=under_80(RetentionRule.OR))
    assert judged(level, found, squares).standing is standing


@pytest.mark.parametrize(
    ("squares", "found", "standing", "marks"),
    [
        (POOR, "1.5", ABOVE, (Fraction(3, 2), Fraction(3, 2))),
        (AT_80, "1.5", ABOVE, (Fraction(3, 2), Fraction(3, 2))),  # "at most 80" takes 80 in
        (POOR, "1.49", BELOW, (Fraction(3, 2), Fraction(3, 2))),
        (GOOD, "1.5", BELOW, (Fraction(3), Fraction(3))),
        (None, "2.9", BELOW, (Fraction(3), Fraction(3))),
        (None, "3", ABOVE, (Fraction(3), Fraction(3))),
    ],
)
def test_halve_halves_both_marks_and_shows_them_as_they_are_in_force(
    squares: SquaresOn | None, found: str, standing: Standing, marks: tuple[Fraction, Fraction]
) -> None:
    level = make_level(retention=under_80(RetentionRule.HALVE, inclusive=True))
    said = judged(level, found, squares)
    assert said.standing is standing
    assert (said.low, said.high) == marks == marks_in_force(level, squares)


def test_halve_halves_a_range() -> None:
    level = make_level(low=8, high=15, retention=under_80(RetentionRule.HALVE))
    assert marks_in_force(level, POOR) == (Fraction(4), Fraction(15, 2))
    assert judged(level, "7.4", POOR).standing is IN_RANGE


@pytest.mark.parametrize("rule", RetentionRule)
def test_squares_not_known_are_asked_for(rule: RetentionRule) -> None:
    level = make_level(retention=under_80(rule))
    assert judged(level, "3").squares_wanted
    assert not judged(level, "3", GOOD).squares_wanted


def test_squares_are_not_asked_for_where_they_could_change_nothing() -> None:
    assert not judged(make_level(), "2").squares_wanted
    assert not judged(make_level(retention=under_80(RetentionRule.AND)), "2").squares_wanted


@given(on=st.integers(0, 200), of=st.integers(1, 200), mark=st.integers(1, 100), inclusive=st.booleans())
def test_retention_is_held_against_its_mark_in_fractions(
    on: int, of: int, mark: int, *, inclusive: bool
) -> None:
    on = min(on, of)
    poor = Retention(Fraction(mark), inclusive, RetentionRule.AND).poor(Fraction(on, of))
    assert poor is (100 * on <= mark * of if inclusive else 100 * on < mark * of)


# Certain


@pytest.mark.parametrize(
    ("bugs", "samples", "certain"),
    [
        (17, 6, False),
        (18, 6, True),  # 18 in the whole 30 row feet are 3 in 5
        (18, 1, True),
        (0, 9, False),
        (0, 10, True),  # finished
    ],
)
def test_an_open_visit_is_certain_when_its_total_is_at_the_level_over_the_whole_plan(
    bugs: int, samples: int, *, certain: bool
) -> None:
    counts: list[Counts] = [{"LN": bugs}, *[{}] * (samples - 1)]
    assert site(make_visit(counts, LEVEL)).certain is certain


def test_a_column_not_counted_takes_its_effort_out_of_the_plan() -> None:
    # Two of ten sheets without lygus nymphs leave 24 row feet: 15 bugs are 3.1 in 5, 14 are 2.9
    without: list[Counts] = [{"LN": None}, {"LN": None}]
    assert site(make_visit([*without, {"LA": 15}], LEVEL)).certain
    assert not site(make_visit([*without, {"LA": 14}], LEVEL)).certain
    assert not site(make_visit([{}, {}, {"LA": 15}], LEVEL)).certain


@pytest.mark.parametrize(
    ("each_now", "bugs", "certain"),
    # 6 sheets of 3 row feet are in: 18. At 3 in 5 the whole plan of so many row feet needs 3/5 of them in bugs:
    [
        (2, 16, True),  # 18 + 4 x 2 = 26 row feet: 15.6 bugs; 16 are 3.08 in 5
        (2, 15, False),  # 2.88
        (4, 21, True),  # 18 + 4 x 4 = 34 row feet: 20.4 bugs; 21 are 3.09 in 5
        (4, 20, False),  # 2.94
        (None, 18, True),  # 30 row feet: exactly 18
        (None, 17, False),
    ],
)
def test_the_planned_effort_is_what_is_in_and_the_rest_at_today_s_effort(
    each_now: int | None, bugs: int, *, certain: bool
) -> None:
    visit = make_visit([{"LN": bugs}, *[{}] * 5], LEVEL, each_now=each_now)
    assert site(visit).certain is certain


@pytest.mark.parametrize(("bugs", "certain"), [(17, False), (18, True)])
def test_sums_are_certain_as_their_samples_would_be(bugs: int, *, certain: bool) -> None:
    # 6 x 3 row feet are in and 4 x 3 to come: 18 bugs in 30 row feet are 3 in 5
    assert site(make_sums(6, {"LN": bugs}, LEVEL)).certain is certain


@pytest.mark.parametrize(("bugs", "standing"), [(17, BELOW), (18, ABOVE)])
def test_sums_over_the_whole_plan_are_final(bugs: int, standing: Standing) -> None:
    figures = site(make_sums(10, {"LN": bugs}, LEVEL))
    assert (figures.standing, figures.certain) == (standing, True)
    assert [figures.total, figures.effort] == [bugs, 30]


def test_and_with_retention_not_known_or_good_is_not_certain() -> None:
    visit = make_visit([{"LA": 30}], make_level(retention=under_80(RetentionRule.AND)))
    assert not site(visit).certain
    assert not site(visit, GOOD).certain
    assert site(visit, POOR).certain


def test_or_with_poor_retention_is_certain_with_the_first_bug() -> None:
    level = make_level(retention=under_80(RetentionRule.OR))
    assert site(make_visit([{"LA": 1}], level), POOR).certain
    assert not site(make_visit([{}], level), POOR).certain
    assert not site(make_visit([{"LA": 1}], level), GOOD).certain


def test_halved_marks_are_those_to_be_certain_of() -> None:
    level = make_level(retention=under_80(RetentionRule.HALVE))
    assert site(make_visit([{"LA": 9}], level), POOR).certain
    assert not site(make_visit([{"LA": 9}], level)).certain


def test_a_second_count_must_be_certain_at_its_own_mark() -> None:
    level = make_level(method=Method.SWEEP_NET, low=15, per=100, also=FOUR_NYMPHS)
    plan = make_plan(method=Method.SWEEP_NET, samples=4, each=25)
    assert not site(make_visit([{"LA": 30, "LN": 3}], level, plan=plan)).certain
    assert site(make_visit([{"LA": 30, "LN": 4}], level, plan=plan)).certain


@given(
    counts=st.lists(
        st.fixed_dictionaries({"LA": st.integers(0, 9), "LN": st.none() | st.integers(0, 9)}),
        min_size=1,
        max_size=10,
    ),
    rule=st.sampled_from([None, *RetentionRule]),
    squares=st.sampled_from([None, POOR, AT_80, GOOD]),
)
def test_what_is_certain_of_an_open_visit_is_above_and_stays_above_with_nothing_more_found(
    counts: list[Counts], rule: RetentionRule | None, squares: SquaresOn | None
) -> None:
    level = make_level(retention=under_80(rule) if rule else None)
    if site(make_visit(counts, level), squares).certain and len(counts) < 10:
        for more in range(len(counts), 11):
            visit = make_visit([*counts, *[{}] * (more - len(counts))], level)
            assert site(visit, squares).standing is ABOVE


# Stage, short visits, several targets


def test_a_level_that_turns_on_a_stage_not_known_needs_it() -> None:
    level = make_level(stages=("bloom",))
    figures = site(make_visit([{"LA": 9}], level, stage=None))
    assert (figures.standing, figures.judged.needs) == (UNKNOWN, Needs.STAGE)
    assert figures.level is None
    assert site(make_visit([{"LA": 9}], LEVEL, stage=None)).standing is ABOVE


def test_a_stage_without_a_row_has_no_standing() -> None:
    level = make_level(stages=("squaring",))
    assert site_standing(make_visit([{"LA": 9}], level, stage=BLOOM_2), None, alone=True) == ()


def test_a_visit_cut_under_its_least_is_unknown_unless_the_one_site_is_certain() -> None:
    certain = make_visit([{"LA": 18}, {}, {}, {}], LEVEL, short=True)
    assert site(certain, alone=True).standing is ABOVE
    for figures in (
        site(certain, alone=False),
        site(make_visit([{"LA": 17}, {}, {}, {}], LEVEL, short=True), alone=True),
        site(make_visit([{}] * 4, LEVEL, short=True), alone=True),
    ):
        assert (figures.standing, figures.judged.needs) == (UNKNOWN, Needs.SAMPLES)
    assert site(make_visit([{}] * 5, LEVEL, short=True), alone=False).standing is BELOW


def test_nothing_counted_needs_samples() -> None:
    figures = site(make_visit([{"LA": None}], LEVEL))
    assert (figures.density, figures.standing, figures.judged.needs) == (None, UNKNOWN, Needs.SAMPLES)


def test_each_target_keeps_its_standing_and_rows_come_in_card_order() -> None:
    flea = make_level("flea", target="fleahopper", low=2)
    visit = make_visit([{"FA": 1, "LN": 9}], LEVEL, flea, plan=make_plan("FA FN LA LN MP"))
    figures = site_standing(visit, None, alone=True)
    assert [(one.target, one.standing) for one in figures] == [("fleahopper", BELOW), ("lygus", ABOVE)]


@pytest.mark.parametrize(
    ("standings", "stands"),
    [
        ([BELOW, UNKNOWN, IN_RANGE, ABOVE], ABOVE),
        ([BELOW, UNKNOWN, IN_RANGE], IN_RANGE),
        ([BELOW, UNKNOWN], UNKNOWN),
        ([BELOW, BELOW], BELOW),
        ([], None),
    ],
)
def test_a_site_stands_where_its_worst_target_stands(
    standings: list[Standing], stands: Standing | None
) -> None:
    assert worst(standings) is stands
    assert worst(standings[::-1]) is stands
