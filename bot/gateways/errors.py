"""What may go wrong between us and a gateway.

    GatewayError
    ├── GatewayUnreachable   no answer, or "not now": try again soon
    ├── GatewaySuspended     our account, address or rights: a person must act; try again slowly
    ├── GatewayRefused       this text will never go as it is: do not try again
    ├── NumberRefused        this number cannot or may not be reached: do not try again
    └── MalformedNotice      (a ValueError too) a post to us that is not in the standard's shape

`retry` says whether the same text may be sent again with the same correlator. `str()` of an error names
codes only and is fit for a log; `said` holds the gateway's own sentence, which may quote a number.
"""
# ruff: noqa: N818  the leaves are named for what happened; their parent says Error

from typing import ClassVar


class GatewayError(Exception):
    """Something between us and the gateway failed.

    `code` is the standard's id of the fault ("SVC0004", "POL1010"), None where none was given.
    """

    retry: ClassVar[bool] = False

    def __init__(self, reason: str, *, code: str | None = None, said: str = "") -> None:
        super().__init__(reason)
        self.code = code
        self.said = said


class GatewayUnreachable(GatewayError):
    """The gateway did not answer, or answered that it cannot take the text now."""

    retry = True


class GatewaySuspended(GatewayError):
    """Nothing will go through this gateway until a person puts the account or its settings right."""

    retry = True


class GatewayRefused(GatewayError):
    """The gateway will never take this text as it stands."""


class NumberRefused(GatewayError):
    """The number is not one that the gateway can reach, or its owner has closed it to us."""


class MalformedNotice(GatewayError, ValueError):
    """What was posted to us does not have the standard's shape; nothing of it was understood."""
