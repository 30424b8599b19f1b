"""Counts: checked against the plan, stored, asked or refused sample by sample, and answered."""

from collections.abc import Collection, Sequence
from dataclasses import replace

from bot.conversation.ahead import is_assigned, not_on_the_list, what_is_next
from bot.conversation.asking import Asked, ask, not_dropped, samples_to_json
from bot.conversation.doubting import (
    ELSEWHERE,
    OVER,
    REPLACE,
    SITE,
    ask_if_new,
    came_twice,
    doubts_of,
    has_none_yet,
    is_the_same_text,
    sample_before,
    whole_text_is_asked,
)
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
    counts_reply,
    fix_lead,
    number_list,
    part_refused,
    waiting_question,
)
from bot.rules import Plan
from parsing import (
    Counts,
    Fix,
    Problem,
    Sample,
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
    if plan is None or _total_is_wrong(turn, said):
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
    if whole_text_is_asked(turn, replace(said, samples=numbered), yes_to):
        return
    taken = Taken()
    for sample in numbered:
        _take(turn, site, plan, sample, taken, yes_to)
    _answer(turn, site, plan, taken, said.problems, yes_to)


def hear_fix(turn: Turn, said: Fix, yes_to: Collection[str] = ()) -> None:
    """Replace samples whole; the reply says what they were and what went to 0. The old counts stay on record."""
    visit = visit_on(turn.book.session, said.site, turn.day)
    plan = turn.book.plan_on(said.site, turn.day)
    if plan is None or visit is None or not holds_something(visit):
        turn.reply(turn.say("undo.nothing", number=said.site))
        return
    if _total_is_wrong(turn, said):
        return
    taken = Taken()
    rows = {row.number: row for row in standing_samples(visit)}
    for sample in said.samples:
        waiting = doubts_of(plan, sample)
        if OVER not in yes_to and (waiting.over or waiting.guesses):
            taken.waiting.append(waiting)
            continue
        row = rows.get(sample.number or 0)
        if row is not None and _same(row, sample):
            taken.same.append(row.number)
            continue
        _store(turn, said.site, plan, sample, replaces=row)
        taken.fixed.append(Fixed(sample, sample_of(row) if row else None))
    _answer(turn, said.site, plan, taken, said.problems, yes_to, fix=True)


def _total_is_wrong(turn: Turn, said: Counts | Fix) -> bool:
    """Refuse the whole text where its control total fails, or stands beside a part that could not be read."""
    if said.control is None:
        return False
    insects = sum(sample.insects for sample in said.samples)
    if said.problems:
        sample = said.problems[0].sample
        turn.reply(
            turn.say("refused.control_with_faults", number=said.site, sample="" if sample is None else sample)
        )
        return True
    if insects != said.control:
        turn.reply(turn.say("refused.control_total", number=said.site, control=said.control, sum=insects))
        return True
    return False


def _numbered(turn: Turn, site: int, plan: Plan, samples: Sequence[Sample]) -> tuple[Sample, ...] | None:
    """Give samples their numbers: the next is the lowest not in. None where no number is free."""
    if all(sample.number is not None for sample in samples):
        return tuple(samples)
    free = free_number(turn, site, plan)
    return None if free is None else tuple(replace(sample, number=free) for sample in samples)


def _take(turn: Turn, site: int, plan: Plan, sample: Sample, taken: Taken, yes_to: Collection[str]) -> None:
    """Store one sample, or find why not: it is in already, it is over the limit, its code was guessed."""
    visit = visit_on(turn.book.session, site, turn.day)
    rows = {row.number: row for row in standing_samples(visit)} if visit is not None else {}
    row = rows.get(sample.number or 0)
    waiting = doubts_of(plan, sample)
    if row is not None and not row.lost:
        if _same(row, sample):
            taken.same.append(row.number)
            return
        if row.person != turn.person.key:
            taken.refused.append(in_from_other(turn, site, plan, row, waiting.sample))
            taken.of_others.append(row)
            return
        waiting = replace(waiting, replaces=sample_of(row), replaced_at=turn.book.local(row.counted_at))
    doubted = OVER not in yes_to and (waiting.over or waiting.guesses)
    if doubted or (waiting.replaces is not None and REPLACE not in yes_to):
        taken.waiting.append(waiting)
        return
    if visit is None or not standing_samples(visit):
        taken.first = True
    if visit is not None and visit.state == VisitState.SHORT:
        taken.goes_on = True
    taken.first_own |= has_none_yet(turn, visit)
    _store(turn, site, plan, waiting.sample, replaces=row)
    taken.stored.append(waiting.sample)


def _same(row: SampleRow, sample: Sample) -> bool:
    said = sample_of(row)
    return (said.lost, dict(said.counts), dict(said.extras)) == (
        sample.lost,
        dict(sample.counts),
        dict(sample.extras),
    )


def _store(turn: Turn, site: int, plan: Plan, sample: Sample, replaces: SampleRow | None) -> Visit:
    """Write a sample down; one that it replaces stays on record."""
    session, now = turn.book.session, turn.book.now
    correction = replaces is not None and not replaces.lost
    visit = begin_visit(turn.book, site, turn.day, turn.person.key, plan, correction=correction)
    if replaces is not None:
        end_sample(session, replaces, turn.text.id, now)
    row = SampleRow(
        visit=visit,
        number=sample.number,
        form=sample.form.value,
        counts=dict(sample.counts),
        extras=dict(sample.extras),
        lost=sample.lost,
        effort=str(plan.each.amount),
        person=turn.person.key,
        assigned=is_assigned(turn, turn.book.sites[site]),
        text_id=turn.text.id,
        counted_at=turn.sent,
        replaces=replaces.id if replaces is not None else None,
    )
    session.add(row)
    session.flush()
    first_time(session, f"elsewhere:{turn.person.key}:{site}:{turn.day}", now)
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
            "yes_to": [*yes_to, SITE, ELSEWHERE, OVER, REPLACE],
        }
        ask(turn, Asked.SAMPLES, field_, waits)
    written = [one.number for one in taken.stored if one.number] + [
        one.now.number or 0 for one in taken.fixed
    ]
    not_dropped(turn, site, [*written, *taken.same])
    if not written and not taken.same and not problems and len(taken.refused) + bool(question) == 1:
        turn.reply(*(question or taken.refused[0]))
        return
    not_stored = tuple(
        NotStored(problem.sample, part_refused(speech, problem, len(plan.codes))) for problem in problems
    )
    notes = list(taken.refused)
    if taken.same:
        notes.insert(0, (turn.say("counts.same", numbers=number_list(taken.same)),))
    if taken.goes_on:
        notes.append((turn.say("counts.goes_on"),))
    tail: tuple[str, ...] = ()
    if taken.first_own and not is_assigned(turn, field_):
        tail = not_on_the_list(turn, site, field_)
    view = turn.book.site_view(site, turn.day)
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
    turn.reply(counts_reply(speech, stands, answer))
