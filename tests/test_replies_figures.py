"""Figures as they are printed: short, and never against their standing."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.replies import density_number, figure_number, level_words, number_list
from bot.rules import Effort, SiteFigures, Unit, judge
from tests.test_rules_totals import make_level

# A level is written in decimals, and may be halved.
marks_written = st.integers(1, 50_000).map(lambda thousandths: Fraction(thousandths, 2000))


@given(value=st.fractions(0, 100, max_denominator=10_000), mark=marks_written)
def test_a_printed_figure_is_on_its_own_side_of_a_mark(value: Fraction, mark: Fraction) -> None:
    printed = Fraction(figure_number(value, (mark,)))
    assert (printed >= mark) == (value >= mark)
    assert abs(printed - value) <= Fraction(1, 200)


@given(
    level=marks_written,
    width=st.just(Fraction(0)) | marks_written,
    off=st.integers(-5, 5),
    scale=st.sampled_from([3, 30, 999, 1000, 30_000, 1_000_000]),
    at_high=st.booleans(),
)
def test_a_printed_density_and_its_printed_level_never_contradict_its_standing(
    level: Fraction, width: Fraction, off: int, scale: int, *, at_high: bool
) -> None:
    low, high = level, level + width
    density = max((high if at_high else low) + Fraction(off, scale), Fraction(0))
    judged = judge(make_level(low=low, high=high), density, None, None)
    per = Effort(Fraction(5), Unit.ROW_FT)
    figures = SiteFigures(None, "lygus", density, Fraction(5), density, per, judged, certain=True)
    printed = Fraction(density_number(figures))
    marks = [Fraction(mark) for mark in level_words(judged).split("-")]
    as_read = make_level(low=marks[0], high=marks[-1])
    assert judge(as_read, printed, None, None).standing is judged.standing, (printed, marks)


@pytest.mark.parametrize(
    ("value", "marks", "said"),
    [
        # texts.md section 5: 2.996 under 3 is not printed as 3.00
        (Fraction("2.996"), (Fraction(3),), "2.996"),
        (Fraction(25, 9), (Fraction(3),), "2.78"),
        (Fraction(3), (Fraction(3),), "3"),
        (Fraction("24.9999"), (Fraction(25), Fraction(30)), "24.9999"),
        (Fraction("29.998"), (Fraction(25), Fraction(30)), "29.998"),
        (Fraction("30.004"), (Fraction(25), Fraction(30)), "30"),
        (Fraction(0), (Fraction(3),), "0"),
    ],
)
def test_figures_as_they_are_printed(value: Fraction, marks: tuple[Fraction, ...], said: str) -> None:
    assert figure_number(value, marks) == said


def test_numbers_in_a_row_are_drawn_together() -> None:
    assert number_list([1, 2, 3, 4, 6, 8, 9, 10]) == "1-4 6 8-10"
    assert number_list([3, 4]) == "3 4"
