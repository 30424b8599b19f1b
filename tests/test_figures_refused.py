"""Whatever somebody types after `rowfoot figure`: figures that are numbers, or a sentence that says what is wrong."""

import json
import math
from collections.abc import Iterator

import pytest
from click.testing import CliRunner, Result
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.figures_plans import figure  # stops and needed hang themselves on the group of the others

KEYS = {
    "mean": "n mean variance se k_moment k_ml k_zero loglik interval interval_method",
    "frequencies": "n mean variance se k_moment k_ml k_zero loglik interval interval_method",
    "stops": "slope h0 h1 rows at",
    "field": "mean se between_ms within_ms between_component within_component naive_se",
    "needed": "n n_exact",
    "spray": "abbott henderson_tilton before_after",
}
"""The keys of each command's JSON, in their order: design/statistics.md, section 0."""
ROW_KEYS = {"rows": "n low_at_most high_at_least", "at": "mean wald_low wald_n exact_low exact_n"}


def no_number(word: str) -> float:
    raise AssertionError(f"{word} in JSON")


def numbers(answer: object) -> Iterator[float]:
    """Give every number of an answer, however deep."""
    match answer:
        case dict():
            for value in answer.values():
                yield from numbers(value)
        case list():
            for value in answer:
                yield from numbers(value)
        case int() | float():
            yield answer
        case _:
            pass


def holds_up(words: list[str]) -> Result:
    """Run a command both ways; fail on a traceback, NaN, Infinity, a key that is not fixed, an unlike end."""
    printed, as_json = (CliRunner().invoke(figure, [*words, *more]) for more in ([], ["--json"]))
    for result in (printed, as_json):
        assert isinstance(result.exception, SystemExit | None), result.exception
        assert "Traceback" not in result.output
    assert printed.exit_code == as_json.exit_code
    if as_json.exit_code:
        assert (printed.stdout, as_json.stdout) == ("", "")
        for result in (printed, as_json):
            sentence = result.stderr.splitlines()[-1]
            assert sentence.startswith("Error: "), result.stderr
            assert len(sentence) > len("Error: what")
        return printed
    assert not {"nan", "inf", "NaN", "Infinity"} & set(printed.stdout.replace("-", " ").split())
    answer = json.loads(as_json.stdout, parse_constant=no_number)
    assert [key for key in answer if key != "capped"] == KEYS[
        words[0]
    ].split()  # with --least and --most alone
    for key, keys in ROW_KEYS.items():
        for row in answer.get(key, []):
            assert list(row) == keys.split()
    assert all(math.isfinite(number) for number in numbers(answer))
    return printed


PLAN = "stops --family nb --low .5 --high 1 --k 1 --rows 3"


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ("mean", "Missing argument 'COUNTS...'."),
        ("mean 0", "At least 2 samples are needed, and there are 1."),
        ("mean 1000000000 1", "A count of 1000000000 is over 100000, the most in one sample."),
        ("mean nan 1", "'nan' is not a valid integer."),
        ("mean inf 1", "'inf' is not a valid integer."),
        ("mean 1.5 2", "'1.5' is not a valid integer."),
        ("mean 1 2 --confidence 0", "A confidence lies between 0 and 1, as 0.95; 0 does not."),
        ("mean 1 2 --confidence 1", "A confidence lies between 0 and 1, as 0.95; 1 does not."),
        ("mean 1 2 --confidence 1.5", "A confidence lies between 0 and 1, as 0.95; 1.5 does not."),
        ("mean 1 2 --confidence nan", "A confidence lies between 0 and 1, as 0.95; nan does not."),
        ("frequencies 0 0 0", "At least 1 sample is needed, and there are 0."),
        ("frequencies 0 1", "At least 2 samples are needed, and there are 1."),
        ("frequencies 1000000000 1", "1000000001 samples are more than 1000000, the most in one go."),
        ("frequencies 1.5 2", "'1.5' is not a valid integer."),
        ("field", "Missing argument 'SITES...'."),
        ("field 1,,2 3", "'1,,2' is not the samples of a site, as 7,5,3"),
        ("field nan,1 2,3", "A value of a sample is 0 or more; nan is not."),
        ("field 1e400,1 2,3", "A value of a sample is 0 or more; inf is not."),
        ("field 1e155,1 2,3", "A value of 1e+155 is over 1e+100, the most in one sample."),
        ("field 1,2 3,4 --samples-in-all 1", "2 samples were seen, so a site has no fewer; 1 was said."),
        ("field 1,2 3,4 --sites-in-all 2.5", "'2.5' is not a valid integer."),
        ("spray --treated 50", "Option '--treated' requires 2 arguments."),
        ("spray --treated 5 inf", "A density is 0 or more; inf is not."),
        ("spray --treated 1e-308 1e308", "These densities lie too far apart to be compared."),
        ("stops --family nb --low 0 --high 1 --k 1", "low must be a number over 0, not 0."),
        ("stops --family nb --low .5 --high 1 --k -1", "k must be a number over 0, not -1."),
        ("stops --family nb --low .5 --high 1 --k inf", "k must be a number over 0, not inf."),
        ("stops --family nb --low 1 --high 1e9 --k 1", "high must be at most 100000, the most in one sample"),
        ("stops --family poisson --low 1e-320 --high 1", "lie too far apart for lines between them."),
        (f"{PLAN} --alpha .5 --beta .5", "alpha and beta together must be under 1, not 1"),
        (f"{PLAN} --alpha 0", "alpha must be between 0 and 1, not 0."),
        (f"{PLAN} --at inf", "A mean must be 0 or more, not inf."),
        (f"{PLAN} --at x", "'x' is not a valid float."),
        (f"{PLAN} --rows 100000", "100000 is not in the range 0<=x<=10000."),
        (f"{PLAN} --rows -1", "-1 is not in the range 0<=x<=10000."),
        (f"{PLAN} --rows 1.5", "'1.5' is not a valid integer"),
        ("needed --mean inf --k 1 --precision .25", "The mean must be a number over 0, not inf."),
        ("needed --mean 1 --k 1 --precision 1e-9", "That takes more samples than can be counted."),
        ("needed --mean 1e-320 --k 1 --precision .25", "That takes more samples than can be counted."),
        ("needed --mean 1 --k 1 --precision nan", "The precision must be a number over 0, not nan."),
        (
            "needed --mean 2 --taylor-a 0 --taylor-b 1 --precision .1",
            "Taylor's a must be a number over 0, not 0.",
        ),
    ],
)
def test_what_means_nothing_is_refused_with_a_sentence_that_says_why(words: str, sentence: str) -> None:
    result = holds_up(words.split())
    assert result.exit_code == 2
    assert sentence in result.stderr


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("mean 0 0", "0 to 1.5 (all counts are 0; too short if the insects are clumped)"),
        ("mean 1 1 1", "k none: the counts are no more spread than chance alone"),
        ("mean 0 9 --confidence .999999", "interval, 99.9999 % over 0, no upper end"),
        ("mean 100000 100000 0", "mean 66667"),
        ("frequencies 100000", "samples 100000 mean 0"),
        ("field 0,0 0,0", "mean 0 standard error, between its sites 0"),
        ("field 1,2", "standard error, within its one site 0.5"),
        ("field 1000000000,0 3,4", "mean 250000002"),
        (
            "spray --treated 50 5 --check 0 0",
            "(Abbott) - against the check's change (Henderson-Tilton) - before",
        ),
        ("spray --treated 0 0", "before to after -"),
        (f"{PLAN} --at 0", "│ 0 │ 1.00 │ 7.64 │ 1.00 │ 8.00 │"),
        (f"{PLAN} --at 1e300", "│ 1e+300 │ 0.0000 │ 0.0000 │ 0.0000 │ 1.00 │"),
        ("stops --family nb --low .5 --high 1 --k 1 --rows 0", "high at 0.7095 n + 5.4190 or more."),
        ("needed --mean 1 --k 1 --precision 5", "1 sample (0.08) for SE/mean of 5 at a mean of 1 a sample."),
        ("needed --mean 1000000000 --k 1 --precision .25", "17 samples (16.00)"),
    ],
)
def test_what_is_odd_but_means_something_is_answered(words: str, said: str) -> None:
    result = holds_up(words.split())
    assert result.exit_code == 0
    assert said in " ".join(result.stdout.split())


def test_ten_thousand_rows_are_tabled() -> None:
    result = CliRunner().invoke(figure, [*PLAN.split(), "--rows", "10000", "--json"])
    assert len(json.loads(result.stdout)["rows"]) == 10_000


@pytest.mark.parametrize("sites", ["1,2 3,4,5", "1 2 3"])
def test_sites_in_all_that_change_nothing_are_said_to_change_nothing(sites: str) -> None:
    words = ["field", *sites.split()]
    plain, finite = (CliRunner().invoke(figure, [*words, *more]) for more in ([], ["--sites-in-all", "10"]))
    assert finite.stdout == plain.stdout
    assert finite.stderr.startswith("Note: Sites in all and samples in all count only where every site has")
    assert plain.stderr == ""


WORDS = "0 1 2 3 7 40 -1 .5 1.5 1e-3 100 100000 1000000000 1e-300 1e300 1e-320 1e400 nan inf -inf x"
any_word = st.sampled_from(WORDS.split())
any_site = st.lists(any_word, min_size=1, max_size=4).map(",".join)


def options(*names: str) -> st.SearchStrategy[list[str]]:
    """Give some of the options, each with any word."""
    pair = st.tuples(st.sampled_from(names), any_word).map(lambda said: f"{said[0]}={said[1]}")
    return st.lists(pair, max_size=len(names), unique_by=lambda said: said.split("=")[0])


any_command = st.one_of(
    st.tuples(
        st.sampled_from(["mean", "frequencies"]), st.lists(any_word, max_size=6), options("--confidence")
    ),
    st.tuples(
        st.just("field"), st.lists(any_site, max_size=4), options("--sites-in-all", "--samples-in-all")
    ),
    st.tuples(
        st.just("spray"),
        st.tuples(st.just("--treated"), any_word, any_word).map(list),
        st.one_of(st.just([]), st.tuples(st.just("--check"), any_word, any_word).map(list)),
    ),
    st.tuples(
        st.just("stops"),
        st.sampled_from(["nb", "poisson", "binomial"]).map(lambda family: ["--family", family, "--rows=4"]),
        options("--low", "--high", "--k", "--alpha", "--beta", "--least", "--most"),
    ),
    st.tuples(
        st.just("needed"),
        st.tuples(any_word, any_word).map(lambda said: [f"--mean={said[0]}", f"--precision={said[1]}"]),
        options("--k", "--taylor-a", "--taylor-b"),
    ),
)


@settings(max_examples=300)
@given(any_command)
def test_any_words_are_answered_in_numbers_or_refused_in_a_sentence(
    command: tuple[str, list[str], list[str]],
) -> None:
    name, words, more = command
    holds_up([name, *words, *more])


@given(any_word, any_word)
def test_any_true_mean_is_answered_in_numbers_or_refused_in_a_sentence(mean: str, other: str) -> None:
    holds_up([*PLAN.split(), f"--at={mean}", f"--at={other}"])
    holds_up(
        ["stops", "--family", "binomial", "--low", ".1", "--high", ".3", f"--at={mean}", f"--at={other}"]
    )
