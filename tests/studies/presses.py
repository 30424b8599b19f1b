"""What a text costs to type on a 12-key phone: presses and pauses, character by character.

Which letters are on which key is ITU-T E.161 (02/2001), kept in `parsing.keypad`. The rest is the cost
model of standards.md, section 7; where makers differ, the choice is an assumption and says so:

- a letter in letter mode: its place on its key (A 1, B 2, C 3, S 4);
- a digit in letter mode: tapped, after the letters of its key (2-6 and 8: 4, 7 and 9: 5; 0: 2, after the
  blank; 1: 8, the last of the marks), or one long press, which is counted as one;
- a digit in number mode: 1;
- a change of mode: 2, the first character's mode being there already (assumption);
- a blank: key 0, 1; in number mode `*`, which reads the same;
- a mark in letter mode: its place in the cycle of key 1 (one documented order: . , - ? ' @ : 1);
- any other mark in letter mode: 3, to open the list of marks, step once and take it (assumption);
- a break in number mode: `#`, 1.

A pause is two taps in a row on one key, which in letter mode must wait or step on; it is counted apart.
"""

from dataclasses import dataclass
from enum import StrEnum

from parsing.keypad import LETTERS_ON_KEY

LONG_PRESS = 1
MODE_SWITCH = 2
FROM_THE_LIST_OF_MARKS = 3
BLANK_KEY, MARKS_KEY, LIST_KEY = "0", "1", "*"
CYCLE_OF_MARKS = ".,-?'@:1"
IN_NUMBER_MODE = frozenset("0123456789*#")

_TAPS = {
    letter: (key, place)
    for key, letters in LETTERS_ON_KEY.items()
    for place, letter in enumerate((*letters, key), start=1)
}
_TAPS |= {mark: (MARKS_KEY, place) for place, mark in enumerate(CYCLE_OF_MARKS, start=1)}
_TAPS |= {" ": (BLANK_KEY, 1), "0": (BLANK_KEY, 2)}


class Way(StrEnum):
    """How a text is typed: all in letter mode, with the digits tapped or held; switching modes; in number mode."""

    TAPPED = "digits tapped"
    HELD = "digits held"
    SWITCHED = "modes switched"
    NUMBERS = "number mode"


@dataclass(frozen=True, slots=True)
class Presses:
    """Presses of keys, and the pauses between two taps on one key."""

    keys: int = 0
    pauses: int = 0

    def __add__(self, other: "Presses") -> "Presses":
        return Presses(self.keys + other.keys, self.pauses + other.pauses)

    def __sub__(self, other: "Presses") -> "Presses":
        return Presses(self.keys - other.keys, self.pauses - other.pauses)


def in_number_mode(text: str) -> str:
    """Give a text with the separators that number mode has: `*` for a blank, `#` for a break."""
    return text.replace(" / ", "#").replace("/", "#").replace(" ", "*")


def presses(text: str, way: Way) -> Presses | None:
    """Give what a text costs to type; None where number mode alone cannot type it."""
    match way:
        case Way.NUMBERS:
            typed = in_number_mode(text)
            return Presses(len(typed)) if set(typed) <= IN_NUMBER_MODE else None
        case Way.SWITCHED:
            return _switched(text.upper())
        case Way.TAPPED | Way.HELD:
            return _in_letter_mode(text.upper(), hold=way is Way.HELD)


def _in_letter_mode(text: str, *, hold: bool) -> Presses:
    total, pauses, last_tapped = 0, 0, ""
    for char in text:
        if hold and char.isdigit():
            total, last_tapped = total + LONG_PRESS, ""
            continue
        key, taps = _TAPS.get(char, (LIST_KEY, FROM_THE_LIST_OF_MARKS))
        total += taps
        pauses += key == last_tapped
        last_tapped = key
    return Presses(total, pauses)


def _switched(text: str) -> Presses:
    """Digits in number mode, letters in letter mode, what stands between in the mode that is on."""
    total, pauses, last_tapped = 0, 0, ""
    numbers = text[:1].isdigit()
    for char in text.replace(" / ", "/"):
        wanted = char.isdigit() or (numbers and in_number_mode(char) in IN_NUMBER_MODE)
        if wanted is not numbers:
            numbers, last_tapped = wanted, ""
            total += MODE_SWITCH
        if numbers:
            total += 1
            continue
        key, taps = _TAPS.get(char, (LIST_KEY, FROM_THE_LIST_OF_MARKS))
        total += taps
        pauses += key == last_tapped
        last_tapped = key
    return Presses(total, pauses)
