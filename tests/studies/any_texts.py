"""Texts of every kind from a seed: nonsense, nearly right, and right ones mishandled as thumbs and phones do."""

import random
from collections.abc import Callable
from dataclasses import dataclass

from tests.studies.any_pieces import GAPS, GSM_CHARACTERS, LONGEST, PATTERNS, PIECES, UNICODE_RANGES
from tests.studies.mishandling import mishandled
from tests.test_reading import CORPUS, GROUNDS


@dataclass(frozen=True, slots=True)
class Anywhere:
    """A text, and the name of the ground of the corpus that it is read against."""

    text: str
    where: str


def any_text(chance: random.Random) -> Anywhere:
    """Give a text of any kind, the corpus mishandled most often."""
    kind = chance.random()
    where = chance.choice(_WHERE)
    if kind < 0.45:
        line = chance.choice(CORPUS)
        return Anywhere(mishandled(chance, line.text), line.where if chance.random() < 0.9 else where)
    if kind < 0.75:
        return Anywhere(of_pieces(chance), where)
    if kind < 0.9:
        return Anywhere(mishandled(chance, right_text(chance)), where)
    return Anywhere(gsm(chance) if kind < 0.95 else unicode(chance), where)


def text_for_the_road(chance: random.Random) -> str:
    """Give a text as a phone might send it: right ones most often, so that something happens."""
    kind = chance.random()
    if kind < 0.6:
        return right_text(chance)
    if kind < 0.75:
        return mishandled(chance, right_text(chance))
    if kind < 0.88:
        return mishandled(chance, chance.choice(CORPUS).text)
    if kind < 0.96:
        return of_pieces(chance)
    return gsm(chance) if kind < 0.98 else unicode(chance)


_WHERE = sorted(GROUNDS)
_SITES = ("121", "123", "125", "14", "16", "31", "27")
_FIELDS = ("12", "14", "16", "31", "27")


def right_text(chance: random.Random) -> str:
    """Give a text of a pattern with numbers of its own, in capitals or not."""
    text = chance.choice(PATTERNS)
    fillings: dict[str, Callable[[], str]] = {
        "{s}": lambda: chance.choice(_SITES),
        "{f}": lambda: chance.choice(_FIELDS),
        "{n}": lambda: str(chance.randint(1, 10)),
        "{c}": lambda: str(chance.choice((0, 0, 1, 1, 2, 3, 9))),
        "{k}": lambda: chance.choice(("FA", "FN", "LA", "LN", "MP", "SB", "BW")),
    }
    for name, filling in fillings.items():
        while name in text:
            text = text.replace(name, filling(), 1)
    return text if chance.random() < 0.7 else text.lower()


def of_pieces(chance: random.Random) -> str:
    """Give pieces that stand near the rules' edges, joined to a text that is nearly right."""
    said = [chance.choice(PIECES) + chance.choice(GAPS) for _ in range(chance.randint(0, 12))]
    return (chance.choice(("121 ", "121 ", "31 ", "14 ", "")) + "".join(said))[:LONGEST]


def gsm(chance: random.Random) -> str:
    """Give characters of the GSM-7 alphabet at random."""
    return "".join(chance.choices(GSM_CHARACTERS, k=chance.randint(0, LONGEST)))


def unicode(chance: random.Random) -> str:
    """Give characters of any script at random, lone surrogates apart, which no gateway hands over."""
    front = chance.choice(("", "", "121 ", "121 3 "))
    size = chance.randint(0, 40)
    return front + "".join(chr(chance.randint(*chance.choice(UNICODE_RANGES))) for _ in range(size))
