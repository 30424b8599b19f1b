"""The only numbers that the stand-in knows: the fictitious ones, 555-0100 to 555-0199."""

import re

_SEPARATORS = re.compile(r"[-.()\s]")
_FICTITIOUS = re.compile(r"(?:tel:)?\+?(1[2-9][0-9]{2}55501[0-9]{2})", re.IGNORECASE)


def fictitious_number(address: str) -> str | None:
    """Give an address in E.164 when it is a number set aside for fiction, else None.

    Nothing that could be a real phone ever gets into a conversation here.
    """
    found = _FICTITIOUS.fullmatch(_SEPARATORS.sub("", address))
    return f"+{found[1]}" if found else None
