"""Sends what waits, texts and mail: claim (commit), send, settle (commit). Never inside a transaction.

A crash between sending and settling means a second send with the same correlator, which the gateway is
asked to drop, or with the same Message-ID.
"""

import logging
from collections.abc import Callable
from datetime import datetime
from typing import Protocol, TypeAlias, TypeVar

from bot.gateways import Gateway, GatewayError, Outgoing
from bot.mailing import Mail, MailError, Post
from bot.settings import Clock
from storage import (
    Session,
    Store,
    claim_next,
    claim_next_mail,
    settle_failed,
    settle_left,
    settle_mail_failed,
    settle_mail_left,
)

__all__ = ["deliver_next", "deliver_next_mail"]

log = logging.getLogger(__name__)

Thing = TypeVar("Thing")
Claimed: TypeAlias = tuple[int, Thing]
"""The number of a row that is held, and what to send for it."""


class Failed(Protocol):
    """Notes that something did not leave, and whether it is to go again."""

    def __call__(
        self, session: Session, number: int, fault: str, now: datetime, /, *, again: bool
    ) -> None: ...


def deliver_next(store: Store, gateway: Gateway, clock: Clock) -> bool:
    """Send the next text that may leave; False where none waits."""

    def claim(session: Session, now: datetime) -> Claimed[Outgoing] | None:
        row = claim_next(session, now)
        return None if row is None else (row.id, Outgoing(row.recipient, row.body, row.key))

    return _send_next("text", store, clock, claim, gateway.send, settle_left, settle_failed)


def deliver_next_mail(store: Store, post: Post, clock: Clock) -> bool:
    """Send the next mail that may leave; False where none waits."""

    def claim(session: Session, now: datetime) -> Claimed[Mail] | None:
        row = claim_next_mail(session, now)
        if row is None:
            return None
        return row.id, Mail(
            key=row.key,
            name=row.name,
            recipient=row.recipient,
            language=row.language,
            subject=row.subject,
            plain=row.plain,
            html=row.html,
            written_at=row.created_at,
        )

    return _send_next("mail", store, clock, claim, post.send, settle_mail_left, settle_mail_failed)


def _send_next(
    kind: str,
    store: Store,
    clock: Clock,
    claim: Callable[[Session, datetime], Claimed[Thing] | None],
    send: Callable[[Thing], object],
    left: Callable[[Session, int, datetime], None],
    failed: Failed,
) -> bool:
    """Claim, send outside any transaction, settle."""
    now = clock()
    claimed = store.write(lambda session: claim(session, now))
    if claimed is None:
        return False
    number, thing = claimed
    try:
        send(thing)
    except (GatewayError, MailError) as fault:
        log.warning("%s %s did not leave: %s", kind, number, fault)
        again, said = fault.retry, str(fault)
        store.write(lambda session: failed(session, number, said, clock(), again=again))
        return True
    store.write(lambda session: left(session, number, clock()))
    return True
