"""Counts: checked against the plan, stored, asked or refused sample by sample, and answered."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from bot.conversation.asking import Asked, ask, not_dropped, samples_to_json
from bot.conversation.turn import Turn, tell_supervisors
from bot.field_book import begin_visit
from bot.replies import (
    Ahead,
    CountsAnswer,
    Fixed,
    Stands,
    Waiting,
    counts_reply,
    elsewhere_question,
    first_fitting,
    fix_lead,
    number_list,
    part_refused,
    rival_question,
    site_question,
    waiting_question,
)
from bot.rules import Field, Plan, Role, Standing, VisitEnd
from parsing import Counts, Fix, Form, Problem, Sample, counts_in_codes
from storage import (
    SampleRow,
    Visit,
    answer_to,
    end_sample,
    first_time,
    happened,
    holds_something,
    standing_samples,
    text_before,
    visit_on,
)

SITE, ELSEWHERE, RIVAL, SAMPLES = "site", "elsewhere", "rival", "samples"
"""What a 1 has said yes to: the site, being elsewhere, one of two readings, the samples' own doubts."""


@dataclass(slots=True)
class Taken:
    """What became of the samples of a text."""

    stored: list[Sample] = field(default_factory=list)
    fixed: list[Fixed] = field(default_factory=list)
    same: list[int] = field(default_factory=list)
    refused: list[tuple[str, ...]] = field(default_factory=list)
    waiting: list[Waiting] = field(default_factory=list)
    first: bool = False
    first_own: bool = False


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
    twice = SAMPLES not in yes_to and any(one.number is None for one in samples) and _came_twice(turn)
    if twice and _asked_if_new(turn, site, plan, numbered):
        return
    if _whole_text_is_asked(turn, replace(said, samples=numbered), yes_to):
        return
    taken = Taken()
    for sample in numbered:
        _take(turn, site, plan, sample, taken, sure=SAMPLES in yes_to)
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
        waiting = _doubts(plan, sample)
        if SAMPLES not in yes_to and (waiting.over or waiting.guesses):
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


def free_number(turn: Turn, site: int, plan: Plan, beside: Collection[int] = ()) -> int | None:
    """Give the lowest sample number not in at a site today; lost ones are free again."""
    visit = visit_on(turn.book.session, site, turn.day)
    rows = standing_samples(visit) if visit is not None else []
    have = {row.number for row in rows if not row.lost} | set(beside)
    return next((number for number in range(1, plan.samples + 1) if number not in have), None)


def _came_twice(turn: Turn) -> bool:
    """Tell whether the text equals the one before and was sent before the answer to that one had left."""
    before = text_before(turn.book.session, turn.text)
    if before is None or before.body.split() != turn.text.body.split():
        return False
    if turn.text.sent_at is not None and before.sent_at == turn.text.sent_at:
        return True
    answer = answer_to(turn.book.session, before.id)
    return answer is not None and (answer.left_at is None or turn.sent < answer.left_at)


def _whole_text_is_asked(turn: Turn, said: Counts, yes_to: Collection[str]) -> bool:
    """Ask about a whole text: the site forgotten, two readings, or another site of the sender unfinished.

    The question shows the samples as they would be stored, a guessed code among them; a count over the
    limit is asked apart after it.
    """
    site = said.site
    samples = tuple(replace(sample, guesses=()) for sample in said.samples)
    waits = {"site": site, "samples": samples_to_json(samples), "yes_to": [*yes_to]}
    field_ = turn.book.sites[site]
    if not said.site_said and SITE not in yes_to:
        waits["yes_to"] = [*yes_to, SITE]
        ask(turn, Asked.SAMPLES, field_, waits)
        turn.reply(*site_question(turn.speech, site, samples))
        return True
    if said.rival and RIVAL not in yes_to:
        waits["yes_to"] = [*yes_to, RIVAL]
        ask(turn, Asked.RIVAL, field_, {**waits, "rival": samples_to_json(said.rival)})
        turn.reply(*rival_question(turn.speech, site, " ".join(turn.text.body.split()), samples))
        return True
    other = _unfinished_elsewhere(turn, site)
    if other is not None and ELSEWHERE not in yes_to:
        waits["yes_to"] = [*yes_to, ELSEWHERE, SITE]
        ask(turn, Asked.SAMPLES, field_, waits)
        view = turn.book.site_view(other, turn.day)
        n, planned = (view.visit.samples_in, view.visit.plan.samples) if view.visit else (0, 0)
        name = field_.name
        turn.reply(*elsewhere_question(turn.speech, site, name, samples, other, n, planned))
        return True
    return False


def _asked_if_new(turn: Turn, site: int, plan: Plan, samples: tuple[Sample, ...]) -> bool:
    """Ask whether an unnumbered text that came twice is one sample or two; with one sent time it is one."""
    before = text_before(turn.book.session, turn.text)
    visit = visit_on(turn.book.session, site, turn.day)
    rows = standing_samples(visit) if visit is not None else []
    old = next((row.number for row in rows if before is not None and row.text_id == before.id), None)
    if old is None:
        return False
    if turn.text.sent_at is not None and before is not None and before.sent_at == turn.text.sent_at:
        taken = Taken(same=[old])
        _answer(turn, site, plan, taken, (), ())
        return True
    new = samples[0].number
    waits = {"site": site, "samples": samples_to_json(samples), "yes_to": [SITE, ELSEWHERE, SAMPLES]}
    ask(turn, Asked.SAMPLES, turn.book.sites[site], waits)
    turn.reply(
        turn.say("waits.unnumbered", said=" ".join(turn.text.body.upper().split()), old=old, new=new),
        turn.say("waits.unnumbered", said=str(site), old=old, new=new),
    )
    return True


def _unfinished_elsewhere(turn: Turn, site: int) -> int | None:
    """Give another site of the sender that is unfinished and not certain, at his first counts for a site."""
    book = turn.book
    visit = visit_on(book.session, site, turn.day)
    if not _has_none_yet(turn, visit):
        return None
    if happened(book.session, f"elsewhere:{turn.person.key}:{site}:{turn.day}"):
        return None
    for other in book.open_sites_of(turn.person.key, turn.day):
        figures = book.site_view(other, turn.day).figures
        if other != site and not any(one.certain for one in figures):
            return other
    return None


def _doubts(plan: Plan, sample: Sample) -> Waiting:
    counts = (*sample.counts, *sample.extras)
    over = tuple((code, count) for code, count in counts if count is not None and count > plan.ask_above)
    guesses = tuple((guess.said, guess.code) for guess in sample.guesses)
    return Waiting(replace(sample, guesses=()), over, guesses)


def _take(turn: Turn, site: int, plan: Plan, sample: Sample, taken: Taken, *, sure: bool) -> None:
    """Store one sample, or find why not: it is in already, it is over the limit, its code was guessed."""
    visit = visit_on(turn.book.session, site, turn.day)
    rows = {row.number: row for row in standing_samples(visit)} if visit is not None else {}
    row = rows.get(sample.number or 0)
    waiting = _doubts(plan, sample)
    if row is not None and not row.lost:
        if _same(row, sample):
            taken.same.append(row.number)
            return
        if row.person != turn.person.key:
            taken.refused.append(_in_from_other(turn, site, plan, row, waiting.sample))
            return
        waiting = replace(waiting, replaces=sample_of(row), replaced_at=turn.book.local(row.counted_at))
    if not sure and (waiting.over or waiting.guesses or waiting.replaces is not None):
        taken.waiting.append(waiting)
        return
    if visit is None or not holds_something(visit):
        taken.first = True
    taken.first_own |= _has_none_yet(turn, visit)
    _store(turn, site, plan, waiting.sample, replaces=row)
    taken.stored.append(waiting.sample)


def _has_none_yet(turn: Turn, visit: Visit | None) -> bool:
    return visit is None or all(row.person != turn.person.key for row in standing_samples(visit))


def _in_from_other(turn: Turn, site: int, plan: Plan, row: SampleRow, sample: Sample) -> tuple[str, ...]:
    """Say that a sample is in from another scout, what stands, the next free number, and how to replace it."""
    other = turn.book.person(row.person)
    name = other.first_name if other is not None else row.person
    values: dict[str, object] = {
        "number": site,
        "sample": row.number,
        "name": name,
        "time": turn.speech.hour(turn.book.local(row.counted_at)),
        "old": counts_in_codes(sample_of(row)),
        "new": counts_in_codes(sample),
    }
    free = free_number(turn, site, plan)
    short = turn.say("refused.taken_by_other_short", **values)
    full = turn.say("refused.taken_by_other_full", **values)
    if free is None:
        return full, short
    return turn.say("refused.taken_by_other", free=free, **values), full, short


def _same(row: SampleRow, sample: Sample) -> bool:
    said = sample_of(row)
    return (said.lost, dict(said.counts), dict(said.extras)) == (
        sample.lost,
        dict(sample.counts),
        dict(sample.extras),
    )


def sample_of(row: SampleRow) -> Sample:
    """Give a stored sample as it was read."""
    form = Form.LOST if row.lost else Form(row.form)
    return Sample(row.number, form, tuple(row.counts.items()), tuple(row.extras.items()))


def _store(turn: Turn, site: int, plan: Plan, sample: Sample, replaces: SampleRow | None) -> Visit:
    """Write a sample down; one that it replaces stays on record."""
    session, now = turn.book.session, turn.book.now
    visit = begin_visit(turn.book, site, turn.day, turn.person.key, plan)
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


def is_assigned(turn: Turn, field_: Field) -> bool:
    """Tell whether a field is the sender's to count: its scout, one of its scouts' leaders, its supervisor."""
    person = turn.person
    if person.key in field_.scouts:
        return True
    if Role.SUPERVISOR in person.roles and person.key in field_.supervisors:
        return True
    return Role.LEADER in person.roles and bool(set(person.crew) & set(field_.scouts))


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
    if taken.waiting:
        question = waiting_question(speech, turn.season, site, taken.waiting, plan.ask_above)
        waiting = samples_to_json([one.sample for one in taken.waiting])
        waits = {"site": site, "samples": waiting, "fix": fix, "yes_to": [*yes_to, SITE, ELSEWHERE, SAMPLES]}
        ask(turn, Asked.SAMPLES, field_, waits)
    written = [one.number for one in taken.stored if one.number] + [
        one.now.number or 0 for one in taken.fixed
    ]
    not_dropped(turn, site, [*written, *taken.same])
    if not written and not taken.same and not problems and len(taken.refused) + bool(question) == 1:
        turn.reply(*(question or taken.refused[0]))
        return
    notes = [*taken.refused, *(part_refused(speech, problem) for problem in problems)]
    if taken.same:
        notes.insert(0, (turn.say("counts.same", numbers=number_list(taken.same)),))
    tail: tuple[str, ...] = ()
    if taken.first_own and not is_assigned(turn, field_):
        tail = _not_on_the_list(turn, site, field_)
    view = turn.book.site_view(site, turn.day)
    if view.visit is None:
        turn.reply(
            first_fitting(*(f"{' '.join(note[0] for note in notes)} {one}" for one in question or ("",)))
        )
        return
    stands = Stands(turn.season, field_, site, view.visit, view.figures)
    lead: tuple[str, ...] = fix_lead(speech, site, taken.fixed) if taken.fixed else ()
    if not lead and not taken.stored:
        lead = (f"{site}:",)
    if turn.dropped_notes:
        notes.append(turn.dropped_notes)
        turn.dropped_notes = ()
    ahead = what_is_next(turn, stands, turn.day)
    answer = CountsAnswer(tuple(taken.stored), taken.first, lead, tuple(notes), tail, question, ahead)
    turn.reply(counts_reply(speech, stands, answer))


def _not_on_the_list(turn: Turn, site: int, field_: Field) -> tuple[str, ...]:
    """Say that a site is not on the sender's list, and let a supervisor know, once a visit."""
    supervisor = turn.supervisor_of(field_)
    tell_supervisors(
        turn.book,
        field_,
        f"unassigned:{site}:{turn.day}:{turn.person.key}",
        lambda speech: first_fitting(
            *(
                speech.say("notice.not_assigned", name=turn.person.first_name, site=site, field_name=name)
                for name in (f" {field_.name}", "")
            )
        ),
        cause=turn.text.id,
    )
    return (
        turn.say("counts.not_assigned", site=site, supervisor=supervisor),
        turn.say("counts.not_assigned_short", site=site, supervisor=supervisor),
    )


def what_is_next(turn: Turn, stands: Stands, day: date) -> Ahead:
    """Give what a scout does after a site that is finished or sure: the rest of its field, the next on his list."""
    visit, field_ = stands.visit, stands.field
    sure = any(one.certain and one.standing is Standing.ABOVE for one in stands.figures)
    if not visit.finished and not sure:
        return Ahead()
    here = _unfinished_sites(turn, field_, day)
    above = any(one.standing is Standing.ABOVE for one in stands.figures)
    mine = [one for one in turn.season.fields.values() if turn.person.key in one.scouts]
    ahead = [
        site
        for one in sorted(mine, key=lambda each: each.number != field_.number)
        for site in _unfinished_sites(turn, one, day)
        if site != stands.site
    ]
    rest = tuple(site for site in here if site != stands.site)
    return Ahead(rest if above else (), ahead[0] if ahead else None)


def _unfinished_sites(turn: Turn, field_: Field, day: date) -> list[int]:
    """Give the sites of a field that are due: not finished in its open round; all where a new one is due."""
    book = turn.book
    newest = book.newest_round(field_, day)
    if newest is None:
        return list(field_.sites)
    if book.is_over(newest, field_, day):
        return list(field_.sites) if book.days_are_out(newest, day) else []
    visits = book.newest_visits(newest)
    return [site for site in field_.sites if site not in visits or visits[site].end is VisitEnd.OPEN]
