"""Mail out: one message as plain text and HTML, handed to a mail server. The one keeper of smtplib."""

from bot.mailing.errors import MailError, MailRefused, MailServerUnready
from bot.mailing.message import Mail, composed, message_id
from bot.mailing.server import MailAddress, MailServer, Post, mail_address

__all__ = [
    "Mail",
    "MailAddress",
    "MailError",
    "MailRefused",
    "MailServer",
    "MailServerUnready",
    "Post",
    "composed",
    "mail_address",
    "message_id",
]
