"""Telling a crossing: the alert to growers, the notice to supervisors."""

from collections.abc import Callable, Sequence

from bot.conversation.holding import growers_of
from bot.conversation.turn import Purpose, tell, tell_supervisors
from bot.field_book import FieldBook, FieldView
from bot.replies import (
    Crossed,
    Speech,
    alert_text,
    crossing_notice,
    density_words,
    level_words,
    standing_words,
)
from bot.rules import (
    CrossingKind,
    FieldFigures,
    Person,
    Standing,
)
from storage import (
    Alert,
    CrossingRow,
    OutboxText,
    outbox_with_key,
)


def crossed_by(book: FieldBook, view: FieldView, figures: FieldFigures) -> Crossed:
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


def alert_growers(book: FieldBook, fresh: Sequence[tuple[CrossingRow, Crossed]]) -> None:
    """Alert each grower once, with one text for all targets that cross together, and tell the supervisors."""
    first, crossed = fresh[0]
    kind = "above" if any(row.kind == CrossingKind.ABOVE for row, _ in fresh) else "still_above"
    told: list[str] = []
    for grower in growers_of(book, crossed.field):
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
        notice_crossing(book, row, one, notice, *told)


def _put_alert(
    book: FieldBook, grower: Person, row: CrossingRow, build: Callable[[Speech], str]
) -> OutboxText | None:
    """Put an alert down for one person; None where he cannot be told."""
    key = f"{Purpose.ALERT}:{row.id}"
    if not tell(book, grower, key, Purpose.ALERT, build, cause=row.text_id):
        return None
    return outbox_with_key(book.session, f"{key}:{grower.key}")


def notice_crossing(
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
