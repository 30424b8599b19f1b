"""Real mail servers for the tests, on 127.0.0.1 in threads of their own: one that takes mail, one that misbehaves."""

import socket
import ssl
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import default
from pathlib import Path
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import AuthResult, LoginPassword

FIXTURES = Path(__file__).parent.parent / "fixtures" / "mail"
CERTIFICATE, KEY = FIXTURES / "localhost.cert.pem", FIXTURES / "localhost.key.pem"
USER, PASSWORD = "rowfoot", "gin road: 50% / west"


def trusting() -> ssl.SSLContext:
    """Give what trusts the tests' certificate and no other."""
    return ssl.create_default_context(cafile=str(CERTIFICATE))


def own_certificate() -> ssl.SSLContext:
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(CERTIFICATE, KEY)
    return context


@dataclass
class Postbox:
    """What a mail server took, and what it says first to a step (MAIL, RCPT, DATA) in place of taking it."""

    answers: dict[str, list[str]] = field(default_factory=dict)
    taken: list[tuple[str, list[str], bytes]] = field(default_factory=list)
    over_tls: list[bool] = field(default_factory=list)
    logged_in: list[bool] = field(default_factory=list)

    def messages(self) -> list[EmailMessage]:
        return [message_from_bytes(octets, policy=default) for _, _, octets in self.taken]

    def _said(self, step: str) -> str | None:
        waiting = self.answers.get(step)
        return waiting.pop(0) if waiting else None

    async def handle_MAIL(self, _server: Any, _session: Any, envelope: Any, address: str, _o: Any) -> str:  # noqa: N802  the name is the library's
        if said := self._said("MAIL"):
            return said
        envelope.mail_from = address
        return "250 OK"

    async def handle_RCPT(self, _server: Any, _session: Any, envelope: Any, address: str, _o: Any) -> str:  # noqa: N802  the same
        if said := self._said("RCPT"):
            return said
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, _server: Any, session: Any, envelope: Any) -> str:  # noqa: N802  the same
        if said := self._said("DATA"):
            return said
        self.taken.append((envelope.mail_from, envelope.rcpt_tos, envelope.original_content))
        self.over_tls.append(session.ssl is not None)
        self.logged_in.append(bool(session.authenticated))
        return "250 taken"


@dataclass(frozen=True)
class Running:
    port: int
    box: Postbox

    @property
    def url(self) -> str:
        return f"smtp://127.0.0.1:{self.port}"


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def _lets_in(_server: Any, _session: Any, _envelope: Any, _mechanism: str, said: Any) -> AuthResult:
    known = isinstance(said, LoginPassword) and (said.login, said.password) == (
        USER.encode(),
        PASSWORD.encode(),
    )
    return AuthResult(success=known, handled=False)


@contextmanager
def mail_server(*, port: int | None = None, **settings: Any) -> Iterator[Running]:
    """Run a mail server; `tls=True` offers STARTTLS, `auth=True` wants user and password as well."""
    box = Postbox()
    if settings.pop("tls", False):
        settings["tls_context"] = own_certificate()
    if settings.pop("auth", False):
        settings |= {"auth_required": True, "authenticator": _lets_in}
    server = Controller(box, hostname="127.0.0.1", port=port or free_port(), **settings)
    server.start()
    try:
        yield Running(server.port, box)
    finally:
        server.stop()


@contextmanager
def odd_server(talk: Callable[[socket.socket], None]) -> Iterator[str]:
    """Listen and let `talk` have each connection; gives the URL. Whatever it does, the connection is closed then."""
    listening = socket.create_server(("127.0.0.1", 0))
    ending = threading.Event()

    def serve() -> None:
        while not ending.is_set():
            try:
                connection, _ = listening.accept()
            except OSError:
                return
            with connection, suppress(OSError):
                talk(connection)

    thread = threading.Thread(target=serve, daemon=True)
    thread.start()
    try:
        yield f"smtp://127.0.0.1:{listening.getsockname()[1]}"
    finally:
        ending.set()
        with suppress(OSError):
            listening.shutdown(socket.SHUT_RDWR)
        listening.close()
        thread.join(10)


def until_line(connection: socket.socket, answers: dict[bytes, bytes], last: bytes) -> None:
    """Answer each command by its first four letters, until a line begins with `last`, which gets no answer."""
    with connection.makefile("rwb") as lines:
        lines.write(b"220 odd\r\n")
        lines.flush()
        inside = False
        for line in lines:
            if line.upper().startswith(last):
                return
            if inside and line != b".\r\n":
                continue
            inside = line.upper().startswith(b"DATA")
            lines.write(answers.get(line[:4].upper(), b"250 OK") + b"\r\n")
            lines.flush()
