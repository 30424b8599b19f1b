"""Samples said in numbers alone: digits, packed, nothing found, lost, one or several without breaks.

Every form is tried; where two fit and mean different counts, the reader asks. A form never fits by
stretching: quantities are exact, sample numbers lie on the card and rise.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from parsing.problems import Kind, Problem
from parsing.samples import Card, Form, Sample

X = "X"
MOST_COUNT_DIGITS = 4
LEAST_PACKED = 3


@dataclass(frozen=True, slots=True)
class NumberForms:
    """The readings that fit, each a tuple of samples; the first is the one to ask with. Never empty."""

    readings: tuple[tuple[Sample, ...], ...]


def read_numbers(said: Sequence[str], card: Card, span: tuple[int, int]) -> NumberForms | Problem:
    """Read numbers (and X) after a site: `3 2 1 0 0 4`, `3 21004`, `3 0`, `0`, `1 0 2 0`, `3 X`."""
    found = [*_several(said, card), *_single(said, card)]
    if not found:
        return _what_is_wrong(said, card, span)
    calm = [reading for reading in found if not _asks(reading, card)]
    return NumberForms(tuple(_unlike(calm or found)))


def nothing_found(number: int | None, card: Card) -> Sample:
    """Give the sample in which nothing was found."""
    return Sample(number, Form.NOTHING, tuple((code, 0) for code in card.codes))


def _single(said: Sequence[str], card: Card) -> Iterator[tuple[Sample, ...]]:
    """`0` · SAMPLE `0` · SAMPLE `X` · SAMPLE COUNT{C} · SAMPLE PACKED"""
    if list(said) == ["0"]:
        yield (nothing_found(None, card),)
    for form in (_pair, _packed, _digits):
        if sample := form(said, card):
            yield (sample,)


def _several(said: Sequence[str], card: Card) -> Iterator[tuple[Sample, ...]]:
    """(SAMPLE `0`)+ · (SAMPLE PACKED|`0`)+ · (SAMPLE COUNT{C})+, sample numbers rising"""
    for width, forms in ((2, (_pair,)), (2, (_packed, _pair)), (len(card.codes) + 1, (_digits,))):
        if len(said) < 2 * width or len(said) % width:
            continue
        groups = [said[i : i + width] for i in range(0, len(said), width)]
        read = [next(filter(None, (form(group, card) for form in forms)), None) for group in groups]
        samples = tuple(sample for sample in read if sample)
        if len(samples) == len(groups) and all(not sample.lost for sample in samples) and _rising(samples):
            yield samples


def _rising(samples: Sequence[Sample]) -> bool:
    return all((a.number or 0) < (b.number or 0) for a, b in pairwise(samples))


def _pair(said: Sequence[str], card: Card) -> Sample | None:
    """SAMPLE `0` · SAMPLE `X`"""
    if len(said) != 2 or (number := sample_number(said[0], card)) is None:
        return None
    if said[1] == "0":
        return nothing_found(number, card)
    return Sample(number, Form.LOST) if said[1] == X else None


def _packed(said: Sequence[str], card: Card) -> Sample | None:
    """SAMPLE DIGIT{C}, C of 3 or more"""
    if len(card.codes) < LEAST_PACKED or len(said) != 2 or len(said[1]) != len(card.codes):
        return None
    number = sample_number(said[0], card)
    if number is None or not said[1].isdigit():
        return None
    return Sample(number, Form.PACKED, tuple(zip(card.codes, map(int, said[1]), strict=True)))


def _digits(said: Sequence[str], card: Card) -> Sample | None:
    """SAMPLE (COUNT|`X`){C}"""
    if len(said) != len(card.codes) + 1 or (number := sample_number(said[0], card)) is None:
        return None
    counts = tuple(None if one == X else count(one) for one in said[1:])
    if any(read is None and one != X for read, one in zip(counts, said[1:], strict=True)):
        return None
    if all(read is None for read in counts):
        return Sample(number, Form.LOST)
    return Sample(number, Form.DIGITS, tuple(zip(card.codes, counts, strict=True)))


def sample_number(said: str, card: Card) -> int | None:
    """Read a sample number, None where it is none: 1 to the plan's number, larger is no sample number."""
    if not said.isdigit() or _only_packed(said, card) or not 1 <= int(said) <= card.samples:
        return None
    return int(said)


def count(said: str) -> int | None:
    """Read a count of the digits form, None where it is none."""
    if not said.isdigit() or len(said) > MOST_COUNT_DIGITS or begins_with_zero(said):
        return None
    return int(said)


def begins_with_zero(said: str) -> bool:
    """Such a token may be packed counts; as one count it could not be said back without doubt."""
    return len(said) > 1 and said.startswith("0")


def _only_packed(said: str, card: Card) -> bool:
    """A token with a leading zero and as many digits as the card has columns can only be packed."""
    return len(said) == len(card.codes) >= LEAST_PACKED and said.startswith("0")


def _asks(reading: Sequence[Sample], card: Card) -> bool:
    return any((read or 0) > card.ask_above for sample in reading for _, read in sample.counts)


def _unlike(readings: Sequence[tuple[Sample, ...]]) -> Iterator[tuple[Sample, ...]]:
    """Drop readings that mean the same counts as one before: of one column, digits and pairs agree."""
    seen = set()
    for reading in readings:
        meant = tuple((sample.number, sample.lost, sample.counts) for sample in reading)
        if meant not in seen:
            seen.add(meant)
            yield reading


def _what_is_wrong(said: Sequence[str], card: Card, span: tuple[int, int]) -> Problem:
    """Name the nearest thing that keeps numbers from being samples."""
    first, rest = said[0], said[1:]
    number = sample_number(first, card)
    if X in said and number is None:
        return Problem(Kind.X_NOT_HERE, span, first)
    if number is None:
        if first == "0" or (len(said) == 1 and len(first) == len(card.codes)):
            return Problem(Kind.SAMPLE_NUMBER_MISSING, span, " ".join(said))
        return Problem(Kind.NO_SUCH_SAMPLE, span, first, str(card.samples))
    if not rest:
        return Problem(Kind.NOTHING_AFTER, span, first, sample=number)
    too_long = [one for one in rest if len(one) > MOST_COUNT_DIGITS]
    if len(card.codes) >= LEAST_PACKED and len(rest) == 1 and len(rest[0]) > 1 and rest[0].isdigit():
        return Problem(Kind.PACKED_LENGTH, span, str(len(rest[0])), rest[0], number)
    zeros = [one for one in rest if begins_with_zero(one)]
    if zeros:
        return Problem(Kind.LEADING_ZERO, span, zeros[0], sample=number)
    if too_long:
        return Problem(Kind.TOO_LARGE, span, too_long[0], sample=number)
    return Problem(Kind.WRONG_QUANTITY, span, str(len(rest)), sample=number)
