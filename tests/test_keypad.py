"""The 12-key phone: ITU-T Recommendation E.161 (02/2001) has which letters are on which key."""

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from parsing import keys, on_the_same_keys, one_letter_apart, one_press_apart, same_keys

# E.161, figure of the letters on a telephone key pad; the same in ISO/IEC 9995-8 (standards.md, 7).
E161 = {"2": "ABC", "3": "DEF", "4": "GHI", "5": "JKL", "6": "MNO", "7": "PQRS", "8": "TUV", "9": "WXYZ"}

# Presses of multi-tap for each letter (standards.md, 7).
PRESSES = {1: "ADGJMPTW", 2: "BEHKNQUX", 3: "CFILORVY", 4: "SZ"}

words = st.text(string.ascii_uppercase, min_size=1, max_size=6)


@pytest.mark.parametrize(("key", "letter"), [(key, letter) for key in E161 for letter in E161[key]])
def test_every_letter_is_on_its_key(key: str, letter: str) -> None:
    assert keys(letter) == keys(letter.lower()) == key


def test_every_letter_has_one_key_and_one_and_nought_have_none() -> None:
    assert sorted("".join(E161.values())) == list(string.ascii_uppercase)
    assert {keys(letter) for letter in string.ascii_uppercase} == set("23456789")


@pytest.mark.parametrize(
    ("word", "pressed"),
    [("FA", "32"), ("LN", "56"), ("STOP", "7867"), ("FIN1", "3461"), ("NO ENTRE", "6636873"), ("1-0", "10")],
)
def test_a_word_is_spelt_with_its_keys_and_digits_are_themselves(word: str, pressed: str) -> None:
    assert keys(word) == pressed


@pytest.mark.parametrize(
    ("one", "other"),
    [("LO", "LN"), ("EN", "FN"), ("MOVE", "NOTE"), ("UNDO", "TODO"), ("BW", "BY"), ("la", "LB")],
)
def test_words_on_the_same_keys_are_known_as_such(one: str, other: str) -> None:
    assert same_keys(one, other)
    assert same_keys(other, one)


@pytest.mark.parametrize(("one", "other"), [("FA", "FN"), ("LA", "LAA"), ("FIN", "FN"), ("LN", "NL")])
def test_words_on_other_keys_or_of_another_length_are_apart(one: str, other: str) -> None:
    assert not same_keys(one, other)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("LA", "LB"),
        ("LB", "LC"),
        ("LC", "LA"),  # multi-tap goes round: a third press and one more is the first letter again
        ("PS", "PP"),
        ("WA", "ZA"),
    ],
)
def test_one_press_of_multi_tap_makes_the_one_code_the_other(one: str, other: str) -> None:
    assert one_press_apart(one, other)
    assert one_press_apart(other, one)


@pytest.mark.parametrize(
    ("one", "other", "why"),
    [
        ("LA", "LA", "the same code"),
        ("LA", "LD", "another key"),
        ("PP", "PR", "two presses on a key of four letters"),
        ("LA", "KB", "two letters differ"),
        ("LA", "LAA", "another length"),
    ],
)
def test_what_takes_more_than_one_press_is_not_one_press_apart(one: str, other: str, why: str) -> None:
    assert not one_press_apart(one, other), why


@given(st.sampled_from(string.ascii_uppercase), st.sampled_from(string.ascii_uppercase))
def test_two_letters_are_one_press_apart_as_their_presses_say(one: str, other: str) -> None:
    presses = {letter: times for times, letters in PRESSES.items() for letter in letters}
    key = next(letters for letters in E161.values() if one in letters)
    round_the_key = (presses[one] - presses[other]) % len(key) in (1, len(key) - 1)

    assert one_press_apart(one, other) is (other in key and one != other and round_the_key)


@pytest.mark.parametrize(
    ("one", "other"), [("FIN", "FN"), ("SEND", "END"), ("FIX", "FIN"), ("STOP", "STOPS"), ("ALTO", "ALTA")]
)
def test_one_letter_added_left_out_or_changed_makes_the_one_word_the_other(one: str, other: str) -> None:
    assert one_letter_apart(one, other)
    assert one_letter_apart(other, one)


@pytest.mark.parametrize(
    ("one", "other"), [("FIN", "FIN"), ("MOVE", "REMOVE"), ("AB", "BA"), ("LISTO", "ALTO")]
)
def test_two_letters_make_two_words(one: str, other: str) -> None:
    assert not one_letter_apart(one, other)


@given(words, st.integers(0, 5), st.sampled_from(string.ascii_uppercase))
def test_a_word_with_a_letter_more_is_one_letter_apart(word: str, place: int, letter: str) -> None:
    longer = word[:place] + letter + word[place:]

    assert one_letter_apart(word, longer)
    assert one_letter_apart(longer, word)


def test_the_words_on_the_same_keys_come_in_their_order() -> None:
    assert on_the_same_keys("LO", ["FA", "FN", "LA", "LN", "MP"]) == ["LN"]
    assert on_the_same_keys("MN", ["NO", "LN", "OM"]) == ["NO", "OM"]
    assert on_the_same_keys("QQ", ["FA", "LN"]) == []
