"""What the clock does, and what every text needs: reading what waits, lapsed questions, digests, reminders.

Each text is heard in one transaction of its own; what the clock does shares one, each step in a savepoint, so
that a step which fails takes back only itself.
"""

import logging
from collections.abc import Callable
from datetime import datetime, timedelta
from functools import partial

from bot.conversation import (
    Purpose,
    call_for_oks,
    hear,
    lapse_old_questions,
    report_tells,
    review_field,
    tell,
    tell_clock_back,
    tell_heat,
    tell_hours_over,
    tell_silent,
    tell_supervisors,
)
from bot.digests import put_due_digests, put_due_mails, put_due_mornings, today_texts
from bot.field_book import FieldBook, SeasonShelf
from bot.replies import NO_FIGURE, Speech, phone_words, reminder_text
from storage import (
    Alert,
    InboxText,
    Session,
    StorageError,
    Store,
    all_unread_alerts,
    failed_reading,
    first_time,
    happened,
    next_unread,
)

log = logging.getLogger(__name__)


def hear_next(store: Store, shelf: SeasonShelf, now: datetime) -> bool:
    """Hear the oldest unread text; False where none waits. A text that cannot be worked on is parked in the end."""

    def step(session: Session) -> int | None:
        text = next_unread(session)
        if text is None:
            return None
        try:
            with session.begin_nested():
                hear(FieldBook(session, shelf.season(session), now), text, today_texts)
        except Exception as fault:
            log.exception("text %s could not be heard", text.id)
            if failed_reading(session, text.id, repr(fault)[:200], now):
                _tell_parked(FieldBook(session, shelf.season(session), now), text.id)
        return text.id

    return store.write(step) is not None


def hear_all(store: Store, shelf: SeasonShelf, now: datetime) -> None:
    """Hear every unread text."""
    while hear_next(store, shelf, now):
        pass


def _tell_parked(book: FieldBook, text_id: int) -> None:
    text = book.session.get_one(InboxText, text_id)
    person = book.season.person_with(text.sender)
    name = person.name if person is not None else None
    clock = book.local(text.received_at)
    tell_supervisors(
        book,
        None,
        f"{Purpose.NOTICE}:parked:{text_id}",
        lambda say: say.say("notice.parked", name=name or say.say("digest.stranger"), time=say.hour(clock)),
        cause=text_id,
        at_once=True,
    )


def strike(store: Store, shelf: SeasonShelf, now: datetime) -> None:
    """Do what the clock does by a moment: texts left unread, lapsed questions, reminders, digests.

    A step that fails by our own fault is logged and does not keep the others from being done.
    """
    hear_all(store, shelf, now)
    steps = (
        _lapse,
        call_for_oks,
        report_tells,
        tell_silent,
        tell_hours_over,
        _remind,
        put_due_digests,
        put_due_mails,
        tell_heat,
        put_due_mornings,
    )
    done = [partial(_at, shelf, now, step) for step in steps]
    try:
        faults = store.write_together(done)
    except StorageError:
        # one of them may be at fault: alone each keeps what it can
        faults = [fault for step in done for fault in store.write_together([step])]
    for step, fault in zip(steps, faults, strict=True):
        if fault is not None:
            log.error("%s failed at the clock's strike", step.__name__, exc_info=fault)


def watch_clock(store: Store, shelf: SeasonShelf, now: datetime) -> None:
    """Look whether the clock that a service goes by was set back, and have it told."""
    store.write(partial(_at, shelf, now, tell_clock_back))


def _at(shelf: SeasonShelf, now: datetime, step: Callable[[FieldBook], None], session: Session) -> None:
    step(FieldBook(session, shelf.season(session), now))


def _lapse(book: FieldBook) -> None:
    """Let old questions lapse; an alert that waited for one may go now."""
    fields = dict.fromkeys(question.field for question in lapse_old_questions(book))
    for number in fields:
        field = book.season.fields.get(number) if number is not None else None
        if field is not None:
            review_field(book, field, None)


def _remind(book: FieldBook) -> None:
    """Remind once of an alert that has no OK, and after as long again tell the supervisors to call."""
    wait = timedelta(hours=float(book.season.reminder_hours))
    for alert in all_unread_alerts(book.session, book.now):
        left = alert.outbox.left_at
        if left is None or not _still_grows(book, alert):
            continue
        reminder = f"{Purpose.ALERT}:reminder:{alert.outbox_id}"
        escalation = f"{Purpose.NOTICE}:not-read:{alert.outbox_id}"
        unread_for = time_to_read(book, left)
        if unread_for >= wait and first_time(book.session, f"{reminder}:{alert.person}", book.now):
            _put_reminder(book, alert, reminder, left)
        elif unread_for >= 2 * wait and not happened(book.session, escalation):
            first_time(book.session, escalation, book.now)
            _tell_not_read(book, alert, escalation, left)


def _still_grows(book: FieldBook, alert: Alert) -> bool:
    """Tell whether the field is still that of who had an alert: the season file may have changed since."""
    person, field = book.person(alert.person), book.season.fields.get(alert.crossing.field)
    return person is not None and person.active and field is not None and person.key in field.growers


def time_to_read(book: FieldBook, since: datetime) -> timedelta:
    """Give how long somebody has had to read a text: quiet hours do not count."""
    counted = timedelta()
    moment = since
    while moment < book.now:
        awake = book.quiet_until(moment)
        if awake > moment:
            moment = awake
            continue
        until = min(book.now, book.next_quiet(moment))
        counted += until - moment
        moment = until
    return counted


def _put_reminder(book: FieldBook, alert: Alert, key: str, left: datetime) -> None:
    person = book.person(alert.person)
    field = book.season.fields.get(alert.crossing.field)
    if person is None or field is None:
        return
    clock = book.local(left)

    def build(say: Speech) -> str:
        return reminder_text(
            say,
            field,
            alert.crossing.day,
            say.clock(clock),
            str(alert.crossing.figures["density"]),
            str(alert.crossing.figures["level"]),
            _standing_words(say, alert),
            say.target(book.season, alert.crossing.target),
            book.season.contact_number,
        )

    tell(book, person, key, Purpose.ALERT, build, cause=alert.crossing.text_id)


def _standing_words(say: Speech, alert: Alert) -> str:
    standing = alert.crossing.standing
    return say.say(f"standing.{standing}" if say.has(f"standing.{standing}") else "standing.unknown")


def _tell_not_read(book: FieldBook, alert: Alert, key: str, left: datetime) -> None:
    person = book.person(alert.person)
    field = book.season.fields.get(alert.crossing.field)
    if person is None or field is None:
        return
    clock = book.local(left)
    tell_supervisors(
        book,
        field,
        key,
        lambda say: say.say(
            "alert.not_read" if alert.crossing.figures["density"] != NO_FIGURE else "alert.not_read_unknown",
            name=person.name,
            field=field.number,
            field_name="",
            target=say.target(book.season, alert.crossing.target),
            density=alert.crossing.figures["density"],
            level=alert.crossing.figures["level"],
            standing=_standing_words(say, alert),
            time=say.clock(clock),
            phone=phone_words(person.phone),
        ),
        cause=alert.crossing.text_id,
    )


__all__ = ["hear_all", "hear_next", "strike", "time_to_read", "watch_clock"]
