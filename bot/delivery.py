"""Sends what waits, texts and mail: claim (commit), send, settle (commit). Never inside a transaction.

A crash between sending and settling means a second send with the same correlator, which the gateway is
asked to drop, or with the same Message-ID.
"""

import logging

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


def deliver_next(store: Store, gateway: Gateway, clock: Clock) -> bool:
    """Send the next text that may leave; False where none waits."""
    now = clock()

    def claim(session: Session) -> tuple[int, Outgoing] | None:
        row = claim_next(session, now)
        return None if row is None else (row.id, Outgoing(row.recipient, row.body, row.key))

    claimed = store.write(claim)
    if claimed is None:
        return False
    outbox_id, outgoing = claimed
    try:
        gateway.send(outgoing)
    except GatewayError as fault:
        log.warning("text %s did not leave: %s", outbox_id, fault)
        again, said = fault.retry, str(fault)
        store.write(lambda session: settle_failed(session, outbox_id, said, clock(), again=again))
        return True
    store.write(lambda session: settle_left(session, outbox_id, clock()))
    return True


def deliver_next_mail(store: Store, post: Post, clock: Clock) -> bool:
    """Send the next mail that may leave; False where none waits."""
    now = clock()

    def claim(session: Session) -> tuple[int, Mail] | None:
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

    claimed = store.write(claim)
    if claimed is None:
        return False
    mail_id, mail = claimed
    try:
        post.send(mail)
    except MailError as fault:
        log.warning("mail %s did not leave: %s", mail_id, fault)
        again, said = fault.retry, str(fault)
        store.write(lambda session: settle_mail_failed(session, mail_id, said, clock(), again=again))
        return True
    store.write(lambda session: settle_mail_left(session, mail_id, clock()))
    return True
