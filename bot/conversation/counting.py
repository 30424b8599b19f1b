"""Counts: checked against the plan, stored, asked or refused sample by sample, and answered."""

from collections.abc import Collection, Sequence
from dataclasses import replace

from bot.conversation.ahead import is_assigned, not_on_the_list, was_it_the_day_before, what_is_next
from bot.conversation.asking import Asked, ask, not_dropped, samples_to_json
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
from bot.conversation.sampling import is_the_same, total_is_wrong
from bot.conversation.sharing import keep_stop_shares, sums_of_stops
from bot.conversation.taking import (
    Taken,
    draw_together,
    free_number,
    in_from_other,
    leave_what_cannot_be_shown,
    sample_of,
)
from bot.conversation.turn import Turn
from bot.field_book import begin_visit
from bot.replies import (
    CountsAnswer,
    Fixed,
    NotStored,
    Stands,
    Waiting,
    counts_reply,
    fix_lead,
    number_list,
    part_refused,
    waiting_question,
)
from bot.rules import Plan
from parsing import (
    TOTALS,
    Counts,
    Fix,
    Form,
    Problem,
    Sample,
    echo_samples,
)
from storage import (
    SampleRow,
    Visit,
    VisitState,
    end_sample,
    first_time,
    holds_something,
    standing_samples,
    visit_on,
)


def hear_counts(turn: Turn, said: Counts, yes_to: Collection[str] = ()) -> None:
    """Take counts for a site: all that is sure is stored, one question covers what is not, the rest is refused."""
    site, samples = said.site, said.samples
    plan = turn.book.plan_on(site, turn.day)
    if plan is None or total_is_wrong(turn, said):
        return
    numbered = _numbered(turn, site, plan, samples)
    if numbered is None:
        turn.reply(turn.say("refused.no_free_number", number=site, planned=plan.samples))
        return
    twice = REPLACE not in yes_to and any(one.number is None for one in samples) and came_twice(turn)
    old = sample_before(turn, site) if twice else None
    if old is not None and is_the_same_text(turn):
        _answer(turn, site, plan, Taken(same=[old]), (), ())
        return
    if old is not None:
        ask_if_new(turn, site, old, numbered)
        return
    if totals_stand_in_the_way(turn, site, numbered):
        return
    if whole_text_is_asked(turn, replace(said, samples=numbered), yes_to):
        return
    taken = Taken()
    last = numbered[-1] if turn.text.perhaps_cut and CUT not in yes_to else None
    for sample in numbered:
        _take(turn, site, plan, sample, taken, yes_to, cut=sample is last)
    _answer(turn, site, plan, taken, said.problems, yes_to, sent=numbered)


def hear_all_nothing(turn: Turn, site: int) -> None:
    """Ask whether nothing was found in all samples of the plan."""
    plan = turn.book.plan_on(site, turn.day)
    field_ = turn.book.sites[site]
    if plan is None:
        turn.reply(turn.say("refused.stage_needed", number=site, field=field_.number))
        return
    counts = tuple((code, 0) for code in plan.codes)
    sample = Sample(TOTALS, Form.NOTHING, counts, covers=plan.samples)
    if totals_stand_in_the_way(turn, site, (sample,)):
        return
    waiting = _in_place_of(turn, site, Waiting(sample))
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
    _answer(turn, said.site, plan, taken, said.problems, yes_to, fix=True, sent=said.samples)


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
    kept = _keep_shares(turn, site, sample, taken, [*yes_to, SHARE])
    if sample.form is Form.SHARES:
        taken.stored += [kept] if kept.shares else []
    elif row is not None and is_the_same(sample_of(row), sample):
        taken.same.append(row.number)
    else:
        _store(turn, site, plan, sample, replaces=row)
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
        taken.waiting.append(replace(_in_place_of(turn, site, doubts_of(plan, sample)), cut=True))
        return
    if sample.form is Form.SHARES:
        kept = _keep_shares(turn, site, sample, taken, yes_to)
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
            _keep_shares(turn, site, sample, taken, yes_to)
            return
        if row.person != turn.whose.key:
            taken.refused.append(in_from_other(turn, site, plan, row, waiting.sample))
            taken.of_others.append(row)
            return
    waiting = _in_place_of(turn, site, waiting)
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
    _store(turn, site, plan, waiting.sample, replaces=row)
    taken.stored.append(_keep_shares(turn, site, waiting.sample, taken, yes_to))


def _keep_shares(turn: Turn, site: int, sample: Sample, taken: Taken, yes_to: Collection[str]) -> Sample:
    kept, said = keep_stop_shares(turn, site, sample, asked=SHARE in yes_to)
    taken.shares += said
    return kept


def _in_place_of(turn: Turn, site: int, waiting: Waiting) -> Waiting:
    """Note with a sample what it would replace: the same one counted before, or all where sums take their place."""
    visit = visit_on(turn.book.session, site, turn.day)
    rows = {row.number: row for row in standing_samples(visit)} if visit is not None else {}
    row = rows.get(waiting.sample.number or TOTALS)
    if row is not None and not row.lost:
        at = turn.book.local(row.counted_at)
        waiting = replace(waiting, replaces=sample_of(row), replaced_at=at)
    if not waiting.sample.covers:
        return waiting
    return replace(waiting, instead=tuple(number for number in rows if number != TOTALS))


def _store(turn: Turn, site: int, plan: Plan, sample: Sample, replaces: SampleRow | None) -> Visit:
    """Write a sample down; one that it replaces stays on record."""
    session, now = turn.book.session, turn.book.now
    correction = replaces is not None and not replaces.lost
    visit = begin_visit(turn.book, site, turn.day, turn.whose.key, plan, correction=correction)
    if replaces is not None:
        end_sample(session, replaces, turn.text.id, now)
    row = SampleRow(
        visit=visit,
        number=sample.number,
        form=sample.form.value,
        counts=dict(sample.counts),
        extras=dict(sample.extras),
        lost=sample.lost,
        covers=sample.covers,
        effort=str(turn.book.effort_of(site, turn.day, turn.sent) or plan.each.amount),
        person=turn.whose.key,
        assigned=is_assigned(turn, turn.book.sites[site]),
        text_id=turn.text.id,
        counted_at=turn.sent,
        replaces=replaces.id if replaces is not None else None,
    )
    session.add(row)
    session.flush()
    first_time(session, f"elsewhere:{turn.whose.key}:{site}:{turn.day}", now)
    return visit


def _answer(
    turn: Turn,
    site: int,
    plan: Plan,
    taken: Taken,
    problems: Sequence[Problem],
    yes_to: Collection[str],
    *,
    fix: bool = False,
    sent: Sequence[Sample] = (),
) -> None:
    """Say what was stored, what waits, what was refused, and how the site stands."""
    speech, field_ = turn.speech, turn.book.sites[site]
    question: tuple[str, ...] = ()
    draw_together(turn, taken)
    leave_what_cannot_be_shown(turn, site, plan, taken)
    if taken.waiting:
        question = waiting_question(speech, turn.season, site, taken.waiting, plan.ask_above)
        waiting = samples_to_json([one.sample for one in taken.waiting])
        waits = {
            "site": site,
            "samples": waiting,
            "fix": fix,
            "yes_to": [*yes_to, SITE, ELSEWHERE, OVER, REPLACE, CUT, NOT_IN],
        }
        ask(turn, Asked.SAMPLES, field_, waits)
    written = [one.number for one in taken.stored if one.number is not None]
    written += [one.now.number or 0 for one in taken.fixed]
    not_dropped(turn, site, [*written, *taken.same])
    if not written and not taken.same and not problems and len(taken.refused) + bool(question) == 1:
        turn.reply(*(question or taken.refused[0]))
        return
    not_stored = tuple(
        NotStored(problem.sample, part_refused(speech, problem, len(plan.codes))) for problem in problems
    )
    notes = [*taken.refused, *taken.shares, *sums_of_stops(turn, site, sent)]
    if taken.same:
        notes.insert(0, (turn.say("counts.same", numbers=number_list(taken.same)),))
    view = turn.book.site_view(site, turn.day)
    if view.visit is not None and not view.visit.spread_known:
        notes.append((turn.say("counts.from_totals"),))
    if taken.first:
        notes += was_it_the_day_before(turn, site, taken.stored)
    if taken.goes_on:
        notes.append((turn.say("counts.goes_on"),))
    tail: tuple[str, ...] = ()
    if taken.first_own and not is_assigned(turn, field_):
        tail = not_on_the_list(turn, site, field_)
    if view.visit is None and taken.stored:
        # stops at which shares alone were looked at begin no visit
        said = " ".join(note[0] for note in notes)
        turn.reply(f"{site} {echo_samples(taken.stored)}. {said}", f"{site} {echo_samples(taken.stored)}.")
        return
    if view.visit is None:
        said = " ".join([*(note[0] for note in notes), *(part.wordings[0] for part in not_stored)])
        turn.reply(*(f"{said} {one}".strip() for one in question or ("",)))
        return
    stands = Stands(turn.season, field_, site, view.visit, view.figures)
    lead: tuple[str, ...] = fix_lead(speech, site, taken.fixed) if taken.fixed else ()
    if not lead and not taken.stored:
        lead = (f"{site}:",)
    if turn.dropped_notes:
        notes.append(turn.dropped_notes)
        turn.dropped_notes = ()
    ahead = what_is_next(turn, stands, turn.day)
    answer = CountsAnswer(
        tuple(taken.stored),
        first=taken.first,
        lead=lead,
        not_stored=not_stored,
        notes=tuple(notes),
        tail=tail,
        question=question,
        ahead=ahead,
    )
    turn.reply(counts_reply(turn.speech, stands, answer))
