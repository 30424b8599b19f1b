"""The alphabet of a text message: what costs one septet, what two, and what has no place in it.

The table is the GSM 7-bit default alphabet with its extension (3GPP TS 23.038 clauses 6.2.1 and 6.2.1.1).
One character from outside it turns the whole text to UCS-2, 70 characters instead of 160, so texts are
folded before they are counted. Only `fold` normalises; everything else takes a text as it will be sent.
"""

import re
import unicodedata
from functools import lru_cache

TEXT_SEPTETS = 160
PART_SEPTETS = 153
"""What a part holds beside the 6 octets that number it (8-bit reference, 3GPP TS 23.040 cl. 9.2.3.24.1)."""

_ESCAPE = 0x1B
_UNREADABLE = "\N{REPLACEMENT CHARACTER}"
_NO_LIKENESS = "?"

# Sixteen codes a line. 0x09 is the capital Ç of the specification; some copies of the Unicode file
# GSM0338.TXT have the small one there.
_TABLE = (
    "@£$¥èéùìòÇ\nØø\rÅå"
    "Δ_ΦΓΛΩΠΨΣΘΞ\x1bÆæßÉ"
    " !\"#¤%&'()*+,-./"
    "0123456789:;<=>?"
    "¡ABCDEFGHIJKLMNO"
    "PQRSTUVWXYZÄÖÑÜ§"
    "¿abcdefghijklmno"
    "pqrstuvwxyzäöñüà"
)
_AFTER_ESCAPE = {
    0x0A: "\f", 0x14: "^", 0x28: "{", 0x29: "}", 0x2F: "\\",
    0x3C: "[", 0x3D: "~", 0x3E: "]", 0x40: "|", 0x65: "€",
}  # fmt: skip

_CODES = {char: bytes([code]) for code, char in enumerate(_TABLE) if code != _ESCAPE} | {
    char: bytes([_ESCAPE, code]) for code, char in _AFTER_ESCAPE.items()
}
_OUTSIDE = re.compile(f"[^{re.escape(''.join(_CODES))}]")
_TWO_SEPTETS = re.compile(f"[{re.escape(''.join(_AFTER_ESCAPE.values()))}]")

# Only what neither its category nor its compatibility form (NFKD) leads to a likeness.
_LIKENESS = {
    **dict.fromkeys("‘’‚‛‹›′`´ʼ", "'"),
    **dict.fromkeys("“”„‟«»″", '"'),
    **dict.fromkeys("−⁃", "-"),
    **dict.fromkeys("\v\N{NEXT LINE}", "\n"),
    **dict.fromkeys("\t\x1c\x1d\x1e\x1f", " "),
    "×": "x", "÷": "/", "±": "+-", "⁄": "/", "≤": "<=", "≥": ">=", "·": ".", "•": "*", "μ": "u",
    "ı": "i", "ł": "l", "Ł": "L", "đ": "d", "Đ": "D", "œ": "oe", "Œ": "OE",
    # Spanish writes it for º too; a letter in its place would read as a nought: 95oF.
    "°": "",
    # A stroke turns a sign round: ≠ may not become =.
    "\N{COMBINING LONG SOLIDUS OVERLAY}": _NO_LIKENESS,
}  # fmt: skip
_LIKENESS_OF_CATEGORY = {
    "Zs": " ",  # blanks, the no-break one among them
    "Zl": "\n",
    "Zp": "\n",
    "Pd": "-",
    "Cf": "",  # what is not seen: joiners, soft hyphen, byte order mark
    "Mn": "",  # accents and the like; those that the table knows are one with their letter by now
    "Me": "",
}


def fold(text: str) -> str:
    """Give the text with every character that the alphabet lacks made the nearest that it has.

    á í ó ú lose their accents, ñ é ü ¿ ¡ stay, typed dashes and quotes become plain ones; what has no
    likeness (an emoji) becomes "?". The result holds characters of the table only, and folds to itself.
    Composed first (NFC): a decomposed ñ is an n and a mark of which the table knows nothing.
    """
    composed = unicodedata.normalize("NFC", text)
    if not _OUTSIDE.search(composed):
        return composed
    folded = ""
    before = ""
    for char in composed:
        likeness = _likeness(char)
        if not likeness:
            continue
        # ½ and ² are no digits of the number they follow: 1½ may not become 11/2, nor 10² 102.
        if folded[-1:].isdigit() and likeness[0].isdigit() and not (before.isdecimal() and char.isdecimal()):
            folded += " "
        folded += likeness
        before = char
    return folded


def septets(text: str) -> int:
    """Give the length of a text as it is paid for: one septet a character, two for those after an escape.

    Raises ValueError naming the first character that is not in the table.
    """
    _refuse_outside(text)
    return len(text) + len(_TWO_SEPTETS.findall(text))


def fits(text: str, limit: int = TEXT_SEPTETS) -> bool:
    """Tell whether the text is all in the table and no longer than the limit, in septets."""
    return not _OUTSIDE.search(text) and septets(text) <= limit


def encode(text: str) -> bytes:
    """Give the codes of a text, one septet an octet (not packed).

    Raises ValueError naming the first character that is not in the table.
    """
    _refuse_outside(text)
    return b"".join(_CODES[char] for char in text)


def decode(data: bytes) -> str:
    """Give the text that codes stand for, one septet an octet, whatever the octets are.

    As 3GPP TS 23.038 clause 6.2.1.1 has a phone show them: a code that means nothing after an escape is
    read in the main table, two escapes are a blank. An escape at the end is dropped, and an octet of more
    than seven bits becomes U+FFFD.
    """
    chars: list[str] = []
    octets = iter(data)
    for octet in octets:
        if octet != _ESCAPE:
            chars.append(_main(octet))
            continue
        escaped = next(octets, None)
        if escaped == _ESCAPE:
            chars.append(" ")
        elif escaped is not None:
            chars.append(_AFTER_ESCAPE.get(escaped) or _main(escaped))
    return "".join(chars)


def split(text: str) -> list[str]:
    """Give the parts in which a text goes out: itself where it fits, else parts of at most 153 septets.

    Filled one after the other, for an escape and its code may not be parted (3GPP TS 23.040 clause
    9.2.3.24.1): 306 septets can need three parts. The parts joined are the text.
    Raises ValueError naming the first character that is not in the table.
    """
    if septets(text) <= TEXT_SEPTETS:
        return [text]
    parts: list[str] = []
    begin = filled = 0
    for place, char in enumerate(text):
        cost = len(_CODES[char])
        if filled + cost > PART_SEPTETS:
            parts.append(text[begin:place])
            begin, filled = place, 0
        filled += cost
    return [*parts, text[begin:]]


def is_full_part(text: str) -> bool:
    """Tell whether a received text is exactly as long as one full part of a longer one.

    Some gateways hand over each part as a text of its own and drop its number. A part that was cut may end
    inside a figure, so what stands last in a text of this length cannot be trusted.
    A full part holds 153 septets, or 152 where the reference has 16 bits; a text with a character outside
    the table 67 or 66 UTF-16 code units (3GPP TS 23.040 clause 9.2.3.24.1).
    """
    if _OUTSIDE.search(text):
        # Half an emoji may be all that came over: a lone surrogate counts as a unit too.
        return len(text.encode("utf-16-be", "surrogatepass")) // 2 in (66, 67)
    return septets(text) in (PART_SEPTETS - 1, PART_SEPTETS)


@lru_cache(maxsize=4096)
def _likeness(char: str) -> str:
    """Give the nearest that the table has for one character, "?" where it has nothing near."""
    if char in _CODES:
        return char
    if char in _LIKENESS:
        return _LIKENESS[char]
    if char.isdecimal():
        return str(unicodedata.decimal(char))
    category = unicodedata.category(char)
    if category in _LIKENESS_OF_CATEGORY:
        return _LIKENESS_OF_CATEGORY[category]
    form = unicodedata.normalize("NFKD", char)
    if form == char:
        return _NO_LIKENESS
    pieces = [_likeness(piece) for piece in form]
    return _NO_LIKENESS if _NO_LIKENESS in pieces else "".join(pieces)


def _main(octet: int) -> str:
    return _TABLE[octet] if octet < len(_TABLE) else _UNREADABLE


def _refuse_outside(text: str) -> None:
    outside = _OUTSIDE.search(text)
    if outside:
        char = outside.group()
        raise ValueError(
            f"{char!r} (U+{ord(char):04X}, character {outside.start() + 1}) is not in the GSM 7-bit alphabet"
        )
