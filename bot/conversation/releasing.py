"""SEND and WAIT: a supervisor lets an alert that waits for a person go, or keeps it back."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from bot.conversation.alerting import ALERTING, TOLD_TO_GROWERS, crossed_by, put_alerts
from bot.conversation.holding import KEPT, growers_of
from bot.conversation.turn import Purpose, Turn, can_hear, tell_supervisors
from bot.field_book import FieldBook, FieldView
from bot.replies import (
    Crossed,
    Give,
    Speech,
    density_words,
    figure_clause,
    first_fitting,
    fitted,
    level_words,
    named,
    standing_words,
    target_words,
)
from bot.rules import CrossingKind, Field, FieldFigures, FieldState, Person, Role
from storage import Alert, CrossingRow, OutboxState, Round, drop, last_crossing, outbox_beginning


@dataclass(frozen=True, slots=True)
class Held:
    """A field's last crossing for one target whose standing still holds, with its newest figures."""

    row: CrossingRow
    view: FieldView
    figures: FieldFigures
    crossed: Crossed

    @property
    def told(self) -> list[Alert]:
        """Those whom a text tells of it."""
        return [one for one in self.row.alerts if one.withdrawn_at is None]

    @property
    def waits(self) -> bool:
        """Whether it is an alert that waits for a person."""
        return self.row.kind in ALERTING and bool(self.row.reasons)

    def untold(self, book: FieldBook) -> list[Person]:
        """The growers without a text about an alert that went: the season file, or a START, brought them since."""
        if self.row.kind not in ALERTING or self.row.reasons:
            return []
        told = {one.person for one in self.told}
        return [one for one in growers_of(book, self.crossed.field) if one.key not in told]

    @property
    def may_go(self) -> bool:
        """Whether it is in range and no grower was told: that goes only where a supervisor sends it on."""
        return self.row.kind == CrossingKind.IN_RANGE and not self.told


def hear_send(turn: Turn, number: int) -> None:
    """Let the alerts of a field that wait for a person go; without any, send on that it is in range.

    Without either, an alert that went goes to the growers whom the season file got since.
    """
    field = _field_of(turn, number)
    if field is None:
        return
    held = _held(turn.book, field)
    going = [one for one in held if one.waits] or [one for one in held if one.may_go]
    to = None
    if not going:
        late = {
            grower.key: grower
            for one in held
            for grower in one.untold(turn.book)
            if can_hear(turn.book, grower, Purpose.ALERT)
        }
        going = [one for one in held if any(grower.key in late for grower in one.untold(turn.book))]
        to = list(late.values())
    if not going:
        _say_how_it_stands(turn, field, held)
        return
    alerts = _let_go(turn, going, to)
    for one in going:
        _drop_notice(turn.book, one.row)
        _tell_the_others(turn, one, "sent")
    told = [person for person in growers_of(turn.book, field) if person.key in {one.person for one in alerts}]
    missed = [person for person in growers_of(turn.book, field) if person not in told and to is None]
    figures = [one.figures for one in going]
    if not told:
        key = "nobody" if missed else "no_grower"
        _reply(turn, field, key, figures, growers=_names(turn, missed))
        return
    leaves = max(one.outbox.due_at for one in alerts)
    key = "sent" if leaves <= turn.book.now else "sent_later"
    _reply(turn, field, key, figures, growers=_names(turn, told), time=_clock(turn, leaves), missed=missed)


def untold(book: FieldBook, field: Field) -> list[tuple[Held, list[Person]]]:
    """Give what was told of a field and still stands, each with the growers whom no text tells of it."""
    return [(one, one.untold(book)) for one in _held(book, field)]


def hear_wait(turn: Turn, number: int) -> None:
    """Keep the alerts of a field back: those that wait for a person, and those that quiet hours still hold."""
    field = _field_of(turn, number)
    if field is None:
        return
    held = _held(turn.book, field)
    kept = [one for one in held if one.waits] + [one for one in held if _hold_back(turn.book, one)]
    if not kept:
        _say_how_it_stands(turn, field, held, too_late=True)
        return
    said = {"reason": KEPT, "name": turn.person.first_name}
    for one in kept:
        new = all(reason["reason"] != KEPT for reason in one.row.reasons)
        if one.row.kind in ALERTING:
            one.row.reasons = [*(each for each in one.row.reasons if each["reason"] != KEPT), said]
        if new:
            _tell_the_others(turn, one, "kept")
    turn.book.session.flush()
    growers = growers_of(turn.book, field)
    key = "kept" if growers else "kept_nobody"
    _reply(turn, field, key, [one.figures for one in kept], growers=_names(turn, growers))


def _field_of(turn: Turn, number: int) -> Field | None:
    """Give the field that a supervisor of it means; anybody else is told who may."""
    field = turn.season.field_of(number)
    if field is None:
        return None
    if Role.SUPERVISOR in turn.person.roles and turn.person.key in field.supervisors:
        return field
    supervisor = turn.supervisor_of(field)
    names = named(field.name)
    turn.reply(
        *(
            turn.say("release.not_yours", field=field.number, name=name, supervisor=supervisor)
            for name in names
        )
    )
    return None


def _held(book: FieldBook, field: Field) -> list[Held]:
    """Give what a field last crossed to, above or in range, as far as it still stands so in its round."""
    found = []
    for target in (*book.season.targets, *book.season.shares):
        row = last_crossing(book.session, field.number, target)
        of = book.session.get(Round, row.round_id) if row is not None else None
        if row is None or of is None or row.kind not in TOLD_TO_GROWERS:
            continue
        view = book.round_view(field, of)
        figures = next((one for one in view.standing.figures if one.target == target), None)
        if figures is not None and view.standing.told(target) == row.standing:
            found.append(Held(row, view, figures, crossed_by(book, view, figures)))
    return found


def _let_go(turn: Turn, going: Sequence[Held], to: Sequence[Person] | None = None) -> list[Alert]:
    """Put the texts down: one for all targets above, one for each in range; to all growers or some."""
    above = [(one.row, one.crossed) for one in going if one.row.kind in ALERTING]
    in_range = [[(one.row, one.crossed)] for one in going if one.row.kind not in ALERTING]
    alerts: list[Alert] = []
    for together in ([above] if above else []) + in_range:
        for row, _ in together:
            row.reasons = []
        key = f"{Purpose.ALERT}:{together[0][0].id}:sent:{turn.text.id}"
        alerts += put_alerts(turn.book, together, key, turn.text.id, to)
    return alerts


def _hold_back(book: FieldBook, one: Held) -> bool:
    """Keep a text about a crossing from leaving that quiet hours still hold; False where none was kept."""
    if not one.told or any(not _may_be_dropped(book, alert) for alert in one.told):
        return False
    for alert in one.told:
        alert.withdrawn_at = book.now
        drop(alert.outbox)
    _drop_notice(book, one.row)
    return True


def _may_be_dropped(book: FieldBook, alert: Alert) -> bool:
    out = alert.outbox
    held_now = out.state == OutboxState.DROPPED
    return held_now or (
        out.state == OutboxState.WAITING and out.claimed_until is None and out.due_at > book.now
    )


def _drop_notice(book: FieldBook, row: CrossingRow) -> None:
    """Keep the notices about a crossing from leaving that still wait: they would say what no longer holds."""
    for kind in ("waits", "crossing"):
        for out in outbox_beginning(book.session, f"{Purpose.NOTICE}:{kind}:{row.id}:"):
            drop(out)


def _tell_the_others(turn: Turn, held: Held, kind: str) -> None:
    """Tell the field's other supervisors who decided what."""
    figures, field = held.figures, held.crossed.field

    def build(speech: Speech) -> str:
        return first_fitting(
            *(
                speech.say(
                    f"notice.{kind}",
                    who=turn.person.name,
                    field=field.number,
                    name=name,
                    target=target_words(speech, turn.season, figures.target, codes=False),
                    density=density_words(speech, figures),
                    level=level_words(figures.judged),
                    standing=standing_words(speech, figures.standing),
                )
                for name in named(field.name)
            )
        )

    key = f"{Purpose.NOTICE}:{kind}:{held.row.id}:{turn.text.id}"
    tell_supervisors(turn.book, field, key, build, cause=turn.text.id, but=turn.person)


def _say_how_it_stands(turn: Turn, field: Field, held: Sequence[Held], *, too_late: bool = False) -> None:
    """Say that nothing waits, or that it went already and when, with how the field stands."""
    view = turn.book.field_view(field)
    alerts = [alert for one in held for alert in one.told]
    found = map(turn.book.person, dict.fromkeys(one.person for one in alerts))
    growers = [person for person in found if person is not None]
    left = [one.outbox.left_at for one in alerts if one.outbox.left_at is not None]
    if not alerts:
        if view.standing.state is FieldState.NONE:
            names = named(field.name)
            turn.reply(*(turn.say("site.field_none", number=field.number, name=name) for name in names))
            return
        _reply(turn, field, "nothing", view.standing.figures, so_far=view.standing.state)
        return
    key = ("too_late" if too_late else "went") if left else "goes"
    moment = max(left) if left else max(one.outbox.due_at for one in alerts)
    figures = [one.figures for one in held if one.told]
    _reply(turn, field, key, figures, growers=_names(turn, growers), time=_clock(turn, moment))


def _reply(
    turn: Turn,
    field: Field,
    key: str,
    figures: Iterable[FieldFigures],
    *,
    so_far: FieldState = FieldState.FINAL,
    growers: str = "",
    time: str = "",
    missed: Sequence[Person] = (),
) -> None:
    """Answer with what was done and how the field stands; units, names and levels give way as in any reply."""
    shown, names = tuple(figures), named(field.name)
    not_told = turn.say("notice.not_told", names=_names(turn, missed)) if missed else ""

    def build(give: Give) -> str:
        name = names[min(give, len(names) - 1)] if give < Give.NAME else ""
        lead = turn.say(f"release.{key}", field=field.number, name=name, growers=growers, time=time)
        clauses = [
            figure_clause(turn.speech, turn.season, one, give, so_far=so_far is not FieldState.FINAL)
            for one in shown
        ]
        return " ".join([lead, not_told, *clauses])

    turn.reply(fitted(build, turn.speech.room))


def _names(turn: Turn, people: Sequence[Person]) -> str:
    return turn.speech.names([one.name for one in people])


def _clock(turn: Turn, moment: datetime) -> str:
    return turn.speech.clock(turn.book.local(moment))
