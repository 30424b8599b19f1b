"""The corpus of texts: each is read as the text language says, whatever it is dressed in."""

import json
import tomllib
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any

import pytest

from parsing import (
    Card,
    Counts,
    Fix,
    Form,
    Ground,
    Hours,
    Kind,
    Nawf,
    OpenUp,
    Prefixes,
    Problem,
    Reading,
    Sample,
    Sos,
    Temp,
    Treated,
    Unknown,
    Unreadable,
    read,
    read_prefixes,
    shipped_words,
)
from parsing.tokens import fold

TEXTS = Path(__file__).resolve().parent.parent / "fixtures" / "texts"

Shown = dict[str, Any]
"""A reading as the corpus writes it; fixtures/texts/README.md has the form."""

FREE_WORDS = ("short", "done", "skip", "close", "note", "tell", "sos", "treated")
"""Readings that keep a person's own words as they came: these change as their text does."""


@dataclass(frozen=True, slots=True)
class Line:
    """One text of the corpus, and where it stands."""

    file: str
    place: int
    text: str
    where: str
    expect: str | Shown
    prefixes: Prefixes

    def __str__(self) -> str:
        return f"{self.file}:{self.place} {self.text!r}"


def grounds() -> dict[str, Ground]:
    """Give what the corpus is read against, by name."""
    written = tomllib.loads((TEXTS / "grounds.toml").read_text(encoding="utf-8"))
    cards: dict[str, Card | None] = {
        name: Card(tuple(card["codes"]), card["samples"], card["ask_above"])
        for name, card in written["cards"].items()
    }
    cards["stage unknown"] = None
    return {
        name: Ground(
            words=shipped_words(),
            cards={int(site): cards[card] for site, card in ground["sites"].items()},
            fields={int(number): tuple(sites) for number, sites in ground["fields"].items()},
            codes=frozenset(written["codes"]),
            shares=frozenset(written["shares"]),
            largest_sample=ground["largest_sample"],
            here=ground.get("here"),
        )
        for name, ground in written["grounds"].items()
    }


def lines() -> Iterator[Line]:
    """Give every text of the corpus."""
    for file in sorted(TEXTS.glob("*.jsonl")):
        for place, row in enumerate(file.read_text(encoding="utf-8").splitlines(), start=1):
            said = json.loads(row)
            prefixes = Prefixes(**said.get("prefix", {}))
            yield Line(file.stem, place, said["text"], said["where"], said["expect"], prefixes)


GROUNDS = grounds()
CORPUS = list(lines())


def read_line(line: Line) -> Reading:
    """Read a text of the corpus on its ground."""
    return read(line.text, GROUNDS[line.where])


def shown(reading: Reading) -> Shown:
    """Give a reading as the corpus writes it; places in the text and empty fields are left out."""
    match reading:
        case Counts(site, samples, problems, rival, control, site_said):
            said = {"counts": site, "samples": [shown_sample(sample) for sample in samples]}
            return said | _filled(
                problems=[f"{problem.kind} {problem.said}" for problem in problems],
                rival=[shown_sample(sample) for sample in rival],
                control=control,
                site_said=None if site_said else False,
            )
        case Fix(site, samples, problems, control):
            said = {"fix": site, "samples": [shown_sample(sample) for sample in samples]}
            kinds = [f"{problem.kind} {problem.said}" for problem in problems]
            return said | _filled(problems=kinds, control=control)
        case Unreadable():
            return {"unreadable": [f"{problem.kind} {problem.said}" for problem in reading.problems]}
        case Nawf(number, plants):
            return {"nawf": number, "plants": [str(nodes) for nodes in plants]}
        case Temp(high, low):
            return {"temp": str(high), "low": str(low)}
        case Sos(number=number):
            return {"sos": number}
        case Treated(kind, number, hours, numbers):
            out = {"treated": number, "kind": str(kind), "hours": shown_hours(hours)}
            return out | {"numbers": list(numbers)}
        case OpenUp(number, hours):
            return {"openup": number} | _filled(hours=None if hours is None else shown_hours(hours))
        case _:
            names = [field.name for field in fields(reading)]
            name = type(reading).__name__.lower()
            if not names:
                return {name: True}
            first, *rest = names
            others = {key: getattr(reading, key) for key in rest}
            return {name: getattr(reading, first)} | {
                key: value for key, value in others.items() if value is not False and value is not None
            }


def shown_hours(hours: Hours) -> str:
    """Give re-entry hours as the corpus writes them."""
    how = type(hours).__name__.lower()
    return how if isinstance(hours, Unknown) else f"{how} {hours.hours}"


def _filled(**said: object) -> Shown:
    return {key: value for key, value in said.items() if value is not None and value != []}


def shown_sample(sample: Sample) -> str:
    """Give a sample as the corpus writes it: number, form, every count that is not 0, and every share."""
    counts = [f"{code}{'X' if count is None else count}" for code, count in sample.counts if count != 0]
    extras = [f"+{code}{count}" for code, count in sample.extras]
    shares = [f"{share.code}{share.n}/{share.of}" for share in sample.shares]
    guesses = [f"{guess.said}>{guess.code}" for guess in sample.guesses]
    number = "next" if sample.number is None else str(sample.number)
    said = f"total {sample.covers}" if sample.covers else number
    return " ".join([said, sample.form, *counts, *extras, *shares, *guesses])


def is_expected(problem: str, expected: str) -> bool:
    """Tell whether a problem, as kind and words, is one of those expected: `a|b` is either, with words or not."""
    kind, _, said = problem.partition(" ")
    kinds, _, words = expected.partition(" ")
    return expected == "refused" or (kind in kinds.split("|") and words in ("", said))


def differences(reading: Reading, expect: str | Shown) -> list[str]:
    """Say in what a reading is not what the corpus expects; empty where it is."""
    wanted: Shown = {"unreadable": expect} if isinstance(expect, str) else expect
    if "unreadable" in wanted:
        return _unlike_refusal(reading, wanted)
    found = shown(reading)
    problems, expected = found.pop("problems", []), wanted.get("problems", [])
    plain = {key: value for key, value in wanted.items() if key != "problems"}
    alike = len(problems) == len(expected) and all(map(is_expected, problems, expected))
    return [] if found == plain and alike else [f"read as {shown(reading)}, expected {wanted}"]


def _unlike_refusal(reading: Reading, wanted: Shown) -> list[str]:
    if not isinstance(reading, Unreadable):
        return [f"read as {shown(reading)}, expected a refusal: {wanted}"]
    said = shown(reading)["unreadable"]
    unlike = [] if all(is_expected(one, wanted["unreadable"]) for one in said) else [f"{said}, {wanted}"]
    if reading.treated is not wanted.get("treated", False):
        unlike.append(f"treated is {reading.treated}")
    # with a number in front nobody asks what stands inside (texts.md, 4)
    if reading.number is None and reading.opt_out_inside is not wanted.get("opt_out_inside", False):
        unlike.append(f"opt_out_inside is {reading.opt_out_inside}")
    if "number" in wanted and reading.number != wanted["number"]:
        unlike.append(f"number is {reading.number}")
    if "hint" in wanted and reading.problems[0].hint != wanted["hint"]:
        unlike.append(f"hint is {reading.problems[0].hint!r}")
    return unlike


@pytest.mark.parametrize("line", CORPUS, ids=str)
def test_a_text_is_read_as_the_text_language_says(line: Line) -> None:
    assert differences(read_line(line), line.expect) == []


@pytest.mark.parametrize("line", CORPUS, ids=str)
def test_the_prefixes_of_a_text_are_those_that_stand_before_it(line: Line) -> None:
    found = read_prefixes(line.text, GROUNDS[line.where].words)

    assert replace(found, end=0) == line.prefixes


def test_the_corpus_has_every_kind_of_problem_and_says_each_text_once() -> None:
    seen = {problem.kind for line in CORPUS for problem in problems_of(read_line(line))}
    texts = [(line.text, line.where) for line in CORPUS]

    assert set(Kind) - seen == set()
    assert len(texts) == len(set(texts)) >= 1300


def problems_of(reading: Reading) -> tuple[Problem, ...]:
    """Give the problems of a reading, whether they take the whole text or a part."""
    return reading.problems if isinstance(reading, Counts | Fix | Unreadable) else ()


@pytest.mark.parametrize("line", CORPUS, ids=str)
def test_a_problem_lies_inside_its_text_and_says_folded_what_it_means(line: Line) -> None:
    for problem in problems_of(read_line(line)):
        start, end = problem.span
        assert 0 <= start <= end <= len(line.text)
        assert problem.said == fold(problem.said)


@pytest.mark.parametrize("line", CORPUS, ids=str)
def test_counts_have_every_column_of_the_card_in_order(line: Line) -> None:
    reading = read_line(line)
    if not isinstance(reading, Counts | Fix):
        return
    card = GROUNDS[line.where].cards[reading.site]
    assert card is not None
    for sample in reading.samples:
        counted = sample.form not in (Form.LOST, Form.SHARES)
        assert tuple(code for code, _ in sample.counts) == (card.codes if counted else ())


def meaning(reading: Reading) -> Reading:
    """Give a reading without what follows the look of its text: the places and words of its problems."""
    match reading:
        case Counts() | Fix() | Unreadable():
            bare = (replace(problem, span=(0, 0), said="", hint="") for problem in reading.problems)
            return replace(reading, problems=tuple(bare))
        case _:
            return reading


def accented(text: str) -> str:
    """Put an accent on every vowel, as one letter where there is one."""
    marked = "".join(f"{char}\u0301" if char in "AEIOUaeiou" else char for char in text)
    return unicodedata.normalize("NFC", marked)


DRESSES: dict[str, Callable[[str], str]] = {
    "small letters": str.lower,
    "capitals": str.upper,
    "accents": accented,
    "accents as marks of their own": lambda text: unicodedata.normalize("NFD", accented(text)),
    "blanks at the ends": lambda text: f"  {text} ",
    "a line break at the end": lambda text: f"{text}\n",
    "blank lines at both ends": lambda text: f"\n\r\n{text}\r\n\n",
    "full-width forms": lambda text: "".join(
        chr(ord(char) + 0xFEE0) if "!" <= char <= "~" else char for char in text
    ),
    "no-break blanks": lambda text: text.replace(" ", "\N{NO-BREAK SPACE}"),
    "quotes": lambda text: f"\N{LEFT DOUBLE QUOTATION MARK}{text}\N{RIGHT DOUBLE QUOTATION MARK}",
    "an emoji": lambda text: f"{text} \N{BUG}",
}


@pytest.mark.parametrize("dress", DRESSES)
@pytest.mark.parametrize("file", sorted({line.file for line in CORPUS}))
def test_the_look_of_a_text_does_not_matter(file: str, dress: str) -> None:
    misread = []
    for line in CORPUS:
        if line.file != file:
            continue
        plain = read_line(line)
        if not can_be_dressed(line, plain):
            continue
        dressed = read(DRESSES[dress](line.text), GROUNDS[line.where])
        if meaning(dressed) != meaning(plain):
            misread.append(f"{line}: {shown(dressed)}")

    assert misread == []


def can_be_dressed(line: Line, plain: Reading) -> bool:
    """Tell whether another look may not matter: signs of their own and a person's own words keep theirs."""
    return line.text.isascii() and type(plain).__name__.lower() not in FREE_WORDS
