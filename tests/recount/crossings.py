"""Crossings: when a field's final-or-certain standing changes, and what is said of it."""

from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction

from tests.recount.fields import FieldStands, FieldState


@dataclass(frozen=True, slots=True)
class Event:
    """Something to be said of a field's target: above, still above, in range, back below or corrected."""

    kind: str
    field: int
    target: str
    density: Fraction | None
    low: Fraction
    high: Fraction
    final: bool
    gone: bool = False
    was: str | None = None


@dataclass(slots=True)
class Standing:
    """What was said last of a field's target: its standing, in which round, and how often."""

    standing: str
    round: date
    stillsaid: date | None = None
    history: list[str] = field(default_factory=list)


class Crossings:
    """The last official standing of every field and target."""

    def __init__(self) -> None:
        self.last: dict[tuple[int, str], Standing] = {}

    def update(self, number: int, state: FieldState) -> list[Event]:
        """Compare a field with what it was and give what is to be said."""
        events = self._vanished(number, state)
        for one in state.levels if state.round is not None else ():
            if one.row.id:
                event = self._one(number, one, state)
                if event is not None:
                    events.append(event)
        return events

    def _vanished(self, number: int, state: FieldState) -> list[Event]:
        """Take back what was said of a round of which nothing is in any more."""
        events = []
        for key, last in list(self.last.items()):
            if key[0] == number and (state.round is None or state.round.first < last.round):
                del self.last[key]
                if last.standing != "below":
                    nothing = Fraction(0)
                    events.append(
                        Event("corrected", number, key[1], None, nothing, nothing, False, True, last.standing)
                    )
        return events

    def _one(self, number: int, one: FieldStands, state: FieldState) -> Event | None:
        assert state.round is not None
        key = (number, one.row.target)
        last = self.last.get(key)
        first = state.round.first
        now = one.standing if one.certain and one.seen else None
        if now == "unknown":
            now = None
        same = last is not None and last.round == first
        kind: str | None = None
        was = None if last is None else last.standing
        if now is None:
            if not same or last is None or last.standing == "below":
                return None
            kind = "corrected"
            del self.last[key]
        elif last is None or last.standing == "below":
            kind = "below" if now == "below" and last is None else None if now == "below" else now
            self.last[key] = Standing(now, first)
        elif last.standing == now:
            if same or (now == "above" and not state.through):
                return None
            self.last[key] = Standing(now, first)
            kind = "still above" if now == "above" else None
        elif same:
            kind = "corrected" if now != "above" else "above"
            self.last[key] = Standing(now, first)
        else:
            kind = "back below" if now == "below" else now
            self.last[key] = Standing(now, first)
        if kind is None:
            return None
        figures = (figure(one, state), one.low, one.high)
        return Event(kind, number, one.row.target, *figures, state.through, now is None, was)


def figure(one: FieldStands, state: FieldState) -> Fraction | None:
    """Give the figure that texts print: where the field is only certain, what it has for sure, if the mean is lower."""
    if state.through or (one.density is not None and not one.density < one.high <= one.sure):
        return one.density
    return one.sure


def newest(event: Event, state: FieldState) -> Event:
    """Give an event with the figures of now."""
    one = next((each for each in state.levels if each.row.target == event.target), None)
    if one is None or event.gone:
        return event
    return replace(event, density=figure(one, state), low=one.low, high=one.high, final=state.through)
