"""Telling people at once that a field is shut, waiting for their OK, and asking others to call who gave none."""

from collections.abc import Callable, Iterable
from datetime import datetime, timedelta
from functools import partial

from bot.conversation.turn import Purpose, tell, tell_supervisors
from bot.field_book import FieldBook, beside, kept_out, people_at
from bot.replies import Speech, drift_text, keep_out_text, phone_words, until_words, with_field
from bot.rules import Field, Person, PersonKey
from storage import (
    ClosureRow,
    OkWanted,
    OutboxState,
    oks_about,
    oks_open,
    outbox_with_key,
    phone_state,
    want_ok,
)

OK_WITHIN = timedelta(minutes=10)
"""How long an OK to keep out may take before somebody calls."""

SHUT, DRIFT = "closure", "beside"


def tell_out(book: FieldBook, field: Field, row: ClosureRow, *, but: Iterable[str] = ()) -> list[Person]:
    """Tell everybody who may be in a field, or beside it, to keep out, quiet hours or not; give those told.

    `but` are those who know already. Their leaders and the supervisors are told to call whom no text reaches.
    """
    shut = kept_out(book, field)
    until = book.local(shut.until) if shut is not None and shut.until is not None else None
    known = set(but)
    inside = [person for person in people_at(book, field) if person.key not in known]
    build_in = partial(keep_out_text, field=field, until=until)
    reached = [one for one in inside if _want(book, field, f"{SHUT}:{row.id}", one, build_in, row)]
    known |= {person.key for person in inside}
    for other in beside(book, field):
        near = [person for person in people_at(book, other) if person.key not in known]
        build = partial(drift_text, field=other, treated=field, contact=book.season.contact_number)
        for person in near:
            _want(book, other, f"{DRIFT}:{row.id}:{other.number}", person, build, row)
        known |= {person.key for person in near}
    return reached


def _want(
    book: FieldBook, field: Field, about: str, person: Person, build: Callable[[Speech], str], row: ClosureRow
) -> bool:
    """Put a text down that wants an OK; it takes the place of one about the same field that has none yet.

    False where no text reaches that person.
    """
    for old in oks_open(book.session, person.key):
        if old.field == field.number and old.about.startswith((SHUT, DRIFT)):
            old.over_at = book.now
    key = f"{Purpose.KEEP_OUT}:{about}"
    put = tell(book, person, key, Purpose.KEEP_OUT, build, cause=row.text_id, at_once=True)
    out = outbox_with_key(book.session, f"{key}:{person.key}") if put else None
    wanted = want_ok(book.session, about, field.number, person.key, out.id if out else None, book.now)
    if out is None:
        call_about(book, wanted)
    return out is not None


def tell_again(book: FieldBook, person: Person, cause: int) -> None:
    """Tell somebody who hears texts again of the shut fields that he may be in; an OK is wanted for each."""
    for field in book.season.fields.values():
        shut = kept_out(book, field)
        if shut is None or person not in people_at(book, field):
            continue
        about = f"{SHUT}:{shut.running[-1].id}"
        until = book.local(shut.until) if shut.until is not None else None
        build = partial(keep_out_text, field=field, until=until)
        key = f"{Purpose.KEEP_OUT}:again:{cause}:{field.number}"
        put = tell(book, person, key, Purpose.KEEP_OUT, build, cause=cause, at_once=True)
        out = outbox_with_key(book.session, f"{key}:{person.key}") if put else None
        wanted = want_ok(book.session, about, field.number, person.key, None, book.now)
        if out is not None and wanted.read_at is None:
            wanted.outbox_id, wanted.called_at, wanted.over_at = out.id, None, None
            book.session.flush()
            book.session.refresh(wanted)


def tell_not_over(book: FieldBook, field: Field, row: ClosureRow, said: str) -> None:
    """Tell those who were kept out, those who may be in a field, and its supervisors that its hours are not over.

    `said` tells one such mistake from another. An OK is wanted of the first two.
    """
    shut = kept_out(book, field)
    until = book.local(shut.until) if shut is not None and shut.until is not None else None
    key = f"{Purpose.KEEP_OUT}:not-over:{said}"
    about = f"{SHUT}:{row.id}"
    known = [book.person(one.person) for one in oks_about(book.session, about)]
    inside = {one.key: one for one in (*known, *people_at(book, field)) if one is not None and one.active}

    def build(speech: Speech, ok: str = "") -> str:
        values = {"until": until_words(speech, until), "ok": ok}
        return with_field(speech, "keepout.not_over", field, **values)

    for person in inside.values():
        put = tell(
            book,
            person,
            key,
            Purpose.KEEP_OUT,
            lambda speech: build(speech, speech.say("tell.answer_ok")),
            cause=row.text_id,
            at_once=True,
        )
        out = outbox_with_key(book.session, f"{key}:{person.key}") if put else None
        wanted = want_ok(book.session, about, field.number, person.key, None, book.now)
        wanted.outbox_id = out.id if out is not None else None
        wanted.read_at = wanted.called_at = wanted.over_at = None
        book.session.flush()
        book.session.refresh(wanted)
        if out is None:
            call_about(book, wanted)
    tell_supervisors(book, field, key, build, cause=row.text_id, at_once=True)


def call_about(book: FieldBook, wanted: OkWanted, gone: Person | None = None) -> None:
    """Tell leader and supervisors, once, to call somebody from whom no OK came or whom no text reaches.

    `gone` is who he was, where the season file has him no more.
    """
    person = book.person(wanted.person) or gone
    field = book.season.fields.get(wanted.field) if wanted.field is not None else None
    wanted.called_at = book.now
    if person is None or field is None:
        return
    key = "keepout.call_drift" if wanted.about.startswith(DRIFT) else "keepout.call"
    if wanted.outbox_id is None:
        key = f"{key}_unreached"

    def build(speech: Speech) -> str:
        return with_field(speech, key, field, who=person.name, phone=phone_words(person.phone))

    tell_supervisors(
        book,
        field,
        f"{Purpose.KEEP_OUT}:call:{wanted.id}",
        build,
        cause=None,
        at_once=True,
        leaders_of=person,
        about=True,
    )


def call_for_oks(book: FieldBook) -> None:
    """Have everybody called who was told to keep out and has not said OK within ten minutes, or cannot be told."""
    for wanted in oks_open(book.session):
        if wanted.called_at is not None or not wanted.about.startswith((SHUT, DRIFT)):
            continue
        field = book.season.fields.get(wanted.field) if wanted.field is not None else None
        if wanted.about.startswith(SHUT) and (field is None or kept_out(book, field) is None):
            wanted.over_at = book.now
        elif _is_overdue(book, wanted):
            call_about(book, wanted)


def _is_overdue(book: FieldBook, wanted: OkWanted) -> bool:
    person = book.season.people.get(PersonKey(wanted.person))
    out = wanted.outbox
    if out is None or out.state == OutboxState.FAILED:
        return True
    if person is not None and person.phone is not None:
        opted_out = phone_state(book.session, person.phone).opted_out_at
        if opted_out is not None:
            return True
    return is_late(book, out.left_at or wanted.wanted_at)


def is_late(book: FieldBook, since: datetime) -> bool:
    """Tell whether an OK has taken too long; of a clock that was set back by as much nobody can tell, so it has."""
    return abs(book.now - since) >= OK_WITHIN


def mark_out_read(book: FieldBook, person: Person, number: int | None) -> list[Field]:
    """Note that somebody said OK to keep out; give the fields that it was about."""
    field = book.season.field_of(number) if number is not None else None
    read: dict[int, Field] = {}
    for wanted in oks_open(book.session, person.key):
        about = book.season.fields.get(wanted.field) if wanted.field is not None else None
        if wanted.outbox is None or wanted.outbox.state != OutboxState.LEFT:
            continue
        if about is None or not wanted.about.startswith((SHUT, DRIFT)):
            continue
        if field is not None and about.number != field.number:
            continue
        wanted.read_at = book.now
        read[about.number] = about
    return list(read.values())


def thanks_for_ok(book: FieldBook, speech: Speech, fields: list[Field]) -> list[str]:
    """Give the answers to an OK to keep out, fullest first: what stands, for which fields."""
    said = []
    for one in fields:
        shut = kept_out(book, one)
        until = book.local(shut.until) if shut is not None and shut.until is not None else None
        if shut is not None:
            said.append(speech.say("keepout.stands", field=one.number, until=until_words(speech, until)))
    numbers = speech.names([str(one.number) for one in fields])
    return [speech.say("keepout.read", fields=numbers, stands=one).strip() for one in (" ".join(said), "")]
