"""The codes of a season, kept so far apart that a slip of the thumb makes no other code (texts.md, 4).

A code clashes with another code or with a word that can stand in its place when both have the same keys;
one press of multi-tap more or less is a case of that. An opt-out word is kept clear of too: no code is one
or has its keys, and no code of three letters is one letter from one. Codes of two letters are excused from
that last distance, by the reason that excuses FN from FIN: a code never stands alone, and what lacks a
letter of FIN is then asked as a code without its number. Three letters leave room enough to keep it.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from bot.season_file.draft import Draft
from bot.season_file.faults import Fault
from parsing import one_letter_apart, one_press_apart, same_keys, shipped_words

_CODE = re.compile(r"[A-Z]{2,3}")
NOT_COUNTED = "X"
"""After a code, X says that its column was not counted (FNX)."""


@dataclass(frozen=True, slots=True)
class Spoken:
    """A code, what it stands for, and the key path where it is written."""

    code: str
    key: str
    path: str
    written: bool

    def __str__(self) -> str:
        return f"{self.code} ({self.path if self.written else f'{self.key}, which ships'})"


def code_faults(draft: Draft) -> Iterator[Fault]:
    """Give the codes of the season file that are no codes or too near to a word or to one another."""
    every = sorted(_spoken(draft), key=lambda spoken: spoken.written)
    for spoken in every:
        if spoken.written:
            yield from _own_faults(spoken)
    for one, other in combinations(every, 2):
        if other.written and (too_near := _nearness(one.code, other.code)):
            yield Fault(other.path, f"{other.code} {too_near} {one}.")


def _spoken(draft: Draft) -> Iterator[Spoken]:
    for key, target in draft.targets.items():
        written = f"targets.{key}" in draft.written
        for code in target.form.columns or {}:
            yield Spoken(code, key, f"targets.{key}.columns.{code}", written)
    for key, share in draft.shares.items():
        if share.form.code is not None:
            yield Spoken(share.form.code, key, f"shares.{key}.code", f"shares.{key}" in draft.written)


def _own_faults(spoken: Spoken) -> Iterator[Fault]:
    code, words = spoken.code, shipped_words()
    if not _CODE.fullmatch(code):
        yield Fault(spoken.path, f"{code} is no code: codes have 2 or 3 letters from A to Z, no digits.")
        return
    if set(code) <= set("OIL"):
        yield Fault(spoken.path, f"{code} is made of O, I and L only, which are read as 0 and 1.")
    for word in sorted(words.beside_codes() | words.opt_out):
        # SQ is the word for squares and the code of the share that they are.
        if words.after_number.get(word) == spoken.key:
            continue
        if same_keys(code, word):
            yield Fault(spoken.path, f"{code} {_nearness(word, code)} the word {word}.")
        elif word in words.opt_out and len(code) > 2 and one_letter_apart(code, word):
            yield Fault(spoken.path, f"{code} is one letter from {word}, which asks for no more texts.")


def _nearness(one: str, other: str) -> str:
    """Say how two codes are too near to each other, "" where they are not."""
    if one == other:
        return "is the same as"
    if one_press_apart(one, other):
        return "is one press from"
    if same_keys(one, other):
        return "has the same keys as"
    if other == one + NOT_COUNTED or one == other + NOT_COUNTED:
        return "cannot be told, by its X, from"
    return ""
