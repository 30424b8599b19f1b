"""What must hold of any text that is read.

A text is covered when each of its characters lies in a token or is a separator. A separator is what can
mean nothing: blanks, the marks that part numbers, quotes, marks of accents, and signs outside ASCII that
fold to no letter or digit and are no number in any script. A token that is in no problem's span has been
understood: of counts without problems every number and every word must be found again in the reading.
"""

import re
import unicodedata
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from parsing import (
    Counts,
    Fix,
    Form,
    Ground,
    Problem,
    Sample,
    Unreadable,
    echo,
    read,
    read_prefixes,
)
from parsing.tokens import Token, TokenKind, as_number, fold, tokenize
from tests.studies.broken import Broken
from tests.studies.day_laws import broken_by_day

MEANING_MARKS = frozenset("%$@<>|{}[]\\^~=?/;#-\n")
"""The marks of ASCII that mean something somewhere: they are tokens."""

WORDS_IN_COUNTS = ("fix", "all", "squares")
_RUN = re.compile("[A-Z]+")


def broken_by(text: str, where: str, ground: Ground) -> Iterator[Broken]:
    """Give every law that a text breaks on a ground."""
    for law, came in _broken(text, ground):
        yield Broken(law, text, where, came)


def _broken(text: str, ground: Ground) -> Iterator[tuple[str, str]]:
    try:
        prefixes = read_prefixes(text, ground.words)
        reading = read(text, ground)
        tokens = tokenize(text)
    except Exception as fault:  # noqa: BLE001  that none is raised is the first law
        yield "reading raises nothing", repr(fault)
        return
    if not 0 <= prefixes.end <= len(text) or (prefixes.end and not text[prefixes.end :].strip()):
        yield "prefixes end inside the text", repr(prefixes)
    if missed := [text[place] for place in uncovered(text, tokens)]:
        yield "every character lies in a token or is a separator", f"not covered: {missed}"
    for problem in problems_of(reading):
        if not 0 <= problem.span[0] <= problem.span[1] <= len(text):
            yield "a problem lies inside its text", repr(problem)
        if problem.said != fold(problem.said):
            yield "a problem says folded what it means", repr(problem)
    if isinstance(reading, Counts | Fix):
        after = tuple(token for token in tokens if token.start >= prefixes.end)
        yield from _broken_by_counts(reading, after, ground)
    else:
        yield from broken_by_day(reading, text, prefixes.end, ground)


def problems_of(reading: object) -> tuple[Problem, ...]:
    """Give the problems of a reading, whether they take the whole text or a part."""
    return reading.problems if isinstance(reading, Counts | Fix | Unreadable) else ()


def uncovered(text: str, tokens: tuple[Token, ...]) -> Iterator[int]:
    """Give the places of characters that mean something and lie in no token."""
    covered = {place for token in tokens for place in range(token.start, token.end)}
    plain = text.replace("\r\n", " \n").replace("\r", "\n")
    for place, char in enumerate(plain):
        if place not in covered and _means_something(char):
            yield place


def _means_something(char: str) -> bool:
    if char.isascii():
        return char.isalnum() or char in MEANING_MARKS
    folded = unicodedata.normalize("NFKD", char).upper()
    number = unicodedata.numeric(char, None) is not None
    return number or any(part.isascii() and part.isalnum() for part in folded)


def _broken_by_counts(
    reading: Counts | Fix, tokens: tuple[Token, ...], ground: Ground
) -> Iterator[tuple[str, str]]:
    said = echo(_bare(reading))
    again = read(said, ground)
    if not _same(reading, again):
        yield "reading the echo gives the reading again", f"{said!r} is {again}; the text was {reading}"
    if reading.problems:
        return
    if not _numbers_may_differ(reading, tokens):
        wanted, found = _numbers_said(tokens, reading.site), _numbers_read(reading)
        if wanted != found:
            yield "no number is lost or made in silence", f"said {wanted}, read {found}: {reading}"
    if dropped := _dropped(tokens, reading, ground):
        yield "no word is dropped in silence", f"dropped {dropped}: {reading}"


def _bare(reading: Counts | Fix) -> Counts | Fix:
    """Give a reading without what an echo does not say: problems beside it, the control total, what was guessed."""
    samples = tuple(map(_bare_sample, reading.samples))
    if isinstance(reading, Fix):
        return Fix(reading.site, samples)
    return Counts(reading.site, samples)


def _bare_sample(sample: Sample) -> Sample:
    """Nothing found is said as 0, in whatever form it came."""
    nothing = not sample.lost and sample.counts and all(count == 0 for _, count in sample.counts)
    plain = nothing and not sample.extras
    return replace(sample, guesses=(), form=Form.NOTHING if plain else sample.form)


def _same(reading: Counts | Fix, again: object) -> bool:
    plain = _bare(reading)
    if isinstance(reading, Counts) and reading.rival and isinstance(again, Counts):
        return again.samples == plain.samples
    return again == plain


def _numbers_may_differ(reading: Counts | Fix, tokens: tuple[Token, ...]) -> bool:
    """A range names its ends alone, and O, I and L may be digits: there the law does not say how many."""
    ranged = any(token.kind is TokenKind.DASH or token.text in ("A", "TO") for token in tokens)
    lettered = any(as_number(token) != token for token in tokens)
    guessed = any(sample.guesses for sample in reading.samples)
    return ranged or lettered or guessed


def _numbers_said(tokens: tuple[Token, ...], site: int) -> Counter[int]:
    runs = (run for token in tokens for run in re.findall("[0-9]+", token.text))
    return Counter(number for number in map(int, runs) if number not in (0, site))


def _numbers_read(reading: Counts | Fix) -> Counter[int]:
    numbers: list[int] = [] if reading.control is None else [reading.control]
    for sample in reading.samples:
        numbers += [sample.number or 0, sample.covers]
        counts = [count or 0 for _, count in sample.counts]
        numbers += [int("".join(map(str, counts)))] if sample.form is Form.PACKED else counts
        numbers += [count for _, count in sample.extras]
        numbers += [number for share in sample.shares for number in (share.n, share.of)]
    return Counter(number for number in numbers if number not in (0, reading.site))


def _dropped(tokens: tuple[Token, ...], reading: Counts | Fix, ground: Ground) -> list[str]:
    """Give the words of counts that are no code, none of the words that stand among counts, and no kind word."""
    words = ground.words
    guessed = {
        run for sample in reading.samples for guess in sample.guesses for run in _RUN.findall(guess.said)
    }
    codes = "|".join(("X", *ground.codes, *ground.shares, *guessed))
    known = {
        *(word for phrase in (*words.greetings, *words.thanks) for word in phrase.split()),
        *words.inside,
        *(word for word, concept in words.after_number.items() if concept in WORDS_IN_COUNTS),
        *("T", "OK", "O", "I", "L"),
    }
    said = (run for token in tokens for run in _RUN.findall(token.text))
    return [run for run in said if run not in known and not re.fullmatch(f"(?:{codes})+", run)]
