"""OPEN: a supervisor ends a keep-out, or sets its hours; always after a question. Opening is hard."""

from collections.abc import Callable
from datetime import timedelta

from bot.conversation.asking import Asked, ask
from bot.conversation.telling_out import SHUT, tell_out
from bot.conversation.turn import Purpose, Turn, tell
from bot.field_book import closures, kept_out
from bot.replies import Speech, until_words, with_field
from bot.rules import Cause, Closure, Field, Role
from parsing import Doubtful, Given, OpenUp
from storage import ClosureRow, oks_about


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
    hours = said.hours.hours if isinstance(said.hours, Given | Doubtful) else None
    until = turn.book.local(shut.until) if shut.until is not None else None
    if hours is None:
        ask(turn, Asked.OPEN, field, {"hours": None})
        turn.reply(with_field(turn.speech, "keepout.ask_open", field, until=until_words(turn.speech, until)))
        return
    last = _last_treated(turn, field)
    if last is None:
        turn.reply(with_field(turn.speech, "keepout.no_treatment", field))
        return
    ends = turn.book.local(last.since + timedelta(hours=hours))
    ask(turn, Asked.OPEN, field, {"hours": hours, "closure": last.id})
    turn.reply(
        with_field(
            turn.speech, "keepout.ask_open_hours", field, hours=hours, until=until_words(turn.speech, ends)
        )
    )


def _last_treated(turn: Turn, field: Field) -> Closure | None:
    """Give the last treatment of a field that still keeps people out."""
    treated = [one for one in closures(turn.book, field) if one.cause in (Cause.SPRAYED, Cause.WORDS)]
    running = [one for one in treated if one.runs_at(turn.book.now)]
    return max(running, key=lambda one: (one.since, one.id), default=None)


def open_up(turn: Turn, number: int, hours: int | None, closure: int | None) -> None:
    """End what keeps people out of a field, or set the hours from its last treatment, as a supervisor confirmed."""
    field = turn.season.field_of(number)
    if field is None:
        return
    session, now = turn.book.session, turn.book.now
    running = [one for one in closures(turn.book, field) if one.runs_at(now)]
    ended = running if hours is None else [one for one in running if one.hours is None or one.id == closure]
    for one in ended:
        row = session.get_one(ClosureRow, one.id)
        row.ended_at, row.ended_by = now, turn.text.id
    last = next((one for one in running if one.id == closure), None)
    if hours is not None and last is not None:
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
        until = turn.book.local(shut.until) if shut.until is not None else None
        turn.reply(with_field(turn.speech, "keepout.stays", field, until=until_words(turn.speech, until)))
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
