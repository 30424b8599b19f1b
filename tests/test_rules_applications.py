"""Which treatments the closures of a field tell of, when each may have begun and when it was over."""

from datetime import UTC, date, datetime, timedelta

import pytest

from bot.rules import Application, Cause, Closure, applications, tells_of_treatment
from tests.test_rules_reentry import after, closure

UNKNOWN = None


def made(*closures: Closure) -> list[tuple[float, float]]:
    """Give between which hours from the morning each treatment was made."""
    found = applications(closures, lambda moment: (moment - timedelta(hours=5)).date())
    return [
        ((one.began - after(0)) / timedelta(hours=1), (one.over - after(0)) / timedelta(hours=1))
        for one in found
    ]


@pytest.mark.parametrize(
    ("cause", "hours", "tells"),
    [
        (Cause.SPRAYED, 24, True),
        (Cause.SPRAYED, UNKNOWN, True),
        (Cause.WORDS, 24, True),  # a supervisor has given the hours
        (Cause.WORDS, UNKNOWN, False),
        (Cause.SPRAYING, UNKNOWN, False),
        (Cause.SIGN, UNKNOWN, False),
    ],
)
def test_only_what_says_that_it_was_made_is_a_treatment(
    cause: Cause, hours: int | None, *, tells: bool
) -> None:
    assert tells_of_treatment(closure(cause, hours)) is tells
    assert made(closure(cause, hours)) == ([(0, 0)] if tells else [])


def test_two_texts_of_one_day_tell_of_one_treatment_and_the_newer_holds() -> None:
    first, longer = closure(hours=24), closure(hours=48, since=after(2), key=2)
    assert applications([longer, first], datetime.date) == (Application(after(0), after(2), longer),)


def test_treatments_of_two_days_are_two() -> None:
    assert made(closure(hours=24), closure(hours=24, since=after(96), key=2)) == [(0, 0), (96, 96)]


def test_hours_that_come_days_later_are_of_the_treatment_that_waited_for_them() -> None:
    waits = closure(hours=UNKNOWN)
    assert made(waits, closure(hours=24, since=after(50), key=2)) == [(0, 50)]
    ended = closure(hours=UNKNOWN, ended=after(30))
    assert made(ended, closure(hours=24, since=after(50), key=2)) == [(0, 0), (50, 50)]


@pytest.mark.parametrize("cause", [Cause.SPRAYING, Cause.SIGN, Cause.WORDS])
def test_a_treatment_may_have_begun_when_the_field_was_first_shut_for_it(cause: Cause) -> None:
    shut = closure(cause, UNKNOWN, ended=after(20))
    assert made(shut, closure(hours=24, since=after(20), key=2)) == [(0, 20)]


def test_a_sign_that_was_ended_before_tells_nothing_of_a_treatment_since() -> None:
    assert made(closure(Cause.SIGN, UNKNOWN, ended=after(5)), closure(hours=24, since=after(20), key=2)) == [
        (20, 20)
    ]


def test_a_sign_seen_after_a_treatment_does_not_move_its_beginning() -> None:
    assert made(closure(hours=24), closure(Cause.SIGN, UNKNOWN, since=after(3), key=2)) == [(0, 0)]


def test_a_text_that_came_late_tells_of_a_treatment_made_before_it_was_sent() -> None:
    found = applications([closure()], datetime.date, {1: after(-4)})
    assert [(one.began, one.over) for one in found] == [(after(-4), after(0))]


def test_the_day_of_a_treatment_is_the_seasons() -> None:
    late = datetime(2027, 7, 7, 3, 0, tzinfo=UTC)  # 10 PM of July 6 in Larkspur County
    evening = closure(hours=24, since=late)
    morning = closure(hours=24, since=late - timedelta(hours=14), key=2)

    def utc(moment: datetime) -> date:
        return moment.date()

    def local(moment: datetime) -> date:
        return (moment - timedelta(hours=5)).date()

    assert len(applications([evening, morning], utc)) == 2
    assert len(applications([evening, morning], local)) == 1
