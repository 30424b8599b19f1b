"""Running the stand-in: sockets, signals, and the end."""

import logging
import signal
import sys
from pathlib import Path
from types import FrameType
from typing import NoReturn

from waitress.server import create_server

from bot.settings import clock_from
from bot.standin.app import create_standin
from bot.standin.carrier import Carrier
from bot.standin.phones_page import Board, page_blueprint
from bot.standin.posting import Poster

HOST = "127.0.0.1"
"""Nobody but this machine: the stand-in asks for no password."""


def run_standin(
    port: int,
    notify_url: str,
    number: str,
    clock_file: Path | None = None,
    board_url: str | None = None,
) -> None:
    """Run a stand-in carrier until SIGTERM or SIGINT; port 0 takes a free one.

    The page with the phones is at `/`; it shows the fields too where `board_url` is the service's board.
    Prints `stand-in carrier at http://127.0.0.1:PORT` once it listens. Raises `OSError` where the port
    is taken or the clock file cannot be read. To be called from the main thread.
    """
    # Answers cut short in bad weather are meant, and nothing to warn of.
    logging.getLogger("waitress").setLevel(logging.ERROR)
    signal.signal(signal.SIGTERM, _leave)
    signal.signal(signal.SIGINT, _leave)
    clock = clock_from(clock_file)
    clock()  # one that cannot be read is found out now, not at the first text
    poster = Poster()
    board = Board(board_url) if board_url is not None else None
    try:
        carrier = Carrier(clock, poster, notify_url, number)
        server = create_server(
            create_standin(carrier, page_blueprint(board)), host=HOST, port=port, threads=8
        )
        try:
            sys.stdout.write(f"stand-in carrier at http://{HOST}:{server.effective_port}\n")
            sys.stdout.flush()
            server.run()
        finally:
            server.close()
    finally:
        poster.close()
        if board is not None:
            board.close()


def _leave(_signal: int, _frame: FrameType | None) -> NoReturn:
    # The server's loop ends on this by itself, quietly.
    raise SystemExit(0)
