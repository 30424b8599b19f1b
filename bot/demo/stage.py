"""The demo's stage: the service and the stand-in carrier as real processes on this machine, and a clock to set."""

import os
import secrets
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from urllib.parse import quote

import httpx

from bot.settings import tell_clock

HOST = "127.0.0.1"
SERVICE_NUMBER = "+12705550100"
PATIENCE_S = 30.0
LOOK_EVERY_S = 0.02


class StageError(Exception):
    """A process of the demo did not start, or something was waited for in vain."""


@dataclass(slots=True)
class Stage:
    """Two running processes, and the hands that set the clock, press the phones' keys and look at the board."""

    folder: Path
    carrier_url: str
    service_url: str
    http: httpx.Client

    @property
    def clock_file(self) -> Path:
        return self.folder / "clock.json"

    def set_clock(self, moment: datetime) -> None:
        """Let both processes see a time; it runs on from there."""
        tell_clock(self.clock_file, moment)

    def press(self, phone: str, text: str, moment: datetime) -> None:
        """Send a text from a phone at a moment."""
        answer = self.http.post(
            f"{self.carrier_url}/phones/{quote(phone)}/texts", json={"text": text, "at": moment.isoformat()}
        )
        answer.raise_for_status()

    def conversation(self, phone: str) -> list[dict[str, Any]]:
        """Give a phone's conversation, oldest first; empty where it has none."""
        answer = self.http.get(f"{self.carrier_url}/phones/{quote(phone)}")
        if answer.status_code == httpx.codes.NOT_FOUND:
            return []
        answer.raise_for_status()
        lines: list[dict[str, Any]] = answer.json()
        return lines

    def board(self) -> dict[str, Any]:
        """Give the service's board."""
        answer = self.http.get(f"{self.service_url}/demo/board")
        answer.raise_for_status()
        board: dict[str, Any] = answer.json()
        return board

    def settled(self, kept: int) -> None:
        """Wait until the service has read so many texts and sent everything that may leave.

        Raises:
            StageError: that did not come about in time.
        """
        give_up = time.monotonic() + PATIENCE_S
        while time.monotonic() < give_up:
            road = self.board()["road"]
            if road["read"] >= kept and road["unread"] == 0 and road["to_leave"] == 0:
                return
            time.sleep(LOOK_EVERY_S)
        raise StageError("the service did not come to rest")

    def until_sent(self, phone: str, count: int) -> None:
        """Wait until a phone has got so many texts.

        Raises:
            StageError: it did not in time.
        """
        give_up = time.monotonic() + PATIENCE_S
        while time.monotonic() < give_up:
            if sum(line["direction"] == "in" for line in self.conversation(phone)) >= count:
                return
            time.sleep(LOOK_EVERY_S)
        raise StageError(f"{phone} did not get {count} texts")


@contextmanager
def set_up(begins: datetime, season: Path) -> Iterator[Stage]:
    """Start both processes on a fresh database with a season file, and end them whatever happens.

    Raises:
        StageError: one of them did not start.
    """
    with TemporaryDirectory(prefix="rowfoot-demo-") as name:
        folder = Path(name)
        tell_clock(folder / "clock.json", begins)
        port = _free_port()
        service_url = f"http://{HOST}:{port}"
        secret = secrets.token_urlsafe(24)
        environment = {
            **{key: value for key, value in os.environ.items() if not key.startswith("ROWFOOT_")},
            "NO_PROXY": HOST,
            "PYTHONUNBUFFERED": "1",
            "ROWFOOT_CLOCK": str(folder / "clock.json"),
            "ROWFOOT_DATABASE": f"sqlite:///{folder / 'demo.db'}",
            "ROWFOOT_DEMO": "1",
            "ROWFOOT_GATEWAY_SENDER": SERVICE_NUMBER,
            "ROWFOOT_HOOK_SECRET": secret,
            "ROWFOOT_LISTEN": f"{HOST}:{port}",
        }
        loaded = subprocess.run(  # noqa: S603  our own command with our own file
            [sys.executable, "-m", "bot", "load", str(season)],
            env=environment,
            capture_output=True,
            text=True,
            check=False,
        )
        if loaded.returncode:
            raise StageError(loaded.stderr.strip())
        carrier = [
            "-m", "bot.standin", "--port", "0", "--notify-url", f"{service_url}/hooks/{secret}/in",
            "--clock", str(folder / "clock.json"), "--board", f"{service_url}/demo/board",
        ]  # fmt: skip
        with _process(carrier, environment) as carrier_url:
            environment["ROWFOOT_GATEWAY_URL"] = carrier_url
            with (
                _process(["-m", "bot", "serve"], environment) as listening,
                httpx.Client(trust_env=False, timeout=10) as http,
            ):
                yield Stage(folder, carrier_url, listening, http)


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        port: int = probe.getsockname()[1]
        return port


@contextmanager
def _process(arguments: list[str], environment: dict[str, str]) -> Iterator[str]:
    """Run one of our programs; give the URL that its first line ends with."""
    process = subprocess.Popen(  # noqa: S603  our own programs
        [sys.executable, *arguments], env=environment, stdout=subprocess.PIPE, text=True
    )
    try:
        line = process.stdout.readline() if process.stdout else ""
        if "http://" not in line:
            raise StageError(f"{' '.join(arguments[:2])} did not start")
        yield line.split()[-1]
    finally:
        process.terminate()
        try:
            process.wait(timeout=10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
        if process.stdout:
            process.stdout.close()
