"""By how much a spray lowered the insects, against a check or plainly."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.statistics import Change, OutOfRange, abbott, before_after, henderson_tilton

densities = st.floats(0.01, 1000)


def test_a_spray_against_a_check_by_hand() -> None:
    treated, check = Change(50, 5), Change(40, 60)
    assert abbott(treated, check) == pytest.approx(100 * (1 - 5 / 60))  # 91.67: 5 left where 60 are
    assert henderson_tilton(treated, check) == pytest.approx(
        100 * (1 - 0.1 / 1.5)
    )  # 93.33: a tenth against 1.5
    assert before_after(treated) == pytest.approx(90)


def test_abbotts_own_figures_give_96_percent() -> None:
    # Abbott 1925 (design/levels.md, section 7): half of the check is alive after, and 2 in 100 of the treated.
    assert abbott(Change(100, 2), Change(100, 50)) == pytest.approx(96)


def test_the_worked_numbers_of_the_page_come_out_to_their_digits() -> None:
    # design/levels.md, section 7, computed there: Henderson-Tilton, Abbott, plain.
    treated, check = Change(50, 5), Change(40, 60)
    assert henderson_tilton(treated, check) == pytest.approx(93.33, abs=5e-3)
    assert abbott(treated, check) == pytest.approx(91.67, abs=5e-3)
    assert before_after(treated) == 90


def test_more_insects_than_the_check_has_is_not_clipped_at_0() -> None:
    # design/levels.md, section 7, guards: the pest rose more than in the check; reported as it is.
    treated, check = Change(10, 30), Change(10, 15)
    assert abbott(treated, check) == pytest.approx(-100)
    assert henderson_tilton(treated, check) == pytest.approx(-100)


@pytest.mark.parametrize(
    ("treated", "check"),
    [
        (Change(1e-308, 1e308), Change(1, 1e-308)),
        (Change(5e-324, 1), Change(1, 5e-324)),
        (Change(1e308, 1e-308), Change(1e308, 1e-308)),
    ],
)
def test_densities_whose_ratio_no_number_holds_are_refused(treated: Change, check: Change) -> None:
    with pytest.raises(OutOfRange, match="too far apart to be compared"):
        henderson_tilton(treated, check)
    if treated.after > treated.before:
        with pytest.raises(OutOfRange, match="too far apart"):
            abbott(treated, check)
        with pytest.raises(OutOfRange, match="too far apart"):
            before_after(treated)


@given(densities, densities, densities)
def test_a_check_that_stays_as_it_was_leaves_the_plain_fall(
    before: float, after: float, still: float
) -> None:
    treated = Change(before, after)
    plain = before_after(treated)
    assert plain is not None
    assert henderson_tilton(treated, Change(still, still)) == pytest.approx(plain, abs=1e-6)


@given(densities, densities, densities)
def test_henderson_tilton_is_abbotts_where_both_began_alike(before: float, left: float, there: float) -> None:
    treated, check = Change(before, left), Change(before, there)
    assert henderson_tilton(treated, check) == pytest.approx(abbott(treated, check), rel=1e-9, abs=1e-6)


@given(densities, densities, densities, densities, st.floats(0.1, 100))
def test_units_cancel(tb: float, ta: float, cb: float, ca: float, factor: float) -> None:
    treated, check = Change(tb, ta), Change(cb, ca)
    treated_said, check_said = Change(factor * tb, factor * ta), Change(factor * cb, factor * ca)
    assert abbott(treated_said, check_said) == pytest.approx(abbott(treated, check), rel=1e-9, abs=1e-6)
    assert henderson_tilton(treated_said, check_said) == pytest.approx(
        henderson_tilton(treated, check), rel=1e-9, abs=1e-6
    )
    assert before_after(treated_said) == pytest.approx(before_after(treated), rel=1e-9, abs=1e-6)


@given(densities, densities, densities)
def test_nothing_left_is_all_of_it(before: float, check_before: float, check_after: float) -> None:
    treated, check = Change(before, 0), Change(check_before, check_after)
    assert (abbott(treated, check), henderson_tilton(treated, check), before_after(treated)) == (
        100,
        100,
        100,
    )


def test_more_insects_than_without_a_spray_is_below_0() -> None:
    assert before_after(Change(10, 15)) == pytest.approx(-50)


@pytest.mark.parametrize(
    ("treated", "check", "by_abbott", "by_henderson_tilton", "plain"),
    [
        (Change(0, 5), Change(40, 50), 90, None, None),
        (Change(50, 5), Change(40, 0), None, None, 90),
        (Change(50, 5), Change(0, 50), 90, None, 90),
        (Change(0, 0), Change(0, 0), None, None, None),
    ],
)
def test_where_there_is_nothing_to_compare_with_nothing_is_said(
    treated: Change,
    check: Change,
    by_abbott: float | None,
    by_henderson_tilton: float | None,
    plain: float | None,
) -> None:
    assert abbott(treated, check) == (None if by_abbott is None else pytest.approx(by_abbott))
    assert henderson_tilton(treated, check) == by_henderson_tilton
    assert before_after(treated) == (None if plain is None else pytest.approx(plain))


@pytest.mark.parametrize("density", [-1.0, math.nan, math.inf])
def test_a_density_that_cannot_be_is_refused(density: float) -> None:
    with pytest.raises(OutOfRange, match="A density is 0 or more"):
        Change(density, 1)
    with pytest.raises(OutOfRange, match="A density is 0 or more"):
        Change(1, density)
