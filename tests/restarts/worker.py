"""A process that may be killed at any moment: hears what is unread, lets its clock strike, sends what waits."""

import json
import logging
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from ctypes import Array, c_double
from datetime import UTC, datetime
from pathlib import Path

from bot.delivery import deliver_next
from bot.field_book import SeasonShelf
from bot.gateways import Accepted, Outgoing
from bot.rounds import hear_all, strike
from storage import Store

IDLE_S = 0.001

MOVED, NOW, STRIKE_AT, FIRST_DONE = range(4)
"""Places of the shared board: how often the clocks were moved, the time now, the time of the last strike; then, for
each worker, with which move he is through."""


class CarrierBook:
    """A carrier that only writes down what it is handed: a line a text, whole or not at all, whoever is killed."""

    def __init__(self, path: Path) -> None:
        self.file = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)

    def send(self, message: Outgoing) -> Accepted:
        line = json.dumps([message.correlator, message.to, message.text]) + "\n"
        os.write(self.file, line.encode())
        return Accepted(None)

    def close(self) -> None:
        os.close(self.file)


@contextmanager
def opened(url: str) -> Iterator[Store]:
    """Open a database for a while."""
    store = Store(url)
    try:
        yield store
    finally:
        store.close()


def work(url: str, carrier: Path, board: "Array[c_double]", place: int) -> None:
    """Work until killed. Each clock strikes once at every time of a strike, and again in who comes back then."""
    logging.disable()
    shelf, gateway = SeasonShelf(), CarrierBook(carrier)
    board[place] = 0.0

    def now() -> datetime:
        return datetime.fromtimestamp(board[NOW], UTC)

    with opened(url) as store:
        while True:
            moved = board[MOVED]
            if board[place] == moved:
                time.sleep(IDLE_S)
                continue
            hear_all(store, shelf, now())
            if board[STRIKE_AT] == board[NOW]:
                strike(store, shelf, now())
            while deliver_next(store, gateway, now):
                pass
            board[place] = moved
