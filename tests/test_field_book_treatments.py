"""Which visits stand for a field before and after a treatment, and for its untreated check: as `show` gives them.

The days of a recheck are 3 to 5 after a treatment, never before its hours are over: standing.md, Re-entry.
"""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from tests.talk import Talk, talking

CHECK = ('name = "Pump House"', 'name = "Pump House"\nuntreated_check = 16')
BLOOM = ('name = "Levee"', 'name = "Levee"\nfirst_bloom = 2027-06-30')
SITES = (121, 123, 125)


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    """A season in which field 14 has field 16 as its untreated check."""
    with talking(tmp_path, "talk.toml", CHECK, BLOOM) as opened:
        yield opened


def count(talk: Talk, site: int, at: str, nymphs: int, *, sheets: int = 10) -> None:
    """Text a visit: so many nymphs, as evenly as the sheets take them."""
    each = [(nymphs + n) // sheets for n in range(sheets)]
    who = "ana" if site == 16 else "luis"
    said = " / ".join(f"{number} LN{one}" for number, one in enumerate(each, start=1) if one)
    empty = ", ".join(str(number) for number, one in enumerate(each, start=1) if not one)
    if empty:
        last = empty.rsplit(", ", maxsplit=1)[-1]
        talk.reply(who, at, f"{site} 1-{last} 0")
    if said:
        talk.reply(who, at, f"{site} {said}")


def shown(talk: Talk, field: int, day: int) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = talk.show(field, date(2027, 7, day))["treatments"]
    return found


def lygus(talk: Talk, field: int, day: int) -> dict[str, Any]:
    """Give what is shown of lygus after the one treatment of a field, as of a day of July."""
    (treated,) = shown(talk, field, day)
    (target,) = treated["targets"]
    assert target["target"] == "lygus"
    return dict(target)


def day(of: int, clock: str = "08:00") -> str:
    return f"2027-07-{of:02}T{clock}"


def test_a_field_that_was_never_treated_has_no_treatments(talk: Talk) -> None:
    count(talk, 14, day(6), 30)
    assert shown(talk, 14, 6) == []
    assert talk.show(12)["treatments"] == []
    assert "treatments" not in talk.show(121)


def test_a_treatment_is_shown_with_what_was_before_and_after_it(talk: Talk) -> None:
    count(talk, 14, day(6), 30)
    talk.says("opal", day(6, "12:00"), "14 SPRAYED 24")
    (waiting,) = shown(talk, 14, 9)
    assert (waiting["recheck"], waiting["targets"]) == ("none", [])
    count(talk, 14, day(10), 2)
    assert shown(talk, 14, 10) == [
        {
            "began": "2027-07-06T12:00:00-05:00",
            "over": "2027-07-06T12:00:00-05:00",
            "hours": 24,
            "recheck_days": ["2027-07-09", "2027-07-11"],
            "recheck": "final",
            "untreated_check": 16,
            "targets": [
                {
                    "id": "plantbug-bloom-sheet",
                    "target": "lygus",
                    "method": "beat sheet",
                    "per": "5 row ft",
                    "before": {
                        "density": 5.0,
                        "sites": [14],
                        "samples": 10,
                        "days": ["2027-07-06", "2027-07-06"],
                    },
                    "after": {
                        "density": pytest.approx(1 / 3),
                        "sites": [14],
                        "samples": 10,
                        "days": ["2027-07-10", "2027-07-10"],
                    },
                    "check_before": None,
                    "check_after": None,
                    "by": "before/after",
                    "percent": pytest.approx(280 / 3),
                    "interval": [pytest.approx(81.5, abs=0.1), pytest.approx(98.3, abs=0.1)],
                    "before_after": pytest.approx(280 / 3),
                    "finding": "fewer",
                    "check_left_out": "not counted then",
                }
            ],
        }
    ]
    assert shown(talk, 14, 5) == []


def test_a_correction_of_the_recheck_changes_what_is_shown_from_then_on(talk: Talk) -> None:
    count(talk, 14, day(6), 30)
    talk.says("opal", day(6, "12:00"), "14 SPRAYED 24")
    count(talk, 14, day(10), 2)
    talk.reply("luis", day(10, "11:00"), "14 FIX 1 LN8")
    assert lygus(talk, 14, 10)["after"]["density"] == pytest.approx(10 * 5 / 30)


def test_counts_of_the_treatments_own_day_are_before_it_only_if_they_were_sent_before(talk: Talk) -> None:
    count(talk, 14, day(6, "13:00"), 30)
    talk.says("opal", day(6, "12:00"), "14 SPRAYED 24")
    count(talk, 14, day(10), 2)
    assert lygus(talk, 14, 10)["finding"] == "not counted before"


def test_a_treatment_that_was_told_late_was_made_when_it_was_sent(talk: Talk) -> None:
    count(talk, 14, day(6, "11:00"), 30)
    talk.says("opal", day(6, "14:00"), "14 SPRAYED 24", sent=day(6, "10:00"))
    count(talk, 14, day(10), 2)
    (treated,) = shown(talk, 14, 10)
    # the hours run from when it came: standing.md, Re-entry
    assert (treated["began"], treated["over"]) == ("2027-07-06T10:00:00-05:00", "2027-07-06T14:00:00-05:00")
    assert lygus(talk, 14, 10)["finding"] == "not counted before"


def test_a_count_put_right_after_the_treatment_was_still_made_before_it(talk: Talk) -> None:
    count(talk, 14, day(6), 30)
    talk.says("opal", day(6, "12:00"), "14 SPRAYED 24")
    talk.reply("luis", day(6, "15:00"), "14 FIX 1 LN9")
    count(talk, 14, day(10), 2)
    assert lygus(talk, 14, 10)["before"]["density"] == pytest.approx(36 * 5 / 30)


def test_counts_while_the_field_was_being_treated_are_neither_before_nor_after(talk: Talk) -> None:
    count(talk, 121, day(6, "08:00"), 30)
    count(talk, 123, day(6, "08:30"), 30)
    talk.says("opal", day(6, "08:45"), "12 SPRAYING")
    count(talk, 125, day(6, "09:00"), 30)
    talk.says("opal", day(6, "10:00"), "12 SPRAYED 24")
    for site in SITES:
        count(talk, site, day(9), 2)
    found = lygus(talk, 12, 9)
    assert found["before"]["sites"] == found["after"]["sites"] == [121, 123]


def test_a_visit_before_the_first_day_of_the_recheck_cannot_tell_yet(talk: Talk) -> None:
    count(talk, 14, day(6), 30)
    talk.says("opal", day(6, "12:00"), "14 SPRAYED 24")
    count(talk, 14, day(8), 20)
    (treated,) = shown(talk, 14, 8)
    assert treated["recheck"] == "none"
    count(talk, 14, day(10), 2)
    assert lygus(talk, 14, 10)["after"]["days"] == ["2027-07-10", "2027-07-10"]


def test_the_first_finished_visit_of_the_recheck_holds_and_a_later_one_does_not(talk: Talk) -> None:
    count(talk, 14, day(6), 30)
    talk.says("opal", day(6, "12:00"), "14 SPRAYED 24")
    talk.reply("luis", day(9), "14 1 LN1")
    assert shown(talk, 14, 9)[0]["recheck"] == "none"
    count(talk, 14, day(10), 2)
    count(talk, 14, day(11), 20)
    assert lygus(talk, 14, 11)["after"]["days"] == ["2027-07-10", "2027-07-10"]


def test_nothing_is_said_after_a_treatment_whose_hours_are_not_known(talk: Talk) -> None:
    count(talk, 14, day(6), 30)
    talk.says("opal", day(6, "12:00"), "14 SPRAYED 8 OZ")
    count(talk, 14, day(10), 2)
    (treated,) = shown(talk, 14, 10)
    assert (treated["hours"], treated["recheck_days"], treated["targets"]) == (None, None, [])


def test_a_sign_and_free_words_are_no_treatment_until_a_supervisor_gives_hours(talk: Talk) -> None:
    count(talk, 14, day(6), 30)
    talk.says("luis", day(6, "11:00"), "14 POSTED")
    talk.says("opal", day(6, "12:00"), "14 the plane was flying over it")
    assert shown(talk, 14, 10) == []
    talk.says("june", day(6, "12:30"), "14 OPEN 24")
    talk.says("june", day(6, "12:31"), "1")
    (treated,) = shown(talk, 14, 10)
    # it may have been treated before the sign was seen
    assert (treated["began"], treated["over"]) == ("2027-07-06T11:00:00-05:00", "2027-07-06T12:00:00-05:00")


def test_after_a_second_treatment_the_counts_before_the_first_say_nothing_of_it(talk: Talk) -> None:
    count(talk, 14, day(6), 30)
    talk.says("opal", day(6, "12:00"), "14 SPRAYED 24")
    talk.says("opal", day(8, "12:00"), "14 SPRAYED 24")
    count(talk, 14, day(11), 2)
    first, second = shown(talk, 14, 11)
    assert (first["recheck"], first["targets"]) == ("none", [])
    assert second["targets"][0]["finding"] == "not counted before"


def test_a_recheck_between_two_treatments_is_after_the_one_and_before_the_other(talk: Talk) -> None:
    count(talk, 14, day(6), 30)
    talk.says("opal", day(6, "12:00"), "14 SPRAYED 24")
    count(talk, 14, day(9), 27)
    talk.says("opal", day(9, "12:00"), "14 SPRAYED 24")
    count(talk, 14, day(12), 1)
    first, second = (one["targets"][0] for one in shown(talk, 14, 12))
    assert first["after"] == second["before"]
    assert (first["finding"], second["finding"]) == ("no difference", "fewer")


@pytest.mark.parametrize(("counted", "finding"), [(1, "fewer"), (0, "not counted before")])
def test_counts_hold_until_the_field_is_due_again(tmp_path: Path, counted: int, finding: str) -> None:
    at = day(counted) if counted else "2027-06-30T08:00"
    with talking(tmp_path) as talk:
        count(talk, 14, at, 30)
        talk.says("opal", day(8, "12:00"), "14 SPRAYED 24")  # the plan is due again after 7 days
        count(talk, 14, day(11), 2)
        assert lygus(talk, 14, 11)["finding"] == finding


def test_a_field_of_several_sites_is_so_far_until_each_was_seen_or_skipped(talk: Talk) -> None:
    for site in SITES:
        count(talk, site, day(6), 30)
    talk.says("opal", day(6, "12:00"), "12 SPRAYED 24")
    count(talk, 121, day(9), 2)
    (first,) = shown(talk, 12, 9)
    assert (first["recheck"], first["targets"][0]["finding"]) == ("so far", "too few sites")
    count(talk, 123, day(10), 2)
    assert shown(talk, 12, 10)[0]["recheck"] == "so far"
    talk.reply("luis", day(10, "09:00"), "125 SKIP mud")
    (last,) = shown(talk, 12, 10)
    assert (last["recheck"], last["targets"][0]["after"]["sites"]) == ("final", [121, 123])


def test_a_recheck_that_is_left_is_final_when_a_round_would_be_over(talk: Talk) -> None:
    for site in SITES:
        count(talk, site, day(6), 30)
    talk.says("opal", day(6, "12:00"), "12 SPRAYED 24")
    for site in SITES[:2]:
        count(talk, site, day(9), 2)
    assert [shown(talk, 12, of)[0]["recheck"] for of in (15, 16)] == ["so far", "final"]


def test_a_recheck_in_a_round_that_was_never_finished_leaves_the_counts_before_as_they_were(
    talk: Talk,
) -> None:
    for site in SITES[:2]:
        count(talk, site, day(6), 30)
    talk.says("opal", day(6, "12:00"), "12 SPRAYED 24")
    for site in SITES:
        count(talk, site, day(9), 2)
    found = lygus(talk, 12, 9)
    assert (found["before"]["density"], found["before"]["sites"]) == (5, [121, 123])


def test_a_visit_that_could_be_left_as_certain_stands_before_the_treatment(talk: Talk) -> None:
    talk.reply("luis", day(6), "14 " + " / ".join(f"{number} LN3" for number in range(1, 8)))
    assert talk.show(14)["state"] == "open"
    talk.says("opal", day(6, "12:00"), "14 SPRAYED 24")
    count(talk, 14, day(10), 2)
    found = lygus(talk, 14, 10)
    assert (found["before"]["samples"], found["finding"]) == (7, "fewer")


def test_a_visit_cut_too_short_stands_for_nothing(talk: Talk) -> None:
    talk.reply("luis", day(6), "14 1 LN3 / 2 LN3")
    talk.reply("luis", day(6, "08:10"), "14 SHORT rain")
    talk.says("opal", day(6, "12:00"), "14 SPRAYED 24")
    count(talk, 14, day(10), 2)
    assert lygus(talk, 14, 10)["finding"] == "not counted before"


def test_a_field_that_went_over_to_another_method_is_not_compared(tmp_path: Path) -> None:
    bloom = ("first_bloom = 2027-06-28", "first_bloom = 2027-07-08")
    with talking(tmp_path, "talk.toml", bloom) as talk:
        for site in SITES:
            talk.reply("luis", day(6), f"{site} 1 LA3 / 2 LA2 / 3 LA2 / 4 LA9")
        talk.says("opal", day(6, "12:00"), "12 SPRAYED 24")
        for site in SITES:
            count(talk, site, day(9), 2)
        found = lygus(talk, 12, 9)
        assert (found["finding"], found["before"], found["percent"]) == ("other method", None, None)
