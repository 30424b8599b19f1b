"""What was told of a standing that a correction took away: what has not left never leaves, what has is corrected."""

from datetime import timedelta

from bot.conversation.alerting import crossed_by, notice_crossing
from bot.conversation.turn import Purpose, tell
from bot.field_book import FieldBook, plan_of
from bot.replies import Crossed, alert_text, corrected_text, density_number
from bot.rules import CrossingKind, Field, FieldFigures, FieldState, Judgement, Needs, Standing
from parsing import ShareSaid, StageSaid
from storage import (
    Alert,
    CrossingRow,
    InboxText,
    OutboxState,
    Round,
    alerts_in,
    drop,
    holds_something,
    last_crossings,
    outbox_beginning,
    outbox_with_key,
)

OPEN_AGAIN = "open"
"""What is kept as the standing of a crossing that took a standing away and left none."""


WITHDRAW_AT_ONCE_WITHIN = timedelta(hours=12)


def withdraw(
    book: FieldBook, last: CrossingRow | None, row: CrossingRow, crossed: Crossed, now: Standing | None
) -> bool:
    """Take back what the last crossing told: what has not left never leaves, what has left is corrected.

    False where nobody had heard of it.
    """
    if last is None:
        return False
    told: list[str] = []
    had_it: list[str] = []
    before = str(last.figures["density"])
    why = _why(book, row, crossed, before)
    for alert in last.alerts:
        if alert.withdrawn_at is not None:
            continue
        if keep_from_leaving(book, alert):
            continue
        alert.withdrawn_at = book.now
        had_it.append(alert.person)
        person = book.person(alert.person)
        if person is None:
            continue
        at_once = alert.outbox.left_at is None or book.now - alert.outbox.left_at < WITHDRAW_AT_ONCE_WITHIN
        key = f"{Purpose.ALERT}:{row.id}"
        sent = tell(
            book,
            person,
            key,
            Purpose.ALERT,
            lambda speech: corrected_text(
                speech, crossed, before, book.season.contact_number, known=now is not None, why=why
            ),
            cause=row.text_id,
            at_once=at_once,
        )
        outbox = outbox_with_key(book.session, f"{key}:{person.key}") if sent else None
        if outbox is not None:
            told.append(person.key)
            row.alerts.append(Alert(person=person.key, outbox=outbox))
    last.reasons = []
    noticed = _drop_notices(book, last)
    book.session.flush()
    if not noticed and not told:
        return bool(had_it)
    notice_crossing(
        book,
        row,
        crossed,
        "withdrawn",
        told,
        had_it=had_it,
        now=crossed.figures if now is not None else None,
        before=Standing(last.standing) if last.standing != OPEN_AGAIN else Standing.ABOVE,
        was=before,
    )
    return True


def keep_from_leaving(book: FieldBook, alert: Alert) -> bool:
    """Keep an alert that still waits from leaving, but not what else its text tells; False where it has left."""
    if not drop(alert.outbox):
        return False
    alert.withdrawn_at = book.now
    _alert_the_rest(book, alert)
    return True


def _why(book: FieldBook, row: CrossingRow, crossed: Crossed, before: str) -> str:
    """Give what took a standing away: a count that was wrong, or squares or a stage that came later."""
    text = book.session.get(InboxText, row.text_id) if row.text_id is not None else None
    if text is not None and text.understood in (ShareSaid.__name__, StageSaid.__name__):
        return "later"
    return (
        "later"
        if crossed.figures.density is not None and density_number(crossed.figures) == before
        else "count"
    )


def _alert_the_rest(book: FieldBook, dropped: Alert) -> None:
    """Alert anew of the other targets that a dropped text held and that still stand."""
    others = [
        alert
        for alert in alerts_in(book.session, dropped.outbox_id)
        if alert.id != dropped.id and alert.withdrawn_at is None
    ]
    if not others:
        return
    view = book.field_view(book.season.fields[dropped.crossing.field])
    figures = {one.target: one for one in view.standing.figures}
    kept = [(alert, figures[alert.crossing.target]) for alert in others if alert.crossing.target in figures]
    person = book.person(dropped.person)
    if person is None or not kept:
        return
    crossed = [crossed_by(book, view, one) for _, one in kept]
    key = f"{Purpose.ALERT}:{kept[0][0].crossing_id}:again:{dropped.id}"
    if tell(
        book, person, key, Purpose.ALERT, lambda speech: alert_text(speech, crossed, "above"), cause=None
    ):
        outbox = outbox_with_key(book.session, f"{key}:{person.key}")
        for alert, _ in kept:
            if outbox is not None:
                alert.outbox_id = outbox.id


def _drop_notices(book: FieldBook, row: CrossingRow) -> bool:
    """Keep the notices of a crossing that is gone from leaving, if they still wait; True where one has left."""
    notices = [
        out
        for kind in ("crossing", "waits")
        for out in outbox_beginning(book.session, f"{Purpose.NOTICE}:{kind}:{row.id}:")
    ]
    left = [out for out in notices if out.state != OutboxState.DROPPED and not drop(out)]
    return bool(left)


def withdraw_emptied(book: FieldBook, field: Field, cause: int | None) -> None:
    """Withdraw what was told of a round of which every count has been taken back."""
    for target, last in last_crossings(book.session, field.number).items():
        if last.standing not in (Standing.ABOVE, Standing.IN_RANGE):
            continue
        gone = book.session.get(Round, last.round_id)
        if gone is None or not gone.visits or any(holds_something(visit) for visit in gone.visits):
            continue
        nothing = FieldFigures(
            None,
            target,
            plan_of(gone.plan).method,
            0,
            len(field.sites),
            None,
            None,
            Judgement(Standing.UNKNOWN, Needs.SAMPLES, None, None),
            certain=False,
        )
        crossed = Crossed(book.season, field, last.day, nothing, FieldState.NONE, None)
        row = CrossingRow(
            field=field.number,
            target=target,
            round_id=last.round_id,
            kind=CrossingKind.WITHDRAWN,
            standing=OPEN_AGAIN,
            figures={"density": "-", "level": ""},
            reasons=[],
            crossed_at=book.now,
            day=last.day,
            text_id=cause,
        )
        book.session.add(row)
        book.session.flush()
        withdraw(book, last, row, crossed, None)
