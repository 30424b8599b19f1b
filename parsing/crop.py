"""What follows a number when it is a crop figure: a share of a whole site, nodes above white flower, the stage."""

import re
from dataclasses import replace
from decimal import Decimal

from parsing.problems import Kind, Problem
from parsing.reading import Ground, Nawf, ShareSaid, StageSaid, Unreadable
from parsing.stops import share_found
from parsing.tokens import (
    LETTERS_AS_DIGITS,
    WORD_AND_NUMBER,
    Token,
    TokenKind,
    as_number,
    as_sent,
    fold,
    has_decimals,
)

MOST_WEEKS = 20
MOST_NODES = 20
"""Nodes above white flower that a plant can have; some ten at first bloom (common practice)."""

_BETWEEN_PLANTS = re.compile(r"[^0-9A-Z.,%$-]+")
_BETWEEN_PLANTS_WITHOUT_DECIMALS = re.compile(r"[^0-9A-Z%$-]+")
_NODES = re.compile(r"[0-9]{1,4}(?:[.,][0-9])?")
_NODES_OR_LIST = re.compile(r"[0-9]+(?:[.,][0-9]+)+")


def read_share(
    text: str, number: int, code: str, tokens: tuple[Token, ...], ground: Ground
) -> ShareSaid | Unreadable:
    """NUMBER SHARE n [`/`|OF|DE] m"""
    span = (tokens[0].start, tokens[-1].end) if tokens else (0, len(text))
    said = as_sent(text, tokens) if tokens else ""
    if any(token.kind is TokenKind.WORD and _is_share(token.text, ground) for token in tokens):
        return Unreadable((Problem(Kind.ONE_SHARE, span, said, code),), number)
    between = [
        as_number(token)
        for token in tokens
        if token.kind is not TokenKind.SLASH and ground.words.inside.get(token.text) != "of"
    ]
    kinds = (TokenKind.NUMBER, TokenKind.DECIMAL)
    if any(token.kind not in kinds and token.text != "%" for token in between):
        return Unreadable((Problem(Kind.SHARE_NEEDS_TWO, span, said, code),), number)
    share = share_found(code, between, span)
    if isinstance(share, Problem):
        return Unreadable((replace(share, said=said),), number)
    return ShareSaid(number, code, share.n, share.of)


def _is_share(word: str, ground: Ground) -> bool:
    return word in ground.shares or ground.words.after_number.get(word) == "squares"


def read_nawf(text: str, number: int, tokens: tuple[Token, ...]) -> Nawf | Unreadable:
    """NUMBER `NAWF` NODES+, one decimal each; a point between digits is one where blanks part the text."""
    span = (tokens[0].start, tokens[-1].end) if tokens else (0, len(text))
    said = as_sent(text, tokens) if tokens else ""

    def refused(kind: Kind) -> Unreadable:
        return Unreadable((Problem(kind, span, said),), number)

    between = _BETWEEN_PLANTS if has_decimals(fold(text)) else _BETWEEN_PLANTS_WITHOUT_DECIMALS
    pieces = [piece.strip(".,") for piece in between.split(fold(text[slice(*span)]) if tokens else "")]
    plants = [_as_digits(piece) for piece in pieces if piece]
    if not plants:
        return refused(Kind.NAWF_NUMBERS)
    for plant in plants:
        if _NODES_OR_LIST.fullmatch(plant) and not _NODES.fullmatch(plant):
            return refused(Kind.NAWF_UNCLEAR)
        if not _NODES.fullmatch(plant):
            return refused(Kind.NAWF_NUMBERS)
    nodes = tuple(Decimal(plant.replace(",", ".")) for plant in plants)
    return Nawf(number, nodes) if max(nodes) <= MOST_NODES else refused(Kind.NAWF_LARGE)


def _as_digits(piece: str) -> str:
    return piece.translate(LETTERS_AS_DIGITS) if piece[0].isdigit() else piece


def read_stage(text: str, number: int, tokens: tuple[Token, ...], ground: Ground) -> StageSaid | Unreadable:
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
