"""What follows a number when it is neither counts nor a crop figure: MOVE, EACH, NOTE, WHERE."""

from collections.abc import Sequence

from parsing.problems import Kind, Problem
from parsing.reading import Each, Ground, Move, Note, Remark, Unreadable, Where
from parsing.tokens import Token, TokenKind, as_number, as_sent, without_breaks

MOST_EFFORT_DIGITS = 4


def read_move(
    text: str, number: int, tokens: tuple[Token, ...], span: tuple[int, int], ground: Ground
) -> Move | Unreadable:
    """SITE `MOVE` SITE"""
    said = [as_number(token) for token in without_breaks(tokens)]
    said = [token for token in said if ground.words.inside.get(token.text) != "through"]
    if len(said) == 1 and said[0].kind is TokenKind.NUMBER and int(said[0].text) in ground.cards:
        return Move(number, int(said[0].text))
    return Unreadable((Problem(Kind.MOVE_WHERE, span, as_sent(text, tokens) if tokens else ""),), number)


def read_each(text: str, number: int, tokens: tuple[Token, ...], span: tuple[int, int]) -> Each | Unreadable:
    """SITE `EACH` EFFORT, a whole number in the plan's unit; a word for the unit may follow"""
    said = [as_number(token) for token in without_breaks(tokens)]
    numbers = [token for token in said if token.kind is TokenKind.NUMBER]
    words = [token for token in said[1:] if token.kind is TokenKind.WORD]
    right = len(numbers) == 1 and numbers[0] is said[0] and len(said) == 1 + len(words)
    if right and len(numbers[0].text) <= MOST_EFFORT_DIGITS and int(numbers[0].text) > 0:
        return Each(number, int(numbers[0].text))
    return Unreadable((Problem(Kind.EACH_NUMBER, span, as_sent(text, tokens) if tokens else ""),), number)


def read_note(
    number: int,
    about: Remark,
    words: str | None,
    tokens: Sequence[Token],
    span: tuple[int, int],
    ground: Ground,
) -> Note | Unreadable:
    """NUMBER (`NOTE` words | `WET` [words] | `WIND` [words]); nothing but a site's number may be MOVE."""
    if about is not Remark.NOTE:
        return Note(number, about, words)
    if words is None:
        return Unreadable((Problem(Kind.NOTE_EMPTY, span),), number)
    only = [as_number(token) for token in tokens]
    site = int(only[0].text) if len(only) == 1 and only[0].kind is TokenKind.NUMBER else None
    return Note(number, about, words, site if site in ground.cards else None)


def read_where(text: str, tokens: tuple[Token, ...], ground: Ground) -> Where | Unreadable:
    """`WHERE` NUMBER"""
    said = [as_number(token) for token in tokens[1:] if token.kind is not TokenKind.QUERY]
    if len(said) == 1 and said[0].kind is TokenKind.NUMBER:
        number = int(said[0].text)
        if number in ground.cards or number in ground.fields:
            return Where(number)
        return Unreadable((Problem(Kind.UNKNOWN_SITE, said[0].span, said[0].text),))
    return Unreadable((Problem(Kind.WHERE_WHICH, (tokens[0].start, tokens[-1].end), as_sent(text, tokens)),))
