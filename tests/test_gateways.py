"""Sending through a gateway, against the standard. What gateways post to us: test_gateways_notices.

Sources: "GSMA SMS RESTful API" (API v2, document 1.3) and OMA-TS-REST_NetAPI_ShortMessaging V1.0 for
shapes; OMA's registry of service and policy exception codes with GSMA's list of common exceptions for the
table of errors. Bodies are in fixtures/gateway.
"""

import base64
import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest

from bot.gateways import (
    Accepted,
    Gateway,
    GatewayError,
    GatewayRefused,
    GatewaySuspended,
    GatewayUnreachable,
    MalformedNotice,
    NumberRefused,
    OmaGateway,
    OmaSettings,
    Outgoing,
)

FIXTURES = Path(__file__).resolve().parent.parent / "fixtures" / "gateway"

SERVICE = "+12705550100"
SCOUT = "+12705550111"
MESSAGE = Outgoing(SCOUT, "121: 1 of 10 in. FA 3/sample.", "reply-17")
SETTINGS = OmaSettings("https://gateway.example", SERVICE)
ASKING = OmaSettings(
    "https://gateway.example", SERVICE, notify_url="https://rowfoot.example/hooks/s/delivery"
)
RESOURCE = "https://gateway.example/1/smsmessaging/outbound/tel%3A%2B12705550100/requests/req-789"

Answer = Callable[[httpx.Request], httpx.Response]


def body(name: str) -> bytes:
    return (FIXTURES / f"{name}.json").read_bytes()


def service_fault(code: str, text: str = "no") -> dict[str, object]:
    kind = "policyException" if code.startswith("POL") else "serviceException"
    return {"requestError": {kind: {"messageId": code, "text": text, "variables": []}}}


@contextmanager
def gateway_that(answer: Answer, settings: OmaSettings = SETTINGS) -> Iterator[Gateway]:
    gateway = OmaGateway(settings, httpx.MockTransport(answer))
    try:
        yield gateway
    finally:
        gateway.close()


def send_to(answer: Answer, settings: OmaSettings = SETTINGS) -> Accepted:
    with gateway_that(answer, settings) as gateway:
        return gateway.send(MESSAGE)


def request_of(settings: OmaSettings, message: Outgoing = MESSAGE) -> httpx.Request:
    seen: list[httpx.Request] = []

    def answer(request: httpx.Request) -> httpx.Response:
        seen.append(request)
        return httpx.Response(201)

    with gateway_that(answer, settings) as gateway:
        gateway.send(message)
    (request,) = seen
    return request


# What we send


def test_a_text_leaves_as_the_standard_writes_it() -> None:
    request = request_of(ASKING)
    assert request.method == "POST"
    assert request.url.raw_path == b"/1/smsmessaging/outbound/tel%3A%2B12705550100/requests"
    assert request.headers["Content-Type"] == "application/json"
    assert json.loads(request.content) == {
        "outboundSMSMessageRequest": {
            "address": ["tel:+12705550111"],
            "senderAddress": "tel:+12705550100",
            "outboundSMSTextMessage": {"message": "121: 1 of 10 in. FA 3/sample."},
            "clientCorrelator": "reply-17",
            "receiptRequest": {
                "notifyURL": "https://rowfoot.example/hooks/s/delivery",
                "callbackData": "reply-17",
                "notificationFormat": "JSON",
            },
        }
    }


def test_without_a_hook_no_receipt_is_asked_for() -> None:
    assert "receiptRequest" not in json.loads(request_of(SETTINGS).content)["outboundSMSMessageRequest"]


def test_letters_of_spanish_arrive_as_utf_8() -> None:
    request = request_of(SETTINGS, Outgoing(SCOUT, "¿121 está listo?", "reply-18"))
    assert "¿121 está listo?".encode() in request.content


@pytest.mark.parametrize(
    ("settings", "url"),
    [
        (OmaSettings("https://gateway.example/", SERVICE), RESOURCE.removesuffix("/req-789")),
        (
            OmaSettings("https://gateway.example/api/sms", SERVICE, "v2"),
            "https://gateway.example/api/sms/v2/smsmessaging/outbound/tel%3A%2B12705550100/requests",
        ),
        (
            OmaSettings("https://gateway.example", "72345"),
            "https://gateway.example/1/smsmessaging/outbound/tel%3A72345/requests",
        ),
    ],
    ids=["slash at the end", "deep root and another version", "short code"],
)
def test_root_version_and_sender_make_the_address(settings: OmaSettings, url: str) -> None:
    assert str(request_of(settings).url) == url


@pytest.mark.parametrize(
    ("settings", "shown"),
    [
        (SETTINGS, None),
        (
            OmaSettings("https://gateway.example", SERVICE, user="rowfoot", password="boll"),  # noqa: S106  invented
            "Basic " + base64.b64encode(b"rowfoot:boll").decode(),
        ),
        (
            OmaSettings("https://gateway.example", SERVICE, token="square"),  # noqa: S106  invented
            "Bearer square",
        ),
    ],
    ids=["nothing", "Basic", "bearer token"],
)
def test_we_show_who_we_are_as_the_settings_say(settings: OmaSettings, shown: str | None) -> None:
    assert request_of(settings).headers.get("Authorization") == shown


def test_settings_that_cannot_work_are_refused_at_once() -> None:
    with pytest.raises(ValueError, match="root"):
        OmaSettings("gateway.example", SERVICE)
    with pytest.raises(ValueError, match="not both"):
        OmaSettings("https://gateway.example", SERVICE, user="rowfoot", token="square")  # noqa: S106  invented


def test_settings_in_a_log_keep_their_secrets() -> None:
    settings = OmaSettings(
        "https://gateway.example",
        SERVICE,
        notify_url="https://h.example/hooks/hush",
        password="hush",  # noqa: S106
    )
    assert "hush" not in repr(settings)


# What the gateway answers


@pytest.mark.parametrize(
    ("response", "reference"),
    [
        (httpx.Response(201, content=body("answer-reference"), headers={"Location": RESOURCE}), RESOURCE),
        (httpx.Response(201, content=body("answer-reference")), RESOURCE),
        (httpx.Response(201, content=body("answer-request")), RESOURCE),
        (httpx.Response(201, content=body("answer-request-info-object")), RESOURCE),
        (httpx.Response(201, headers={"Location": RESOURCE}), RESOURCE),
        (httpx.Response(201), None),
        (httpx.Response(200, json={"deliveryInfoList": {"deliveryInfo": {"address": "tel:1"}}}), None),
        (httpx.Response(202, text="<html>thank you</html>"), None),
        (httpx.Response(204), None),
    ],
    ids=[
        "Location and reference", "reference only", "the request again", "the request again, info as object",
        "Location only", "nothing", "200 with other JSON", "no JSON", "204",
    ],
)  # fmt: skip
def test_an_acceptance_is_known_in_each_of_its_shapes(
    response: httpx.Response, reference: str | None
) -> None:
    assert send_to(lambda _: response) == Accepted(reference)


@pytest.mark.parametrize(
    "response",
    [
        httpx.Response(409, json=service_fault("SVC0005")),
        httpx.Response(400, json=service_fault("SVC0005")),
        httpx.Response(409),
    ],
    ids=["SVC0005", "SVC0005 with 400", "bare 409"],
)
def test_a_text_that_the_gateway_had_already_counts_as_sent(response: httpx.Response) -> None:
    assert send_to(lambda _: response) == Accepted(None)


ERRORS: list[tuple[str, int, type[GatewayError]]] = [
    ("SVC0001", 400, GatewayUnreachable),
    ("SVC0001", 500, GatewayUnreachable),
    ("SVC0002", 400, GatewayRefused),
    ("SVC0003", 400, GatewayRefused),
    ("SVC0003", 401, GatewaySuspended),
    ("SVC0004", 400, NumberRefused),
    ("SVC0004", 404, NumberRefused),
    ("SVC0006", 400, GatewayRefused),
    ("SVC0007", 400, GatewayRefused),
    ("SVC0008", 400, GatewayRefused),
    ("SVC0280", 400, GatewayRefused),
    ("SVC0280", 403, GatewayRefused),
    ("SVC0283", 400, GatewayRefused),
    ("SVC1000", 503, GatewayUnreachable),
    ("SVC2001", 503, GatewayUnreachable),
    ("SVC2000", 400, GatewayRefused),
    ("SVC2000", 500, GatewayUnreachable),
    ("SVC2002", 400, GatewayRefused),
    ("SVC2003", 400, GatewaySuspended),
    ("SVC2003", 401, GatewaySuspended),
    ("POL0001", 403, GatewaySuspended),
    ("POL0002", 403, NumberRefused),
    ("POL0003", 403, GatewayRefused),
    *((f"POL{number:04}", status, GatewayRefused) for number in range(4, 14) for status in (400, 403, 404)),
    ("POL1009", 403, GatewaySuspended),
    ("POL1010", 403, GatewaySuspended),
]
"""Row by row the exceptions of OMA's registry and of GSMA's list, with the HTTP codes named there."""


@pytest.mark.parametrize(("code", "status", "kind"), ERRORS)
def test_each_code_of_the_standard_has_one_meaning(code: str, status: int, kind: type[GatewayError]) -> None:
    with pytest.raises(GatewayError) as raised:
        send_to(lambda _: httpx.Response(status, json=service_fault(code)))
    assert type(raised.value) is kind
    assert raised.value.code == code


@pytest.mark.parametrize(
    ("status", "kind"),
    [
        (301, GatewaySuspended), (400, GatewayRefused), (401, GatewaySuspended), (403, GatewaySuspended),
        (404, GatewaySuspended), (405, GatewaySuspended), (408, GatewayUnreachable), (413, GatewayRefused),
        (429, GatewayUnreachable), (500, GatewayUnreachable), (502, GatewayUnreachable),
        (503, GatewayUnreachable),
    ],
)  # fmt: skip
@pytest.mark.parametrize("code", [None, "SVC9876", "POL9876"])
def test_an_unknown_code_or_none_is_judged_by_the_status(
    status: int, code: str | None, kind: type[GatewayError]
) -> None:
    answer = (
        httpx.Response(status, json=service_fault(code)) if code else httpx.Response(status, text="sorry")
    )
    with pytest.raises(GatewayError) as raised:
        send_to(lambda _: answer)
    assert type(raised.value) is kind
    assert raised.value.code == code


@pytest.mark.parametrize(
    ("kind", "retry"),
    [
        (GatewayUnreachable, True), (GatewaySuspended, True), (GatewayRefused, False), (NumberRefused, False),
        (MalformedNotice, False),
    ],
)  # fmt: skip
def test_only_what_may_pass_is_tried_again(kind: type[GatewayError], retry: bool) -> None:
    assert kind("so").retry is retry


@pytest.mark.parametrize(
    ("name", "code", "said"),
    [
        ("error-service", "SVC0002", "Invalid input value for message part address"),
        ("error-policy", "POL0003", "Too many addresses specified in message part address"),
        ("error-variables-string", "SVC0002", "Invalid input value for message part address"),
        ("error-no-variables", "SVC0002", "Invalid input value for message part %1"),
        ("error-unknown-code", "SVC9876", "The moon is in the wrong house"),
    ],
)
def test_the_gateways_own_sentence_is_kept_for_people(name: str, code: str, said: str) -> None:
    with pytest.raises(GatewayRefused) as raised:
        send_to(lambda _: httpx.Response(400, content=body(name)))
    assert (raised.value.code, raised.value.said) == (code, said)


@pytest.mark.parametrize(
    "error",
    [
        None, 7, [], {}, {"serviceException": None}, {"serviceException": {}},
        {"policyException": {"messageId": 3}},
        {"serviceException": {"messageId": "tel:+12705550111"}},
        {"serviceException": {"messageId": "", "text": ["no"], "variables": {"a": 1}}},
    ],
)  # fmt: skip
def test_a_fault_in_no_known_shape_is_still_a_fault(error: object) -> None:
    with pytest.raises(GatewayRefused) as raised:
        send_to(lambda _: httpx.Response(200, json={"requestError": error}))
    assert raised.value.code is None


def test_an_error_in_a_log_names_no_number() -> None:
    fault = {"messageId": "SVC0004", "text": "No valid address in %1", "variables": ["tel:+12705550111"]}
    with pytest.raises(NumberRefused) as raised:
        send_to(lambda _: httpx.Response(400, json={"requestError": {"serviceException": fault}}))
    assert str(raised.value) == "SVC0004 with HTTP 400"
    assert "5550111" in raised.value.said


@pytest.mark.parametrize(
    "failure",
    [
        httpx.ConnectTimeout("slow"), httpx.ReadTimeout("slow"), httpx.PoolTimeout("slow"),
        httpx.ConnectError("refused"), httpx.ReadError("reset"), httpx.RemoteProtocolError("dropped"),
        httpx.DecodingError("not gzip"),
    ],
    ids=lambda failure: type(failure).__name__,
)  # fmt: skip
def test_a_gateway_that_is_not_there_is_unreachable(failure: httpx.HTTPError) -> None:
    def answer(_: httpx.Request) -> httpx.Response:
        raise failure

    with pytest.raises(GatewayUnreachable) as raised:
        send_to(answer)
    assert raised.value.__cause__ is failure
    assert raised.value.code is None


def test_a_gateway_without_receipts_is_asked_once_and_never_again() -> None:
    asked: list[bool] = []
    correlators: list[str] = []

    def answer(request: httpx.Request) -> httpx.Response:
        told = json.loads(request.content)["outboundSMSMessageRequest"]
        asked.append("receiptRequest" in told)
        correlators.append(told["clientCorrelator"])
        return httpx.Response(400, json=service_fault("SVC0283")) if asked[-1] else httpx.Response(201)

    with gateway_that(answer, ASKING) as gateway:
        gateway.send(MESSAGE)
        gateway.send(Outgoing(SCOUT, "DONE.", "reply-18"))
    assert asked == [True, False, False]
    assert correlators == ["reply-17", "reply-17", "reply-18"]


def test_a_gateway_that_still_complains_of_receipts_refuses() -> None:
    count = 0

    def answer(_: httpx.Request) -> httpx.Response:
        nonlocal count
        count += 1
        return httpx.Response(400, json=service_fault("SVC0283"))

    with pytest.raises(GatewayRefused):
        send_to(answer, ASKING)
    assert count == 2
