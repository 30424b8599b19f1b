"""What becomes of the samples of a text: stored, the same, asked, refused; and how the refusals are said."""

from collections.abc import Collection
from dataclasses import dataclass, field

from bot.conversation.turn import Turn
from bot.replies import (
    Fixed,
    Waiting,
    number_list,
    waiting_question,
)
from bot.rules import Plan
from parsing import (
    TEXT_SEPTETS,
    Form,
    Sample,
    counts_in_codes,
    fold,
    septets,
)
from storage import (
    SampleRow,
    standing_samples,
    visit_on,
)

MOST_ASKED_BESIDE = 80
"""Septets that a question may take up in a reply that says more than it."""


MOST_ASKED_TOGETHER = 3
"""Samples that one question covers in a reply that says more than it."""


@dataclass(slots=True)
class Taken:
    """What became of the samples of a text."""

    stored: list[Sample] = field(default_factory=list)
    fixed: list[Fixed] = field(default_factory=list)
    same: list[int] = field(default_factory=list)
    refused: list[tuple[str, ...]] = field(default_factory=list)
    of_others: list[SampleRow] = field(default_factory=list)
    waiting: list[Waiting] = field(default_factory=list)
    first: bool = False
    first_own: bool = False
    goes_on: bool = False


def free_number(turn: Turn, site: int, plan: Plan, beside: Collection[int] = ()) -> int | None:
    """Give the lowest sample number not in at a site today; lost ones are free again."""
    visit = visit_on(turn.book.session, site, turn.day)
    rows = standing_samples(visit) if visit is not None else []
    have = {row.number for row in rows if not row.lost} | set(beside)
    return next((number for number in range(1, plan.samples + 1) if number not in have), None)


def in_from_other(turn: Turn, site: int, plan: Plan, row: SampleRow, sample: Sample) -> tuple[str, ...]:
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


def draw_together(turn: Turn, taken: Taken) -> None:
    """Say in one sentence what several samples have in common: that they are in from others."""
    if len(taken.of_others) < 2:
        return
    people = [turn.book.person(row.person) for row in taken.of_others]
    names = dict.fromkeys(one.first_name for one in people if one is not None)
    samples = number_list([row.number for row in taken.of_others])
    said = turn.say("parts.many_taken", samples=samples, names=turn.speech.names(list(names)))
    taken.refused = [(said,)]


def leave_what_cannot_be_shown(turn: Turn, site: int, plan: Plan, taken: Taken) -> None:
    """Refuse what has no room in one question: too many samples beside others, old counts beside new ones."""
    alone = not (taken.stored or taken.fixed or taken.refused)
    if not alone and len(taken.waiting) > MOST_ASKED_TOGETHER:
        left = taken.waiting[MOST_ASKED_TOGETHER:]
        taken.waiting = taken.waiting[:MOST_ASKED_TOGETHER]
        samples = number_list([one.sample.number or 0 for one in left])
        taken.refused.append((turn.say("parts.many_left", samples=samples),))
    replaced = [one for one in taken.waiting if one.replaces is not None]
    if not replaced:
        return
    # the last wording but two: old and new counts in full, before any sums
    shown = waiting_question(turn.speech, turn.season, site, taken.waiting, plan.ask_above)[-3]
    if septets(fold(shown)) <= (TEXT_SEPTETS if alone else MOST_ASKED_BESIDE):
        return
    samples = number_list([one.sample.number or 0 for one in replaced])
    taken.waiting = [one for one in taken.waiting if one.replaces is None]
    taken.refused.append((turn.say("parts.many_own", samples=samples),))


def sample_of(row: SampleRow) -> Sample:
    """Give a stored sample as it was read."""
    form = Form.LOST if row.lost else Form(row.form)
    return Sample(row.number, form, tuple(row.counts.items()), tuple(row.extras.items()))
