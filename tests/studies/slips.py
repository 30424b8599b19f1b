"""Every text that one wrong key on a 12-key phone makes of another.

Keys stand in three columns: 1 2 3, 4 5 6, 7 8 9, and 0 under 8; which letters are on which is ITU-T E.161
(02/2001), kept in `parsing.keypad`. A key is one character of the text: how many presses it took is no
matter here, but for the letter that came one press too early or too late.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from parsing.keypad import LETTERS_ON_KEY

_ROWS = ("123", "456", "789", " 0 ")
SEPARATORS = " /;=,.-\n"


class Slip(StrEnum):
    """What went wrong with one key."""

    NEIGHBOUR = "digit of a neighbouring key"
    DROPPED = "key dropped"
    DOUBLED = "key doubled"
    SWAPPED = "two keys swapped"
    ONE_PRESS = "letter one press off"
    SEPARATOR_LOST = "separator lost"


@dataclass(frozen=True, slots=True)
class Slipped:
    """A text with one wrong key, what went wrong with it, and its place in the true text."""

    slip: Slip
    place: int
    text: str


def slips_of(text: str) -> tuple[Slipped, ...]:
    """Give every text that one slip makes of a text, each once for a kind of slip, the text itself left out."""
    found: dict[tuple[Slip, str], Slipped] = {}
    for one in _all_slips(text):
        if one.text != text:
            found.setdefault((one.slip, one.text), one)
    return tuple(found.values())


def neighbours(digit: str) -> str:
    """Give the digits on the keys beside, above and below a digit's own."""
    row = next(place for place, keys in enumerate(_ROWS) if digit in keys)
    column = _ROWS[row].index(digit)
    beside = ((row, column - 1), (row, column + 1), (row - 1, column), (row + 1, column))
    return "".join(
        key
        for r, c in beside
        if 0 <= r < len(_ROWS) and 0 <= c < len(_ROWS[0]) and (key := _ROWS[r][c]) != " "
    )


def one_press_off(letter: str) -> str:
    """Give the letters that one press of multi-tap more or less makes of a letter; it goes round on its key."""
    letters = next(each for each in LETTERS_ON_KEY.values() if letter.upper() in each)
    place = letters.index(letter.upper())
    off = letters[(place + 1) % len(letters)] + letters[place - 1]
    return off if letter.isupper() else off.lower()


def _all_slips(text: str) -> Iterator[Slipped]:
    for place, char in enumerate(text):
        before, after = text[:place], text[place + 1 :]
        if char.isdigit():
            for other in neighbours(char):
                yield Slipped(Slip.NEIGHBOUR, place, before + other + after)
        if char.isalpha():
            for other in one_press_off(char):
                yield Slipped(Slip.ONE_PRESS, place, before + other + after)
        lost = Slip.SEPARATOR_LOST if char in SEPARATORS else Slip.DROPPED
        yield Slipped(lost, place, before + after)
        yield Slipped(Slip.DOUBLED, place, before + char * 2 + after)
        if after:
            yield Slipped(Slip.SWAPPED, place, before + after[0] + char + after[1:])
