"""What holds for any text: it is read, no number in it is lost in silence, and its dress does not matter."""

import re
import unicodedata
from collections import Counter
from dataclasses import replace
from typing import get_args

from hypothesis import assume, example, given
from hypothesis import strategies as st

from parsing import (
    Close,
    Counts,
    Done,
    Each,
    Form,
    Move,
    Nawf,
    Note,
    OptOut,
    Prefixes,
    Reading,
    ShareSaid,
    Short,
    Skip,
    Sos,
    Tell,
    Treated,
    read,
    read_prefixes,
)
from tests.test_reading import GROUNDS, accented, meaning, problems_of
from tests.test_reading_sent import SITE, Sent, plainly_said, sent

# Words and numbers that stand near the rules' edges; joined they make texts that are nearly right.
PIECES = [
    *("121", "123", "12", "14", "31", "27", "162", "1", "2", "3", "4", "0", "10", "21004", "00001"),
    *("FA2", "FN1", "LN3", "SB1", "FA", "FN", "2FA", "1FN", "FA2FN1", "2FA1FN", "FNX", "X", "LO1", "BW4"),
    *("S3", "NADA", "Y", "T3", "=7", "A", "BH", "SQ", "FIX", "STOP", "DONE", "OK", "STAGE", "BLOOM"),
    *("BH1", "DS", "OF", "TOTAL", "TODO", "MOVE", "EACH", "NOTE", "WET", "CLOSE", "WHERE", "NAWF", "5.5"),
    *(
        "TUE",
        "CHECK",
        "BY",
        "ANA",
        "PRACTICE",
        "gracias",
        "SPRAYED",
        "FUMIGADO",
        "24",
        "48",
        "H",
        "OZ",
        "DAYS",
    ),
    *("KEEP", "OUT", "OPEN", "TO", "LUIS", "SEND", "TELL", "TEMP", "97", "71", "SOS", "911", "PLAN"),
    *("1O", "L2", "O", "/", "\n", ";", "#", "-", ".", ",", "?", "%", "½", "²"),
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
    *("BH 1 5", "BH 1/5", "BH1/5", "BH 1 / 5", "DS 3 of 25", "BH 1 5 DS 2 20", "LA1 BH 1 5", "BH 1/5 LA2"),
    *("21004 BH 2 5", "0 DS 1 4", "2 1 0 0 4 BH 2 5", "4 BH 1 5", "BH 1", "BH 1 5 2", "BH2.5", "LA BH 1 5 2"),
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
        numbers += [number for share in sample.shares for number in (share.n, share.of)]
        numbers.append(sample.covers)
    return numbers


# What may follow a word that takes numbers, nearly right; joined by what may stand between numbers.
WORDED = st.tuples(
    st.sampled_from(["SQ", "BH", "CU", "NAWF", "EACH", "MOVE", "TOTAL", "TODO", "ALL", "FIX"]),
    st.lists(
        st.tuples(
            st.sampled_from([" ", " ", " ", "", ".", ",", "/", " / ", " of ", "\n", "-", "*", "#"]),
            st.sampled_from(
                ["1", "3", "5", "10", "25", "100", "123", "0", "5.5", "6,5", "FA3", "BH", "LN", "%"]
            ),
        ),
        max_size=7,
    ).map(lambda said: "".join(gap + piece for gap, piece in said)),
).map("".join)


@given(WORDED)
@example("BH 2.5")
@example("NAWF 5.5 6")
def test_no_number_after_a_word_is_lost_or_made_in_silence(rest: str) -> None:
    reading = read(f"121 {rest}", GROUNDS["larkspur"])
    if problems_of(reading):
        return
    match reading:
        case Counts():
            numbers = [str(number) for number in numbers_of(reading)]
        case ShareSaid(_, _, n, of):
            numbers = [str(n), str(of)]
        case Nawf(_, plants):
            numbers = [str(nodes) for nodes in plants]
        case Each(_, amount):
            numbers = [str(amount)]
        case Move(_, to):
            numbers = [str(to)]
        case _:
            return

    assert nonzero(" ".join(numbers)) == nonzero(rest)


def nonzero(text: str) -> Counter[int]:
    """Count the numbers of a text, noughts and a site said again left out; 5.5 is two of them."""
    return Counter(int(number) for number in re.findall("[0-9]+", text) if int(number) not in (0, SITE))


@given(st.sampled_from(["121 ", "162 ", "27 "]), st.sampled_from(["BH", "DS", "NAWF", "EACH"]), SAMPLES)
def test_a_decimal_is_taken_by_nothing_but_nodes(site: str, word: str, rest: str) -> None:
    reading = read(f"{site}{word} 2.5 {rest}", GROUNDS["larkspur"])

    assert isinstance(reading, Nawf) or problems_of(reading)


# One spelling each, in the order of the text language, and what it is read as.
SPELT_PREFIXES: list[list[tuple[str, Prefixes]]] = [
    [("PRACTICE", Prefixes(practice=True)), ("prueba", Prefixes(practice=True))],
    [("BY ANA", Prefixes(by="ANA")), ("por José Luis", Prefixes(by="JOSE LUIS"))],
    [("CHECK", Prefixes(check=True)), ("revisa", Prefixes(check=True))],
    [("TUE", Prefixes(day="tue")), ("Miércoles", Prefixes(day="wed")), ("ayer", Prefixes(day="yesterday"))],
]


@st.composite
def prefixed(draw: st.DrawFn) -> tuple[str, Prefixes]:
    """One prefix or more, in any order, and what they must be read as."""
    chosen = draw(st.lists(st.sampled_from(range(len(SPELT_PREFIXES))), min_size=1, unique=True))
    said = [draw(st.sampled_from(SPELT_PREFIXES[place])) for place in chosen]
    meant = Prefixes(
        practice=any(one.practice for _, one in said),
        by=next((one.by for _, one in said if one.by), None),
        check=any(one.check for _, one in said),
        day=next((one.day for _, one in said if one.day), None),
    )
    between = st.sampled_from([" ", "  ", ", ", ": ", "\n", " please ", ". "])
    return "".join(spelt + draw(between) for spelt, _ in said), meant


@given(
    prefixed(),
    st.one_of(st.tuples(st.sampled_from(["121 ", "31 ", "162 ", "27 "]), SAMPLES).map("".join), NEARLY),
    GROUND_NAMES,
)
def test_prefixes_change_nothing_in_the_reading_of_the_rest(
    before: tuple[str, Prefixes], text: str, where: str
) -> None:
    prefix, meant = before
    words = GROUNDS[where].words
    # a word could go on with a name, and another prefix is one of its own
    assume(re.match(r"\W*[0-9]", text) and read_prefixes(text, words) == Prefixes())
    plain = read(text, GROUNDS[where])
    # a day and CHECK leave the hours in doubt
    assume(not isinstance(plain, OptOut | Treated | Sos))

    assert bare(read(prefix + text, GROUNDS[where])) == bare(plain)
    found = read_prefixes(prefix + text, words)
    assert replace(found, end=0) == meant
    assert text.endswith((prefix + text)[found.end :])


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
        case Short() | Done() | Skip() | Close():
            return replace(reading, reason=None)
        case Note():
            return replace(reading, words=None)
        case Tell() | Sos():
            return replace(reading, words="")
        case Treated():
            return replace(reading, said="")
        case _:
            return meaning(reading)
