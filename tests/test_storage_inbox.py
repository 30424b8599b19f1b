"""Texts in: kept once, read in the order of their phone, parked when they cannot be read."""

import threading
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import partial

import pytest
import sqlalchemy as sa

from bot.field_book import SeasonShelf
from bot.rounds import hear_all, hear_next
from bot.rules import Season
from storage import (
    Arrived,
    InboxState,
    InboxText,
    OutboxText,
    Session,
    Store,
    failed_reading,
    keep,
    next_unread,
    same_words_lately,
    text_before,
    texts_since,
)
from storage.inbox import MOST_TRIES

NOON = datetime(2027, 7, 6, 17, tzinfo=UTC)
ANA, LUIS, JUNE = "+12705550111", "+12705550112", "+12705550120"


def arrived(gateway_id: str, sender: str = ANA, body: str = "121 1 FA2", gateway: str = "oma") -> Arrived:
    return Arrived(gateway, gateway_id, sender, "+12705550100", body, None, NOON)


def keep_all(store: Store, texts: Sequence[Arrived]) -> list[bool]:
    return [store.write(partial(keep, arrived=one)) is not None for one in texts]


def states(store: Store) -> dict[str, str]:
    with store.read() as session:
        return {row.gateway_id: row.state for row in session.scalars(sa.select(InboxText))}


def read_next(store: Store) -> str | None:
    """Read the next text, as far as storage goes; gives its id, None where none waits."""

    def step(session: Session) -> str | None:
        row = next_unread(session)
        if row is None:
            return None
        row.state = InboxState.READ
        return row.gateway_id

    return store.write(step)


def fail_next(store: Store) -> tuple[str, bool]:
    """Fail to read the next text; gives its id and whether it is parked."""

    def step(session: Session) -> tuple[str, bool]:
        row = next_unread(session)
        assert row is not None
        return row.gateway_id, failed_reading(session, row.id, "ValueError()", NOON)

    return store.write(step)


def test_the_same_gateway_id_again_changes_nothing(store: Store) -> None:
    kept = keep_all(store, [arrived("m-1"), arrived("m-1", LUIS, "14 1 LN9"), arrived("m-2")])
    assert kept == [True, False, True]
    with store.read() as session:
        first = session.scalars(sa.select(InboxText).order_by(InboxText.id)).first()
        assert first is not None
        assert (first.sender, first.body) == (ANA, "121 1 FA2")


def test_another_gateway_may_use_the_same_id(store: Store) -> None:
    assert keep_all(store, [arrived("m-1"), arrived("m-1", gateway="command")]) == [True, True]


def test_a_text_seen_before_takes_none_of_its_post_with_it(store: Store) -> None:
    keep_all(store, [arrived("m-1")])
    together = [arrived("m-1"), arrived("m-2"), arrived("m-2"), arrived("m-3")]
    kept = store.write(lambda session: [keep(session, one) is not None for one in together])
    assert kept == [False, True, False, True]
    assert set(states(store)) == {"m-1", "m-2", "m-3"}


@pytest.mark.parametrize("grouped", [False, True], ids=["each by itself", "commits shared"])
def test_the_same_text_from_two_threads_at_once_is_kept_once(store: Store, *, grouped: bool) -> None:
    if grouped:
        store.start_writer()
    together = threading.Barrier(2)

    def post(_thread: int) -> list[bool]:
        together.wait(10)
        return keep_all(store, [arrived(f"m-{number}") for number in range(10)])

    with ThreadPoolExecutor(2) as threads:
        one, other = threads.map(post, range(2))
    assert [a + b for a, b in zip(one, other, strict=True)] == [1] * 10
    assert len(states(store)) == 10


def test_the_texts_of_a_phone_are_read_in_the_order_in_which_they_were_kept(store: Store) -> None:
    keep_all(store, [arrived("a-1"), arrived("b-1", LUIS), arrived("a-2"), arrived("b-2", LUIS)])
    assert [read_next(store) for _ in range(5)] == ["a-1", "b-1", "a-2", "b-2", None]


def test_a_second_text_waits_for_the_first_of_its_phone_and_other_phones_do_not(store: Store) -> None:
    keep_all(store, [arrived("a-1"), arrived("a-2"), arrived("b-1", LUIS)])
    assert fail_next(store) == ("a-1", False)
    assert read_next(store) == "b-1", "another phone waited for a text that failed"
    assert fail_next(store) == ("a-1", False)
    assert states(store) == {"a-1": "unread", "a-2": "unread", "b-1": "read"}
    assert read_next(store) == "a-1"
    assert read_next(store) == "a-2"


def test_a_poisonous_text_is_parked_after_its_tries_and_the_next_goes_on(store: Store) -> None:
    keep_all(store, [arrived("poison"), arrived("next")])
    assert [fail_next(store) for _ in range(MOST_TRIES)] == [
        *[("poison", False)] * (MOST_TRIES - 1),
        ("poison", True),
    ]
    assert read_next(store) == "next"
    assert read_next(store) is None
    with store.read() as session:
        (parked,) = texts_since(session, NOON - timedelta(hours=1), needing_person=True)
        assert (parked.gateway_id, parked.state, parked.tries) == ("poison", InboxState.PARKED, MOST_TRIES)
        assert (parked.fault, parked.read_at) == ("ValueError()", NOON)


def test_the_text_before_is_the_phones_own(store: Store) -> None:
    keep_all(store, [arrived("a-1"), arrived("b-1", LUIS), arrived("a-2")])
    with store.read() as session:
        rows = {row.gateway_id: row for row in session.scalars(sa.select(InboxText))}
        before = text_before(session, rows["a-2"])
        assert before is rows["a-1"]
        assert text_before(session, rows["a-1"]) is None


@pytest.mark.parametrize(
    ("body", "same"),
    [
        ("121 1 FA2", True),
        ("121  1\tfa2 ", True),
        ("121 1 FA2\n", True),
        ("121 1 FA 2", False),  # may mean the same, but is not the same words
        ("121 1 FA3", False),
    ],
)
def test_the_same_words_are_found_whatever_their_case_and_blanks(
    store: Store, body: str, *, same: bool
) -> None:
    keep_all(store, [arrived("first", body=body), arrived("again")])
    assert lately(store, "again", NOON) == ("first" if same else None)


def test_the_newest_text_of_the_same_words_is_given_the_phone_s_own_and_earlier(store: Store) -> None:
    texts = [("a-1", ANA), ("a-2", ANA), ("b-1", LUIS), ("a-3", ANA), ("a-4", ANA)]
    keep_all(store, [arrived(name, phone) for name, phone in texts])
    assert lately(store, "a-3", NOON) == "a-2"
    assert lately(store, "a-1", NOON) is None
    assert lately(store, "b-1", NOON) is None


def test_a_text_of_the_same_words_is_forgotten_after_a_while(store: Store) -> None:
    keep_all(store, [arrived("first"), arrived("again")])
    assert lately(store, "again", NOON + timedelta(seconds=1)) is None
    assert lately(store, "again", NOON - timedelta(minutes=10)) == "first"


def lately(store: Store, gateway_id: str, since: datetime) -> str | None:
    """Give which earlier text a text repeats."""
    with store.read() as session:
        text = session.scalars(sa.select(InboxText).where(InboxText.gateway_id == gateway_id)).one()
        found = same_words_lately(session, text, since)
        return None if found is None else found.gateway_id


def test_that_a_text_was_perhaps_cut_is_kept_with_it(store: Store) -> None:
    keep_all(store, [replace(arrived("m-1"), perhaps_cut=True), arrived("m-2")])
    with store.read() as session:
        rows = session.scalars(sa.select(InboxText).order_by(InboxText.id)).all()
    assert [row.perhaps_cut for row in rows] == [True, False]


POISON = "121 1 FA99"


class PoisonedShelf(SeasonShelf):
    """A shelf that fails whenever one text is the next to be heard: a fault of ours that one text meets."""

    def season(self, session: Session) -> Season:
        waiting = next_unread(session)
        if waiting is not None and waiting.body == POISON:
            raise ZeroDivisionError("a fault of ours")
        return super().season(session)


@pytest.mark.usefixtures("larkspur")
def test_a_text_that_meets_a_fault_of_ours_is_parked_told_of_and_stops_nobody(
    store: Store, caplog: pytest.LogCaptureFixture
) -> None:
    keep_all(store, [arrived("poison", body=POISON), arrived("same phone"), arrived("other", LUIS, "14 1 0")])
    hear_all(store, PoisonedShelf(), NOON)
    assert states(store) == {"poison": "parked", "same phone": "read", "other": "read"}
    with store.read() as session:
        sent = session.scalars(sa.select(OutboxText).order_by(OutboxText.id)).all()
    told = [row for row in sent if row.purpose == "notice"]
    assert [row.recipient for row in told] == [JUNE]
    assert "Ana Prado" in told[0].body
    assert sorted(row.recipient for row in sent if row.purpose == "reply") == [ANA, LUIS]
    logged = caplog.text
    assert logged.count("could not be heard") == MOST_TRIES
    assert POISON not in logged
    assert ANA not in logged


@pytest.mark.usefixtures("larkspur")
def test_hearing_says_whether_it_found_work(store: Store) -> None:
    shelf = SeasonShelf()
    assert not hear_next(store, shelf, NOON)
    keep_all(store, [arrived("m-1")])
    assert hear_next(store, shelf, NOON)
    assert not hear_next(store, shelf, NOON)
