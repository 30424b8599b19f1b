"""What counts of every kind go through: the control total, whether they are the same, whether UNDO came twice."""

from collections.abc import Sequence
from datetime import timedelta

from bot.conversation.taking import sample_of
from bot.conversation.turn import Turn
from bot.replies import part_refused
from parsing import TOTALS, Counts, Fix, Sample, Undo
from storage import standing_samples, understood_lately, visit_on

UNDO_AGAIN_WITHIN = timedelta(minutes=10)


def total_is_wrong(turn: Turn, said: Counts | Fix) -> bool:
    """Refuse the whole text where its control total fails, or stands beside a part that could not be read."""
    if said.control is None:
        return False
    insects = sum(sample.insects for sample in said.samples)
    if said.problems:
        plan = turn.book.plan_on(said.site, turn.day)
        whys = part_refused(turn.speech, said.problems[0], len(plan.codes) if plan is not None else 0)
        turn.reply(*(turn.say("refused.control_with_faults", number=said.site, why=why) for why in whys))
        return True
    if insects != said.control:
        turn.reply(
            *turn.wordings("refused.control_total", number=said.site, control=said.control, sum=insects)
        )
        return True
    return False


def control_meets_another(turn: Turn, site: int, samples: Sequence[Sample]) -> bool:
    """Refuse a whole text with a control total where one of its samples is in from somebody else, counted otherwise."""
    visit = visit_on(turn.book.session, site, turn.day)
    rows = {row.number: row for row in standing_samples(visit) if not row.lost} if visit is not None else {}
    for sample in samples:
        row = rows.get(sample.number or TOTALS)
        if row is None or row.person == turn.whose.key or is_the_same(sample_of(row), sample):
            continue
        person = turn.book.person(row.person)
        name = person.first_name if person is not None else row.person
        turn.reply(*turn.wordings("refused.control_with_other", number=site, sample=row.number, name=name))
        return True
    return False


def is_the_same(one: Sample, other: Sample) -> bool:
    """Tell whether two samples were counted alike, in whatever form they were sent."""
    return _meant(one) == _meant(other)


def _meant(sample: Sample) -> tuple[object, ...]:
    return sample.lost, sample.covers, dict(sample.counts), dict(sample.extras)


def undone_lately(turn: Turn) -> bool:
    """Tell whether the same phone sent an UNDO shortly before."""
    since = turn.text.received_at - UNDO_AGAIN_WITHIN
    return understood_lately(turn.book.session, turn.text, Undo.__name__, since)
