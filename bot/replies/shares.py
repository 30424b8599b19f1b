"""How a share reads: 3 hurt of 25 bolls, 12 %."""

from fractions import Fraction

from bot.replies.figures import is_close_call, level_words, standing_words
from bot.replies.speech import Speech, percent_words
from bot.rules import FieldFigures, Season, Share, SiteFigures, Stage
from parsing import ShareFound


def share_words(speech: Speech, share: Share, found: ShareFound) -> dict[str, object]:
    """Give the words of a share for a template: code, n, of, percent, and what n and m are of.

    A share of the season's own, which no wording knows, is said in the season file's words.
    """
    known = f"shares.{share.key}"
    said = speech.say(known) if speech.has(known) else _word(speech, "share_said", share.said)
    of_known = f"share_of.{share.key}"
    things = speech.say(of_known) if speech.has(of_known) else _word(speech, "share_things", share.of)
    return {
        "code": _code(speech, share),
        "n": found.n,
        "of": found.of,
        "percent": percent_words(Fraction(found.n, found.of)),
        "said": said,
        "things": f" {things}" if things else "",
    }


def share_level_clause(speech: Speech, figures: SiteFigures | FieldFigures, stage: Stage | None) -> str:
    """Give where a share stands, after its own figure was said: Level 10 % in bloom week 4: ABOVE."""
    level = figures.level
    if level is None:
        return ""
    standing = standing_words(speech, figures.standing, so_far=not figures.certain)
    if is_close_call(figures):
        standing = speech.say("counts.close_call", standing=standing)
    when = speech.say("share.in_stage", stage=speech.stage(stage)) if level.stages and stage else ""
    return speech.say("share.level", level=level_words(figures.judged), stage=when, standing=standing)


def share_code(speech: Speech, season: Season, code: str) -> str:
    """Give the word that is sent for a share by its code."""
    share = season.share(code)
    return _code(speech, share) if share is not None else code


def _code(speech: Speech, share: Share) -> str:
    """Give the word that is sent for a share: its code, or the language's own where it has one."""
    key = f"share_code.{share.key}"
    return speech.say(key) if speech.has(key) else share.code


def _word(speech: Speech, section: str, word: str) -> str:
    key = f"{section}.{word}"
    return speech.say(key) if speech.has(key) else word


def share_short(found: ShareFound) -> str:
    """Give a share as short as it can be: BH 3/25."""
    return f"{found.code} {found.n}/{found.of}"
