"""The end of re-entry hours: a notice that says whose hours they were, and that it is no permission."""

from datetime import date, timedelta

from bot.conversation.telling_out import SHUT, tell_not_over
from bot.conversation.turn import Purpose, tell, tell_supervisors
from bot.field_book import FieldBook, closure_of, kept_out, recheck_days
from bot.replies import Speech, with_field
from bot.rules import Field
from storage import (
    ClosureRow,
    closures_of,
    drop,
    oks_about,
    outbox_beginning,
    told_too_early,
    unended_closures,
)

OVER = f"{Purpose.NOTICE}:hours-over"

SET_BACK_BY = timedelta(minutes=10)
"""What the clocks of two processes never differ by: where one shows so much less, it was set back."""


def tell_hours_over(book: FieldBook) -> None:
    """Tell the supervisors and those who were kept out, once, that the hours of a field have run out."""
    _take_back(book)
    for row in unended_closures(book.session):
        until = closure_of(row).until
        if until is None or until > book.now:
            continue
        row.over_told_at = book.now
        field = book.season.fields.get(row.field)
        if field is not None and kept_out(book, field) is None:
            _tell(book, field, row)


def _tell(book: FieldBook, field: Field, row: ClosureRow) -> None:
    giver = book.person(row.person)
    recheck = recheck_day(book, field, row)

    def build(speech: Speech) -> str:
        due = speech.say("keepout.recheck", day=speech.weekday_date(recheck)) if recheck is not None else ""
        return with_field(
            speech,
            "keepout.over",
            field,
            hours=row.hours,
            who=giver.first_name if giver is not None else row.person,
            contact=book.season.contact_number,
            recheck=due,
        )

    key = f"{OVER}:{row.id}"
    if told := outbox_beginning(book.session, f"{key}:"):
        key += f":{len(told)}"
    for wanted in oks_about(book.session, f"{SHUT}:{row.id}"):
        wanted.over_at = wanted.over_at or book.now
        person = book.person(wanted.person)
        if person is not None:
            tell(book, person, key, Purpose.NOTICE, build, cause=row.text_id)
    tell_supervisors(book, field, key, build, cause=row.text_id)


def drop_held_ends(book: FieldBook, field: Field) -> None:
    """Keep from leaving what quiet hours still hold of a field's hours that were over: it is closed again."""
    for row in closures_of(book.session, field.number):
        for out in outbox_beginning(book.session, f"{OVER}:{row.id}:"):
            drop(out)


def _take_back(book: FieldBook) -> None:
    """Tell everybody to keep out again who was told of the end of hours by a clock that ran ahead."""
    for row in told_too_early(book.session, book.now):
        until, field = closure_of(row).until, book.season.fields.get(row.field)
        if field is None or until is None or until <= book.now + SET_BACK_BY:
            continue
        said = f"{row.id}:{row.over_told_at:%Y%m%d%H%M}"
        row.over_told_at = None
        if outbox_beginning(book.session, f"{OVER}:{row.id}:"):
            tell_not_over(book, field, row, said)


def recheck_day(book: FieldBook, field: Field, row: ClosureRow) -> date | None:
    """Give the first day on which a treated field is to be looked at again; never before its hours are over."""
    days = recheck_days(book, field, closure_of(row))
    return days[0] if days is not None else None
