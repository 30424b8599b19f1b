"""Sums over several samples: `121 TOTAL 10 FA31 FN12`, `121 TOTAL 10 31 12 0 0 6`, `121 TODO 0`."""

from collections.abc import Sequence
from dataclasses import replace

from parsing.codes import read_codes
from parsing.control import control_total
from parsing.groups import tidied
from parsing.numbers import LEAST_PACKED, X, begins_with_zero, count, nothing_found
from parsing.problems import Kind, Problem
from parsing.reading import AllNothing, Counts, Ground, Undo
from parsing.samples import TOTALS, Card, Form, Sample
from parsing.tokens import Token, TokenKind, as_number

_UNDO_ON_THE_SAME_KEYS = "TODO"


def read_totals(
    number: int, word: str, tokens: Sequence[Token], span: tuple[int, int], card: Card, ground: Ground
) -> Counts | AllNothing | Undo | Problem:
    """TOTAL SAMPLES (CODES | COUNT{C} | `0`) [CONTROL] · TOTAL `0`; TODO alone may be UNDO."""
    tokens = tidied([as_number(token) for token in tokens if token.kind is not TokenKind.HASH], ground)
    if not tokens:
        if word == _UNDO_ON_THE_SAME_KEYS:
            return Undo(number, doubtful=True)
        return Problem(Kind.TOTALS_OF, span, word)
    if [token.text for token in tokens] == ["0"]:
        return AllNothing(number)
    control, kept = control_total(list(tokens))
    if isinstance(control, Problem):
        return control
    sample = _sums(word, kept, span, card, ground)
    if isinstance(sample, Problem):
        return sample
    return Counts(number, (sample,), control=control)


def _sums(
    word: str, tokens: Sequence[Token], span: tuple[int, int], card: Card, ground: Ground
) -> Sample | Problem:
    for place, token in enumerate(tokens):
        if token.kind is TokenKind.DASH:
            return Problem(Kind.NEGATIVE, token.span, "".join(one.text for one in tokens[place : place + 2]))
        if token.kind in _NEVER_HERE:
            kind = Kind.DECIMAL if token.kind is TokenKind.DECIMAL else Kind.TOTALS_ALONE
            return Problem(kind, token.span, token.text)
    said = [token.text for token in tokens]
    whole = tokens[0].kind is TokenKind.NUMBER and not begins_with_zero(said[0])
    covers = int(said[0]) if whole else 0
    if not 1 <= covers <= card.samples:
        return Problem(Kind.TOTALS_OF, span, " ".join([word, *said]), str(card.samples))
    rest = tokens[1:]
    if not rest:
        return Problem(Kind.TOTALS_OF, span, " ".join([word, *said]), str(card.samples))
    if all(token.kind is TokenKind.NUMBER or token.text == X for token in rest):
        return _in_numbers(covers, said[1:], span, card)
    sample = read_codes(TOTALS, rest, card, ground)
    if isinstance(sample, Problem):
        return replace(sample, sample=None)
    if sample.lost:
        return Problem(Kind.X_NOT_HERE, span, X)
    return replace(sample, covers=covers)


_NEVER_HERE = (
    *(TokenKind.DECIMAL, TokenKind.BREAK, TokenKind.SLASH),
    *(TokenKind.MARK, TokenKind.QUERY, TokenKind.EQUALS),
)


def _in_numbers(covers: int, said: Sequence[str], span: tuple[int, int], card: Card) -> Sample | Problem:
    if list(said) == ["0"]:
        return replace(nothing_found(TOTALS, card), covers=covers)
    if len(said) != len(card.codes):
        packed = len(said) == 1 and len(said[0]) == len(card.codes) >= LEAST_PACKED
        kind = Kind.TOTALS_NEVER_PACKED if packed else Kind.TOTALS_QUANTITY
        return Problem(kind, span, said[0] if packed else str(len(said)))
    counts = tuple(None if one == X else count(one) for one in said)
    wrong = next((one for one, read in zip(said, counts, strict=True) if read is None and one != X), None)
    if wrong is not None:
        kind = Kind.LEADING_ZERO if wrong.startswith("0") else Kind.TOO_LARGE
        return Problem(kind, span, wrong)
    if all(read is None for read in counts):
        return Problem(Kind.X_NOT_HERE, span, X)
    return Sample(TOTALS, Form.DIGITS, tuple(zip(card.codes, counts, strict=True)), covers=covers)
