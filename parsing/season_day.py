"""What is sent for the day and the season apart from counts: TELL, TEMP, TO, SEND, WAIT."""

import re
from collections.abc import Sequence
from decimal import Decimal

from parsing.day import HandOver, Send, Tell, Temp, Wait
from parsing.problems import Kind, Problem
from parsing.reading import Unreadable
from parsing.tokens import Token, TokenKind, as_sent, fold, without_breaks

LEAST_DEGREES = -40
MOST_DEGREES = 150

# a blank must part the two, or a slash: 97.71 and 97-71 could be one number, and a sign
_DEGREES = r"-?(?:0|[1-9][0-9]{0,2})(?:[.,][0-9])?"
_HIGH_AND_LOW = re.compile(
    rf"TEMP[ :.,=]*({_DEGREES})(?:[ \n]+|[,;] +| *[/\n] *| +(?:AND|Y) +)({_DEGREES})[ .]*"
)


def read_tell(text: str, word: Token, tokens: Sequence[Token]) -> Tell | Unreadable:
    """`TELL` words; breaks too"""
    if not tokens:
        return Unreadable((Problem(Kind.TELL_WHAT, word.span, word.text),))
    return Tell(" ".join(text[tokens[0].start :].split()))


def read_temp(text: str, tokens: Sequence[Token]) -> Temp | Unreadable:
    """`TEMP` HIGH LOW, each from -40 to 150, one decimal at most, the high first"""
    start, end = tokens[0].start, tokens[-1].end
    found = _HIGH_AND_LOW.fullmatch(fold(text[start:end]).replace("\t", " ").strip())
    if found is not None:
        high, low = (Decimal(said.replace(",", ".")) for said in found.groups())
        if MOST_DEGREES >= high >= low >= LEAST_DEGREES:
            return Temp(high, low)
    return Unreadable((Problem(Kind.TEMP_TWO, (start, end), as_sent(text, tokens)),))


def read_hand_over(
    text: str, number: int, tokens: Sequence[Token], span: tuple[int, int]
) -> HandOver | Unreadable:
    """SITE `TO` NAME, of one word or several"""
    said = without_breaks(tuple(tokens))
    if not said or any(token.kind is not TokenKind.WORD for token in said):
        return Unreadable((Problem(Kind.HAND_TO_WHOM, span, as_sent(text, said) if said else ""),), number)
    return HandOver(number, " ".join(token.text for token in said))


def read_release(concept: str, number: int) -> Send | Wait:
    """NUMBER (`SEND` | `WAIT`)"""
    return Send(number) if concept == "send" else Wait(number)
