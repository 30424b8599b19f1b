"""A stand-in carrier: its own process, its own memory, for the demo and the tests.

It speaks the standard that the gateways room speaks, from the other side: takes outbound texts, sends
receipts, posts what phones send and remembers conversations. It listens on 127.0.0.1 only and knows only
fictitious numbers, so that nothing here can ever reach a person.
"""

from bot.standin.app import create_standin
from bot.standin.carrier import Carrier
from bot.standin.listening import run_standin

__all__ = ["Carrier", "create_standin", "run_standin"]
