"""A cry for help: SOS and its like as the first word of a text, whatever stands before as prefix or number.

It outranks every other reading. Where a slip of a thumb can still mean nothing else it is taken; where it could be
counts or another word it is not.
"""

import re
from collections.abc import Sequence

from parsing.day import Sos
from parsing.reading import Ground
from parsing.tokens import Token, TokenKind
from parsing.treated import is_near
from parsing.words import Words

MOST_WORDS_OF_A_NAME = 4
LEAST_LETTERS_OF_A_SLIP = 7

LONGEST_CODE = 2

EMERGENCY_NUMBER = "911"

_SOS_HELD_DOWN = re.compile(r"S+O+S+(?:O+S+)*")
_NUMBER_OR_LETTERS = re.compile(r"[0-9]+|[A-Z]+")
_WORDY = (TokenKind.WORD, TokenKind.MIX)


def read_emergency(text: str, tokens: tuple[Token, ...], ground: Ground) -> Sos | None:
    """[prefixes] [kind words] [NUMBER] (`SOS` | `EMERGENCY` | `AUXILIO`) [words] · `911`"""
    words = ground.words
    place = emergency_at(tokens, words)
    if place is None:
        return None
    numbers = [int(run) for token in tokens[:place] for run in _digits(token)]
    behind = [token for token in tokens[place + 1 :] if token.kind is not TokenKind.QUERY]
    if len(behind) == 1:
        numbers += [int(run) for run in _digits(behind[0])]
    numbers += [int(run) for run in _digits(tokens[place])]
    known = (number for number in numbers if number in ground.cards or number in ground.fields)
    return Sos(" ".join(text.split()), next(known, None))


def holds_emergency(tokens: Sequence[Token], words: Words) -> bool:
    """Tell whether a word of an emergency stands anywhere in a text, spelt right."""
    return any(token.kind is TokenKind.WORD and is_emergency(token.text, words) for token in tokens)


def is_emergency(word: str, words: Words) -> bool:
    """Tell whether a word is one of an emergency, spelt right."""
    return words.alone.get(word) == "emergency"


def emergency_at(tokens: tuple[Token, ...], words: Words) -> int | None:
    """Give the place of the word of an emergency that a text begins with, prefixes and numbers before it left out."""
    place, names = 0, 0
    before = _may_stand_before(words)
    while place < len(tokens):
        token = tokens[place]
        if _cries(tokens, place, words):
            return place
        if words.prefixes.get(token.text) == "by":
            names = MOST_WORDS_OF_A_NAME
        elif token.kind is TokenKind.WORD and token.text not in before:
            if not names:
                return None
            names -= 1
        elif token.kind is TokenKind.MIX:
            return None
        place += 1
    return None


def _may_stand_before(words: Words) -> frozenset[str]:
    kind = {word for phrase in (*words.greetings, *words.thanks) for word in phrase.split()}
    return frozenset({*words.prefixes, *words.days, *kind, "OK"})


def _cries(tokens: tuple[Token, ...], place: int, words: Words) -> bool:
    token = tokens[place]
    if token.kind in _WORDY and any(_means_it(run, words) for run in _spelt(token)):
        return True
    spelt = [one.text for one in tokens[place : place + 5] if one.kind is not TokenKind.DASH]
    if spelt[:3] == ["S", "O", "S"]:
        return True
    numbers_before = any(_digits(one) for one in tokens[:place])
    return not numbers_before and _calls(tokens[place:], words)


def _spelt(token: Token) -> list[str]:
    """Give the words that a token may be meant for: glued to a number before or behind it, 0 for O and 1 for I."""
    if token.kind is TokenKind.WORD:
        return [token.text]
    parts = _NUMBER_OR_LETTERS.findall(token.text)
    glued = [part for part in parts if part.isalpha()] if len(parts) == 2 else []
    return [*glued, token.text.translate(str.maketrans("01", "OI"))]


def _means_it(word: str, words: Words) -> bool:
    if is_emergency(word, words) or _SOS_HELD_DOWN.fullmatch(word):
        return True
    if word in words.no_emergency:
        return False
    long = (one for one, what in words.alone.items() if what == "emergency")
    return any(is_near(word, one) for one in long if len(one) >= LEAST_LETTERS_OF_A_SLIP)


def _calls(tokens: tuple[Token, ...], words: Words) -> bool:
    """`911` · `9-1-1` · `911` and free words; what could be counts or a form after a site number is none of these"""
    if "".join(token.text for token in tokens) == "9-1-1":
        return True
    said = [token for token in tokens if token.kind in (TokenKind.NUMBER, TokenKind.DECIMAL, *_WORDY)]
    if not said or said[0].text != EMERGENCY_NUMBER:
        return False
    if len(said) == 1:
        return True
    of_a_form = {word for phrase in (*words.after_number, *words.inside) for word in phrase.split()}
    free = len(said[1].text) > LONGEST_CODE and said[1].text not in of_a_form
    return free and all(token.kind is TokenKind.WORD for token in said[1:])


def _digits(token: Token) -> list[str]:
    """Give the numbers of a site's length in a token."""
    return [run for run in re.findall("[0-9]+", token.text) if len(run) <= 4]
