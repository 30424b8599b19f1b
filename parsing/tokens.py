"""A text cut into tokens, each with its place in the text as it came. The tokenizer never guesses meaning."""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum, auto

THUMBS_UP = "\N{THUMBS UP SIGN}"


class TokenKind(Enum):
    """What a token is made of."""

    NUMBER = auto()
    WORD = auto()
    MIX = auto()
    DECIMAL = auto()
    DASH = auto()
    BREAK = auto()
    SLASH = auto()
    HASH = auto()
    EQUALS = auto()
    QUERY = auto()
    MARK = auto()


@dataclass(frozen=True, slots=True)
class Token:
    """A stretch of a text: its kind, its folded spelling, its place (start, end) in the text as it came."""

    kind: TokenKind
    text: str
    start: int
    end: int

    @property
    def span(self) -> tuple[int, int]:
        return self.start, self.end

    @property
    def ends_in_digit(self) -> bool:
        return self.text[-1].isdigit()


# 1 2, 1 FA2, 1 FA 2: a blank beside a number, with letters alone or nothing else between it and the other
_BLANKS_BETWEEN_NUMBERS = re.compile(r"[0-9] +[A-Z]*[0-9]|[0-9][^0-9]*[A-Z] +[0-9]")

_PATTERNS = r"""
    (?P<MIX>[A-Z]+[0-9][A-Z0-9]*|[0-9]+[A-Z][A-Z0-9]*)
  | (?P<NUMBER>[0-9]+)
  | (?P<WORD>[A-Z]+)
  | (?P<DASH>-)
  | (?P<BREAK>[\n;])
  | (?P<SLASH>/)
  | (?P<HASH>\#)
  | (?P<EQUALS>=)
  | (?P<QUERY>\?)
  | (?P<MARK>[%$@<>|{}\[\]\\^~])
"""
_TOKEN = re.compile(_PATTERNS, re.VERBOSE)
# behind a number that is glued to letters, as in FA2.5, the decimal is what is left of it
_TOKEN_WITH_DECIMALS = re.compile(
    r"(?P<DECIMAL>[0-9]+(?:[.,][0-9]+)+|(?<=[0-9])(?:[.,][0-9]+)+)|" + _PATTERNS, re.VERBOSE
)

WORD_AND_NUMBER = re.compile(r"([A-Z]+)([0-9]+)")
"""A word with a number glued to it, as in SQ88 or BLOOM2."""

LETTERS_AS_DIGITS = str.maketrans("OIL", "011")
"""What O, I and L are read as where no code can stand."""

_NUMBERISH = re.compile(r"[0-9][0-9OIL]*")
_TWO_LETTERS = re.compile(r"[OIL]{2}")

_DASHES = frozenset("-\u2010\u2011\u2012\u2013\u2014\u2212\u00ad")


def fold(text: str) -> str:
    """Give a text in capitals without accents, marks of style or emoji, blanks and breaks kept plain."""
    return "".join(char for char, _ in _folded(text))


def capitals(text: str) -> str:
    """Give a text folded, in one line with one blank between words: what names and words are compared by."""
    return " ".join(fold(text).split())


def _folded(text: str) -> list[tuple[str, int]]:
    """Fold a text and keep, for each folded character, its place in the text as it came."""
    folded: list[tuple[str, int]] = []
    for place, char in enumerate(text.replace("\r\n", " \n").replace("\r", "\n")):
        if char in _DASHES:
            folded.append(("-", place))
            continue
        if unicodedata.numeric(char, None) is not None and unicodedata.decimal(char, None) is None:
            # a half, a power, a numeral of another script is no whole count: it stays a mark that nothing takes
            folded.append(("^", place))
            continue
        for part in unicodedata.normalize("NFKD", char).upper():
            if unicodedata.combining(part):
                continue
            if part == "\n" or " " <= part <= "~":
                folded.append((part, place))
            else:
                folded.append((_digit_or_blank(part), place))
    return folded


def _digit_or_blank(char: str) -> str:
    """Digits of other scripts are digits; every other sign outside ASCII stands for a blank."""
    value = unicodedata.decimal(char, None)
    return " " if value is None else str(value)


def tokenize(text: str) -> tuple[Token, ...]:
    """Cut a text into tokens; separators leave none.

    Where some numbers of the text are parted by blanks, digit-point-digit is a decimal.
    """
    folded = _folded(text)
    plain = "".join(char for char, _ in folded)
    pattern = _TOKEN_WITH_DECIMALS if has_decimals(plain) else _TOKEN
    return tuple(
        Token(
            TokenKind[found.lastgroup or ""],
            found[0],
            folded[found.start()][1],
            _end(folded, found.end()),
        )
        for found in pattern.finditer(plain)
    )


def _end(folded: Sequence[tuple[str, int]], place: int) -> int:
    """Give where a token ends in the text as it came; accents that are marks of their own belong to it."""
    last = folded[place - 1][1] + 1
    return max(last, folded[place][1]) if place < len(folded) else last


def has_decimals(folded: str) -> bool:
    """Tell whether a point or comma between digits makes a decimal: where blanks part some numbers of a text."""
    return _BLANKS_BETWEEN_NUMBERS.search(folded) is not None


def plain_words(tokens: tuple[Token, ...]) -> str:
    """Give the words and numbers of tokens with one blank between: what a whole text is compared by."""
    if [token.kind for token in tokens] == [TokenKind.QUERY]:
        return "?"
    wordy = (TokenKind.NUMBER, TokenKind.WORD, TokenKind.MIX, TokenKind.DECIMAL)
    return " ".join(token.text for token in tokens if token.kind in wordy)


def is_thumbs_up(text: str) -> bool:
    """Tell whether a text is a lone thumbs-up, of whatever colour."""
    bare = [
        char for char in text if not char.isspace() and unicodedata.category(char) not in ("Sk", "Mn", "Cf")
    ]
    return bare == [THUMBS_UP]


def as_sent(text: str, tokens: Sequence[Token]) -> str:
    """Give what a person wrote from the first of some tokens to the last, in capitals."""
    return " ".join(fold(text[tokens[0].start : tokens[-1].end]).split())


def as_number(token: Token) -> Token:
    """Read O as 0, I and L as 1 in a token that cannot be a code: `1O` is 10, a lone O is 0."""
    lone = token.kind is TokenKind.WORD and token.text in ("O", "I", "L")
    digits = token.kind is TokenKind.MIX and _NUMBERISH.fullmatch(token.text)
    if lone or (digits and not _TWO_LETTERS.search(token.text)):
        return replace(token, kind=TokenKind.NUMBER, text=token.text.translate(LETTERS_AS_DIGITS))
    return token


_BREAKS = (TokenKind.BREAK, TokenKind.SLASH, TokenKind.HASH)


def trimmed(tokens: tuple[Token, ...]) -> tuple[Token, ...]:
    """Leave out breaks at both ends: empty groups are nothing."""
    while tokens and tokens[0].kind in _BREAKS:
        tokens = tokens[1:]
    while tokens and tokens[-1].kind in _BREAKS:
        tokens = tokens[:-1]
    return tokens


def without_breaks(tokens: tuple[Token, ...]) -> tuple[Token, ...]:
    """Leave out line breaks, `;` and `#`, which part no samples in a form that has none."""
    return tuple(token for token in tokens if token.kind not in (TokenKind.BREAK, TokenKind.HASH))
