"""Treatments that were made to a field, read from what closed it: when one may have begun, when it was over.

That a field was treated is said by SPRAYED, and by the hours that a supervisor gave to words of a treatment. SPRAYING
alone does not say that it was finished, a sign not when or with what, free words not even that it was made: they make
no treatment, but what was counted after them may have been counted after it.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from bot.rules.reentry import Cause, Closure


@dataclass(frozen=True, slots=True)
class Application:
    """A treatment of a field: it may have begun at `began` and was over at `over`.

    `closure` is the newest that tells of it, whose hours hold.
    """

    began: datetime
    over: datetime
    closure: Closure


def tells_of_treatment(one: Closure) -> bool:
    """Tell whether a closure says that a field was treated; hours are those of a treatment, whoever said of it what."""
    return one.cause is Cause.SPRAYED or one.hours is not None


def applications(
    closures: Iterable[Closure],
    day_of: Callable[[datetime], date],
    sent: Mapping[int, datetime] | None = None,
) -> tuple[Application, ...]:
    """Give the treatments of a field, oldest first, `day_of` giving the local day of a moment.

    `sent` is when the text of a closure was sent, by the closure's id, where that is known: hours run from when it
    came, but it was treated by the time it was sent.

    Two that are told of on one day are one, as hours are put right by a second text; so are two of which the first
    had no known hours and still ran when the second came. One may have begun when a sign, words or SPRAYING that
    still ran closed the field.
    """
    every = sorted(closures, key=lambda one: (one.since, one.id))
    said = sent or {}
    found: list[Application] = []
    for one in filter(tells_of_treatment, every):
        open_ended = [other for other in every if other is not one and _ran_without_hours(other, one)]
        began = min(min(each.since, said.get(each.id, each.since)) for each in (one, *open_ended))
        last = found[-1] if found else None
        if last is not None and (
            day_of(last.over) == day_of(one.since) or any(tells_of_treatment(other) for other in open_ended)
        ):
            found[-1] = Application(min(last.began, began), max(last.over, one.since), one)
        else:
            found.append(Application(began, one.since, one))
    return tuple(found)


def _ran_without_hours(other: Closure, when: Closure) -> bool:
    """Tell whether a closure of unknown hours still kept people out when another came."""
    return (
        other.hours is None
        and other.known_at <= when.known_at
        and (other.ended_at is None or other.ended_at >= when.known_at)
    )
