"""OPEN: a supervisor ends a keep-out, or sets its hours; always after a question. Opening is hard."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from bot.conversation.asking import Asked, ask
from bot.conversation.telling_out import SHUT, tell_out
from bot.conversation.turn import Purpose, Turn, tell
from bot.field_book import closures, kept_out
from bot.replies import Speech, until_words, with_field
from bot.rules import Cause, Closure, Field, Role, keep_out
from parsing import Doubtful, Given, OpenUp
from storage import ClosureRow, oks_about

TREATED = (Cause.SPRAYED, Cause.WORDS)
"""What a supervisor's hours are of; a treatment that goes on and a sign hold until something else ends them."""


def hear_open(turn: Turn, said: OpenUp) -> None:
    """Ask a supervisor whether a keep-out ends, repeating number, name and end; refuse it to anybody else."""
    field = turn.season.field_of(said.number)
    if field is None:
        return
    if Role.SUPERVISOR not in turn.person.roles or turn.person.key not in field.supervisors:
        supervisor = turn.supervisor_of(field)
        turn.reply(with_field(turn.speech, "keepout.not_yours", field, supervisor=supervisor))
        return
    shut = kept_out(turn.book, field)
    if shut is None:
        turn.reply(with_field(turn.speech, "keepout.none", field))
        return
    _ask(turn, field, said.hours.hours if isinstance(said.hours, Given | Doubtful) else None)


def _ask(turn: Turn, field: Field, hours: int | None) -> None:
    """Ask whether a keep-out ends, or gets its hours; the question names exactly what a 1 does."""
    running = [one for one in closures(turn.book, field) if one.runs_at(turn.book.now)]
    waits: dict[str, Any] = {"hours": hours, "closures": [one.id for one in running]}
    if hours is None:
        shut = keep_out(running, turn.book.now)
        ask(turn, Asked.OPEN, field, waits)
        turn.reply(
            with_field(
                turn.speech, "keepout.ask_open", field, until=_until(turn, shut.until if shut else None)
            )
        )
        return
    last = _last_treated(running)
    if last is None:
        turn.reply(with_field(turn.speech, "keepout.no_treatment", field))
        return
    shut = keep_out(_with_hours(running, last, hours, turn), turn.book.now)
    if shut is None:
        turn.reply(with_field(turn.speech, "keepout.hours_are_over", field, hours=hours))
        return
    ask(turn, Asked.OPEN, field, waits)
    until = _until(turn, shut.until)
    turn.reply(with_field(turn.speech, "keepout.ask_open_hours", field, hours=hours, until=until))


def _until(turn: Turn, until: datetime | None) -> str:
    return until_words(turn.speech, turn.book.local(until) if until is not None else None)


def _with_hours(running: Sequence[Closure], last: Closure, hours: int, turn: Turn) -> list[Closure]:
    """Give what keeps people out once the last treatment has hours: treatments of unknown hours end with it.

    A treatment that goes on, and a sign that was seen, hold all the same.
    """
    kept = [one for one in running if one.id != last.id and not (one.hours is None and one.cause in TREATED)]
    return [*kept, replace(last, hours=hours, known_at=min(last.known_at, turn.book.now))]


def _last_treated(running: Sequence[Closure]) -> Closure | None:
    """Give the last treatment among what keeps people out."""
    treated = [one for one in running if one.cause in TREATED]
    return max(treated, key=lambda one: (one.since, one.id), default=None)


def open_up(turn: Turn, number: int, hours: int | None, shown: Sequence[int]) -> None:
    """End what keeps people out of a field, or set the hours of its last treatment, as a supervisor confirmed.

    `shown` are the closures that the question was about; where one has come since it is asked again.
    """
    field = turn.season.field_of(number)
    if field is None:
        return
    session, now = turn.book.session, turn.book.now
    running = [one for one in closures(turn.book, field) if one.runs_at(now)]
    if {one.id for one in running} - set(shown):
        _ask(turn, field, hours)
        return
    last = _last_treated(running) if hours is not None else None
    if hours is None:
        ended = running
    else:
        ended = [one for one in running if one == last or (one.hours is None and one.cause in TREATED)]
    for one in ended:
        row = session.get_one(ClosureRow, one.id)
        row.ended_at, row.ended_by = now, turn.text.id
    if last is not None:
        row = ClosureRow(
            field=field.number,
            cause=Cause.SPRAYED.value,
            since=last.since,
            hours=hours,
            person=turn.person.key,
            text_id=turn.text.id,
            said=" ".join(turn.text.body.split()),
            known_at=now,
        )
        session.add(row)
        session.flush()
        if kept_out(turn.book, field) is not None:
            tell_out(turn.book, field, row, but=[turn.person.key])
    session.flush()
    shut = kept_out(turn.book, field)
    if shut is not None:
        turn.reply(with_field(turn.speech, "keepout.stays", field, until=_until(turn, shut.until)))
        return
    _tell_ended(turn, field, ended)
    turn.reply(with_field(turn.speech, "keepout.ended", field))


def _tell_ended(turn: Turn, field: Field, ended: list[Closure]) -> None:
    """Tell those who were told to keep out that a supervisor ended it, and that this is no permission."""
    told: dict[str, None] = {}
    for one in ended:
        for wanted in oks_about(turn.book.session, f"{SHUT}:{one.id}"):
            wanted.over_at = wanted.over_at or turn.book.now
            told[wanted.person] = None
    for key in told:
        person = turn.book.person(key)
        if person is None:
            continue
        tell(
            turn.book,
            person,
            f"{Purpose.NOTICE}:ended:{turn.text.id}",
            Purpose.NOTICE,
            _ended_for(turn, field),
            cause=turn.text.id,
        )


def _ended_for(turn: Turn, field: Field) -> Callable[[Speech], str]:
    name, contact = turn.person.first_name, turn.season.contact_number

    def build(speech: Speech) -> str:
        return with_field(speech, "keepout.ended_by", field, who=name, contact=contact)

    return build
