"""Shares looked at stop by stop, mixed with counts or alone: `121 3 LA1 BH 1 5`, `121 1 BH 1/5 / 2 BH 0/5`."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from parsing.numbers import X, begins_with_zero
from parsing.problems import Kind, Problem
from parsing.reading import Ground
from parsing.samples import ShareFound
from parsing.tokens import Token, TokenKind

SQUARES_CODE = "SQ"
MOST_LOOKED_AT = 4
"""Digits that a share's n or m may have."""

_WORD_AND_NUMBER = re.compile(r"([A-Z]+)([0-9]+)")


@dataclass(frozen=True, slots=True)
class Parted:
    """A group without its shares, and the shares."""

    tokens: tuple[Token, ...]
    shares: tuple[ShareFound, ...] = ()


def share_code(word: str, ground: Ground) -> str | None:
    """Give the share that a word names, a word for squares among them."""
    if word in ground.shares:
        return word
    return SQUARES_CODE if ground.words.after_number.get(word) == "squares" else None


def with_shares_whole(tokens: Sequence[Token], ground: Ground) -> list[Token]:
    """Part codes of shares from numbers glued to them, and leave out the `/` right after the n of a share.

    A `/` with a blank on either side, before a number that codes follow, may be a break: it stays one.
    """
    loose = [piece for token in tokens for piece in _unglued(token, ground)]
    kept: list[Token] = []
    for place, token in enumerate(loose):
        if token.kind is TokenKind.SLASH and _is_after_n(loose, place, ground):
            continue
        kept.append(token)
    return kept


def _unglued(token: Token, ground: Ground) -> tuple[Token, ...]:
    found = _WORD_AND_NUMBER.fullmatch(token.text) if token.kind is TokenKind.MIX else None
    if found is None or share_code(found[1], ground) is None:
        return (token,)
    cut = token.end - len(found[2])
    return (
        Token(TokenKind.WORD, found[1], token.start, cut),
        Token(TokenKind.NUMBER, found[2], cut, token.end),
    )


def _is_after_n(tokens: Sequence[Token], place: int, ground: Ground) -> bool:
    if place < 2 or place + 1 == len(tokens):
        return False
    code, n, slash, m = tokens[place - 2 : place + 2]
    if share_code(code.text, ground) is None or {n.kind, m.kind} != {TokenKind.NUMBER}:
        return False
    apart = n.end < slash.start and slash.end < m.start
    after = tokens[place + 2] if place + 2 < len(tokens) else None
    codes_follow = after is not None and after.kind in (TokenKind.WORD, TokenKind.MIX, TokenKind.NUMBER)
    return not (apart and codes_follow)


def part_shares(tokens: Sequence[Token], ground: Ground, sample: int | None) -> Parted | Problem:
    """Part a group's shares, SHARE n [OF|DE] m, from the rest; they stand before or after its counts.

    A number right after m is refused: nobody knows whether it is a count or the number of the next stop.
    """
    rest: list[Token] = []
    shares: list[ShareFound] = []
    place = 0
    while place < len(tokens):
        token = tokens[place]
        code = share_code(token.text, ground) if token.kind is TokenKind.WORD else None
        if code is None:
            rest.append(token)
            place += 1
            continue
        if len(rest) > 1 and ground.words.inside.get(rest[-1].text) == "and":
            rest.pop()
        said = _after(tokens, place + 1, ground)
        share = share_found(code, said, (token.start, (said or [token])[-1].end), sample)
        if isinstance(share, Problem):
            return share
        if any(one.code == code for one in shares):
            return Problem(Kind.COLUMN_TWICE, token.span, code, sample=sample)
        shares.append(share)
        place += 1 + len(said)
        if place == len(tokens) or not (tokens[place].kind is TokenKind.NUMBER or tokens[place].text == X):
            continue
        if rest and rest[-1].kind is TokenKind.WORD:
            # a code before it and a number after it would come together: LA BH 1 5 2
            return Problem(Kind.CODE_WITHOUT_NUMBER, rest[-1].span, rest[-1].text, sample=sample)
        words = " ".join(one.text for one in (*said, tokens[place]))
        return Problem(Kind.SHARE_NEEDS_TWO, (token.start, tokens[place].end), words, code, sample)
    return Parted(tuple(rest), tuple(shares))


def _after(tokens: Sequence[Token], place: int, ground: Ground) -> list[Token]:
    """Give n and m, with OF between, as far as they stand there; a percent sign too."""
    said: list[Token] = []
    numbers = 0
    while place < len(tokens) and numbers < 2:
        token = tokens[place]
        of = ground.words.inside.get(token.text) == "of" and numbers == 1
        if token.kind in (TokenKind.NUMBER, TokenKind.DECIMAL):
            numbers += 1
        elif not of and token.text != "%":
            break
        said.append(token)
        place += 1
    return said


def share_found(
    code: str, said: Sequence[Token], span: tuple[int, int], sample: int | None = None
) -> ShareFound | Problem:
    """Give n of m from tokens of which all but numbers are OF or a percent; refused where they are no share."""
    words = " ".join(token.text for token in said)
    if any(token.text == "%" for token in said):
        return Problem(Kind.SHARE_PERCENT, span, words, code, sample)
    numbers = [token for token in said if token.kind is TokenKind.NUMBER]
    decimal = any(token.kind is TokenKind.DECIMAL for token in said)
    zero = any(begins_with_zero(token.text) for token in numbers)
    if decimal or zero or len(numbers) != 2 or any(len(token.text) > MOST_LOOKED_AT for token in numbers):
        return Problem(Kind.SHARE_NEEDS_TWO, span, words, code, sample)
    n, of = (int(token.text) for token in numbers)
    if of == 0:
        return Problem(Kind.SHARE_OF_NONE, span, words, code, sample)
    if n > of:
        return Problem(Kind.SHARE_OVER, span, words, code, sample)
    return ShareFound(code, n, of)
