"""What is asked before counts are stored: where the sender is, which reading is meant, what looks wrong."""

from collections.abc import Collection, Sequence
from dataclasses import replace

from bot.conversation.asking import Asked, ask, samples_to_json
from bot.conversation.sharing import turned_round, uneven_stops
from bot.conversation.taking import sample_of
from bot.conversation.turn import Turn
from bot.field_book import in_training, sites_in_training
from bot.replies import (
    Waiting,
    elsewhere_question,
    number_list,
    rival_question,
    site_question,
    turned_question,
    uneven_question,
)
from bot.rules import Plan
from parsing import Counts, Form, Sample, counts_in_codes
from storage import (
    InboxText,
    SampleRow,
    Visit,
    answer_to,
    happened,
    same_text_before,
    standing_samples,
    text_before,
    visit_on,
)

SITE, ELSEWHERE, RIVAL, OVER, REPLACE = "site", "elsewhere", "rival", "over", "replace"
SHARE, CUT, NOT_IN = "share", "cut", "not in"
"""What a 1 has said yes to: the site, being elsewhere, one of two readings, counts over the limit or codes
guessed, which the question showed, and the old counts that it showed beside the new; shares that may be
turned round, a sample whose end may be missing, a correction of one that is not in."""


def came_twice(turn: Turn) -> bool:
    """Tell whether the text equals the one before and was sent before the answer to that one had left."""
    if is_the_same_text(turn):
        return True
    before = text_before(turn.book.session, turn.text)
    if before is None or before.body.split() != turn.text.body.split():
        return False
    answer = answer_to(turn.book.session, before.id)
    return answer is not None and (answer.left_at is None or turn.sent < answer.left_at)


def whole_text_is_asked(turn: Turn, said: Counts, yes_to: Collection[str], *, fix: bool = False) -> bool:
    """Ask about a whole text: the site forgotten, two readings, or another site of the sender unfinished.

    The question shows the samples as they would be stored, a guessed code or a count over the limit among them.
    """
    site = said.site
    samples = tuple(replace(sample, guesses=()) for sample in said.samples)
    waits = {"site": site, "samples": samples_to_json(samples), "yes_to": [*yes_to], "fix": fix}
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
    turned = turned_round(turn, samples) if SHARE not in yes_to else []
    if turned:
        waits["yes_to"] = [*yes_to, SHARE, OVER]
        ask(turn, Asked.SAMPLES, field_, waits)
        turn.reply(*turned_question(turn.speech, site, samples, turned))
        return True
    uneven = uneven_stops(samples) if SHARE not in yes_to else []
    if uneven:
        waits["yes_to"] = [*yes_to, SHARE, OVER]
        ask(turn, Asked.SAMPLES, field_, waits)
        turn.reply(*uneven_question(turn.speech, site, samples, uneven))
        return True
    counted = any(sample.form is not Form.SHARES for sample in samples)
    other = _unfinished_elsewhere(turn, site) if counted else None
    if other is not None and ELSEWHERE not in yes_to:
        waits["yes_to"] = [*yes_to, ELSEWHERE, SITE, OVER]
        ask(turn, Asked.SAMPLES, field_, waits)
        n, planned = _how_far(turn, other)
        name = field_.name
        turn.reply(*elsewhere_question(turn.speech, site, name, samples, other, n, planned))
        return True
    return False


def _how_far(turn: Turn, site: int) -> tuple[int, int]:
    """Give how many samples are in at a site of how many; of somebody in training those of his own."""
    if turn.whose.trainee:
        far = in_training(turn.book, site, turn.day, turn.whose.key)
        return len(far.numbers), far.planned
    view = turn.book.site_view(site, turn.day)
    return (view.visit.samples_in, view.visit.plan.samples) if view.visit else (0, 0)


def totals_stand_in_the_way(turn: Turn, site: int, samples: Sequence[Sample]) -> bool:
    """Refuse samples beside sums over several, and sums over samples of somebody else; nobody knows which they hold."""
    visit = visit_on(turn.book.session, site, turn.day)
    rows = [row for row in standing_samples(visit) if not row.lost] if visit is not None else []
    totals = next((row for row in rows if row.covers), None)
    others = [row for row in rows if row.person != turn.whose.key]
    sums_came = any(sample.covers for sample in samples)
    counted = any(sample.form not in (Form.SHARES, Form.LOST) for sample in samples)
    values: dict[str, object] = {"number": site}
    if totals is not None and ((counted and not sums_came) or (sums_came and totals in others)):
        values["old"] = f"{totals.covers} {counts_in_codes(sample_of(totals))}"
        values["time"] = turn.speech.hour(turn.book.local(totals.counted_at))
        values["name"] = _name(turn, totals)
        key = "refused.totals_of_other" if totals in others else "refused.totals_in"
        turn.reply(turn.say(key, **values), turn.say(f"{key}_short", **values))
        return True
    if sums_came and others:
        numbers = number_list([row.number for row in others])
        names = turn.speech.names(list(dict.fromkeys(_name(turn, row) for row in others)))
        turn.reply(*turn.wordings("refused.totals_over_others", numbers=numbers, names=names, **values))
        return True
    return False


def _name(turn: Turn, row: SampleRow) -> str:
    person = turn.book.person(row.person)
    return person.first_name if person is not None else row.person


def sample_before(turn: Turn, site: int) -> int | None:
    """Give the number of the sample that this very text, or an equal one just before, stored at a site."""
    earlier = earlier_text(turn)
    visit = visit_on(turn.book.session, site, turn.day)
    rows = standing_samples(visit) if visit is not None else []
    return next((row.number for row in rows if earlier is not None and row.text_id == earlier.id), None)


def earlier_text(turn: Turn) -> InboxText | None:
    """Give the text that this one may be once more: the same with the same sent time, else the one just before."""
    return same_text_before(turn.book.session, turn.text) or text_before(turn.book.session, turn.text)


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
        *turn.wordings("waits.unnumbered", said=str(site), old=old, new=new),
    )


def _unfinished_elsewhere(turn: Turn, site: int) -> int | None:
    """Give another site of the sender that is unfinished and not certain, at his first counts for a site."""
    book = turn.book
    visit = visit_on(book.session, site, turn.day)
    if not has_none_yet(turn, visit):
        return None
    if happened(book.session, f"elsewhere:{turn.whose.key}:{site}:{turn.day}"):
        return None
    if turn.whose.trainee:
        begun = sites_in_training(book, turn.whose.key, turn.day)
        return next((other for other in begun if other != site), None)
    for other in book.open_sites_of(turn.whose.key, turn.day):
        figures = book.site_view(other, turn.day).figures
        if other != site and not any(one.certain for one in figures if one.share is None):
            return other
    return None


def doubts_of(plan: Plan, sample: Sample) -> Waiting:
    """Give a sample with what looks wrong in it: counts over the limit, codes guessed."""
    counts = (*sample.counts, *sample.extras)
    limit = plan.ask_above * max(sample.covers, 1)
    over = tuple((code, count) for code, count in counts if count is not None and count > limit)
    guesses = tuple((guess.said, guess.code) for guess in sample.guesses)
    return Waiting(replace(sample, guesses=()), over, guesses)


def has_none_yet(turn: Turn, visit: Visit | None) -> bool:
    return visit is None or all(row.person != turn.whose.key for row in standing_samples(visit))
