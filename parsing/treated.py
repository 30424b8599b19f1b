"""Words that may mean that a field is, was or will be treated: in free words, misspelt, in both languages."""

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise

from parsing.keypad import one_letter_apart
from parsing.tokens import fold
from parsing.words import Words

_LETTERS_OR_DIGITS = re.compile(r"[A-Z]+|[0-9]+")


def may_mean_treated(text: str, words: Words) -> bool:
    """Tell whether a text has a word that may mean that a field is, was or will be treated."""
    return holds_treated(fold(text), words)


def holds_treated(folded: str, words: Words) -> bool:
    """Tell the same of a text in capitals without accents.

    `[treated]` has beginnings of words, whole words, beginnings that may have one letter wrong, phrases that
    may have one wrong or their blank in the wrong place, and words and phrases that look so and mean something else.
    """
    runs = _LETTERS_OR_DIGITS.findall(folded)
    said = f" {' '.join(runs)} "
    for phrase in _known(words, "unlike"):
        if " " in phrase:
            said = said.replace(f" {phrase} ", " ")
    for known, how in words.treated.items():
        if how == "word" and f" {known} " in said:
            return True
        if how == "stem" and f" {known}" in said and (" " in known or _begins(known, runs, words)):
            return True
    misspelt, phrases = _known(words, "misspelt"), _known(words, "phrase")
    return any(_begins_near(word, misspelt) for word in _alike(runs, words)) or any(
        is_near(joined, phrase) for joined in _joined(runs, words) for phrase in phrases
    )


def is_near(word: str, right: str) -> bool:
    """Tell whether a word is another with one letter wrong, left out, too many, or two neighbours turned round."""
    return word == right or one_letter_apart(word, right) or _turned_round(word, right)


def _turned_round(word: str, right: str) -> bool:
    return len(word) == len(right) and word in (
        right[:i] + right[i + 1] + right[i] + right[i + 2 :] for i in range(len(right) - 1)
    )


def _known(words: Words, how: str) -> tuple[str, ...]:
    return tuple(known for known, what in words.treated.items() if what == how)


def _begins(stem: str, runs: Sequence[str], words: Words) -> bool:
    """Tell whether a stem begins a word that does not only look so."""
    return any(run.startswith(stem) and words.treated.get(run) != "unlike" for run in runs)


def _alike(runs: Sequence[str], words: Words) -> Iterator[str]:
    """Give the words of a text, and those of which a blank has parted one letter."""
    pairs = (one + other for one, other in pairwise(runs) if 1 in (len(one), len(other)))
    for word in (*runs, *pairs):
        if word.isalpha() and words.treated.get(word) != "unlike":
            yield word


def _joined(runs: Sequence[str], words: Words) -> Iterator[str]:
    """Give two and three words of a text in one, as a phrase without its blanks."""
    for length in (1, 2, 3):
        for place in range(len(runs) - length + 1):
            joined = "".join(runs[place : place + length])
            if joined.isalpha() and words.treated.get(joined) != "unlike":
                yield joined


@lru_cache(maxsize=4096)
def _begins_near(word: str, stems: tuple[str, ...]) -> bool:
    """Tell whether a word begins as a stem, one letter more or less."""
    return any(
        is_near(word[:length], stem) for stem in stems for length in range(len(stem) - 1, len(stem) + 2)
    )
