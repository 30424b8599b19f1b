"""Slips of thumbs and phones: a right text as it may arrive, with a letter lost, a digit wrong, a word twice."""

import random
import unicodedata
from collections.abc import Callable, Sequence

from parsing.keypad import LETTERS_ON_KEY
from tests.studies.any_pieces import GAPS, GSM_CHARACTERS, LONGEST, PIECES
from tests.test_reading import CORPUS


def mishandled(chance: random.Random, text: str) -> str:
    """Give a text after one to three slips."""
    for _ in range(chance.randint(1, 3)):
        text = chance.choice(SLIPS)(chance, text)
    return text[: 2 * LONGEST]


def _place(chance: random.Random, text: Sequence[str] | str) -> int:
    return chance.randrange(len(text)) if text else 0


def _lost(chance: random.Random, text: str) -> str:
    place = _place(chance, text)
    return text[:place] + text[place + 1 :]


def _more(chance: random.Random, text: str) -> str:
    place = _place(chance, text)
    more: str = chance.choice([*PIECES, *GSM_CHARACTERS])
    return text[:place] + more + text[place:]


def _twice(chance: random.Random, text: str) -> str:
    place = _place(chance, text)
    return text[:place] + text[place : place + 1] * 2 + text[place + 1 :]


def _turned(chance: random.Random, text: str) -> str:
    place = _place(chance, text)
    return text[:place] + text[place : place + 2][::-1] + text[place + 2 :]


def _one_press_off(chance: random.Random, text: str) -> str:
    """Take another letter of the same key, or the digit of a key for its letter."""
    place = _place(chance, text)
    letters = next(
        (f"{on}{key}" for key, on in LETTERS_ON_KEY.items() if text[place : place + 1].upper() in on), ""
    )
    return text[:place] + chance.choice(letters) + text[place + 1 :] if letters and text else text


def _other_digit(chance: random.Random, text: str) -> str:
    places = [place for place, char in enumerate(text) if char.isdigit()]
    if not places:
        return text
    place = chance.choice(places)
    return text[:place] + chance.choice("0123456789OIL") + text[place + 1 :]


def _words_moved(chance: random.Random, text: str) -> str:
    words = text.split(" ")
    one, other = _place(chance, words), _place(chance, words)
    words[one], words[other] = words[other], words[one]
    return " ".join(words)


def _word_lost_or_twice(chance: random.Random, text: str) -> str:
    words = text.split(" ")
    place = _place(chance, words)
    return " ".join(words[:place] + words[place : place + 1] * chance.choice((0, 2)) + words[place + 1 :])


def _word_put_in(chance: random.Random, text: str) -> str:
    words = text.split(" ")
    words.insert(_place(chance, words), chance.choice(PIECES))
    return " ".join(words)


def _other_gaps(chance: random.Random, text: str) -> str:
    return text.replace(" ", chance.choice((*GAPS, "\N{NO-BREAK SPACE}", "  ", "#", "-")))


def _cut(chance: random.Random, text: str) -> str:
    return text[: _place(chance, text)]


def _joined(chance: random.Random, text: str) -> str:
    return text + chance.choice((" ", "\n", "/", "")) + chance.choice(CORPUS).text


def _dressed(chance: random.Random, text: str) -> str:
    form: Callable[[str], str] = chance.choice((str.lower, str.upper, str.title, _apart, _full_width))
    return form(text)


def _apart(text: str) -> str:
    return unicodedata.normalize("NFD", text.replace("a", "á").replace("N", "Ñ"))


def _full_width(text: str) -> str:
    return "".join(chr(ord(char) + 0xFEE0) if "!" <= char <= "~" else char for char in text)


def _with_prefix(chance: random.Random, text: str) -> str:
    return f"{chance.choice(('PRACTICE', 'BY ANA', 'POR LUIS', 'CHECK', 'REVISA', 'TUE', 'AYER', 'hola'))} {text}"


SLIPS: tuple[Callable[[random.Random, str], str], ...] = (
    *(_lost, _more, _twice, _turned, _one_press_off, _other_digit, _words_moved, _word_lost_or_twice),
    *(_word_put_in, _other_gaps, _cut, _joined, _dressed, _with_prefix),
)
