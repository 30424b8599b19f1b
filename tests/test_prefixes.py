"""What stands before a text: found once each, in both languages, and where the text itself begins."""

from itertools import permutations

import pytest

from parsing import Ground, OptOut, Prefixes, Problem, Unreadable, read, read_prefixes, shipped_words
from tests.test_reading import GROUNDS

WORDS = shipped_words()
LARKSPUR: Ground = GROUNDS["larkspur"]
TEXT = "121 3 FA2"

SPELT = {
    "PRACTICE": Prefixes(practice=True),
    "BY ANA": Prefixes(by="ANA"),
    "CHECK": Prefixes(check=True),
    "TUE": Prefixes(day="tue"),
}


@pytest.mark.parametrize("word", sorted(WORDS.days))
def test_every_spelling_of_a_day_before_a_text_is_that_day(word: str) -> None:
    for spelt in (word, word.lower(), word.title()):
        assert read_prefixes(f"{spelt} {TEXT}", WORDS) == Prefixes(day=WORDS.days[word], end=len(word) + 1)


@pytest.mark.parametrize("word", sorted(word for word, what in WORDS.prefixes.items() if what != "by"))
def test_every_spelling_of_a_prefix_before_a_text_is_found(word: str) -> None:
    concept = WORDS.prefixes[word]

    found = read_prefixes(f"{word} {TEXT}", WORDS)

    assert found == Prefixes(practice=concept == "practice", check=concept == "check", end=len(word) + 1)


@pytest.mark.parametrize("word", sorted(word for word, what in WORDS.prefixes.items() if what == "by"))
@pytest.mark.parametrize(
    ("said", "name"),
    [
        ("ANA", "ANA"),
        ("ana", "ANA"),
        ("José", "JOSE"),
        ("Ana María", "ANA MARIA"),
        ("Juan de la Cruz", "JUAN DE LA CRUZ"),
        ("A.", "A"),
    ],
)
def test_a_name_goes_as_far_as_its_words(word: str, said: str, name: str) -> None:
    assert read_prefixes(f"{word} {said} {TEXT}", WORDS).by == name


@pytest.mark.parametrize("order", list(permutations(SPELT)), ids=" ".join)
def test_prefixes_mean_the_same_in_every_order(order: tuple[str, ...]) -> None:
    before = " ".join(order)

    found = read_prefixes(f"{before} {TEXT}", WORDS)

    assert found == Prefixes(practice=True, by="ANA", check=True, day="tue", end=len(before) + 1)
    assert read(f"{before} {TEXT}", LARKSPUR) == read(TEXT, LARKSPUR)


@pytest.mark.parametrize("prefix", SPELT)
def test_a_prefix_said_twice_is_taken_once_and_the_rest_is_refused(prefix: str) -> None:
    text = f"{prefix} {prefix} {TEXT}"

    assert read_prefixes(text, WORDS).end == len(prefix) + 1
    assert isinstance(read(text, LARKSPUR), Unreadable)


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        TEXT,
        "CHECK",
        "TUE",
        "BY",
        "BY ANA",
        "CHECK TUE",
        "hola",
        "hola TUE",
        "TUE,",
        "PRACTICE\n",
    ],
)
def test_a_text_without_prefixes_and_prefixes_without_a_text_have_none(text: str) -> None:
    assert read_prefixes(text, WORDS) == Prefixes()


@pytest.mark.parametrize(
    "text", ["121 TUE", "121 3 FA2 TUE", "3 CHECK", "STOP TUE", "UNDO CHECK 121", "NOTE BY ANA"]
)
def test_nothing_is_a_prefix_behind_another_word_or_a_number(text: str) -> None:
    assert read_prefixes(text, WORDS) == Prefixes()


@pytest.mark.parametrize("between", [" ", ", ", ": ", "\n", "\r\n", " hola ", " ok "])
def test_the_text_begins_where_its_prefixes_end(between: str) -> None:
    text = f"TUE{between}{TEXT}"

    end = read_prefixes(text, WORDS).end

    assert text[end:] == TEXT


@pytest.mark.parametrize("before", ["CHECK ", "por Ana, ", "ayer\n"])
def test_a_problem_behind_a_prefix_lies_where_it_stands_in_the_whole_text(before: str) -> None:
    reading = read(f"{before}121 3 QQ7", LARKSPUR)

    assert isinstance(reading, Unreadable)
    (problem,) = reading.problems
    assert isinstance(problem, Problem)
    assert (before + "121 3 QQ7")[slice(*problem.span)].startswith("QQ")


@pytest.mark.parametrize("stop", sorted(WORDS.opt_out))
@pytest.mark.parametrize("prefix", SPELT)
def test_an_opt_out_word_behind_a_prefix_is_none_and_goes_to_a_person(stop: str, prefix: str) -> None:
    assert isinstance(read(stop, LARKSPUR), OptOut)

    reading = read(f"{prefix} {stop}", LARKSPUR)

    assert isinstance(reading, Unreadable)
    assert reading.opt_out_inside


@pytest.mark.parametrize("word", sorted({*WORDS.prefixes, *WORDS.days} - {"BY", "POR"}))
def test_a_prefix_behind_the_number_is_refused_with_the_text_to_send(word: str) -> None:
    reading = read(f"121 {word.lower()} 3 FA2", LARKSPUR)

    assert isinstance(reading, Unreadable)
    assert reading.problems[0].hint == f"{word} 121 3 FA2"
    assert read(reading.problems[0].hint, LARKSPUR) == read(TEXT, LARKSPUR)
