"""What quiet hours hold says the newest state when they end, or nothing where nothing is so any more."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.talk import Talk, talking, to

JUNE = "+12705550120"


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path) as open_talk:
        yield open_talk


def test_hours_that_were_over_in_the_night_are_not_said_of_a_field_closed_again(talk: Talk) -> None:
    talk.says("opal", "2027-07-05T06:34", "14 SPRAYED 24")
    assert not [one for one in talk.strikes("06:48") if "are over" in one["text"]]
    talk.says("opal", "07:50", "14 SPRAYED 24")
    assert not [one for one in talk.strikes("08:02") if "are over" in one["text"]]
    over = [one for one in talk.strikes("2027-07-07T08:02") if "are over" in one["text"]]
    assert JUNE in {one["to"] for one in over}


def test_an_alert_that_waits_for_a_person_is_told_by_its_newest_figure(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", ('alerts = "automatic"', 'alerts = "reviewed"')) as talk:
        nine = " / ".join(f"{number} LN2" for number in range(1, 10))
        assert to(talk.says("luis", "06:34", f"14 {nine}"), "notice") == []
        talk.says("luis", "06:50", "14 10 LN20")
        waits = dict(to(talk.strikes("08:02"), "notice"))[JUNE]
        assert "lygus 6.33" in waits
        assert "WAITS" in waits
