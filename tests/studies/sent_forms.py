"""One site of ten samples said in every form of the text language, and what the real road answers to each."""

import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from bot.rules import PersonKey
from parsing import split
from tests.studies.presses import Presses, Way, in_number_mode, presses
from tests.talk import talking

CODES = ("FA", "FN", "LA", "LN", "MP")
SITE = 14
SCOUT = "luis"
SAMPLES = 10

FOUND = ("20010", "01004", "00130", "00000", "10102", "00000", "00120", "00000", "00011", "00110")
"""The ten sheets of replies.md, example 2, a digit a column: lygus 2 per 5 row ft, three sheets empty."""

FULL = tuple(str(place % 8 + 1) * len(CODES) for place in range(SAMPLES))
"""Ten sheets with insects in every column: the longest texts of one-digit counts."""

SHARES = ("14 BH 1 5", "14 SQ 88 100", "14 1 BH 1 5/2 BH 0 5/3 BH 0 5/4 BH 2 5/5 BH 0 5")
"""Shares have no samples of the plan to finish: a share of the site, squares, and one stop by stop."""


@dataclass(frozen=True, slots=True)
class Said:
    """A finished site (or what `samples` of it cost) in one form: the texts that are sent."""

    form: str
    texts: tuple[str, ...]
    samples: int = SAMPLES

    def cost(self, way: Way) -> Presses | None:
        """Give the presses of all texts together; None where a text cannot be typed so."""
        total = Presses()
        for text in self.texts:
            cost = presses(text, way)
            if cost is None:
                return None
            total += cost
        return total

    def cost_of_a_sample(self, way: Way) -> float | None:
        """Give the mean presses a sample, the site number and the separator after it apart."""
        total, site = self.cost(way), presses(f"{SITE} ", way)
        if total is None or site is None:
            return None
        return (total.keys - len(self.texts) * site.keys) / self.samples

    @property
    def texts_in(self) -> int:
        """The texts that a phone is billed for: GSM-7 parts of 160, of 153 where there are several."""
        return sum(len(split(text)) for text in self.texts)


@dataclass(frozen=True, slots=True)
class Answered:
    """What came back to the scout, and how many samples were in in the end."""

    texts_out: int
    samples_in: int
    last: str


def found_on(sheet: str) -> list[tuple[str, str]]:
    """Give the codes of what was found on a sheet, each with its count."""
    return [(code, count) for code, count in zip(CODES, sheet, strict=True) if count != "0"]


def coded(sheet: str) -> str:
    """Give a sheet in codes; nothing found is 0."""
    return " ".join(f"{code}{count}" for code, count in found_on(sheet)) or "0"


def glued(sheet: str) -> str:
    """Give a sheet in codes run together."""
    return coded(sheet).replace(" ", "")


def count_first(sheet: str) -> str:
    """Give a sheet in codes run together, each after its count."""
    return "".join(f"{count}{code}" for code, count in found_on(sheet)) or "0"


def digits(sheet: str) -> str:
    """Give a sheet as a number a column."""
    return " ".join(sheet)


def packed(sheet: str) -> str:
    """Give a sheet as a digit a column; nothing found is 0."""
    return sheet if sheet.strip("0") else "0"


def numbered(sheets: Sequence[str], said: Callable[[str], str], between: str, first: int = 1) -> str:
    """Give sheets as one text, each with its sample number."""
    groups = (f"{number} {said(sheet)}" for number, sheet in enumerate(sheets, first))
    return f"{SITE} {between.join(groups)}"


def in_one_text(name: str, sheets: Sequence[str]) -> Iterator[Said]:
    """Give the forms in which the ten sheets may be sent as one text."""
    total = sum(int(count) for sheet in sheets for count in sheet)
    yield Said(f"{name}: coded", (numbered(sheets, coded, "/"),))
    yield Said(f"{name}: coded, glued", (numbered(sheets, glued, "/"),))
    yield Said(f"{name}: coded, count first", (numbered(sheets, count_first, "/"),))
    yield Said(f"{name}: digits", (numbered(sheets, digits, " "),))
    yield Said(f"{name}: packed", (numbered(sheets, packed, " "),))
    yield Said(f"{name}: packed, T and the sum", (numbered(sheets, packed, " ") + f" T{total}",))
    yield Said(f"{name}: packed, = and the sum", (numbered(sheets, packed, " ") + f" ={total}",))


def as_they_come(name: str, sheets: Sequence[str]) -> Iterator[Said]:
    """Give the forms of one text a sample, and of two halves."""
    yield Said(f"{name}: coded, a text each", tuple(f"{SITE} {coded(sheet)}" for sheet in sheets))
    for form, said in (("digits", digits), ("packed", packed)):
        texts = tuple(f"{SITE} {number} {said(sheet)}" for number, sheet in enumerate(sheets, 1))
        yield Said(f"{name}: {form}, a text each", texts)
    half = len(sheets) // 2
    for form, said, between in (("coded", coded, "/"), ("digits", digits, " "), ("packed", packed, " ")):
        texts = (numbered(sheets[:half], said, between), numbered(sheets[half:], said, between, half + 1))
        yield Said(f"{name}: {form}, two halves", texts)


def every_form() -> list[Said]:
    """Give all that is studied, in the order of the tables."""
    empty = ("00000",) * SAMPLES
    sums = [sum(int(sheet[column]) for sheet in FOUND) for column in range(len(CODES))]
    in_codes = " ".join(f"{code}{count}" for code, count in zip(CODES, sums, strict=True))
    in_numbers = " ".join(map(str, sums))
    return [
        *as_they_come("found", FOUND),
        *in_one_text("found", FOUND),
        *in_one_text("full", FULL),
        Said("empty: 0, a text each", tuple(f"{SITE} 0" for _ in empty)),
        Said("empty: pairs", (numbered(empty, packed, " "),)),
        Said("empty: range with a dash", (f"{SITE} 1-{SAMPLES} 0",)),
        Said("empty: range with A", (f"{SITE} 1 A {SAMPLES} 0",)),
        Said("empty: range with TO", (f"{SITE} 1 TO {SAMPLES} 0",)),
        *(
            Said(f"totals: {word}, {form}", (f"{SITE} {word} {SAMPLES} {said}",))
            for word in ("TOTAL", "ALL", "TODO")
            for form, said in (("coded", in_codes), ("digits", in_numbers))
        ),
        *(Said(f"share: {text}", (text,), samples=text.count("/") + 1) for text in SHARES),
        Said("share: 14 CU 88 100", ("14 CU 88 100",), samples=1),
        Said("share: 14 CUADROS 88 100", ("14 CUADROS 88 100",), samples=1),
    ]


def answered(said: Said, language: str = "ENGLISH", *, number_mode: bool = False) -> Answered:
    """Give what the real road answers to a form, from the texts on an empty site to the last reply."""
    with tempfile.TemporaryDirectory() as folder, talking(Path(folder)) as talk:
        talk.reply(SCOUT, "07:00", language)
        phone = str(talk.hand.season.people[PersonKey(SCOUT)].phone)
        back: list[str] = []
        for place, text in enumerate(said.texts):
            caused = talk.says(SCOUT, f"08:{place:02}", in_number_mode(text) if number_mode else text)
            back += [one["text"] for one in caused if one["to"] == phone]
        return Answered(sum(len(split(text)) for text in back), talk.show(SITE)["samples_in"], back[-1])
