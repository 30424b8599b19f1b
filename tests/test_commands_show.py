"""The commands that look and strike: a site or a field as it stands, and what the clock would do."""

import shutil
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from bot.settings import tell_clock
from tests.conftest import LARKSPUR, Rowfoot

ANA, LUIS, BETO, JUNE = "+12705550111", "+12705550112", "+12705550115", "+12705550120"
DAY = "2027-07-06"
LEVEL = {
    "id": "plantbug-bloom-sheet",
    "target": "lygus",
    "per": "5 row ft",
    "low": 3,
    "high": 3,
    "needs": None,
    "certain": False,
}
"""Three plant bugs in 5 row feet, from first bloom on: MSU Extension P2561 (2007)."""


@pytest.fixture(scope="module")
def counted_file(tmp_path_factory: pytest.TempPathFactory, larkspur_file: Path) -> Path:
    """A database with three samples and the squares of site 121, to be copied."""
    folder = tmp_path_factory.mktemp("counted")
    path = folder / "counted.db"
    shutil.copyfile(larkspur_file, path)
    rowfoot = Rowfoot(folder, f"sqlite:///{path}")
    for minute, text in enumerate(
        ("121 1 FA2 LN1 SB1", "121 2 X 1 0 0 4", "121 3 0 0 1 3 0", "121 SQ 88/100")
    ):
        rowfoot.run("text", ANA, text, "--at", f"{DAY}T09:0{minute}")
    return path


@pytest.fixture
def counted(rowfoot: Rowfoot, counted_file: Path) -> Rowfoot:
    """The command with three samples and the squares of site 121 on one morning."""
    shutil.copyfile(counted_file, rowfoot.folder / "by-hand.db")
    return rowfoot


def test_a_site_is_shown_in_its_fixed_form(counted: Rowfoot) -> None:
    assert counted.json("show", "121", "--day", DAY) == {
        "site": 121,
        "field": 12,
        "day": DAY,
        "stage": "bloom 2",  # first bloom was on June 28
        "method": "beat sheet",
        "state": "open",
        "reason": None,
        "samples_in": 3,
        "samples_planned": 10,
        "lost": [],
        "samples": {
            "1": {"FA": 2, "FN": 0, "LA": 0, "LN": 1, "MP": 0},
            "2": {"FA": None, "FN": 1, "LA": 0, "LN": 0, "MP": 4},
            "3": {"FA": 0, "FN": 0, "LA": 1, "LN": 3, "MP": 0},
        },
        "totals": None,
        "extras": {"1": {"SB": 1}},
        "shares": {"SQ": {"n": 88, "of": 100}},
        "closed_until": None,
        "nawf": None,
        "remarks": [],
        "checks": {},
        "trainees": {},
        "levels": [
            {
                **LEVEL,
                "total": 5,
                "effort": 9,
                "effort_unit": "row ft",
                "density": 25 / 9,
                "standing": "below",
                "close_call": None,
                "interval": None,
            }
        ],
    }


def test_a_site_without_a_visit_has_the_same_keys_and_needs_samples(counted: Rowfoot) -> None:
    visited = counted.json("show", "121", "--day", DAY)
    shown = counted.json("show", "123", "--day", DAY)
    assert list(shown) == list(visited)
    assert (shown["state"], shown["samples_in"], shown["samples"], shown["samples_planned"]) == (
        "none",
        0,
        {},
        10,
    )
    (level,) = shown["levels"]
    assert level == {
        **LEVEL,
        "total": 0,
        "effort": 0,
        "effort_unit": "row ft",
        "density": None,
        "standing": "unknown",
        "needs": "samples",
        "close_call": None,
        "interval": None,
    }


def test_a_field_of_several_sites_is_shown_in_its_fixed_form(counted: Rowfoot) -> None:
    shown = counted.json("show", "12", "--day", DAY)
    sites = shown.pop("sites")
    (level,) = shown.pop("levels")
    assert shown == {
        "field": 12,
        "day": DAY,
        "stage": "bloom 2",
        "state": "so far",
        "round": [DAY, None],
        "closed_until": None,
        "retention": {"n": 88, "of": 100},
        "treatments": [],
    }
    assert sites == [counted.json("show", str(site), "--day", DAY) for site in (121, 123, 125)]
    assert set(level) == {*LEVEL, "method", "sites_in", "sites", "density", "se", "standing", "above_alone"}
    assert (level["sites_in"], level["sites"], level["method"]) == (0, 3, "beat sheet")


def test_a_field_before_its_round_has_the_same_keys(counted: Rowfoot) -> None:
    visited = counted.json("show", "12", "--day", DAY)
    shown = counted.json("show", "12", "--day", "2027-07-01")
    assert list(shown) == list(visited)
    assert (shown["state"], shown["round"], shown["retention"]) == ("none", None, None)
    (level,) = shown["levels"]
    assert list(level) == list(visited["levels"][0])
    assert (level["density"], level["standing"], level["needs"]) == (None, "unknown", "samples")


def test_a_field_of_one_site_is_shown_as_its_site(in_season: Rowfoot) -> None:
    shown = in_season.json("show", "14", "--day", DAY)
    assert (shown["site"], shown["field"]) == (14, 14)


def test_a_day_before_any_known_stage_is_shown_too(in_season: Rowfoot) -> None:
    shown = in_season.json("show", "27", "--day", DAY)  # nobody has said a stage of this field
    assert (shown["stage"], shown["method"], shown["state"]) == ("unknown", None, "none")


def test_a_site_is_shown_for_people_too(counted: Rowfoot) -> None:
    printed = counted.run("show", "12", "--day", DAY).stdout
    for said in ("field 12", "site 121", "3 of 10 samples in", "2.78", "below", "plantbug-bloom-sheet"):
        assert said in printed


def test_a_treatment_is_shown_for_people_with_what_it_does_not_say(in_season: Rowfoot) -> None:
    one, two = "14 " + " / ".join(f"{n} LN3" for n in range(1, 11)), "14 1 LN1 / 2 LN1 / 3-10 0"
    for phone, said, at in (
        (LUIS, one, f"{DAY}T09:00"),
        (JUNE, "14 SPRAYED 24", f"{DAY}T10:00"),
        (LUIS, two, "2027-07-09T09:00"),
    ):
        in_season.run("text", phone, said, "--at", at)
    printed = in_season.run("show", "14", "--day", "2027-07-09").stdout
    for said in (
        "treated 2027-07-06 10:00, recheck 2027-07-09 to 2027-07-11, final",
        "5.00",
        "0.33",
        "93 %",
        "Only counts: they say nothing about entering the field.",
    ):
        assert said in printed
    (treated,) = in_season.json("show", "14", "--day", "2027-07-09")["treatments"]
    assert treated["targets"][0]["percent"] == pytest.approx(280 / 3)


def test_today_is_the_seasons_day(counted: Rowfoot, tmp_path: Path) -> None:
    clock = tmp_path / "clock.json"
    late = datetime(2027, 7, 6, 23, 30, tzinfo=ZoneInfo("America/Chicago"))  # July 7 in UTC
    tell_clock(clock, late)
    at_night = Rowfoot(tmp_path, counted.database, str(clock))
    assert at_night.json("show", "121") == counted.json("show", "121", "--day", DAY)


# round


def digests(rowfoot: Rowfoot, at: str) -> list[str]:
    """Strike; gives whose digests it frees, each once."""
    freed: list[dict[str, Any]] = rowfoot.json("round", "--at", at)
    assert all(set(one) == {"to", "purpose", "text"} for one in freed)
    return list(dict.fromkeys(one["to"] for one in freed if one["purpose"] == "digest"))


def test_digests_are_freed_once_when_the_day_has_ended(counted: Rowfoot) -> None:
    assert digests(counted, f"{DAY}T18:29") == []
    assert digests(counted, f"{DAY}T18:30") == [BETO, JUNE]
    assert digests(counted, f"{DAY}T18:30") == []
    assert digests(counted, f"{DAY}T20:00") == []
    assert digests(counted, "2027-07-07T18:30") == [BETO, JUNE]


def test_a_digest_that_was_missed_is_not_sent_on_the_next_day(counted: Rowfoot) -> None:
    assert digests(counted, "2027-07-07T08:30") == []
    (first, *_) = [one for one in counted.json("round", "--at", "2027-07-07T18:30") if one["to"] == JUNE]
    assert first["text"].startswith("Wed Jul 7")


def test_a_round_says_what_stands_in_the_database_and_nothing_else(counted: Rowfoot) -> None:
    freed = counted.json("round", "--at", f"{DAY}T18:30")
    text = " ".join(one["text"] for one in freed if one["to"] == JUNE)
    assert "121 3 of 10 (Ana, silent since 9:03)" in text
    assert "123 not begun (Ana)" in text


def test_a_round_is_printed_for_people_too(counted: Rowfoot) -> None:
    assert counted.run("round", "--at", f"{DAY}T10:00").stdout == ""
    assert "Ana Prado has not texted since 9:03" in counted.run("round", "--at", f"{DAY}T12:00").stdout
    assert f"  -> {JUNE} (digest): Tue Jul 6" in counted.run("round", "--at", f"{DAY}T18:30").stdout


def test_an_alert_of_the_quiet_hours_is_held_until_their_end(in_season: Rowfoot) -> None:
    at = f"{DAY}T21:30"
    caused = in_season.json("text", LUIS, "14 1 LN9/2 LN9/3 LN9/4 LN9", "--at", at)
    assert [one["purpose"] for one in caused] == ["reply"]
    before, after = "2027-07-07T07:59", "2027-07-07T08:00"
    assert [one for one in in_season.json("round", "--at", before) if one["purpose"] == "alert"] == []
    assert [one["to"] for one in in_season.json("round", "--at", after) if one["purpose"] == "alert"] == [
        "+12705550130"
    ]


def test_the_commands_do_the_same_on_every_database(database_url: str, tmp_path: Path) -> None:
    rowfoot = Rowfoot(tmp_path, database_url)
    rowfoot.run("load", str(LARKSPUR))
    assert "nothing changed" in rowfoot.run("load", str(LARKSPUR)).stdout
    caused = rowfoot.json("text", LUIS, "14 1 LN9/2 LN9/3 LN9/4 LN9", "--at", f"{DAY}T09:10", "--id", "m-1")
    assert [one["purpose"] for one in caused] == ["reply", "alert", "notice"]
    assert rowfoot.json("text", LUIS, "14 1 LN9", "--at", f"{DAY}T09:11", "--id", "m-1") == []
    assert digests(rowfoot, f"{DAY}T18:30") == [BETO, JUNE]
    assert digests(rowfoot, f"{DAY}T18:31") == []
    assert rowfoot.json("show", "14", "--day", DAY)["levels"][0]["density"] == 15.0
