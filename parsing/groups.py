"""One group of a text: a sample in any form, with the shares looked at there, or several samples in numbers."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from parsing.codes import read_codes
from parsing.numbers import X, nothing_found, read_numbers, sample_number
from parsing.problems import Kind, Problem
from parsing.reading import Ground
from parsing.samples import Card, Form, Guess, Sample
from parsing.stops import part_shares
from parsing.tokens import LETTERS_AS_DIGITS, Token, TokenKind

_CODE_OR_NUMBER = re.compile(r"[OIL][0-9]+")
_PACKED_WITH_X = re.compile(r"[0-9]*X[0-9X]+|[0-9]+X")
_GLUED_SAMPLE = re.compile(r"([A-Z]+)([0-9]+)")


@dataclass(frozen=True, slots=True)
class Group:
    """The samples of one group, and the other reading where two fit."""

    samples: tuple[Sample, ...]
    rival: tuple[Sample, ...] = ()


def spelt(tokens: Sequence[Token]) -> str:
    return " ".join(token.text for token in tokens)


def read_group(tokens: list[Token], card: Card, ground: Ground) -> Group | Problem:
    """A group of counts with the shares looked at there, or shares alone: [SAMPLE] COUNTS SHARES"""
    if not tokens:
        return Group(())
    parted = part_shares(tokens, ground, first_number(tokens, card))
    if isinstance(parted, Problem):
        return parted
    if not parted.shares:
        return _read_counted_group(tokens, card, ground)
    counted = tidied(parted.tokens, ground)
    if not counted:
        return Group((Sample(None, Form.SHARES, shares=parted.shares),))
    if len(counted) == 1 and counted[0].kind is TokenKind.NUMBER and counted[0].text != "0":
        number = sample_number(counted[0].text, card)
        if number is None:
            return Problem(Kind.NO_SUCH_SAMPLE, counted[0].span, counted[0].text, str(card.samples))
        return Group((Sample(number, Form.SHARES, shares=parted.shares),))
    read = _read_counted_group(list(parted.tokens), card, ground)
    if isinstance(read, Problem):
        return read
    if len(read.samples) > 1 or read.rival:
        return Problem(Kind.NEEDS_BREAKS, (tokens[0].start, tokens[-1].end), spelt(tokens))
    return Group((replace(read.samples[0], shares=parted.shares),))


def _read_counted_group(tokens: list[Token], card: Card, ground: Ground) -> Group | Problem:
    """[SAMPLE-WORD] NUMBERS | SAMPLE (`-`|A|TO) SAMPLE NOTHING | [SAMPLE] CODES | [SAMPLE] NOTHING"""
    read = _read_plain_group(tokens, card, ground)
    if not isinstance(read, Problem) or not any(_CODE_OR_NUMBER.fullmatch(token.text) for token in tokens):
        return read
    # L2 could be a code or 12: where only the number gives a reading, that reading is asked
    doubtful = [token for token in tokens if _CODE_OR_NUMBER.fullmatch(token.text)]
    as_numbers = [
        replace(token, kind=TokenKind.NUMBER, text=token.text.translate(LETTERS_AS_DIGITS))
        if token in doubtful
        else token
        for token in tokens
    ]
    other = _read_plain_group(as_numbers, card, ground)
    if isinstance(other, Problem) or other.rival:
        return read
    guesses = tuple(Guess(token.text, token.text.translate(LETTERS_AS_DIGITS)) for token in doubtful)
    return Group(tuple(replace(sample, guesses=(*sample.guesses, *guesses)) for sample in other.samples))


def _read_plain_group(said: list[Token], card: Card, ground: Ground) -> Group | Problem:
    tokens = tidied(said, ground)
    span = (said[0].start, said[-1].end)
    whole = spelt(said)
    for place, token in enumerate(tokens):
        if token.kind is TokenKind.MIX and _PACKED_WITH_X.fullmatch(token.text):
            return Problem(Kind.X_NOT_HERE, token.span, token.text, sample=first_number(tokens, card))
        if token.kind is TokenKind.DECIMAL:
            return Problem(Kind.DECIMAL, token.span, token.text, sample=first_number(tokens, card))
        if token.kind is TokenKind.EQUALS and place and tokens[place - 1].text in ground.codes:
            lacking = tokens[place - 1]
            return Problem(
                Kind.CODE_WITHOUT_NUMBER, lacking.span, lacking.text, sample=first_number(tokens, card)
            )
        if token.kind in (TokenKind.MARK, TokenKind.QUERY, TokenKind.EQUALS, TokenKind.SLASH):
            return Problem(Kind.UNKNOWN_WORD, token.span, token.text, sample=first_number(tokens, card))
    if not tokens:
        return Problem(Kind.NOT_UNDERSTOOD, span, whole)
    ranged = _range(tokens, card, span)
    if ranged is not None:
        return ranged
    for before, token in pairwise(tokens):
        if before.kind is TokenKind.DASH and token.kind is TokenKind.NUMBER:
            return Problem(Kind.NEGATIVE, token.span, f"-{token.text}", sample=first_number(tokens, card))
    tokens = [token for token in tokens if token.kind is not TokenKind.DASH]
    if all(token.kind is TokenKind.NUMBER or token.text == X for token in tokens):
        read = read_numbers([token.text for token in tokens], card, span)
        return read if isinstance(read, Problem) else Group(read.readings[0], _rival(read.readings))
    if tokens[0].kind is not TokenKind.NUMBER:
        return _coded(read_codes(None, tokens, card, ground))
    number = sample_number(tokens[0].text, card)
    if number is None:
        return Problem(Kind.NO_SUCH_SAMPLE, tokens[0].span, tokens[0].text, str(card.samples))
    return _coded(read_codes(number, tokens[1:], card, ground))


def _rival(readings: Sequence[tuple[Sample, ...]]) -> tuple[Sample, ...]:
    return readings[1] if len(readings) > 1 else ()


def _coded(read: Sample | Problem) -> Group | Problem:
    return read if isinstance(read, Problem) else Group((read,))


def first_number(tokens: Sequence[Token], card: Card) -> int | None:
    return sample_number(tokens[0].text, card) if tokens[0].kind is TokenKind.NUMBER else None


def tidied(tokens: Sequence[Token], ground: Ground) -> list[Token]:
    """Leave out Y and AND between groups, `=` between code and count, a word for sample; nothing is 0."""
    inside = ground.words.inside
    tidy: list[Token] = []
    for place, token in enumerate(tokens):
        concept = inside.get(token.text) if token.kind is TokenKind.WORD else None
        last = place == len(tokens) - 1
        after = tokens[place + 1].kind if not last else None
        before = tidy[-1] if tidy else None
        if concept == "and" and before is not None and not last:
            continue
        if concept == "sample" and before is None and after is TokenKind.NUMBER:
            continue
        if token.kind is TokenKind.EQUALS and after is TokenKind.NUMBER and _is_word(before, token):
            continue
        if last and token.kind is TokenKind.QUERY and before is not None:
            continue
        glued = _GLUED_SAMPLE.fullmatch(token.text)
        if before is None and glued and inside.get(glued[1]) == "sample":
            tidy.append(replace(token, kind=TokenKind.NUMBER, text=glued[2]))
        elif concept == "nothing" and (before is None or before.kind is TokenKind.NUMBER):
            tidy.append(replace(token, kind=TokenKind.NUMBER, text="0"))
        else:
            tidy.append(token)
    return tidy


def _is_word(before: Token | None, equals: Token) -> bool:
    """Tell whether a code stands right before `=`; parted by a blank, it lacks its count and = is a total's."""
    return before is not None and before.kind is TokenKind.WORD and before.end == equals.start


def _range(tokens: Sequence[Token], card: Card, span: tuple[int, int]) -> Group | Problem | None:
    """SAMPLE (`-`|A|TO) SAMPLE `0`, and nothing else; None where it is no range."""
    if len(tokens) < 3 or tokens[0].kind is not TokenKind.NUMBER or tokens[2].kind is not TokenKind.NUMBER:
        return None
    if tokens[1].kind is not TokenKind.DASH and tokens[1].text not in ("A", "TO"):
        return None
    first, last = sample_number(tokens[0].text, card), sample_number(tokens[2].text, card)
    said = " ".join(token.text for token in tokens)
    if first is None or last is None:
        wrong = tokens[0] if first is None else tokens[2]
        return Problem(Kind.NO_SUCH_SAMPLE, wrong.span, wrong.text, str(card.samples))
    if [token.text for token in tokens[3:]] != ["0"] and _is_minus(tokens[0], tokens[1], tokens[2]):
        return Problem(Kind.NEGATIVE, tokens[2].span, f"-{tokens[2].text}", sample=first)
    if first >= last or [token.text for token in tokens[3:]] != ["0"]:
        return Problem(Kind.RANGE_TAKES_ZERO, span, said, f"{min(first, last)}-{max(first, last)} 0")
    return Group(tuple(nothing_found(number, card) for number in range(first, last + 1)))


def _is_minus(before: Token, dash: Token, number: Token) -> bool:
    """A dash with a blank before it and none after belongs to the number."""
    return dash.kind is TokenKind.DASH and before.end < dash.start and dash.end == number.start
