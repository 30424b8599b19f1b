"""CHECK: counts made again to look over somebody's shoulder; kept beside, in no total.

A check of somebody in training that agrees with him lets his counts of the site stand.
"""

from collections.abc import Collection, Sequence
from dataclasses import replace

from bot.conversation.beside import (
    ask_undo_beside,
    keep_beside,
    name_of,
    newest_beside,
    own_beside,
    sample_beside,
    take_back_beside,
)
from bot.conversation.checked import Kept, Outcome, answer_checked, first_name
from bot.conversation.doubting import OVER, REPLACE, doubts_of
from bot.conversation.ending import reply_with_standing
from bot.conversation.handing import around, refuse_counting
from bot.conversation.promoting import (
    promote,
    put_beside_again,
    set_against,
    tell_beside_again,
    tell_they_stand,
)
from bot.conversation.sampling import is_the_same, total_is_wrong, undone_lately
from bot.conversation.turn import Turn
from bot.replies import (
    Waiting,
    number_list,
    refusal,
)
from bot.rules import Plan
from parsing import Counts, Fix, Form, Kind, Problem, Sample, Undo, counts_in_codes, echo_samples
from storage import CheckRow, SampleRow, checks_of_trainees, standing_samples, visit_on


def hear_check(turn: Turn, said: Counts | Fix | Undo, yes_to: Collection[str] = ()) -> None:
    """Keep check counts of numbered samples beside the scout's own; they change no total of his."""
    turn.check = True
    site = said.number if isinstance(said, Undo) else said.site
    if site is None or site not in turn.book.sites:
        turn.reply(refusal(turn.speech, Problem(Kind.FIELD_NOT_SITE, (0, 0), "CHECK"), around(turn, site)))
    elif not turn.person.may_count:
        refuse_counting(turn, site)
    elif isinstance(said, Undo):
        _undo(turn, site)
    else:
        _keep(turn, said, yes_to)


def _keep(turn: Turn, said: Counts | Fix, yes_to: Collection[str]) -> None:
    site = said.site
    plan = turn.book.plan_on(site, turn.day)
    refused = _why_not(turn, said)
    if refused is not None:
        turn.check = False
        turn.reply(refused)
        return
    if plan is None or total_is_wrong(turn, said):
        return
    kept: list[Sample] = []
    waiting: list[Waiting] = []
    before = own_beside(turn, site)
    for sample in said.samples:
        doubt = doubts_of(plan, sample)
        old = before.get(sample.number or 0)
        if old is not None and is_the_same(sample_beside(old), sample):
            kept.append(sample)
            continue
        if old is not None and isinstance(said, Counts):
            at = turn.book.local(old.counted_at)
            doubt = replace(doubt, replaces=sample_beside(old), replaced_at=at)
        doubted = OVER not in yes_to and (doubt.over or doubt.guesses)
        if doubted or (doubt.replaces is not None and REPLACE not in yes_to):
            waiting.append(doubt)
            continue
        keep_beside(turn, site, plan, doubt.sample, old)
        kept.append(doubt.sample)
    # what the sums are set against is read before an agreement makes samples of it
    compared = _compared(turn, site, kept, plan)
    outcome = _set_against_trainees(turn, site) if kept else Outcome()
    answer_checked(turn, said, plan, Kept(kept, waiting, *compared), outcome)


def _why_not(turn: Turn, said: Counts | Fix) -> str | None:
    """Give why counts cannot be a check: without their numbers or site, sums, shares."""
    samples = said.samples
    if isinstance(said, Counts) and (not said.site_said or said.rival):
        return turn.say("prefix.check_site")
    if any(one.covers or one.shares or one.form is Form.SHARES for one in samples):
        return turn.say("prefix.check_not_here")
    if any(one.number is None for one in samples):
        problem = Problem(Kind.SAMPLE_NUMBER_MISSING, (0, 0), echo_samples(samples))
        return refusal(turn.speech, problem, around(turn, said.site))
    return None


def _set_against_trainees(turn: Turn, site: int) -> Outcome:
    """Let counts in training stand with which this check agrees."""
    all_ = set_against(turn.book, site, turn.day, turn.whose.key)
    stand = [
        promote(turn.book, site, turn.day, one.trainee, turn.text.id) for one in all_ if one.found.agrees
    ]
    for promoted in stand:
        tell_they_stand(turn.book, site, promoted, turn.whose.key, turn.text.id)
    not_yet = [one for one in all_ if not one.found.agrees and one.found.samples]
    return Outcome(tuple(stand), tuple(not_yet))


def _compared(turn: Turn, site: int, kept: Sequence[Sample], plan: Plan) -> tuple[str, str]:
    """Give what the scout has for the one sample checked, and both sums over the samples that both have."""
    theirs = _theirs(turn, site)
    mine = own_beside(turn, site).values()
    both = [(row, theirs[row.number]) for row in mine if row.number in theirs and not row.lost]
    beside = ""
    if len(kept) == 1 and (row := theirs.get(kept[0].number or 0)) is not None:
        beside = turn.say("check.beside", name=name_of(turn, row), counts=counts_in_codes(sample_beside(row)))
    counts = {"n": len(mine), "planned": plan.samples}
    if not both:
        return beside, turn.say("check.nothing_beside", **counts)
    names = dict.fromkeys(name_of(turn, row) for _, row in both)
    yours = sum(sample_beside(one).insects for one, _ in both)
    others = sum(sample_beside(row).insects for _, row in both)
    name = turn.speech.names(list(names))
    return beside, turn.say("check.summed", yours=yours, theirs=others, name=name, **counts)


def _theirs(turn: Turn, site: int) -> dict[int, SampleRow | CheckRow]:
    """Give what a check is set against by number: the sample that is in, else what somebody in training has beside."""
    book = turn.book
    beside = checks_of_trainees(book.session, turn.day, site=site)
    found: dict[int, SampleRow | CheckRow] = {
        row.number: row for row in beside if not row.lost and row.person != turn.whose.key
    }
    visit = visit_on(book.session, site, turn.day)
    rows = standing_samples(visit) if visit is not None else []
    return found | {row.number: row for row in rows if not row.lost and not row.covers}


def _undo(turn: Turn, site: int) -> None:
    """Take back the check counts of the sender's newest text there, or ask whether to, as of any counts."""
    taken = newest_beside(turn, site)
    if not taken:
        turn.reply(turn.say("check.nothing", number=site))
    elif undone_lately(turn):
        ask_undo_beside(turn, site, taken)
    else:
        take_back_check(turn, site)


def take_back_check(turn: Turn, site: int) -> None:
    """Take back the check counts of the sender's newest text there; what they had replaced stands again.

    Counts in training that stand only since that text stand beside again.
    """
    back = take_back_beside(turn, site)
    again = put_beside_again(turn.book, back.rows, turn.text.id)
    if not again:
        turn.reply(*back.said)
        return
    for person, numbers in again.items():
        tell_beside_again(turn.book, site, person, numbers, turn.whose.key, turn.text.id)
    notes = tuple(
        turn.say("check.beside_again", name=first_name(turn, person), numbers=number_list(numbers))
        for person, numbers in again.items()
    )
    reply_with_standing(turn, site, tuple(f"{one} {' '.join(notes)}" for one in back.said))
