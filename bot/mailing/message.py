"""One mail as it goes over the wire: plain text and HTML side by side, the same bytes however often it is made."""

import hashlib
from dataclasses import dataclass
from datetime import datetime
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime


@dataclass(frozen=True, slots=True)
class Mail:
    """A mail for one person. `key` makes it one mail, `written_at` is its date; both bodies say the same."""

    key: str
    name: str
    recipient: str
    language: str
    subject: str
    plain: str
    html: str
    written_at: datetime


def composed(mail: Mail, sender: Address) -> bytes:
    """Give a mail as bytes of ASCII with lines of at most 998 octets, as any mail server takes them.

    RFC 5322 and 2046 (the alternatives from plainest to richest); RFC 3834 for `Auto-Submitted`, which keeps
    answering machines from answering. A second call gives the same bytes: the Message-ID and the boundary
    come from the key, the date from the mail.
    """
    message = EmailMessage(policy=SMTP)
    message["From"] = sender
    message["To"] = Address(one_line(mail.name), addr_spec=mail.recipient)
    message["Subject"] = one_line(mail.subject)
    message["Date"] = format_datetime(mail.written_at)
    message["Message-ID"] = message_id(mail.key, sender)
    message["Auto-Submitted"] = "auto-generated"
    message.set_content(mail.plain, charset="utf-8", cte="quoted-printable")
    message.add_alternative(mail.html, subtype="html", charset="utf-8", cte="quoted-printable")
    message["Content-Language"] = mail.language  # only here: what was set before goes into the first part
    message.set_boundary(f"=_{_name_of(mail.key)}")  # quoted-printable text cannot hold "=_"
    return message.as_bytes()


def message_id(key: str, sender: Address) -> str:
    """Give the Message-ID of a mail: the same for a key, so that a mail sent twice can be seen to be one."""
    return f"<{_name_of(key)}@{sender.domain}>"


def one_line(said: str) -> str:
    """Give words on one line without control characters, so that no name can begin a header of its own."""
    return " ".join("".join(one if one.isprintable() else " " for one in said).split())


def _name_of(key: str) -> str:
    return hashlib.sha256(key.encode()).hexdigest()[:32]
