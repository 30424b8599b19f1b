"""Why an alert waits for a person, and how a supervisor hears of it."""

from collections.abc import Sequence
from functools import partial
from typing import Any

from bot.conversation.turn import Purpose, speech_of, tell_supervisors
from bot.field_book import SQUARES, FieldBook, FieldView
from bot.replies import Crossed, Speech, capital, number_list, waits_notice
from bot.rules import Field, FieldFigures, Person
from storage import (
    CrossingRow,
    Round,
    open_questions_of_field,
    outbox_beginning,
    reword,
    shares_of_field,
    standing_samples,
)

KEPT = "kept"
"""The reason that somebody answered WAIT."""


def why_it_waits(book: FieldBook, view: FieldView, figures: FieldFigures) -> list[dict[str, Any]]:
    """Give why an alert waits for a person, each reason with what it names; empty where it may go."""
    reasons: list[dict[str, Any]] = []
    if book.season.reviewed:
        reasons.append({"reason": "reviewed"})
    rows = _rows_of(book, view)
    for visit, row in rows:
        plan = view.visits[visit].plan
        weighed = {column.code for column in plan.card if column.target == figures.target}
        for code, count in row.counts.items():
            if (
                code in weighed
                and count is not None
                and count > (limit := plan.ask_above * max(row.covers, 1))
            ):
                what = f"{code}{count}, {visit} {number_list([row.number])}"
                reasons.append({"reason": "over", "what": what, "limit": limit})
    level = figures.level
    if level is not None and level.retention is not None and view.first_day is not None:
        shares = shares_of_field(book.session, view.field.number, SQUARES, view.first_day, None)
        if any(share.asked for share in shares):
            reasons.append({"reason": "share"})
    if view.on_proposal:
        reasons.append({"reason": "stage"})
    reasons += _turned_share(book, view, figures)
    strangers = dict.fromkeys(row.person for _, row in rows if not row.assigned)
    for person in strangers:
        known = book.person(person)
        reasons.append({"reason": "assigned", "name": known.first_name if known else person})
    if view.standing.left_out:
        sites = " ".join(map(str, view.standing.left_out))
        reasons.append({"reason": "left_out", "sites": sites})
    if open_questions_of_field(book.session, view.field.number):
        reasons.append({"reason": "question"})
    return reasons


def said_to_wait(row: CrossingRow) -> list[dict[str, Any]]:
    """Give what a person said to keep an alert back; no count that comes later lets it go."""
    return [one for one in row.reasons if one["reason"] == KEPT]


def _turned_share(book: FieldBook, view: FieldView, figures: FieldFigures) -> list[dict[str, Any]]:
    """Give the reason that a share itself was asked about, as it may have been turned round."""
    share = book.season.shares.get(figures.target) if figures.is_share else None
    if share is None or view.first_day is None:
        return []
    rows = shares_of_field(book.session, view.field.number, share.code, view.first_day, None)
    asked = next((row for row in rows if row.asked), None)
    return (
        [{"reason": "share_asked", "what": f"{asked.number} {asked.code} {asked.n}/{asked.of}"}]
        if asked
        else []
    )


def _rows_of(book: FieldBook, view: FieldView) -> list[tuple[int, Any]]:
    """Give the standing samples of a field's newest round with their sites."""
    newest = book.session.get(Round, view.round_id)
    if newest is None:
        return []
    return [
        (visit.site, row)
        for visit in newest.visits
        if visit.site in view.visits and visit.day == view.visits[visit.site].day
        for row in standing_samples(visit)
        if not row.lost
    ]


def reasons_words(speech: Speech, reasons: Sequence[dict[str, Any]]) -> list[str]:
    """Give why an alert waits, in words, a reason each."""
    said = [speech.say(f"notice.reason_{one['reason']}", **one) for one in reasons]
    return [capital(one) if place == 0 else one for place, one in enumerate(said)]


def growers_of(book: FieldBook, field: Field) -> list[Person]:
    return [book.season.people[key] for key in field.growers if book.season.people[key].active]


def tell_it_waits(book: FieldBook, row: CrossingRow, crossed: Crossed) -> None:
    """Tell the supervisors that an alert waits for one of them, and why."""
    build = partial(_waits, book=book, row=row, crossed=crossed)
    tell_supervisors(book, crossed.field, _waits_key(row), build, cause=row.text_id)


def say_newest_wait(book: FieldBook, row: CrossingRow, crossed: Crossed) -> None:
    """Let what quiet hours still hold of a wait say the newest figures and reasons."""
    for out in outbox_beginning(book.session, f"{_waits_key(row)}:"):
        reader = book.person(out.person) if out.person else None
        if reader is not None:
            reword(out, _waits(speech_of(book, reader), book=book, row=row, crossed=crossed))


def _waits_key(row: CrossingRow) -> str:
    return f"{Purpose.NOTICE}:waits:{row.id}"


def _waits(speech: Speech, book: FieldBook, row: CrossingRow, crossed: Crossed) -> str:
    growers = [person.name for person in growers_of(book, crossed.field)]
    return waits_notice(speech, crossed, reasons_words(speech, row.reasons), speech.names(growers))
