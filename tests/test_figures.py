"""The commands that work out statistics by hand: their fixed keys, what a person reads, what they refuse."""

import json
import math
from typing import Any

import pytest
from click.testing import CliRunner, Result

from bot.figures import figure, readable
from tests.counts_in_print import TEN_WEBWORMS

TEN = " ".join(map(str, TEN_WEBWORMS))
MITES = "70 38 17 10 9 3 2 1"
COUNT_KEYS = [
    "n",
    "mean",
    "variance",
    "se",
    "k_moment",
    "k_ml",
    "k_zero",
    "loglik",
    "interval",
    "interval_method",
]


def run(words: str) -> Result:
    return CliRunner().invoke(figure, words.split())


def said(words: str) -> str:
    result = run(words)
    assert result.exit_code == 0, result.output
    return " ".join(result.stdout.split())


def figures(words: str) -> dict[str, Any]:
    result = run(f"{words} --json")
    assert result.exit_code == 0, result.output
    answer: dict[str, Any] = json.loads(result.stdout)
    return answer


def test_the_mean_of_ten_counts_has_the_fixed_keys_and_the_figures_in_print() -> None:
    of = figures(f"mean {TEN}")
    assert list(of) == COUNT_KEYS
    assert [of[key] for key in COUNT_KEYS[:6]] == pytest.approx(
        [10, 2.4, 4.4888889, 0.6699917, 2.7574468, 3.4618903], abs=5e-8
    )  # design/statistics.md, section 6, I1
    assert of["interval_method"] == "nb-profile"
    assert of["interval"] == pytest.approx([1.222204, 4.938485], abs=5e-7)


def test_frequencies_give_the_same_keys_and_the_mites_figures_in_print() -> None:
    of = figures(f"frequencies {MITES}")
    assert list(of) == COUNT_KEYS
    assert of["n"] == 150  # section 4, N1
    assert of["k_moment"] == pytest.approx(1.1666974, abs=5e-8)
    assert of["k_ml"] == pytest.approx(1.0245924, abs=5e-8)
    assert of["k_zero"] == pytest.approx(0.9923061, abs=5e-8)
    assert of["loglik"] == pytest.approx(-222.437154, abs=5e-7)


def test_frequencies_and_the_counts_they_stand_for_give_the_same() -> None:
    assert figures("frequencies 1 5 1 2 0 0 1") == figures("mean 0 1 1 1 1 1 2 3 3 6")


def test_another_confidence_gives_another_interval_and_nothing_else() -> None:
    wide, narrow = figures(f"mean {TEN}"), figures(f"mean {TEN} --confidence .8")
    assert wide["interval"][0] < narrow["interval"][0] < narrow["interval"][1] < wide["interval"][1]
    assert {key for key in wide if wide[key] != narrow[key]} == {"interval"}


def test_counts_that_are_not_clumped_have_no_k_and_it_says_so() -> None:
    of = figures("mean 1 1 2 1")
    assert (of["k_moment"], of["k_ml"], of["k_zero"]) == (None, None, None)
    assert of["interval_method"] == "poisson-exact"
    told = said("mean 1 1 2 1")
    assert "k none: the counts are no more spread than chance alone makes them (Poisson)" in told
    assert "k by" not in told


def test_empty_samples_bound_the_mean_and_the_table_says_how_far_to_trust_it() -> None:
    of = figures("mean 0 0 0 0 0 0 0 0 0 0")
    assert of["interval"] == pytest.approx([0, math.log(20) / 10])
    assert of["interval_method"] == "zeros-bound"
    told = said("mean 0 0 0 0 0 0 0 0 0 0")
    assert "0 to 0.3 (all counts are 0; too short if the insects are clumped)" in told


def test_the_table_of_a_mean_is_read_by_a_person() -> None:
    told = said(f"mean {TEN}")
    assert "mean 2.4 variance 4.49 standard error of the mean 0.67" in told
    assert "interval, 95 % 1.22 to 4.94 (negative binomial, k fitted anew)" in told


def test_an_interval_without_an_upper_end_is_said_to_have_none() -> None:
    assert "no upper end" in said("mean 0 9")


def test_a_field_has_the_fixed_keys_and_the_figures_in_print() -> None:
    of = figures("field 7,5,3 4,2,3 --sites-in-all 10 --samples-in-all 6")
    assert list(of) == [
        "mean",
        "se",
        "between_ms",
        "within_ms",
        "between_component",
        "within_component",
        "naive_se",
    ]
    assert (of["mean"], of["se"]) == (4, pytest.approx(0.9174239, abs=5e-8))  # section 7, T1
    assert "standard error, between its sites 0.917" in said(
        "field 7,5,3 4,2,3 --sites-in-all 10 --samples-in-all 6"
    )


def test_a_field_of_one_site_says_that_its_error_is_the_one_within() -> None:
    assert "standard error, within its one site 1.15" in said("field 7,5,3")


def test_sites_of_unequal_sizes_have_no_components() -> None:
    of = figures("field 1,2 3")
    assert of["se"] == pytest.approx(0.75)
    assert (of["between_ms"], of["within_component"]) == (None, None)
    assert "variance" not in said("field 1,2 3")


def test_a_spray_with_a_check_has_three_figures_in_percent() -> None:
    assert figures("spray --treated 50 5 --check 40 60") == pytest.approx(
        {"abbott": 1100 / 12, "henderson_tilton": 2800 / 30, "before_after": 90}  # by hand
    )
    assert "before to after 90 %" in said("spray --treated 50 5 --check 40 60")


def test_a_spray_without_a_check_has_the_plain_fall_only() -> None:
    assert figures("spray --treated 50 5") == {
        "abbott": None,
        "henderson_tilton": None,
        "before_after": pytest.approx(90),
    }
    assert "Abbott) -" in said("spray --treated 50 5")


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ("mean 3", "At least 2 samples are needed, and there are 1."),
        ("mean 1 -1", "A count is 0 or more; -1 is not."),
        (f"mean {TEN} --confidence 95", "A confidence lies between 0 and 1, as 0.95; 95 does not."),
        ("frequencies 3 -2", "0 or more samples have a count of 1; -2 is not."),
        ("frequencies 0 0", "At least 1 sample is needed, and there are 0."),
        ("field 7", "One sample of one site has no error; at least 2 samples are needed."),
        ("field 7,-5 3,2", "A value of a sample is 0 or more; -5 is not."),
        ("field 7,5 3,2 --sites-in-all 1", "2 sites were seen, so the field has no fewer; 1 was said."),
        ("field 7,five", "'7,five' is not the samples of a site, as 7,5,3"),
        ("spray --treated -50 5", "A density is 0 or more; -50 is not."),
        ("spray --treated nan 5", "A density is 0 or more; nan is not."),
    ],
)
@pytest.mark.parametrize("as_json", ["", " --json"])
def test_a_refusal_is_a_sentence_on_stderr_and_status_2(words: str, sentence: str, as_json: str) -> None:
    result = run(words + as_json)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert sentence in result.stderr


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (2.4, "2.4"),
        (0.66999, "0.67"),
        (123.4, "123"),
        (4938.485, "4938"),
        (0, "0"),
        (-19.63, "-19.6"),
        (None, "-"),
    ],
)
def test_figures_are_printed_without_false_precision(value: float | None, said: str) -> None:
    assert readable(value) == said
