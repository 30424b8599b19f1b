"""What a gateway posts to us: texts from phones, and what became of texts to phones. Pure reading.

Source: GSMA SMS RESTful API (API v2, document 1.3) and OMA-TS-REST_NetAPI_ShortMessaging V1.0, with the
variations that operators' answers show. A post is understood as a whole or not at all.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from enum import StrEnum

from bot.gateways.addresses import number_of
from bot.gateways.errors import MalformedNotice
from bot.gateways.payload import clean, label_at, mapping_at, mappings_at, read_json, text_at, write_json

LONGEST_ID = 255
"""Characters of an id that are kept as they are; a longer one would not fit a unique index."""

LONGEST_ADDRESS = 255


class DeliveryStatus(StrEnum):
    """How far a text got, in the standard's words."""

    DELIVERED_TO_TERMINAL = "DeliveredToTerminal"
    DELIVERED_TO_NETWORK = "DeliveredToNetwork"
    MESSAGE_WAITING = "MessageWaiting"
    DELIVERY_UNCERTAIN = "DeliveryUncertain"
    DELIVERY_IMPOSSIBLE = "DeliveryImpossible"
    DELIVERY_NOTIFICATION_NOT_SUPPORTED = "DeliveryNotificationNotSupported"


@dataclass(frozen=True, slots=True)
class Inbound:
    """A text that a phone sent.

    `message_id` is the gateway's, or one made from the text itself where the gateway gave none. `sender`
    and `recipient` are in E.164, a short code bare, anything else as it came. `sent_at` is the time that
    the network put on the text, in UTC; None where it gave none, or one without a zone. `raw` is the
    message as JSON, as it came, in ASCII.
    """

    message_id: str
    sender: str = field(repr=False)
    recipient: str
    text: str = field(repr=False)
    sent_at: datetime | None
    raw: str = field(repr=False)


@dataclass(frozen=True, slots=True)
class DeliveryNotice:
    """What became of a text for one address. `correlator` is ours; `said` is the gateway's own word."""

    correlator: str
    address: str = field(repr=False)
    status: DeliveryStatus
    said: str


def read_inbound(body: bytes) -> tuple[Inbound, ...]:
    """Give the texts in a gateway's post, pushed (one, or an array) or as a list that was polled.

    Raises `MalformedNotice` on anything that is not the standard's shape.
    """
    root = read_json(body)
    if isinstance(root, dict) and "inboundSMSMessageList" in root:
        batch = mapping_at(root, "inboundSMSMessageList")
        # An empty batch may come without the array.
        messages = mappings_at(batch, "inboundSMSMessage") if "inboundSMSMessage" in batch else ()
    else:
        notification = mapping_at(root, "inboundSMSMessageNotification")
        messages = mappings_at(notification, "inboundSMSMessage")
    return tuple(_inbound(message) for message in messages)


def read_delivery(body: bytes) -> tuple[DeliveryNotice, ...]:
    """Give what the gateway tells of one text, one notice for each address.

    A status that the standard does not name is `DeliveryUncertain`. Raises `MalformedNotice` on anything
    that is not the standard's shape, and where callbackData is missing: nothing else says which text is
    meant.
    """
    notification = mapping_at(read_json(body), "deliveryInfoNotification")
    correlator = label_at(notification, "callbackData")
    if correlator is None:
        raise MalformedNotice("callbackData is missing: no text to tie the notice to")
    return tuple(_delivery(correlator, info) for info in mappings_at(notification, "deliveryInfo"))


def _inbound(message: Mapping[str, object]) -> Inbound:
    sender = _address_at(message, "senderAddress")
    recipient = _address_at(message, "destinationAddress")
    text = text_at(message, "message")
    stamp = message.get("dateTime")
    said_at = clean(stamp) if isinstance(stamp, str) else ""
    return Inbound(
        message_id=_short(label_at(message, "messageId")) or _digest(sender, recipient, said_at, text),
        sender=sender,
        recipient=recipient,
        text=text,
        sent_at=_instant(said_at),
        raw=write_json(message),
    )


def _delivery(correlator: str, info: Mapping[str, object]) -> DeliveryNotice:
    said = text_at(info, "deliveryStatus")
    try:
        status = DeliveryStatus(said)
    except ValueError:
        status = DeliveryStatus.DELIVERY_UNCERTAIN
    return DeliveryNotice(correlator, _address_at(info, "address"), status, said)


def _address_at(value: Mapping[str, object], name: str) -> str:
    number = number_of(text_at(value, name))
    if not 0 < len(number) <= LONGEST_ADDRESS:
        raise MalformedNotice(f"{name} is not an address")
    return number


def _instant(said: str) -> datetime | None:
    """Give the moment in UTC, or None: a time without a zone is never guessed at."""
    try:
        moment = datetime.fromisoformat(said)
        return None if moment.tzinfo is None else moment.astimezone(UTC)
    except (ValueError, OverflowError):  # the second: a zone that leads out of the years 1 to 9999
        return None


def _short(message_id: str | None) -> str | None:
    return message_id if message_id is None or len(message_id) <= LONGEST_ID else _digest(message_id)


def _digest(*parts: str) -> str:
    # NUL parts them without doubt: `clean` has left none inside.
    return "sha256:" + hashlib.sha256("\0".join(parts).encode()).hexdigest()
