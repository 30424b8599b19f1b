"""What may go wrong between us and a mail server.

    MailError
    ├── MailServerUnready   no answer, "not now", or a setting that a person must put right: try again later
    └── MailRefused         this mail, or its address, will never be taken: do not try again

`retry` says whether the same mail may be sent again, under the same Message-ID. `str()` of an error names
steps and codes only: what a mail server says may quote the address, and is left out.
"""
# ruff: noqa: N818  the leaves are named for what happened; their parent says Error

from typing import ClassVar


class MailError(Exception):
    """Something between us and the mail server failed."""

    retry: ClassVar[bool] = False


class MailServerUnready(MailError):
    """The mail server did not answer, cannot take mail now, or does not let us in."""

    retry = True


class MailRefused(MailError):
    """The mail server will never take this mail for this address."""
