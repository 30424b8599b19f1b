"""The settings of a deployment, from ROWFOOT_… variables of the environment."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

DEFAULT_DATABASE = "sqlite:///rowfoot.db"
DEFAULT_LISTEN = "127.0.0.1:8420"
LEAST_SECRET = 16
JOINED, APART = "joined", "apart"


class SettingsError(Exception):
    """A setting is missing or cannot be used; its sentence names the variable."""


@dataclass(frozen=True, slots=True)
class Settings:
    """One deployment: `database` is an SQLAlchemy URL, `hook_secret` the path part that only the gateway knows.

    Without `gateway_root` texts stay in the outbox; nothing is sent. `gateway_joins` where the parts of a long
    text come as one; else each comes as a text of its own. `mail_server` is a URL, smtp:// or smtps://; without
    it no digest goes by e-mail. `mail_from` is whom mail is from.
    """

    database: str = DEFAULT_DATABASE
    host: str = "127.0.0.1"
    port: int = 8420
    hook_secret: str | None = None
    public_url: str | None = None
    gateway_root: str | None = None
    gateway_version: str = "1"
    gateway_sender: str | None = None
    gateway_user: str | None = None
    gateway_password: str | None = None
    gateway_token: str | None = None
    gateway_joins: bool = True
    mail_server: str | None = None
    mail_from: str | None = None
    clock_file: Path | None = None
    demo: bool = False


def read_settings(environment: Mapping[str, str]) -> Settings:
    """Read the settings from an environment; unset variables keep their defaults.

    Raises:
        SettingsError: a port that is none, a secret too short to be one, a gateway or a mail server without a
            sender, parts that come neither joined nor apart.
    """
    listen = environment.get("ROWFOOT_LISTEN", DEFAULT_LISTEN)
    host, _, port = listen.rpartition(":")
    if not host or not (port.isascii() and port.isdigit()) or int(port) > 65_535:
        raise SettingsError(f"ROWFOOT_LISTEN is HOST:PORT, as {DEFAULT_LISTEN}; it is {listen!r}")
    secret = environment.get("ROWFOOT_HOOK_SECRET")
    if secret is not None and len(secret) < LEAST_SECRET:
        raise SettingsError(f"ROWFOOT_HOOK_SECRET has fewer than {LEAST_SECRET} characters")
    root = environment.get("ROWFOOT_GATEWAY_URL")
    sender = environment.get("ROWFOOT_GATEWAY_SENDER")
    if root is not None and sender is None:
        raise SettingsError("ROWFOOT_GATEWAY_SENDER is missing: the number that texts are sent from")
    parts = environment.get("ROWFOOT_GATEWAY_PARTS", JOINED)
    if parts not in (JOINED, APART):
        raise SettingsError(f"ROWFOOT_GATEWAY_PARTS is {JOINED} or {APART}; it is {parts!r}")
    mail_server = environment.get("ROWFOOT_SMTP_URL")
    mail_from = environment.get("ROWFOOT_MAIL_FROM")
    if mail_server is not None and mail_from is None:
        raise SettingsError("ROWFOOT_MAIL_FROM is missing: the address that mail is sent from")
    clock = environment.get("ROWFOOT_CLOCK")
    return Settings(
        database=environment.get("ROWFOOT_DATABASE", DEFAULT_DATABASE),
        host=host,
        port=int(port),
        hook_secret=secret,
        public_url=environment.get("ROWFOOT_PUBLIC_URL"),
        gateway_root=root,
        gateway_version=environment.get("ROWFOOT_GATEWAY_VERSION", "1"),
        gateway_sender=sender,
        gateway_user=environment.get("ROWFOOT_GATEWAY_USER"),
        gateway_password=environment.get("ROWFOOT_GATEWAY_PASSWORD"),
        gateway_token=environment.get("ROWFOOT_GATEWAY_TOKEN"),
        gateway_joins=parts == JOINED,
        mail_server=mail_server,
        mail_from=mail_from,
        clock_file=Path(clock) if clock else None,
        demo=environment.get("ROWFOOT_DEMO") == "1",
    )
