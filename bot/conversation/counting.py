"""Counts: checked against the plan, stored, asked or refused sample by sample, and answered."""

from collections.abc import Collection, Sequence
from dataclasses import replace

from bot.conversation.asking import Asked, ask, samples_to_json
from bot.conversation.counted import answer_counted
from bot.conversation.doubting import (
    CUT,
    ELSEWHERE,
    NOT_IN,
    OVER,
    REPLACE,
    SHARE,
    SITE,
    ask_if_new,
    came_twice,
    doubts_of,
    has_none_yet,
    is_the_same_text,
    sample_before,
    totals_stand_in_the_way,
    whole_text_is_asked,
)
from bot.conversation.keeping import in_place_of, keep_shares, store_sample
from bot.conversation.sampling import control_meets_another, is_the_same, total_is_wrong
from bot.conversation.taking import Taken, free_number, in_from_other, sample_of
from bot.conversation.turn import Turn
from bot.replies import Fixed, Waiting, waiting_question
from bot.rules import Plan
from parsing import TOTALS, Counts, Fix, Form, Sample
from storage import SampleRow, VisitState, end_sample, holds_something, standing_samples, visit_on


def hear_counts(turn: Turn, said: Counts, yes_to: Collection[str] = ()) -> None:
    """Take counts for a site: all that is sure is stored, one question covers what is not, the rest is refused."""
    site, samples = said.site, said.samples
    plan = turn.book.plan_on(site, turn.day)
    if plan is None or total_is_wrong(turn, said):
        return
    numbered = _numbered(turn, site, plan, samples)
    if numbered is None:
        turn.reply(*turn.wordings("refused.no_free_number", number=site, planned=plan.samples))
        return
    twice = REPLACE not in yes_to and any(one.number is None for one in samples) and came_twice(turn)
    old = sample_before(turn, site) if twice else None
    if old is not None and is_the_same_text(turn):
        answer_counted(turn, site, plan, Taken(same=[old]), (), ())
        return
    if old is not None:
        ask_if_new(turn, site, old, numbered)
        return
    if totals_stand_in_the_way(turn, site, numbered):
        return
    if said.control is not None and control_meets_another(turn, site, numbered):
        return
    if whole_text_is_asked(turn, replace(said, samples=numbered), yes_to):
        return
    taken = Taken()
    last = numbered[-1] if turn.text.perhaps_cut and CUT not in yes_to else None
    for sample in numbered:
        _take(turn, site, plan, sample, taken, yes_to, cut=sample is last)
    answer_counted(turn, site, plan, taken, said.problems, yes_to, sent=numbered)


def hear_all_nothing(turn: Turn, site: int) -> None:
    """Ask whether nothing was found in all samples of the plan."""
    plan = turn.book.plan_on(site, turn.day)
    field_ = turn.book.sites[site]
    if plan is None:
        turn.reply(*turn.wordings("refused.stage_needed", number=site, field=field_.number))
        return
    counts = tuple((code, 0) for code in plan.codes)
    sample = Sample(TOTALS, Form.NOTHING, counts, covers=plan.samples)
    if totals_stand_in_the_way(turn, site, (sample,)):
        return
    waiting = in_place_of(turn, site, Waiting(sample))
    waits = {
        "site": site,
        "samples": samples_to_json([sample]),
        "yes_to": [SITE, ELSEWHERE, OVER, REPLACE],
    }
    ask(turn, Asked.SAMPLES, field_, waits)
    if waiting.instead or waiting.replaces is not None:
        turn.reply(*waiting_question(turn.speech, turn.season, site, [waiting], plan.ask_above))
    else:
        turn.reply(turn.say("waits.all_nothing", number=site, planned=plan.samples))


def hear_fix(turn: Turn, said: Fix, yes_to: Collection[str] = ()) -> None:
    """Replace samples whole; the reply says what they were and what went to 0. The old counts stay on record."""
    visit = visit_on(turn.book.session, said.site, turn.day)
    plan = turn.book.plan_on(said.site, turn.day)
    if plan is None or total_is_wrong(turn, said):
        return
    if totals_stand_in_the_way(turn, said.site, said.samples):
        return
    begun = visit is not None and holds_something(visit)
    if not begun and whole_text_is_asked(turn, Counts(said.site, said.samples), yes_to, fix=True):
        return
    taken = Taken(first=not begun, first_own=has_none_yet(turn, visit))
    rows = {row.number: row for row in standing_samples(visit)} if visit is not None else {}
    last = said.samples[-1] if turn.text.perhaps_cut and CUT not in yes_to else None
    for sample in said.samples:
        _fix_one(
            turn, said.site, plan, sample, rows.get(sample.number or 0), taken, yes_to, cut=sample is last
        )
    answer_counted(turn, said.site, plan, taken, said.problems, yes_to, fix=True, sent=said.samples)


def _fix_one(
    turn: Turn,
    site: int,
    plan: Plan,
    sample: Sample,
    row: SampleRow | None,
    taken: Taken,
    yes_to: Collection[str],
    *,
    cut: bool,
) -> None:
    """Replace one sample, or find why not: it is the same, over the limit, its code was guessed, its end is missing."""
    waiting = doubts_of(plan, sample)
    if row is None and sample.form is not Form.SHARES and NOT_IN not in yes_to:
        waiting = replace(waiting, not_in=True)
    if cut or waiting.not_in or (OVER not in yes_to and (waiting.over or waiting.guesses)):
        taken.waiting.append(replace(waiting, cut=cut))
        return
    kept = keep_shares(turn, site, sample, taken, [*yes_to, SHARE])
    if sample.form is Form.SHARES:
        taken.stored += [kept] if kept.shares else []
    elif row is not None and is_the_same(sample_of(row), sample):
        taken.same.append(row.number)
    else:
        store_sample(turn, site, plan, sample, replaces=row)
        taken.fixed.append(Fixed(kept, sample_of(row) if row else None))


def _numbered(turn: Turn, site: int, plan: Plan, samples: Sequence[Sample]) -> tuple[Sample, ...] | None:
    """Give samples their numbers: the next is the lowest not in. None where no number is free."""
    if all(sample.number is not None for sample in samples):
        return tuple(samples)
    free = free_number(turn, site, plan)
    return None if free is None else tuple(replace(sample, number=free) for sample in samples)


def _take(
    turn: Turn,
    site: int,
    plan: Plan,
    sample: Sample,
    taken: Taken,
    yes_to: Collection[str],
    *,
    cut: bool = False,
) -> None:
    """Store one sample, or find why not: it is in already, over the limit, its code was guessed, its end is missing."""
    if cut:
        taken.waiting.append(replace(in_place_of(turn, site, doubts_of(plan, sample)), cut=True))
        return
    if sample.form is Form.SHARES:
        kept = keep_shares(turn, site, sample, taken, yes_to)
        if kept.shares:
            taken.stored.append(kept)
        return
    visit = visit_on(turn.book.session, site, turn.day)
    rows = {row.number: row for row in standing_samples(visit)} if visit is not None else {}
    row = rows.get(sample.number or 0)
    waiting = doubts_of(plan, sample)
    if row is not None and not row.lost:
        if is_the_same(sample_of(row), sample):
            taken.same.append(row.number)
            keep_shares(turn, site, sample, taken, yes_to)
            return
        if row.person != turn.whose.key:
            taken.refused.append(in_from_other(turn, site, plan, row, waiting.sample))
            taken.of_others.append(row)
            return
    waiting = in_place_of(turn, site, waiting)
    doubted = OVER not in yes_to and (waiting.over or waiting.guesses)
    if doubted or ((waiting.replaces is not None or waiting.instead) and REPLACE not in yes_to):
        taken.waiting.append(waiting)
        return
    if visit is None or not standing_samples(visit):
        taken.first = True
    if visit is not None and visit.state == VisitState.SHORT:
        taken.goes_on = True
    taken.first_own |= has_none_yet(turn, visit)
    for number in waiting.instead:
        end_sample(turn.book.session, rows[number], turn.text.id, turn.book.now)
    store_sample(turn, site, plan, waiting.sample, replaces=row)
    taken.stored.append(keep_shares(turn, site, waiting.sample, taken, yes_to))
