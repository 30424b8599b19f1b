"""A field's treatments, and what was counted before and after each: read from the book at one moment, kept nowhere.

So a correction of either count, or of a check's, changes what is given from then on.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from enum import StrEnum

from bot.field_book.book import FieldBook
from bot.field_book.closed import closures
from bot.field_book.counted_around import (
    After,
    Counted,
    counted_after,
    counted_before,
    counted_near,
    first_sent,
)
from bot.field_book.due import recheck_days
from bot.field_book.keeping import is_kept
from bot.field_book.local_time import LATEST_SENT
from bot.rules import (
    Application,
    CheckField,
    Closure,
    Effect,
    Field,
    NoCheck,
    VisitFacts,
    applications,
    effects,
)
from storage import closures_of, when_received, when_sent

UNTREATED_FOR = timedelta(days=7)
"""So long before its first count an untreated check may not have been closed for anything (common practice)."""


class Recheck(StrEnum):
    """How far the counts after a treatment are."""

    NONE = "none"
    SO_FAR = "so far"
    FINAL = "final"


@dataclass(frozen=True, slots=True)
class Treated:
    """A treatment of a field and its effects by target; `days` are those of the recheck, None while not known.

    `check` is the untreated check that the season names. `final_at` is when the last count that was wanted came,
    `changed_at` when any of the counts that bear on it last changed; None before.
    """

    application: Application
    days: tuple[date, date] | None
    recheck: Recheck
    effects: tuple[Effect, ...]
    check: int | None
    final_at: datetime | None
    changed_at: datetime | None


@is_kept
def treatments(
    book: FieldBook, field: Field, by: date | None = None, newest: int | None = None
) -> list[Treated]:
    """Give the treatments of a field up to a day (today), oldest first, or only so many of the newest.

    Each by the counts up to that day.
    """
    last = by or book.today

    def day_of(moment: datetime) -> date:
        return book.local(moment).date()

    shut = closures(book, field)
    sent = _sent(book, field) if shut else {}
    made = [one for one in applications(shut, day_of, sent) if day_of(one.over) <= last]
    begins = 0 if newest is None else max(len(made) - newest, 0)
    return [_treated(book, field, made, number, last) for number in range(begins, len(made))]


def _sent(book: FieldBook, field: Field) -> dict[int, datetime]:
    """Give when the texts of a field's closures were sent, by closure; a time that cannot be is left out."""
    rows = closures_of(book.session, field.number)
    sent = when_sent(book.session, [row.text_id for row in rows])
    return {
        row.id: sent[row.text_id]
        for row in rows
        if row.text_id in sent and row.known_at - LATEST_SENT <= sent[row.text_id] <= row.known_at
    }


def _treated(book: FieldBook, field: Field, made: list[Application], number: int, by: date) -> Treated:
    one = made[number]
    earlier = made[number - 1] if number else None
    later = made[number + 1] if number + 1 < len(made) else None
    days = recheck_days(book, field, one.closure)
    if days is None:
        return Treated(one, None, Recheck.NONE, (), field.untreated_check, None, None)
    after = counted_after(book, field, days[0], later.began if later else None, by)
    if not after.visits:
        return Treated(one, days, Recheck.NONE, (), field.untreated_check, None, None)
    before = counted_before(book, field, one.began, earlier.over if earlier else None)
    check = _check(book, field, one, before, after, by)
    wanted = [*after.visits.values(), *check.after.values()] if check else [*after.visits.values()]
    beside = [*before.values(), *check.before.values()] if check else [*before.values()]
    found = effects(
        field.sites,
        _facts(before),
        _facts(after.visits),
        CheckField(check.field.sites, _facts(check.before), _facts(check.after), check.left_out)
        if check
        else None,
    )
    return Treated(
        one,
        days,
        Recheck.FINAL if after.final else Recheck.SO_FAR,
        found,
        field.untreated_check,
        _final_at(book, after, wanted) if after.final else None,
        _changed_at(book, [*wanted, *beside]),
    )


def _facts(visits: Mapping[int, Counted]) -> dict[int, VisitFacts]:
    return {site: one.facts for site, one in visits.items()}


@dataclass(frozen=True, slots=True)
class _Check:
    field: Field
    before: dict[int, Counted]
    after: dict[int, Counted]
    left_out: NoCheck | None


def _check(
    book: FieldBook, field: Field, one: Application, before: dict[int, Counted], after: After, by: date
) -> _Check | None:
    """Give the untreated check of a field, its visits nearest to those of the field before and after a treatment."""
    check = book.season.fields.get(field.untreated_check) if field.untreated_check is not None else None
    if check is None:
        return None
    treated = book.local(one.over).date()
    was = max((of.row.day for of in before.values()), default=book.local(one.began).date())
    left = min(of.row.day for of in after.visits.values())
    found_before = counted_near(book, check, was, date.min, treated)
    found_after = counted_near(book, check, left, treated + timedelta(days=1), by)
    counted = [of.row.day for of in (*found_before.values(), *found_after.values())]
    first, last = min([was, *counted]) - UNTREATED_FOR, max([left, *counted])
    shut = any(_reaches_into(book, closure, first, last) for closure in closures(book, check))
    return _Check(check, found_before, found_after, NoCheck.SHUT if shut else None)


def _reaches_into(book: FieldBook, closure: Closure, first: date, last: date) -> bool:
    """Tell whether a closure of any cause held on some of the days: its field may have been treated then."""
    ends = [end for end in (closure.until, closure.ended_at) if end is not None]
    begins = book.local(min(closure.since, closure.known_at)).date()
    return begins <= last and (not ends or book.local(min(ends)).date() >= first)


def _final_at(book: FieldBook, after: After, wanted: Iterable[Counted]) -> datetime | None:
    """Give when the last of the counts that are wanted first came, a site was skipped, or the days ran out."""
    texts = when_received(book.session, [row.text_id for one in wanted for row in first_sent(one.row)])
    moments = [*texts.values(), *(row.begun_at for row in after.skipped)]
    if after.ran_out is not None:
        moments.append(book.at(after.ran_out, time.min))
    return max(moments, default=None)


def _changed_at(book: FieldBook, visits: Iterable[Counted]) -> datetime | None:
    """Give when a count of some visits last came, was put right or was taken back."""
    rows = [row for one in visits for row in one.row.samples]
    texts = {text for row in rows for text in (row.text_id, row.ended_by) if text is not None}
    return max(when_received(book.session, texts).values(), default=None)
