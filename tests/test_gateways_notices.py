"""What gateways post to us, read against the standard.

Sources: "GSMA SMS RESTful API" (API v2, document 1.3) and OMA-TS-REST_NetAPI_ShortMessaging V1.0 for shapes
and states; the variations are those that operators' posts show. Bodies are in fixtures/gateway.
"""

import json
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot.gateways import (
    DeliveryNotice,
    DeliveryStatus,
    Inbound,
    MalformedNotice,
    read_delivery,
    read_inbound,
)

FIXTURES = Path(__file__).resolve().parent.parent / "fixtures" / "gateway"


def body(name: str) -> bytes:
    return (FIXTURES / f"{name}.json").read_bytes()


SCOUT = "+12705550111"
PLAIN = json.loads(body("in-plain"))["inboundSMSMessageNotification"]["inboundSMSMessage"]
AT = datetime(2026, 7, 6, 14, 5, 31, tzinfo=UTC)


def only(texts: tuple[Inbound, ...]) -> Inbound:
    (text,) = texts
    return text


def test_a_plain_notification_is_a_text() -> None:
    text = only(read_inbound(body("in-plain")))
    assert text.message_id == "msg-000456"
    assert text.sender == "+12705550111"
    assert text.recipient == "+12705550100"
    assert text.text == "121 3 F4 5"
    assert text.sent_at == AT
    assert json.loads(text.raw) == PLAIN


@pytest.mark.parametrize(
    "name",
    [
        "in-no-plus", "in-no-tel", "in-bare-digits", "in-separators", "in-offset", "in-offset-no-colon",
        "in-no-resource-url", "in-no-callback-data", "in-extra-fields", "in-list-one-object",
    ],
)  # fmt: skip
def test_a_variation_means_the_same_text(name: str) -> None:
    plain, varied = only(read_inbound(body("in-plain"))), only(read_inbound(body(name)))
    assert replace(varied, raw=plain.raw) == plain


@pytest.mark.parametrize("name", ["in-array", "in-list"])
def test_several_texts_come_in_their_order(name: str) -> None:
    assert [(t.message_id, t.text) for t in read_inbound(body(name))] == [
        ("msg-000456", "121 3 F4 5"),
        ("msg-000457", "DONE"),
    ]


@pytest.mark.parametrize("name", ["in-list-empty", "in-list-without-array"])
def test_a_list_may_be_empty(name: str) -> None:
    assert read_inbound(body(name)) == ()


@pytest.mark.parametrize("name", ["in-no-zone", "in-no-time", "in-time-nonsense"])
def test_a_time_that_is_not_sure_is_not_guessed(name: str) -> None:
    assert only(read_inbound(body(name))).sent_at is None


def inbound_with(**fields: object) -> bytes:
    return json.dumps({"inboundSMSMessageNotification": {"inboundSMSMessage": PLAIN | fields}}).encode()


@pytest.mark.parametrize(
    ("said", "at"),
    [
        ("2026-07-06T14:05:31-0000", AT),
        ("0001-01-01T00:00:00+14:00", None),
        ("9999-12-31T23:59:59-14:00", None),
        ("2026-07-06T24:61:00Z", None),
        ("2026-07-06", None),
        ("", None),
        (None, None),
        (1_783_000_000, None),
        (["2026-07-06T14:05:31Z"], None),
        ("\ud800", None),
    ],
)
def test_the_time_of_the_network_is_read_with_its_zone(said: object, at: datetime | None) -> None:
    assert only(read_inbound(inbound_with(dateTime=said))).sent_at == at


@pytest.mark.parametrize(
    ("written", "number"),
    [
        ("tel:+12705550111", "+12705550111"),
        ("tel: +1 270 555 0111 ", "+12705550111"),
        ("+1.270.555.0111", "+12705550111"),
        ("tel:+12705550111;ext=5", "+12705550111"),
        ("tel:72345", "72345"),
        ("+72345", "72345"),
        ("2705550111", "2705550111"),
        ("525555550100", "+525555550100"),
        ("+5215555550100", "+525555550100"),
        ("Gin Office", "Gin Office"),
        ("acr:8f2e;ncc=310", "acr:8f2e;ncc=310"),
        ("+0123456789", "+0123456789"),
    ],
)
def test_an_address_is_read_as_gateways_write_it(written: str, number: str) -> None:
    # RFC 3966 for the URI with its separators and parameters; E.164 for what a number is.
    assert only(read_inbound(inbound_with(senderAddress=written))).sender == number


def test_parts_of_a_second_are_kept() -> None:
    at = datetime(2026, 7, 6, 14, 5, 31, 250_000, tzinfo=UTC)
    assert only(read_inbound(body("in-milliseconds"))).sent_at == at


def test_a_short_code_stays_bare() -> None:
    assert only(read_inbound(body("in-short-code"))).recipient == "72345"


def test_an_empty_text_is_a_text() -> None:
    assert only(read_inbound(body("in-empty-text"))).text == ""


def test_spanish_letters_come_through() -> None:
    assert only(read_inbound(body("in-spanish"))).text == "121 3 ¿está bien? ñandú"


def test_an_id_in_digits_is_an_id() -> None:
    assert only(read_inbound(body("in-number-as-id"))).message_id == "456"


def test_a_text_without_id_gets_the_same_one_each_time() -> None:
    first, again = (only(read_inbound(body("in-no-message-id"))).message_id for _ in range(2))
    assert first == again
    assert first.startswith("sha256:")


@pytest.mark.parametrize(
    "other",
    [
        {"senderAddress": "tel:+12705550112"},
        {"destinationAddress": "tel:+12705550101"},
        {"dateTime": "2026-07-06T14:05:32Z"},
        {"message": "121 3 F4 6"},
    ],
    ids=lambda other: next(iter(other)),
)
def test_another_text_without_id_gets_another(other: dict[str, object]) -> None:
    ours = only(read_inbound(inbound_with(messageId=""))).message_id
    assert only(read_inbound(inbound_with(messageId=None, **other))).message_id != ours


def test_an_endless_id_is_kept_short_and_distinct() -> None:
    one, other = (only(read_inbound(inbound_with(messageId="9" * 5000 + end))).message_id for end in "ab")
    assert one != other
    assert len(one) < 100


@pytest.mark.parametrize("character", ["\0", "\ud83d"], ids=["NUL", "half a pair"])
def test_what_no_database_keeps_is_replaced(character: str) -> None:
    text = only(read_inbound(inbound_with(message=f"121{character}3", messageId=f"m{character}1")))
    assert text.text == "121\ufffd3"
    assert text.message_id == "m\ufffd1"
    text.raw.encode("ascii")
    assert "\0" not in text.raw


def test_a_whole_pair_is_one_character() -> None:
    assert only(read_inbound(inbound_with(message="121 3 \U0001f600"))).text == "121 3 \U0001f600"


def test_a_text_in_a_log_shows_no_number_and_no_words() -> None:
    shown = repr(only(read_inbound(body("in-plain"))))
    assert "5550111" not in shown
    assert "F4" not in shown


MALFORMED: dict[str, bytes] = {
    "nothing": b"",
    "no JSON": b"senderAddress=tel%3A%2B12705550111&message=121+3",
    "no text": b"\xff\xfe\xfa",
    "half of it": body("in-plain")[:-20],
    "null": b"null",
    "a string": b'"121 3"',
    "an array": b"[]",
    "an empty object": b"{}",
    "another root": body("delivery-object"),
    "root is null": b'{"inboundSMSMessageNotification": null}',
    "root is an array": b'{"inboundSMSMessageNotification": []}',
    "no message": b'{"inboundSMSMessageNotification": {}}',
    "message is null": b'{"inboundSMSMessageNotification": {"inboundSMSMessage": null}}',
    "one message is null": b'{"inboundSMSMessageList": {"inboundSMSMessage": [null]}}',
    "list is null": b'{"inboundSMSMessageList": null}',
    "text is null": inbound_with(message=None),
    "text is a number": inbound_with(message=121),
    "sender is missing": inbound_with(senderAddress=None),
    "sender is empty": inbound_with(senderAddress="tel:"),
    "sender is endless": inbound_with(senderAddress="a" * 300),
    "sender is an array": inbound_with(senderAddress=["tel:+12705550111"]),
    "recipient is missing": inbound_with(destinationAddress=None),
    "id is an object": inbound_with(messageId={"id": 1}),
    "id is true": inbound_with(messageId=True),
    "NaN": inbound_with(price=float("nan")),
    "infinite": inbound_with(price=float("inf")),
    "beyond measure": inbound_with(price=0).replace(b'"price": 0', b'"price": 1e999'),
    "digits without end": inbound_with(price=0).replace(b'"price": 0', b'"price": ' + b"7" * 50_000),
    "two texts in one": inbound_with().replace(b'"message":', b'"message": "12 9 9", "message":'),
    "arrays without end": b"[" * 100_000,
    "objects without end": b'{"inboundSMSMessageNotification":' * 100_000,
}


@pytest.mark.parametrize("posted", MALFORMED.values(), ids=MALFORMED.keys())
def test_what_is_not_the_standards_shape_is_malformed_and_nothing_worse(posted: bytes) -> None:
    with pytest.raises(MalformedNotice):
        read_inbound(posted)


def test_without_message_there_is_no_text() -> None:
    without = json.loads(body("in-plain"))
    del without["inboundSMSMessageNotification"]["inboundSMSMessage"]["message"]
    with pytest.raises(MalformedNotice):
        read_inbound(json.dumps(without).encode())


def test_nesting_is_borne_or_malformed_at_every_depth() -> None:
    outcomes = set()
    for depth in range(1, 1200):
        nest = inbound_with(deep=0).replace(b'"deep": 0', b'"deep": ' + b"[" * depth + b"]" * depth)
        try:
            outcomes.add(only(read_inbound(nest)).text)
        except MalformedNotice:
            outcomes.add("malformed")
    assert outcomes == {"121 3 F4 5", "malformed"}


# What became of a text


@pytest.mark.parametrize("name", ["delivery-object", "delivery-link"])
def test_a_notice_tells_of_our_text(name: str) -> None:
    assert read_delivery(body(name)) == (
        DeliveryNotice("reply-17", SCOUT, DeliveryStatus.DELIVERED_TO_TERMINAL, "DeliveredToTerminal"),
    )


def test_a_notice_may_tell_of_several_phones() -> None:
    assert [(n.address, n.status) for n in read_delivery(body("delivery-array"))] == [
        ("+12705550111", DeliveryStatus.DELIVERED_TO_TERMINAL),
        ("+12705550112", DeliveryStatus.DELIVERY_UNCERTAIN),
    ]


def delivery_with(status: object, callback: object = "reply-17") -> bytes:
    info = {"address": "tel:+12705550111", "deliveryStatus": status}
    return json.dumps({"deliveryInfoNotification": {"callbackData": callback, "deliveryInfo": info}}).encode()


@pytest.mark.parametrize(
    "status",
    [
        "DeliveredToTerminal", "DeliveredToNetwork", "MessageWaiting", "DeliveryUncertain",
        "DeliveryImpossible", "DeliveryNotificationNotSupported",
    ],
)  # fmt: skip
def test_each_status_of_the_standard_is_known(status: str) -> None:
    (notice,) = read_delivery(delivery_with(status))
    assert (notice.status, notice.said) == (status, status)


def test_an_unknown_status_is_uncertain_and_kept() -> None:
    (notice,) = read_delivery(body("delivery-unknown-status"))
    assert (notice.status, notice.said) == (DeliveryStatus.DELIVERY_UNCERTAIN, "HandedToPartner")


def test_a_notice_may_write_the_number_bare() -> None:
    (notice,) = read_delivery(body("delivery-bare-digits"))
    assert notice.address == SCOUT


def test_a_correlator_in_digits_is_a_correlator() -> None:
    (notice,) = read_delivery(delivery_with("MessageWaiting", callback=17))
    assert notice.correlator == "17"


@pytest.mark.parametrize(
    "posted",
    [
        b"", b"{}", b'{"deliveryInfoNotification": []}', body("in-plain"), b"[" * 100_000,
        delivery_with(None), delivery_with(7), delivery_with("MessageWaiting", callback=None),
        delivery_with("MessageWaiting", callback=""),
        b'{"deliveryInfoNotification": {"callbackData": "reply-17"}}',
        b'{"deliveryInfoNotification": {"callbackData": "reply-17", "deliveryInfo": [7]}}',
    ],
    ids=[
        "nothing", "empty", "array", "another root", "without end", "status null", "status a number",
        "no callbackData", "callbackData empty", "no deliveryInfo", "info a number",
    ],
)  # fmt: skip
def test_a_notice_that_tells_nothing_is_malformed(posted: bytes) -> None:
    with pytest.raises(MalformedNotice):
        read_delivery(posted)


def test_every_fixture_is_read_by_a_test() -> None:
    told = "".join(
        test.read_text(encoding="utf-8") for test in Path(__file__).parent.glob("test_gateways*.py")
    )
    assert [f.stem for f in sorted(FIXTURES.glob("*.json")) if f'"{f.stem}"' not in told] == []
