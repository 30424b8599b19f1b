"""What must hold of the forms of the day and the season, and of keeping people out, in any text.

Free words are kept whole: every letter and digit behind the word of a form is found again in the reading. No
number of a closing is lost, and reading the echo of a form gives the form again.
"""

import re
from collections.abc import Iterator

from parsing import (
    Ground,
    HandOver,
    OpenUp,
    Reading,
    Send,
    Sos,
    Tell,
    Temp,
    Treated,
    Unreadable,
    Wait,
    echo,
    may_mean_treated,
    read,
)
from parsing.tokens import fold

MOST_DIGITS = 4
_NOT_SAID = re.compile("[^A-Z0-9]+")
_RUN = re.compile("[0-9]+")


def broken_by_day(reading: Reading, text: str, begin: int, ground: Ground) -> Iterator[tuple[str, str]]:
    """Give the laws that a reading breaks; `begin` is where its text begins behind its prefixes."""
    match reading:
        case Sos(words):
            if _said(words) != _said(text):
                yield "a cry for help is kept whole", repr(reading)
        case Tell(words):
            if not words or not _said(text).endswith(_said(words)):
                yield "words for the crew are kept whole", repr(reading)
        case Treated(said=said):
            yield from _broken_by_closing(reading, said, text, begin)
        case HandOver() | OpenUp() if may_mean_treated(text, ground.words):
            yield "no form outranks words of a treated field", repr(reading)
        case Temp() | HandOver() | Send() | Wait() | OpenUp():
            if read(echo(reading), ground) != reading:
                yield "reading the echo gives the reading again", f"{echo(reading)!r} is not {reading}"
        case Unreadable(treated=treated):
            if treated is not may_mean_treated(text, ground.words):
                yield "no word of a treated field is lost", repr(reading)
        case _:
            pass


def _broken_by_closing(reading: Treated, said: str, text: str, begin: int) -> Iterator[tuple[str, str]]:
    if not _said(text).endswith(_said(said)):
        yield "words of a closing are kept whole", repr(reading)
    runs = [int(run) for run in _RUN.findall(fold(text[begin:])) if len(run) <= MOST_DIGITS]
    if runs[1:] != list(reading.numbers) and runs[:1] == [reading.number]:
        yield "no number of a closing is lost", f"said {runs}: {reading}"


def _said(text: str) -> str:
    """Give the letters and digits of a text, folded."""
    return _NOT_SAID.sub("", fold(text))
