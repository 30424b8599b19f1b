"""A text read whole: words that stand alone first, then a site or field number and what follows it.

Each function's docstring is its form. Nothing here raises for a text, asks a clock, or guesses: what
cannot be taken becomes a `Problem`.
"""

import re
from collections.abc import Sequence
from dataclasses import replace

from parsing.counts import read_samples
from parsing.courtesy import holds_thanks, without_courtesy
from parsing.numbered import after_number, parted_word, phrase_at, unreadable
from parsing.orders import read_where
from parsing.prefixes import read_prefixes
from parsing.problems import Kind, Problem
from parsing.reading import (
    Answer,
    ChooseLanguage,
    Counts,
    Courtesy,
    Ground,
    Help,
    MarkRead,
    OptIn,
    OptOut,
    Reading,
    ShowCard,
    Undo,
    Unreadable,
)
from parsing.samples import Form, Sample
from parsing.tokens import (
    Token,
    TokenKind,
    as_number,
    as_sent,
    is_thumbs_up,
    plain_words,
    tokenize,
    trimmed,
)
from parsing.words import Words

_NUMBER_AND_REST = re.compile(r"([0-9]{2,4})([A-Z].*)")


def read(text: str, ground: Ground) -> Reading:
    """Read a text as its sender's season and day stand, its prefixes left out; never raises, never guesses."""
    begin = read_prefixes(text, ground.words).end
    tokens = tuple(token for token in tokenize(text) if token.start >= begin)
    reading = _read(text, trimmed(tokens), ground)
    if begin and isinstance(reading, OptOut):
        # behind a prefix it is not the whole text
        reading = unreadable(text, tokens)
    if not isinstance(reading, Unreadable):
        return reading
    words = f" {plain_words(tokenize(text))} "
    inside = any(f" {phrase} " in words for phrase in ground.words.opt_out)
    return replace(reading, treated=may_mean_treated(text, ground.words), opt_out_inside=inside)


def may_mean_treated(text: str, words: Words) -> bool:
    """Tell whether a text has a word that may mean that a field is or was treated."""
    said = f" {plain_words(tokenize(text))} "
    return any(f" {stem}" in said for stem in words.treated)


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
        return unreadable(text, tokens)
    alone = _alone(plain_words(kept), ground.words) if len(kept) < len(tokens) else None
    if alone is not None:
        # "gracias, stop" is no opt-out: only a whole text is
        return alone if not isinstance(alone, OptOut) else unreadable(text, tokens)
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
        return unreadable(text, tokens, Problem(Kind.DECIMAL, first.span, first.text))
    glued = _NUMBER_AND_REST.fullmatch(first.text) if first.kind is TokenKind.MIX else None
    if glued is not None and int(glued[1]) in ground.cards:
        hint = f"{glued[1]} {glued[2]}"
        return unreadable(text, tokens, Problem(Kind.SITE_GLUED, first.span, first.text, hint))
    if ground.words.alone.get(first.text) == "where":
        return read_where(text, tokens, ground)
    if first.kind is not TokenKind.NUMBER:
        return _without_site(text, tokens, ground)
    number = int(first.text)
    if number in ground.cards or number in ground.fields:
        return after_number(text, number, tokens[1:], ground)
    if len(tokens) > 1 and number <= ground.largest_sample:
        return _without_site(text, tokens, ground)
    return unreadable(text, tokens, Problem(Kind.UNKNOWN_SITE, first.span, first.text))


def _without_site(text: str, tokens: Sequence[Token], ground: Ground) -> Reading:
    """Counts without a site number in front, read as those of the sender's open site"""
    words = parted_word(tuple(tokens), ground)
    concept, _ = phrase_at(words, ground.words)
    if len(words) > 1 and (concept in _NEED_A_SITE or words[0].text in ground.shares):
        return Unreadable((_site_missing(text, tokens),))
    site = ground.here if ground.here is not None else next(iter(ground.cards), None)
    card = ground.cards.get(site) if site is not None else None
    if site is None or card is None:
        return unreadable(text, tokens)
    said = read_samples(site, tokens, card, ground)
    if not said.samples or said.problems:
        return unreadable(text, tokens)
    if ground.here is None or _stop_without_number(said.samples):
        return Unreadable((_site_missing(text, tokens),))
    return Counts(site, said.samples, (), said.rival, said.control, site_said=False)


_NEED_A_SITE = frozenset({"all", "fix", "move", "each", "nawf", "squares", "stage"})
"""What is plainly meant for a site when it stands in front; the other words may begin a sentence."""


def _site_missing(text: str, tokens: Sequence[Token]) -> Problem:
    return Problem(Kind.SITE_MISSING, (tokens[0].start, tokens[-1].end), as_sent(text, tokens))


def _stop_without_number(samples: Sequence[Sample]) -> bool:
    return any(sample.form is Form.SHARES and sample.number is None for sample in samples)
