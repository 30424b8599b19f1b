"""The control total of a text: the sum of every insect count in it, said by its sender."""

import re

from parsing.numbers import X
from parsing.problems import Kind, Problem
from parsing.tokens import Token, TokenKind

_TOTAL = re.compile(r"T([0-9]+)")


def control_total(tokens: list[Token]) -> tuple[int | Problem | None, list[Token]]:
    """Give the control total, T n or `= n`, after a number, once, last; and the tokens without it."""
    kept: list[Token] = []
    totals: list[tuple[int, Token]] = []
    place = 0
    while place < len(tokens):
        token = tokens[place]
        after = tokens[place + 1] if place + 1 < len(tokens) else None
        numbered = bool(kept) and (kept[-1].ends_in_digit or kept[-1].text == X)
        glued = _TOTAL.fullmatch(token.text)
        if numbered and glued:
            totals.append((int(glued[1]), token))
            place += 1
        elif (
            numbered
            and after is not None
            and after.kind is TokenKind.NUMBER
            and (token.kind is TokenKind.EQUALS or token.text == "T")
        ):
            totals.append((int(after.text), token))
            place += 2
        else:
            kept.append(token)
            place += 1
    if not totals:
        return None, kept
    last = totals[-1]
    if len(totals) > 1 or (kept and kept[-1].start > last[1].start):
        return Problem(Kind.TOTAL_TWICE, last[1].span, last[1].text), kept
    return last[0], kept
