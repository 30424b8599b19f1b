"""Stages and plans: weeks, the mark that governs a day, the row and the plan that a stage calls for."""

from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.rules import (
    Field,
    Level,
    Method,
    Phase,
    Stage,
    StageMark,
    StageNeeded,
    StageSpan,
    governing_mark,
    governing_row,
    parse_span,
)
from tests.test_rules_totals import make_level

SQUARE, BLOOM, CUTOUT = date(2027, 6, 7), date(2027, 6, 28), date(2027, 8, 6)
DATED = (
    StageMark(SQUARE, Phase.SQUARING),
    StageMark(BLOOM, Phase.BLOOM),
    StageMark(CUTOUT, Phase.CUTOUT),
)


def stage_on(day: date, *marks: StageMark) -> str:
    """Give the stage of a day as `show` spells it."""
    mark = governing_mark(marks, day)
    return str(mark.on(day)) if mark is not None else "unknown"


def span(text: str) -> StageSpan:
    """Read a stretch that is meant to be one."""
    found = parse_span(text)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("day", "stage"),
    [
        (date(2027, 6, 6), "presquare"),
        (date(2027, 6, 7), "squaring 1"),
        (date(2027, 6, 13), "squaring 1"),
        (date(2027, 6, 14), "squaring 2"),
        (date(2027, 6, 27), "squaring 3"),
        (date(2027, 6, 28), "bloom 1"),
        (date(2027, 7, 4), "bloom 1"),
        (date(2027, 7, 5), "bloom 2"),
        (date(2027, 8, 5), "bloom 6"),
        (date(2027, 8, 6), "cutout"),
        (date(2027, 9, 30), "cutout"),
    ],
)
def test_the_first_seven_days_of_a_phase_are_its_week_one(day: date, stage: str) -> None:
    assert stage_on(day, *DATED) == stage


@given(since=st.integers(0, 200))
def test_the_week_is_the_whole_days_since_by_seven_and_one(since: int) -> None:
    mark = StageMark(BLOOM, Phase.BLOOM)
    assert mark.on(BLOOM + timedelta(days=since)) == Stage(Phase.BLOOM, since // 7 + 1)


def test_nothing_known_is_no_stage_and_a_bloom_to_come_says_nothing_of_before() -> None:
    assert stage_on(BLOOM) == "unknown"
    assert stage_on(BLOOM - timedelta(days=1), StageMark(BLOOM, Phase.BLOOM)) == "unknown"


def test_a_week_said_in_a_text_is_counted_on_from_its_day() -> None:
    said = StageMark(date(2027, 7, 6), Phase.BLOOM, week=3)
    assert stage_on(date(2027, 7, 12), said) == "bloom 3"
    assert stage_on(date(2027, 7, 13), said) == "bloom 4"


def test_the_newest_of_dates_and_texts_governs_whatever_phase_it_says() -> None:
    back = StageMark(date(2027, 7, 2), Phase.SQUARING, week=4)
    assert stage_on(date(2027, 7, 1), *DATED, back) == "bloom 1"
    assert stage_on(date(2027, 7, 2), *DATED, back) == "squaring 4"
    assert stage_on(CUTOUT, *DATED, back) == "cutout"


def test_of_two_texts_of_one_day_the_later_governs() -> None:
    first = StageMark(BLOOM, Phase.BLOOM, week=2)
    second = StageMark(BLOOM, Phase.BLOOM, week=3)
    assert stage_on(BLOOM, *DATED, first, second) == "bloom 3"


@given(order=st.permutations([SQUARE, BLOOM, CUTOUT]), later=st.integers(0, 120))
def test_marks_of_different_days_may_come_in_any_order(order: list[date], later: int) -> None:
    by_day = {mark.since: mark for mark in DATED}
    day = SQUARE + timedelta(days=later)
    assert stage_on(day, *(by_day[one] for one in order)) == stage_on(day, *DATED)


def test_a_proposal_holds_only_where_nothing_else_is_known() -> None:
    proposal = StageMark(date(2027, 7, 6), Phase.CUTOUT, proposal=True)
    assert stage_on(date(2027, 7, 6), proposal) == "cutout"
    assert stage_on(date(2027, 7, 5), proposal) == "unknown"
    assert stage_on(date(2027, 7, 6), *DATED[:2], proposal) == "bloom 2"
    governs = governing_mark([proposal], date(2027, 7, 6))
    assert governs is not None
    assert governs.proposal


def test_a_confirmed_stage_ends_a_proposal_from_its_day() -> None:
    proposal = StageMark(date(2027, 7, 1), Phase.CUTOUT, proposal=True)
    confirmed = StageMark(date(2027, 7, 3), Phase.BLOOM)
    assert stage_on(date(2027, 7, 2), proposal, confirmed) == "cutout"
    assert stage_on(date(2027, 7, 3), proposal, confirmed) == "bloom 1"


@pytest.mark.parametrize(
    ("text", "phase", "week", "onward"),
    [
        ("presquare", Phase.PRESQUARE, None, False),
        ("squaring", Phase.SQUARING, None, False),
        ("squaring 1", Phase.SQUARING, 1, False),
        ("squaring 3+", Phase.SQUARING, 3, True),
        ("bloom 6+", Phase.BLOOM, 6, True),
        ("cutout", Phase.CUTOUT, None, False),
    ],
)
def test_a_stretch_is_read_as_books_spell_it(
    text: str, phase: Phase, week: int | None, *, onward: bool
) -> None:
    assert parse_span(text) == StageSpan(phase, week, onward)
    assert str(span(text)) == text


@pytest.mark.parametrize("text", ["", "Bloom", "bloom 0", "bloom  2", "cutout 1", "presquare 2+", "bloom +"])
def test_what_is_no_stretch_is_none(text: str) -> None:
    assert parse_span(text) is None


NAMED = make_level("named", stages=("bloom 2", "bloom 4+"))
PHASE = make_level("phase", stages=("bloom",))
ANY = make_level("any", stages=())


@pytest.mark.parametrize(
    ("stage", "governs"),
    [
        (Stage(Phase.BLOOM, 2), NAMED),
        (Stage(Phase.BLOOM, 3), PHASE),
        (Stage(Phase.BLOOM, 4), NAMED),
        (Stage(Phase.BLOOM, 9), NAMED),
        (Stage(Phase.SQUARING, 2), ANY),
        (Stage(Phase.CUTOUT), ANY),
    ],
)
def test_a_named_week_goes_before_a_phase_and_a_phase_before_any_stage(stage: Stage, governs: Level) -> None:
    for rows in ((NAMED, PHASE, ANY), (ANY, PHASE, NAMED), (PHASE, NAMED, ANY)):
        assert governing_row(rows, "lygus", Method.BEAT_SHEET, stage) is governs


def test_a_row_serves_its_own_target_and_method_only() -> None:
    stage = Stage(Phase.BLOOM, 2)
    assert governing_row([ANY], "lygus", Method.SWEEP_NET, stage) is None
    assert governing_row([ANY], "fleahopper", Method.BEAT_SHEET, stage) is None
    assert governing_row([PHASE], "lygus", Method.BEAT_SHEET, Stage(Phase.CUTOUT)) is None


def test_a_stage_is_needed_only_where_the_level_turns_on_it() -> None:
    assert governing_row([ANY], "lygus", Method.BEAT_SHEET, None) is ANY
    assert governing_row([], "lygus", Method.BEAT_SHEET, None) is None
    assert governing_row([PHASE], "lygus", Method.BEAT_SHEET, None) == StageNeeded((PHASE,))
    assert governing_row([PHASE, ANY], "lygus", Method.BEAT_SHEET, None) == StageNeeded((PHASE, ANY))
    other = make_level("other", target="fleahopper", stages=("squaring",))
    assert governing_row([ANY, other], "lygus", Method.BEAT_SHEET, None) is ANY


def field_with(*plans: tuple[str | None, str]) -> Field:
    """Give a field of which only its plans matter, in the order of the season."""
    return Field(
        number=12,
        name="Gin Road West",
        sites=(12,),
        growers=(),
        scouts=(),
        supervisors=(),
        row_spacing_in=Fraction(38),
        plans=tuple((None if text is None else span(text), key) for text, key in plans),
    )


@pytest.mark.parametrize(
    ("stage", "plan"),
    [
        (Stage(Phase.PRESQUARE), "net"),  # none is named before it: the first
        (Stage(Phase.SQUARING, 1), "net"),
        (Stage(Phase.SQUARING, 2), "net"),
        (Stage(Phase.SQUARING, 3), "looks"),
        (Stage(Phase.SQUARING, 5), "looks"),  # week 5 is not named: the one named last before it
        (Stage(Phase.BLOOM, 1), "sheet"),
        (Stage(Phase.BLOOM, 7), "sheet"),
        (Stage(Phase.CUTOUT), "sheet"),
    ],
)
def test_a_stage_not_named_keeps_the_plan_named_last_before_it_else_the_first(
    stage: Stage, plan: str
) -> None:
    field = field_with(("squaring", "net"), ("squaring 3", "looks"), ("bloom", "sheet"))
    assert field.plan_for(stage) == plan


def test_one_plan_for_the_season_needs_no_stage_and_several_do() -> None:
    assert field_with((None, "sheet")).plan_for(None) == "sheet"
    assert field_with(("squaring", "sheet"), ("bloom", "sheet")).plan_for(None) == "sheet"
    assert field_with(("squaring", "net"), ("bloom", "sheet")).plan_for(None) is None
