"""Reading an outbound request as the standard has it, JSON or form. Pure; faults are values.

Source: GSMA SMS RESTful API (API v2, document 1.3); codes from OMA's registry of exception codes.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bot.standin.carrier import Receipt, Request
from bot.standin.numbers import fictitious_number
from bot.standin.posting import is_loopback

LONGEST_TEXT = 1600
"""Characters; some ten parts, where carriers begin to cut."""

SENTENCES: Mapping[str, str] = {
    "SVC0002": "Invalid input value for message part %1",
    "SVC0004": "No valid addresses provided in message part %1",
    "SVC0005": "Correlator %1 specified in message part %2 is a duplicate",
    "SVC0280": "Message too long. Maximum length is %1 characters",
    "SVC0283": "Delivery receipts are not supported",
    "SVC1000": "No resources available",
}


@dataclass(frozen=True, slots=True)
class Fault:
    """A request that does not hold: the standard's code, and what fills its sentence."""

    code: str
    variables: tuple[str, ...] = ()
    http: int = 400

    def as_json(self) -> dict[str, object]:
        """Give the requestError of the standard."""
        exception = {
            "messageId": self.code,
            "text": SENTENCES[self.code],
            "variables": list(self.variables),
        }
        return {"requestError": {"serviceException": exception}}


def parts_of_json(body: object) -> Mapping[str, Sequence[object]]:
    """Give the message parts of a JSON body as a form would hold them: a list of values for each name."""
    root = _mapping(_mapping(body).get("outboundSMSMessageRequest"))
    receipt = _mapping(root.get("receiptRequest"))
    address = root.get("address")
    return {
        "address": address if isinstance(address, list) else [address],
        "senderAddress": [root.get("senderAddress")],
        "message": [_mapping(root.get("outboundSMSTextMessage")).get("message")],
        "clientCorrelator": [root.get("clientCorrelator")],
        "notifyURL": [receipt.get("notifyURL")],
        "callbackData": [receipt.get("callbackData")],
    }


def read_request(path_sender: str, parts: Mapping[str, Sequence[object]]) -> Request | Fault:
    """Give the request that the parts make with the sender in the path, or the first fault in them.

    Each address outside 555-0100 to 555-0199 is SVC0004, "no valid address": in this carrier's world
    there is no such phone.
    """
    sender = _first(parts, "senderAddress")
    if sender is None or bare_sender(sender) != bare_sender(path_sender):
        return Fault("SVC0002", ("senderAddress",))
    text = _first(parts, "message")
    if text is None:
        return Fault("SVC0002", ("message",))
    if len(text) > LONGEST_TEXT:
        return Fault("SVC0280", (str(LONGEST_TEXT),))
    addresses: list[str] = []
    for address in parts.get("address", ()):
        number = fictitious_number(address) if isinstance(address, str) else None
        if number is None:
            return Fault("SVC0004", ("address",))
        addresses.append(number)
    if not addresses:
        return Fault("SVC0004", ("address",))
    receipt = None
    if (notify_url := _first(parts, "notifyURL")) is not None:
        if not is_loopback(notify_url):
            return Fault("SVC0002", ("notifyURL",))
        receipt = Receipt(notify_url, _first(parts, "callbackData"))
    return Request(
        bare_sender(sender), tuple(dict.fromkeys(addresses)), text, _first(parts, "clientCorrelator"), receipt
    )


def _mapping(value: object) -> Mapping[str, object]:
    return value if isinstance(value, dict) else {}


def _first(parts: Mapping[str, Sequence[object]], name: str) -> str | None:
    """Give the first value under a name; what is empty or no string counts as missing."""
    values = parts.get(name, ())
    value = values[0] if values else None
    return value if isinstance(value, str) and value else None


def bare_sender(sender: str) -> str:
    """Give a sender without scheme and plus: both are optional, in the path and in the body."""
    return sender.removeprefix("tel:").strip().removeprefix("+")
