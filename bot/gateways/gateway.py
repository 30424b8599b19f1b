"""The narrow waist: what every gateway takes and gives, whatever it speaks on its far side."""

from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True, slots=True)
class Outgoing:
    """One text to one phone. `to` is in E.164; the same `correlator` again is the same text again."""

    to: str
    text: str
    correlator: str


@dataclass(frozen=True, slots=True)
class Accepted:
    """The gateway has the text. `reference` is its own name for it, None where it gave none.

    A text that the gateway had already is accepted as well.
    """

    reference: str | None


class Gateway(Protocol):
    """A way to send texts. Safe to use from several threads at once."""

    def send(self, message: Outgoing) -> Accepted:
        """Hand one text to the gateway; raises a `GatewayError` where the gateway did not take it."""
        ...

    def close(self) -> None:
        """Let go of connections; nothing can be sent afterwards."""
        ...
