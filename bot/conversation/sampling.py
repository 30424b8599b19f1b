"""What counts of every kind go through: the control total, whether they are the same, whether UNDO came twice."""

from datetime import timedelta

from bot.conversation.turn import Turn
from parsing import Counts, Fix, Sample, Undo
from storage import understood_lately

UNDO_AGAIN_WITHIN = timedelta(minutes=10)


def total_is_wrong(turn: Turn, said: Counts | Fix) -> bool:
    """Refuse the whole text where its control total fails, or stands beside a part that could not be read."""
    if said.control is None:
        return False
    insects = sum(sample.insects for sample in said.samples)
    if said.problems:
        sample = said.problems[0].sample
        turn.reply(
            turn.say("refused.control_with_faults", number=said.site, sample="" if sample is None else sample)
        )
        return True
    if insects != said.control:
        turn.reply(
            *turn.wordings("refused.control_total", number=said.site, control=said.control, sum=insects)
        )
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
