"""The answer to counts: what was stored, what waits, what was refused, and how the site stands."""

from collections.abc import Collection, Sequence
from dataclasses import replace

from bot.conversation.ahead import is_assigned, not_on_the_list, was_it_the_day_before, what_is_next
from bot.conversation.asking import Asked, ask, not_dropped, samples_to_json
from bot.conversation.doubting import CUT, ELSEWHERE, NOT_IN, OVER, REPLACE, SITE
from bot.conversation.method_hours import sent_outside_hours
from bot.conversation.sharing import stop_notes, sums_of_stops
from bot.conversation.taking import Taken, draw_together, leave_what_cannot_be_shown
from bot.conversation.turn import Turn
from bot.replies import (
    CountsAnswer,
    NotStored,
    Stands,
    counts_reply,
    dropped_last,
    fix_lead,
    is_close_call,
    number_list,
    part_refused,
    septets_of,
    until_last,
    waiting_question,
)
from bot.rules import Plan
from parsing import Problem, Sample, echo_samples
from storage import standing_samples, visit_on


def answer_counted(
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
    draw_together(turn, site, taken)
    leave_what_cannot_be_shown(turn, site, plan, taken)
    if taken.waiting:
        question = waiting_question(speech, turn.season, site, taken.waiting, plan.ask_above)
    written = [one.number for one in taken.stored if one.number is not None]
    written += [one.now.number or 0 for one in taken.fixed]
    not_dropped(turn, site, [*written, *taken.same])
    if not written and not taken.same and not problems and len(taken.refused) + bool(question) == 1:
        _ask(turn, site, taken, yes_to, fix=fix)
        turn.reply(*(question or taken.refused[0]))
        return
    not_stored = tuple(
        NotStored(problem.sample, part_refused(speech, problem, len(plan.codes))) for problem in problems
    )
    notes = [*taken.refused, *stop_notes(turn, site, taken.shares), *sums_of_stops(turn, site, sent)]
    if taken.same:
        notes.insert(0, until_last(turn.wordings("counts.same", numbers=number_list(taken.same))))
    view = turn.book.site_view(site, turn.day)
    if view.visit is not None and not view.visit.spread_known:
        notes.append(dropped_last(turn.say("counts.from_totals")))
    if taken.first:
        notes += was_it_the_day_before(turn, site, taken.stored)
    if written:
        notes += sent_outside_hours(turn, site, plan)
    if taken.goes_on:
        notes.append(dropped_last(turn.say("counts.goes_on")))
    tail: tuple[str, ...] = ()
    if taken.first_own and not _was_his(turn, site):
        tail = not_on_the_list(turn, site, field_)
    if view.visit is None:
        _ask(turn, site, taken, yes_to, fix=fix)
    if view.visit is None and taken.stored:
        # stops at which shares alone were looked at begin no visit
        said = " ".join(note[0] for note in notes)
        turn.reply(f"{site} {echo_samples(taken.stored)}. {said}", f"{site} {echo_samples(taken.stored)}.")
        return
    if view.visit is None:
        parts = [*notes, *(part.wordings for part in not_stored)]
        full, bare = (" ".join(one[place] for one in parts).strip() for place in (0, -1))
        asked = question or ("",)
        turn.reply(*(f"{said} {one}".strip() for said in (full, bare) for one in asked))
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
        close_call=_close_call(turn, stands),
        ahead=ahead,
    )
    said = counts_reply(turn.speech, stands, answer)
    if question and septets_of(said) > turn.speech.room:
        # what was stored, and that the rest was not, goes before a question
        left = [one.sample.number for one in taken.waiting]
        unasked = tuple(NotStored(one, turn.wordings("parts.many_left", samples=one)) for one in left)
        answer = replace(answer, question=(), not_stored=(*not_stored, *unasked))
        said = counts_reply(turn.speech, stands, answer)
    else:
        _ask(turn, site, taken, yes_to, fix=fix)
    turn.reply(said)


def _ask(turn: Turn, site: int, taken: Taken, yes_to: Collection[str], *, fix: bool) -> None:
    """Ask about the samples that wait, if any do."""
    if not taken.waiting:
        return
    waits = {
        "site": site,
        "samples": samples_to_json([one.sample for one in taken.waiting]),
        "fix": fix,
        "yes_to": [*yes_to, SITE, ELSEWHERE, OVER, REPLACE, CUT, NOT_IN],
    }
    ask(turn, Asked.SAMPLES, turn.book.sites[site], waits)


def _close_call(turn: Turn, stands: Stands) -> str:
    """Say who decides on more samples where a finished site is a close call."""
    if not any(is_close_call(one) for one in stands.counted):
        return ""
    return turn.say("counts.close_call_told", supervisor=turn.who_hears(stands.field))


def _was_his(turn: Turn, site: int) -> bool:
    """Tell whether the site was the sender's when this text came: a hand-over ends with the visit that it is for."""
    visit = visit_on(turn.book.session, site, turn.day)
    rows = standing_samples(visit) if visit is not None else []
    came = [row.assigned for row in rows if row.text_id == turn.text.id]
    return came[0] if came else is_assigned(turn, site)
