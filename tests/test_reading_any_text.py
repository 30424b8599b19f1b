"""What holds for any text: it is read, no number in it is lost in silence, and its dress does not matter."""

import re
import unicodedata
from collections import Counter
from dataclasses import replace
from typing import get_args

from hypothesis import example, given
from hypothesis import strategies as st

from parsing import Counts, Done, Form, Reading, Short, Skip, read
from tests.test_echo import SITE, Sent, plainly_said, sent
from tests.test_reading import GROUNDS, accented, meaning, problems_of

# Words and numbers that stand near the rules' edges; joined they make texts that are nearly right.
PIECES = [
    *("121", "123", "12", "14", "31", "27", "162", "1", "2", "3", "4", "0", "10", "21004", "00001"),
    *("FA2", "FN1", "LN3", "SB1", "FA", "FN", "2FA", "1FN", "FA2FN1", "2FA1FN", "FNX", "X", "LO1", "BW4"),
    *("S3", "NADA", "Y", "T3", "=7", "A", "BH", "SQ", "FIX", "STOP", "DONE", "OK", "STAGE", "BLOOM"),
    *("gracias", "1O", "L2", "O", "/", "\n", ";", "#", "-", ".", ",", "?", "%", "½", "²"),
]
NEARLY = st.lists(
    st.tuples(st.sampled_from(PIECES), st.sampled_from([" ", " ", " ", "", ".", ",", "*"])), max_size=14
).map(lambda said: "".join(piece + gap for piece, gap in said))

# Groups of which each may be a sample, on one card or another, and what may stand between them.
SAMPLE_NUMBERS = st.sampled_from(["", "1", "2", "3", "3", "10", "S4"])
WHAT_WAS_COUNTED = [
    *("FA2", "FA2 FN1", "FA 2 LN 1", "FA2LN3", "2FA", "2FA1LN", "FNX FA2", "SB1 LA2", "LO1", "BW4"),
    *("LA1 BE2", "FA", "FA2 4", "2 FA", "FA2²", "½", "0", "X", "NADA", "21004", "01004", "210", "14", "2 1"),
    *("2 1 0 0 4", "2.1.0.0.4", "2 X 0 0 4", "2 1 0", "4 2 5 0", "0 2 0 3 0"),
]
GROUPS = st.tuples(
    SAMPLE_NUMBERS, st.sampled_from([" ", " ", ".", "*", ""]), st.sampled_from(WHAT_WAS_COUNTED)
).map("".join)
BETWEEN = st.sampled_from(["\n", " / ", ";", "#", " / 121 ", "\n123 ", " ", ", ", " y "])
SAMPLES = st.lists(st.tuples(GROUPS, BETWEEN), min_size=1, max_size=4).map(
    lambda said: "".join(part for pair in said for part in pair)
)

READINGS = get_args(Reading)
GROUND_NAMES = st.sampled_from(sorted(GROUNDS))


@given(st.one_of(st.text(), NEARLY), GROUND_NAMES)
def test_every_text_is_read_and_none_raises(text: str, where: str) -> None:
    reading = read(text, GROUNDS[where])

    assert isinstance(reading, READINGS)
    for problem in problems_of(reading):
        start, end = problem.span
        assert 0 <= start <= end <= len(text)


@given(st.sampled_from(["121 ", "121 ", "31 ", "162 ", "27 ", ""]), SAMPLES)
@example("162 ", "3 ½")
@example("121 ", "3 FA2²")
def test_no_number_of_a_text_is_lost_or_made_in_silence(site: str, rest: str) -> None:
    text = site + rest
    reading = read(text, GROUNDS["larkspur_open"])
    if not isinstance(reading, Counts) or reading.problems:
        return  # it was said what could not be taken

    said = Counter(int(number) for number in re.findall("[0-9]+", text))
    assert without_site(Counter(numbers_of(reading)), reading.site) == without_site(said, reading.site)


def without_site(numbers: Counter[int], site: int) -> Counter[int]:
    """Leave out the site, which may be said again, and noughts, which a coded sample need not say."""
    return Counter({number: times for number, times in numbers.items() if number not in (0, site)})


def numbers_of(reading: Counts) -> list[int]:
    """Give the numbers that a reading must have come from: of each sample its number and its counts."""
    numbers: list[int] = []
    for sample in reading.samples:
        numbers.append(sample.number or 0)
        if sample.form is Form.PACKED:
            numbers.append(int("".join(str(count) for _, count in sample.counts)))
        else:
            numbers += [count or 0 for _, count in sample.counts]
        numbers += [count for _, count in sample.extras]
    return numbers


# Between two numbers a point or comma without a blank makes a decimal where other numbers have blanks.
SEPARATORS = st.sampled_from(
    [" ", "  ", "*", "_", "+", "&", ":", ", ", " . ", " (", ") ", "\N{NO-BREAK SPACE}", "\t"]
)
BREAKS = st.sampled_from(["\n", "/", ";", " / ", "\r\n", " ; ", "//", "\n\n"])


@given(sent(), st.data())
def test_separators_of_one_class_are_one(said: Sent, data: st.DataObject) -> None:
    groups = [re.sub(" ", lambda _: data.draw(SEPARATORS), plainly_said(sample)) for sample in said.samples]
    text = f"{SITE}{data.draw(SEPARATORS)}" + "".join(
        group + (data.draw(BREAKS) if place < len(groups) - 1 else "") for place, group in enumerate(groups)
    )

    assert read(text, said.ground) == Counts(SITE, said.samples)


@given(sent(), st.sampled_from([".", ",", "*", "_", "+", "&", ":"]), st.sampled_from(["\n", "/", ";"]))
def test_a_text_without_blanks_is_read_as_one_with_blanks(said: Sent, gap: str, between: str) -> None:
    plain = f"{SITE} " + between.join(plainly_said(sample) for sample in said.samples)

    assert read(plain.replace(" ", gap), said.ground) == Counts(SITE, said.samples)


@given(NEARLY, GROUND_NAMES)
def test_case_does_not_matter(text: str, where: str) -> None:
    assert bare(read(text.lower(), GROUNDS[where])) == bare(read(text.upper(), GROUNDS[where]))


@given(NEARLY, GROUND_NAMES)
def test_accents_do_not_matter(text: str, where: str) -> None:
    plain = bare(read(text, GROUNDS[where]))

    assert bare(read(accented(text), GROUNDS[where])) == plain
    assert bare(read(unicodedata.normalize("NFD", accented(text)), GROUNDS[where])) == plain


@given(NEARLY, st.sampled_from([" ", "\n", "\r\n", " \n "]), GROUND_NAMES)
def test_blanks_and_line_breaks_at_the_ends_do_not_matter(text: str, blank: str, where: str) -> None:
    assert bare(read(f"{blank}{text.strip()}{blank}", GROUNDS[where])) == bare(
        read(text.strip(), GROUNDS[where])
    )


def bare(reading: Reading) -> Reading:
    """Give a reading without what follows the look of a text, a person's own words among it."""
    match reading:
        case Short() | Done() | Skip():
            return replace(reading, reason=None)
        case _:
            return meaning(reading)
