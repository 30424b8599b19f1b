"""Transactions: what is kept, when it is kept, and what a fault takes with it."""

import signal
import subprocess
import sys
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import AbstractContextManager
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
import sqlalchemy as sa

from storage import (
    Arrived,
    DatabaseNotReady,
    DatabaseUnavailable,
    InboxText,
    Session,
    Store,
    happened,
    keep,
    newest_season,
)
from storage.ledger import first_time

ROOT = Path(__file__).resolve().parent.parent
NOON = datetime(2027, 7, 6, 17, tzinfo=UTC)


def arrived(gateway_id: str, *, received_at: datetime = NOON, sent_at: datetime | None = None) -> Arrived:
    return Arrived("oma", gateway_id, "+12705550111", "+12705550100", "121 1 FA2", sent_at, received_at)


def count_of(store: Store) -> int:
    with store.read() as session:
        return session.scalar(sa.select(sa.func.count(InboxText.id))) or 0


@pytest.mark.parametrize("grouped", [False, True], ids=["each by itself", "commits shared"])
def test_eighty_additions_by_many_threads_add_up_to_eighty(database_url: str, *, grouped: bool) -> None:
    # With the default driver's own transactions 60 of the 80 were lost (Python 3.11, SQLite 3.40).
    stores = [Store(database_url), Store(database_url)]
    stores[0].write(lambda session: keep(session, arrived("one")))

    def add_one(session: Session) -> None:
        row = session.scalars(sa.select(InboxText)).one()
        row.tries = row.tries + 1

    def add_ten(turn: int) -> None:
        for _ in range(10):
            stores[turn % 2].write(add_one)

    if grouped:
        for store in stores:
            store.start_writer()
    with ThreadPoolExecutor(8) as threads:
        list(threads.map(add_ten, range(8)))
    with stores[0].read() as session:
        assert session.scalars(sa.select(InboxText.tries)).one() == 80
    for store in stores:
        store.close()


def test_a_step_that_raises_takes_back_only_itself(store: Store) -> None:
    """Steps of one commit: two that keep a text, one that keeps a text and raises, one that breaks a constraint."""
    release = threading.Event()
    sessions: list[Session] = []

    def first(session: Session) -> None:
        release.wait(10)
        first_time(session, "first", NOON)

    def keeps(name: str) -> Callable[[Session], str]:
        def step(session: Session) -> str:
            sessions.append(session)
            assert keep(session, arrived(name)) is not None
            return name

        return step

    def raises(session: Session) -> None:
        keeps("raised")(session)
        raise LookupError("the step's own fault")

    def breaks(session: Session) -> None:
        keeps("broken")(session)
        session.execute(
            sa.insert(InboxText).from_select(
                ["gateway", "gateway_id", "sender", "recipient", "body"],
                sa.select(*[sa.literal("oma"), sa.literal("broken"), *[sa.literal("x")] * 3]),
            )
        )

    store.start_writer()
    with ThreadPoolExecutor(5) as threads:
        holding = threads.submit(store.write, first)
        entered = threading.Barrier(5)

        def write(step: Callable[[Session], object]) -> object:
            entered.wait(10)
            return store.write(step)

        waiting = [threads.submit(write, step) for step in (keeps("a"), raises, breaks, keeps("b"))]
        entered.wait(10)
        threading.Event().wait(0.2)  # the four are in the queue by now, behind the one that holds the writer
        release.set()
        holding.result()
        assert (waiting[0].result(), waiting[3].result()) == ("a", "b")
        with pytest.raises(LookupError, match="own fault"):
            waiting[1].result()
        with pytest.raises(sa.exc.IntegrityError):
            waiting[2].result()
    assert len({id(session) for session in sessions}) == 1, "the four did not share a commit"
    with store.read() as session:
        assert sorted(session.scalars(sa.select(InboxText.gateway_id))) == ["a", "b"]
        assert happened(session, "first")


def test_a_fault_that_shows_only_at_the_end_of_a_step_is_its_callers_and_stops_no_other(store: Store) -> None:
    """A row that the database refuses when the step's savepoint is released, not while the step runs."""
    store.start_writer()
    store.write(lambda session: keep(session, arrived("first")))

    def again(session: Session) -> str:
        one = arrived("first")
        session.add(
            InboxText(
                **{
                    name: getattr(one, name)
                    for name in ("gateway", "gateway_id", "sender", "recipient", "body")
                },
                received_at=NOON,
            )
        )
        return "taken for kept"

    with pytest.raises(sa.exc.IntegrityError):
        store.write(again)
    told: list[bool] = []
    # A daemon, so that a writer that has stopped fails this test and does not hold it for ever.
    later = threading.Thread(
        target=lambda: told.append(store.write(lambda session: keep(session, arrived("next")) is not None)),
        daemon=True,
    )
    later.start()
    later.join(5)
    assert told == [True], "the writer stopped"


def test_a_result_comes_only_after_the_commit_that_holds_it(store: Store, database_url: str) -> None:
    other = Store(database_url)
    seen_before: list[int] = []

    def step(session: Session) -> None:
        keep(session, arrived(f"text {len(seen_before)}"))
        session.flush()
        seen_before.append(count_of(other))

    store.start_writer()
    for number in range(20):
        store.write(step)
        assert count_of(other) == number + 1
    assert seen_before == list(range(20)), "a reader saw a step that was not committed, or waited for it"
    other.close()


def test_closing_finishes_what_waits(store: Store, database_url: str) -> None:
    store.start_writer()
    with ThreadPoolExecutor(4) as threads:
        done = [
            threads.submit(store.write, lambda session, n=n: keep(session, arrived(f"{n}")) is not None)
            for n in range(12)
        ]
        assert all(one.result() for one in done)
    store.close()
    reopened = Store(database_url)
    assert count_of(reopened) == 12
    reopened.close()


def test_what_a_reader_changes_is_not_kept(store: Store) -> None:
    with store.read() as session:
        keep(session, arrived("read only"))
    assert count_of(store) == 0


def test_a_time_without_its_zone_is_refused(store: Store) -> None:
    naive = datetime(2027, 7, 6, 9)  # noqa: DTZ001  the point of the test
    with pytest.raises(sa.exc.StatementError, match="without its zone"):
        store.write(lambda session: keep(session, arrived("naive", received_at=naive)))
    assert count_of(store) == 0


@pytest.mark.parametrize("zone", ["America/Chicago", "UTC", "Asia/Kathmandu"])
def test_a_time_comes_back_as_the_same_moment_in_utc(store: Store, zone: str) -> None:
    # 01:30 on this day comes twice in Chicago; fold says which.
    local = datetime(2027, 11, 7, 1, 30, 0, 250_000, tzinfo=ZoneInfo(zone), fold=1)
    store.write(lambda session: keep(session, arrived("zoned", received_at=local)))
    with store.read() as session:
        row = session.scalars(sa.select(InboxText)).one()
    assert row.received_at.tzinfo is UTC
    assert row.received_at == local.astimezone(UTC)
    assert row.sent_at is None


def test_a_database_that_cannot_be_written_keeps_nothing_and_can_be_tried_again(
    store: Store, no_writing: Callable[[], AbstractContextManager[None]]
) -> None:
    store.start_writer()
    with no_writing(), pytest.raises(DatabaseUnavailable):
        store.write(lambda session: keep(session, arrived("again")))
    assert count_of(store) == 0
    assert store.write(lambda session: keep(session, arrived("again")) is not None)
    assert count_of(store) == 1


def test_a_database_that_cannot_be_opened_says_so(tmp_path: Path) -> None:
    (tmp_path / "letter.db").write_text("Dear Opal, this is a letter and no database.\n" * 40)
    (tmp_path / "folder.db").mkdir()
    for url in (
        f"sqlite:///{tmp_path / 'missing' / 'rowfoot.db'}",
        f"sqlite:///{tmp_path / 'letter.db'}",
        f"sqlite:///{tmp_path / 'folder.db'}",
        f"sqlite:///file:{tmp_path / 'absent.db'}?mode=ro&uri=true",
        "postgresql+psycopg://rowfoot@127.0.0.1:1/rowfoot",
        "no URL at all",
    ):
        with pytest.raises(DatabaseUnavailable):
            Store(url)


def test_a_kind_of_database_without_its_driver_is_told_like_any_other_that_cannot_be_opened() -> None:
    with pytest.raises(DatabaseUnavailable):
        Store("mysql+no_such_driver://127.0.0.1/rowfoot")
    with pytest.raises(DatabaseUnavailable):
        Store("mysql+mysqlconnector://127.0.0.1/rowfoot")


def test_a_database_without_a_season_is_not_ready(store: Store) -> None:
    with store.read() as session, pytest.raises(DatabaseNotReady, match="rowfoot load FILE"):
        newest_season(session)


KEEPER = """
import sys, time
from datetime import UTC, datetime
from storage import Arrived, Store, keep

def arrived(name):
    return Arrived("oma", name, "+12705550111", "+12705550100", "121 1 FA2", None, datetime.now(UTC))

def half(session):
    keep(session, arrived("half"))
    session.flush()
    print("half", flush=True)
    time.sleep(60)

store = Store(sys.argv[1])
store.start_writer()
store.write(lambda session: keep(session, arrived("whole")) is not None)
print("kept", flush=True)
store.write(half)
"""


def test_a_text_once_kept_outlives_a_kill_and_a_step_half_done_leaves_nothing(database_url: str) -> None:
    process = subprocess.Popen(
        [sys.executable, "-c", KEEPER, database_url], cwd=ROOT, stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    try:
        assert [process.stdout.readline().strip() for _ in range(2)] == ["kept", "half"]
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait()
        process.stdout.close()
    reopened = Store(database_url)
    with reopened.read() as session:
        assert list(session.scalars(sa.select(InboxText.gateway_id))) == ["whole"]
    # The killed writer's lock is gone too.
    assert reopened.write(lambda session: keep(session, arrived("next")) is not None)
    reopened.close()
