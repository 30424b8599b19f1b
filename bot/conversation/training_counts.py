"""Samples of somebody in training: put beside a visit, asked, refused or let count, and answered."""

from collections.abc import Collection, Sequence
from dataclasses import replace

from bot.conversation.ahead import is_assigned, not_on_the_list
from bot.conversation.asking import Asked, ask, not_dropped, samples_to_json
from bot.conversation.beside import (
    keep_beside,
    own_beside,
    sample_beside,
)
from bot.conversation.doubting import (
    CUT,
    ELSEWHERE,
    NOT_IN,
    OVER,
    REPLACE,
    SITE,
    ask_if_new,
    came_twice,
    doubts_of,
    earlier_text,
    is_the_same_text,
    whole_text_is_asked,
)
from bot.conversation.ending import reply_with_standing
from bot.conversation.promoting import Promoted, checkers_of, promote, set_against
from bot.conversation.sampling import is_the_same, total_is_wrong
from bot.conversation.taking import Taken, leave_what_cannot_be_shown
from bot.conversation.turn import Turn
from bot.field_book import InTraining, in_training
from bot.replies import (
    Fixed,
    Give,
    Waiting,
    first_words,
    fix_lead,
    number_list,
    one_sum_words,
    part_refused,
    sentences,
    sums_words,
    waiting_question,
)
from bot.rules import Plan
from parsing import (
    Counts,
    Fix,
    Form,
    Problem,
    Sample,
    echo_samples,
)
from storage import first_time


def refuse_in_training(turn: Turn, key: str, number: int) -> None:
    """Say what somebody in training cannot send, and who can; nothing is stored."""
    supervisor = turn.supervisor_of(turn.season.field_of(number))
    turn.reply(*turn.wordings(key, number=number, supervisor=supervisor))


def hear_counts_in_training(turn: Turn, said: Counts | Fix, yes_to: Collection[str] = ()) -> None:
    """Keep counts of somebody in training beside; what is doubtful is asked as of anybody."""
    site, fix = said.site, isinstance(said, Fix)
    plan = turn.book.plan_on(site, turn.day)
    if plan is None or total_is_wrong(turn, said):
        return
    if any(one.covers for one in said.samples):
        turn.reply(*turn.wordings("training.no_totals", number=site))
        return
    if any(one.shares or one.form is Form.SHARES for one in said.samples):
        refuse_in_training(turn, "training.no_shares", site)
        return
    far = in_training(turn.book, site, turn.day, turn.whose.key)
    samples = _numbered(said.samples, far)
    if samples is None:
        turn.reply(*turn.wordings("refused.no_free_number", number=site, planned=plan.samples))
        return
    if REPLACE not in yes_to and any(one.number is None for one in said.samples):
        old = _sent_before(turn, site)
        if old is not None and is_the_same_text(turn):
            _answer(turn, site, plan, Taken(same=[old]), said.problems, yes_to, fix=fix)
            return
        if old is not None:
            ask_if_new(turn, site, old, samples)
            return
    asked = said if isinstance(said, Counts) else Counts(site, said.samples)
    if (not fix or not far.numbers) and whole_text_is_asked(
        turn, replace(asked, samples=samples), yes_to, fix=fix
    ):
        return
    taken = Taken(first=not far.numbers)
    last = samples[-1] if turn.text.perhaps_cut and CUT not in yes_to else None
    for sample in samples:
        _take(turn, site, plan, sample, far, taken, yes_to, fix=fix, cut=sample is last)
    _answer(turn, site, plan, taken, said.problems, yes_to, fix=fix)


def _numbered(samples: Sequence[Sample], far: InTraining) -> tuple[Sample, ...] | None:
    """Give samples their numbers: the next is the lowest of his own that is not in. None where none is free."""
    if all(sample.number is not None for sample in samples):
        return tuple(samples)
    if far.next_number is None:
        return None
    return tuple(replace(sample, number=far.next_number) for sample in samples)


def _sent_before(turn: Turn, site: int) -> int | None:
    """Give the number that this very text, or an equal one whose answer had not left yet, put beside."""
    if not came_twice(turn):
        return None
    earlier = earlier_text(turn)
    rows = own_beside(turn, site).values()
    return next((row.number for row in rows if earlier is not None and row.text_id == earlier.id), None)


def _take(
    turn: Turn,
    site: int,
    plan: Plan,
    sample: Sample,
    far: InTraining,
    taken: Taken,
    yes_to: Collection[str],
    *,
    fix: bool,
    cut: bool,
) -> None:
    """Put one sample beside, or find why not: it is the same, over the limit, its code was guessed, its end missing."""
    old = own_beside(turn, site).get(sample.number or 0)
    doubt = doubts_of(plan, sample)
    before = sample_beside(old) if old is not None else None
    if before is not None and not cut and is_the_same(before, sample):
        taken.same.append(sample.number or 0)
        return
    if fix:
        doubt = replace(doubt, not_in=sample.number not in far.numbers and NOT_IN not in yes_to)
    elif old is not None and before is not None and not old.lost:
        doubt = replace(doubt, replaces=before, replaced_at=turn.book.local(old.counted_at))
    doubted = OVER not in yes_to and (doubt.over or doubt.guesses)
    replaced = doubt.replaces is not None and REPLACE not in yes_to
    if cut or doubt.not_in or doubted or replaced:
        taken.waiting.append(replace(doubt, cut=cut))
        return
    keep_beside(turn, site, plan, doubt.sample, old)
    first_time(turn.book.session, f"elsewhere:{turn.whose.key}:{site}:{turn.day}", turn.book.now)
    if fix:
        taken.fixed.append(Fixed(doubt.sample, before))
    else:
        taken.stored.append(doubt.sample)


def _answer(
    turn: Turn,
    site: int,
    plan: Plan,
    taken: Taken,
    problems: Sequence[Problem],
    yes_to: Collection[str],
    *,
    fix: bool,
) -> None:
    """Say what is beside, that it waits for a check, how many are in, what is asked and what was refused."""
    speech = turn.speech
    question: tuple[str, ...] = ()
    leave_what_cannot_be_shown(turn, site, plan, taken)
    if taken.waiting:
        question = waiting_question(speech, turn.season, site, taken.waiting, plan.ask_above)
        _ask(turn, site, taken.waiting, yes_to, fix=fix)
    written = [*taken.stored, *(one.now for one in taken.fixed)]
    not_dropped(turn, site, [*(one.number or 0 for one in written), *taken.same])
    faults = [part_refused(speech, problem, len(plan.codes)) for problem in problems]
    notes = [*taken.refused, *faults]
    if taken.same:
        notes.insert(0, turn.wordings("counts.same", numbers=number_list(taken.same)))
    if not written and not notes:
        turn.reply(*question)
        return
    if written and not question and not notes and _agreed_by_now(turn, site, written):
        return
    _say(turn, site, plan, taken, notes, question)


def _ask(turn: Turn, site: int, waiting: Sequence[Waiting], yes_to: Collection[str], *, fix: bool) -> None:
    waits = {
        "site": site,
        "samples": samples_to_json([one.sample for one in waiting]),
        "fix": fix,
        "yes_to": [*yes_to, SITE, ELSEWHERE, OVER, REPLACE, CUT, NOT_IN],
    }
    ask(turn, Asked.SAMPLES, turn.book.sites[site], waits)


def _agreed_by_now(turn: Turn, site: int, written: Sequence[Sample]) -> bool:
    """Let the visit stand with its last sample where a check was there before it and agrees; say so."""
    book, day = turn.book, turn.day
    if not in_training(book, site, day, turn.whose.key).complete:
        return False
    for checker in checkers_of(book, site, day):
        for one in set_against(book, site, day, checker):
            if one.trainee != turn.whose.key or not one.found.agrees:
                continue
            promoted = promote(book, site, day, one.trainee, turn.text.id)
            if promoted.numbers:
                _say_agreed(turn, site, written, checker, promoted)
                return True
    return False


def _say_agreed(turn: Turn, site: int, written: Sequence[Sample], checker: str, promoted: Promoted) -> None:
    known = turn.book.person(checker)
    values: dict[str, object] = {
        "number": site,
        "name": known.first_name if known is not None else checker,
        "numbers": number_list(list(promoted.numbers)),
    }
    echoes = (echo_samples(written), echo_samples(written, packed=True), *_by_sums(turn, written))
    lead = tuple(turn.say("training.agreed", echo=echo, **values) for echo in echoes)
    left = number_list(list(promoted.left))
    notes = turn.wordings("check.left", numbers=left, name=turn.whose.first_name)
    reply_with_standing(turn, site, lead, (notes,) if promoted.left else ())


def _by_sums(turn: Turn, samples: Sequence[Sample]) -> tuple[str, str]:
    return sums_words(turn.speech, samples), one_sum_words(turn.speech, samples)


def _say(
    turn: Turn,
    site: int,
    plan: Plan,
    taken: Taken,
    notes: Sequence[tuple[str, ...]],
    question: tuple[str, ...],
) -> None:
    """Answer with the fullest wording that fits: the method goes, then words, then counts to sums, then how many."""
    speech, name = turn.speech, turn.whose.first_name
    written = [*taken.stored, *(one.now for one in taken.fixed)]
    far = in_training(turn.book, site, turn.day, turn.whose.key)
    values: dict[str, object] = {"number": site, "name": name}
    if taken.fixed:
        leads = fix_lead(speech, site, taken.fixed)
        waits = turn.wordings("training.fixed", name=name)
        full = [f"{leads[0]} {waits[0]}", f"{leads[1]} {waits[-1]}"]
        short = [f"{lead} {waits[-1]}" for lead in leads[2:]]
    elif written:
        echo, packed = echo_samples(written), echo_samples(written, packed=True)
        full = [turn.say("training.kept", echo=echo, **values)]
        short = [
            turn.say("training.kept_short", echo=one, **values)
            for one in (echo, packed, *_by_sums(turn, written))
        ]
    else:
        full, short = [f"{site}:"], [f"{site}:"]
    key = (
        "training.complete"
        if far.complete
        else ("counts.in_one" if len(far.numbers) == 1 else "counts.in_many")
    )
    in_ = turn.say(key, n=len(far.numbers), planned=far.planned)
    first = first_words(speech, plan, Give.NOTHING, turn.book.effort_of(site, turn.day, turn.sent))
    tail: tuple[str, ...] = ("", "")
    if taken.first and written and not is_assigned(turn, site):
        tail = not_on_the_list(turn, site, turn.book.sites[site])
    method = first if taken.first and written else ""
    said, bare = (" ".join(note[place] for note in notes) for place in (0, -1))
    asked = (question[0], question[-3], *question[-2:]) if question else ("",) * 4
    turn.reply(
        sentences([full[0], method, in_, said, tail[0], asked[0]]),
        *(sentences([lead, method, in_, said, tail[1], asked[0]]) for lead in (*full, short[0])),
        *(sentences([lead, in_, said, tail[1], asked[0]]) for lead in (*full, *short)),
        *(sentences([lead, in_, bare, one]) for one in asked for lead in short),
        sentences([short[-1], bare, asked[-1]]),
    )
