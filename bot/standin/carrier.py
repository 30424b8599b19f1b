"""The carrier's memory: conversations with phones, requests of the service, and the weather."""

import threading
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from enum import StrEnum

from bot.settings import Clock
from bot.standin.posting import Post, Poster
from bot.standin.weather import ReceiptWeather, Weather

DELIVERED = "DeliveredToTerminal"


class Direction(StrEnum):
    """Which way a text went, as the phone sees it."""

    OUT = "out"
    IN = "in"


class State(StrEnum):
    """How far a text got."""

    WAITING = "waiting"
    """From the phone, not yet taken by the service."""
    TAKEN = "taken"
    """From the phone, and the service has it."""
    GIVEN_UP = "given up"
    """From the phone, and the service would not take it."""
    DELIVERED = "delivered"
    """To the phone, and on it."""


@dataclass(frozen=True, slots=True)
class Line:
    """One text of a conversation. `at` is the carrier's time, or the one that the phone was given."""

    direction: Direction
    text: str
    at: datetime
    id: str
    state: State


@dataclass(frozen=True, slots=True)
class Receipt:
    """Where a receipt is wanted, and what is to be said back in it."""

    notify_url: str
    callback_data: str | None


@dataclass(frozen=True, slots=True)
class Request:
    """An outbound request that holds: addresses in E.164, without repeats."""

    sender: str
    addresses: tuple[str, ...]
    text: str
    correlator: str | None = None
    receipt: Receipt | None = None


class Carrier:
    """Everything that the stand-in remembers; lost when it ends. Safe to use from several threads.

    `number` is the service's own, the one that phones write to; what they write is posted to
    `notify_url`.
    """

    def __init__(self, clock: Clock, poster: Poster, notify_url: str, number: str) -> None:
        self.weather = Weather()
        self._clock = clock
        self._poster = poster
        self._notify_url = notify_url
        self._number = number
        self._lock = threading.Lock()
        self._conversations: dict[str, list[Line]] = {}
        self._requests: dict[str, Request] = {}
        self._correlators: set[tuple[str, str]] = set()

    def deliver(self, request: Request) -> str | None:
        """Bring a request's text to its phones and give the request's id.

        None where the sender used the correlator before: nothing is delivered a second time.
        """
        # Not a counter: a service that outlives this process must never meet an id again.
        request_id = f"req-{uuid.uuid4().hex}"
        line = Line(Direction.IN, request.text, self._now(), request_id, State.DELIVERED)
        with self._lock:
            if request.correlator is not None:
                key = (request.sender, request.correlator)
                if key in self._correlators:
                    return None
                self._correlators.add(key)
            self._requests[request_id] = request
            for address in request.addresses:
                self._conversations.setdefault(address, []).append(line)
        if request.receipt is not None:
            self._send_receipts(request.addresses, request.receipt)
        return request_id

    def request(self, sender: str, request_id: str) -> Request | None:
        """Give a sender's request by its id, None if there is none."""
        with self._lock:
            request = self._requests.get(request_id)
        return request if request is not None and request.sender == sender else None

    def text_from(self, phone: str, text: str, at: datetime | None = None) -> str:
        """Send a text from a phone to the service, sent at `at` (default: now); gives its messageId."""
        message_id = f"msg-{uuid.uuid4().hex}"
        sent_at = (at or self._now()).astimezone(UTC)
        with self._lock:
            lines = self._conversations.setdefault(phone, [])
            place = len(lines)
            lines.append(Line(Direction.OUT, text, sent_at, message_id, State.WAITING))

            def settled(taken: bool) -> None:
                with self._lock:
                    lines[place] = replace(lines[place], state=State.TAKEN if taken else State.GIVEN_UP)

            body = {
                "inboundSMSMessageNotification": {
                    "inboundSMSMessage": {
                        "dateTime": sent_at.isoformat().replace("+00:00", "Z"),
                        "destinationAddress": f"tel:{self._number}",
                        "messageId": message_id,
                        "message": text,
                        "senderAddress": f"tel:{phone}",
                    }
                }
            }
            copies = 2 if self.weather.inbound_twice else 1
            # Still under the lock: the lane has the order of the conversation.
            self._poster.post(f"texts of {phone}", Post(self._notify_url, body, copies, settled))
        return message_id

    def phones(self) -> tuple[str, ...]:
        """Give the numbers that have a conversation, in order."""
        with self._lock:
            return tuple(sorted(self._conversations))

    def conversation(self, phone: str, after: int = 0) -> tuple[Line, ...]:
        """Give a phone's texts, oldest first, without the first `after` of them."""
        with self._lock:
            return tuple(self._conversations.get(phone, ())[after:])

    def _now(self) -> datetime:
        # Networks stamp texts to the second.
        return self._clock().replace(microsecond=0)

    def _send_receipts(self, addresses: tuple[str, ...], receipt: Receipt) -> None:
        if self.weather.receipts is ReceiptWeather.NONE:
            return
        copies = 2 if self.weather.receipts is ReceiptWeather.TWICE else 1
        for address in addresses:
            notification: dict[str, object] = {
                "deliveryInfo": {"address": f"tel:{address}", "deliveryStatus": DELIVERED}
            }
            if receipt.callback_data is not None:
                notification["callbackData"] = receipt.callback_data
            body: Mapping[str, object] = {"deliveryInfoNotification": notification}
            post = Post(receipt.notify_url, body, copies, lambda _taken: None)
            self._poster.post(f"receipts for {address}", post)
