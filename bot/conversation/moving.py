"""MOVE: a sender's own samples and shares of today go to the site where they were counted."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from bot.conversation.ahead import is_assigned, not_on_the_list
from bot.conversation.asking import Asked, ask
from bot.conversation.ending import reply_with_standing
from bot.conversation.taking import copy_of, copy_of_share, reopen_if_empty, sample_of, with_stop_shares
from bot.conversation.turn import Turn
from bot.field_book import begin_visit
from bot.replies import number_list
from parsing import BREAK, TOTALS, Move, echo_samples
from storage import (
    SampleRow,
    ShareRow,
    VisitState,
    end_sample,
    shares_on,
    standing_samples,
    visit_on,
)


@dataclass(frozen=True, slots=True)
class _Own:
    """What somebody has standing at a site on a day."""

    samples: tuple[SampleRow, ...]
    shares: tuple[ShareRow, ...]


def hear_move(turn: Turn, said: Move) -> None:
    """Ask whether the sender's own samples of today go to another site, with the list; refuse what collides."""
    own = _own_at(turn, said.number)
    if not own.samples and not own.shares:
        turn.reply(turn.say("move.nothing", number=said.number))
        return
    refused = _why_not(turn, said.number, said.to, own)
    if refused is not None:
        turn.reply(refused)
        return
    rows = {"samples": [row.id for row in own.samples], "shares": [row.id for row in own.shares]}
    ask(turn, Asked.MOVE, turn.book.sites[said.number], {"number": said.number, "to": said.to, **rows})
    values: dict[str, object] = {"number": said.number, "to": said.to}
    name = turn.book.sites[said.to].name
    turn.reply(
        turn.say("move.ask", said=_said(own), name=f" {name}", **values),
        turn.say("move.ask", said=_said(own), name="", **values),
        turn.say("move.ask", said=_said(own, packed=True), name="", **values),
        turn.say("move.ask", said=_listed(turn, own), name="", **values),
    )


def has_own_at(turn: Turn, site: int) -> bool:
    """Tell whether the sender has samples or shares of today at a site."""
    own = _own_at(turn, site)
    return bool(own.samples or own.shares)


def _own_at(turn: Turn, site: int) -> _Own:
    visit = visit_on(turn.book.session, site, turn.day)
    samples = standing_samples(visit) if visit is not None else []
    shares = shares_on(turn.book.session, site, turn.day)
    mine = turn.whose.key
    return _Own(
        tuple(row for row in samples if row.person == mine),
        tuple(share for share in shares if share.person == mine),
    )


def _why_not(turn: Turn, number: int, to: int, own: _Own) -> str | None:
    """Give why samples may not go to a site: itself, another card, numbers that are in there already."""
    book = turn.book
    if to == number:
        return turn.say("move.same", number=number)
    plan, here = book.plan_on(to, turn.day), book.plan_on(number, turn.day)
    if plan is None or here is None:
        return turn.say("refused.stage_needed", number=to, field=book.sites[to].number)
    if (plan.method, plan.codes, plan.each) != (here.method, here.codes, here.each):
        return turn.say("move.other_card", number=number, to=to)
    visit = visit_on(book.session, to, turn.day)
    if visit is not None and visit.state == VisitState.SKIPPED:
        return turn.say("move.skipped", to=to)
    there = {row.number for row in standing_samples(visit) if not row.lost} if visit is not None else set()
    numbers = {row.number for row in own.samples}
    totals = TOTALS in numbers | there and bool(there) and bool(numbers)
    clash = sorted(there) if totals else sorted(numbers & there)
    if clash:
        return turn.say("move.collide", to=to, numbers=number_list(clash))
    beyond = [one for one in numbers if one > plan.samples]
    if beyond:
        return turn.say("move.beyond", to=to, planned=plan.samples)
    codes = {(share.code, share.sample) for share in shares_on(book.session, to, turn.day)}
    twice = [share.code for share in own.shares if (share.code, share.sample) in codes]
    return turn.say("move.share_collides", to=to, code=twice[0]) if twice else None


def _said(own: _Own, *, packed: bool = False) -> str:
    samples, whole = with_stop_shares(own.samples, own.shares)
    parts = [echo_samples(samples, packed=packed)] if samples else []
    return BREAK.join([*parts, *(f"{share.code} {share.n} {share.of}" for share in whole)])


def _listed(turn: Turn, own: _Own) -> str:
    """Give the numbers of the samples and the sum of their counts, where the counts have no room."""
    insects = sum(sample_of(row).insects for row in own.samples)
    numbers = number_list([row.number for row in own.samples])
    shares = " ".join(dict.fromkeys(share.code for share in own.shares))
    return f"{turn.say('counts.one_sum', numbers=numbers, sum=insects)} {shares}".strip()


def move(turn: Turn, waits: dict[str, Any]) -> None:
    """Do a move as it was asked: the rows that still stand go over, each still known by the text it came with."""
    session, number, to = turn.book.session, waits["number"], waits["to"]
    own = _own_at(turn, number)
    own = _Own(
        tuple(row for row in own.samples if row.id in waits["samples"]),
        tuple(share for share in own.shares if share.id in waits["shares"]),
    )
    if not own.samples and not own.shares:
        turn.reply(turn.say("move.nothing", number=number))
        return
    refused = _why_not(turn, number, to, own)
    if refused is not None:
        turn.reply(refused)
        return
    said = (_said(own), _said(own, packed=True), _listed(turn, own))
    there = visit_on(session, to, turn.day)
    first = bool(own.samples) and (there is None or not standing_samples(there))
    _move_samples(turn, to, own.samples)
    for share in own.shares:
        share.ended_at, share.ended_by = turn.book.now, turn.text.id
        moved = copy_of_share(share)
        moved.number, moved.field, moved.replaces = to, turn.book.sites[to].number, None
        session.add(moved)
    session.flush()
    reopen_if_empty(turn, number)
    lead = tuple(turn.say("move.done", number=number, to=to, said=one) for one in said)
    field_ = turn.book.sites[to]
    tail = () if is_assigned(turn, to) else (not_on_the_list(turn, to, field_),)
    reply_with_standing(turn, to, lead, tail, ahead=True, first=first)


def _move_samples(turn: Turn, to: int, rows: Sequence[SampleRow]) -> None:
    book = turn.book
    plan = book.plan_on(to, turn.day)
    if not rows or plan is None:
        return
    visit = begin_visit(book, to, turn.day, turn.whose.key, plan)
    assigned = is_assigned(turn, to)
    for lost in [row for row in standing_samples(visit) if row.number in {one.number for one in rows}]:
        end_sample(book.session, lost, turn.text.id, book.now)
    for row in rows:
        end_sample(book.session, row, turn.text.id, book.now)
        moved = copy_of(row)
        moved.visit, moved.replaces = visit, None
        moved.assigned = assigned
        book.session.add(moved)
    book.session.flush()
