"""Builds the service from its parts; everything is handed in here, nothing points back."""

import logging
import secrets
import signal
from dataclasses import dataclass

from flask import Flask
from waitress.server import create_server

from bot.delivery import deliver_next, deliver_next_mail
from bot.digests import readers
from bot.field_book import SeasonShelf
from bot.gateways import Gateway, OmaGateway, OmaSettings
from bot.mailing import MailServer, mail_address
from bot.pages import demo_blueprint
from bot.rounds import hear_next, strike, watch_clock
from bot.schedule import Schedule
from bot.settings import Clock, Settings, SettingsError, clock_from
from bot.web import answer_barely, hook_blueprint
from parsing import is_full_part
from storage import Store

log = logging.getLogger(__name__)

THREADS = 8
MOST_BUFFERED = 1024 * 1024
"""Bodies over this are not even taken in; those over the hook's own limit get its bare 413."""


@dataclass(slots=True)
class Service:
    """One process of the service: the hook, reading, the clock, and delivery where there is a gateway."""

    store: Store
    web: Flask
    schedule: Schedule
    gateway: Gateway | None

    def close(self) -> None:
        """Stop the loops, then let go of the gateway and the database."""
        self.schedule.stop()
        if self.gateway is not None:
            self.gateway.close()
        self.store.close()


def build_service(settings: Settings) -> Service:
    """Build the service; nothing runs before its schedule is started.

    Raises:
        SettingsError: the hook has no secret, or the gateway's or the mail server's address is none.
        StorageError: the database cannot be used, or holds no season.
    """
    if settings.hook_secret is None:
        example = secrets.token_urlsafe(24)
        raise SettingsError(f"ROWFOOT_HOOK_SECRET is missing; a fresh one: {example}")
    clock = clock_from(settings.clock_file)
    store = Store(settings.database)
    shelf = SeasonShelf()
    with store.read() as session:
        season = shelf.season(session)
    gateway = gateway_of(settings)
    post = post_of(settings)
    if post is None and any(person.email for person in readers(season)):
        log.warning("the season names e-mail addresses, and without ROWFOOT_SMTP_URL no mail is sent")
    store.start_writer()
    loops = {"reading": lambda: hear_next(store, shelf, clock())}
    if gateway is not None:
        loops["delivery"] = lambda: deliver_next(store, gateway, clock)
    if post is not None:  # a loop of its own: a mail server that is slow keeps no text from leaving
        loops["mail"] = lambda: deliver_next_mail(store, post, clock)
    schedule = Schedule(lambda: _tick(store, shelf, clock, schedule), loops)
    web = Flask(__name__, static_folder=None)
    answer_barely(web)
    looks_cut = None if settings.gateway_joins else is_full_part
    web.register_blueprint(hook_blueprint(store, settings.hook_secret, clock, schedule.wake, looks_cut))
    if settings.demo:
        web.register_blueprint(demo_blueprint(store, shelf, clock))
    return Service(store, web, schedule, gateway)


def _tick(store: Store, shelf: SeasonShelf, clock: Clock, schedule: Schedule) -> None:
    now = clock()
    strike(store, shelf, now)
    watch_clock(store, shelf, now)
    schedule.wake()


def gateway_of(settings: Settings) -> Gateway | None:
    """Give the gateway that the settings name, None where they name none."""
    if settings.gateway_root is None or settings.gateway_sender is None:
        return None
    public = settings.public_url or f"http://{settings.host}:{settings.port}"
    try:
        return OmaGateway(
            OmaSettings(
                root=settings.gateway_root,
                sender=settings.gateway_sender,
                version=settings.gateway_version,
                notify_url=f"{public}/hooks/{settings.hook_secret}/delivery",
                user=settings.gateway_user,
                password=settings.gateway_password,
                token=settings.gateway_token,
            )
        )
    except ValueError as fault:
        raise SettingsError(f"ROWFOOT_GATEWAY_…: {fault}") from fault


def post_of(settings: Settings) -> MailServer | None:
    """Give the mail server that the settings name, None where they name none."""
    if settings.mail_server is None or settings.mail_from is None:
        return None
    try:
        return MailServer(mail_address(settings.mail_server, settings.mail_from))
    except ValueError as fault:
        raise SettingsError(f"ROWFOOT_SMTP_URL, ROWFOOT_MAIL_FROM: {fault}") from fault


def run_service(settings: Settings) -> None:
    """Serve until SIGTERM or SIGINT, then stop cleanly. Prints one line once it listens.

    Raises:
        SettingsError: as `build_service`, or the address cannot be listened on.
        StorageError: as `build_service`.
    """
    service = build_service(settings)
    try:
        server = create_server(
            service.web,
            host=settings.host,
            port=settings.port,
            threads=THREADS,
            ident=None,
            max_request_body_size=MOST_BUFFERED,
        )
    except (OSError, ValueError) as fault:  # the second: waitress on a host that it cannot find
        service.close()
        why = fault.strerror if isinstance(fault, OSError) else "no such host"
        raise SettingsError(f"{settings.host}:{settings.port} cannot be listened on: {why}") from fault
    for name in (signal.SIGTERM, signal.SIGINT):
        signal.signal(name, _stop)
    try:
        service.schedule.start()
        print(f"rowfoot at http://{settings.host}:{server.effective_port}", flush=True)  # noqa: T201  its one line
        server.run()  # here, in the main thread: it ends its own threads on SystemExit, and only then closes
    except SystemExit:
        pass
    server.close()
    service.close()


def _stop(_number: int, _frame: object) -> None:
    raise SystemExit


__all__ = ["Service", "build_service", "gateway_of", "post_of", "run_service"]
