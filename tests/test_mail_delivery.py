"""Mail that waits: claimed, sent outside any transaction, settled; through servers that fail in every way."""

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import pytest
import sqlalchemy as sa

from bot.delivery import deliver_next, deliver_next_mail
from bot.gateways import Accepted, Outgoing
from bot.mailing import Mail, MailRefused, MailServer, MailServerUnready, mail_address
from bot.schedule import Schedule
from storage import Draft, MailDraft, MailRow, OutboxState, Session, Store, claim_next_mail, put, put_mail
from storage.mails import MAIL
from tests.mail_server_thread import free_port, mail_server, odd_server, trusting
from tests.standin_process import eventually

EVENING = datetime(2027, 7, 6, 23, 30, tzinfo=UTC)
SECOND = timedelta(seconds=1)
FROM = "Larkspur cotton <digest@larkspur.example>"
JUNE_KEY = "digest-mail:june:2027-07-06"


@dataclass
class Watch:
    """A clock that the test sets."""

    now: datetime = EVENING

    def __call__(self) -> datetime:
        return self.now


@dataclass
class Doubled:
    """A post that does as it is told, one step for each mail it is handed; after them it takes every mail."""

    steps: list[Callable[[], None]] = field(default_factory=list)
    handed: list[Mail] = field(default_factory=list)

    def send(self, mail: Mail) -> None:
        self.handed.append(mail)
        if self.steps:
            self.steps.pop(0)()


def failing(fault: BaseException) -> Callable[[], None]:
    def step() -> None:
        raise fault

    return step


def draft(key: str = JUNE_KEY) -> MailDraft:
    return MailDraft(
        key,
        "june",
        "June Abbot",
        "june@larkspur.example",
        "en",
        "Larkspur: Tue Jul 6",
        "Nothing was counted.\n",
        "<p>Nothing was counted.</p>",
        EVENING + timedelta(days=1),
    )


def put_down(store: Store, key: str = JUNE_KEY) -> bool:
    return store.write(lambda session: put_mail(session, draft(key), EVENING) is not None)


@pytest.fixture
def watch() -> Watch:
    return Watch()


@pytest.fixture
def waiting(store: Store) -> Store:
    """A store in which June's mail waits to leave."""
    put_down(store)
    return store


def row_of(store: Store) -> MailRow:
    with store.read() as session:
        return session.scalars(sa.select(MailRow)).one()


def server_at(url: str, wait_s: float = 5.0) -> MailServer:
    return MailServer(mail_address(url, FROM), trusting(), wait_s)


def test_a_mail_is_put_down_once_for_its_key(store: Store) -> None:
    assert [put_down(store), put_down(store), put_down(store, "another")] == [True, False, True]


def test_a_mail_that_waits_is_sent_once_and_settled(waiting: Store, watch: Watch) -> None:
    with mail_server() as server:
        post = server_at(server.url)
        assert deliver_next_mail(waiting, post, watch)
        assert not deliver_next_mail(waiting, post, watch)
        (message,) = server.box.messages()
    assert message["Subject"] == "Larkspur: Tue Jul 6"
    row = row_of(waiting)
    assert (row.state, row.left_at, row.tries, row.fault) == (OutboxState.LEFT, EVENING, 1, None)


def test_a_mail_is_held_by_one_sender_at_a_time(waiting: Store) -> None:
    def claim(now: datetime) -> int | None:
        def step(session: Session) -> int | None:
            row = claim_next_mail(session, now)
            return None if row is None else row.id

        return waiting.write(step)

    assert claim(EVENING) is not None
    assert claim(EVENING + MAIL.lease - SECOND) is None
    assert claim(EVENING + MAIL.lease) is not None


def test_a_mail_server_that_is_down_gets_the_mail_later_with_growing_waits(
    waiting: Store, watch: Watch
) -> None:
    post = server_at(f"smtp://127.0.0.1:{(port := free_port())}")
    waits = []
    for _ in range(8):
        assert deliver_next_mail(waiting, post, watch)
        row = row_of(waiting)
        assert (row.state, row.fault) == (OutboxState.WAITING, "no answer (ConnectionRefusedError)")
        waits.append(row.due_at - watch.now)
        watch.now = row.due_at - SECOND
        assert not deliver_next_mail(waiting, post, watch), "sent before its wait was over"
        watch.now = row.due_at
    assert waits == sorted(waits)
    assert len(set(waits[:6])) == 6
    assert waits[-1] == MAIL.longest_wait
    with mail_server(port=port) as server:
        assert deliver_next_mail(waiting, post, watch)
        assert len(server.box.taken) == 1
    assert row_of(waiting).state == OutboxState.LEFT


def test_a_mail_that_will_never_be_taken_has_failed_and_is_not_sent_again(
    waiting: Store, watch: Watch, caplog: pytest.LogCaptureFixture
) -> None:
    with mail_server() as server:
        server.box.answers["RCPT"] = ["550 no mailbox june@larkspur.example here"]
        assert deliver_next_mail(waiting, server_at(server.url), watch)
        watch.now += timedelta(hours=1)
        assert not deliver_next_mail(waiting, server_at(server.url), watch)
        assert server.box.taken == []
    row = row_of(waiting)
    assert (row.state, row.fault) == (OutboxState.FAILED, "the address is refused (550)")
    assert f"mail {row.id} did not leave: the address is refused (550)" in caplog.text
    assert "larkspur.example" not in caplog.text


def test_a_mail_that_a_day_could_not_send_is_of_no_use_any_more(waiting: Store, watch: Watch) -> None:
    doubled = Doubled([failing(MailServerUnready("not now"))])
    assert deliver_next_mail(waiting, doubled, watch)
    watch.now = EVENING + timedelta(days=1)
    assert not deliver_next_mail(waiting, doubled, watch)
    row = row_of(waiting)
    assert (row.state, row.fault) == (OutboxState.FAILED, "not now")


def test_one_mail_that_fails_does_not_hold_the_next(waiting: Store, watch: Watch) -> None:
    put_down(waiting, "digest-mail:beto:2027-07-06")
    doubled = Doubled([failing(MailServerUnready("not now")), failing(MailRefused("never"))])
    while deliver_next_mail(waiting, doubled, watch):
        pass
    assert [one.key for one in doubled.handed] == [JUNE_KEY, "digest-mail:beto:2027-07-06"]


def test_a_crash_between_sending_and_settling_means_a_second_send_of_the_same_bytes(
    waiting: Store, watch: Watch
) -> None:
    with mail_server() as server:
        post = server_at(server.url)

        class Dying:
            def send(self, mail: Mail) -> None:
                post.send(mail)
                raise KeyboardInterrupt

        with pytest.raises(KeyboardInterrupt):
            deliver_next_mail(waiting, Dying(), watch)
        watch.now += MAIL.lease - SECOND
        assert not deliver_next_mail(waiting, post, watch), "it may be on its way: its lease holds"
        watch.now += SECOND
        assert deliver_next_mail(waiting, post, watch)
        watch.now += timedelta(hours=2)
        assert not deliver_next_mail(waiting, post, watch)
        first, second = server.box.taken
        assert first == second
        ids = {message["Message-ID"] for message in server.box.messages()}
    assert len(ids) == 1


def test_nothing_is_mailed_inside_a_transaction(waiting: Store, watch: Watch, database_url: str) -> None:
    other = Store(database_url)

    def look_and_write() -> None:
        assert row_of(other).claimed_until == EVENING + MAIL.lease, "the claim is not committed"
        put_down(other, "another")

    doubled = Doubled([look_and_write])
    assert deliver_next_mail(waiting, doubled, watch)
    other.close()


def test_texts_leave_while_a_mail_server_says_nothing(waiting: Store, watch: Watch) -> None:
    """The two loops as the service runs them; the mail server answers nothing until the text has left."""
    text_left = threading.Event()

    class Phones:
        def send(self, message: Outgoing) -> Accepted:
            del message
            text_left.set()
            return Accepted("ref")

        def close(self) -> None:
            """Nothing to let go of."""

    asked = threading.Event()

    def silent(connection: object) -> None:
        del connection
        asked.set()
        text_left.wait(10)

    waiting.start_writer()
    with odd_server(silent) as url:
        post = server_at(url)
        running = Schedule(
            lambda: None,
            {
                "mail": lambda: deliver_next_mail(waiting, post, watch),
                "delivery": lambda: deliver_next(waiting, Phones(), watch),
            },
            3600.0,
        )
        running.start()
        try:
            assert asked.wait(10)
            text = Draft("digest:june:1", "+12705550120", "digest", "Tue Jul 6.", EVENING)
            waiting.write(lambda session: put(session, text, EVENING) is not None)
            running.wake()
            assert text_left.wait(10), "the text waited for the mail server"
            eventually(lambda: row_of(waiting).fault)
        finally:
            running.stop()
    assert row_of(waiting).state == OutboxState.WAITING
