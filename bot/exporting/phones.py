"""Phone numbers kept out of words: those that the record knows, and what is written as only a phone number is."""

import re
from collections.abc import Iterable

IN_ITS_PLACE = "[phone]"

NATIONAL_DIGITS = (10, 9)
"""How many last digits of a number in E.164 it may be written with at home."""

_BETWEEN = r"[ ().\-]{0,2}"

_WRITTEN_AS_PHONE = (
    r"\+[0-9][0-9 ().\-]{7,}[0-9]|(?<![0-9])\(?[0-9]{3}\)?[ .\-]{1,2}[0-9]{3}[.\-][0-9]{4}(?![0-9])"
)
"""With a plus, or parted as 270-555-0111; counts are never written so, plain digits may be counts."""


class PhoneHider:
    """Puts a mark in the place of phone numbers in words."""

    def __init__(self, phones: Iterable[str]) -> None:
        """Hide these numbers in every way of writing them, and whatever is written as only a phone number is."""
        runs = {digits for phone in phones for digits in _ways(re.sub(r"\D", "", phone))}
        known = [_BETWEEN.join(digits) for digits in sorted(runs, key=lambda one: (-len(one), one))]
        spelt = "|".join(rf"(?<![0-9])\+?\(?{run}(?![0-9])" for run in known)
        self._found = re.compile("|".join(filter(None, (spelt, _WRITTEN_AS_PHONE))))

    def __call__(self, words: str) -> str:
        """Give words without their phone numbers."""
        return self._found.sub(IN_ITS_PLACE, words)


def _ways(digits: str) -> set[str]:
    if len(digits) < min(NATIONAL_DIGITS):
        return {digits} if digits else set()
    return {digits, *(digits[-n:] for n in NATIONAL_DIGITS if len(digits) >= n)}
