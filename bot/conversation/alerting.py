"""Telling a crossing: the alert to growers, the notice to supervisors."""

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from bot.conversation.holding import growers_of
from bot.conversation.turn import Purpose, speech_of, tell, tell_supervisors
from bot.field_book import FieldBook, FieldView
from bot.replies import (
    Crossed,
    Speech,
    alert_text,
    crossing_notice,
    density_number,
    density_words,
    level_ratio,
    level_words,
    squares_words,
    standing_words,
)
from bot.rules import CrossingKind, FieldFigures, FieldState, Person, Standing
from storage import Alert, CrossingRow, OutboxText, alerts_in, outbox_beginning, outbox_with_key, reword

ALERTING = (CrossingKind.ABOVE, CrossingKind.STILL_ABOVE)
TOLD_TO_GROWERS = (*ALERTING, CrossingKind.IN_RANGE)
"""What growers hear of: at once, when a person lets it go, or only where a supervisor sends it on."""

NAMES_OF_KINDS = {
    CrossingKind.ABOVE: "above",
    CrossingKind.STILL_ABOVE: "still_above",
    CrossingKind.IN_RANGE: "in_range",
}
"""What an alert and a notice are called by the crossing that they tell; of several the first."""


def crossed_by(book: FieldBook, view: FieldView, figures: FieldFigures) -> Crossed:
    """Give a field's figures as alerts and notices say them: its newest day, how far its count is."""
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


def figures_kept(figures: FieldFigures) -> dict[str, Any]:
    """Give what is kept of a figure with its crossing: as it is told, so that later texts say the same."""
    ratio = level_ratio(figures)
    return {
        "density": density_number(figures),
        "level": level_words(figures.judged),
        "level_id": figures.level.id if figures.level else None,
        "ratio": None if ratio is None else float(ratio),
        "sites_in": figures.sites_in,
        "sites": figures.sites,
    }


def alert_growers(book: FieldBook, fresh: Sequence[tuple[CrossingRow, Crossed]]) -> None:
    """Alert each grower once, with one text for all targets that cross together, and tell the supervisors."""
    first = fresh[0][0]
    put_alerts(book, fresh, f"{Purpose.ALERT}:{first.id}", first.text_id)
    for row, one in fresh:
        notice = "above" if row.kind == CrossingKind.ABOVE else "still_above"
        notice_crossing(book, row, one, notice, [alert.person for alert in row.alerts])


def put_alerts(
    book: FieldBook,
    fresh: Sequence[tuple[CrossingRow, Crossed]],
    key: str,
    cause: int | None,
    to: Sequence[Person] | None = None,
) -> list[Alert]:
    """Put down one text to each grower (or to some) for all targets together, and note whom it tells of which."""
    together = [one for _, one in fresh]
    for row, one in fresh:
        row.figures = figures_kept(one.figures)
    put: list[Alert] = []
    for grower in growers_of(book, together[0].field) if to is None else to:
        build = partial(_alert_of, crossed=together, kind=_kind([row for row, _ in fresh]))
        if not tell(book, grower, key, Purpose.ALERT, build, cause=cause):
            continue
        outbox = outbox_with_key(book.session, f"{key}:{grower.key}")
        if outbox is not None:
            put += [_told_by(row, grower.key, outbox) for row, _ in fresh]
    book.session.flush()
    return put


def _told_by(row: CrossingRow, person: str, outbox: OutboxText) -> Alert:
    """Note that a text tells somebody of a crossing; one that was kept back before it left is told anew."""
    alert = next((one for one in row.alerts if one.person == person), None)
    if alert is None:
        alert = Alert(person=person, outbox=outbox)
        row.alerts.append(alert)
    else:
        alert.outbox, alert.withdrawn_at, alert.read_at = outbox, None, None
    return alert


def _kind(rows: Sequence[CrossingRow]) -> str:
    kinds = {row.kind for row in rows}
    for kind, said in NAMES_OF_KINDS.items():
        if kind in kinds:
            return said
    return "above"


def _alert_of(speech: Speech, crossed: Sequence[Crossed], kind: str) -> str:
    return alert_text(speech, crossed, kind)


def freshen(book: FieldBook, view: FieldView, row: CrossingRow) -> None:
    """Let alerts and notices that still wait say the newest state: figures may move while a standing stays."""
    figures = {one.target: one for one in view.standing.figures}
    moved = False
    for alert in row.alerts:
        person = book.person(alert.person)
        held = [one for one in alerts_in(book.session, alert.outbox_id) if one.withdrawn_at is None]
        crossed = [crossed_by(book, view, figures[one.crossing.target]) for one in held]
        if person is None or not crossed:
            continue
        body = alert_text(speech_of(book, person), crossed, _kind([one.crossing for one in held]))
        moved |= reword(alert.outbox, body)
    if moved:
        row.figures = figures_kept(figures[row.target])
    notice = _kind([row])
    crossed_now = crossed_by(book, view, figures[row.target])
    build = _notice_of(book, crossed_now, notice, [alert.person for alert in row.alerts], {})
    for out in outbox_beginning(book.session, f"{Purpose.NOTICE}:crossing:{row.id}:"):
        reader = book.person(out.person) if out.person else None
        if reader is not None:
            reword(out, build(speech_of(book, reader)))


def notice_crossing(
    book: FieldBook,
    row: CrossingRow,
    crossed: Crossed,
    kind: str,
    told: Sequence[str],
    *,
    had_it: Sequence[str] | None = None,
    **more: object,
) -> None:
    """Tell the supervisors of a crossing, and which growers were told of it and which were not.

    `had_it` are those who had an alert before, where nobody else need hear of it.
    """
    build = _notice_of(book, crossed, kind, told, more, had_it)
    tell_supervisors(book, crossed.field, f"{Purpose.NOTICE}:crossing:{row.id}", build, cause=row.text_id)


def _notice_of(
    book: FieldBook,
    crossed: Crossed,
    kind: str,
    told: Sequence[str],
    more: dict[str, object],
    had_it: Sequence[str] | None = None,
) -> Callable[[Speech], str]:
    growers = growers_of(book, crossed.field)
    concerned = [one for one in growers if had_it is None or one.key in had_it or one.key in told]
    heard = [one.first_name for one in concerned if one.key in told]
    missed = [one.first_name for one in concerned if one.key not in told]

    def build(speech: Speech) -> str:
        who = []
        if heard:
            who.append(speech.say("notice.told", names=speech.names(heard)))
        if missed and kind != "in_range":
            who.append(speech.say("notice.not_told", names=speech.names(missed)))
        if not growers:
            who.append(speech.say("notice.told_nobody"))
        state = (
            "" if crossed.state is FieldState.NONE else speech.say(f"site.state_{crossed.state.name.lower()}")
        )
        return crossing_notice(speech, crossed, kind, " ".join(who), state, **_in_words(speech, more))

    return build


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
            squares=squares_words(speech, now),
            standing=standing_words(speech, now.standing),
        )
    elif "now" in more:
        said["now"] = speech.say("notice.now_unknown")
    return said
