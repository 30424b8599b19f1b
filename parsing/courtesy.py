"""Kind words before and after a text."""

from parsing.tokens import Token, TokenKind, plain_words
from parsing.words import Words

LONGEST_PHRASE = 3

_NUMBER_OR_BREAK = (TokenKind.NUMBER, TokenKind.BREAK, TokenKind.HASH)


def without_leading_courtesy(tokens: tuple[Token, ...], words: Words) -> tuple[Token, ...]:
    """Leave out kind words before a text, OK among them; one that is nothing else stays."""
    phrases = words.greetings | words.thanks | {"OK"}
    kept = tokens
    length = LONGEST_PHRASE
    while kept and length:
        if len(kept) > length and plain_words(kept[:length]) in phrases:
            kept, length = kept[length:], LONGEST_PHRASE
        else:
            length -= 1
    return kept


def without_courtesy(tokens: tuple[Token, ...], words: Words) -> tuple[Token, ...]:
    """Leave out kind words before and after a text; OK among them."""
    phrases = words.greetings | words.thanks | {"OK"}
    kept = tokens
    changed = True
    while changed and kept:
        changed = False
        for length in range(LONGEST_PHRASE, 0, -1):
            if len(kept) < length:
                continue
            # OK is kind only beside something; after a number alone it is an answer to an alert
            if plain_words(kept[:length]) in phrases and not (kept[0].text == "OK" and len(kept) == 1):
                kept, changed = kept[length:], True
                break
            ends = plain_words(kept[-length:])
            bare_ok = ends == "OK" and all(token.kind in _NUMBER_OR_BREAK for token in kept[:-1])
            if ends in phrases and not bare_ok:
                kept, changed = kept[:-length], True
                break
    return kept


def holds_thanks(tokens: tuple[Token, ...], words: Words) -> bool:
    said = plain_words(tokens)
    return any(phrase in said for phrase in words.thanks)
