"""What a gateway's answer to an outbound request means: accepted, or which of our errors. Pure reading.

Source: OMA's registry of service and policy exception codes, GSMA's list of common exceptions, and GSMA SMS
RESTful API (API v2, document 1.3) for the two shapes of a 201.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from bot.gateways.errors import (
    GatewayError,
    GatewayRefused,
    GatewaySuspended,
    GatewayUnreachable,
    MalformedNotice,
    NumberRefused,
)
from bot.gateways.gateway import Accepted
from bot.gateways.payload import clean, read_json

DUPLICATE_CORRELATOR = "SVC0005"
RECEIPTS_NOT_SUPPORTED = "SVC0283"

MEANINGS: Mapping[str, type[GatewayError]] = {
    "SVC0001": GatewayUnreachable,  # general fault of the service
    "SVC0002": GatewayRefused,  # a bad value
    "SVC0003": GatewayRefused,  # a value outside the list
    "SVC0004": NumberRefused,  # no valid address
    "SVC0006": GatewayRefused,  # bad group
    "SVC0007": GatewayRefused,  # bad charging data
    "SVC0008": GatewayRefused,  # criteria that overlap
    "SVC0280": GatewayRefused,  # text too long
    RECEIPTS_NOT_SUPPORTED: GatewayRefused,
    "SVC1000": GatewayUnreachable,  # no resources (GSMA)
    "SVC2001": GatewayUnreachable,  # no resources (OMA)
    "SVC2003": GatewaySuspended,  # bad access token
    "POL0001": GatewaySuspended,  # policy fault: credit, rate
    "POL0002": NumberRefused,  # privacy check failed
    "POL0003": GatewayRefused,  # too many addresses
    **{f"POL{number:04}": GatewayRefused for number in range(4, 14)},  # notification, groups, charging, media
    "POL1009": GatewaySuspended,  # user not provisioned
    "POL1010": GatewaySuspended,  # user suspended
}
"""What each code means to us. A code that is not here is judged by the HTTP status."""

_NOT_NOW = frozenset({408, 429})
_OUR_SETTINGS = frozenset({401, 403, 404, 405, 407})
"""Statuses that blame who we are or where we knocked, not the text."""

_CODE = re.compile(r"[A-Z]{3}[0-9]{3,5}")
"""A code goes into logs, so nothing else passes for one."""

_PLACEHOLDER = re.compile(r"%([1-9])")


@dataclass(frozen=True, slots=True)
class _Fault:
    """A requestError: its code, and its sentence with the variables filled in."""

    code: str | None
    said: str


def read_answer(status: int, location: str | None, body: bytes) -> Accepted:
    """Give the acceptance that the answer is, or raise the `GatewayError` that it means.

    A duplicate correlator (SVC0005, or a bare 409) is an acceptance: the gateway has the text. A fault
    in the body is believed whatever the status.
    """
    root = _json_or_none(body)
    fault = _fault_in(root)
    code = fault.code if fault else None
    if code == DUPLICATE_CORRELATOR or (status == 409 and code not in MEANINGS):
        return Accepted(location or None)
    if 200 <= status < 300 and fault is None:
        return Accepted(location or _resource_url_in(root))
    reason = f"{code} with HTTP {status}" if code else f"HTTP {status}"
    raise _kind_of(status, code)(reason, code=code, said=fault.said if fault else "")


def _kind_of(status: int, code: str | None) -> type[GatewayError]:
    if status == 401:
        # The GSMA's own code answers a failed log-in with SVC0003, so here the status is believed.
        return GatewaySuspended
    if code is not None and code in MEANINGS:
        return MEANINGS[code]
    if status >= 500 or status in _NOT_NOW:
        return GatewayUnreachable
    if 300 <= status < 400 or status in _OUR_SETTINGS:
        return GatewaySuspended
    return GatewayRefused


def _json_or_none(body: bytes) -> object:
    """Give the JSON of an answer; None for an empty body, a web page, or anything else."""
    try:
        return read_json(body)
    except MalformedNotice:
        return None


def _fault_in(root: object) -> _Fault | None:
    match root:
        case {"requestError": {"serviceException": {**exception}}}:
            pass
        case {"requestError": {"policyException": {**exception}}}:
            pass
        case {"requestError": _}:
            return _Fault(None, "")
        case _:
            return None
    code, text = exception.get("messageId"), exception.get("text")
    return _Fault(
        code if isinstance(code, str) and _CODE.fullmatch(code) else None,
        _filled(text, exception.get("variables")) if isinstance(text, str) else "",
    )


def _filled(text: str, variables: object) -> str:
    """Give the sentence with %1, %2 … replaced; one that has no variable stays as it is."""
    values = variables if isinstance(variables, list) else [variables]

    def value_of(placeholder: re.Match[str]) -> str:
        place = int(placeholder[1]) - 1
        value = values[place] if place < len(values) else None
        return value if isinstance(value, str) else placeholder[0]

    return clean(_PLACEHOLDER.sub(value_of, text))


def _resource_url_in(root: object) -> str | None:
    match root:
        case {"resourceReference": {"resourceURL": str(url)}}:
            return clean(url) or None
        case {"outboundSMSMessageRequest": {"resourceURL": str(url)}}:
            return clean(url) or None
        case _:
            return None
