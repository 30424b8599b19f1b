"""The end of re-entry hours: a notice that says whose hours they were, and that it is no permission."""

from datetime import date

from bot.conversation.telling_out import SHUT
from bot.conversation.turn import Purpose, tell, tell_supervisors
from bot.field_book import FieldBook, closure_of, kept_out, recheck_days
from bot.replies import Speech, with_field
from bot.rules import Field
from storage import ClosureRow, oks_about, unended_closures


def tell_hours_over(book: FieldBook) -> None:
    """Tell the supervisors and those who were kept out, once, that the hours of a field have run out."""
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

    key = f"{Purpose.NOTICE}:hours-over:{row.id}"
    for wanted in oks_about(book.session, f"{SHUT}:{row.id}"):
        wanted.over_at = wanted.over_at or book.now
        person = book.person(wanted.person)
        if person is not None:
            tell(book, person, key, Purpose.NOTICE, build, cause=row.text_id)
    tell_supervisors(book, field, key, build, cause=row.text_id)


def recheck_day(book: FieldBook, field: Field, row: ClosureRow) -> date | None:
    """Give the first day on which a treated field is to be looked at again; never before its hours are over."""
    days = recheck_days(book, field, closure_of(row))
    return days[0] if days is not None else None
