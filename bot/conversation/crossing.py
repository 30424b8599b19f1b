"""What a field's crossing sets off: the growers' alert, the supervisors' notice, what waits, what is taken back."""

from datetime import date, timedelta

from bot.conversation.alerting import (
    TOLD_TO_GROWERS,
    alert_growers,
    crossed_by,
    figures_kept,
    freshen,
    notice_crossing,
)
from bot.conversation.back_below import last_word_to, tell_back_below
from bot.conversation.holding import said_to_wait, say_newest_wait, tell_it_waits, why_it_waits
from bot.conversation.withdrawing import OPEN_AGAIN, withdraw, withdraw_emptied
from bot.field_book import FieldBook, FieldView
from bot.replies import Crossed
from bot.rules import (
    CrossingKind,
    Field,
    FieldFigures,
    FieldState,
    LastCrossing,
    Standing,
    crossing,
)
from storage import CrossingRow, last_crossing, last_crossings


def review_field(book: FieldBook, field: Field, cause: int | None) -> None:
    """Compare a field's standing with its last crossings, and set off what a new one says."""
    withdraw_emptied(book, field, cause)
    view = book.field_view(field)
    if view.round_id is None:
        return
    fresh: list[tuple[CrossingRow, Crossed]] = []
    crossed_before = last_crossings(book.session, field.number, view.first_day)
    for figures in view.standing.figures:
        last = crossed_before.get(figures.target)
        now = view.standing.told(figures.target)
        kind = crossing(_last(last), now, view.round_id, final=view.standing.state is FieldState.FINAL)
        crossed = crossed_by(book, view, figures)
        if kind is None:
            if last is not None and last.round_id == view.round_id and last.kind in TOLD_TO_GROWERS:
                fresh += _still_so(book, view, figures, last)
            continue
        row = _note(book, view, figures, kind, now, cause)
        match kind:
            case CrossingKind.ABOVE | CrossingKind.STILL_ABOVE:
                row.reasons = why_it_waits(book, view, figures)
                if row.reasons:
                    tell_it_waits(book, row, crossed)
                else:
                    fresh.append((row, crossed))
            case CrossingKind.WITHDRAWN:
                if not withdraw(book, last, row, crossed, now):
                    _end_last_word(book, row, crossed, now)
            case CrossingKind.BACK_BELOW:
                tell_back_below(book, row, crossed, last_word_to(book, row))
            case CrossingKind.IN_RANGE:
                notice_crossing(book, row, crossed, "in_range", [])
            case CrossingKind.QUIET:
                _end_last_word(book, row, crossed, now)
    if fresh:
        alert_growers(book, fresh)


def standing_of_older_round(book: FieldBook, field: Field, day: date) -> FieldView | None:
    """Give the round that a day lies in where a newer one has begun since; None where it is the newest."""
    newest = book.newest_round(field)
    if newest is None or day >= newest.first_day:
        return None
    view = book.field_view(field, newest.first_day - timedelta(days=1))
    return view if view.round_id is not None and view.round_id != newest.id else None


def note_late_change(book: FieldBook, before: FieldView, cause: int | None) -> None:
    """Note for the digest, and for nobody else, what a late text changed in a round that is over."""
    if before.round_id is None or before.last_seen is None:
        return
    newest = book.newest_round(before.field)
    by = newest.first_day - timedelta(days=1) if newest is not None else None
    after = book.field_view(before.field, by)
    for figures in before.standing.figures:
        was, now = before.standing.told(figures.target), after.standing.told(figures.target)
        if was is None or was is now:
            continue
        told = last_crossing(book.session, before.field.number, figures.target)
        if told is not None and told.round_id == before.round_id:
            told.reasons = []
        for alert in told.alerts if told is not None and told.round_id == before.round_id else ():
            # nobody is reminded of a figure that was wrong
            alert.withdrawn_at = alert.withdrawn_at or book.now
        book.session.add(
            CrossingRow(
                field=before.field.number,
                target=figures.target,
                round_id=before.round_id,
                kind=CrossingKind.QUIET,
                standing=now.value if now else OPEN_AGAIN,
                figures={"before": was.value},
                reasons=[],
                crossed_at=book.now,
                day=before.last_seen,
                text_id=cause,
                late=True,
            )
        )
    book.session.flush()


def _still_so(
    book: FieldBook, view: FieldView, figures: FieldFigures, last: CrossingRow
) -> list[tuple[CrossingRow, Crossed]]:
    """Let an alert that waited for a person go if nothing holds it now; else let what waits say the newest state."""
    if not last.reasons:
        freshen(book, view, last)
        return []
    last.reasons = [*why_it_waits(book, view, figures), *said_to_wait(last)]
    crossed = crossed_by(book, view, figures)
    if not last.reasons:
        return [(last, crossed)]
    say_newest_wait(book, last, crossed)
    return []


def _last(row: CrossingRow | None) -> LastCrossing | None:
    if row is None:
        return None
    standing = None if row.standing == OPEN_AGAIN else Standing(row.standing)
    return LastCrossing(standing, row.round_id)


def _note(
    book: FieldBook,
    view: FieldView,
    figures: FieldFigures,
    kind: CrossingKind,
    now: Standing | None,
    cause: int | None,
) -> CrossingRow:
    row = CrossingRow(
        field=view.field.number,
        target=figures.target,
        round_id=view.round_id,
        kind=kind,
        standing=now.value if now else OPEN_AGAIN,
        figures=figures_kept(figures),
        reasons=[],
        crossed_at=book.now,
        day=view.last_seen or book.today,
        text_id=cause,
    )
    book.session.add(row)
    book.session.flush()
    return row


def _end_last_word(book: FieldBook, row: CrossingRow, crossed: Crossed, now: Standing | None) -> None:
    """Let nobody's last word be an alert of an earlier round where the field is below, whatever lay between.

    A round may have been above and put right before anybody heard of it, or too short to say.
    """
    if now is Standing.BELOW and (heard := last_word_to(book, row)):
        tell_back_below(book, row, crossed, heard)
