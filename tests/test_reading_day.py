"""What is sent for the day and the season: emergencies that nothing hides, words for the crew, degrees, hand-overs."""

from decimal import Decimal

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from parsing import (
    Doubtful,
    Given,
    Ground,
    HandOver,
    OpenUp,
    Send,
    Sos,
    Tell,
    Temp,
    Unreadable,
    Wait,
    echo,
    read,
    read_prefixes,
    shipped_words,
)
from parsing.tokens import tokenize
from tests.test_reading import CORPUS, GROUNDS, Line, read_line
from tests.test_words import BARE

WORDS = shipped_words()
LARKSPUR: Ground = GROUNDS["larkspur"]
CRIES = sorted(word for word, concept in WORDS.alone.items() if concept == "emergency")

# texts.md, 3, and every greeting: what may stand before any text.
BEFORE = [
    "TUE",
    "AYER",
    "CHECK",
    "REVISA",
    "BY ANA",
    "BY NOBODY",
    "POR JOSE LUIS",
    "hola",
    "buenos dias",
    "BY ANA CHECK TUE",
]


@pytest.mark.parametrize("cry", CRIES)
def test_a_cry_for_help_is_read_whatever_it_is_dressed_in(cry: str) -> None:
    dressed = [
        cry.lower(),
        f"{cry}!!",
        f"¡{cry.title()}!",
        f"  {cry}.",
        f"{cry}\nana fell",
        f'"{cry}"',
        f"{cry}: 121 3 FA2",
    ]

    for text in (cry, *dressed):
        assert isinstance(read(text, BARE), Sos), text


@pytest.mark.parametrize("cry", [*CRIES, "S.O.S.", "911"])
@pytest.mark.parametrize("before", BEFORE)
def test_no_prefix_hides_a_cry_for_help_and_no_name_stands_in_its_way(before: str, cry: str) -> None:
    text = f"{before} {cry}"

    found = read_prefixes(text, WORDS)

    assert isinstance(read(text, LARKSPUR), Sos)
    assert (found.by, found.day, found.check, found.practice) == (None, None, False, False)


@pytest.mark.parametrize("cry", [*CRIES, "121 SOS"])
@pytest.mark.parametrize("before", ["PRACTICE", "PRUEBA", "BY ANA PRACTICE", "practice TUE"])
def test_a_cry_for_help_in_practice_stays_practice(before: str, cry: str) -> None:
    text = f"{before} {cry}"

    assert isinstance(read(text, LARKSPUR), Sos)
    assert read_prefixes(text, WORDS).practice


@pytest.mark.parametrize("cry", CRIES)
@pytest.mark.parametrize(("number", "read_with"), [(121, 121), (12, 12), (14, 14), (128, None), (3, None)])
def test_a_cry_for_help_gives_the_number_before_it_where_the_season_has_it(
    cry: str, number: int, read_with: int | None
) -> None:
    text = f"{number} {cry} snake"

    assert read(text, LARKSPUR) == Sos(text, read_with)


@given(st.sampled_from(CRIES), st.text(max_size=80))
def test_whatever_follows_a_cry_for_help_it_is_one(cry: str, behind: str) -> None:
    assert isinstance(read(f"{cry} {behind}", LARKSPUR), Sos)
    assert isinstance(read(f"121 {cry} {behind}", LARKSPUR), Sos)


@pytest.mark.parametrize("line", [line for line in CORPUS if line.file not in ("day", "treated")], ids=str)
def test_no_other_text_of_the_corpus_is_a_cry_for_help(line: Line) -> None:
    assert not isinstance(read_line(line), Sos)


@given(
    st.lists(st.sampled_from(["911", "9", "1", "11", "3", "0", "FA2", "LA9", "X"]), min_size=1, max_size=5)
)
@example(["3", "911"])
@example(["9", "1", "1"])
def test_counts_after_a_site_are_never_a_cry_for_help(said: list[str]) -> None:
    assert not isinstance(read(f"31 {' '.join(said)}", LARKSPUR), Sos)


@given(st.text(min_size=1, max_size=80))
def test_all_that_follows_tell_is_told_as_it_was_sent(words: str) -> None:
    text = f"TELL {words}"

    reading = read(text, LARKSPUR)

    if not any(token.text[0].isalnum() for token in tokenize(words)):
        return
    assert isinstance(reading, Tell | Sos)
    if isinstance(reading, Tell):
        assert " ".join(text.split()).endswith(reading.words)


DEGREES = st.decimals(-40, 150, places=1) | st.integers(-40, 150).map(Decimal)


@given(DEGREES, DEGREES, st.sampled_from([" ", "  ", ", ", "\n", " y "]), st.sampled_from([".", ","]))
def test_a_high_and_a_low_are_read_as_they_were_sent(
    one: Decimal, other: Decimal, between: str, point: str
) -> None:
    high, low = max(one, other), min(one, other)
    said = [str(degrees).replace(".", point) for degrees in (high, low)]

    assert read(f"TEMP {between.join(said)}", LARKSPUR) == Temp(high, low)


@given(st.lists(DEGREES, max_size=4), st.sampled_from([" ", ".", "-", "/", ",", " to "]))
def test_no_more_and_no_less_than_a_high_and_a_low_are_taken(said: list[Decimal], between: str) -> None:
    reading = read(f"TEMP {between.join(map(str, said))}", LARKSPUR)

    if isinstance(reading, Temp):
        assert [reading.high, reading.low] == said
        assert reading.high >= reading.low


NAMES = st.lists(
    st.sampled_from(["LUIS", "ANA", "JOSE", "MARIA", "DE", "LA", "CRUZ"]), min_size=1, max_size=3
).map(" ".join)
HOURS = (
    st.none()
    | st.integers(1, 20).map(lambda n: Given(12 * n))
    | st.integers(4, 11).map(Doubtful)
    | st.integers(1, 9).map(lambda n: Doubtful(24 * n))
)


@given(
    st.builds(lambda one, other: Temp(max(one, other), min(one, other)), DEGREES, DEGREES)
    | st.builds(HandOver, st.sampled_from([121, 14, 162]), NAMES)
    | st.builds(Send, st.sampled_from([12, 121, 14]))
    | st.builds(Wait, st.sampled_from([12, 121, 14]))
    | st.builds(OpenUp, st.sampled_from([12, 121, 14]), HOURS)
)
def test_reading_the_echo_of_a_form_gives_the_form(said: Temp | HandOver | Send | Wait | OpenUp) -> None:
    assert read(echo(said), LARKSPUR) == said


@pytest.mark.parametrize("word", ["TO", "A"])
def test_a_range_is_no_hand_over_and_a_hand_over_no_range(word: str) -> None:
    assert read(f"121 {word} luis", LARKSPUR) == HandOver(121, "LUIS")
    assert read(f"121 4 {word} 7 0", LARKSPUR) == read("121 4-7 0", LARKSPUR)
    assert isinstance(read(f"121 {word} 7 0", LARKSPUR), Unreadable)


def test_a_cry_for_help_may_be_no_code_of_a_season() -> None:
    # the season loader refuses a code with the keys of a word of `beside_codes`
    assert set(CRIES) <= WORDS.beside_codes()
