"""A reading said back as the text that we would have liked to get: reading the echo gives the reading again."""

from dataclasses import dataclass, replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from parsing import (
    Card,
    Counts,
    Fix,
    Form,
    Ground,
    Guess,
    Sample,
    can_pack,
    counts_in_codes,
    echo,
    echo_samples,
    read,
    shipped_words,
)
from tests.test_reading import CORPUS, GROUNDS, Line, read_line

CODES = ("FA", "FN", "LA", "LN", "MP", "BE", "HC", "AR", "BW", "SB", "CB", "UK")
SITE = 121
FIVE = Card(("FA", "FN", "LA", "LN", "MP"), samples=10, ask_above=20)
LEAST_PACKED = 3


@dataclass(frozen=True, slots=True)
class Sent:
    """Samples of one site as a phone could have sent them, and the card there."""

    card: Card
    samples: tuple[Sample, ...]

    @property
    def ground(self) -> Ground:
        """What they are read against: a season of one site."""
        shares = frozenset({"SQ", "BH", "DS"})
        cards = {SITE: self.card}
        return Ground(shipped_words(), cards, {}, frozenset(CODES), shares, self.card.samples)


@st.composite
def cards(draw: st.DrawFn) -> Card:
    codes = draw(st.lists(st.sampled_from(CODES), min_size=1, max_size=8, unique=True))
    return Card(tuple(codes), draw(st.integers(1, 25)), draw(st.integers(5, 500)))


counts = st.one_of(st.just(0), st.integers(0, 9), st.integers(0, 300))


@st.composite
def samples_of(draw: st.DrawFn, card: Card, number: int | None) -> Sample:
    """One sample in a form that its counts can be sent in."""
    forms = [Form.CODED, Form.NOTHING]
    if number is not None:
        forms += [Form.LOST, Form.DIGITS] + [Form.PACKED] * (len(card.codes) >= LEAST_PACKED)
    form = draw(st.sampled_from(forms))
    if form is Form.LOST:
        return Sample(number, form)
    if form is Form.NOTHING:
        return Sample(number, form, tuple((code, 0) for code in card.codes))
    if form is Form.PACKED:
        return Sample(number, form, tuple((code, draw(st.integers(0, 9))) for code in card.codes))
    counted = counts if number is None else st.one_of(st.none(), counts, counts)
    said = tuple((code, draw(counted)) for code in card.codes)
    beside = [code for code in CODES if code not in card.codes]
    extras: tuple[tuple[str, int], ...] = ()
    if form is Form.CODED and beside:
        extras = tuple(draw(st.dictionaries(st.sampled_from(beside), st.integers(1, 30), max_size=2)).items())
    sample = Sample(number, form, said, extras)
    return (
        sample
        if can_be_said(sample)
        else Sample(number, Form.NOTHING, tuple((code, 0) for code in card.codes))
    )


def can_be_said(sample: Sample) -> bool:
    """Tell whether a text says these counts in this form and nothing else by it.

    Nothing found is `0` and every column X is a lost sample, whatever form they were meant in; digits whose
    every second number is 0 or could be packed may be pairs too, and are asked.
    """
    found = [count for _, count in sample.counts]
    if all(count is None for count in found) or (not any(found) and None not in found and not sample.extras):
        return False
    if sample.form is Form.CODED:
        return True
    seconds = [str(count) for count in found[::2]]
    return len(found) % 2 == 0 or not all(said == "0" or len(said) == len(found) for said in seconds)


@st.composite
def sent(draw: st.DrawFn) -> Sent:
    """One sample, with its number or the next, or several in any order."""
    card = draw(cards())
    numbers: list[int | None] = list(
        draw(st.lists(st.integers(1, card.samples), min_size=1, max_size=6, unique=True))
    )
    if draw(st.booleans()):
        numbers.sort(key=lambda number: number or 0)
    if len(numbers) == 1 and draw(st.booleans()):
        numbers = [None]
    return Sent(card, tuple(draw(samples_of(card, number)) for number in numbers))


def plainly_said(sample: Sample) -> str:
    """Give a sample as a text, written apart from the echo: what the tests hold it to."""
    number = [] if sample.number is None else [str(sample.number)]
    said = ["X" if count is None else str(count) for _, count in sample.counts]
    match sample.form:
        case Form.LOST:
            words = ["X"]
        case Form.NOTHING:
            words = ["0"]
        case Form.PACKED:
            words = ["".join(said)]
        case Form.DIGITS:
            words = said
        case Form.CODED:
            words = [f"{code}{count}" for (code, _), count in zip(sample.counts, said, strict=True)]
            words += [f"{code}{count}" for code, count in sample.extras]
    return " ".join([*number, *words])


def plain_text(samples: tuple[Sample, ...], word: str = "") -> str:
    return f"{SITE} {word}" + " / ".join(plainly_said(sample) for sample in samples)


@given(sent())
def test_samples_with_breaks_are_read_as_they_were_sent(said: Sent) -> None:
    assert read(plain_text(said.samples), said.ground) == Counts(SITE, said.samples)


# on three columns `2 0 5 0` could be digits too
THREE = Card(("LA", "LN", "MP"), samples=10, ask_above=20)
NOTHING_TWICE = tuple(
    Sample(number, Form.NOTHING, tuple((code, 0) for code in THREE.codes)) for number in (2, 5)
)


@given(sent())
@example(Sent(THREE, NOTHING_TWICE))
def test_reading_the_echo_of_counts_gives_the_counts(said: Sent) -> None:
    counted = Counts(SITE, said.samples)

    assert read(echo(counted), said.ground) == counted


@given(sent())
def test_reading_the_echo_of_a_correction_gives_the_correction(said: Sent) -> None:
    if said.samples[0].number is None:
        return
    fixed = Fix(SITE, said.samples)

    assert read(plain_text(said.samples, "FIX "), said.ground) == fixed
    assert read(echo(fixed), said.ground) == fixed


@given(sent())
def test_the_packed_echo_gives_the_same_counts(said: Sent) -> None:
    reading = read(f"{SITE} {echo_samples(said.samples, packed=True)}", said.ground)

    assert isinstance(reading, Counts)
    assert (reading.problems, reading.rival) == ((), ())
    assert [without_form(sample) for sample in reading.samples] == [
        without_form(sample) for sample in said.samples
    ]


def without_form(sample: Sample) -> Sample:
    return sample if sample.lost else replace(sample, form=Form.CODED)


@pytest.mark.parametrize(
    "line", [line for line in CORPUS if isinstance(read_line(line), Counts | Fix)], ids=str
)
def test_the_echo_of_every_good_text_of_the_corpus_is_read_as_the_text_was(line: Line) -> None:
    reading = read_line(line)
    assert isinstance(reading, Counts | Fix)
    plain = tuple(replace(sample, guesses=()) for sample in reading.samples)
    match reading:
        case Counts() if reading.rival:
            return  # asked because no text says it in this form without doubt
        case Counts():
            meant: Counts | Fix = Counts(reading.site, plain)
        case Fix():
            meant = Fix(reading.site, plain)

    assert read(echo(meant), GROUNDS[line.where]) == meant


def sample(
    number: int | None, form: Form, *said: int | None, extras: tuple[tuple[str, int], ...] = ()
) -> Sample:
    return Sample(number, form, tuple(zip(FIVE.codes, said, strict=True)) if said else (), extras)


FA2_FN1 = sample(3, Form.CODED, 2, 1, 0, 0, 0)


# Forms as in replies.md, 1 to 10.
@pytest.mark.parametrize(
    ("samples", "text"),
    [
        ((FA2_FN1,), "3 FA2 FN1"),
        ((replace(FA2_FN1, number=None),), "FA2 FN1"),
        ((replace(FA2_FN1, extras=(("SB", 1),)),), "3 FA2 FN1 SB1"),
        ((replace(FA2_FN1, form=Form.DIGITS),), "3 2 1 0 0 0"),
        ((replace(FA2_FN1, form=Form.PACKED),), "3 21000"),
        ((sample(3, Form.NOTHING, 0, 0, 0, 0, 0),), "3 0"),
        ((sample(3, Form.LOST),), "3 X"),
        ((sample(3, Form.CODED, 2, None, 0, 0, 0),), "3 FA2 FNX"),
        ((sample(3, Form.DIGITS, 2, None, 0, 0, 4),), "3 2 X 0 0 4"),
        ((FA2_FN1, replace(FA2_FN1, number=4)), "3 FA2 FN1 / 4 FA2 FN1"),
        (tuple(sample(number, Form.NOTHING, 0, 0, 0, 0, 0) for number in (4, 5, 6, 7)), "4-7 0"),
        (
            (sample(1, Form.PACKED, 2, 0, 0, 1, 0), sample(4, Form.NOTHING, 0, 0, 0, 0, 0)),
            "1 20010 4 0",
        ),
    ],
)
def test_samples_are_echoed_in_the_form_that_the_scout_used(samples: tuple[Sample, ...], text: str) -> None:
    assert echo_samples(samples) == text
    assert echo(Counts(SITE, samples)) == f"{SITE} {text}"
    assert echo(Fix(SITE, samples)) == f"{SITE} FIX {text}"


@pytest.mark.parametrize(
    ("one", "packs"),
    [
        (FA2_FN1, True),
        (sample(3, Form.NOTHING, 0, 0, 0, 0, 0), True),
        (sample(3, Form.CODED, 10, 0, 0, 0, 0), False),
        (sample(3, Form.CODED, 2, None, 0, 0, 0), False),
        (replace(FA2_FN1, extras=(("SB", 1),)), False),
        (sample(3, Form.LOST), False),
        (Sample(3, Form.DIGITS, (("LA", 2), ("LN", 1))), False),
    ],
)
def test_what_packs_has_three_columns_or_more_one_digit_each_and_nothing_beside(
    one: Sample, packs: bool
) -> None:
    assert can_pack(one) is packs


def test_what_does_not_pack_is_echoed_as_it_was_sent() -> None:
    over_nine = sample(4, Form.CODED, 10, 0, 0, 0, 0)

    assert echo_samples((FA2_FN1, over_nine), packed=True) == "3 21000 / 4 FA10"


@pytest.mark.parametrize(
    ("one", "said"),
    [
        (FA2_FN1, "FA2 FN1"),
        (sample(3, Form.PACKED, 2, 0, 0, 0, 4), "FA2 MP4"),
        (sample(3, Form.NOTHING, 0, 0, 0, 0, 0), "0"),
        (sample(3, Form.DIGITS, 2, None, 0, 0, 0), "FA2 FNX"),
        (sample(3, Form.LOST), "X"),
    ],
)
def test_counts_are_said_in_codes_whatever_form_they_came_in(one: Sample, said: str) -> None:
    assert counts_in_codes(one) == said


def test_a_guess_is_echoed_as_the_code_that_it_is_taken_for() -> None:
    guessed = replace(FA2_FN1, guesses=(Guess("FM", "FN"),))

    assert echo(Counts(SITE, (guessed,))) == "121 3 FA2 FN1"
