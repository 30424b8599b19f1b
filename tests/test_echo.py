"""A reading said back as the text that we would have liked to get: reading the echo gives the reading again."""

from dataclasses import replace

import pytest
from hypothesis import example, given

from parsing import (
    TOTALS,
    Card,
    Counts,
    Fix,
    Form,
    Guess,
    Sample,
    ShareFound,
    can_pack,
    counts_in_codes,
    echo,
    echo_samples,
    read,
)
from tests.test_reading import CORPUS, GROUNDS, Line, read_line
from tests.test_reading_sent import SITE, Sent, SentSums, sent, sums_sent

FIVE = Card(("FA", "FN", "LA", "LN", "MP"), samples=10, ask_above=20)

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


@given(sums_sent())
def test_reading_the_echo_of_totals_gives_the_totals(said: SentSums) -> None:
    counted = Counts(SITE, (said.sums,))

    assert read(echo(counted), said.ground) == counted


@given(sums_sent())
def test_totals_are_never_echoed_packed(said: SentSums) -> None:
    assert not can_pack(said.sums)
    assert echo_samples((said.sums,), packed=True) == echo_samples((said.sums,))


@given(sent())
def test_reading_the_echo_of_a_correction_gives_the_correction(said: Sent) -> None:
    if said.samples[0].number is None:
        return
    fixed = Fix(SITE, said.samples)

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
    return sample if sample.form in (Form.LOST, Form.SHARES) else replace(sample, form=Form.CODED)


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
ONE_OF_FIVE = (ShareFound("BH", 1, 5),)
NONE_OF_FIVE = (ShareFound("BH", 0, 5),)


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
        ((replace(FA2_FN1, shares=ONE_OF_FIVE),), "3 FA2 FN1 BH 1 5"),
        ((replace(FA2_FN1, form=Form.PACKED, shares=ONE_OF_FIVE),), "3 21000 BH 1 5"),
        (
            (
                Sample(1, Form.SHARES, shares=ONE_OF_FIVE),
                Sample(2, Form.SHARES, shares=(*NONE_OF_FIVE, ShareFound("DS", 2, 20))),
            ),
            "1 BH 1 5 / 2 BH 0 5 DS 2 20",
        ),
        (
            tuple(
                replace(sample(number, Form.NOTHING, 0, 0, 0, 0, 0), shares=NONE_OF_FIVE) for number in (4, 5)
            ),
            "4 0 BH 0 5 / 5 0 BH 0 5",
        ),
        ((replace(FA2_FN1, number=TOTALS, covers=10),), "TOTAL 10 FA2 FN1"),
        ((replace(FA2_FN1, number=TOTALS, covers=10, form=Form.DIGITS),), "TOTAL 10 2 1 0 0 0"),
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
        (replace(FA2_FN1, shares=ONE_OF_FIVE), False),
        (Sample(3, Form.SHARES, shares=ONE_OF_FIVE), False),
        (replace(FA2_FN1, number=TOTALS, covers=10), False),
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
