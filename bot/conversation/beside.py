"""Counts kept beside a visit, in no total: checks, and what people in training count. Written down and taken back."""

from collections.abc import Sequence
from dataclasses import dataclass

from bot.conversation.asking import Asked, ask
from bot.conversation.taking import copy_of_check, sample_of
from bot.conversation.turn import Turn
from bot.replies import number_list
from bot.rules import Plan
from parsing import Form, Sample, counts_in_codes, echo_samples
from storage import CheckRow, SampleRow, checks_on


def sample_beside(row: CheckRow | SampleRow) -> Sample:
    """Give a stored count as it was read, whether it stands beside or in the visit."""
    if isinstance(row, SampleRow):
        return sample_of(row)
    form = Form.LOST if row.lost else Form(row.form)
    return Sample(row.number, form, tuple(row.counts.items()), tuple(row.extras.items()))


def own_beside(turn: Turn, site: int) -> dict[int, CheckRow]:
    """Give what the person has beside at a site on the day, by sample number."""
    rows = checks_on(turn.book.session, site, turn.day, turn.whose.key)
    return {row.number: row for row in rows}


def name_of(turn: Turn, row: CheckRow | SampleRow) -> str:
    """Give the first name of whoever counted."""
    person = turn.book.person(row.person)
    return person.first_name if person is not None else row.person


def keep_beside(turn: Turn, site: int, plan: Plan, sample: Sample, old: CheckRow | None) -> None:
    """Write a count down beside the visit; one of the same person that it replaces stays on record."""
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
            trainee=turn.whose.trainee,
            plan=plan.key,
            text_id=turn.text.id,
            counted_at=turn.sent,
            replaces=old.id if old is not None else None,
        )
    )
    book.session.flush()


def newest_beside(turn: Turn, site: int) -> list[CheckRow]:
    """Give what the person's newest text put beside a site."""
    rows = checks_on(turn.book.session, site, turn.day, turn.whose.key)
    newest = max((row.text_id for row in rows), default=None)
    return [row for row in rows if row.text_id == newest]


def ask_undo_beside(turn: Turn, site: int, taken: Sequence[CheckRow]) -> None:
    """Ask whether to take back what a text put beside."""
    ask(turn, Asked.UNDO, turn.book.sites[site], {"number": site})
    time = turn.speech.hour(turn.book.local(taken[0].counted_at))
    samples = [sample_beside(row) for row in taken]
    values: dict[str, object] = {"number": site, "time": time}
    turn.reply(
        turn.say("waits.undo", echo=echo_samples(samples), **values),
        turn.say("waits.undo", echo=echo_samples(samples, packed=True), **values),
        turn.say("waits.undo_short", numbers=number_list([row.number for row in taken]), **values),
    )


@dataclass(frozen=True, slots=True)
class TakenBack:
    """What was taken back, and how it is said: wordings from fullest to barest."""

    rows: tuple[CheckRow, ...]
    said: tuple[str, ...]


def take_back_beside(turn: Turn, site: int) -> TakenBack:
    """Take back what the person's newest text put beside a site; what it had replaced stands beside again."""
    session = turn.book.session
    taken = newest_beside(turn, site)
    again: list[CheckRow] = []
    for row in taken:
        row.ended_at, row.ended_by = turn.book.now, turn.text.id
        session.flush()
        old = session.get(CheckRow, row.replaces) if row.replaces is not None else None
        if old is not None:
            again.append(copy_of_check(old))
            session.add(again[-1])
            session.flush()
    samples = [sample_beside(row) for row in taken]
    note = " ".join(
        turn.say("undo.restored", sample=row.number, counts=counts_in_codes(sample_beside(row)))
        for row in again
    )
    numbers = number_list([row.number for row in taken])
    said = (
        f"{turn.say('undo.done', number=site, echo=echo_samples(samples))} {note}".strip(),
        f"{turn.say('undo.done', number=site, echo=echo_samples(samples, packed=True))} {note}".strip(),
        turn.say("undo.done_short", number=site, numbers=numbers),
    )
    return TakenBack(tuple(taken), said)
