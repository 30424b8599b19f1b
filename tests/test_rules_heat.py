"""Heat units: DD60 of a day against published values, sums with days missing, and the day of cutout."""

from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from bot.rules import HeatMethod, Phase, StageMark, Temperatures, cutout_day, heat_sum, heat_units

MEAN, TRIANGLE = HeatMethod.MEAN, HeatMethod.SINGLE_TRIANGLE
AUG_4 = date(2027, 8, 4)
DEGREES = st.fractions(-40, 150, max_denominator=10)


def day(high: float | Fraction, low: float | Fraction) -> Temperatures:
    return Temperatures(Fraction(high), Fraction(low))


@st.composite
def days(draw: st.DrawFn) -> Temperatures:
    low, high = sorted([draw(DEGREES), draw(DEGREES)])
    return Temperatures(high, low)


@pytest.mark.parametrize(
    ("high", "low", "units"),
    [
        (90, 60, 15),  # UT Extension, August 2013 (news.utcrops.com, insecticide termination)
        (90, 70, 20),  # UT Extension, August 2019 (news.utcrops.com, when should I quit)
    ],
)
def test_a_day_has_the_published_heat_units(high: int, low: int, units: int) -> None:
    assert heat_units(day(high, low)) == units


def test_250_heat_units_take_the_published_ten_to_fourteen_days() -> None:
    # Tennessee: 250 DD60 are 10 to 14 days (cottongrower.com, looking ahead to cutout). At 90 and 70 F, 20 a day.
    known = {AUG_4 + timedelta(days=n): day(90, 70) for n in range(30)}
    sums = [heat_sum(known, AUG_4, AUG_4 + timedelta(days=n), MEAN).total for n in range(30)]
    took = next(n for n, total in enumerate(sums, start=1) if total >= 250)
    assert took == 13


@pytest.mark.parametrize(("high", "low"), [(60, 60), (59, 40), (62, 50), (70, 50)])
def test_a_mean_at_or_under_60_counts_nothing(high: int, low: int) -> None:
    assert heat_units(day(high, low)) == 0


def test_half_degrees_and_tenths_are_exact() -> None:
    # 0.1 + 0.2 in floats would miss it: (75.1 + 45.2) / 2 - 60 = 0.15
    assert heat_units(day(Fraction("75.1"), Fraction("45.2"))) == Fraction("0.15")


@pytest.mark.parametrize(("high", "low"), [(90, 50), (62, 50), (100, 59), (61, -40), (97.5, 59.5)])
def test_a_triangle_over_60_is_what_integrating_it_gives(high: float, low: float) -> None:
    # scipy's quadrature of a day that rises from the low at 0 h to the high at 12 h and falls back
    def over_60(hour: float) -> float:
        return max(low + (high - low) * (1 - abs(hour - 12) / 12) - 60, 0.0)

    crosses = 12 * (60 - low) / (high - low)
    area, _ = quad(over_60, 0, 24, points=[crosses, 12, 24 - crosses])
    assert float(heat_units(day(high, low), TRIANGLE)) == pytest.approx(area / 24, abs=1e-9)


@given(days())
def test_a_triangle_never_counts_less_than_the_mean(one: Temperatures) -> None:
    mean, triangle = heat_units(one, MEAN), heat_units(one, TRIANGLE)
    assert 0 <= mean <= triangle
    if one.low >= 60 or one.high <= 60:
        assert triangle == mean


@given(days(), st.fractions(0, 20, max_denominator=10), st.sampled_from(HeatMethod))
def test_a_hotter_day_never_counts_less(one: Temperatures, more: Fraction, method: HeatMethod) -> None:
    units = heat_units(one, method)
    assert heat_units(Temperatures(one.high + more, one.low), method) >= units
    assert heat_units(Temperatures(one.high + more, one.low + more), method) >= units


def test_a_high_under_its_low_is_no_day() -> None:
    with pytest.raises(ValueError, match="under the low"):
        day(60, 61)


@given(st.dictionaries(st.integers(0, 20), days()), st.integers(0, 20), st.integers(0, 20))
def test_a_sum_is_that_of_its_two_halves_and_knows_every_day(
    offsets: dict[int, Temperatures], first: int, cut: int
) -> None:
    known = {AUG_4 + timedelta(days=n): one for n, one in offsets.items()}
    since, by = AUG_4 + timedelta(days=first), AUG_4 + timedelta(days=20)
    between = min(since + timedelta(days=cut), by)
    whole = heat_sum(known, since, by, MEAN)
    early = heat_sum(known, since, between, MEAN)
    late = heat_sum(known, between + timedelta(days=1), by, MEAN)
    assert whole.total == early.total + late.total
    assert whole.missing == early.missing + late.missing
    seen = {one.day for one in whole.days}
    assert len(seen) + len(whole.missing) == (by - since).days + 1
    assert not seen & set(whole.missing)


def test_a_missing_day_is_named_and_not_guessed() -> None:
    known = {AUG_4: day(90, 70), AUG_4 + timedelta(days=2): day(90, 60)}
    heat = heat_sum(known, AUG_4, AUG_4 + timedelta(days=3), MEAN)
    assert heat.total == 35
    assert heat.missing == (date(2027, 8, 5), date(2027, 8, 7))


def test_a_sum_that_has_not_begun_is_empty() -> None:
    heat = heat_sum({AUG_4: day(90, 70)}, AUG_4, AUG_4 - timedelta(days=1), MEAN)
    assert heat.total == 0
    assert not heat.missing
    assert not heat.days


BLOOM = StageMark(date(2027, 7, 1), Phase.BLOOM)
CUTOUT = StageMark(AUG_4, Phase.CUTOUT)


def test_a_field_is_in_cutout_from_the_day_on_which_it_is_said() -> None:
    assert cutout_day([BLOOM, CUTOUT], AUG_4 - timedelta(days=1)) is None
    assert cutout_day([BLOOM, CUTOUT], AUG_4) == AUG_4
    assert cutout_day([BLOOM], AUG_4) is None
    assert cutout_day([], AUG_4) is None


def test_cutout_said_once_more_does_not_begin_again() -> None:
    again = StageMark(date(2027, 8, 8), Phase.CUTOUT)
    assert cutout_day([BLOOM, CUTOUT, again], date(2027, 8, 20)) == AUG_4


def test_cutout_taken_back_begins_anew() -> None:
    back = StageMark(date(2027, 8, 6), Phase.BLOOM, 6)
    anew = StageMark(date(2027, 8, 9), Phase.CUTOUT)
    assert cutout_day([BLOOM, CUTOUT, back], date(2027, 8, 7)) is None
    assert cutout_day([BLOOM, CUTOUT, back, anew], date(2027, 8, 20)) == anew.since


def test_what_a_supervisor_says_is_not_carried_back_to_a_proposal() -> None:
    proposal = StageMark(date(2027, 8, 1), Phase.CUTOUT, proposal=True)
    assert cutout_day([proposal], AUG_4) == proposal.since
    assert cutout_day([proposal, CUTOUT], date(2027, 8, 20)) == AUG_4
