"""Sending what waits, through gateways that fail in every way they can; and the threads that keep at it."""

import threading
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import partial

import pytest
import sqlalchemy as sa

from bot.delivery import deliver_next
from bot.gateways import (
    Accepted,
    Gateway,
    GatewayError,
    GatewayRefused,
    GatewaySuspended,
    GatewayUnreachable,
    NumberRefused,
    Outgoing,
)
from bot.schedule import Schedule
from storage import DatabaseUnavailable, Draft, OutboxState, OutboxText, Store, put
from storage.outbox import TEXTS
from tests.standin_process import Hook, eventually, gateway_to, own_carrier

NOON = datetime(2027, 7, 6, 17, tzinfo=UTC)
SECOND = timedelta(seconds=1)
OPAL = "+12705550130"
ALERT = "14 Pump House, Jul 6: lygus ABOVE level 3 per 5 row ft."


@dataclass
class Watch:
    """A clock that the test sets."""

    now: datetime = NOON

    def __call__(self) -> datetime:
        return self.now


@dataclass
class Doubled:
    """A gateway that does as it is told, one step for each text it is handed; after them it takes every text."""

    steps: list[Callable[[], None]] = field(default_factory=list)
    handed: list[Outgoing] = field(default_factory=list)

    def send(self, message: Outgoing) -> Accepted:
        self.handed.append(message)
        if self.steps:
            self.steps.pop(0)()
        return Accepted(f"ref-{len(self.handed)}")

    def close(self) -> None:
        """Nothing to let go of."""


def failing(fault: BaseException) -> Callable[[], None]:
    def step() -> None:
        raise fault

    return step


@pytest.fixture
def watch() -> Watch:
    return Watch()


@pytest.fixture
def waiting(store: Store) -> Store:
    """A store in which one alert waits to leave."""
    put_down(store, "alert:1:opal")
    return store


def put_down(store: Store, key: str) -> None:
    draft = Draft(key, OPAL, "alert", ALERT, NOON)
    store.write(lambda session: put(session, draft, NOON) is not None)


def outbox(store: Store) -> OutboxText:
    with store.read() as session:
        return session.scalars(sa.select(OutboxText)).one()


def test_what_waits_is_sent_once_and_settled(waiting: Store, watch: Watch) -> None:
    gateway: Gateway = (doubled := Doubled())
    assert deliver_next(waiting, gateway, watch)
    assert not deliver_next(waiting, gateway, watch)
    assert doubled.handed == [Outgoing(OPAL, ALERT, "alert:1:opal")]
    row = outbox(waiting)
    assert (row.state, row.left_at, row.tries, row.fault) == (OutboxState.LEFT, NOON, 1, None)


@pytest.mark.parametrize("fault", [GatewayUnreachable, GatewaySuspended])
def test_a_gateway_that_cannot_take_it_now_gets_it_again_later_with_the_same_correlator(
    waiting: Store, watch: Watch, fault: type[GatewayError]
) -> None:
    doubled = Doubled([failing(fault("not now"))] * 4)
    waits = []
    while outbox(waiting).state == OutboxState.WAITING:
        assert deliver_next(waiting, doubled, watch)
        waits.append(outbox(waiting).due_at - watch.now)
        watch.now = outbox(waiting).due_at - SECOND
        assert not deliver_next(waiting, doubled, watch), "sent before its wait was over"
        watch.now += SECOND
    assert outbox(waiting).state == OutboxState.LEFT
    assert [one.correlator for one in doubled.handed] == ["alert:1:opal"] * 5
    assert waits[:4] == sorted(set(waits[:4])), "the waits do not grow"


@pytest.mark.parametrize("fault", [GatewayRefused, NumberRefused])
def test_what_a_gateway_will_never_take_has_failed_and_is_not_sent_again(
    waiting: Store, watch: Watch, fault: type[GatewayError], caplog: pytest.LogCaptureFixture
) -> None:
    doubled = Doubled([failing(fault("SVC0004", code="SVC0004", said=f"no such number: {OPAL}"))])
    assert deliver_next(waiting, doubled, watch)
    watch.now += timedelta(days=1)
    assert not deliver_next(waiting, doubled, watch)
    row = outbox(waiting)
    assert (row.state, row.fault, len(doubled.handed)) == (OutboxState.FAILED, "SVC0004", 1)
    assert "did not leave: SVC0004" in caplog.text
    assert OPAL not in caplog.text


def test_one_text_that_fails_does_not_hold_the_next(waiting: Store, watch: Watch) -> None:
    put_down(waiting, "alert:2:opal")
    doubled = Doubled([failing(GatewayUnreachable("no answer in time"))])
    assert deliver_next(waiting, doubled, watch)
    assert deliver_next(waiting, doubled, watch)
    assert [one.correlator for one in doubled.handed] == ["alert:1:opal", "alert:2:opal"]
    assert not deliver_next(waiting, doubled, watch)


def test_a_crash_between_sending_and_settling_means_a_second_send_with_the_same_correlator(
    waiting: Store, watch: Watch
) -> None:
    doubled = Doubled([failing(KeyboardInterrupt())])
    with pytest.raises(KeyboardInterrupt):
        deliver_next(waiting, doubled, watch)
    watch.now = NOON + TEXTS.lease - SECOND
    assert not deliver_next(waiting, doubled, watch), "it may be on its way: its lease holds"
    watch.now = NOON + TEXTS.lease
    assert deliver_next(waiting, doubled, watch)
    assert doubled.handed == [Outgoing(OPAL, ALERT, "alert:1:opal")] * 2
    assert outbox(waiting).state == OutboxState.LEFT


def test_a_database_that_is_gone_when_a_text_is_to_be_settled_is_the_same_as_a_crash(
    waiting: Store, watch: Watch, no_writing: Callable[[], AbstractContextManager[None]]
) -> None:
    gone = no_writing()
    doubled = Doubled([lambda: gone.__enter__()])
    with pytest.raises(DatabaseUnavailable):
        deliver_next(waiting, doubled, watch)
    gone.__exit__(None, None, None)
    watch.now += TEXTS.lease
    assert deliver_next(waiting, doubled, watch)
    assert [one.correlator for one in doubled.handed] == ["alert:1:opal"] * 2
    assert outbox(waiting).state == OutboxState.LEFT


def test_nothing_is_sent_inside_a_transaction(waiting: Store, watch: Watch, database_url: str) -> None:
    other = Store(database_url)

    def look_and_write() -> None:
        assert outbox(other).claimed_until == NOON + TEXTS.lease, "the claim is not committed"
        put_down(other, "reply:9")

    assert deliver_next(waiting, Doubled([look_and_write]), watch)
    other.close()


def crash_once(gateway: Gateway) -> Gateway:
    """Give a gateway that takes a text and then dies before it can say so, once."""

    class Dying(Doubled):
        def send(self, message: Outgoing) -> Accepted:
            accepted = gateway.send(message)
            super().send(message)
            return accepted

    return Dying([failing(KeyboardInterrupt())])


def test_a_text_that_is_sent_twice_after_a_crash_comes_to_its_phone_once(
    waiting: Store, watch: Watch
) -> None:
    hook = Hook()
    with own_carrier(f"{hook.url}/in") as carrier, gateway_to(carrier, hook) as gateway:
        with pytest.raises(KeyboardInterrupt):
            deliver_next(waiting, crash_once(gateway), watch)
        watch.now += TEXTS.lease
        assert deliver_next(waiting, gateway, watch)
        (line,) = carrier.conversation(OPAL)
        assert (line["text"], line["state"]) == (ALERT, "delivered")
        assert len(eventually(lambda: hook.receipts_of("alert:1:opal"))) == 1
        # The same when the answer is lost on its way, and when the carrier is busy at first.
        for number, weather in enumerate(("drop", "busy"), start=2):
            put_down(waiting, f"alert:{number}:opal")
            carrier.weather(outbound=weather)
            assert deliver_next(waiting, gateway, watch)
            carrier.weather()
            watch.now += timedelta(minutes=1)
            assert deliver_next(waiting, gateway, watch)
            assert len(carrier.conversation(OPAL)) == number
    hook.close()
    assert not deliver_next(waiting, Doubled(), watch)


# The threads that keep at it


@contextmanager
def running(schedule: Schedule) -> Iterator[Schedule]:
    schedule.start()
    try:
        yield schedule
    finally:
        schedule.stop()


HOUR = 3600.0


def test_a_loop_goes_on_while_it_finds_work_and_wakes_the_other() -> None:
    left = {"reading": 3, "delivery": 0}
    done: list[str] = []

    def step(name: str) -> bool:
        if not left[name]:
            return False
        left[name] -= 1
        done.append(name)
        if name == "reading":
            left["delivery"] += 1  # each text that is read has its answer
        return True

    loops: dict[str, Callable[[], bool]] = {name: partial(step, name) for name in left}
    with running(Schedule(lambda: None, loops, HOUR)):
        eventually(lambda: len(done) == 6)
    assert sorted(done) == ["delivery"] * 3 + ["reading"] * 3


def test_a_loop_that_is_woken_looks_at_once() -> None:
    looked = threading.Semaphore(0)

    def look() -> bool:
        looked.release()
        return False

    with running(Schedule(lambda: None, {"reading": look}, HOUR)) as schedule:
        for _ in range(20):
            assert looked.acquire(timeout=0.5), "it did not look, or only when a second was over"
            schedule.wake()


def test_a_loop_that_fails_is_logged_and_looks_again(caplog: pytest.LogCaptureFixture) -> None:
    looks: list[int] = []

    def look() -> bool:
        looks.append(1)
        raise ZeroDivisionError("a fault of ours")

    with running(Schedule(lambda: None, {"reading": look}, HOUR)) as schedule:

        def looked_three_times() -> bool:
            schedule.wake()
            return len(looks) >= 3

        eventually(looked_three_times)
    assert "reading failed; it looks again" in caplog.text


def test_the_clock_ticks_on_when_a_tick_fails(caplog: pytest.LogCaptureFixture) -> None:
    ticks: list[int] = []

    def tick() -> None:
        ticks.append(1)
        raise ZeroDivisionError("a fault of ours")

    with running(Schedule(tick, {}, 0.02)):
        eventually(lambda: len(ticks) >= 3)
    assert "a fault of ours" in caplog.text


def test_stopping_waits_for_the_step_that_runs() -> None:
    begun, ended = threading.Event(), threading.Event()

    def step() -> bool:
        begun.set()
        threading.Event().wait(0.1)
        ended.set()
        return False

    with running(Schedule(lambda: None, {"delivery": step}, HOUR)):
        assert begun.wait(5)
    assert ended.is_set()
