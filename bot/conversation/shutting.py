"""Closing fields: SPRAYED, SPRAYING, a sign, free words. Closing is easy: nothing is asked before it is done."""

from collections.abc import Sequence
from datetime import datetime

from bot.conversation.asking import Asked, ask
from bot.conversation.holding import growers_of
from bot.conversation.hours_over import drop_held_ends
from bot.conversation.telling_out import tell_out
from bot.conversation.turn import Purpose, Turn, can_hear, tell, tell_supervisors
from bot.field_book import kept_out
from bot.replies import (
    SAID_AT_MOST,
    Speech,
    first_fitting,
    named,
    phone_words,
    sentences,
    shortened,
    shut_reply,
    until_words,
    with_field,
)
from bot.rules import ENDED_BY_HOURS, Cause, Field, Role
from parsing import Doubtful, Given, Hours, Treated, Treatment, Unknown
from storage import ClosureRow, closures_of

CAUSES = {
    Treatment.SPRAYED: Cause.SPRAYED,
    Treatment.SPRAYING: Cause.SPRAYING,
    Treatment.SIGN: Cause.SIGN,
}


def fields_of_sender(turn: Turn) -> list[Field]:
    """Give the fields that are somebody's own: those he grows, scouts or supervises, and his crew's."""
    person = turn.person
    crew = {person.key, *person.crew}
    return [
        field
        for field in turn.season.fields.values()
        if person.key in field.growers
        or (crew & set(field.scouts))
        or (Role.SUPERVISOR in person.roles and person.key in field.supervisors)
    ]


def hear_treated(turn: Turn, said: Treated) -> None:
    """Close the field of a number, and every other field of the sender that the text names."""
    field = turn.season.field_of(said.number)
    if field is None:
        return
    own = {one.number: one for one in fields_of_sender(turn) if one.number != field.number}
    named = [turn.season.field_of(number) for number in said.numbers]
    others = [one for one in named if one is not None and one.number in own]
    hours = said.hours
    if isinstance(hours, Given | Doubtful) and hours.hours in own:
        hours = Unknown()
    shut(turn, [field, *dict.fromkeys(others)], CAUSES[said.kind], hours, said.said)


def shut(
    turn: Turn, fields: Sequence[Field], cause: Cause, hours: Hours, said: str, *, quietly: bool = False
) -> None:
    """Close fields from now, tell everybody concerned, and answer; only the first may have hours.

    `quietly` where something else is answered.
    """
    first = fields[0]
    if cause is not Cause.SPRAYED:
        # hours run from the end of an application: of a sign, and while it goes on, nobody knows that end
        hours = Unknown()
    waits = _open_ends(turn, first) if isinstance(hours, Given) and cause is Cause.SPRAYED else []
    rows = [
        _close(turn, field, cause, hours.hours if field is first and isinstance(hours, Given) else None, said)
        for field in fields
    ]
    anybody = False
    for field, row in zip(fields, rows, strict=True):
        told = tell_out(turn.book, field, row, but=[turn.person.key])
        not_asked = _ask_growers(turn, field, row) if row.hours is None else []
        _notice(turn, field, row, [person.first_name for person in told], not_asked)
        anybody = anybody or bool(told)
    if quietly:
        return
    if isinstance(hours, Doubtful) and len(fields) == 1:
        ask(turn, Asked.HOURS, first, {"closure": rows[0].id, "hours": hours.hours})
        turn.reply(with_field(turn.speech, "keepout.ask_hours", first, hours=hours.hours))
        return
    if waits:
        ask(turn, Asked.ALL_HOURS, first, {"closures": [row.id for row in waits]})
        until = until_words(turn.speech, _until(turn, rows[0]))
        turn.reply(with_field(turn.speech, "keepout.ask_all", first, hours=rows[0].hours, until=until))
        return
    turn.reply(_answer(turn, fields, rows, cause, said, told=anybody))


def _answer(
    turn: Turn, fields: Sequence[Field], rows: Sequence[ClosureRow], cause: Cause, said: str, *, told: bool
) -> str:
    first = fields[0]
    supervisor = turn.who_hears(first)
    if len(fields) == 1 and cause is Cause.SPRAYING:
        return with_field(turn.speech, "keepout.shut_spraying", first)
    if len(fields) == 1 and cause is Cause.SIGN:
        asked = any(can_hear(turn.book, one, Purpose.KEEP_OUT) for one in growers_of(turn.book, first))
        key = "keepout.shut_sign" if asked else "keepout.shut_sign_alone"
        return with_field(turn.speech, key, first, supervisor=supervisor)
    shut_now = kept_out(turn.book, first)
    until = shut_now.until if shut_now is not None else None
    local = turn.book.local(until) if until is not None else None
    return shut_reply(turn.speech, fields, local, rows[0].hours, said, told=told)


def _until(turn: Turn, row: ClosureRow) -> datetime | None:
    shut_now = kept_out(turn.book, turn.season.fields[row.field])
    return turn.book.local(shut_now.until) if shut_now is not None and shut_now.until is not None else None


def _open_ends(turn: Turn, field: Field) -> list[ClosureRow]:
    """Give the closures of a field whose hours were never given and that hours do not end by themselves."""
    return [
        row
        for row in closures_of(turn.book.session, field.number)
        if row.ended_at is None and row.hours is None and Cause(row.cause) not in ENDED_BY_HOURS
    ]


def _close(turn: Turn, field: Field, cause: Cause, hours: int | None, said: str) -> ClosureRow:
    text, session = turn.text, turn.book.session
    if cause is Cause.SPRAYED and hours is not None:
        for row in closures_of(session, field.number):
            if row.ended_at is None and Cause(row.cause) in ENDED_BY_HOURS:
                row.ended_at, row.ended_by = turn.book.now, text.id
    row = ClosureRow(
        field=field.number,
        cause=cause.value,
        since=max(text.sent_at or text.received_at, text.received_at),
        hours=hours,
        person=turn.person.key,
        text_id=text.id,
        said=said,
        known_at=turn.text.received_at,
    )
    session.add(row)
    drop_held_ends(turn.book, field)
    return row


def _notice(turn: Turn, field: Field, row: ClosureRow, told: Sequence[str], not_asked: Sequence[str]) -> None:
    """Tell the supervisors at once who closed a field, until when, who was told, and whom to call for the hours."""
    shut_now = kept_out(turn.book, field)
    until = shut_now.until if shut_now is not None else None
    local = turn.book.local(until) if until is not None else None

    def build(speech: Speech) -> str:
        who = speech.say("notice.told", names=speech.names(list(told))) if told else ""
        call = speech.say("keepout.call_for_hours", names=speech.names(list(not_asked))) if not_asked else ""
        values: dict[str, object] = {
            "field": field.number,
            "who": turn.person.name,
            "phone": phone_words(turn.person.phone),
            "until": until_words(speech, local),
        }
        return first_fitting(
            *(
                speech.say("keepout.notice", name=name, said=shortened(row.said, most), told=one, **values)
                for one in (sentences([who, call]) if who and call else who or call, call)
                for most in SAID_AT_MOST
                for name in named(field.name)
            )
        )

    key = f"{Purpose.NOTICE}:closed:{row.id}"
    tell_supervisors(turn.book, field, key, build, cause=turn.text.id, at_once=True, leaders_of=turn.person)


def _ask_growers(turn: Turn, field: Field, row: ClosureRow) -> list[str]:
    """Ask a field's growers for the hours, where somebody else closed it; give the names of those no text reaches."""
    not_asked: list[str] = []
    if turn.person.key in field.growers:
        return not_asked
    for person in growers_of(turn.book, field):
        asked = tell(
            turn.book,
            person,
            f"{Purpose.KEEP_OUT}:hours:{row.id}",
            Purpose.KEEP_OUT,
            lambda speech: with_field(
                speech,
                "keepout.ask_grower",
                field,
                who=turn.person.name,
                phone=phone_words(turn.person.phone),
            ),
            cause=turn.text.id,
            at_once=True,
        )
        if not asked:
            not_asked.append(person.name)
    return not_asked


def set_hours(turn: Turn, closure: int, hours: int) -> None:
    """Give a closure the hours that its sender has confirmed."""
    row = turn.book.session.get(ClosureRow, closure)
    field = turn.season.fields.get(row.field) if row is not None else None
    if row is None or field is None:
        return
    _supersede(turn, row, hours)
    shut_now = kept_out(turn.book, field)
    until = shut_now.until if shut_now is not None else None
    local = turn.book.local(until) if until is not None else None
    turn.reply(shut_reply(turn.speech, [field], local, hours, row.said))


def all_hours(turn: Turn, closures: Sequence[int]) -> None:
    """End closures of unknown hours, as the hours given since are all there are."""
    number = None
    for key in closures:
        row = turn.book.session.get(ClosureRow, key)
        if row is not None:
            number = row.field
            if row.ended_at is None:
                row.ended_at, row.ended_by = turn.book.now, turn.text.id
    turn.book.session.flush()
    if number is not None:
        say_it_stays(turn, number)


def say_it_stays(turn: Turn, number: int, *, more: bool = False) -> None:
    """Say that a field stays shut and until when; `more` where its hours are still to come."""
    field = turn.season.fields[number]
    shut_now = kept_out(turn.book, field)
    if more or shut_now is None:
        turn.reply(with_field(turn.speech, "keepout.more_to_come" if more else "keepout.none", field))
        return
    until = turn.book.local(shut_now.until) if shut_now.until is not None else None
    turn.reply(with_field(turn.speech, "keepout.stays", field, until=until_words(turn.speech, until)))


def warn_if_shut(turn: Turn, number: int, *, counts: bool = False, walk_out: bool = False) -> None:
    """Begin the reply about a shut field with KEEP OUT; of counts from it the supervisors hear at once.

    `walk_out` where its sender may stand in it, as he does who counts there.
    """
    field = turn.season.field_of(number)
    shut_now = kept_out(turn.book, field) if field is not None else None
    if field is None or shut_now is None:
        return
    until = until_words(turn.speech, turn.book.local(shut_now.until) if shut_now.until is not None else None)
    values = {"field": field.number, "until": until, "contact": turn.season.contact_number}
    turn.warning = turn.say("keepout.counts" if counts or walk_out else "keepout.stands", **values)
    turn.warning_short = turn.say("keepout.stands", **values)
    if not counts or turn.practice:
        return
    person = turn.whose

    def build(speech: Speech) -> str:
        local = turn.book.local(shut_now.until) if shut_now.until is not None else None
        phone = phone_words(person.phone)
        said = until_words(speech, local)
        return with_field(speech, "keepout.counts_notice", field, who=person.name, until=said, phone=phone)

    key = f"{Purpose.NOTICE}:counts-shut:{field.number}:{turn.book.today}:{person.key}:{shut_now.running[-1].id}"
    tell_supervisors(
        turn.book, field, key, build, cause=turn.text.id, at_once=True, leaders_of=person, about=True
    )


def _supersede(turn: Turn, row: ClosureRow, hours: int) -> ClosureRow:
    """Put a closure with hours in the place of one without; the old one stays on record."""
    row.ended_at, row.ended_by = turn.book.now, turn.text.id
    new = ClosureRow(
        field=row.field,
        cause=row.cause,
        since=row.since,
        hours=hours,
        person=turn.person.key,
        text_id=turn.text.id,
        said=row.said,
        known_at=turn.book.now,
    )
    turn.book.session.add(new)
    turn.book.session.flush()
    return new
