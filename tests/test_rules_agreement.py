"""When the counts of somebody in training agree with a check, by hand and against a fair coin."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from math import comb

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.rules import LEAST_CHECKED, Agreement, Retention, RetentionRule, SampleFacts, VisitFacts, agreement
from tests.test_rules_totals import Counts, make_level, make_plan, make_visit

LEVEL = make_level()  # 3 per 5 row ft: 5.4 bugs on three sheets of 3 row feet
HIGH = make_level(low=1000)
"""A level that no count here comes near."""

sheets = st.lists(st.tuples(st.integers(0, 12), st.integers(0, 12)), min_size=3, max_size=10)


def samples(counts: Sequence[Counts], effort: Fraction | int = 3) -> tuple[SampleFacts, ...]:
    """Give samples 1, 2, 3 … with the columns of the plan, 0 where nothing is said."""
    return tuple(
        SampleFacts(number, {"LA": 0, "LN": 0, **one}, Fraction(effort))
        for number, one in enumerate(counts, start=1)
    )


def compared(ours: Sequence[Counts], theirs: Sequence[Counts], visit: VisitFacts | None = None) -> Agreement:
    """Set two people's counts of the same sheets against each other."""
    return agreement(visit or make_visit([], HIGH), samples(ours), samples(theirs))


def nymphs(*counts: int) -> list[Counts]:
    return [{"LN": count} for count in counts]


def test_like_counts_agree() -> None:
    found = compared(nymphs(4, 5, 5), nymphs(5, 5, 4))
    assert found.agrees
    assert (found.samples, found.short, found.unchecked) == ((1, 2, 3), 0, None)


@given(sheets)
def test_a_column_agrees_where_a_fair_coin_would_part_the_insects_as_unevenly_often_enough(
    counts: list[tuple[int, int]],
) -> None:
    ours, theirs = (sum(pair[who] for pair in counts) for who in (0, 1))
    total = ours + theirs
    # 80 %: a tenth in each tail, in whole numbers out of 2 to the sum
    tail = 10 * sum(comb(total, k) for k in range(min(ours, theirs) + 1))
    found = compared(nymphs(*(one for one, _ in counts)), nymphs(*(other for _, other in counts)))
    assert found.agrees == (total == 0 or tail >= 2**total)
    assert [one.code for one in found.differs] == ([] if found.agrees else ["LN"])


@given(sheets)
def test_it_does_not_matter_who_of_the_two_is_in_training(counts: list[tuple[int, int]]) -> None:
    ours, theirs = nymphs(*(one for one, _ in counts)), nymphs(*(other for _, other in counts))
    visit = make_visit([], LEVEL)
    assert compared(ours, theirs, visit).agrees == compared(theirs, ours, visit).agrees


def test_the_columns_that_differ_are_given_with_both_sums() -> None:
    found = compared([{"LA": 3, "LN": 9}] * 3, [{"LA": 3, "LN": 1}] * 3)
    (one,) = found.differs
    assert (one.code, one.samples, one.counted, one.checked) == ("LN", 3, 27, 3)
    assert not found.agrees


@pytest.mark.parametrize(
    ("planned", "checked", "short"), [(10, 2, 1), (10, 0, 3), (10, 3, 0), (2, 2, 0), (2, 1, 1)]
)
def test_three_samples_must_be_checked_or_all_where_fewer_are_planned(
    planned: int, checked: int, short: int
) -> None:
    visit = make_visit([], HIGH, plan=make_plan(samples=planned))
    found = compared(nymphs(*[4] * planned), nymphs(*[4] * checked), visit)
    assert (found.short, found.agrees) == (short, short == 0)
    assert LEAST_CHECKED == 3


def test_only_samples_that_neither_lost_and_of_the_same_effort_are_compared() -> None:
    ours = samples(nymphs(4, 4, 4, 4))
    theirs = [*samples(nymphs(4, 4, 4, 4))]
    theirs[0] = replace(theirs[0], lost=True)
    theirs[1] = replace(theirs[1], effort=Fraction(2))
    found = agreement(make_visit([], HIGH), ours, theirs)
    assert (found.samples, found.short) == ((3, 4), 1)


def test_a_column_that_the_check_left_out_is_unchecked_and_one_that_he_left_out_is_not() -> None:
    without: list[Counts] = [{"LA": None, "LN": 4}] * 3
    whole: list[Counts] = [{"LA": 2, "LN": 4}] * 3
    left_out = compared(whole, without)
    assert left_out.unchecked is not None
    assert (left_out.unchecked.code, left_out.unchecked.samples, left_out.agrees) == ("LA", 0, False)
    assert compared(without, whole).agrees


@pytest.mark.parametrize(
    ("ours", "theirs", "apart"),
    [
        ((2, 2, 2), (2, 2, 2), ()),  # 6 on 9 row feet: 3.33, both above
        ((2, 2, 2), (2, 2, 1), ("lygus",)),  # 5: 2.78, below
        ((2, 2, 1), (2, 1, 1), ()),
        ((1, 2, 1), (2, 2, 2), ("lygus",)),
    ],
)
def test_both_must_stand_on_one_side_of_the_level(
    ours: tuple[int, ...], theirs: tuple[int, ...], apart: tuple[str, ...]
) -> None:
    found = compared(nymphs(*ours), nymphs(*theirs), make_visit([], LEVEL))
    assert found.apart == apart
    assert found.agrees == (not apart)


def test_a_range_has_two_marks_that_may_lie_between() -> None:
    visit = make_visit([], make_level(low=3, high=4))
    # on 9 row feet 5.4 is low and 7.2 high: 6 and 7 in range, 8 above
    assert compared(nymphs(2, 2, 2), nymphs(2, 2, 3), visit).agrees
    assert compared(nymphs(2, 2, 3), nymphs(2, 3, 3), visit).apart == ("lygus",)


def test_sides_are_by_count_whatever_squares_were_seen() -> None:
    poor = Retention(Fraction(80), inclusive=False, rule=RetentionRule.AND)
    visit = make_visit([], make_level(retention=poor))
    assert compared(nymphs(2, 2, 2), nymphs(2, 2, 1), visit).apart == ("lygus",)


def test_where_the_stage_is_not_known_every_row_that_may_govern_must_have_both_on_one_side() -> None:
    rows = (make_level("early", stages=("squaring",), low=100), make_level("late", stages=("bloom",), low=3))
    visit = replace(make_visit([], LEVEL), rows=rows, stage=None)
    assert compared(nymphs(2, 2, 2), nymphs(2, 2, 1), visit).apart == ("lygus",)
    assert compared(nymphs(2, 2, 2), nymphs(2, 2, 2), visit).agrees
