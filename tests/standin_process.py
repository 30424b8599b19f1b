"""A stand-in carrier as its own process, and a hook that hears what it posts: for tests that need both."""

import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import TypeVar

import httpx

from bot.gateways import (
    DeliveryNotice,
    Inbound,
    OmaGateway,
    OmaSettings,
    read_delivery,
    read_inbound,
)

ROOT = Path(__file__).resolve().parent.parent
SERVICE = "+12705550100"
PATIENCE_S = 10.0


T = TypeVar("T")


def eventually(look: Callable[[], T]) -> T:
    """Give the first true thing that `look` sees; fails when it sees none in time."""
    give_up_at = time.monotonic() + PATIENCE_S
    while not (seen := look()):
        assert time.monotonic() < give_up_at, "waited in vain"
        time.sleep(0.01)
    return seen


class Hook:
    """A hook of the service: keeps each body that is posted to it, and answers as it is told."""

    def __init__(self) -> None:
        self.posts: list[tuple[str, bytes, int]] = []
        self.unwilling = 0
        """How many more posts are answered 503."""
        self._lock = threading.Lock()
        self._server = ThreadingHTTPServer(("127.0.0.1", 0), self._handler())
        self._server.block_on_close = False
        self._thread = threading.Thread(target=self._server.serve_forever, args=(0.01,))
        self._thread.start()
        self.url = f"http://127.0.0.1:{self._server.server_port}"

    def close(self) -> None:
        self._server.shutdown()
        self._thread.join()
        self._server.server_close()

    def bodies(self, path: str, status: int = 200) -> list[bytes]:
        """Give the bodies posted to a path and answered with that status, in order."""
        with self._lock:
            return [body for where, body, answered in self.posts if (where, answered) == (path, status)]

    def texts_of(self, phone: str, status: int = 200) -> list[Inbound]:
        """Give a phone's texts that the hook answered with that status, in order, as the service reads."""
        return [
            text for body in self.bodies("/in", status) for text in read_inbound(body) if text.sender == phone
        ]

    def receipts_of(self, correlator: str) -> list[DeliveryNotice]:
        """Give the notices about a text that the hook took, in order."""
        told = [notice for body in self.bodies("/delivery") for notice in read_delivery(body)]
        return [notice for notice in told if notice.correlator == correlator]

    def _take(self, path: str, body: bytes) -> int:
        with self._lock:
            status = 503 if self.unwilling else 200
            self.unwilling = max(0, self.unwilling - 1)
            self.posts.append((path, body, status))
        return status

    def _handler(self) -> type[BaseHTTPRequestHandler]:
        hook = self

        class Handler(BaseHTTPRequestHandler):
            def do_POST(self) -> None:
                body = self.rfile.read(int(self.headers["Content-Length"]))
                self.send_response(hook._take(self.path, body))
                self.send_header("Content-Length", "0")
                self.end_headers()

            def log_message(self, format: str, *args: object) -> None:  # noqa: A002  the parent's name
                """Keeps the test's output quiet."""

        return Handler


class StandIn:
    """A stand-in carrier that runs as its own process, and a client for its phones."""

    def __init__(self, notify_url: str, *options: str) -> None:
        command = [sys.executable, "-m", "bot.standin", "--port", "0", "--notify-url", notify_url, *options]
        self.process = subprocess.Popen(
            command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        said, _, self.url = line.strip().rpartition(" ")
        assert said == "stand-in carrier at", line
        self.http = httpx.Client(base_url=self.url, trust_env=False)

    def end(self, by: signal.Signals = signal.SIGTERM) -> tuple[int, str]:
        """End the process by a signal; gives its exit status and what it said on its way."""
        self.http.close()
        self.process.send_signal(by)
        try:
            said, complained = self.process.communicate(timeout=PATIENCE_S)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.communicate()
            raise
        return self.process.returncode, said + complained

    def weather(self, **told: object) -> None:
        assert self.http.put("/weather", json=told).status_code == 200

    def text(self, phone: str, text: str, **told: str) -> str:
        answer = self.http.post(f"/phones/{phone}/texts", json={"text": text, **told})
        assert answer.status_code == 202
        return str(answer.json()["messageId"])

    def conversation(self, phone: str, after: int = 0) -> list[dict[str, str]]:
        lines: list[dict[str, str]] = self.http.get(f"/phones/{phone}", params={"after": after}).json()
        return lines


@contextmanager
def own_carrier(notify_url: str, *options: str) -> Iterator[StandIn]:
    carrier = StandIn(notify_url, *options)
    try:
        yield carrier
    finally:
        status, said = carrier.end()
    assert (status, said) == (0, "")


@contextmanager
def gateway_to(carrier: StandIn, hook: Hook | None = None, timeout_s: float = 5) -> Iterator[OmaGateway]:
    notify_url = f"{hook.url}/delivery" if hook else None
    settings = OmaSettings(carrier.url, SERVICE, notify_url=notify_url, timeout_s=timeout_s)
    # A transport of its own keeps the environment's proxies out.
    gateway = OmaGateway(settings, httpx.HTTPTransport())
    try:
        yield gateway
    finally:
        gateway.close()
