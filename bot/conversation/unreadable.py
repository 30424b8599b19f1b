"""Texts that could not be read: what was wrong is said, and words go to a person."""

from dataclasses import replace

from bot.conversation.handing import around, to_person
from bot.conversation.treated_words import close_by_words
from bot.conversation.turn import Turn
from bot.replies import refusal
from bot.rules import Role
from parsing import Kind, Unreadable
from storage import unread_alerts


def hear_unreadable(turn: Turn, said: Unreadable) -> None:
    """Say what could not be taken; a treated field, a wish to stop, a grower's words go to a person."""
    number = said.number
    field = turn.season.field_of(number) if number is not None else None
    if said.treated:
        close_by_words(turn, field=field)
        _read_by_words(turn)
        return
    stray = number is None and said.problems[0].kind is Kind.NOT_UNDERSTOOD
    wants_no_more = said.opt_out_inside and number is None
    if not turn.person.may_count or wants_no_more or (stray and Role.GROWER in turn.person.roles):
        heard = to_person(turn, field, "words")
        if wants_no_more:
            turn.phone.paused_at = turn.book.now
        _read_by_words(turn)
        if not heard:
            turn.reply(turn.say("phone.to_person_nobody", contact=turn.season.contact))
            return
        turn.reply(
            *turn.wordings("phone.to_person", supervisor=turn.who_hears(field), contact=turn.season.contact)
        )
        return
    problem = said.problems[0]
    if not problem.said and number is None:
        problem = replace(problem, said=turn.say("parts.that_text"))
    turn.reply(refusal(turn.speech, problem, around(turn, number)))


def _read_by_words(turn: Turn) -> None:
    """Take it that a grower who answers in his own words has read what was told him."""
    if Role.GROWER in turn.person.roles:
        for alert in unread_alerts(turn.book.session, turn.person.key):
            alert.read_at = turn.book.now
