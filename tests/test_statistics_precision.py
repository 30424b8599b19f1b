"""Samples for a precision, and the lines of plans that stop at one, against the page and against each other."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.proportion import samplesize_confint_proportion

from bot.statistics import (
    Binomial,
    Crowding,
    Family,
    Meaning,
    NegativeBinomial,
    OutOfRange,
    Poisson,
    Precision,
    Taylor,
    green_line,
    iwao_limits,
    iwao_most,
    samples_needed,
)

APHIDS = Taylor(9.157, 1.543)
"""Soybean aphid: Hodgson et al. 2004, J. Econ. Entomol. 97:2127-2136 (FOUND-2ND)."""

BINNS = Taylor(3.05, 1.02)
"""Inputs of Binns, Nyrop and van der Werf 2000, section 5.8 (FOUND)."""


@pytest.mark.parametrize(
    ("spread", "mean", "ratio", "as_se", "as_half_width"),
    [
        # 2.3 of the statistics page: Karandinos 1976, recomputed with z = 1.96 (SELF), to the digits printed.
        (NegativeBinomial(1), 1, 0.25, 32, 122.931),
        (NegativeBinomial(0.8), 0.5, 0.25, 52, 199.763),
        (NegativeBinomial(1.5), 2, 0.2, 29.167, 112.047),
        (Poisson(), 1, 0.25, 16, 16 * 1.96**2),
        (Binomial(), 0.2, 0.25, 64, 64 * 1.96**2),
    ],
)
def test_samples_needed_are_those_of_the_page_in_both_meanings(
    spread: Family, mean: float, ratio: float, as_se: float, as_half_width: float
) -> None:
    by_se = samples_needed(spread, mean, Precision(ratio))
    by_half_width = samples_needed(spread, mean, Precision(ratio, Meaning.HALF_WIDTH))
    assert by_se.exact == pytest.approx(as_se, abs=5e-4)
    assert by_half_width.exact == pytest.approx(as_half_width, abs=5e-4)
    assert by_half_width.exact / by_se.exact == pytest.approx(3.84, abs=0.002)


@pytest.mark.parametrize(
    ("taylor", "ratio", "samples"),
    [
        # 2.1: n at means of .5, 1, 2 and 5 (SELF), to the digits printed.
        (Taylor(2, 1.5), 0.25, (45.25, 32, 22.63, 14.31)),
        (Taylor(2, 1.5), 0.10, (282.84, 200, 141.42, 89.44)),
        (BINNS, 0.25, (96.26, 48.8, 24.74, 10.08)),
        (APHIDS, 0.25, (201.11, 146.51, 106.73, 70.22)),
    ],
)
def test_samples_needed_by_taylor_are_those_of_the_page(
    taylor: Taylor, ratio: float, samples: tuple[float, ...]
) -> None:
    ours = [samples_needed(taylor, mean, Precision(ratio)).exact for mean in (0.5, 1, 2, 5)]
    assert ours == pytest.approx(samples, abs=0.0051)


@pytest.mark.parametrize(
    ("taylor", "ratio", "sums"),
    [
        # 2.1: the stop line at 5, 10, 20, 50 and 100 samples (SELF), to the digits printed.
        (Taylor(2, 1.5), 0.25, (204.8, 102.4, 51.2, 20.48, 10.24)),
        (Taylor(2, 1.5), 0.10, (8000, 4000, 2000, 800, 400)),
        (BINNS, 0.25, (51.123, 50.404, 49.696, 48.776, 48.091)),
        (APHIDS, 0.25, (8106.3, 3557.5, 1561.2, 525.58, 230.65)),
        (Taylor(1, 1), 0.25, (16, 16, 16, 16, 16)),  # the Poisson limit, by hand
    ],
)
def test_greens_line_is_that_of_the_page(taylor: Taylor, ratio: float, sums: tuple[float, ...]) -> None:
    ours = [green_line(taylor, Precision(ratio), n) for n in (5, 10, 20, 50, 100)]
    assert ours == pytest.approx(sums, rel=2.5e-5)


@given(
    st.floats(0.1, 20),
    st.floats(0.5, 1.9),
    st.floats(0.05, 0.5),
    st.sampled_from(Meaning),
    st.integers(1, 500),
)
def test_on_greens_line_the_precision_is_reached(
    a: float, b: float, ratio: float, meaning: Meaning, n: int
) -> None:
    taylor, wanted = Taylor(a, b), Precision(ratio, meaning)
    mean = green_line(taylor, wanted, n) / n
    assert samples_needed(taylor, mean, wanted).exact == pytest.approx(n, rel=1e-9)
    assert math.sqrt(a * mean**b / n) / mean == pytest.approx(wanted.of_se, rel=1e-9)


@given(st.floats(0.1, 20), st.floats(0.5, 1.9), st.floats(0.1, 10), st.floats(0.01, 100))
def test_units_cancel(a: float, b: float, mean: float, times: float) -> None:
    # Counts said per another unit: times the mean, times² the variance.
    one, other = Taylor(a, b), Taylor(a * times ** (2 - b), b)
    wanted = Precision(0.2)
    ours, theirs = samples_needed(one, mean, wanted), samples_needed(other, mean * times, wanted)
    assert ours.exact == pytest.approx(theirs.exact, rel=1e-9)
    assert green_line(other, wanted, 12) == pytest.approx(times * green_line(one, wanted, 12), rel=1e-9)


@given(st.floats(0.1, 20), st.floats(0.02, 50), st.floats(0.02, 1), st.floats(1.01, 5))
def test_a_tighter_precision_and_more_clumped_insects_take_more_samples(
    k: float, mean: float, ratio: float, times: float
) -> None:
    plain = samples_needed(NegativeBinomial(k), mean, Precision(ratio)).exact
    tighter = samples_needed(NegativeBinomial(k), mean, Precision(ratio / times)).exact
    assert tighter == pytest.approx(times**2 * plain)
    assert samples_needed(NegativeBinomial(k / times), mean, Precision(ratio)).exact > plain
    assert samples_needed(NegativeBinomial(k), mean * times, Precision(ratio)).exact < plain
    assert samples_needed(Poisson(), mean, Precision(ratio)).exact < plain


def test_greens_line_with_an_a_of_2_and_a_b_of_one_and_a_half_falls_as_1024_by_n() -> None:
    # 2.1: exact by hand at D = .25, (D²/a)^-2 n^-1.
    for n in (1, 7, 32, 1024):
        assert green_line(Taylor(2, 1.5), Precision(0.25), n) == pytest.approx(1024 / n, rel=1e-12)


def test_a_very_high_mean_takes_the_samples_of_its_clumping_alone() -> None:
    assert samples_needed(NegativeBinomial(1), 1e308, Precision(0.25)).n == 16  # by hand: 1/(k D²)


@given(st.floats(0.01, 0.9), st.floats(0.05, 0.5), st.floats(0.5, 0.99))
def test_a_share_takes_the_samples_that_statsmodels_says(p: float, ratio: float, confidence: float) -> None:
    z = float(stats.norm.ppf((1 + confidence) / 2))
    theirs = samplesize_confint_proportion(p, half_length=ratio * p, alpha=1 - confidence, method="normal")
    ours = samples_needed(Binomial(), p, Precision(ratio, Meaning.HALF_WIDTH, z))
    assert ours.exact == pytest.approx(float(theirs), rel=1e-9)


def test_without_clumping_as_many_samples_are_needed_as_for_the_poisson() -> None:
    wanted = Precision(0.25)
    clumped = samples_needed(NegativeBinomial(1e12), 1.7, wanted).exact
    assert clumped == pytest.approx(samples_needed(Poisson(), 1.7, wanted).exact, rel=1e-11)


def test_a_whole_number_of_samples_is_not_rounded_up_by_a_last_digit() -> None:
    # In floats 2 / .1 / .1 is a little under or over 200; the formula says 200.
    assert samples_needed(NegativeBinomial(1), 1, Precision(0.1)).n == 200
    assert samples_needed(NegativeBinomial(1.5), 2, Precision(0.2)).n == 30
    assert samples_needed(Binomial(), 1, Precision(0.2)).n == 1


@pytest.mark.parametrize(
    ("crowding", "critical", "t", "limits", "most"),
    [
        # 2.2: Iwao 1975, recomputed (SELF), to the digits printed; n_max at d = .25 where the page has it.
        (Crowding(0, 2), 1, 1.645, {10: (2.643, 17.357), 20: (9.596, 30.404), 50: (33.550, 66.450)}, 86.59),
        (
            Crowding(0.5, 1.3),
            1,
            1.96,
            {10: (1.684, 18.316), 20: (8.240, 31.760), 50: (31.406, 68.594)},
            110.64,
        ),
        (Crowding(0, 2.25), 0.5, 1.28, {5: (-0.080, 5.080), 20: (4.840, 15.160)}, None),
    ],
)
def test_iwaos_limits_are_those_of_the_page(
    crowding: Crowding, critical: float, t: float, limits: dict[int, tuple[float, float]], most: float | None
) -> None:
    for n, (lower, upper) in limits.items():
        ours = iwao_limits(crowding, critical, t, n)
        assert (ours.lower, ours.upper) == pytest.approx((lower, upper), abs=5.1e-4)
        assert ours.stops_low == (lower >= 0)
    if most is not None:
        assert iwao_most(crowding, critical, t, 0.25) == pytest.approx(most, abs=0.0051)


@given(st.floats(0.1, 20), st.floats(0.1, 20), st.floats(0.05, 0.5))
def test_iwaos_most_is_the_number_for_the_half_width_of_the_negative_binomial(
    k: float, mean: float, ratio: float
) -> None:
    # 2.2: an alpha of 0 and a beta of 1 + 1/k are the variance of the negative binomial.
    most = iwao_most(Crowding(0, 1 + 1 / k), mean, 1.96, ratio * mean)
    needed = samples_needed(NegativeBinomial(k), mean, Precision(ratio, Meaning.HALF_WIDTH))
    assert most == pytest.approx(needed.exact, rel=1e-9)


def test_what_has_no_number_of_samples_is_refused_with_a_sentence() -> None:
    with pytest.raises(OutOfRange, match="The precision must be a number over 0, not 0"):
        Precision(0)
    with pytest.raises(OutOfRange, match="z must be a number over 0"):
        Precision(0.1, Meaning.HALF_WIDTH, math.nan)
    with pytest.raises(OutOfRange, match="Taylor's a must be a number over 0, not -1"):
        Taylor(-1, 1.5)
    with pytest.raises(OutOfRange, match="Taylor's b must be a number, not nan"):
        Taylor(1, math.nan)
    with pytest.raises(OutOfRange, match="The mean must be a number over 0, not 0"):
        samples_needed(Poisson(), 0, Precision(0.1))
    with pytest.raises(OutOfRange, match="a share from 0 to 1"):
        samples_needed(Binomial(), 1.5, Precision(0.1))
    for endless in (Taylor(1, 1.5), NegativeBinomial(1), Taylor(1, -400)):
        for ratio in (1e-200, 1e-9):  # past 2^53 a float tells no whole number from the next
            with pytest.raises(OutOfRange, match="more samples than can be counted"):
                samples_needed(endless, 0.1, Precision(ratio))


def test_lines_that_no_sum_meets_are_refused_with_a_sentence() -> None:
    with pytest.raises(OutOfRange, match="Green's line needs a Taylor's b under 2, not 2"):
        green_line(Taylor(1, 2), Precision(0.1), 10)
    with pytest.raises(OutOfRange, match="a larger sum than can be counted"):
        green_line(Taylor(2, 1.999), Precision(0.1), 10)
    with pytest.raises(OutOfRange, match="samples must be 1 or more, not 0"):
        green_line(Taylor(1, 1), Precision(0.1), 0)
    with pytest.raises(OutOfRange, match="samples must be 1 or more, not 0"):
        iwao_limits(Crowding(0, 2), 1, 1.96, 0)
    with pytest.raises(OutOfRange, match="The critical mean must be a number over 0"):
        iwao_limits(Crowding(0, 2), 0, 1.96, 5)
    with pytest.raises(OutOfRange, match="variance by the line of crowding must be a number over 0"):
        iwao_most(Crowding(0, 0), 2, 1.96, 0.25)
