"""The service as real processes on one database, with a clock each, and a carrier that notes what it is handed."""

import json
import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

from bot.settings import tell_clock

ROOT = Path(__file__).resolve().parent.parent
PATIENCE_S = 20.0
LOOK_EVERY_S = 0.02
ACCEPTED = b'{"resourceReference": {"resourceURL": "http://127.0.0.1/requests/1"}}'


@dataclass(frozen=True, slots=True)
class Handed:
    """A text as the carrier was handed it."""

    correlator: str
    to: str
    text: str


class Carrier:
    """A carrier that takes every text, slowly; `before_answering` is done with the number of each, from 1 on."""

    def __init__(self, takes_s: float, before_answering: Callable[[int], None]) -> None:
        self.handed: list[Handed] = []
        self._takes_s, self._before = takes_s, before_answering
        self._lock = threading.Lock()
        self._server = ThreadingHTTPServer(("127.0.0.1", 0), self._handler())
        self._thread = threading.Thread(target=self._server.serve_forever, args=(0.01,))
        self._thread.start()
        self.url = f"http://127.0.0.1:{self._server.server_port}"

    def close(self) -> None:
        self._server.shutdown()
        self._thread.join()
        self._server.server_close()

    def correlators(self) -> list[str]:
        with self._lock:
            return [one.correlator for one in self.handed]

    def _take(self, body: bytes) -> None:
        request = json.loads(body)["outboundSMSMessageRequest"]
        message = request["outboundSMSTextMessage"]["message"]
        with self._lock:
            self.handed.append(Handed(request["clientCorrelator"], request["address"][0], message))
            number = len(self.handed)
        self._before(number)
        time.sleep(self._takes_s)

    def _handler(self) -> type[BaseHTTPRequestHandler]:
        carrier = self

        class Handler(BaseHTTPRequestHandler):
            def do_POST(self) -> None:
                carrier._take(self.rfile.read(int(self.headers["Content-Length"])))
                try:
                    self.send_response(201)
                    self.send_header("Content-Length", str(len(ACCEPTED)))
                    self.end_headers()
                    self.wfile.write(ACCEPTED)
                except ConnectionError:
                    pass  # whoever asked was killed meanwhile

            def log_message(self, format: str, *args: object) -> None:  # noqa: A002  the parent's name
                """Keeps the test's output quiet."""

        return Handler


@contextmanager
def a_carrier(
    takes_s: float = 0.0, before_answering: Callable[[int], None] = lambda _: None
) -> Iterator[Carrier]:
    carrier = Carrier(takes_s, before_answering)
    try:
        yield carrier
    finally:
        carrier.close()


@dataclass(slots=True)
class Served:
    """One process of the service and its own clock."""

    clock_file: Path
    process: "subprocess.Popen[str]"

    def shows(self, moment: datetime) -> None:
        """Let its clock show a time; it runs on from there."""
        tell_clock(self.clock_file, moment)

    def kill(self) -> None:
        """End it with SIGKILL, wherever it is."""
        self.process.kill()
        self.process.wait(timeout=PATIENCE_S)

    def close(self) -> None:
        self.kill()
        if self.process.stdout is not None:
            self.process.stdout.close()


def serve(folder: Path, name: str, database: str, carrier: Carrier, moment: datetime) -> Served:
    """Start the service; it has a clock of its own that shows a time, and listens on a free port."""
    clock_file = folder / f"{name}.json"
    tell_clock(clock_file, moment)
    environment = {
        **{key: value for key, value in os.environ.items() if not key.startswith("ROWFOOT_")},
        "NO_PROXY": "127.0.0.1",
        "ROWFOOT_CLOCK": str(clock_file),
        "ROWFOOT_DATABASE": database,
        "ROWFOOT_GATEWAY_URL": carrier.url,
        "ROWFOOT_GATEWAY_SENDER": "+12705550100",
        "ROWFOOT_HOOK_SECRET": "only-for-this-test",
        "ROWFOOT_LISTEN": "127.0.0.1:0",
    }
    process = subprocess.Popen(
        [sys.executable, "-m", "bot", "serve"], cwd=ROOT, env=environment, stdout=subprocess.PIPE, text=True
    )
    return Served(clock_file, process)


def eventually(look: Callable[[], bool], what: str) -> None:
    """Wait until something is so; fails when it is not in time."""
    give_up_at = time.monotonic() + PATIENCE_S
    while not look():
        assert time.monotonic() < give_up_at, f"waited in vain: {what}"
        time.sleep(LOOK_EVERY_S)
