"""Sending through a gateway that speaks the OMA/GSMA REST short-message interface.

Source: GSMA SMS RESTful API (API v2, document 1.3); OMA-TS-REST_NetAPI_ShortMessaging V1.0.
"""

from dataclasses import dataclass, field
from urllib.parse import quote

import httpx

from bot.gateways.addresses import uri_of
from bot.gateways.answers import RECEIPTS_NOT_SUPPORTED, read_answer
from bot.gateways.errors import GatewayRefused, GatewayUnreachable
from bot.gateways.gateway import Accepted, Outgoing


@dataclass(frozen=True, slots=True)
class OmaSettings:
    """Where the gateway is and who we are to it.

    `root` is the URL before the version, `sender` our number in E.164 or our short code. `notify_url` is
    where receipts are to be posted; None asks for none. Basic (`user`, `password`) or a bearer `token`
    shows who we are, not both. Raises `ValueError` for settings that cannot work.
    """

    root: str
    sender: str
    version: str = "1"
    notify_url: str | None = field(default=None, repr=False)  # the hook's secret is in its path
    user: str | None = None
    password: str | None = field(default=None, repr=False)
    token: str | None = field(default=None, repr=False)
    timeout_s: float = 10

    def __post_init__(self) -> None:
        if not self.root.startswith(("http://", "https://")):
            raise ValueError("the gateway's root must begin with http:// or https://")
        if self.user is not None and self.token is not None:
            raise ValueError("the gateway takes a user with a password, or a token, not both")


class OmaGateway:
    """A gateway of the standard. Safe to use from several threads at once; `close` it when done.

    A gateway that answers that it has no receipts (SVC0283) is asked for none from then on.
    """

    def __init__(self, settings: OmaSettings, transport: httpx.BaseTransport | None = None) -> None:
        self._sender = uri_of(settings.sender)
        self._notify_url = settings.notify_url
        self._url = (
            f"{settings.root.rstrip('/')}/{quote(settings.version, safe='')}"
            f"/smsmessaging/outbound/{quote(self._sender, safe='')}/requests"
        )
        headers = {"Accept": "application/json"}
        if settings.token is not None:
            headers["Authorization"] = f"Bearer {settings.token}"
        self._client = httpx.Client(
            auth=None if settings.user is None else (settings.user, settings.password or ""),
            headers=headers,
            timeout=settings.timeout_s,
            transport=transport,
        )
        # Only ever goes from asking to not asking, so threads need no lock for it.
        self._asks_receipts = settings.notify_url is not None

    def send(self, message: Outgoing) -> Accepted:
        """Hand one text to the gateway.

        Raises `GatewayUnreachable`, `GatewaySuspended`, `GatewayRefused` or `NumberRefused`. After
        `GatewayUnreachable` the text may have been taken all the same; the same correlator again is safe.
        """
        asking = self._asks_receipts
        try:
            return self._post(message, asking)
        except GatewayRefused as refused:
            if not asking or refused.code != RECEIPTS_NOT_SUPPORTED:
                raise
        self._asks_receipts = False
        return self._post(message, asking=False)

    def close(self) -> None:
        """Let go of connections; nothing can be sent afterwards."""
        self._client.close()

    def _post(self, message: Outgoing, asking: bool) -> Accepted:
        request: dict[str, object] = {
            "address": [uri_of(message.to)],
            "senderAddress": self._sender,
            "outboundSMSTextMessage": {"message": message.text},
            "clientCorrelator": message.correlator,
        }
        if asking:
            request["receiptRequest"] = {
                "notifyURL": self._notify_url,
                # A notice carries no message id: this is all that ties it to the text.
                "callbackData": message.correlator,
                "notificationFormat": "JSON",
            }
        try:
            response = self._client.post(self._url, json={"outboundSMSMessageRequest": request})
        except httpx.TimeoutException as error:
            raise GatewayUnreachable("no answer in time") from error
        except httpx.HTTPError as error:
            raise GatewayUnreachable("no connection, or it broke") from error
        return read_answer(response.status_code, response.headers.get("Location"), response.content)
