"""The message as it goes over the wire, read back with the standard library's parser (RFC 5322, 2045-2047)."""

from datetime import UTC, datetime
from email import message_from_bytes
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import default

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.mailing import Mail, composed, message_id

WRITTEN = datetime(2027, 7, 6, 23, 30, tzinfo=UTC)
SENDER = Address("Larkspur cotton", addr_spec="digest@larkspur.example")
PLAIN = "Miércoles: Ramón leyó.\n.\n- un punto solo arriba\n" + "lygus " * 300 + "\n"
HTML = "<p>Miércoles: Ramón ley&oacute; " + "x" * 3000 + "</p>"


def mail(
    name: str = "June Abbot", subject: str = "Larkspur: Tue Jul 6", key: str = "digest-mail:june"
) -> Mail:
    return Mail(key, name, "june@larkspur.example", "en", subject, PLAIN, HTML, WRITTEN)


def parsed(one: Mail) -> EmailMessage:
    message = message_from_bytes(composed(one, SENDER), policy=default)
    assert not message.defects
    return message


def test_a_mail_holds_plain_text_first_and_the_same_as_html_after_it() -> None:
    message = parsed(mail())
    assert message.get_content_type() == "multipart/alternative"
    assert [part.get_content_type() for part in message.iter_parts()] == ["text/plain", "text/html"]
    plain, html = message.get_body(("plain",)), message.get_body(("html",))
    assert plain is not None
    assert html is not None
    assert plain.get_content().splitlines() == PLAIN.splitlines()
    assert html.get_content().splitlines() == [HTML]


def test_a_mail_says_whom_it_is_from_to_whom_when_and_that_a_machine_wrote_it() -> None:
    message = parsed(mail())
    assert message["From"] == "Larkspur cotton <digest@larkspur.example>"
    assert message["To"] == "June Abbot <june@larkspur.example>"
    assert message["Date"].datetime == WRITTEN
    assert message["Auto-Submitted"] == "auto-generated"  # RFC 3834, section 5
    assert message["Content-Language"] == "en"


def test_the_same_key_gives_the_same_bytes_and_another_key_another_message_id() -> None:
    assert composed(mail(), SENDER) == composed(mail(), SENDER)
    assert parsed(mail())["Message-ID"] == message_id("digest-mail:june", SENDER)
    assert message_id("digest-mail:june", SENDER) != message_id("digest-mail:beto", SENDER)


def test_every_line_is_ascii_and_short_enough_for_any_mail_server() -> None:
    octets = composed(mail(subject="Á" * 400), SENDER)
    assert octets.isascii()
    lines = octets.split(b"\r\n")
    assert max(map(len, lines)) <= 78  # RFC 5322, 2.1.1: at most 998, better 78
    assert b"\n" not in b"".join(lines)


@pytest.mark.parametrize(
    "name",
    [
        "June\r\nBcc: all@larkspur.example",
        "June\nX: y",
        "June\x00\x0b\x85Abbot",
        "June\u2028Bcc: x",
        'J "x" <y@z>',
    ],
)
def test_no_name_can_begin_a_header_of_its_own(name: str) -> None:
    message = parsed(mail(name=name, subject=f"{name}: Tue Jul 6"))
    names = ["From", "To", "Subject", "Date", "Message-ID", "Auto-Submitted", "Content-Language"]
    assert sorted(message.keys()) == sorted([*names, "MIME-Version", "Content-Type"])
    (to,) = message["To"].addresses
    assert to.addr_spec == "june@larkspur.example"


@given(st.text(min_size=1, max_size=120), st.text(max_size=300))
def test_whatever_the_names_are_a_mail_goes_to_its_one_address(name: str, subject: str) -> None:
    try:
        f"{name}{subject}".encode()
    except UnicodeEncodeError:
        return  # half a letter cannot stand in a season file, which is UTF-8
    message = parsed(mail(name=name, subject=subject))
    assert [one.addr_spec for one in message["To"].addresses] == ["june@larkspur.example"]
    assert message.get_all("Bcc") is None
    assert len(list(message.iter_parts())) == 2


def test_spanish_letters_come_back_as_they_were() -> None:
    message = parsed(mail(name="Ramón Ibáñez", subject="Condado Núñez: mié 6 jul, ARRIBA en 12"))
    assert message["Subject"] == "Condado Núñez: mié 6 jul, ARRIBA en 12"
    (to,) = message["To"].addresses
    assert to.display_name == "Ramón Ibáñez"
