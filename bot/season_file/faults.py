"""What is wrong with a season file, as values: nothing that a file holds ever raises."""

import difflib
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong with a season file, with the key path where it is to be mended.

    Paths are as in `fields.12.plan`; rows of a list are counted from 1 (`level.3.per`); a row of a level
    book goes by its id (`book level plantbug-bloom-sheet.per`). `says` is one sentence.
    """

    path: str
    says: str

    def __str__(self) -> str:
        return f"{self.path}: {self.says}"


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Give " Did you mean …?" with the nearest known word, empty where none is near."""
    near = difflib.get_close_matches(word, list(known), n=1)
    return f" Did you mean {near[0]}?" if near else ""


def no_such(path: str, what: str, word: object, known: Iterable[object]) -> Fault:
    """Give the fault of a word that names nothing, with the nearest one that does."""
    return Fault(path, f"There is no {what} {word}.{did_you_mean(str(word), map(str, known))}")


def listed(words: Iterable[object]) -> str:
    """Give words as a sentence lists them: "a, b and c"."""
    *others, last = [str(word) for word in words] or ["nothing"]
    return f"{', '.join(others)} and {last}" if others else last
