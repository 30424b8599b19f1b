"""What may stand before a text: PRACTICE, BY and a name, CHECK, a day."""

from dataclasses import replace

from parsing.courtesy import without_leading_courtesy
from parsing.emergency import emergency_at, is_emergency
from parsing.reading import Prefixes
from parsing.tokens import Token, TokenKind, tokenize, trimmed
from parsing.treated import holds_treated
from parsing.words import Words


def read_prefixes(text: str, words: Words) -> Prefixes:
    """Give the prefixes of a text, each at most once, kind words before and between them left out.

    Nothing but prefixes is none: a lone CHECK or TUE says nothing. Before a cry for help none counts but
    PRACTICE: no name that nobody has, and no day, may stand in its way.
    """
    tokens = tokenize(text)
    found = prefixes_of(trimmed(tokens), words)
    if found.end and emergency_at(tokens, words) is not None:
        return replace(found, by=None, check=False, day=None)
    return found


def prefixes_of(tokens: tuple[Token, ...], words: Words) -> Prefixes:
    """[`PRACTICE`] [`BY` NAME] [`CHECK`] [DAY], in this order or another"""
    practice = check = False
    by: str | None = None
    day: str | None = None
    rest = trimmed(without_leading_courtesy(tokens, words))
    while rest and rest[0].kind is TokenKind.WORD:
        concept = words.prefixes.get(rest[0].text)
        if concept == "practice" and not practice:
            practice, rest = True, rest[1:]
        elif concept == "check" and not check:
            check, rest = True, rest[1:]
        elif concept == "by" and by is None and len(rest) > 1 and _can_be_a_name(rest[1], words):
            name, behind = _name(rest[1:], words)
            if holds_treated(name, words):
                # "por la manana fumigamos 14" is sent for nobody
                break
            by, rest = name, behind
        elif rest[0].text in words.days and day is None:
            day, rest = words.days[rest[0].text], rest[1:]
        else:
            break
        rest = trimmed(without_leading_courtesy(rest, words))
    if not rest or rest is tokens:
        return Prefixes()
    found = practice or check or by is not None or day is not None
    return Prefixes(practice, by, check, day, rest[0].start) if found else Prefixes()


def _name(tokens: tuple[Token, ...], words: Words) -> tuple[str, tuple[Token, ...]]:
    """Give a name of one word, or of all up to another prefix, kind words or a number, and what follows it."""
    length = 1
    while length < len(tokens) and _goes_on(tokens[length:], words):
        length += 1
    if length == len(tokens):
        length = 1
    return " ".join(token.text for token in tokens[:length]), tokens[length:]


def _can_be_a_name(token: Token, words: Words) -> bool:
    return token.kind is TokenKind.WORD and not is_emergency(token.text, words)


def _goes_on(tokens: tuple[Token, ...], words: Words) -> bool:
    first = tokens[0]
    if not _can_be_a_name(first, words) or first.text in words.prefixes or first.text in words.days:
        return False
    return without_leading_courtesy(tokens, words) == tokens
