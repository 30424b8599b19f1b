"""Sends what waits in the outbox: claim (commit), send, settle (commit). Never inside a transaction.

A crash between sending and settling means a second send with the same correlator, which the gateway is
asked to drop.
"""

import logging

from bot.gateways import Gateway, GatewayError, Outgoing
from bot.settings import Clock
from storage import Session, Store, claim_next, settle_failed, settle_left

__all__ = ["deliver_next"]

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
