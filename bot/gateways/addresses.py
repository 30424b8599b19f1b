"""Phone addresses as gateways write them, and as we do.

We write E.164 with its plus ("+12705550111"), or a short code bare ("72345"). Gateways write `tel:` URIs
(RFC 3966) with or without the scheme, the plus, visual separators and parameters.
"""

import re

_VISUAL_SEPARATORS = re.compile(r"[-.()\s]")
_WITH_PLUS = re.compile(r"\+[1-9][0-9]{6,14}")
_WITHOUT_PLUS = re.compile(r"1[0-9]{10}|[1-9][0-9]{11,14}")
"""Digits that can only be international: North American with its 1, or longer than any national number."""
_SHORT_CODE = re.compile(r"\+?([0-9]{3,6})")
_OLD_MEXICAN_MOBILE = re.compile(r"\+521([0-9]{10})")


def uri_of(number: str) -> str:
    """Give a number or short code as the `tel:` URI that the standard sends."""
    return f"tel:{number}"


def number_of(address: str) -> str:
    """Give an address in our way of writing.

    What is neither an international number nor a short code (a name as the sender, a national number)
    stays as it was, without scheme and outer spaces: a country is never guessed. An address with nothing
    in it gives "".
    """
    bare = address.strip()
    if bare[:4].lower() == "tel:":
        bare = bare[4:].partition(";")[0].strip()
    digits = _VISUAL_SEPARATORS.sub("", bare)
    if short := _SHORT_CODE.fullmatch(digits):
        return short[1]
    if _WITHOUT_PLUS.fullmatch(digits):
        digits = f"+{digits}"
    if old := _OLD_MEXICAN_MOBILE.fullmatch(digits):
        # Mexico dropped this 1 in 2019; gateways that still write it mean the number without it.
        return f"+52{old[1]}"
    return digits if _WITH_PLUS.fullmatch(digits) else bare
