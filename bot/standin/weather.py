"""Ways in which the stand-in can be told to misbehave, so that tests see the service bear it."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class BadWeather(ValueError):  # noqa: N818  named for what was asked for
    """The weather asked for is none that we know; its sentence says what is."""


class OutboundWeather(StrEnum):
    """What happens to a text that the service sends."""

    OK = "ok"
    BUSY = "busy"
    """Not taken; 503 with SVC1000."""
    SLOW = "slow"
    """Taken at once, answered late."""
    DROP = "drop"
    """Taken, and the connection drops in the middle of the answer."""


class ReceiptWeather(StrEnum):
    """What becomes of receipts."""

    OK = "ok"
    NONE = "none"
    """Asked for, never sent."""
    TWICE = "twice"
    UNSUPPORTED = "unsupported"
    """A request that asks for one is refused with SVC0283."""


@dataclass(frozen=True, slots=True)
class Weather:
    """How the carrier behaves from now on; the defaults are a fair day."""

    outbound: OutboundWeather = OutboundWeather.OK
    receipts: ReceiptWeather = ReceiptWeather.OK
    inbound_twice: bool = False
    """Each text of a phone is posted again after it was taken, with the same messageId."""


def read_weather(told: object) -> Weather:
    """Give the weather that a JSON object tells; what it leaves out is fair. Raises `BadWeather`."""
    if not isinstance(told, Mapping):
        raise BadWeather("the weather is a JSON object")
    if unknown := told.keys() - {"outbound", "receipts", "inbound_twice"}:
        raise BadWeather(f"no such weather: {', '.join(sorted(unknown))}")
    twice = told.get("inbound_twice", False)
    if not isinstance(twice, bool):
        raise BadWeather("inbound_twice is true or false")
    try:
        return Weather(
            OutboundWeather(told.get("outbound", "ok")), ReceiptWeather(told.get("receipts", "ok")), twice
        )
    except ValueError as error:
        raise BadWeather(
            f"outbound is one of {', '.join(OutboundWeather)}; receipts one of {', '.join(ReceiptWeather)}"
        ) from error
