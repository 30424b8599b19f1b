"""Counts said with codes: `FA2 FN1`, `FA 2 FN 1`, `2FA 1FN`, `FA2FN1`, `FNX`, and codes not on the card."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from rapidfuzz.distance import OSA

from parsing.keypad import on_the_same_keys
from parsing.numbers import MOST_COUNT_DIGITS, X, begins_with_zero
from parsing.problems import Kind, Problem
from parsing.reading import Ground
from parsing.samples import Card, Form, Guess, Sample
from parsing.tokens import Token, TokenKind

_LETTERS_FIRST = re.compile(r"[A-Z]+[0-9][A-Z0-9]*")
_COUNT_FIRST = re.compile(r"(?:[0-9]+[A-Z]+)+")
_COUNT_AND_CODE = re.compile(r"([0-9]+)([A-Z]+)")
_RUN = re.compile(r"[A-Z]+|[0-9]+")


@dataclass(frozen=True, slots=True)
class _Said:
    """A code as said with its count, None for X."""

    code: str
    count: str | None
    span: tuple[int, int]


def read_codes(number: int | None, tokens: Sequence[Token], card: Card, ground: Ground) -> Sample | Problem:
    """Read (CODE COUNT | CODE `X` | COUNT CODE glued)+ as one sample; columns left out are zero."""
    pairs = _pairs(number, tokens, card, ground)
    if isinstance(pairs, Problem):
        return pairs
    counts: dict[str, int | None] = {}
    extras: dict[str, int] = {}
    guesses: list[Guess] = []
    for pair in pairs:
        code = pair.code
        if code in ground.shares:
            return Problem(Kind.UNKNOWN_WORD, pair.span, code, sample=number)
        if code not in ground.codes:
            meant = near_code(code, card)
            if meant is None:
                return Problem(Kind.UNKNOWN_CODE, pair.span, code, sample=number)
            guesses.append(Guess(code, meant))
            code = meant
        if code in counts or code in extras:
            return Problem(Kind.COLUMN_TWICE, pair.span, code, sample=number)
        if pair.count is not None and begins_with_zero(pair.count):
            return Problem(Kind.LEADING_ZERO, pair.span, pair.count, sample=number)
        if pair.count is not None and len(pair.count) > MOST_COUNT_DIGITS:
            return Problem(Kind.TOO_LARGE, pair.span, pair.count, sample=number)
        if code in card.codes:
            counts[code] = None if pair.count is None else int(pair.count)
        elif pair.count is None:
            return Problem(Kind.X_NOT_HERE, pair.span, code, sample=number)
        else:
            extras[code] = int(pair.count)
    if number is None and None in counts.values():
        return Problem(Kind.X_NOT_HERE, (tokens[0].start, tokens[-1].end), X)
    if len(counts) == len(card.codes) and set(counts.values()) == {None} and not extras:
        return Sample(number, Form.LOST, guesses=tuple(guesses))
    return Sample(
        number,
        Form.CODED,
        tuple((code, counts.get(code, 0)) for code in card.codes),
        tuple(extras.items()),
        tuple(guesses),
    )


def near_code(said: str, card: Card) -> str | None:
    """Give the code that an unknown one is nearest to: of the same keys, else one letter off; None if unsure."""
    for near in (
        on_the_same_keys(said, card.codes),
        [code for code in card.codes if OSA.distance(said, code) == 1],
    ):
        if len(near) == 1:
            return near[0]
    return None


def _pairs(number: int | None, tokens: Sequence[Token], card: Card, ground: Ground) -> list[_Said] | Problem:
    """Find codes and counts, letters before numbers; count-first only where glued, and never both."""
    span = (tokens[0].start, tokens[-1].end)
    mixed = [token for token in tokens if token.kind is TokenKind.MIX]
    digit_first = [token for token in mixed if not _LETTERS_FIRST.fullmatch(token.text)]
    if digit_first:
        return _count_first(number, tokens, digit_first, span)
    runs = [(run, token.span) for token in tokens for run in _runs(token, ground)]
    pairs: list[_Said] = []
    place = 0
    while place < len(runs):
        said, where = runs[place]
        after = runs[place + 1][0] if place + 1 < len(runs) else ""
        if said.isdigit():
            return _stray_number(number, runs, place, span, ground)
        if after.isdigit() or after == X:
            pairs.append(_Said(said, None if after == X else after, where))
            place += 2
        elif said in ground.codes or said in ground.shares or near_code(said, card):
            return Problem(Kind.CODE_WITHOUT_NUMBER, where, said, sample=number)
        else:
            return Problem(Kind.UNKNOWN_WORD, where, said, sample=number)
    return pairs


def _count_first(
    number: int | None, tokens: Sequence[Token], digit_first: Sequence[Token], span: tuple[int, int]
) -> list[_Said] | Problem:
    """(COUNT CODE)+ glued; a sample number glued to letters, and both orders in one group, are refused."""
    first = tokens[0]
    if number is None and first.ends_in_digit and first is digit_first[0]:
        leading = _RUN.match(first.text)
        said = leading[0] if leading else ""
        rest = " ".join([first.text[len(said) :], *(token.text for token in tokens[1:])])
        return Problem(Kind.SAMPLE_GLUED, first.span, said, f"{said} {rest}")
    if len(digit_first) != len(tokens) or any(
        not _COUNT_FIRST.fullmatch(token.text) for token in digit_first
    ):
        return Problem(Kind.BOTH_ORDERS, span, " ".join(token.text for token in tokens), sample=number)
    pairs = [
        _Said(code, count, token.span)
        for token in digit_first
        for count, code in _COUNT_AND_CODE.findall(token.text)
    ]
    if number is None and len(pairs[0].count or "") > 1:
        # 32FA may be sample 3 with its blank lost
        said = " ".join(token.text for token in tokens)
        turned = " ".join(f"{pair.code}{pair.count}" for pair in pairs)
        return Problem(Kind.COUNT_FIRST, span, said, turned)
    return pairs


def _runs(token: Token, ground: Ground) -> Iterator[str]:
    for run in _RUN.findall(token.text):
        if run.isdigit():
            yield run
        else:
            yield from _codes_and_x(run, ground)


def _codes_and_x(run: str, ground: Ground) -> Sequence[str]:
    """Part letters run together with X: FNX is FN X, FNXFA is FN X FA. A code that ends in X stays whole."""
    if run in ground.codes or X not in run:
        return (run,)
    for place in (i for i, letter in enumerate(run) if letter == X and run[:i] in ground.codes):
        rest = run[place + 1 :]
        return (run[:place], X, *(_codes_and_x(rest, ground) if rest else ()))
    return (run,)


def _stray_number(
    number: int | None,
    runs: Sequence[tuple[str, tuple[int, int]]],
    place: int,
    span: tuple[int, int],
    ground: Ground,
) -> Problem:
    """Name what a number means that stands where a code was due."""
    said = " ".join("".join(run for run, _ in token) for _, token in groupby(runs, key=lambda one: one[1]))
    later = [run for run, _ in runs[place + 1 :]]
    turned = _turned(runs) if place == 0 else ""
    if turned:
        sample = "" if number is None else f"{number} "
        return Problem(Kind.COUNT_FIRST, span, sample + said, sample + turned, number)
    if place > 0 and any(run in ground.codes for run in later):
        whole = said if number is None else f"{number} {said}"
        return Problem(Kind.NEEDS_BREAKS, span, whole, sample=number)
    return Problem(Kind.NUMBER_WITHOUT_CODE, runs[place][1], runs[place][0], sample=number)


def _turned(runs: Sequence[tuple[str, tuple[int, int]]]) -> str:
    """Give count-first pairs letters first, empty where they are no such pairs: 2 FA 1 FN is FA2 FN1."""
    said = [run for run, _ in runs]
    pairs = list(zip(said[::2], said[1::2], strict=False))
    if len(said) % 2 or not all(count.isdigit() and code.isalpha() for count, code in pairs):
        return ""
    return " ".join(f"{code}{count}" for count, code in pairs)
