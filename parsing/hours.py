"""Keeping people out: a word that closes a field, the re-entry hours after it where they are unmistakable, OPEN.

A rate, a time, a date and a quantity stand where hours stand, so a number is taken for hours only where it
can be nothing else; whatever may be something else leaves them unknown, and they are asked. The field is
closed in any case.
"""

import re
from collections.abc import Sequence

from parsing.problems import Kind, Problem
from parsing.reading import Ground, Unreadable
from parsing.reentry import Doubtful, Given, Hours, OpenUp, Treated, Treatment, Unknown
from parsing.tokens import Token, TokenKind, as_sent, fold, tokenize, trimmed, without_breaks
from parsing.treated import is_near
from parsing.words import Words

LEAST_NUMBER = 4
HALF_A_DAY = 12
MOST_HOUR_DIGITS = 3
MOST_DAY_DIGITS = 2
MOST_NUMBER_DIGITS = 4
MOST_LETTERS_OF_A_UNIT = 3

TREATMENTS = {
    "sprayed": Treatment.SPRAYED,
    "spraying": Treatment.SPRAYING,
    "keep_out": Treatment.SIGN,
}

_NUMBER_AND_LETTERS = re.compile(r"([0-9]+)([A-Z]*)")
_RUN = re.compile(r"[0-9]+")
_DEGREE_MARKS = tuple("\N{DEGREE SIGN}\N{MASCULINE ORDINAL INDICATOR}")
_FOOT_MARKS = tuple(
    "'\"\N{PRIME}\N{DOUBLE PRIME}\N{RIGHT SINGLE QUOTATION MARK}\N{RIGHT DOUBLE QUOTATION MARK}"
)
_LEAD = re.compile(r"[A-Z]+")


def parted_closing(token: Token, words: Words) -> tuple[Token, ...] | None:
    """Part a word that closes a field from what is glued behind it, as in SPRAYED24H; None where it is no such word."""
    lead = _LEAD.match(token.text)
    if lead is None or words.after_number.get(lead[0]) not in TREATMENTS:
        return None
    cut = token.start + len(lead[0])
    word = Token(TokenKind.WORD, lead[0], token.start, min(cut, token.end))
    behind = token.text[len(lead[0]) :]
    if not behind:
        return (word,)
    kind = TokenKind.NUMBER if behind.isdigit() else TokenKind.MIX
    return word, Token(kind, behind, min(cut, token.end), token.end)


def read_treated(
    text: str, number: int, concept: str, first: Token, tokens: tuple[Token, ...], words: Words
) -> Treated:
    """NUMBER (`SPRAYED` | `SPRAYING` | `KEEPOUT`) [HOURS] [words]; all that follows is free words, breaks too"""
    # what is trimmed at the end of other texts may be a unit here: 24# is pounds
    end = tokens[-1].end if tokens else first.end
    tokens = (*tokens, *(token for token in tokenize(text) if token.start >= end))
    hours = Unknown() if _measures(text, tokens) else hours_in(tokens, words)
    said = " ".join(text[first.start :].split())
    runs = _RUN.findall(fold(text[first.start :]))
    numbers = tuple(int(run) for run in runs if len(run) <= MOST_NUMBER_DIGITS)
    return Treated(TREATMENTS[concept], number, hours, numbers, said)


def _measures(text: str, tokens: Sequence[Token]) -> bool:
    """Tell whether a mark of feet, inches or degrees stands right behind a number: marks that are no tokens."""
    behind = text[tokens[0].end :] if tokens else ""
    return behind[:1] in _DEGREE_MARKS or (behind[:1] in _FOOT_MARKS and any(map(str.isalnum, behind)))


def read_open(
    text: str, number: int, tokens: tuple[Token, ...], span: tuple[int, int], ground: Ground
) -> OpenUp | Unreadable:
    """NUMBER `OPEN` [HOURS [`H`]], and not a word more: nothing is opened by half a sentence"""
    hours = _hours_alone(tokens, ground.words)
    if hours is None and tokens:
        return Unreadable((Problem(Kind.OPEN_HOURS, span, as_sent(text, tokens)),), number)
    return OpenUp(number, hours)


def _hours_alone(tokens: tuple[Token, ...], words: Words) -> Given | Doubtful | None:
    """Give the hours that some tokens say and nothing else beside them."""
    said = without_breaks(tokens)
    if len(said) == 2 and (said[1].kind is not TokenKind.WORD or said[1].text not in words.hours):
        return None
    hours = hours_in(said, words) if len(said) in (1, 2) else Unknown()
    return None if isinstance(hours, Unknown) else hours


def hours_in(tokens: Sequence[Token], words: Words) -> Hours:
    """Give the hours that stand right after a word: a whole number, then nothing, hours, or a word that is no unit.

    Whatever makes the number mistakable leaves them unknown: a unit, a second number that may be hours, a
    question, a word of time past or to come or of doubt.
    """
    first = _NUMBER_AND_LETTERS.fullmatch(tokens[0].text) if tokens else None
    if first is None or tokens[0].kind not in (TokenKind.NUMBER, TokenKind.MIX):
        return Unknown()
    digits, glued = first[1], first[2]
    rest = tokens[1:]
    counted_in = words.hours.get(glued) if glued else _counted_in(rest, words)
    if int(digits[:MOST_NUMBER_DIGITS]) <= HALF_A_DAY and rest and words.hours.get(rest[0].text) == "clock":
        return Unknown()
    if digits.startswith("0") or counted_in not in ("hour", "day") or _mistakable(rest, words):
        return Unknown()
    if counted_in == "day":
        return Doubtful(24 * int(digits)) if len(digits) <= MOST_DAY_DIGITS else Unknown()
    # a longer number is a time of day or a year
    if len(digits) > MOST_HOUR_DIGITS or int(digits) < LEAST_NUMBER:
        return Unknown()
    hours = int(digits)
    return Given(hours) if hours % HALF_A_DAY == 0 else Doubtful(hours)


def _counted_in(behind: Sequence[Token], words: Words) -> str | None:
    """Tell what a number counts by what stands behind it: "hour", "day", or None where it is something else."""
    if not behind or behind[0].kind is TokenKind.BREAK:
        return "hour"
    word = behind[0]
    if word.kind is not TokenKind.WORD:
        return None
    known = words.hours.get(word.text)
    if known in ("hour", "day"):
        return known
    weekday = words.days.get(word.text, "yesterday") != "yesterday"
    if known in ("small", "clock"):
        return "hour"
    if (
        known is not None
        or weekday
        or len(word.text) <= MOST_LETTERS_OF_A_UNIT
        or _near_a_unit(word.text, words)
    ):
        return None
    return "hour"


def _near_a_unit(word: str, words: Words) -> bool:
    """Tell whether a word is a unit, days, or a day's name with one letter wrong, as in GALONS."""
    units = (known for known, what in words.hours.items() if what in ("unit", "day"))
    return any(len(one) >= MOST_LETTERS_OF_A_UNIT and is_near(word, one) for one in (*units, *words.days))


def _mistakable(rest: Sequence[Token], words: Words) -> bool:
    """Tell whether what follows a number leaves in doubt that it is the hours from now on."""
    return any(
        _is_unsure(rest, place, words) or _may_be_hours(rest, place, words) for place in range(len(rest))
    )


def _is_unsure(tokens: Sequence[Token], place: int, words: Words) -> bool:
    """Tell whether a token makes a question or a doubt; the NO of NO ENTRE does not."""
    phrase = " ".join(token.text for token in tokens[place : place + 2])
    if words.after_number.get(phrase) == "keep_out":
        return False
    return tokens[place].kind is TokenKind.QUERY or words.hours.get(tokens[place].text) == "unsure"


def _may_be_hours(tokens: Sequence[Token], place: int, words: Words) -> bool:
    """Tell whether a number among words may be hours too; a number beside a slash is a day of a month or a part."""
    token = tokens[place]
    if token.kind is TokenKind.MIX:
        glued = _NUMBER_AND_LETTERS.fullmatch(token.text)
        return glued is not None and words.hours.get(glued[2]) in ("hour", "day")
    if token.kind is not TokenKind.NUMBER or len(token.text) > MOST_HOUR_DIGITS:
        return False
    beside = tokens[max(place - 1, 0) : place + 2]
    if any(one.kind is TokenKind.SLASH for one in beside) and int(token.text) <= 31:
        return False
    counted_in = _counted_in(tokens[place + 1 :], words)
    return counted_in == "day" or (counted_in == "hour" and int(token.text) >= LEAST_NUMBER)


def begins_closing(tokens: tuple[Token, ...], words: Words) -> tuple[Token, ...]:
    """Part what is glued to a word that closes a field, where tokens begin with one; KEEP-OUT is KEEP OUT."""
    tokens = trimmed(tokens)
    if len(tokens) > 2 and tokens[1].kind is TokenKind.DASH:
        phrase = f"{tokens[0].text} {tokens[2].text}"
        return (tokens[0], *tokens[2:]) if words.after_number.get(phrase) in TREATMENTS else tokens
    parted = parted_closing(tokens[0], words) if tokens and tokens[0].kind is TokenKind.MIX else None
    return tokens if parted is None else (*parted, *tokens[1:])
