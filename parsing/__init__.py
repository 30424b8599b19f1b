"""Text in, meaning out. Imports nothing of ours but itself, asks no clock, raises for nobody's text."""

from parsing.keypad import keys, on_the_same_keys, one_letter_apart, one_press_apart, same_keys
from parsing.words import LANGUAGES, Words, shipped_words

__all__ = [
    "LANGUAGES",
    "Words",
    "keys",
    "on_the_same_keys",
    "one_letter_apart",
    "one_press_apart",
    "same_keys",
    "shipped_words",
]
