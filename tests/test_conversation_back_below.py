"""A grower's last word on a field is true: an alert is ended by one "back below", whatever lay between."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.talk import Talk, talking, to

OPAL, RAMON, JUNE = "+12705550130", "+12705550131", "+12705550120"

THREES = "14 " + " / ".join(f"{number} LN3" for number in range(1, 11))
"""5 per 5 row feet, against a level of 3."""


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path) as open_talk:
        yield open_talk


def alert_of_july_1(talk: Talk) -> None:
    talk.says("luis", "2027-07-01T09:00", THREES)
    talk.says("opal", "2027-07-01T09:05", "OK")
    talk.says("ramon", "2027-07-01T09:05", "OK")


def test_still_above_put_right_before_it_left_leaves_back_below_as_the_last_word(talk: Talk) -> None:
    alert_of_july_1(talk)
    assert to(talk.says("luis", "2027-07-08T06:48", THREES), "alert") == []
    talk.says("luis", "2027-07-08T07:55", "14 FIX 1 0 / 2 0 / 3 0 / 4 0 / 5 0 / 6 0")
    freed = talk.strikes("2027-07-08T08:02")
    assert "back BELOW (5 on Jul 1)" in dict(to(freed, "alert"))[OPAL]
    assert "back BELOW" in dict(to(freed, "notice"))[JUNE]
    assert talk.strikes("2027-07-08T09:00") == []


def test_taken_back_and_below_only_later_ends_the_last_word_too(talk: Talk) -> None:
    alert_of_july_1(talk)
    talk.says("luis", "2027-07-08T06:48", THREES)
    talk.says("luis", "2027-07-08T07:55", "14 UNDO")
    assert to(talk.strikes("2027-07-08T08:02"), "alert") == []
    told = dict(to(talk.says("luis", "2027-07-08T09:00", "14 1-10 0"), "alert"))
    assert "back BELOW (5 on Jul 1)" in told[OPAL]


def test_an_alert_that_waits_out_the_night_never_leaves_where_the_next_round_is_below(talk: Talk) -> None:
    assert to(talk.says("luis", "2027-07-01T22:00", THREES), "alert") == []
    assert to(talk.says("luis", "2027-07-02T06:00", "14 1-10 0"), "alert") == []
    freed = talk.strikes("2027-07-02T08:02")
    assert to(freed, "alert") == [], "nobody had heard that it was above"


def test_back_below_is_said_once_for_one_alert(tmp_path: Path) -> None:
    """In range lies between, which no grower hears of."""
    row = """
[[level]]
id = "plantbug-bloom-sheet"
target = "lygus"
count = { adult = 1, nymph = 1 }
method = "beat sheet"
stage = ["bloom"]
low = 2
high = 3
per = "5 row ft"
source = "invented for this test"
year = 2027
verified = true

[plans.sweeps]"""
    with talking(tmp_path, "talk.toml", ("\n[plans.sweeps]", row)) as talk:
        alert_of_july_1(talk)
        told = dict(to(talk.says("luis", "2027-07-08T09:00", "14 1-10 0"), "alert"))
        assert "back BELOW (5 on Jul 1)" in told[OPAL]
        in_range = "14 " + " / ".join(f"{number} LN{1 + number % 2}" for number in range(1, 11))
        caused = talk.says("luis", "2027-07-15T09:00", in_range)
        assert to(caused, "alert") == []
        assert "IN RANGE" in dict(to(caused, "notice"))[JUNE]
        caused = talk.says("luis", "2027-07-22T09:00", "14 1-10 0")
        assert to(caused, "alert") == []
        assert "back BELOW" in dict(to(caused, "notice"))[JUNE]
