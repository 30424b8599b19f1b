"""The stand-in carrier as a real process, with the real gateway client before it and a real hook behind."""

import json
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import httpx
import pytest

from bot.gateways import (
    Accepted,
    DeliveryStatus,
    GatewayRefused,
    GatewayUnreachable,
    NumberRefused,
    Outgoing,
)
from bot.settings import tell_clock
from tests.standin_process import (
    PATIENCE_S,
    ROOT,
    SERVICE,
    Hook,
    StandIn,
    eventually,
    gateway_to,
    own_carrier,
)


@pytest.fixture(scope="module")
def shared() -> Iterator[tuple[Hook, StandIn]]:
    hook = Hook()
    carrier = StandIn(f"{hook.url}/in")
    yield hook, carrier
    status, said = carrier.end()
    hook.close()
    assert (status, said) == (0, "")


_numbers = iter(range(120, 199))


@pytest.fixture
def phone() -> str:
    """A phone that no other test has used: the carrier is shared, conversations are not."""
    return f"+12705550{next(_numbers)}"


@pytest.fixture
def hook(shared: tuple[Hook, StandIn]) -> Hook:
    return shared[0]


@pytest.fixture
def carrier(shared: tuple[Hook, StandIn]) -> Iterator[StandIn]:
    yield shared[1]
    shared[0].unwilling = 0
    shared[1].weather()


# Texts to phones


def test_a_text_comes_to_its_phone(carrier: StandIn, phone: str) -> None:
    with gateway_to(carrier) as gateway:
        accepted = gateway.send(Outgoing(phone, "121: ¿listo? 1 of 10 in.", "reply-1"))
    (line,) = carrier.conversation(phone)
    assert (line["direction"], line["text"], line["state"]) == ("in", "121: ¿listo? 1 of 10 in.", "delivered")
    assert accepted.reference is not None
    assert accepted.reference.endswith(line["id"])
    assert phone in carrier.http.get("/phones").json()


def test_the_reference_tells_what_became_of_the_text(carrier: StandIn, phone: str) -> None:
    with gateway_to(carrier) as gateway:
        accepted = gateway.send(Outgoing(phone, "DONE.", "reply-2"))
    assert accepted.reference is not None
    told = carrier.http.get(f"{accepted.reference}/deliveryInfos").json()
    assert told["deliveryInfoList"]["deliveryInfo"] == [
        {"address": f"tel:{phone}", "deliveryStatus": "DeliveredToTerminal"}
    ]
    assert carrier.http.get(f"{accepted.reference}0/deliveryInfos").status_code == 404


def test_a_receipt_follows_with_our_correlator(carrier: StandIn, hook: Hook, phone: str) -> None:
    with gateway_to(carrier, hook) as gateway:
        gateway.send(Outgoing(phone, "DONE.", "receipt-1"))
    (notice,) = eventually(lambda: hook.receipts_of("receipt-1"))
    assert (notice.address, notice.status) == (phone, DeliveryStatus.DELIVERED_TO_TERMINAL)


def test_a_receipt_is_repeated_until_the_hook_takes_it(carrier: StandIn, hook: Hook, phone: str) -> None:
    hook.unwilling = 2
    with gateway_to(carrier, hook) as gateway:
        gateway.send(Outgoing(phone, "DONE.", "receipt-2"))
    assert len(eventually(lambda: hook.receipts_of("receipt-2"))) == 1
    assert len(hook.bodies("/delivery", status=503)) == 2


def test_the_same_correlator_again_is_accepted_and_not_delivered_again(carrier: StandIn, phone: str) -> None:
    with gateway_to(carrier) as gateway:
        gateway.send(Outgoing(phone, "DONE.", "reply-3"))
        assert gateway.send(Outgoing(phone, "DONE.", "reply-3")) == Accepted(None)
    assert len(carrier.conversation(phone)) == 1


@pytest.mark.parametrize("number", ["+10000000000", "+1270555019", "12705550", "72345"])
def test_no_number_that_could_be_real_is_reached(carrier: StandIn, number: str) -> None:
    with gateway_to(carrier) as gateway, pytest.raises(NumberRefused) as raised:
        gateway.send(Outgoing(number, "DONE.", f"to-{number}"))
    assert raised.value.code == "SVC0004"
    assert carrier.http.post(f"/phones/{number}/texts", json={"text": "121"}).status_code == 404
    assert number not in carrier.http.get("/phones").json()


def test_a_text_of_more_than_ten_parts_is_refused(carrier: StandIn, phone: str) -> None:
    with gateway_to(carrier) as gateway, pytest.raises(GatewayRefused) as raised:
        gateway.send(Outgoing(phone, "9" * 1601, "long-1"))
    assert (raised.value.code, raised.value.said) == (
        "SVC0280",
        "Message too long. Maximum length is 1600 characters",
    )


def post_as_standard(
    carrier: StandIn, request: object, sender: str = "tel%3A%2B12705550100"
) -> httpx.Response:
    url = f"/1/smsmessaging/outbound/{sender}/requests"
    return carrier.http.post(url, json={"outboundSMSMessageRequest": request})


@pytest.mark.parametrize(
    ("changed", "code", "variables"),
    [
        ({"outboundSMSTextMessage": None}, "SVC0002", ["message"]),
        ({"outboundSMSTextMessage": {"message": ""}}, "SVC0002", ["message"]),
        ({"senderAddress": None}, "SVC0002", ["senderAddress"]),
        ({"senderAddress": "tel:+12705550101"}, "SVC0002", ["senderAddress"]),
        ({"address": None}, "SVC0004", ["address"]),
        ({"address": []}, "SVC0004", ["address"]),
        ({"address": ["tel:+12705550113", "tel:+12705559113"]}, "SVC0004", ["address"]),
        ({"receiptRequest": {"notifyURL": "https://rowfoot.example/delivery"}}, "SVC0002", ["notifyURL"]),
        ({"receiptRequest": {"notifyURL": "http://127.0.0.1:x/"}}, "SVC0002", ["notifyURL"]),
    ],
    ids=lambda value: json.dumps(value) if isinstance(value, dict) else None,
)
def test_a_request_that_is_not_the_standards_is_told_so(
    carrier: StandIn, changed: dict[str, object], code: str, variables: list[str]
) -> None:
    request = {
        "address": ["tel:+12705550113"],
        "senderAddress": f"tel:{SERVICE}",
        "outboundSMSTextMessage": {"message": "DONE."},
    }
    answer = post_as_standard(carrier, request | changed)
    assert answer.status_code == 400
    fault = answer.json()["requestError"]["serviceException"]
    assert (fault["messageId"], fault["variables"]) == (code, variables)
    assert carrier.conversation("+12705550113") == []


def test_a_body_that_is_no_json_is_told_so(carrier: StandIn) -> None:
    url = "/1/smsmessaging/outbound/tel%3A%2B12705550100/requests"
    for posted in (b"", b"[", b"[]", b'{"outboundSMSMessageRequest": 7}'):
        answer = carrier.http.post(url, content=posted, headers={"Content-Type": "application/json"})
        assert answer.json()["requestError"]["serviceException"]["messageId"] == "SVC0002"


def test_a_form_is_a_request_too(carrier: StandIn, phone: str) -> None:
    # The same request as a form post: GSMA SMS RESTful API (API v2, document 1.3).
    other = f"+12705550{next(_numbers)}"
    form = {
        "address": [f"tel:{phone}", other],
        "senderAddress": SERVICE,
        "message": "Ride at 7.",
        "callbackData": "x",
    }
    answer = carrier.http.post("/v2/smsmessaging/outbound/tel%3A%2B12705550100/requests", data=form)
    assert answer.status_code == 201
    assert answer.headers["Location"] == answer.json()["resourceReference"]["resourceURL"]
    assert [carrier.conversation(p)[0]["text"] for p in (phone, other)] == ["Ride at 7."] * 2


# Weather


def test_a_busy_carrier_takes_nothing(carrier: StandIn, phone: str) -> None:
    carrier.weather(outbound="busy")
    with gateway_to(carrier) as gateway, pytest.raises(GatewayUnreachable) as raised:
        gateway.send(Outgoing(phone, "DONE.", "busy-1"))
    assert raised.value.code == "SVC1000"
    assert carrier.conversation(phone) == []


@pytest.mark.parametrize("outbound", ["slow", "drop"])
def test_a_text_without_an_answer_may_have_gone_and_is_safe_to_send_again(
    carrier: StandIn, phone: str, outbound: str
) -> None:
    carrier.weather(outbound=outbound)
    with gateway_to(carrier, timeout_s=1) as gateway:
        with pytest.raises(GatewayUnreachable):
            gateway.send(Outgoing(phone, "DONE.", f"{outbound}-1"))
        carrier.weather()
        assert gateway.send(Outgoing(phone, "DONE.", f"{outbound}-1")) == Accepted(None)
    assert len(carrier.conversation(phone)) == 1


def test_a_carrier_without_receipts_still_takes_the_text(carrier: StandIn, hook: Hook, phone: str) -> None:
    carrier.weather(receipts="unsupported")
    with gateway_to(carrier, hook) as gateway:
        gateway.send(Outgoing(phone, "DONE.", "unsupported-1"))
    assert len(carrier.conversation(phone)) == 1
    assert hook.receipts_of("unsupported-1") == []


def test_receipts_may_come_twice_or_never(carrier: StandIn, hook: Hook, phone: str) -> None:
    with gateway_to(carrier, hook) as gateway:
        carrier.weather(receipts="none")
        gateway.send(Outgoing(phone, "DONE.", "none-1"))
        carrier.weather(receipts="twice")
        gateway.send(Outgoing(phone, "DONE.", "twice-1"))
    # Receipts for one phone come in order, so the first text's would be here by now.
    eventually(lambda: len(hook.receipts_of("twice-1")) == 2)
    assert hook.receipts_of("none-1") == []


@pytest.mark.parametrize(
    "told", [{"outbound": "hail"}, {"hail": True}, {"inbound_twice": 1}, {"receipts": []}, 7]
)
def test_an_unknown_weather_is_refused(carrier: StandIn, told: object) -> None:
    before = carrier.http.get("/weather").json()
    assert carrier.http.put("/weather", json=told).status_code == 400
    assert carrier.http.get("/weather").json() == before


# Texts from phones


def test_what_a_phone_sends_comes_to_the_hook_as_the_standard_writes_it(
    carrier: StandIn, hook: Hook, phone: str
) -> None:
    message_id = carrier.text(phone, "121 3 F4 ¿5?", at="2026-07-06T09:05:31-05:00")
    (text,) = eventually(lambda: hook.texts_of(phone))
    assert (text.message_id, text.text, text.recipient) == (message_id, "121 3 F4 ¿5?", SERVICE)
    assert text.sent_at == datetime(2026, 7, 6, 14, 5, 31, tzinfo=UTC)
    line = eventually(lambda: [one for one in carrier.conversation(phone) if one["state"] == "taken"])[0]
    assert line == {
        "direction": "out",
        "text": "121 3 F4 ¿5?",
        "at": "2026-07-06T14:05:31+00:00",
        "id": message_id,
        "state": "taken",
    }


def test_a_text_without_a_time_was_sent_now(carrier: StandIn, hook: Hook, phone: str) -> None:
    carrier.text(phone, "121")
    (text,) = eventually(lambda: hook.texts_of(phone))
    assert text.sent_at is not None
    assert abs((datetime.now(UTC) - text.sent_at).total_seconds()) < PATIENCE_S


def test_texts_are_repeated_until_taken_and_keep_their_order(
    carrier: StandIn, hook: Hook, phone: str
) -> None:
    hook.unwilling = 3
    ids = [carrier.text(phone, f"121 {sample}") for sample in range(1, 8)]
    eventually(lambda: len(hook.texts_of(phone)) == 7)
    assert [text.message_id for text in hook.texts_of(phone)] == ids
    # Only the first was refused; those behind it waited.
    assert {text.message_id for text in hook.texts_of(phone, status=503)} == {ids[0]}


def test_a_phone_that_waits_does_not_hold_up_another(hook: Hook) -> None:
    with own_carrier("http://127.0.0.1:9/nobody") as carrier:
        carrier.text("+12705550111", "121 1")
        carrier.text("+12705550112", "122 1")
        with gateway_to(carrier, hook) as gateway:
            gateway.send(Outgoing("+12705550111", "DONE.", "beside-1"))
        eventually(lambda: hook.receipts_of("beside-1"))
        assert carrier.conversation("+12705550112")[0]["state"] == "waiting"


def test_a_text_may_come_twice_under_one_id(carrier: StandIn, hook: Hook, phone: str) -> None:
    carrier.weather(inbound_twice=True)
    message_id = carrier.text(phone, "121 3")
    eventually(lambda: len(hook.texts_of(phone)) == 2)
    assert {text.message_id for text in hook.texts_of(phone)} == {message_id}
    assert len(carrier.conversation(phone)) == 1


def test_a_phone_may_send_what_is_hard_to_write(carrier: StandIn, hook: Hook, phone: str) -> None:
    answer = carrier.http.post(
        f"/phones/{phone}/texts",
        content=rb'{"text": "\ud83d 121 \u0000"}',
        headers={"Content-Type": "application/json"},
    )
    assert answer.status_code == 202
    (text,) = eventually(lambda: hook.texts_of(phone))
    assert text.text == "\ufffd 121 \ufffd"


@pytest.mark.parametrize(
    "told",
    [
        None,
        [],
        {},
        {"text": 121},
        {"text": "121", "at": 7},
        {"text": "121", "at": "noon"},
        {"text": "121", "at": "2026-07-06T09:05:31"},
    ],
)
def test_a_text_that_makes_no_sense_is_not_sent(carrier: StandIn, phone: str, told: object) -> None:
    answer = carrier.http.post(f"/phones/{phone}/texts", json=told)
    assert answer.status_code == 400
    assert answer.json()["error"]
    assert carrier.conversation(phone) == []


def test_a_conversation_is_read_on_from_where_one_left(carrier: StandIn, hook: Hook, phone: str) -> None:
    carrier.text(phone, "121 3")
    with gateway_to(carrier) as gateway:
        gateway.send(Outgoing(phone, "121: 1 of 10 in.", "page-1"))
    assert [(line["direction"], line["text"]) for line in carrier.conversation(phone)] == [
        ("out", "121 3"),
        ("in", "121: 1 of 10 in."),
    ]
    assert [line["text"] for line in carrier.conversation(phone, after=1)] == ["121: 1 of 10 in."]
    assert carrier.conversation(phone, after=2) == []
    assert carrier.http.get(f"/phones/{phone}", params={"after": "-1"}).status_code == 400
    eventually(lambda: hook.texts_of(phone))


# The process


def run_standin(*options: str) -> subprocess.CompletedProcess[bytes]:
    """Run a stand-in that is expected to end by itself."""
    command = [sys.executable, "-m", "bot.standin", *options]
    return subprocess.run(command, cwd=ROOT, capture_output=True, timeout=PATIENCE_S, check=False)


def test_its_clock_may_be_shown_by_a_file_and_its_number_chosen(hook: Hook, tmp_path: Path) -> None:
    clock = tmp_path / "clock.json"
    tell_clock(clock, datetime(2026, 7, 6, 14, 0, tzinfo=UTC))
    with own_carrier(f"{hook.url}/in", "--clock", str(clock), "--number", "+1 270 555 0101") as carrier:
        carrier.text("+12705550119", "121")
        (text,) = eventually(lambda: hook.texts_of("+12705550119"))
    assert text.recipient == "+12705550101"
    assert text.sent_at is not None
    assert 0 <= (text.sent_at - datetime(2026, 7, 6, 14, 0, tzinfo=UTC)).total_seconds() < PATIENCE_S


@pytest.mark.parametrize("by", [signal.SIGTERM, signal.SIGINT])
def test_it_ends_quietly_even_with_texts_that_nobody_takes(by: signal.Signals) -> None:
    carrier = StandIn("http://127.0.0.1:9/nobody")
    carrier.text("+12705550111", "121 3")
    began = time.monotonic()
    assert carrier.end(by) == (0, "")
    assert time.monotonic() - began < 5


def test_it_ends_quietly_while_a_hook_keeps_it_waiting() -> None:
    with socket.create_server(("127.0.0.1", 0)) as silent:
        carrier = StandIn(f"http://127.0.0.1:{silent.getsockname()[1]}/in")
        carrier.text("+12705550111", "121 3")
        held, _ = silent.accept()
        with held:
            began = time.monotonic()
            assert carrier.end() == (0, "")
            assert time.monotonic() - began < 5


def test_a_port_that_is_taken_is_told_in_one_line(carrier: StandIn) -> None:
    port = str(httpx.URL(carrier.url).port)
    ran = run_standin("--port", port, "--notify-url", "http://127.0.0.1:8420/in")
    assert ran.returncode == 1
    assert ran.stderr.count(b"\n") == 1


def test_it_hears_only_this_machine(carrier: StandIn) -> None:
    port = httpx.URL(carrier.url).port
    assert port is not None
    # Whoever listened on every address would be heard on this one too.
    with pytest.raises(OSError, match=r"refused|assign|timed out"):
        socket.create_connection(("127.0.0.2", port), timeout=1).close()


@pytest.mark.parametrize(
    "options",
    [
        [], ["--notify-url", "https://rowfoot.example/in"], ["--notify-url", "http://127.0.0.1@rowfoot.example/"],
        ["--notify-url", "http://127.0.0.1:8420/in", "--number", "+10000000000"],
    ],
    ids=["no hook", "a hook elsewhere", "a hook elsewhere in disguise", "a number that could be real"],
)  # fmt: skip
def test_it_will_not_start_where_it_could_reach_people(options: list[str]) -> None:
    ran = run_standin(*options)
    assert ran.returncode == 2
    assert b"Traceback" not in ran.stderr
