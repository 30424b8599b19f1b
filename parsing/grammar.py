"""A text read whole: words that stand alone first, then a site or field number and what follows it.

Each function's docstring is its form. Nothing here raises for a text, asks a clock, or guesses: what
cannot be taken becomes a `Problem`.
"""

import re
from collections.abc import Sequence
from dataclasses import replace

from parsing.counts import read_samples
from parsing.courtesy import holds_thanks, without_courtesy, without_leading_courtesy
from parsing.day import CrewAsked, HandOver, PlanAsked, Sos, TodayAsked
from parsing.emergency import holds_emergency, read_emergency
from parsing.hours import parted_closing
from parsing.numbered import after_number, parted_word, phrase_at, unreadable
from parsing.orders import read_where
from parsing.prefixes import read_prefixes
from parsing.problems import Kind, Problem
from parsing.reading import (
    Answer,
    ChooseLanguage,
    Counts,
    Courtesy,
    Fix,
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
from parsing.reentry import Treated, Unknown
from parsing.samples import Form, Sample
from parsing.season_day import read_tell, read_temp
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
)
from parsing.treated import may_mean_treated
from parsing.words import Words

_NUMBER_AND_REST = re.compile(r"([0-9]{2,4})([A-Z].*)")


def read(text: str, ground: Ground) -> Reading:
    """Read a text as its sender's season and day stand, its prefixes left out; never raises, never guesses."""
    said = tokenize(text)
    emergency = read_emergency(text, said, ground)
    if emergency is not None:
        return emergency
    before = read_prefixes(text, ground.words)
    tokens = tuple(token for token in said if token.start >= before.end)
    reading = _read(text, trimmed(tokens), ground)
    if before.end and isinstance(reading, OptOut):
        # behind a prefix it is not the whole text
        reading = unreadable(text, tokens)
    match reading:
        case Treated() if before.day is not None or before.check:
            # a day or CHECK leaves the hours in doubt, and whether they run from now; the field is closed all the same
            return replace(reading, hours=Unknown(), said=" ".join(text.split()))
        case ShowCard(number=number) | HandOver(number=number) | Undo(number=number) if may_mean_treated(
            text, ground.words
        ):
            # "12 to be sprayed", "12 cancel the spraying": what keeps people out outranks what asks
            reading = unreadable(text, tokens, number=number)
        case Counts(problems=problems) | Fix(problems=problems) | Unreadable(problems=problems) if problems:
            if holds_emergency(tokens, ground.words):
                return Sos(" ".join(text.split()))
        case _:
            pass
    if not isinstance(reading, Unreadable):
        return reading
    words = f" {plain_words(said)} "
    inside = any(f" {phrase} " in words for phrase in ground.words.opt_out)
    return replace(reading, treated=may_mean_treated(text, ground.words), opt_out_inside=inside)


def _read(text: str, tokens: tuple[Token, ...], ground: Ground) -> Reading:
    """Words that stand alone; else kind words around a text with a number in front"""
    if is_thumbs_up(text):
        return MarkRead(None)
    alone = _alone(plain_words(tokens), ground.words)
    if alone is not None:
        return alone
    first, *behind = without_leading_courtesy(tokens, ground.words) or (None,)
    if first is not None and ground.words.alone.get(first.text) == "tell":
        return read_tell(text, first, trimmed(tuple(behind)))
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
    """`STOP` · `START` · `HELP` · `1` · `2` · `OK` · `UNDO` · `CARD` · `PLAN` · `TODAY` · `CREW` · `ESPANOL`, alone"""
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
        case "plan":
            return PlanAsked()
        case "today":
            return TodayAsked()
        case "crew":
            return CrewAsked()
        case _:
            return None


def _numbered(text: str, tokens: tuple[Token, ...], ground: Ground) -> Reading:
    """NUMBER what-follows; a site forgotten is taken for the sender's open one, and asked"""
    first = tokens[0]
    if first.kind is TokenKind.DECIMAL:
        return unreadable(text, tokens, Problem(Kind.DECIMAL, first.span, first.text))
    glued = _NUMBER_AND_REST.fullmatch(first.text) if first.kind is TokenKind.MIX else None
    closing = _glued_closing(first, glued, ground)
    if closing is not None:
        return _numbered(text, (*closing, *tokens[1:]), ground)
    if glued is not None and int(glued[1]) in ground.cards:
        hint = f"{glued[1]} {glued[2]}"
        return unreadable(text, tokens, Problem(Kind.SITE_GLUED, first.span, first.text, hint))
    if ground.words.alone.get(first.text) == "where":
        return read_where(text, tokens, ground)
    lead = WORD_AND_NUMBER.fullmatch(first.text)
    if ground.words.alone.get(lead[1] if lead is not None else first.text) == "temp":
        return read_temp(text, tokens)
    if first.kind is not TokenKind.NUMBER:
        return _without_site(text, tokens, ground)
    number = int(first.text)
    if number in ground.cards or number in ground.fields:
        return after_number(text, number, tokens[1:], ground)
    if len(tokens) > 1 and number <= ground.largest_sample:
        return _without_site(text, tokens, ground)
    return unreadable(text, tokens, Problem(Kind.UNKNOWN_SITE, first.span, first.text))


def _glued_closing(token: Token, glued: re.Match[str] | None, ground: Ground) -> tuple[Token, ...] | None:
    """Part 12SPRAYED24: counts are refused so, but nothing keeps a word that closes a field from being read."""
    if glued is None or not {int(glued[1])} & {*ground.cards, *ground.fields}:
        return None
    cut = token.start + len(glued[1])
    behind = parted_closing(Token(TokenKind.MIX, glued[2], cut, token.end), ground.words)
    return None if behind is None else (Token(TokenKind.NUMBER, glued[1], token.start, cut), *behind)


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
