"""What follows a site or field number: a word and its form, or counts. Each function's docstring is its form."""

import re
from collections.abc import Sequence

from parsing.counts import Said, read_samples
from parsing.courtesy import LONGEST_PHRASE
from parsing.crop import read_nawf, read_share, read_stage
from parsing.hours import begins_closing, read_open, read_treated
from parsing.orders import read_each, read_move, read_note
from parsing.prefixes import prefixes_of
from parsing.problems import Kind, Problem
from parsing.reading import (
    Close,
    Counts,
    Done,
    Fix,
    Ground,
    MarkRead,
    Reading,
    Remark,
    ShareSaid,
    Short,
    ShowCard,
    Skip,
    Status,
    Undo,
    Unreadable,
)
from parsing.samples import Card, Form, Sample
from parsing.season_day import read_hand_over, read_release
from parsing.stops import SQUARES_CODE
from parsing.tokens import WORD_AND_NUMBER, Token, TokenKind, as_sent, trimmed, without_breaks
from parsing.totals import read_totals
from parsing.words import Words

_LETTERS = re.compile(r"[A-Z]+")


def after_number(text: str, number: int, rest: tuple[Token, ...], ground: Ground) -> Reading:
    """NUMBER [`?`] · NUMBER WORD … · NUMBER counts"""
    tokens = begins_closing(parted_word(_without_marks(rest), ground), ground.words)
    if not tokens or [token.kind for token in tokens] == [TokenKind.QUERY]:
        return Status(number)
    concept, length = phrase_at(tokens, ground.words)
    after = trimmed(tokens[length:])
    if concept is None and tokens[0].text in ground.shares:
        concept, after = "share", trimmed(tokens[1:])
    free = _free_words(text, after)
    span = (tokens[0].start, tokens[-1].end)
    match concept:
        case "short":
            return Short(number, free)
        case "done":
            return Done(number, free)
        case "skip":
            return Skip(number, free)
        case "close":
            return Close(number, free)
        case "undo":
            return Undo(number) if not after else unreadable(text, tokens, number=number)
        case "cancel":
            return Undo(number, doubtful=True)
        case "read":
            return MarkRead(number) if not after else unreadable(text, tokens, number=number)
        case "card":
            return ShowCard(number)
        case "sprayed" | "spraying" | "keep_out":
            return read_treated(text, number, concept, tokens[0], tokens[length:], ground.words)
        case "open":
            return read_open(text, number, after, span, ground)
        case "send" | "wait" if not after:
            return read_release(concept, number)
        case "note" | "wet" | "wind":
            return read_note(number, Remark(concept), free, after, span, ground)
        case "move" | "each" | "to" if number in ground.fields and _is_said(concept, after):
            return Unreadable((Problem(Kind.FIELD_NOT_SITE, span, as_sent(text, tokens)),), number)
        case "move":
            return read_move(text, number, after, span, ground)
        case "each":
            return read_each(text, number, after, span)
        case "to" if _is_said(concept, after):
            return read_hand_over(text, number, after, span)
        case "nawf":
            return read_nawf(text, number, after)
        case "stage":
            return read_stage(text, number, without_breaks(after), ground)
        case "squares" | "share" if _stands_among_counts(after, ground):
            return _counts(text, number, tokens, ground)
        case "squares" | "share":
            code = SQUARES_CODE if concept == "squares" else tokens[0].text
            return read_share(text, number, code, without_breaks(after), ground)
        case "fix":
            return _fix(text, number, after, ground)
        case "all":
            return _totals(text, number, tokens, after, ground)
        case "check" | None if begin := _begins_behind_prefixes(tokens, ground):
            said, behind = as_sent(text, tokens[:begin]), as_sent(text, tokens[begin:])
            hint = f"{said} {number} {behind}"
            return Unreadable((Problem(Kind.PREFIX_AFTER, span, said, hint),), number)
        case None:
            return _counts(text, number, tokens, ground)
        case _:
            # a word of a form that is not read here
            return unreadable(text, tokens, number=number)


def _is_said(concept: str | None, after: Sequence[Token]) -> bool:
    """Tell TO with nobody or a name after it from the A and TO of a range that lost its first number."""
    return concept != "to" or not after or after[0].kind is TokenKind.WORD


def _begins_behind_prefixes(tokens: tuple[Token, ...], ground: Ground) -> int:
    """Give how many tokens are prefixes that should stand before the number; a code of the season is none."""
    if tokens[0].text in ground.codes:
        return 0
    end = prefixes_of(tokens, ground.words).end
    return sum(token.start < end for token in tokens)


def _stands_among_counts(after: tuple[Token, ...], ground: Ground) -> bool:
    """Tell whether what follows a share is more than n of m: codes with counts, or stops of the same share."""
    parted = (parted_word((token,), ground)[0].text for token in after)
    codes = [
        match[0] for token in after if (match := _LETTERS.match(token.text)) and match[0] in ground.codes
    ]
    breaks = any(token.kind in (TokenKind.BREAK, TokenKind.SLASH, TokenKind.HASH) for token in after)
    return bool(codes) or (breaks and any(word in ground.shares for word in parted))


def _without_marks(tokens: tuple[Token, ...]) -> tuple[Token, ...]:
    """A dash or a break between a site and what follows is a blank."""
    tokens = trimmed(tokens)
    while tokens and tokens[0].kind is TokenKind.DASH:
        tokens = trimmed(tokens[1:])
    return tokens


def parted_word(tokens: tuple[Token, ...], ground: Ground) -> tuple[Token, ...]:
    """Part a word or a share's code from a number glued to it, as in FIX3 or SQ88, where it leads."""
    if not tokens or tokens[0].kind is not TokenKind.MIX:
        return tokens
    glued = WORD_AND_NUMBER.fullmatch(tokens[0].text)
    if glued is None or glued[1] in ("A", "TO"):
        return tokens
    if glued[1] not in ground.words.after_number and glued[1] not in ground.shares:
        return tokens
    first = tokens[0]
    cut = first.end - len(glued[2])
    return (
        Token(TokenKind.WORD, glued[1], first.start, cut),
        Token(TokenKind.NUMBER, glued[2], cut, first.end),
        *tokens[1:],
    )


def phrase_at(tokens: tuple[Token, ...], words: Words) -> tuple[str | None, int]:
    """Give the concept of the longest phrase that tokens begin with, and its length in tokens."""
    for length in range(min(LONGEST_PHRASE, len(tokens)), 0, -1):
        if any(token.kind is not TokenKind.WORD for token in tokens[:length]):
            continue
        concept = words.after_number.get(" ".join(token.text for token in tokens[:length]))
        if concept is not None:
            return concept, length
    return None, 0


def _free_words(text: str, tokens: Sequence[Token]) -> str | None:
    """Give what a person wrote from the first of some tokens on, as it came; breaks too."""
    if not tokens:
        return None
    return " ".join(text[tokens[0].start :].split()).rstrip(" .,;") or None


def _counts(text: str, number: int, tokens: tuple[Token, ...], ground: Ground) -> Reading:
    """SITE samples"""
    if number in ground.fields:
        said = as_sent(text, tokens)
        problem = Problem(Kind.FIELD_NOT_SITE, (tokens[0].start, tokens[-1].end), said)
        return Unreadable((problem,), number)
    said_samples = _samples(number, tokens, ground)
    if isinstance(said_samples, Problem):
        return Unreadable((said_samples,), number)
    if not said_samples.samples:
        return unreadable(text, tokens, *said_samples.problems, number=number)
    if any(one.form is Form.SHARES and one.number is None for one in said_samples.samples):
        # the site said twice: 121 121 BH 3 25
        return _whole_share(number, said_samples.samples, tokens, text)
    return Counts(
        number, said_samples.samples, said_samples.problems, said_samples.rival, said_samples.control
    )


def _whole_share(
    number: int, samples: Sequence[Sample], tokens: tuple[Token, ...], text: str
) -> ShareSaid | Unreadable:
    """SITE SITE SHARE n m"""
    shares = [share for sample in samples for share in sample.shares]
    if len(samples) == len(shares) == 1:
        return ShareSaid(number, shares[0].code, shares[0].n, shares[0].of)
    span = (tokens[0].start, tokens[-1].end)
    return Unreadable((Problem(Kind.ONE_SHARE, span, as_sent(text, tokens), shares[0].code),), number)


def _totals(
    text: str, number: int, tokens: tuple[Token, ...], after: tuple[Token, ...], ground: Ground
) -> Reading:
    """SITE `TOTAL` SAMPLES counts"""
    span = (tokens[0].start, tokens[-1].end)
    if number in ground.fields:
        return Unreadable((Problem(Kind.FIELD_NOT_SITE, span, as_sent(text, tokens)),), number)
    card = ground.cards[number]
    if card is None:
        return Unreadable((Problem(Kind.STAGE_NEEDED, span, str(number)),), number)
    read = read_totals(number, tokens[0].text, after, span, card, ground)
    return Unreadable((read,), number) if isinstance(read, Problem) else read


def _fix(text: str, number: int, tokens: tuple[Token, ...], ground: Ground) -> Reading:
    """SITE `FIX` samples with their numbers"""
    if number in ground.fields:
        problem = Problem(Kind.FIELD_NOT_SITE, (0, len(text)), "FIX")
        return Unreadable((problem,), number)
    if not tokens:
        return Unreadable((Problem(Kind.SAMPLE_NUMBER_MISSING, (0, len(text)), "FIX"),), number)
    said = _samples(number, tokens, ground)
    if isinstance(said, Problem):
        return Unreadable((said,), number)
    unnumbered = [sample for sample in said.samples if sample.number is None]
    if unnumbered:
        span = (tokens[0].start, tokens[-1].end)
        return Unreadable((Problem(Kind.SAMPLE_NUMBER_MISSING, span, as_sent(text, tokens)),), number)
    if said.rival:
        span = (tokens[0].start, tokens[-1].end)
        return Unreadable((Problem(Kind.NEEDS_BREAKS, span, as_sent(text, tokens)),), number)
    if not said.samples:
        return Unreadable(said.problems, number)
    return Fix(number, said.samples, said.problems, said.control)


def _samples(number: int, tokens: tuple[Token, ...], ground: Ground) -> Said | Problem:
    card: Card | None = ground.cards[number]
    if card is None:
        return Problem(Kind.STAGE_NEEDED, (tokens[0].start, tokens[-1].end), str(number))
    return read_samples(number, tokens, card, ground)


def unreadable(
    text: str, tokens: Sequence[Token], *problems: Problem, number: int | None = None
) -> Unreadable:
    """Give a text back as not understood."""
    if not problems:
        span = (tokens[0].start, tokens[-1].end) if tokens else (0, len(text))
        problems = (Problem(Kind.NOT_UNDERSTOOD, span, as_sent(text, tokens) if tokens else ""),)
    return Unreadable(problems, number)
