"""Crossings: what a change of a field's final-or-certain standing says, and which standings are told."""

from fractions import Fraction
from itertools import product

import pytest

from bot.rules import (
    CrossingKind,
    FieldFigures,
    FieldStanding,
    FieldState,
    Judgement,
    LastCrossing,
    Method,
    Standing,
    crossing,
)

ABOVE, IN_RANGE, BELOW = Standing.ABOVE, Standing.IN_RANGE, Standing.BELOW
ROUND, NEXT = 7, 8


def crosses(
    before: Standing | None, now: Standing | None, round_id: int, *, final: bool = True
) -> CrossingKind | None:
    """Give the crossing from what the last one left in ROUND."""
    return crossing(LastCrossing(before, ROUND), now, round_id, final=final)


@pytest.mark.parametrize(
    ("now", "kind"),
    [
        (ABOVE, CrossingKind.ABOVE),
        (IN_RANGE, CrossingKind.IN_RANGE),
        (BELOW, CrossingKind.QUIET),
        (None, None),
    ],
)
def test_a_field_s_first_standing_speaks_unless_it_is_below(
    now: Standing | None, kind: CrossingKind | None
) -> None:
    assert crossing(None, now, ROUND, final=True) is kind


@pytest.mark.parametrize(
    ("before", "now", "kind"),
    [
        # what an alert or a notice told of is taken away: withdrawn
        (ABOVE, IN_RANGE, CrossingKind.WITHDRAWN),
        (ABOVE, BELOW, CrossingKind.WITHDRAWN),
        (ABOVE, None, CrossingKind.WITHDRAWN),
        (IN_RANGE, BELOW, CrossingKind.WITHDRAWN),
        (IN_RANGE, None, CrossingKind.WITHDRAWN),
        # one that leads to above is a crossing
        (IN_RANGE, ABOVE, CrossingKind.ABOVE),
        (BELOW, ABOVE, CrossingKind.ABOVE),
        (BELOW, IN_RANGE, CrossingKind.IN_RANGE),
        # nobody was told anything, so nobody is told that it went
        (BELOW, None, CrossingKind.QUIET),
        # after a withdrawal
        (None, ABOVE, CrossingKind.ABOVE),
        (None, IN_RANGE, CrossingKind.IN_RANGE),
        (None, BELOW, CrossingKind.QUIET),
        # nothing changed
        (ABOVE, ABOVE, None),
        (IN_RANGE, IN_RANGE, None),
        (BELOW, BELOW, None),
        (None, None, None),
    ],
)
def test_a_correction_in_the_same_round(
    before: Standing | None, now: Standing | None, kind: CrossingKind | None
) -> None:
    assert crosses(before, now, ROUND) is kind


@pytest.mark.parametrize(
    ("before", "now", "kind"),
    [
        (ABOVE, ABOVE, CrossingKind.STILL_ABOVE),
        (ABOVE, IN_RANGE, CrossingKind.IN_RANGE),
        (ABOVE, BELOW, CrossingKind.BACK_BELOW),
        (IN_RANGE, ABOVE, CrossingKind.ABOVE),
        (IN_RANGE, IN_RANGE, CrossingKind.QUIET),
        (IN_RANGE, BELOW, CrossingKind.BACK_BELOW),
        (BELOW, ABOVE, CrossingKind.ABOVE),
        (BELOW, IN_RANGE, CrossingKind.IN_RANGE),
        (BELOW, BELOW, CrossingKind.QUIET),
        # withdrawn in the round before
        (None, ABOVE, CrossingKind.ABOVE),
        (None, IN_RANGE, CrossingKind.IN_RANGE),
        (None, BELOW, CrossingKind.QUIET),
    ],
)
def test_a_new_round_that_is_final(before: Standing | None, now: Standing, kind: CrossingKind) -> None:
    assert crosses(before, now, NEXT) is kind


@pytest.mark.parametrize("before", [ABOVE, IN_RANGE, BELOW, None])
def test_a_new_round_that_does_not_stand_yet_takes_nothing_back(before: Standing | None) -> None:
    assert crosses(before, None, NEXT, final=False) is None


def test_still_above_is_said_when_the_next_round_is_final_not_when_it_is_certain() -> None:
    assert crosses(ABOVE, ABOVE, NEXT, final=False) is None
    assert crosses(ABOVE, ABOVE, NEXT, final=True) is CrossingKind.STILL_ABOVE


def test_a_round_that_is_certain_speaks_before_it_is_final() -> None:
    assert crosses(BELOW, ABOVE, NEXT, final=False) is CrossingKind.ABOVE


def test_what_a_crossing_left_does_not_cross_again_in_its_round() -> None:
    standings = [ABOVE, IN_RANGE, BELOW, None]
    for before, now, round_id in product(standings, standings, [ROUND, NEXT]):
        if crosses(before, now, round_id) is not None:
            assert crossing(LastCrossing(now, round_id), now, round_id, final=True) is None


def test_above_is_never_left_or_reached_in_silence_within_a_round() -> None:
    for before, now in product([ABOVE, IN_RANGE, BELOW, None], repeat=2):
        if (before is ABOVE) != (now is ABOVE):
            assert crosses(before, now, ROUND) in (CrossingKind.ABOVE, CrossingKind.WITHDRAWN)


def field_of(standing: Standing, state: FieldState, *, certain: bool) -> FieldStanding:
    """Give a field that stands so for lygus."""
    three = Fraction(3)
    judged = Judgement(standing, None, three, three)
    figures = FieldFigures(
        None, "lygus", Method.BEAT_SHEET, 1, 3, three, None, judged, certain or state is FieldState.FINAL
    )
    return FieldStanding(state, (figures,))


@pytest.mark.parametrize(
    ("standing", "state", "certain", "told"),
    [
        (ABOVE, FieldState.FINAL, True, ABOVE),
        (IN_RANGE, FieldState.FINAL, True, IN_RANGE),
        (BELOW, FieldState.FINAL, True, BELOW),
        (Standing.UNKNOWN, FieldState.FINAL, True, None),
        (ABOVE, FieldState.CERTAIN, True, ABOVE),
        (ABOVE, FieldState.CERTAIN, False, None),  # it is another target that is certain
        (BELOW, FieldState.CERTAIN, False, None),
        (ABOVE, FieldState.SO_FAR, False, None),
        (IN_RANGE, FieldState.SO_FAR, False, None),
        (BELOW, FieldState.SO_FAR, False, None),
    ],
)
def test_only_a_standing_that_is_final_or_certain_is_told(
    standing: Standing, state: FieldState, *, certain: bool, told: Standing | None
) -> None:
    assert field_of(standing, state, certain=certain).told("lygus") is told


def test_a_target_without_a_level_is_not_told() -> None:
    assert field_of(ABOVE, FieldState.FINAL, certain=True).told("fleahopper") is None
