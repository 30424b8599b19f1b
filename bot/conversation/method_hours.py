"""Counts sent outside the hours in which their method works: kept as they are, and said, once a visit."""

from bot.conversation.turn import Turn
from bot.field_book import works_at
from bot.replies import method_word, until_last
from bot.rules import Plan
from storage import first_time


def sent_outside_hours(turn: Turn, site: int, plan: Plan) -> list[tuple[str, ...]]:
    """Give the note that a visit's counts were sent outside its method's hours; none where they are of another day."""
    sent = turn.book.local(turn.sent)
    if plan.hours is None or sent.date() != turn.day or turn.day_said or works_at(plan, sent):
        return []
    if not first_time(turn.book.session, f"outside-hours:{site}:{turn.day}", turn.book.now):
        return []
    wordings = turn.wordings(
        "plan.outside_hours",
        time=turn.speech.clock(sent),
        method=method_word(turn.speech, plan.method),
        hours=turn.speech.span(*plan.hours),
        supervisor=turn.who_hears(turn.book.sites[site]),
    )
    return [until_last(wordings)]
