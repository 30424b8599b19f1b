"""What becomes of the samples of a text: stored, the same, asked, refused; and how the refusals are said."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace

from bot.conversation.sharing import StopNote
from bot.conversation.turn import Turn
from bot.replies import Fixed, Waiting, number_list, until_last, waiting_question
from bot.rules import Plan
from parsing import TEXT_SEPTETS, Form, Sample, ShareFound, counts_in_codes, fold, septets
from storage import CheckRow, SampleRow, ShareRow, VisitState, standing_samples, visit_on

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
    shares: list[StopNote] = field(default_factory=list)


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
    barest = turn.say("refused.taken_by_other_barest", **values)
    full = turn.say("refused.taken_by_other_full", **values)
    if free is None:
        return full, short, barest
    return turn.say("refused.taken_by_other", free=free, **values), full, short, barest


def draw_together(turn: Turn, site: int, taken: Taken) -> None:
    """Say in one sentence what several samples have in common: that they are in from others."""
    if len(taken.of_others) < 2:
        return
    people = [turn.book.person(row.person) for row in taken.of_others]
    names = dict.fromkeys(one.first_name for one in people if one is not None)
    samples = number_list([row.number for row in taken.of_others])
    said = turn.wordings(
        "parts.many_taken", number=site, samples=samples, names=turn.speech.names(list(names))
    )
    taken.refused = [until_last(said, turn.say("counts.unchanged", samples=samples))]


def leave_what_cannot_be_shown(turn: Turn, site: int, plan: Plan, taken: Taken) -> None:
    """Refuse what has no room in one question: too many samples beside others, old counts beside new ones."""
    alone = not (taken.stored or taken.fixed or taken.refused)
    if not alone and len(taken.waiting) > MOST_ASKED_TOGETHER:
        left = taken.waiting[MOST_ASKED_TOGETHER:]
        taken.waiting = taken.waiting[:MOST_ASKED_TOGETHER]
        samples = number_list([one.sample.number or 0 for one in left])
        taken.refused.append(turn.wordings("parts.many_left", samples=samples))
    replaced = [one for one in taken.waiting if one.replaces is not None]
    if not replaced:
        return
    # the last wording but two: old and new counts in full, before any sums
    shown = waiting_question(turn.speech, turn.season, site, taken.waiting, plan.ask_above)[-3]
    if septets(fold(shown)) <= (TEXT_SEPTETS if alone else MOST_ASKED_BESIDE):
        return
    samples = number_list([one.sample.number or 0 for one in replaced])
    taken.waiting = [one for one in taken.waiting if one.replaces is None]
    last = turn.say("counts.unchanged", samples=samples)
    taken.refused.append(until_last(turn.wordings("parts.many_own", number=site, samples=samples), last))


def sample_of(row: SampleRow) -> Sample:
    """Give a stored sample as it was read."""
    form = Form.LOST if row.lost else Form(row.form)
    counts, extras = tuple(row.counts.items()), tuple(row.extras.items())
    return Sample(row.number, form, counts, extras, covers=row.covers)


def with_stop_shares(
    rows: Sequence[SampleRow], shares: Sequence[ShareRow]
) -> tuple[list[Sample], list[ShareRow]]:
    """Give stored samples with the shares of their stops, and the shares that are of a whole site."""
    stops: dict[int, list[ShareFound]] = {}
    for share in shares:
        if share.sample is not None:
            stops.setdefault(share.sample, []).append(ShareFound(share.code, share.n, share.of))
    samples = [replace(sample_of(row), shares=tuple(stops.pop(row.number, ()))) for row in rows]
    samples += [Sample(number, Form.SHARES, shares=tuple(found)) for number, found in sorted(stops.items())]
    whole = [share for share in shares if share.sample is None]
    return sorted(samples, key=lambda sample: sample.number or 0), whole


def copy_of(row: SampleRow) -> SampleRow:
    """Give a stored sample again, as a row that stands: still known by the text that it came with."""
    return SampleRow(
        visit=row.visit,
        number=row.number,
        form=row.form,
        counts=row.counts,
        extras=row.extras,
        lost=row.lost,
        covers=row.covers,
        effort=row.effort,
        person=row.person,
        assigned=row.assigned,
        text_id=row.text_id,
        counted_at=row.counted_at,
        replaces=row.replaces,
    )


def copy_of_share(row: ShareRow) -> ShareRow:
    """Give a stored share again, as a row that stands: still known by the text that it came with."""
    return ShareRow(
        number=row.number,
        field=row.field,
        day=row.day,
        code=row.code,
        sample=row.sample,
        n=row.n,
        of=row.of,
        asked=row.asked,
        person=row.person,
        text_id=row.text_id,
        counted_at=row.counted_at,
        replaces=row.replaces,
    )


def copy_of_check(row: CheckRow) -> CheckRow:
    """Give a stored check count again, as a row that stands: still known by the text that it came with."""
    return CheckRow(
        site=row.site,
        field=row.field,
        day=row.day,
        number=row.number,
        form=row.form,
        counts=row.counts,
        extras=row.extras,
        lost=row.lost,
        effort=row.effort,
        person=row.person,
        trainee=row.trainee,
        plan=row.plan,
        text_id=row.text_id,
        counted_at=row.counted_at,
        replaces=row.replaces,
    )


def reopen_if_empty(turn: Turn, site: int) -> None:
    """Let a visit that was ended short go on where nothing is left in it."""
    visit = visit_on(turn.book.session, site, turn.day)
    if visit is not None and visit.state == VisitState.SHORT and not standing_samples(visit):
        visit.state, visit.reason = VisitState.OPEN, None
