"""The commands `figure stops` and `figure needed`, as somebody types them."""

import json
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from click.testing import CliRunner, Result

from bot.figures_plans import figure

PLAN = ("stops", "--family", "nb", "--low", ".5", "--high", "1", "--k", "1", "--alpha", ".1", "--beta", ".1")
NIST = ("stops", "--family", "binomial", "--low", ".01", "--high", ".1", "--alpha", ".05", "--beta", ".1")
SVG = "{http://www.w3.org/2000/svg}"


def run(*words: str) -> Result:
    result = CliRunner().invoke(figure, words)
    assert result.exception is None or isinstance(result.exception, SystemExit)
    return result


def answered(*words: str) -> dict[str, Any]:
    result = run(*words, "--json")
    assert result.exit_code == 0, result.output
    read: dict[str, Any] = json.loads(result.stdout)
    return read


def test_stops_are_said_in_their_fixed_form() -> None:
    # Section 1.4 of the statistics page (SELF).
    said = answered(*PLAN, "--at", "0.25", "--rows", "9")
    assert list(said) == ["slope", "h0", "h1", "rows", "at"]
    assert (said["slope"], said["h0"], said["h1"]) == pytest.approx((0.70951, 5.41902, 5.41902), abs=5.1e-6)
    assert said["rows"][0] == {"n": 1, "low_at_most": None, "high_at_least": 7}
    assert said["rows"][8] == {"n": 9, "low_at_most": 0, "high_at_least": 12}
    (at,) = said["at"]
    assert list(at) == ["mean", "wald_low", "wald_n", "exact_low", "exact_n"]
    assert tuple(at.values()) == pytest.approx((0.25, 0.9984, 11.76, 0.9996, 12.59), abs=0.0051)


def test_forty_rows_are_tabled_and_no_mean_looked_at_unless_asked() -> None:
    said = answered(*PLAN)
    assert [row["n"] for row in said["rows"]] == list(range(1, 41))
    assert said["at"] == []


def test_a_share_is_not_called_high_by_more_hits_than_samples() -> None:
    # W1: NIST/SEMATECH e-Handbook 6.2.6 as in the documentation of `reliability` (FOUND-2ND).
    rows = answered(*NIST, "--rows", "100")["rows"]
    assert rows[0] == {"n": 1, "low_at_most": None, "high_at_least": None}
    assert rows[1] == {"n": 2, "low_at_most": None, "high_at_least": 2}
    assert rows[99] == {"n": 100, "low_at_most": 3, "high_at_least": 6}


@pytest.mark.parametrize(
    "asked",
    [
        ("--at", "0.25", "0.5", "1"),
        ("--at", "0.25", "--at", "0.5", "--at", "1"),
        ("--at=0.25", "0.5", "--rows", "3", "--at", "1"),
    ],
)
def test_several_true_means_may_follow_one_at(asked: tuple[str, ...]) -> None:
    assert [one["mean"] for one in answered(*PLAN, *asked)["at"]] == [0.25, 0.5, 1]


def test_a_most_number_of_samples_says_what_it_costs() -> None:
    capped = answered(*PLAN, "--least", "4", "--most", "10")["capped"]
    assert (capped["least"], capped["most"]) == (4, 10)
    ends = capped["capped_at_low"]
    assert ends["low"] + ends["high"] + ends["undecided"] == pytest.approx(1)
    assert capped["alpha_more"] == pytest.approx(
        ends["high"] + ends["leans_high"] - capped["free_at_low"]["high"]
    )
    assert capped["beta_more"] > 0.2


def test_stops_are_printed_as_a_table_with_gaps_where_no_sum_stops() -> None:
    said = run(*PLAN, "--at", "0.5", "--rows", "2", "--most", "10").stdout
    assert "stop low at a sum of 0.7095 n - 5.4190 or less, high at 0.7095 n + 5.4190 or more." in said
    assert "│       1 │           - │             7 │" in said
    assert "│       0.5 │    0.9000 │   20.69 │     0.9356 │   23.77 │" in said
    assert "free and capped (the end at sample 10):" in said
    assert "the cap adds +" in said


def test_an_exact_figure_that_takes_too_long_is_left_out_with_a_note() -> None:
    words = ("stops", "--family", "nb", "--low", "50", "--high", "50.01", "--k", "1", "--at", "50.005")
    result = run(*words, "--json")
    (at,) = json.loads(result.stdout)["at"]
    assert (at["exact_low"], at["exact_n"]) == (None, None)
    assert at["wald_low"] == pytest.approx(0.5, abs=0.01)
    assert result.stderr.startswith("Note: At a mean of 50.005 this plan takes too many samples")
    assert "│          - │       - │" in run(*words).stdout


@pytest.mark.parametrize("plan", [PLAN, NIST], ids=["nb", "binomial"])
def test_both_curves_are_drawn_by_wald_and_exact(plan: tuple[str, ...], tmp_path: Path) -> None:
    file = tmp_path / "plan.svg"
    assert run(*plan, "--plot", str(file)).exit_code == 0
    picture = ET.fromstring(file.read_text(encoding="utf-8"))  # noqa: S314  a file that the test has made
    assert picture.tag == f"{SVG}svg"
    curves = picture.findall(f".//{SVG}polyline")
    assert len(curves) == 4
    width, height = float(picture.get("width", "0")) / 2, float(picture.get("height", "0"))
    for curve in curves:
        points = [tuple(map(float, point.split(","))) for point in curve.get("points", "").split()]
        assert len(points) == 81
        assert all(0 < x < width and 0 < y < height for x, y in points)
    chances = [float(point.split(",")[1]) for point in curves[0].get("points", "").split()]
    assert chances == sorted(chances)  # y counts downward: the chance of low only falls
    said = {text.text for text in picture.iter(f"{SVG}text")}
    assert {"exact", "Wald", "true mean of one sample", "Samples needed (ASN)", "0.2"} <= said


def test_a_picture_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    result = run(*PLAN, "--plot", str(tmp_path / "nowhere" / "plan.svg"))
    assert result.exit_code == 1
    assert "cannot be written: No such file or directory" in result.stderr


@pytest.mark.parametrize(
    ("words", "n", "exact"),
    [
        # Section 2.3 and 2.1 of the statistics page (SELF).
        (("--mean", "1", "--k", "1", "--precision", ".25"), 32, 32),
        (("--mean", "1", "--k", "1", "--precision", ".25", "--meaning", "half-width"), 123, 122.931),
        (("--mean", ".5", "--k", ".8", "--precision", ".25", "--meaning", "se"), 52, 52),
        (("--mean", "2", "--k", "1.5", "--precision", ".2"), 30, 29.167),
        (("--mean", "1", "--family", "poisson", "--precision", ".25"), 16, 16),
        (("--mean", ".2", "--family", "binomial", "--precision", ".25"), 64, 64),
        (("--mean", "2", "--taylor-a", "2", "--taylor-b", "1.5", "--precision", ".25"), 23, 22.627),
        (("--mean", "1", "--taylor-a", "2", "--taylor-b", "1.5", "--precision", ".1"), 200, 200),
    ],
)
def test_samples_needed_are_said_whole_and_as_worked_out(
    words: tuple[str, ...], n: int, exact: float
) -> None:
    said = answered("needed", *words)
    assert list(said) == ["n", "n_exact"]
    assert said["n"] == n
    assert said["n_exact"] == pytest.approx(exact, abs=5.1e-4)


@pytest.mark.parametrize(
    ("meaning", "said"),
    [
        ("se", "32 samples (32.00) for SE/mean of 0.25 at a mean of 1 a sample."),
        ("half-width", "123 samples (122.93) for half-width/mean of 0.25 (95 %, z = 1.96) at a mean of 1"),
    ],
)
def test_which_precision_is_meant_is_always_said(meaning: str, said: str) -> None:
    words = ("needed", "--mean", "1", "--k", "1", "--precision", ".25", "--meaning", meaning)
    assert run(*words).stdout.startswith(said)


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ("stops --family nb --low 1 --high 1 --k 1", "low must be under high; 1 is not under 1."),
        ("stops --family nb --low 1 --high .5 --k 1", "low must be under high; 1 is not under 0.5."),
        ("stops --family nb --low .5 --high 1 --k 0", "k must be a number over 0, not 0."),
        ("stops --family nb --low .5 --high 1", "A negative binomial needs --k;"),
        ("stops --family poisson --low .5 --high 1 --k 1", "--k belongs to the negative binomial;"),
        ("stops --family binomial --low .5 --high 1", "low and high of a binomial are shares under 1"),
        ("stops --family poisson --low .5 --high 1 --alpha .6 --beta .4", "alpha and beta together must be"),
        ("stops --family poisson --low .5 --high 1 --at -1", "A mean must be 0 or more, not -1."),
        ("stops --family poisson --low .5 --high 1 --at nan", "A mean must be 0 or more, not nan."),
        ("stops --family binomial --low .1 --high .2 --at 2", "The mean of a binomial is a share"),
        ("stops --family poisson --low .5 --high 1 --least 9 --most 8", "The most number of samples, 8,"),
        ("stops --family poisson --low 50 --high 50.001 --plot x.svg", "At a mean of"),
        ("needed --mean 1 --precision .25", "A negative binomial needs --k;"),
        ("needed --mean 0 --k 1 --precision .25", "The mean must be a number over 0, not 0."),
        ("needed --mean 1 --k 1 --precision 0", "The precision must be a number over 0, not 0."),
        ("needed --mean 1 --taylor-a 2 --precision .25", "Taylor's power law needs both"),
        ("needed --mean 1 --k 1 --taylor-a 2 --taylor-b 1 --precision .2", "Say --k or Taylor's a and b"),
    ],
)
def test_nonsense_is_refused_with_a_sentence(words: str, sentence: str) -> None:
    result = run(*words.split())
    assert result.exit_code == 2
    assert result.stdout == ""
    assert result.stderr.startswith(f"Error: {sentence}")


def test_a_number_that_belongs_to_no_option_is_refused() -> None:
    result = run(*PLAN, "--rows", "4", "7")
    assert result.exit_code == 2
    assert "unexpected extra argument" in result.stderr
