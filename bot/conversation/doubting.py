"""What is asked before counts are stored: where the sender is, which reading is meant, what looks wrong."""

from collections.abc import Collection, Sequence
from dataclasses import replace

from bot.conversation.asking import Asked, ask, samples_to_json
from bot.conversation.turn import Turn
from bot.replies import (
    Waiting,
    elsewhere_question,
    rival_question,
    site_question,
)
from bot.rules import Plan
from parsing import Counts, Sample
from storage import (
    Visit,
    answer_to,
    happened,
    same_text_before,
    standing_samples,
    text_before,
    visit_on,
)

SITE, ELSEWHERE, RIVAL, OVER, REPLACE = "site", "elsewhere", "rival", "over", "replace"
"""What a 1 has said yes to: the site, being elsewhere, one of two readings, counts over the limit or codes
guessed, which the question showed, and the old counts that it showed beside the new."""


def came_twice(turn: Turn) -> bool:
    """Tell whether the text equals the one before and was sent before the answer to that one had left."""
    if is_the_same_text(turn):
        return True
    before = text_before(turn.book.session, turn.text)
    if before is None or before.body.split() != turn.text.body.split():
        return False
    answer = answer_to(turn.book.session, before.id)
    return answer is not None and (answer.left_at is None or turn.sent < answer.left_at)


def whole_text_is_asked(turn: Turn, said: Counts, yes_to: Collection[str]) -> bool:
    """Ask about a whole text: the site forgotten, two readings, or another site of the sender unfinished.

    The question shows the samples as they would be stored, a guessed code or a count over the limit among them.
    """
    site = said.site
    samples = tuple(replace(sample, guesses=()) for sample in said.samples)
    waits = {"site": site, "samples": samples_to_json(samples), "yes_to": [*yes_to]}
    field_ = turn.book.sites[site]
    if not said.site_said and SITE not in yes_to:
        waits["yes_to"] = [*yes_to, SITE, OVER]
        ask(turn, Asked.SAMPLES, field_, waits)
        turn.reply(*site_question(turn.speech, site, samples))
        return True
    if said.rival and RIVAL not in yes_to:
        waits["yes_to"] = [*yes_to, RIVAL, OVER]
        ask(turn, Asked.RIVAL, field_, {**waits, "rival": samples_to_json(said.rival)})
        turn.reply(*rival_question(turn.speech, site, " ".join(turn.text.body.split()), samples))
        return True
    other = _unfinished_elsewhere(turn, site)
    if other is not None and ELSEWHERE not in yes_to:
        waits["yes_to"] = [*yes_to, ELSEWHERE, SITE, OVER]
        ask(turn, Asked.SAMPLES, field_, waits)
        view = turn.book.site_view(other, turn.day)
        n, planned = (view.visit.samples_in, view.visit.plan.samples) if view.visit else (0, 0)
        name = field_.name
        turn.reply(*elsewhere_question(turn.speech, site, name, samples, other, n, planned))
        return True
    return False


def sample_before(turn: Turn, site: int) -> int | None:
    """Give the number of the sample that this very text, or an equal one just before, stored at a site."""
    earlier = same_text_before(turn.book.session, turn.text) or text_before(turn.book.session, turn.text)
    visit = visit_on(turn.book.session, site, turn.day)
    rows = standing_samples(visit) if visit is not None else []
    return next((row.number for row in rows if earlier is not None and row.text_id == earlier.id), None)


def is_the_same_text(turn: Turn) -> bool:
    """Tell whether a text came before with the same words and the same sent time: it is one text, whenever it comes."""
    return same_text_before(turn.book.session, turn.text) is not None


def ask_if_new(turn: Turn, site: int, old: int, samples: Sequence[Sample]) -> None:
    """Ask whether an unnumbered text that came twice is one sample or two."""
    waits = {"site": site, "samples": samples_to_json(samples), "yes_to": [SITE, ELSEWHERE, OVER, REPLACE]}
    ask(turn, Asked.SAMPLES, turn.book.sites[site], waits)
    new = samples[0].number
    turn.reply(
        turn.say("waits.unnumbered", said=" ".join(turn.text.body.upper().split()), old=old, new=new),
        turn.say("waits.unnumbered", said=str(site), old=old, new=new),
    )


def _unfinished_elsewhere(turn: Turn, site: int) -> int | None:
    """Give another site of the sender that is unfinished and not certain, at his first counts for a site."""
    book = turn.book
    visit = visit_on(book.session, site, turn.day)
    if not has_none_yet(turn, visit):
        return None
    if happened(book.session, f"elsewhere:{turn.person.key}:{site}:{turn.day}"):
        return None
    for other in book.open_sites_of(turn.person.key, turn.day):
        figures = book.site_view(other, turn.day).figures
        if other != site and not any(one.certain for one in figures):
            return other
    return None


def doubts_of(plan: Plan, sample: Sample) -> Waiting:
    counts = (*sample.counts, *sample.extras)
    over = tuple((code, count) for code, count in counts if count is not None and count > plan.ask_above)
    guesses = tuple((guess.said, guess.code) for guess in sample.guesses)
    return Waiting(replace(sample, guesses=()), over, guesses)


def has_none_yet(turn: Turn, visit: Visit | None) -> bool:
    return visit is None or all(row.person != turn.person.key for row in standing_samples(visit))
