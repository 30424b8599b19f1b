"""What stands before a text, made sure of: for whom it is sent, of which day, and whether it may be so."""

from dataclasses import dataclass
from datetime import date, timedelta

from bot.conversation.turn import Turn
from bot.replies import shortened
from bot.rules import Person, Role
from parsing import (
    AllNothing,
    Counts,
    Done,
    Each,
    Fix,
    Move,
    Nawf,
    Note,
    Prefixes,
    Reading,
    ShareSaid,
    Short,
    Skip,
    Sos,
    Status,
    Treated,
    Undo,
    Unreadable,
    capitals,
)

MOST_OF_A_NAME = 24
"""How much of a name that nobody has is said back."""

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")

OF_A_DAY = (Status, Counts, AllNothing, Fix, Undo, Short, Done, ShareSaid)
"""What may be sent for another day (texts.md, Prefixes)."""

FOR_ANOTHER = (Status, Counts, AllNothing, Fix, Undo, Short, Done, Skip, ShareSaid, Nawf, Each, Move, Note)
"""What may be sent for somebody whose phone is dead."""

CHECKED = (Counts, Fix, Undo)
"""What there is of check counts."""


def day_said(said: str, own_day: date) -> date:
    """Give the last day of a name, up to the text's own: a weekday ("mon" … "sun") or "yesterday"."""
    if said == "yesterday":
        return own_day - timedelta(days=1)
    return own_day - timedelta(days=(own_day.weekday() - WEEKDAYS.index(said)) % 7)


@dataclass(frozen=True, slots=True)
class NoOne:
    """Nobody in particular: the name is not known, is that of several, or is not the sender's to send for."""

    answer: tuple[str, ...]


def sent_for(turn: Turn, name: str) -> Person | NoOne:
    """Give the person whom a name (key, first name or whole name) means among those who count.

    A supervisor sends for everybody, a leader for his crew.
    """
    sender = turn.person
    said = shortened(name, MOST_OF_A_NAME)
    if not sender.roles & {Role.LEADER, Role.SUPERVISOR}:
        return NoOne(turn.wordings("prefix.by_not_yours"))
    people = [one for one in turn.season.people.values() if one.active and one.may_count]
    named = [one for one in people if name in _names(one)]
    keyed = [one for one in named if capitals(one.key) == name]
    match keyed or named:
        case [one] if Role.SUPERVISOR in sender.roles or one.key in (*sender.crew, sender.key):
            return one
        case [_]:
            return NoOne(turn.wordings("prefix.by_not_your_crew", name=said))
        case []:
            return NoOne(turn.wordings("prefix.by_nobody", name=said))
        case several:
            keys = turn.speech.names([f"{capitals(one.key)} ({one.name})" for one in several])
            return NoOne(turn.wordings("prefix.by_several", name=said, keys=keys))


def _names(person: Person) -> set[str]:
    return {capitals(said) for said in (person.key, person.first_name, person.name)}


def what_may_not_stand(turn: Turn, before: Prefixes, reading: Reading) -> tuple[str, ...] | None:
    """Give the answer where a prefix stands before what it is not for; None where all is well."""
    if isinstance(reading, Unreadable | Treated | Sos):
        # neither a name nor a day stands in the way of a closed field or a cry for help
        return None
    if before.check and not (
        isinstance(reading, CHECKED) and (not isinstance(reading, Undo) or reading.number)
    ):
        return turn.wordings("prefix.check_not_here")
    if before.by is not None and not isinstance(reading, FOR_ANOTHER):
        return turn.wordings("prefix.by_not_here", name=shortened(before.by, MOST_OF_A_NAME))
    if before.day is not None and not isinstance(reading, OF_A_DAY):
        return turn.wordings("prefix.day_not_here")
    return None
