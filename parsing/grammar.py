"""A text read whole: words that stand alone first, then a site or field number and what follows it.

Each function's docstring is its form. Nothing here raises for a text, asks a clock, or guesses: what
cannot be taken becomes a `Problem`.
"""

import re
from collections.abc import Sequence
from dataclasses import replace

from parsing.counts import Said, read_samples
from parsing.courtesy import LONGEST_PHRASE, holds_thanks, without_courtesy
from parsing.crop import read_nawf, read_share, read_stage
from parsing.orders import read_each, read_move, read_note, read_where
from parsing.prefixes import read_prefixes
from parsing.reading import (
    Answer,
    Card,
    ChooseLanguage,
    Close,
    Counts,
    Courtesy,
    Done,
    Fix,
    Form,
    Ground,
    Help,
    Kind,
    MarkRead,
    OptIn,
    OptOut,
    Problem,
    Reading,
    Remark,
    Sample,
    Short,
    ShowCard,
    Skip,
    Status,
    Undo,
    Unreadable,
)
from parsing.stops import SQUARES_CODE
from parsing.tokens import (
    WORD_AND_NUMBER,
    Token,
    TokenKind,
    as_number,
    as_sent,
    is_thumbs_up,
    plain_words,
    tokenize,
    trimmed,
    without_breaks,
)
from parsing.totals import read_totals
from parsing.words import Words

_LETTERS = re.compile(r"[A-Z]+")
_NUMBER_AND_REST = re.compile(r"([0-9]{2,4})([A-Z].*)")


def read(text: str, ground: Ground) -> Reading:
    """Read a text as its sender's season and day stand, its prefixes left out; never raises, never guesses."""
    begin = read_prefixes(text, ground.words).end
    tokens = tuple(token for token in tokenize(text) if token.start >= begin)
    reading = _read(text, trimmed(tokens), ground)
    if not isinstance(reading, Unreadable):
        return reading
    words = f" {plain_words(tokenize(text))} "
    return replace(
        reading,
        treated=any(f" {stem}" in words for stem in ground.words.treated),
        opt_out_inside=any(f" {phrase} " in words for phrase in ground.words.opt_out),
    )


def _read(text: str, tokens: tuple[Token, ...], ground: Ground) -> Reading:
    """Words that stand alone; else kind words around a text with a number in front"""
    if is_thumbs_up(text):
        return MarkRead(None)
    alone = _alone(plain_words(tokens), ground.words)
    if alone is not None:
        return alone
    kept = trimmed(without_courtesy(tokens, ground.words))
    if not kept and tokens:
        return Courtesy(thanks=holds_thanks(tokens, ground.words))
    if not kept:
        return _unreadable(text, tokens)
    alone = _alone(plain_words(kept), ground.words) if len(kept) < len(tokens) else None
    if alone is not None:
        # "gracias, stop" is no opt-out: only a whole text is
        return alone if not isinstance(alone, OptOut) else _unreadable(text, tokens)
    return _numbered(text, (as_number(kept[0]), *kept[1:]), ground)


def _alone(words: str, known: Words) -> Reading | None:
    """`STOP` · `START` · `HELP` · `1` · `2` · `OK` · `UNDO` · `CARD` · `ESPANOL`, as the whole text"""
    if words in known.opt_out:
        return OptOut(words)
    if words in known.languages:
        return ChooseLanguage(known.languages[words])
    if known.after_number.get(words) == "card":
        return ShowCard(None)
    match known.alone.get(words):
        case "start":
            return OptIn()
        case "help":
            return Help()
        case "yes":
            return Answer(yes=True)
        case "no":
            return Answer(yes=False)
        case "read":
            return MarkRead(None)
        case "undo":
            return Undo(None)
        case _:
            return None


def _numbered(text: str, tokens: tuple[Token, ...], ground: Ground) -> Reading:
    """NUMBER what-follows; a site forgotten is taken for the sender's open one, and asked"""
    first = tokens[0]
    if first.kind is TokenKind.DECIMAL:
        return _unreadable(text, tokens, Problem(Kind.DECIMAL, first.span, first.text))
    glued = _NUMBER_AND_REST.fullmatch(first.text) if first.kind is TokenKind.MIX else None
    if glued is not None and int(glued[1]) in ground.cards:
        hint = f"{glued[1]} {glued[2]}"
        return _unreadable(text, tokens, Problem(Kind.SITE_GLUED, first.span, first.text, hint))
    if ground.words.alone.get(first.text) == "where":
        return read_where(text, tokens, ground)
    if first.kind is not TokenKind.NUMBER:
        return _without_site(text, tokens, ground)
    number = int(first.text)
    if number in ground.cards or number in ground.fields:
        return _after_number(text, number, tokens[1:], ground)
    if len(tokens) > 1 and number <= ground.largest_sample:
        return _without_site(text, tokens, ground)
    return _unreadable(text, tokens, Problem(Kind.UNKNOWN_SITE, first.span, first.text))


def _without_site(text: str, tokens: Sequence[Token], ground: Ground) -> Reading:
    """Counts without a site number in front, read as those of the sender's open site"""
    words = _parted_word(tuple(tokens), ground.words)
    concept, _ = _phrase(words, ground.words)
    if len(words) > 1 and (concept in _NEED_A_SITE or words[0].text in ground.shares):
        return Unreadable((_site_missing(text, tokens),))
    site = ground.here if ground.here is not None else next(iter(ground.cards), None)
    card = ground.cards.get(site) if site is not None else None
    if site is None or card is None:
        return _unreadable(text, tokens)
    said = read_samples(site, tokens, card, ground)
    if not said.samples or said.problems:
        return _unreadable(text, tokens)
    if ground.here is None or _stop_without_number(said.samples):
        return Unreadable((_site_missing(text, tokens),))
    return Counts(site, said.samples, (), said.rival, said.control, site_said=False)


_NEED_A_SITE = frozenset({"all", "fix", "move", "each", "nawf", "squares", "stage"})
"""What is plainly meant for a site when it stands in front; the other words may begin a sentence."""


def _site_missing(text: str, tokens: Sequence[Token]) -> Problem:
    return Problem(Kind.SITE_MISSING, (tokens[0].start, tokens[-1].end), as_sent(text, tokens))


def _stop_without_number(samples: Sequence[Sample]) -> bool:
    return any(sample.form is Form.SHARES and sample.number is None for sample in samples)


def _after_number(text: str, number: int, rest: tuple[Token, ...], ground: Ground) -> Reading:
    """NUMBER [`?`] · NUMBER WORD … · NUMBER counts"""
    tokens = _parted_word(_without_marks(rest), ground.words)
    if not tokens or [token.kind for token in tokens] == [TokenKind.QUERY]:
        return Status(number)
    concept, length = _phrase(tokens, ground.words)
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
            return Undo(number) if not after else _unreadable(text, tokens, number=number)
        case "cancel":
            return Undo(number, doubtful=True)
        case "read":
            return MarkRead(number) if not after else _unreadable(text, tokens, number=number)
        case "card":
            return ShowCard(number)
        case "note" | "wet" | "wind":
            return read_note(number, Remark(concept), free, after, span, ground)
        case "move" | "each" if number in ground.fields:
            return Unreadable((Problem(Kind.FIELD_NOT_SITE, span, as_sent(text, tokens)),), number)
        case "move":
            return read_move(text, number, after, span, ground)
        case "each":
            return read_each(text, number, after, span)
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
        case "check" if after:
            hint = f"{tokens[0].text} {number} {as_sent(text, after)}"
            return Unreadable((Problem(Kind.PREFIX_AFTER, span, tokens[0].text, hint),), number)
        case None:
            return _counts(text, number, tokens, ground)
        case _:
            # a word of a form that is not read here
            return _unreadable(text, tokens, number=number)


def _stands_among_counts(after: tuple[Token, ...], ground: Ground) -> bool:
    """Tell whether what follows a share is more than n of m: codes with counts, or stops of the same share."""
    parted = (_parted_word((token,), ground.words)[0].text for token in after)
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


def _parted_word(tokens: tuple[Token, ...], words: Words) -> tuple[Token, ...]:
    """Part a word from a number glued to it, as in SQ88 or FIX3, where the word leads."""
    if not tokens or tokens[0].kind is not TokenKind.MIX:
        return tokens
    glued = WORD_AND_NUMBER.fullmatch(tokens[0].text)
    if glued is None or glued[1] not in words.after_number or glued[1] in ("A", "TO"):
        return tokens
    first = tokens[0]
    cut = first.end - len(glued[2])
    return (
        Token(TokenKind.WORD, glued[1], first.start, cut),
        Token(TokenKind.NUMBER, glued[2], cut, first.end),
        *tokens[1:],
    )


def _phrase(tokens: tuple[Token, ...], words: Words) -> tuple[str | None, int]:
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
        return _unreadable(text, tokens, *said_samples.problems, number=number)
    return Counts(
        number, said_samples.samples, said_samples.problems, said_samples.rival, said_samples.control
    )


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


def _unreadable(
    text: str, tokens: Sequence[Token], *problems: Problem, number: int | None = None
) -> Unreadable:
    """Give a text back as not understood."""
    if not problems:
        span = (tokens[0].start, tokens[-1].end) if tokens else (0, len(text))
        problems = (Problem(Kind.NOT_UNDERSTOOD, span, as_sent(text, tokens) if tokens else ""),)
    return Unreadable(problems, number)
