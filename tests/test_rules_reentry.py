"""When a field is shut: standing.md, Re-entry. Closing is easy, opening is hard, and no hours are ever made up."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.rules import Cause, Closure, keep_out, last_end

MORNING = datetime(2027, 7, 6, 12, 40, tzinfo=UTC)  # 7:40 AM in Larkspur County


def after(hours: float) -> datetime:
    return MORNING + timedelta(hours=hours)


def closure(
    cause: Cause = Cause.SPRAYED,
    hours: int | None = 24,
    since: datetime = MORNING,
    ended: datetime | None = None,
    key: int = 1,
) -> Closure:
    return Closure(key, cause, since, since, hours, ended)


@pytest.mark.parametrize(("hours", "shut"), [(0, True), (23.99, True), (24, False), (48, False)])
def test_the_interval_runs_from_the_end_of_the_application_to_its_hour(hours: float, shut: bool) -> None:
    assert (keep_out([closure()], after(hours)) is not None) is shut


@pytest.mark.parametrize("cause", Cause)
def test_without_hours_a_field_stays_shut_however_long(cause: Cause) -> None:
    found = keep_out([closure(cause, None)], after(24 * 365))
    assert found is not None
    assert found.until is None


def test_of_several_the_latest_end_governs() -> None:
    found = keep_out(
        [closure(), closure(hours=12, since=after(6), key=2), closure(hours=48, key=3)], after(7)
    )
    assert found is not None
    assert found.until == after(48)
    assert found.since == MORNING


def test_an_end_that_is_not_known_beats_every_hour() -> None:
    found = keep_out([closure(hours=48), closure(Cause.SIGN, None, key=2)], after(1))
    assert found is not None
    assert found.until is None


def test_what_was_ended_keeps_nobody_out_from_then_on() -> None:
    one = closure(hours=None, ended=after(3))
    assert keep_out([one], after(2)) is not None
    assert keep_out([one], after(3)) is None


def test_a_clock_that_runs_ahead_only_makes_it_longer() -> None:
    ahead = Closure(1, Cause.SPRAYED, MORNING, after(2), 24)
    assert keep_out([ahead], MORNING) is not None
    assert keep_out([ahead], after(25.9)) is not None
    assert keep_out([ahead], after(26)) is None


def test_before_it_was_known_a_field_was_not_shut() -> None:
    assert keep_out([closure()], after(-0.01)) is None


def test_the_last_end_is_that_of_the_hours_or_of_the_word_that_ended_it() -> None:
    assert last_end([closure(), closure(hours=None, ended=after(30), key=2)], after(40)) == after(30)
    assert last_end([closure(hours=48, ended=after(3))], after(40)) == after(3)
    assert last_end([closure()], after(1)) is None


closures = st.builds(
    Closure,
    id=st.integers(1, 9),
    cause=st.sampled_from(Cause),
    known_at=st.just(MORNING),
    since=st.integers(-48, 48).map(after),
    hours=st.none() | st.integers(4, 96),
    ended_at=st.none() | st.integers(0, 96).map(after),
)


@given(those=st.lists(closures, max_size=5), more=closures, hour=st.integers(0, 200))
def test_one_more_closure_never_opens_a_field_or_brings_its_end_nearer(
    those: list[Closure], more: Closure, hour: int
) -> None:
    before, now = keep_out(those, after(hour)), keep_out([*those, more], after(hour))
    if before is None:
        return
    assert now is not None
    if now.until is not None:
        assert before.until is not None
        assert now.until >= before.until


@given(those=st.lists(closures, max_size=5), hour=st.integers(0, 200))
def test_a_field_is_shut_exactly_until_the_end_that_is_said(those: list[Closure], hour: int) -> None:
    found = keep_out(those, after(hour))
    if found is None or found.until is None or any(one.ended_at for one in those):
        return
    assert keep_out(those, found.until - timedelta(seconds=1)) is not None
    assert keep_out(those, found.until) is None
