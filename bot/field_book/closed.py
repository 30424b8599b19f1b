"""Fields that nobody may enter, and those that touch them."""

from dataclasses import replace
from datetime import date, datetime, time, timedelta

from bot.field_book.book import FieldBook
from bot.field_book.keeping import is_kept
from bot.rules import Cause, Closure, Field, KeepOut, keep_out
from storage import ClosureRow, closures_of


@is_kept
def closures(book: FieldBook, field: Field) -> list[Closure]:
    """Give every closure of a field as the rules see it, oldest first.

    What is on record is known now, also where the clock has been set back since: a field is not open until the
    clock is there again.
    """
    found = map(closure_of, closures_of(book.session, field.number))
    return [replace(one, known_at=min(one.known_at, book.now)) for one in found]


def closure_of(row: ClosureRow) -> Closure:
    return Closure(row.id, Cause(row.cause), row.known_at, row.since, row.hours, row.ended_at)


def kept_out(book: FieldBook, field: Field, moment: datetime | None = None) -> KeepOut | None:
    """Give why nobody may enter a field now, or at a moment; None where nothing is on record."""
    return keep_out(closures(book, field), moment or book.now)


def shut_on(book: FieldBook, field: Field, day: date) -> KeepOut | None:
    """Give why nobody may enter a field as of a day: of today as of now, of another day what held on it.

    Another day goes by the record alone: what no text of that day ended, and whose hours reach into it.
    """
    if day == book.today:
        return kept_out(book, field)
    begins = book.at(day, time.min)
    ends = book.at(day + timedelta(days=1), time.min)
    held = [
        one
        for one in closures(book, field)
        if one.known_at < ends
        and (one.ended_at is None or one.ended_at >= ends)
        and (one.until is None or one.until > begins)
    ]
    if not held:
        return None
    known = [one.until for one in held if one.until is not None]
    until = max(known) if len(known) == len(held) else None
    return KeepOut(min(one.since for one in held), until, tuple(held))


def beside(book: FieldBook, field: Field) -> list[Field]:
    """Give the fields that touch a field, whichever of the two the season file says it of."""
    return [
        one
        for one in book.season.fields.values()
        if one.number != field.number and (one.number in field.beside or field.number in one.beside)
    ]
