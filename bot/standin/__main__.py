"""`python -m bot.standin --port 0 --notify-url http://127.0.0.1:8420/hooks/SECRET/in`."""

import argparse
from collections.abc import Sequence
from pathlib import Path

from bot.standin.listening import run_standin
from bot.standin.numbers import fictitious_number
from bot.standin.posting import is_loopback


def main(arguments: Sequence[str] | None = None) -> None:
    """Run a stand-in carrier as the command line says."""
    parser = argparse.ArgumentParser(
        prog="python -m bot.standin", description="A carrier to try with, on this machine only."
    )
    parser.add_argument("--port", type=_port, default=0, help="0, the default, takes a free one")
    parser.add_argument("--notify-url", required=True, help="where the texts of phones are posted to")
    parser.add_argument("--number", default="+12705550100", help="the service's number")
    parser.add_argument("--clock", type=Path, help="a file that shows the time (see bot.settings)")
    parser.add_argument("--board", metavar="URL", help="the service's board, shown beside the phones")
    told = parser.parse_args(arguments)
    if not is_loopback(told.notify_url):
        parser.error("--notify-url must be http on this machine")
    if told.board is not None and not is_loopback(told.board):
        parser.error("--board must be http on this machine")
    number = fictitious_number(told.number)
    if number is None:
        parser.error("--number must end in 555-0100 to 555-0199")
    try:
        run_standin(told.port, told.notify_url, number, told.clock, told.board)
    except OSError as error:
        parser.exit(1, f"{parser.prog}: {error}\n")


def _port(told: str) -> int:
    port = int(told)
    if not 0 <= port <= 65_535:
        raise argparse.ArgumentTypeError("a port is 0 to 65535")
    return port


if __name__ == "__main__":
    main()
