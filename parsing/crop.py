"""What follows a number when it is a crop figure: squares still on, the stage."""

from dataclasses import replace

from parsing.reading import (
    Ground,
    Kind,
    Problem,
    Reading,
    ShareSaid,
    StageSaid,
    Unreadable,
)
from parsing.tokens import WORD_AND_NUMBER, Token, TokenKind, as_number, as_sent

MOST_WEEKS = 20


def read_share(text: str, number: int, code: str, tokens: tuple[Token, ...], ground: Ground) -> Reading:
    """NUMBER SHARE n [`/`|OF|DE] m"""
    span = (tokens[0].start, tokens[-1].end) if tokens else (0, len(text))
    said = as_sent(text, tokens) if tokens else ""
    if any(token.text == "%" for token in tokens):
        return Unreadable((Problem(Kind.SHARE_PERCENT, span, said, code),), number)
    between = [
        as_number(token)
        for token in tokens
        if token.kind is not TokenKind.SLASH and ground.words.inside.get(token.text) != "of"
    ]
    if len(between) != 2 or any(
        token.kind is not TokenKind.NUMBER or len(token.text) > 4 for token in between
    ):
        return Unreadable((Problem(Kind.SHARE_NEEDS_TWO, span, said, code),), number)
    n, of = (int(token.text) for token in between)
    if of == 0:
        return Unreadable((Problem(Kind.SHARE_OF_NONE, span, said, code),), number)
    if n > of:
        return Unreadable((Problem(Kind.SHARE_OVER, span, said, code),), number)
    return ShareSaid(number, code, n, of)


def read_stage(text: str, number: int, tokens: tuple[Token, ...], ground: Ground) -> Reading:
    """NUMBER `STAGE` (SQUARING|BLOOM [week] | CUTOUT)"""
    span = (tokens[0].start, tokens[-1].end) if tokens else (0, len(text))
    said = as_sent(text, tokens) if tokens else ""
    words = list(tokens)
    if words and (glued := WORD_AND_NUMBER.fullmatch(words[0].text)):
        first = words[0]
        words[0:1] = [
            replace(first, kind=TokenKind.WORD, text=glued[1]),
            replace(first, kind=TokenKind.NUMBER, text=glued[2]),
        ]
    phase = ground.words.stages.get(words[0].text) if words else None
    weeks = words[1:]
    if phase is None or len(weeks) > 1 or (weeks and weeks[0].kind is not TokenKind.NUMBER):
        return Unreadable((Problem(Kind.STAGE_UNKNOWN, span, said),), number)
    if not weeks:
        return StageSaid(number, phase, None)
    week = int(weeks[0].text)
    if phase == "cutout":
        return Unreadable((Problem(Kind.STAGE_WITHOUT_WEEKS, span, said),), number)
    if not 1 <= week <= MOST_WEEKS:
        return Unreadable((Problem(Kind.STAGE_UNKNOWN, span, said),), number)
    return StageSaid(number, phase, week)
