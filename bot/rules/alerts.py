"""Crossings: a field's final-or-certain standing changes. Only crossings speak."""

from dataclasses import dataclass
from enum import StrEnum

from bot.rules.judging import Standing


class CrossingKind(StrEnum):
    """What a crossing says, and so who hears of it."""

    ABOVE = "above"
    STILL_ABOVE = "still above"
    IN_RANGE = "in range"
    BACK_BELOW = "back below"
    WITHDRAWN = "withdrawn"
    QUIET = "quiet"


@dataclass(frozen=True, slots=True)
class LastCrossing:
    """The last crossing of a field and target: the standing that it left, None where it took one away."""

    standing: Standing | None
    round_id: int


def crossing(
    last: LastCrossing | None, now: Standing | None, round_id: int, *, final: bool
) -> CrossingKind | None:
    """Give the crossing between the last one and a standing that is final or certain now (else None).

    Within a round a standing goes away only by a correction: what was told of it is withdrawn. A quiet
    crossing is noted and told to nobody.
    """
    before = last.standing if last else None
    if last is not None and last.round_id == round_id:
        if now is before:
            return None
        if before in (Standing.ABOVE, Standing.IN_RANGE) and now is not Standing.ABOVE:
            return CrossingKind.WITHDRAWN
        if now is None:
            return CrossingKind.QUIET
        return _fresh(now)
    if now is None:
        return None
    if now is Standing.ABOVE and before is Standing.ABOVE:
        return CrossingKind.STILL_ABOVE if final else None
    if now is Standing.BELOW and before in (Standing.ABOVE, Standing.IN_RANGE):
        return CrossingKind.BACK_BELOW
    return CrossingKind.QUIET if now is before else _fresh(now)


def _fresh(now: Standing) -> CrossingKind:
    match now:
        case Standing.ABOVE:
            return CrossingKind.ABOVE
        case Standing.IN_RANGE:
            return CrossingKind.IN_RANGE
        case Standing.BELOW | Standing.UNKNOWN:
            return CrossingKind.QUIET
