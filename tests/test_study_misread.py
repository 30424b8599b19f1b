"""The misread study: its slips are those of a 12-key phone, it sees what a reply hides, and a slice of it holds."""

from collections import Counter
from datetime import date

import pytest

from tests.studies.corpus import scenes
from tests.studies.judging import DIFFERENT, Law, Outcome
from tests.studies.misread import Study, study
from tests.studies.slips import Slip, neighbours, one_press_off, slips_of
from tests.studies.stored import Change, Row, Seen, how_seen
from tests.studies.tally import broken_laws, report

TODAY, EVE = date(2027, 7, 6), date(2027, 7, 5)
TEXTS, LONGEST = 25, 14
"""Short texts make fewer slips: the slice takes seconds, the whole study minutes."""


def sample(
    number: int, counts: dict[str, int | None], *, person: str = "luis", day: date = TODAY, covers: int = 0
) -> Row:
    said = (
        ("number", number),
        ("covers", covers),
        ("counts", tuple(counts.items())),
        ("extras", ()),
        ("lost", False),
    )
    return Row("samples", 321, day, person, number, said)


# The slips (ITU-T E.161, 02/2001)


@pytest.mark.parametrize(
    ("digit", "others"), [("1", "24"), ("5", "2468"), ("8", "5790"), ("0", "8"), ("3", "26"), ("9", "68")]
)
def test_a_digit_may_slip_to_the_keys_beside_above_and_below(digit: str, others: str) -> None:
    assert sorted(neighbours(digit)) == sorted(others)


@pytest.mark.parametrize(
    ("letter", "others"), [("A", "BC"), ("N", "OM"), ("S", "PR"), ("W", "XZ"), ("f", "de")]
)
def test_a_letter_may_be_one_press_off_around_its_key(letter: str, others: str) -> None:
    assert sorted(one_press_off(letter)) == sorted(others)


def test_every_key_of_a_text_is_dropped_doubled_swapped_and_missed() -> None:
    made: dict[Slip, set[str]] = {}
    for one in slips_of("1 F2"):
        made.setdefault(one.slip, set()).add(one.text)
    assert made == {
        Slip.NEIGHBOUR: {"2 F2", "4 F2", "1 F1", "1 F3", "1 F5"},
        Slip.DROPPED: {" F2", "1 2", "1 F"},
        Slip.SEPARATOR_LOST: {"1F2"},
        Slip.DOUBLED: {"11 F2", "1  F2", "1 FF2", "1 F22"},
        Slip.SWAPPED: {" 1F2", "1F 2", "1 2F"},
        Slip.ONE_PRESS: {"1 D2", "1 E2"},
    }


# What the study sees


@pytest.mark.parametrize(
    ("reply", "seen"),
    [
        ("321 3 FA2 LN1. 3 of 10 in.", Seen.IN_ECHO),
        ("321 3 20010. Van 3 de 10.", Seen.IN_ECHO),
        ("321 3 2 0 0 1 0. 3 of 10 in.", Seen.IN_ECHO),
        ("321 2 0 / 3 FA2 LN1. 4 of 10 in.", Seen.IN_ECHO),
        ("321 3 is now FA2 LN1 (was FA2). 3 of 10 in.", Seen.IN_ECHO),
        ("321 sums 2 0, 3 3. 4 of 10 in.", Seen.AS_SUMS),
        ("321 sums 2 3, 3 4. 4 of 10 in.", Seen.NOT),
        ("321 3 FA2 LN11. 3 of 10 in.", Seen.NOT),
        ("321 3 FA2. 3 of 10 in.", Seen.NOT),
        ("321 13 FA2 LN1. 3 of 10 in.", Seen.NOT),
        ("321 3 is now FA2 (was FA1; if not: 321 FIX 3 FA2 LN1).", Seen.NOT),
        ("323 3 FA2 LN1. 3 of 10 in.", Seen.NOT),
        ("321: 3 of 10 in.", Seen.NOT),
    ],
)
def test_a_sample_is_seen_only_with_its_site_its_number_and_its_counts(reply: str, seen: Seen) -> None:
    stored = Change((sample(3, {"FA": 2, "FN": 0, "LA": 0, "LN": 1, "MP": 0}),), ())
    assert how_seen(stored, reply, "luis", TODAY) is seen


@pytest.mark.parametrize(
    ("row", "reply", "seen"),
    [
        (sample(5, {"LA": 0, "LN": 0}), "321 4-7 0. 7 of 10 in.", Seen.IN_ECHO),
        (sample(8, {"LA": 0, "LN": 0}), "321 4-7 0. 7 of 10 in.", Seen.NOT),
        (sample(0, {"LA": 9, "LN": 0}, covers=10), "321 TOTAL 10 LA9. DONE, 10 of 10.", Seen.IN_ECHO),
        (sample(0, {"LA": 9, "LN": 0}, covers=9), "321 TOTAL 10 LA9. DONE, 10 of 10.", Seen.NOT),
        (sample(3, {"LA": 1, "LN": None}), "321 3 LA1 LNX. 3 of 10 in.", Seen.IN_ECHO),
        (sample(3, {"LA": 1, "LN": None}), "321 3 LA1. 3 of 10 in.", Seen.NOT),
        (sample(3, {"LA": 1, "LN": 0}, day=EVE), "321 3 LA1. 3 of 10 in.", Seen.NOT),
        (sample(3, {"LA": 1, "LN": 0}, day=EVE), "Jul 5: 321 3 LA1. 3 of 10 in.", Seen.IN_ECHO),
        (sample(3, {"LA": 1, "LN": 0}, person="ana"), "321 3 LA1. 3 of 10 in.", Seen.NOT),
        (sample(3, {"LA": 1, "LN": 0}, person="ana"), "Ana: 321 3 LA1. 3 of 10 in.", Seen.IN_ECHO),
    ],
)
def test_ranges_totals_days_and_persons_are_seen_only_where_they_are_said(
    row: Row, reply: str, seen: Seen
) -> None:
    assert how_seen(Change((row,), ()), reply, "luis", TODAY) is seen


@pytest.mark.parametrize(
    ("stop", "reply", "seen"),
    [
        (None, "321 BH: 1 hurt of 5 bolls, 20 %.", Seen.IN_ECHO),
        (None, "321 BH: 1 hurt of 50 bolls, 2 %.", Seen.NOT),
        (2, "321 1 BH 2 5 / 2 LA1 BH 1 5. 2 of 10 in.", Seen.IN_ECHO),
        (2, "321 1 BH 1 5 / 2 BH 0 5. 2 of 10 in.", Seen.NOT),
    ],
)
def test_a_share_is_seen_only_with_its_code_its_stop_and_its_numbers(
    stop: int | None, reply: str, seen: Seen
) -> None:
    row = Row("shares", 321, TODAY, "luis", stop, (("code", "BH"), ("sample", stop), ("n", 1), ("of", 5)))
    assert how_seen(Change((row,), ()), reply, "luis", TODAY) is seen


def test_what_was_taken_away_is_seen_only_where_its_sample_is_named() -> None:
    gone = Change((), (sample(2, {"LA": 1, "LN": 0}),))
    assert how_seen(gone, "321: taken back 2 LA1.", "luis", TODAY) is Seen.IN_ECHO
    assert how_seen(gone, "321: taken back.", "luis", TODAY) is Seen.NOT


# A slice of the study


@pytest.fixture(scope="module")
def sliced() -> Study:
    return study(scenes(TEXTS, LONGEST))


@pytest.mark.parametrize("law", Law)
def test_no_slip_of_the_slice_breaks_the_law(sliced: Study, law: Law) -> None:
    broken = broken_laws(sliced.judged)[law]
    assert not broken, [(one.true.text, one.slipped.text, one.reply) for one in broken]


def test_every_true_text_of_the_slice_is_taken_and_every_slip_can_be_heard(sliced: Study) -> None:
    assert not sliced.not_valid
    assert not [one for one in sliced.judged if one.outcome is Outcome.BROKE]


def test_the_slice_has_slips_of_every_kind_and_texts_with_and_without_a_total(sliced: Study) -> None:
    assert len(sliced.texts) == TEXTS
    assert {one.slipped.slip for one in sliced.judged} == set(Slip)
    assert {one.true.control for one in sliced.judged} == {True, False}
    outcomes = Counter(one.outcome for one in sliced.judged)
    assert min(outcomes[one] for one in (Outcome.REFUSED, Outcome.ASKED, Outcome.SAME, Outcome.ECHOED)) > 0


def test_whatever_is_different_has_its_kind_and_the_report_its_numbers(sliced: Study) -> None:
    different = [one for one in sliced.judged if one.outcome in DIFFERENT]
    assert all(one.kind is not None for one in different)
    said = report(sliced.judged, sliced.texts, sliced.not_valid)
    assert f"{TEXTS} texts, {len(sliced.judged)} slips" in said
