"""What is said of a site beside its counts: notes and conditions, the effort of a sample, where it lies."""

from fractions import Fraction

from bot.conversation.asking import Asked, ask
from bot.conversation.moving import has_own_at, hear_move
from bot.conversation.taking import copy_of
from bot.conversation.turn import Turn, tell_supervisors
from bot.replies import first_fitting, named, number_list, shortened
from bot.rules import Effort, Plan
from parsing import Each, Move, Note, Remark
from storage import EffortRow, RemarkRow, SampleRow, end_sample, remarks_on, standing_samples, visit_on

LEAST_EFFORT, MOST_EFFORT = Fraction(1, 2), Fraction(3, 2)
"""How far the effort of a sample may lie from the plan's (texts.md, EACH)."""


def hear_note(turn: Turn, said: Note) -> None:
    """Keep free words or a condition; a NOTE of nothing but a site's number may be MOVE on the same keys."""
    field = turn.book.season.field_of(said.number)
    if field is None:
        return
    if said.site is not None and said.number in turn.book.sites and has_own_at(turn, said.number):
        hear_move(turn, Move(said.number, said.site))
        return
    if said.site is not None:
        ask(turn, Asked.NOTE, field, {"number": said.number, "words": said.words})
        turn.reply(*turn.wordings("waits.note", number=said.number, words=said.words))
        return
    session = turn.book.session
    values: dict[str, object] = {"number": said.number, "about": turn.say(f"remarks.{said.about}")}
    earlier = remarks_on(session, said.number, turn.day)
    same = [
        row
        for row in earlier
        if (row.about, row.words, row.person) == (said.about, said.words, turn.whose.key)
    ]
    if not same:
        session.add(
            RemarkRow(
                number=said.number,
                field=field.number,
                day=turn.day,
                about=said.about.value,
                words=said.words,
                person=turn.whose.key,
                text_id=turn.text.id,
                said_at=turn.sent,
            )
        )
        session.flush()
    key = "remarks.same" if same else "remarks.kept"
    if said.about is Remark.NOTE:
        words = said.words or ""
        turn.reply(
            *(turn.say(f"{key}_note", words=shortened(words, most), **values) for most in (160, 120, 80, 40))
        )
    else:
        words = f": {shortened(said.words, 80)}" if said.words else ""
        turn.reply(turn.say(key, **values, words=words))


def hear_each(turn: Turn, said: Each) -> None:
    """Set the effort of one sample at a site for the samples sent after it today; a supervisor is told."""
    book, site = turn.book, said.number
    plan = book.plan_on(site, turn.day)
    field = book.sites[site]
    if plan is None:
        turn.reply(*turn.wordings("refused.stage_needed", number=site, field=field.number))
        return
    amount = Fraction(said.amount)
    planned = plan.each.amount
    words = turn.speech.effort(Effort(amount, plan.each.unit))
    values: dict[str, object] = {"number": site, "effort": words, "planned": turn.speech.effort(plan.each)}
    if not LEAST_EFFORT * planned <= amount <= MOST_EFFORT * planned:
        turn.reply(*turn.wordings("each.too_far", **values))
        return
    if (book.effort_of(site, turn.day, turn.sent) or planned) == amount:
        turn.reply(turn.say("each.same", **values))
        return
    book.session.add(
        EffortRow(
            site=site,
            field=field.number,
            day=turn.day,
            amount=str(amount),
            person=turn.whose.key,
            text_id=turn.text.id,
            said_at=turn.sent,
        )
    )
    book.session.flush()
    late = _with_effort_of_their_time(turn, site, plan)
    changed = turn.say("each.late", numbers=number_list(late)) if late else ""
    supervisor = turn.who_hears(field)
    key = "each.as_planned" if amount == planned else "each.set"
    turn.reply(turn.say(key, late=changed, supervisor=supervisor, **values))
    if amount != planned:
        _tell_effort(turn, site, Effort(amount, plan.each.unit), plan)


def _with_effort_of_their_time(turn: Turn, site: int, plan: Plan) -> list[int]:
    """Give samples that were sent after EACH but came before it their effort; the old rows stay on record."""
    book = turn.book
    visit = visit_on(book.session, site, turn.day)
    changed: list[SampleRow] = []
    for row in standing_samples(visit) if visit is not None else []:
        effort = book.effort_of(site, turn.day, row.counted_at) or plan.each.amount
        if Fraction(row.effort) != effort:
            end_sample(book.session, row, turn.text.id, book.now)
            again = copy_of(row)
            again.effort = str(effort)
            book.session.add(again)
            changed.append(again)
    book.session.flush()
    return [row.number for row in changed]


def _tell_effort(turn: Turn, site: int, effort: Effort, plan: Plan) -> None:
    field = turn.book.sites[site]
    tell_supervisors(
        turn.book,
        field,
        f"each:{turn.text.id}",
        lambda speech: first_fitting(
            *(
                speech.say(
                    "notice.each",
                    name=turn.whose.first_name,
                    site=site,
                    field_name=name,
                    effort=speech.effort(effort),
                    planned=speech.effort(plan.each),
                )
                for name in named(field.name)
            )
        ),
        cause=turn.text.id,
    )
