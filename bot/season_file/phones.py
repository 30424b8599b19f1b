"""Phone numbers as people write them, made into the one form that the service keeps."""

import re

import phonenumbers

_EXTENSION_MARKS = frozenset("#;,*~")
_OLD_MEXICAN_MOBILE = re.compile(r"(\+52)1(\d{10})")


def normal_phone(raw: str, country: str) -> str | None:
    """Give a phone number in E.164 ("+12705550111"), None where it is not a valid number.

    A number without + is read as one of `country` (ISO 3166, two letters). Letters and extensions are
    refused: the library would turn the first into digits and drop the second. The 1 that Mexican mobile
    numbers once had after +52 is left out.
    """
    if any(mark.isalpha() or mark in _EXTENSION_MARKS for mark in raw):
        return None
    digits = re.sub(r"[^+\d]", "", raw)
    old_mexican = _OLD_MEXICAN_MOBILE.fullmatch(digits)
    try:
        number = phonenumbers.parse("".join(old_mexican.groups()) if old_mexican else raw, country)
    except phonenumbers.NumberParseException:
        return None
    if number.extension or not phonenumbers.is_valid_number(number):
        return None
    return phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164)


def is_country(code: str) -> bool:
    """Tell whether phone numbers can be read as those of a country (ISO 3166, two capitals)."""
    return code in phonenumbers.SUPPORTED_REGIONS
