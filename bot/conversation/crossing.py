"""What a field's crossing sets off: the growers' alert, the supervisors' notice, what waits, what is taken back."""

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from functools import partial
from typing import Any

from bot.conversation.turn import Purpose, tell, tell_supervisors
from bot.field_book import SQUARES, FieldBook, FieldView, plan_of
from bot.replies import (
    Crossed,
    Speech,
    alert_text,
    back_below_text,
    corrected_text,
    crossing_notice,
    density_number,
    density_words,
    level_ratio,
    level_words,
    standing_words,
    waits_notice,
)
from bot.rules import (
    CrossingKind,
    Field,
    FieldFigures,
    FieldState,
    Judgement,
    LastCrossing,
    Needs,
    Person,
    Standing,
    crossing,
)
from storage import (
    Alert,
    CrossingRow,
    OutboxState,
    OutboxText,
    Round,
    alerts_in,
    drop,
    holds_something,
    last_crossing,
    last_told,
    open_questions_of_field,
    outbox_beginning,
    outbox_with_key,
    shares_of_field,
    standing_samples,
)

OPEN_AGAIN = "open"
"""What is kept as the standing of a crossing that took a standing away and left none."""

ALERTING = (CrossingKind.ABOVE, CrossingKind.STILL_ABOVE)
WITHDRAW_AT_ONCE_WITHIN = timedelta(hours=12)


def review_field(book: FieldBook, field: Field, cause: int | None) -> None:
    """Compare a field's standing with its last crossings, and set off what a new one says."""
    _withdraw_emptied(book, field, cause)
    view = book.field_view(field)
    if view.round_id is None:
        return
    fresh: list[tuple[CrossingRow, Crossed]] = []
    for figures in view.standing.figures:
        last = last_crossing(book.session, field.number, figures.target)
        now = view.standing.told(figures.target)
        kind = crossing(_last(last), now, view.round_id, final=view.standing.state is FieldState.FINAL)
        crossed = _crossed(book, view, figures)
        if kind is None:
            if last is not None and last.round_id == view.round_id and last.kind in ALERTING and last.reasons:
                last.reasons = why_it_waits(book, view, figures)
                if not last.reasons:
                    fresh.append((last, crossed))
            continue
        row = _note(book, view, figures, kind, now, cause)
        match kind:
            case CrossingKind.ABOVE | CrossingKind.STILL_ABOVE:
                row.reasons = why_it_waits(book, view, figures)
                if row.reasons:
                    _tell_it_waits(book, row, crossed)
                else:
                    fresh.append((row, crossed))
            case CrossingKind.WITHDRAWN:
                _withdraw(book, last, row, crossed, now)
            case CrossingKind.BACK_BELOW:
                _tell_back_below(book, row, crossed)
            case CrossingKind.IN_RANGE:
                _notice(book, row, crossed, "in_range", "")
            case CrossingKind.QUIET:
                pass
    if fresh:
        _alert(book, fresh)


def _last(row: CrossingRow | None) -> LastCrossing | None:
    if row is None:
        return None
    standing = None if row.standing == OPEN_AGAIN else Standing(row.standing)
    return LastCrossing(standing, row.round_id)


def _crossed(book: FieldBook, view: FieldView, figures: FieldFigures) -> Crossed:
    only = view.visits.get(view.field.sites[0]) if not view.field.several else None
    days = [visit.day for visit in view.visits.values()]
    return Crossed(
        book.season,
        view.field,
        max(days, default=book.today),
        figures,
        view.standing.state,
        view.squares,
        only.samples_in if only else 0,
        only.plan.samples if only else 0,
    )


def _note(
    book: FieldBook,
    view: FieldView,
    figures: FieldFigures,
    kind: CrossingKind,
    now: Standing | None,
    cause: int | None,
) -> CrossingRow:
    crossed = _crossed(book, view, figures)
    ratio = level_ratio(figures)
    row = CrossingRow(
        field=view.field.number,
        target=figures.target,
        round_id=view.round_id,
        kind=kind,
        standing=now.value if now else OPEN_AGAIN,
        figures={
            "density": density_number(figures),
            "level": level_words(figures.judged),
            "level_id": figures.level.id if figures.level else None,
            "ratio": None if ratio is None else float(ratio),
            "sites_in": figures.sites_in,
            "sites": figures.sites,
        },
        reasons=[],
        crossed_at=book.now,
        day=crossed.day,
        text_id=cause,
    )
    book.session.add(row)
    book.session.flush()
    return row


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
            if code in weighed and count is not None and count > plan.ask_above:
                what = f"{code}{count}, {visit} {row.number}"
                reasons.append({"reason": "over", "what": what, "limit": plan.ask_above})
    level = figures.level
    if level is not None and level.retention is not None and view.first_day is not None:
        shares = shares_of_field(book.session, view.field.number, SQUARES, view.first_day, None)
        if any(share.asked for share in shares):
            reasons.append({"reason": "share"})
    if view.on_proposal:
        reasons.append({"reason": "stage"})
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
    return [speech.say(f"notice.reason_{one['reason']}", **one) for one in reasons]


def _growers(book: FieldBook, field: Field) -> list[Person]:
    return [book.season.people[key] for key in field.growers if book.season.people[key].active]


def _alert(book: FieldBook, fresh: Sequence[tuple[CrossingRow, Crossed]]) -> None:
    """Alert each grower once, with one text for all targets that cross together, and tell the supervisors."""
    first, crossed = fresh[0]
    kind = "above" if any(row.kind == CrossingKind.ABOVE for row, _ in fresh) else "still_above"
    told: list[str] = []
    for grower in _growers(book, crossed.field):
        outbox = _put_alert(
            book, grower, first, lambda speech: alert_text(speech, [one for _, one in fresh], kind)
        )
        if outbox is None:
            continue
        told.append(grower.first_name)
        for row, _ in fresh:
            book.session.add(Alert(crossing_id=row.id, person=grower.key, outbox_id=outbox.id))
    book.session.flush()
    for row, one in fresh:
        notice = "above" if row.kind == CrossingKind.ABOVE else "still_above"
        _notice(book, row, one, notice, *told)


def _put_alert(
    book: FieldBook, grower: Person, row: CrossingRow, build: Callable[[Speech], str]
) -> OutboxText | None:
    """Put an alert down for one person; None where he cannot be told."""
    key = f"{Purpose.ALERT}:{row.id}"
    if not tell(book, grower, key, Purpose.ALERT, build, cause=row.text_id):
        return None
    return outbox_with_key(book.session, f"{key}:{grower.key}")


def _notice(
    book: FieldBook, row: CrossingRow, crossed: Crossed, kind: str, *told: str, **more: object
) -> None:
    def build(speech: Speech) -> str:
        names = [name for name in told if name]
        who = (
            speech.say("notice.told", names=speech.names(names))
            if names
            else speech.say("notice.told_nobody")
        )
        state = speech.say(f"site.state_{crossed.state.name.lower()}") if crossed.state.name != "NONE" else ""
        return crossing_notice(speech, crossed, kind, who, state, **_in_words(speech, more))

    tell_supervisors(book, crossed.field, f"{Purpose.NOTICE}:crossing:{row.id}", build, cause=row.text_id)


def _in_words(speech: Speech, more: dict[str, object]) -> dict[str, object]:
    """Fill in what a notice says in words that turn on the language."""
    said: dict[str, object] = dict(more)
    before = more.get("before")
    if isinstance(before, Standing):
        said["standing"] = standing_words(speech, before)
    now = more.get("now")
    if isinstance(now, FieldFigures):
        said["now"] = speech.say(
            "notice.now_figure",
            density=density_words(speech, now),
            level=level_words(now.judged),
            standing=standing_words(speech, now.standing),
        )
    elif "now" in more:
        said["now"] = speech.say("notice.now_unknown")
    return said


def _tell_it_waits(book: FieldBook, row: CrossingRow, crossed: Crossed) -> None:
    growers = [person.name for person in _growers(book, crossed.field)]

    def build(speech: Speech) -> str:
        who = speech.names(growers) if growers else speech.say("words.everybody")
        return waits_notice(speech, crossed, reasons_words(speech, row.reasons), who)

    tell_supervisors(book, crossed.field, f"{Purpose.NOTICE}:waits:{row.id}", build, cause=row.text_id)


def _withdraw(
    book: FieldBook, last: CrossingRow | None, row: CrossingRow, crossed: Crossed, now: Standing | None
) -> None:
    """Take back what the last crossing told: what has not left never leaves, what has left is corrected."""
    if last is None:
        return
    told: list[str] = []
    before = str(last.figures["density"])
    for alert in last.alerts:
        if alert.withdrawn_at is not None:
            continue
        alert.withdrawn_at = book.now
        if drop(alert.outbox):
            _alert_the_rest(book, alert)
            continue
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
                speech, crossed, before, _contact_number(book), known=now is not None
            ),
            cause=row.text_id,
            at_once=at_once,
        )
        outbox = outbox_with_key(book.session, f"{key}:{person.key}") if sent else None
        if outbox is not None:
            told.append(person.first_name)
            book.session.add(Alert(crossing_id=row.id, person=person.key, outbox_id=outbox.id))
    last.reasons = []
    _drop_notices(book, last)
    _notice(
        book,
        row,
        crossed,
        "withdrawn",
        *told,
        now=crossed.figures if now is not None else None,
        before=Standing(last.standing) if last.standing != OPEN_AGAIN else Standing.ABOVE,
        was=before,
    )
    book.session.flush()


def _contact_number(book: FieldBook) -> str:
    """Give the last part of the season's contact, which is its number where it has one."""
    return book.season.contact.rsplit(", ", 1)[-1]


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
    crossed = [_crossed(book, view, one) for _, one in kept]
    key = f"{Purpose.ALERT}:{kept[0][0].crossing_id}:again:{dropped.id}"
    if tell(
        book, person, key, Purpose.ALERT, lambda speech: alert_text(speech, crossed, "above"), cause=None
    ):
        outbox = outbox_with_key(book.session, f"{key}:{person.key}")
        for alert, _ in kept:
            if outbox is not None:
                alert.outbox_id = outbox.id


def _drop_notices(book: FieldBook, row: CrossingRow) -> None:
    """Keep a supervisor's notice of a crossing that is gone from leaving, if it still waits."""
    for kind in ("crossing", "waits"):
        for out in outbox_beginning(book.session, f"{Purpose.NOTICE}:{kind}:{row.id}:"):
            drop(out)


def _tell_back_below(book: FieldBook, row: CrossingRow, crossed: Crossed) -> None:
    """Tell those who had the alert, once, that the field is below again, and the supervisors."""
    before = last_told(book.session, row.field, row.target, ALERTING)
    told: list[str] = []
    if before is not None:
        for alert in before.alerts:
            person = book.person(alert.person)
            if person is None or alert.withdrawn_at is not None or alert.outbox.state != OutboxState.LEFT:
                continue
            figure = str(before.figures["density"])
            build = partial(_back_below, crossed=crossed, before=figure, day=before.day)
            sent = tell(book, person, f"{Purpose.ALERT}:{row.id}", Purpose.ALERT, build, cause=row.text_id)
            if sent:
                told.append(person.first_name)
    _notice(book, row, crossed, "back_below", *told)


def _back_below(speech: Speech, crossed: Crossed, before: str, day: date) -> str:
    return back_below_text(speech, crossed, before, day)


def _withdraw_emptied(book: FieldBook, field: Field, cause: int | None) -> None:
    """Withdraw what was told of a round of which every count has been taken back."""
    for target in book.season.targets:
        last = last_crossing(book.session, field.number, target)
        if last is None or last.standing not in (Standing.ABOVE, Standing.IN_RANGE):
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
        _withdraw(book, last, row, crossed, None)
