"""Texts out: put down once, claimed by one sender, tried again later, settled; and what happens once."""

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from functools import partial

import pytest
import sqlalchemy as sa

from storage import (
    Draft,
    OutboxState,
    OutboxText,
    Session,
    Store,
    claim_next,
    drop,
    drop_waiting,
    first_time,
    happened,
    leave_now,
    note_deliveries,
    outbox_beginning,
    outbox_with_key,
    phone_state,
    put,
    settle_failed,
    settle_left,
)
from storage.outbox import TEXTS

NOON = datetime(2027, 7, 6, 17, tzinfo=UTC)
SECOND = timedelta(seconds=1)
OPAL, RAMON = "+12705550130", "+12705550131"


def draft(key: str, purpose: str = "reply", due_at: datetime = NOON, recipient: str = OPAL) -> Draft:
    return Draft(key, recipient, purpose, "12 Gin Road West …", due_at)


def put_all(store: Store, *drafts: Draft) -> list[bool]:
    return store.write(lambda session: [put(session, one, NOON) is not None for one in drafts])


def claim(store: Store, now: datetime = NOON) -> str | None:
    def step(session: Session) -> str | None:
        row = claim_next(session, now)
        return None if row is None else row.key

    return store.write(step)


def change(store: Store, key: str, what: Callable[[Session, OutboxText], object]) -> OutboxText:
    """Do something with the text of a key; gives the text as it is afterwards."""

    def step(session: Session) -> None:
        row = outbox_with_key(session, key)
        assert row is not None
        what(session, row)

    store.write(step)
    return look(store, key)


def look(store: Store, key: str) -> OutboxText:
    with store.read() as session:
        row = outbox_with_key(session, key)
        assert row is not None
        return row


def test_a_text_with_the_same_key_is_put_down_once(store: Store) -> None:
    assert put_all(store, draft("reply:1"), draft("reply:1", "alert"), draft("reply:2")) == [
        True,
        False,
        True,
    ]
    assert look(store, "reply:1").purpose == "reply"


def test_a_key_is_once_for_the_database_too(store: Store) -> None:
    put_all(store, draft("reply:1"))
    again = {"key": "reply:1", "recipient": OPAL, "purpose": "reply", "body": "", "state": "waiting"}
    with pytest.raises(sa.exc.IntegrityError):
        store.write(
            lambda session: session.execute(
                sa.insert(OutboxText).values(**again, created_at=NOON, due_at=NOON, tries=0)
            )
        )


def test_a_key_begins_only_as_it_is_written(store: Store) -> None:
    put_all(store, draft("alert:1_:ana"), draft("alert:12:ana"), draft("alert:1%:ana"))
    with store.read() as session:
        assert [row.key for row in outbox_beginning(session, "alert:1_")] == ["alert:1_:ana"]
        assert [row.key for row in outbox_beginning(session, "alert:1%")] == ["alert:1%:ana"]


def test_many_senders_claim_each_text_once(store: Store, database_url: str) -> None:
    put_all(store, *[draft(f"reply:{number}") for number in range(40)])
    other = Store(database_url)
    stores = [store, other]
    for one in stores:
        one.start_writer()
    together = threading.Barrier(8)

    def send(number: int) -> list[str]:
        together.wait(10)
        return list(iter(lambda: claim(stores[number % 2]) or "", ""))

    with ThreadPoolExecutor(8) as threads:
        claimed = [key for keys in threads.map(send, range(8)) for key in keys]
    assert sorted(claimed) == sorted(f"reply:{number}" for number in range(40))
    other.close()


def test_answers_go_before_what_the_clock_started(store: Store) -> None:
    put_all(
        store,
        draft("digest:june:2027-07-06:1", "digest", NOON - timedelta(hours=2)),
        draft("notice:1", "notice", NOON - timedelta(hours=1)),
        draft("reply:9", due_at=NOON),
        draft("reply:8", due_at=NOON - SECOND),
    )
    assert [claim(store) for _ in range(5)] == [
        "reply:8",
        "reply:9",
        "digest:june:2027-07-06:1",
        "notice:1",
        None,
    ]


def test_a_text_does_not_leave_before_it_is_due(store: Store) -> None:
    later = NOON + 60 * SECOND
    put_all(store, draft("alert:1:opal", "alert", later))
    assert claim(store, later - SECOND) is None
    assert claim(store, later) == "alert:1:opal"


def test_a_text_in_flight_when_its_phone_opts_out_is_not_tried_again(store: Store) -> None:
    put_all(store, draft("alert:1:opal", "alert"))
    assert claim(store) == "alert:1:opal"

    def opt_out(session: Session) -> None:
        phone_state(session, look(store, "alert:1:opal").recipient).opted_out_at = NOON + SECOND

    store.write(opt_out)
    fail = partial(settle_failed, fault="SVC0001", now=NOON + 2 * SECOND, again=True)
    change(store, "alert:1:opal", lambda session, row: fail(session, row.id))
    assert look(store, "alert:1:opal").state == OutboxState.DROPPED


def test_a_clock_that_is_set_back_keeps_nobody_waiting_for_a_keep_out(store: Store) -> None:
    day = timedelta(days=1)
    put_all(store, draft("keepout:1", "keepout", NOON), draft("alert:1:opal", "alert", NOON + SECOND))
    assert claim(store, NOON - day) == "keepout:1", "it was to leave at once"
    assert claim(store, NOON - day) is None, (
        "its sender holds it; the other is to wait for the end of quiet hours"
    )
    assert claim(store, NOON - day + TEXTS.lease) == "keepout:1"
    assert claim(store, NOON - 2 * day) == "keepout:1", "no lease is as long as that"
    change(store, "keepout:1", lambda s, row: settle_failed(s, row.id, "x", NOON - 2 * day, again=True))
    assert claim(store, NOON - 3 * day) == "keepout:1"


def test_a_claim_holds_for_its_lease_and_no_longer(store: Store) -> None:
    put_all(store, draft("reply:1"))
    assert claim(store) == "reply:1"
    assert claim(store, NOON + TEXTS.lease - SECOND) is None
    assert claim(store, NOON + TEXTS.lease) == "reply:1"
    assert look(store, "reply:1").tries == 2


def test_a_text_that_left_is_never_claimed_again(store: Store) -> None:
    put_all(store, draft("reply:1"))
    claim(store)
    row = change(store, "reply:1", lambda session, row: settle_left(session, row.id, NOON + SECOND))
    assert (row.state, row.left_at, row.claimed_until) == (OutboxState.LEFT, NOON + SECOND, None)
    assert claim(store, NOON + timedelta(days=1)) is None


def fail(session: Session, row: OutboxText, *, now: datetime) -> None:
    settle_failed(session, row.id, "no answer", now, again=True)


def test_each_failure_waits_twice_as_long_up_to_half_an_hour_until_the_text_has_failed(store: Store) -> None:
    put_all(store, draft("reply:1"))
    now = NOON
    waits = []
    most = TEXTS.most_tries or 0
    for number in range(1, most + 1):
        assert claim(store, now) == "reply:1"
        row = change(store, "reply:1", partial(fail, now=now))
        if number == most:
            break
        waits.append(row.due_at - now)
        assert claim(store, row.due_at - SECOND) is None
        now = row.due_at
    assert waits[:4] == [TEXTS.first_wait, 2 * TEXTS.first_wait, 4 * TEXTS.first_wait, 8 * TEXTS.first_wait]
    assert waits == sorted(waits)
    assert waits[-1] == TEXTS.longest_wait
    assert (row.state, row.fault) == (OutboxState.FAILED, "no answer")
    assert claim(store, now + timedelta(days=1)) is None


def test_what_the_gateway_will_never_take_has_failed_at_once(store: Store) -> None:
    put_all(store, draft("reply:1"))
    claim(store)
    row = change(
        store, "reply:1", lambda session, row: settle_failed(session, row.id, "refused", NOON, again=False)
    )
    assert (row.state, row.tries) == (OutboxState.FAILED, 1)


def test_a_text_is_dropped_only_while_it_cannot_have_left(store: Store) -> None:
    put_all(store, draft("waits"), draft("other", recipient=RAMON))
    assert claim(store) == "waits"
    store.write(lambda session: drop_waiting(session, OPAL))
    assert look(store, "waits").state == OutboxState.WAITING, "it may be on its way"
    assert look(store, "other").state == OutboxState.WAITING
    assert change(store, "other", lambda _, row: drop(row)).state == OutboxState.DROPPED
    assert claim(store) is None


def test_what_leaves_by_hand_leaves_in_order_and_once(store: Store) -> None:
    put_all(store, draft("b"), draft("a"), draft("later", due_at=NOON + SECOND))
    assert store.write(lambda session: [row.key for row in leave_now(session, NOON)]) == ["b", "a"]
    assert store.write(lambda session: [row.key for row in leave_now(session, NOON)]) == []
    assert (look(store, "a").state, look(store, "a").left_at) == (OutboxState.LEFT, NOON)


def test_a_receipt_is_noted_and_one_for_no_text_of_ours_is_let_go(store: Store) -> None:
    put_all(store, draft("reply:1"))
    told = [("reply:1", "DeliveredToTerminal"), ("reply:77", "DeliveryImpossible")]
    for _ in range(2):
        store.write(lambda session: note_deliveries(session, told, NOON))
    row = look(store, "reply:1")
    assert (row.delivery, row.delivery_at, row.state) == ("DeliveredToTerminal", NOON, OutboxState.WAITING)


def test_what_happens_once_happens_once(store: Store, database_url: str) -> None:
    other = Store(database_url)
    together = threading.Barrier(4)

    def strike(number: int) -> list[bool]:
        together.wait(10)
        at = (store, other)[number % 2]
        keys = [f"digest:june:2027-07-{day:02}" for day in range(1, 11)]
        return [at.write(partial(first_time, key=key, now=NOON)) for key in keys]

    with ThreadPoolExecutor(4) as threads:
        firsts = list(threads.map(strike, range(4)))
    assert [sum(day) for day in zip(*firsts, strict=True)] == [1] * 10
    with other.read() as session:
        assert happened(session, "digest:june:2027-07-10")
        assert not happened(session, "digest:june:2027-07-11")
    other.close()
