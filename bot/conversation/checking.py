"""CHECK: counts made again to look over somebody's shoulder; kept beside, in no total."""

from collections.abc import Collection, Sequence
from dataclasses import replace

from bot.conversation.asking import Asked, ask, not_dropped, samples_to_json
from bot.conversation.doubting import OVER, REPLACE, doubts_of
from bot.conversation.handing import around, refuse_counting
from bot.conversation.sampling import is_the_same, total_is_wrong, undone_lately
from bot.conversation.taking import copy_of_check, sample_of
from bot.conversation.turn import Turn
from bot.field_book import FieldBook
from bot.replies import Waiting, number_list, part_refused, refusal, sentences, waiting_question
from bot.rules import Plan
from parsing import Counts, Fix, Form, Kind, Problem, Sample, Undo, counts_in_codes, echo_samples
from storage import CheckRow, SampleRow, checks_on, standing_samples, visit_on


def hear_check(turn: Turn, said: Counts | Fix | Undo, yes_to: Collection[str] = ()) -> None:
    """Keep check counts of numbered samples beside the scout's own; they change no total."""
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
    before = {row.number: row for row in checks_on(turn.book.session, site, turn.day, turn.whose.key)}
    for sample in said.samples:
        doubt = doubts_of(plan, sample)
        old = before.get(sample.number or 0)
        if old is not None and is_the_same(_sample(old), sample):
            kept.append(sample)
            continue
        if old is not None and isinstance(said, Counts):
            at = turn.book.local(old.counted_at)
            doubt = replace(doubt, replaces=_sample(old), replaced_at=at)
        doubted = OVER not in yes_to and (doubt.over or doubt.guesses)
        if doubted or (doubt.replaces is not None and REPLACE not in yes_to):
            waiting.append(doubt)
            continue
        _write(turn, site, plan, doubt.sample, old)
        kept.append(doubt.sample)
    _reply(turn, said, plan, kept, waiting)


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


def _sample(row: CheckRow) -> Sample:
    form = Form.LOST if row.lost else Form(row.form)
    return Sample(row.number, form, tuple(row.counts.items()), tuple(row.extras.items()))


def _write(turn: Turn, site: int, plan: Plan, sample: Sample, old: CheckRow | None) -> None:
    book = turn.book
    if old is not None:
        old.ended_at, old.ended_by = book.now, turn.text.id
        book.session.flush()
    effort = book.effort_of(site, turn.day, turn.sent) or plan.each.amount
    book.session.add(
        CheckRow(
            site=site,
            field=book.sites[site].number,
            day=turn.day,
            number=sample.number,
            form=sample.form.value,
            counts=dict(sample.counts),
            extras=dict(sample.extras),
            lost=sample.lost,
            effort=str(effort),
            person=turn.whose.key,
            text_id=turn.text.id,
            counted_at=turn.sent,
            replaces=old.id if old is not None else None,
        )
    )
    book.session.flush()


def _reply(
    turn: Turn, said: Counts | Fix, plan: Plan, kept: Sequence[Sample], waiting: Sequence[Waiting]
) -> None:
    speech, site = turn.speech, said.site
    question: tuple[str, ...] = ()
    if waiting:
        question = waiting_question(speech, turn.season, site, waiting, plan.ask_above)
        waits = {
            "site": site,
            "samples": samples_to_json([one.sample for one in waiting]),
            "fix": isinstance(said, Fix),
            "yes_to": [OVER, REPLACE],
        }
        ask(turn, Asked.SAMPLES, turn.book.sites[site], waits)
    not_dropped(turn, site, [one.number or 0 for one in [*kept, *(one.sample for one in waiting)]])
    faults = [part_refused(speech, problem, len(plan.codes)) for problem in said.problems]
    if not kept and not faults:
        turn.reply(*question)
        return
    fault, bare = (" ".join(part[place] for part in faults) for place in (0, -1))
    asked = (question[0], question[-1]) if question else ("", "")
    beside, summed = _compared(turn, site, kept, plan)
    full = turn.say("check.kept", number=site, echo=echo_samples(kept), beside=beside) if kept else ""
    brief, short = (
        turn.say("check.kept_short", number=site, echo=echo_samples(kept, packed=packed)) if kept else ""
        for packed in (False, True)
    )
    turn.reply(
        sentences([full, summed, fault, asked[0]]),
        sentences([brief, summed, fault, asked[0]]),
        sentences([short, summed, fault, asked[0]]),
        sentences([short, fault, asked[1]]),
        sentences([short, bare, asked[1]]),
    )


def _compared(turn: Turn, site: int, kept: Sequence[Sample], plan: Plan) -> tuple[str, str]:
    """Give what the scout has for the one sample checked, and both sums over the samples that both have."""
    theirs = _theirs(turn.book, site, turn)
    mine = checks_on(turn.book.session, site, turn.day, turn.whose.key)
    both = [(row, theirs[row.number]) for row in mine if row.number in theirs and not row.lost]
    beside = ""
    if len(kept) == 1 and (row := theirs.get(kept[0].number or 0)) is not None:
        beside = turn.say("check.beside", name=_name(turn, row), counts=counts_in_codes(sample_of(row)))
    counts = {"n": len(mine), "planned": plan.samples}
    if not both:
        return beside, turn.say("check.nothing_beside", **counts)
    names = dict.fromkeys(_name(turn, row) for _, row in both)
    yours = sum(_sample(one).insects for one, _ in both)
    others = sum(sample_of(row).insects for _, row in both)
    name = turn.speech.names(list(names))
    return beside, turn.say("check.summed", yours=yours, theirs=others, name=name, **counts)


def _theirs(book: FieldBook, site: int, turn: Turn) -> dict[int, SampleRow]:
    visit = visit_on(book.session, site, turn.day)
    rows = standing_samples(visit) if visit is not None else []
    return {row.number: row for row in rows if not row.lost and not row.covers}


def _name(turn: Turn, row: SampleRow) -> str:
    person = turn.book.person(row.person)
    return person.first_name if person is not None else row.person


def _undo(turn: Turn, site: int) -> None:
    """Take back the check counts of the sender's newest text there, or ask whether to, as of any counts."""
    taken = _newest(turn, site)
    if not taken:
        turn.reply(turn.say("check.nothing", number=site))
    elif undone_lately(turn):
        ask(turn, Asked.UNDO, turn.book.sites[site], {"number": site})
        time = turn.speech.hour(turn.book.local(taken[0].counted_at))
        numbers = number_list([row.number for row in taken])
        echo = echo_samples([_sample(row) for row in taken])
        turn.reply(
            turn.say("waits.undo", number=site, echo=echo, time=time),
            turn.say("waits.undo_short", number=site, numbers=numbers, time=time),
        )
    else:
        take_back_check(turn, site)


def _newest(turn: Turn, site: int) -> list[CheckRow]:
    rows = checks_on(turn.book.session, site, turn.day, turn.whose.key)
    newest = max((row.text_id for row in rows), default=None)
    return [row for row in rows if row.text_id == newest]


def take_back_check(turn: Turn, site: int) -> None:
    """Take back the check counts of the sender's newest text there; what they had replaced stands again."""
    session = turn.book.session
    taken = _newest(turn, site)
    again: list[CheckRow] = []
    for row in taken:
        row.ended_at, row.ended_by = turn.book.now, turn.text.id
        session.flush()
        old = session.get(CheckRow, row.replaces) if row.replaces is not None else None
        if old is not None:
            again.append(copy_of_check(old))
            session.add(again[-1])
            session.flush()
    samples = [_sample(row) for row in taken]
    note = " ".join(
        turn.say("undo.restored", sample=row.number, counts=counts_in_codes(_sample(row))) for row in again
    )
    turn.reply(
        f"{turn.say('undo.done', number=site, echo=echo_samples(samples))} {note}",
        f"{turn.say('undo.done', number=site, echo=echo_samples(samples, packed=True))} {note}",
        turn.say("undo.done_short", number=site, numbers=number_list([row.number for row in taken])),
    )
