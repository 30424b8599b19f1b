"""The hook: what the gateway posts to us. Kept first, then answered 200 with an empty body; nothing else happens here.

Order: size, secret, shape, one transaction. A wrong secret is 401, a body that is not the standard's 400,
one over 64 KiB 413, a database that cannot be written 503 (the carrier tries again). Nothing is said of why.
"""

import hmac
import logging
from collections.abc import Callable

from flask import Blueprint, Flask, Response, request
from werkzeug.exceptions import HTTPException

from bot.gateways import MalformedNotice, read_delivery, read_inbound
from bot.settings import Clock
from storage import Arrived, StorageError, Store, keep, note_deliveries

log = logging.getLogger(__name__)

GATEWAY = "oma"
LARGEST_BODY = 64 * 1024


def hook_blueprint(
    store: Store,
    secret: str,
    clock: Clock,
    wake: Callable[[], None],
    looks_cut: Callable[[str], bool] | None = None,
) -> Blueprint:
    """Give the hook under `/hooks/SECRET/`; `wake` is called once a text has been kept.

    `looks_cut` tells of a text whether it may be a part of a longer one, where the gateway does not join parts.
    """
    hook = Blueprint("hook", __name__, url_prefix="/hooks/<given>")

    @hook.post("/in")
    def texts(given: str) -> Response:
        if not _is_secret(given, secret):
            return _bare(401)
        now = clock()
        try:
            posted = read_inbound(request.get_data(cache=False))
        except MalformedNotice:
            return _bare(400)
        arrived = [
            Arrived(
                GATEWAY,
                one.message_id,
                one.sender,
                one.recipient,
                one.text,
                one.sent_at,
                now,
                perhaps_cut=looks_cut is not None and looks_cut(one.text),
            )
            for one in posted
        ]
        try:
            store.write(lambda session: [keep(session, one) for one in arrived])
        except StorageError as fault:
            log.warning("a text could not be kept: %s", fault)
            return _bare(503)
        wake()
        return _bare(200)

    @hook.post("/delivery")
    def receipts(given: str) -> Response:
        if not _is_secret(given, secret):
            return _bare(401)
        now = clock()
        try:
            notices = read_delivery(request.get_data(cache=False))
        except MalformedNotice:
            return _bare(400)
        told = [(notice.correlator, notice.said) for notice in notices]
        try:
            store.write(lambda session: note_deliveries(session, told, now))
        except StorageError as fault:
            log.warning("a receipt could not be kept: %s", fault)
            return _bare(503)
        return _bare(200)

    return hook


def _is_secret(given: str, secret: str) -> bool:
    return hmac.compare_digest(given.encode(), secret.encode())


def _bare(status: int) -> Response:
    """Give an answer with an empty body: the status says all."""
    return Response(status=status)


def answer_barely(app: Flask) -> None:
    """Let every HTTP error of an application have an empty body, and hold bodies to their limit."""
    app.config["MAX_CONTENT_LENGTH"] = LARGEST_BODY

    @app.errorhandler(HTTPException)
    def refused(fault: HTTPException) -> Response:
        return _bare(fault.code or 500)

    @app.errorhandler(Exception)
    def failed(fault: Exception) -> Response:
        log.exception("a request could not be answered", exc_info=fault)
        return _bare(500)


__all__ = ["answer_barely", "hook_blueprint"]
