"""Samples written down: what each replaces, the shares that go with it, the visit that it begins."""

from collections.abc import Collection
from dataclasses import replace

from bot.conversation.ahead import is_assigned
from bot.conversation.doubting import SHARE
from bot.conversation.sharing import keep_stop_shares
from bot.conversation.taking import Taken, sample_of
from bot.conversation.turn import Turn
from bot.field_book import begin_visit
from bot.replies import Waiting
from bot.rules import Plan
from parsing import TOTALS, Sample
from storage import SampleRow, Visit, end_sample, first_time, standing_samples, visit_on


def keep_shares(turn: Turn, site: int, sample: Sample, taken: Taken, yes_to: Collection[str]) -> Sample:
    """Keep the shares of a sample's stop; give the sample with those that stand, and note what must be said."""
    kept, said = keep_stop_shares(turn, site, sample, asked=SHARE in yes_to)
    taken.shares += said
    return kept


def in_place_of(turn: Turn, site: int, waiting: Waiting) -> Waiting:
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


def store_sample(turn: Turn, site: int, plan: Plan, sample: Sample, replaces: SampleRow | None) -> Visit:
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
        assigned=is_assigned(turn, site),
        text_id=turn.text.id,
        counted_at=turn.sent,
        replaces=replaces.id if replaces is not None else None,
    )
    session.add(row)
    session.flush()
    first_time(session, f"elsewhere:{turn.whose.key}:{site}:{turn.day}", now)
    return visit
