"""The 12-key phone: which key carries a letter, and how many presses it takes (ITU-T E.161, 02/2001)."""

from collections.abc import Iterable

LETTERS_ON_KEY = {
    "2": "ABC",
    "3": "DEF",
    "4": "GHI",
    "5": "JKL",
    "6": "MNO",
    "7": "PQRS",
    "8": "TUV",
    "9": "WXYZ",
}

_KEY = {letter: key for key, letters in LETTERS_ON_KEY.items() for letter in letters}
_PRESSES = {letter: place + 1 for letters in LETTERS_ON_KEY.values() for place, letter in enumerate(letters)}


def keys(word: str) -> str:
    """Give the keys that spell a word: "FA" is 32. Digits are themselves; other marks are left out."""
    return "".join(_KEY.get(letter, letter if letter.isdigit() else "") for letter in word.upper())


def same_keys(one: str, other: str) -> bool:
    """Tell whether two words are spelt with the same keys, as LO and LN are."""
    return keys(one) == keys(other)


def one_press_apart(one: str, other: str) -> bool:
    """Tell whether one letter, by one press of multi-tap more or less, makes one word the other (LA, LB).

    The last letter of a key and the first are one press apart too: multi-tap goes round.
    """
    if len(one) != len(other) or one == other or not same_keys(one, other):
        return False
    unlike = [(a, b) for a, b in zip(one.upper(), other.upper(), strict=True) if a != b]
    if len(unlike) != 1:
        return False
    a, b = unlike[0]
    turn = len(LETTERS_ON_KEY[_KEY[a]])
    return (_PRESSES[a] - _PRESSES[b]) % turn in (1, turn - 1)


def one_letter_apart(one: str, other: str) -> bool:
    """Tell whether one letter added, left out or changed makes one word the other."""
    if one == other or abs(len(one) - len(other)) > 1:
        return False
    if len(one) == len(other):
        return sum(a != b for a, b in zip(one, other, strict=True)) == 1
    short, long = sorted((one, other), key=len)
    return any(long[:i] + long[i + 1 :] == short for i in range(len(long)))


_ROWS = ("123", "456", "789", " 0 ")
_PLACE = {key: (row, column) for row, keys_ in enumerate(_ROWS) for column, key in enumerate(keys_)}


def one_key_apart(one: str, other: str) -> bool:
    """Tell whether one wrong key makes one number the other: a key beside the right one, or two swapped."""
    unlike = [place for place, (a, b) in enumerate(zip(one, other, strict=False)) if a != b]
    if len(one) != len(other) or not unlike:
        return False
    if len(unlike) == 1:
        (row, column), (its_row, its_column) = _PLACE[one[unlike[0]]], _PLACE[other[unlike[0]]]
        return abs(row - its_row) + abs(column - its_column) == 1
    swapped = unlike == [unlike[0], unlike[0] + 1]
    return swapped and one[unlike[0]] == other[unlike[1]] and one[unlike[1]] == other[unlike[0]]


def on_the_same_keys(word: str, among: Iterable[str]) -> list[str]:
    """Give the words among others that have the same keys."""
    return [other for other in among if same_keys(word, other)]
