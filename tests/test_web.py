"""The hook: what a gateway posts is kept first and then answered, and an answer tells nothing but its status."""

import json
import os
import shutil
import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager
from datetime import UTC, datetime
from pathlib import Path

import httpx
import pytest
import sqlalchemy as sa
from click.testing import CliRunner
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from bot.__main__ import main
from bot.field_book import SeasonShelf
from bot.rounds import hear_all
from bot.rules import Season
from bot.settings import read_settings
from bot.web import LARGEST_BODY, answer_barely, hook_blueprint
from parsing import is_full_part
from storage import Draft, InboxText, OutboxText, Store, put
from tests.standin_process import PATIENCE_S, ROOT, eventually

POSTS = ROOT / "fixtures" / "gateway"
SECRET = "larkspur-0123456789-hook"  # noqa: S105  the tests' own
NOON = datetime(2027, 7, 6, 17, tzinfo=UTC)
ANA, STRANGER = "+12705550111", "+12705550199"


on_one_database = pytest.mark.parametrize("database_url", ["sqlite"], indirect=True)
"""For what never comes as far as the database."""


class Woken:
    """Stands for the reading loop: notes how often it was woken."""

    def __init__(self) -> None:
        self.times = 0

    def __call__(self) -> None:
        self.times += 1


@pytest.fixture
def woken() -> Woken:
    return Woken()


@pytest.fixture
def client(store: Store, woken: Woken) -> FlaskClient:
    """The hook as the service builds it, on the test's store, without a server before it."""
    web = Flask("rowfoot", static_folder=None)
    answer_barely(web)
    web.register_blueprint(hook_blueprint(store, SECRET, lambda: NOON, woken))
    return web.test_client()


def post_of(message_id: str, sender: str = ANA, text: str = "121 1 FA2 LN1") -> bytes:
    """Give a text as a gateway posts it: GSMA SMS RESTful API (API v2, document 1.3)."""
    message = {
        "dateTime": "2027-07-06T16:59:31Z",
        "destinationAddress": "tel:+12705550100",
        "messageId": message_id,
        "message": text,
        "senderAddress": f"tel:{sender}",
    }
    return json.dumps({"inboundSMSMessageNotification": {"inboundSMSMessage": message}}).encode()


def kept(store: Store) -> list[InboxText]:
    with store.read() as session:
        return list(session.scalars(sa.select(InboxText).order_by(InboxText.id)))


def put_down(store: Store) -> None:
    """Put down the text that delivery-object.json is a receipt for."""
    draft = Draft("reply-17", ANA, "reply", "DONE.", NOON)
    store.write(lambda session: put(session, draft, NOON) is not None)


def is_bare(answer: TestResponse) -> bool:
    """Tell whether an answer says nothing but its status."""
    return answer.data == b"" and "Server" not in answer.headers


def test_a_text_is_kept_and_then_answered_with_an_empty_200(
    client: FlaskClient, store: Store, woken: Woken
) -> None:
    answer = client.post(f"/hooks/{SECRET}/in", data=post_of("m-1"))
    assert (answer.status_code, is_bare(answer)) == (200, True)
    (row,) = kept(store)
    assert (row.gateway, row.gateway_id, row.sender, row.recipient) == ("oma", "m-1", ANA, "+12705550100")
    assert (row.body, row.state, row.received_at) == ("121 1 FA2 LN1", "unread", NOON)
    assert row.sent_at == datetime(2027, 7, 6, 16, 59, 31, tzinfo=UTC)
    assert woken.times == 1


def test_the_same_post_again_is_answered_alike_and_kept_once(client: FlaskClient, store: Store) -> None:
    answers = [client.post(f"/hooks/{SECRET}/in", data=post_of("m-1")) for _ in range(3)]
    assert [(one.status_code, one.data) for one in answers] == [(200, b"")] * 3
    assert len(kept(store)) == 1


FULL_PART = "121 NOTE hail on north end, rows flat ".ljust(153, "x")
"""153 septets: one full part of a longer text (3GPP TS 23.040 clause 9.2.3.24.1)."""


@on_one_database
def test_a_text_as_long_as_a_full_part_is_marked_where_parts_come_apart(store: Store, woken: Woken) -> None:
    web = Flask("rowfoot", static_folder=None)
    web.register_blueprint(hook_blueprint(store, SECRET, lambda: NOON, woken, is_full_part))
    apart = web.test_client()
    for name, text in (("m-1", FULL_PART), ("m-2", FULL_PART[:-2]), ("m-3", FULL_PART + "x")):
        assert apart.post(f"/hooks/{SECRET}/in", data=post_of(name, text=text)).status_code == 200
    assert [row.perhaps_cut for row in kept(store)] == [True, False, False]


@on_one_database
def test_where_the_gateway_joins_parts_no_text_is_thought_cut(client: FlaskClient, store: Store) -> None:
    client.post(f"/hooks/{SECRET}/in", data=post_of("m-1", text=FULL_PART))
    assert [row.perhaps_cut for row in kept(store)] == [False]


@on_one_database
@pytest.mark.parametrize("path", sorted(POSTS.glob("in-*.json")), ids=lambda path: path.stem)
def test_every_kind_of_post_that_gateways_are_known_to_make_is_taken(client: FlaskClient, path: Path) -> None:
    # Read one by one in test_gateways_notices; here the hook takes what they take.
    answer = client.post(f"/hooks/{SECRET}/in", data=path.read_bytes())
    assert (answer.status_code, answer.data) == (200, b"")


@on_one_database
@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"[]",
        b"\xff\xfe",
        b'{"inboundSMSMessageNotification": {}}',
        b'{"inboundSMSMessageNotification": {"inboundSMSMessage": {"message": "121"}}}',
        b"[" * 30_000,
        (POSTS / "delivery-object.json").read_bytes(),
    ],
    ids=["nothing", "cut off", "another shape", "no text", "no message", "no sender", "too deep", "receipt"],
)
def test_a_body_that_is_not_the_standards_is_400(
    client: FlaskClient, store: Store, woken: Woken, body: bytes
) -> None:
    answer = client.post(f"/hooks/{SECRET}/in", data=body)
    assert (answer.status_code, is_bare(answer)) == (400, True)
    assert kept(store) == []
    assert woken.times == 0


@on_one_database
@pytest.mark.parametrize(
    "given", ["wrong-0123456789-secret", SECRET[:-1], SECRET + "x", "secreto-de-la-señora", "%FF"]
)
@pytest.mark.parametrize("door", ["in", "delivery"])
def test_a_wrong_secret_is_401_and_nothing_is_kept(
    client: FlaskClient, store: Store, woken: Woken, given: str, door: str
) -> None:
    answer = client.post(f"/hooks/{given}/{door}", data=post_of("m-1"))
    assert (answer.status_code, is_bare(answer)) == (401, True)
    assert kept(store) == []
    assert woken.times == 0


@on_one_database
@pytest.mark.parametrize(
    "path", ["/", "/hooks", f"/hooks/{SECRET}", f"/hooks/{SECRET}/out", "/static/a.css", "/demo/board"]
)
def test_any_other_path_is_a_bare_404(client: FlaskClient, path: str) -> None:
    for answer in (client.get(path), client.post(path, data=post_of("m-1"))):
        assert (answer.status_code, is_bare(answer)) == (404, True)


@on_one_database
def test_the_hook_is_posted_to_and_nothing_else(client: FlaskClient) -> None:
    answer = client.get(f"/hooks/{SECRET}/in")
    assert (answer.status_code, is_bare(answer)) == (405, True)


@on_one_database
@pytest.mark.parametrize("door", ["in", "delivery"])
def test_a_body_of_more_than_64_kib_is_413(client: FlaskClient, store: Store, door: str) -> None:
    answer = client.post(f"/hooks/{SECRET}/{door}", data=post_of("m-1").ljust(LARGEST_BODY + 1))
    assert (answer.status_code, is_bare(answer)) == (413, True)
    assert kept(store) == []


def test_a_body_of_just_64_kib_is_taken(client: FlaskClient, store: Store) -> None:
    assert client.post(f"/hooks/{SECRET}/in", data=post_of("m-1").ljust(LARGEST_BODY)).status_code == 200
    assert len(kept(store)) == 1


def test_a_database_that_cannot_be_written_is_503_and_the_carriers_next_try_is_kept(
    client: FlaskClient,
    store: Store,
    woken: Woken,
    no_writing: Callable[[], AbstractContextManager[None]],
    caplog: pytest.LogCaptureFixture,
) -> None:
    put_down(store)
    with no_writing():
        answers = [
            client.post(f"/hooks/{SECRET}/in", data=post_of("m-1")),
            client.post(f"/hooks/{SECRET}/delivery", data=(POSTS / "delivery-object.json").read_bytes()),
        ]
    assert [(one.status_code, is_bare(one)) for one in answers] == [(503, True)] * 2
    assert (kept(store), woken.times) == ([], 0)
    assert client.post(f"/hooks/{SECRET}/in", data=post_of("m-1")).status_code == 200
    assert len(kept(store)) == 1
    assert "could not be kept" in caplog.text
    assert ANA not in caplog.text
    assert "FA2" not in caplog.text


def test_a_sender_nobody_knows_is_taken_and_kept_aside(
    client: FlaskClient, store: Store, larkspur: Season
) -> None:
    assert larkspur.person_with(STRANGER) is None
    answer = client.post(f"/hooks/{SECRET}/in", data=post_of("m-1", STRANGER, "who is this?"))
    assert (answer.status_code, answer.data) == (200, b"")
    hear_all(store, SeasonShelf(), NOON)
    (row,) = kept(store)
    assert (row.sender, row.state, row.person, row.needs_person) == (STRANGER, "aside", None, True)


def test_a_receipt_notes_what_became_of_a_text(client: FlaskClient, store: Store) -> None:
    put_down(store)
    answer = client.post(f"/hooks/{SECRET}/delivery", data=(POSTS / "delivery-object.json").read_bytes())
    assert (answer.status_code, is_bare(answer)) == (200, True)
    with store.read() as session:
        row = session.scalars(sa.select(OutboxText)).one()
    assert (row.delivery, row.delivery_at) == ("DeliveredToTerminal", NOON)


def test_a_receipt_for_a_text_that_is_not_ours_is_taken(client: FlaskClient) -> None:
    posted = (POSTS / "delivery-array.json").read_bytes()
    assert client.post(f"/hooks/{SECRET}/delivery", data=posted).status_code == 200


@on_one_database
def test_a_fault_of_ours_is_a_bare_500_and_logged(
    store: Store, woken: Woken, caplog: pytest.LogCaptureFixture
) -> None:
    def broken_clock() -> datetime:
        raise ZeroDivisionError("a fault of ours")

    web = Flask("rowfoot", static_folder=None)
    answer_barely(web)
    web.register_blueprint(hook_blueprint(store, SECRET, broken_clock, woken))
    answer = web.test_client().post(f"/hooks/{SECRET}/in", data=post_of("m-1"))
    assert (answer.status_code, is_bare(answer)) == (500, True)
    assert "a fault of ours" in caplog.text


# The service as its own process


@pytest.fixture
def env(tmp_path: Path) -> dict[str, str]:
    """What the service is told: a database of the test's own, any free port, the secret; nothing from outside."""
    bare = {key: value for key, value in os.environ.items() if not key.startswith("ROWFOOT_")}
    told = {
        "ROWFOOT_DATABASE": f"sqlite:///{tmp_path / 'rowfoot.db'}",
        "ROWFOOT_LISTEN": "127.0.0.1:0",
        "ROWFOOT_HOOK_SECRET": SECRET,
    }
    return {**bare, **told}


@pytest.fixture
def loaded(env: dict[str, str], tmp_path: Path, larkspur_file: Path) -> dict[str, str]:
    """The same with the Larkspur season in the database."""
    shutil.copyfile(larkspur_file, tmp_path / "rowfoot.db")
    return env


@contextmanager
def serving(env: dict[str, str], ended_by: signal.Signals = signal.SIGTERM) -> Iterator[str]:
    """Run the service; gives its URL. It must end by the signal with exit status 0 and without a word."""
    process = subprocess.Popen(
        [sys.executable, "-m", "bot", "serve"],
        cwd=ROOT,
        env=env,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        assert process.stdout is not None
        said, _, url = process.stdout.readline().strip().rpartition(" ")
        assert said == "rowfoot at"
        yield url
    finally:
        process.send_signal(ended_by)
        try:
            ended = process.communicate(timeout=PATIENCE_S)
        except subprocess.TimeoutExpired:
            process.kill()
            process.communicate()
            raise
    assert (process.returncode, ended) == (0, ("", ""))


def test_a_served_text_is_kept_read_and_answered_once(loaded: dict[str, str]) -> None:
    store = Store(loaded["ROWFOOT_DATABASE"])
    with serving(loaded) as url, httpx.Client(base_url=url, trust_env=False) as http:
        for _ in range(2):
            answer = http.post(f"/hooks/{SECRET}/in", content=post_of("m-1"))
            assert (answer.status_code, answer.content) == (200, b"")
            assert len(kept(store)) == 1, "answered before the text was kept, or kept twice"
        eventually(lambda: kept(store)[0].state == "read")
        for path, body, status in (
            (f"/hooks/{SECRET}/in", b"{", 400),
            ("/hooks/wrong-0123456789-secret/in", post_of("m-2"), 401),
            ("/hooks", b"", 404),
            (f"/hooks/{SECRET}/in", post_of("m-2").ljust(LARGEST_BODY + 1), 413),
        ):
            answer = http.post(path, content=body)
            assert (answer.status_code, answer.content) == (status, b"")
            assert not any(sign in str(answer.headers) for sign in ("Python", "Werkzeug", "/3."))
    with store.read() as session:
        (reply,) = session.scalars(sa.select(OutboxText))
    store.close()
    assert (reply.recipient, reply.key, reply.state) == (ANA, "reply:1", "waiting")


def test_the_service_listens_where_it_is_told_and_nowhere_else(loaded: dict[str, str]) -> None:
    with serving(loaded, ended_by=signal.SIGINT) as url:
        port = httpx.URL(url).port
        assert port is not None
        socket.create_connection(("127.0.0.1", port), PATIENCE_S).close()
        # 127.0.0.2 is this machine too, but reached only by those who listen on every address.
        with pytest.raises(ConnectionRefusedError):
            socket.create_connection(("127.0.0.2", port), PATIENCE_S)


def test_by_default_the_service_listens_on_this_machine_only() -> None:
    settings = read_settings({})
    assert (settings.host, settings.port) == ("127.0.0.1", 8420)


@pytest.mark.parametrize(
    ("told", "joins"),
    [({}, True), ({"ROWFOOT_GATEWAY_PARTS": "joined"}, True), ({"ROWFOOT_GATEWAY_PARTS": "apart"}, False)],
)
def test_a_gateway_joins_the_parts_of_a_text_unless_it_is_said_not_to(
    told: dict[str, str], *, joins: bool
) -> None:
    assert read_settings(told).gateway_joins is joins


# What it refuses to start with


@pytest.fixture
def taken(loaded: dict[str, str]) -> Iterator[dict[str, str]]:
    """The environment of a service whose port is taken: it cannot start, whatever a test gets wrong."""
    with socket.create_server(("127.0.0.1", 0)) as other:
        yield {**loaded, "ROWFOOT_LISTEN": f"127.0.0.1:{other.getsockname()[1]}"}


def refusal(env: Mapping[str, str | None]) -> str:
    """Start a service that must not start; gives the one line that it says of why."""
    ended = CliRunner(env=env).invoke(main, ["serve"])
    assert isinstance(ended.exception, SystemExit), f"a traceback: {ended.exception!r}"
    assert (ended.exit_code, ended.stdout) == (1, "")
    (line,) = ended.stderr.splitlines()
    return line


def test_the_service_does_not_start_without_a_secret(taken: dict[str, str]) -> None:
    without = {**taken, "ROWFOOT_HOOK_SECRET": None}
    first, second = refusal(without), refusal(without)
    assert "ROWFOOT_HOOK_SECRET is missing" in first
    assert first != second, "the secret that it proposes is the same for everybody"


def test_the_service_does_not_start_without_a_season(taken: dict[str, str], tmp_path: Path) -> None:
    empty = {**taken, "ROWFOOT_DATABASE": f"sqlite:///{tmp_path / 'empty.db'}"}
    assert "rowfoot load FILE" in refusal(empty)


@pytest.mark.parametrize(
    ("told", "named"),
    [
        ({"ROWFOOT_HOOK_SECRET": "cotton"}, "ROWFOOT_HOOK_SECRET"),
        ({"ROWFOOT_GATEWAY_URL": "http://127.0.0.1:9"}, "ROWFOOT_GATEWAY_SENDER"),
        (
            {"ROWFOOT_GATEWAY_URL": "gateway.example", "ROWFOOT_GATEWAY_SENDER": "+12705550100"},
            "ROWFOOT_GATEWAY_",
        ),
        *[
            ({"ROWFOOT_GATEWAY_PARTS": parts}, "ROWFOOT_GATEWAY_PARTS is joined or apart")
            for parts in ("", "Apart", "split")
        ],
        ({"ROWFOOT_DATABASE": "sqlite:////no/such/folder/rowfoot.db"}, "database"),
        *[
            ({"ROWFOOT_LISTEN": listen}, "ROWFOOT_LISTEN is HOST:PORT")
            for listen in ("", "8420", ":8420", "127.0.0.1:", "127.0.0.1:x", "127.0.0.1:65536", "127.0.0.1:²")
        ],
    ],
    ids=lambda value: ",".join(value.values()) if isinstance(value, dict) else "",
)
def test_what_the_service_cannot_start_with_is_named_in_one_line(
    taken: dict[str, str], told: dict[str, str], named: str
) -> None:
    assert named in refusal({**taken, **told})


@pytest.mark.parametrize("listen", ["a port in use", "no such host:8420"])
def test_an_address_that_cannot_be_listened_on_is_named_in_one_line(
    taken: dict[str, str], listen: str
) -> None:
    env = taken if listen == "a port in use" else {**taken, "ROWFOOT_LISTEN": listen}
    ended = subprocess.run(
        [sys.executable, "-m", "bot", "serve"],
        cwd=ROOT,
        env=env,
        capture_output=True,
        text=True,
        check=False,
        timeout=3 * PATIENCE_S,
    )
    said = f"Error: {env['ROWFOOT_LISTEN']} cannot be listened on"
    assert (ended.returncode, ended.stdout) == (1, "")
    assert ended.stderr.startswith(said)
    assert len(ended.stderr.splitlines()) == 1
