"""The commands that take something in: a season file, a text."""

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from storage import DatabaseNotReady, Store, newest_season
from tests.conftest import LARKSPUR, ROOT, Rowfoot

SEASONS = LARKSPUR.parent
ANA, LUIS, JUNE, OPAL = "+12705550111", "+12705550112", "+12705550120", "+12705550130"


def season_file(folder: Path, *changes: tuple[str, str]) -> str:
    """Write the Larkspur season with some changes; gives its path."""
    text = LARKSPUR.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = folder / "changed.toml"
    path.write_text(text, encoding="utf-8")
    return str(path)


def stored_season(rowfoot: Rowfoot) -> str | None:
    store = Store(rowfoot.database)
    try:
        with store.read() as session:
            return newest_season(session).season_text
    except DatabaseNotReady:
        return None
    finally:
        store.close()


def samples(rowfoot: Rowfoot, site: int, day: str) -> dict[str, Any]:
    shown: dict[str, Any] = rowfoot.json("show", str(site), "--day", day)["samples"]
    return shown


# load


def test_a_season_is_loaded_once_and_again_without_a_change(rowfoot: Rowfoot) -> None:
    first = rowfoot.run("load", str(LARKSPUR)).stdout
    assert first.startswith("Larkspur County cotton 2027 loaded: 6 people, 5 fields, 8 sites")
    assert "nothing changed" in rowfoot.run("load", str(LARKSPUR)).stdout
    assert stored_season(rowfoot) == LARKSPUR.read_text(encoding="utf-8")


def test_a_changed_season_changes_what_changed_and_no_count(in_season: Rowfoot, tmp_path: Path) -> None:
    in_season.run("text", ANA, "121 1 FA2 LN1", "--at", "2027-07-06T09:00")
    before = in_season.json("show", "121", "--day", "2027-07-06")
    fewer = season_file(tmp_path, ("samples = 10", "samples = 8"), ("Pump House", "Gin House"))
    assert "loaded:" in in_season.run("load", fewer).stdout
    assert in_season.json("show", "121", "--day", "2027-07-06") == before
    assert in_season.json("show", "14", "--day", "2027-07-06")["samples_planned"] == 8


def test_all_faults_of_a_season_are_told_in_one_go_and_nothing_is_stored(rowfoot: Rowfoot) -> None:
    ended = rowfoot.run("load", str(SEASONS / "ten_faults.toml"), status=2)
    head, *faults = ended.stderr.splitlines()
    assert head.endswith("10 faults; nothing is stored.")
    assert [line.split(":")[0].strip() for line in faults] == [
        "season.day_ends",
        "people.beto.phone",
        "fields.12.row_spacing_in",
        "fields.12.scouts",
        "fields.1215",
        "fields.1215.plan",
        "plans.sheets.each",
        "plans.sheets.card",
        "targets.weevil.columns.EN",
        "level.1.high",
    ]
    assert (ended.stdout, stored_season(rowfoot)) == ("", None)


@pytest.mark.parametrize(
    ("change", "path"),
    [
        (("Larkspur County cotton 2027", "Larkspur County cotton 2028"), "season.name"),
        (("Gin Road West", "\0"), "fields.14.name"),  # the two names change places, see below
        (("[fields.14]", "[fields.125]"), "fields.125"),
    ],
    ids=["another season", "two fields that changed numbers", "a site that became a field"],
)
def test_what_the_database_holds_may_not_become_something_else(
    in_season: Rowfoot, tmp_path: Path, change: tuple[str, str], path: str
) -> None:
    changes = [change]
    if change[1] == "\0":
        changes += [("Pump House", "Gin Road West"), ("\0", "Pump House")]
    elif path == "fields.125":
        changes += [("sites = 3", "sites = [1, 3]"), ("beside = [14]", "beside = [125]")]
        changes += [("beside = [12, 16]", "beside = [16]")]
    ended = in_season.run("load", season_file(tmp_path, *changes), status=2)
    assert f"  {path}" in ended.stderr
    assert stored_season(in_season) == LARKSPUR.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "content", [None, b"\xff\xfe", b"[season", b""], ids=["missing", "no UTF-8", "no TOML", "empty"]
)
def test_what_is_no_season_file_is_refused(rowfoot: Rowfoot, tmp_path: Path, content: bytes | None) -> None:
    path = tmp_path / "odd.toml"
    if content is not None:
        path.write_bytes(content)
    ended = rowfoot.run("load", str(path), status=2)
    assert ended.stderr
    assert stored_season(rowfoot) is None


def test_a_season_of_which_all_is_acted_on_loads_without_a_remark(rowfoot: Rowfoot) -> None:
    assert rowfoot.run("load", str(LARKSPUR)).stderr == ""


# text


def test_a_text_prints_everything_that_it_caused(in_season: Rowfoot) -> None:
    nines = "14 1 LN9/2 LN9/3 LN9/4 LN9"
    caused = in_season.json("text", LUIS, nines, "--at", "2027-07-06T09:10")
    assert [(one["to"], one["purpose"]) for one in caused] == [
        (LUIS, "reply"),
        (OPAL, "alert"),
        (JUNE, "notice"),
    ]
    assert all(set(one) == {"to", "purpose", "text"} for one in caused)
    assert "Pump House" in caused[1]["text"]


def test_a_text_is_printed_for_people_too(in_season: Rowfoot) -> None:
    printed = in_season.run("text", LUIS, "14", "1", "LN1", "--at", "2027-07-06T09:10").stdout
    assert printed.startswith(f"  -> {LUIS} (reply): 14 1 LN1. ")


def test_what_was_printed_has_left_and_may_be_answered(in_season: Rowfoot) -> None:
    in_season.run("text", LUIS, "14 1 LN9/2 LN9/3 LN9/4 LN9", "--at", "2027-07-06T09:10")
    in_season.run("text", OPAL, "OK", "--at", "2027-07-06T09:20")
    later = in_season.json("round", "--at", "2027-07-06T12:00")
    assert [one for one in later if one["purpose"] == "alert"] == [], "a reminder of an alert that was read"


@pytest.mark.parametrize("phone", ["270-555-0111", "+1 (270) 555-0111", "2705550111", ANA])
def test_a_phone_is_read_as_people_write_it(in_season: Rowfoot, phone: str) -> None:
    (reply,) = in_season.json("text", phone, "121 1 FA2", "--at", "2027-07-06T09:00")
    assert reply["to"] == ANA


def test_a_stranger_is_told_so(in_season: Rowfoot) -> None:
    (reply,) = in_season.json("text", "+12705550199", "hello", "--at", "2027-07-06T09:00")
    assert (reply["to"], reply["purpose"]) == ("+12705550199", "reply")


def test_a_repeated_id_changes_nothing_and_prints_nothing(in_season: Rowfoot) -> None:
    first = in_season.json("text", ANA, "121 1 FA2", "--at", "2027-07-06T09:00", "--id", "m-1")
    assert len(first) == 1
    for words in ("121 1 FA2", "121 1 FA9"):
        again = in_season.json("text", ANA, words, "--at", "2027-07-06T09:05", "--id", "m-1")
        assert again == []
    assert samples(in_season, 121, "2027-07-06")["1"]["FA"] == 2


@pytest.mark.parametrize(
    ("sent", "day"),
    [
        ("2027-07-05T19:30", "2027-07-05"),
        ("2027-06-29T09:00", "2027-06-29"),
        ("2027-06-29T08:59", "2027-07-06"),
        ("2027-07-07T09:00", "2027-07-06"),
        ("2027-07-06T04:30+00:00", "2027-07-05"),
    ],
    ids=["last evening", "seven days ago", "longer ago", "in the future", "last evening in UTC"],
)
def test_a_text_counts_for_the_day_on_which_it_was_sent(in_season: Rowfoot, sent: str, day: str) -> None:
    in_season.run("text", ANA, "121 1 FA2", "--at", "2027-07-06T09:00", "--sent", sent)
    for each in {day, "2027-07-06"}:
        assert set(samples(in_season, 121, each)) == ({"1"} if each == day else set())


@pytest.mark.parametrize(
    ("at", "day"),
    [
        ("2027-07-06T02:30", "2027-07-06"),
        ("2027-07-06T02:30+00:00", "2027-07-05"),
        ("2027-07-06T23:59", "2027-07-06"),
        ("2027-07-06", "2027-07-06"),
    ],
)
def test_a_time_without_offset_is_the_seasons_own(in_season: Rowfoot, at: str, day: str) -> None:
    in_season.run("text", ANA, "121 1 FA2", "--at", at)
    assert set(samples(in_season, 121, day)) == {"1"}


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (["text", "no phone", "121"], "'no phone' is no phone number"),
        (["text", ANA, "121", "--at", "noon"], "'noon' is no time"),
        (["text", ANA, "121", "--sent", "2027-13-01"], "'2027-13-01' is no time"),
        (["round", "--at", "tomorrow"], "'tomorrow' is no time"),
        (["show", "121", "--day", "6 July"], "'6 July' is no date"),
        (["show", "999"], "999 is neither a site nor a field"),
    ],
)
def test_what_cannot_be_read_is_named_in_one_line(in_season: Rowfoot, words: list[str], named: str) -> None:
    assert named in in_season.refusal(*words)


def test_every_command_says_in_one_line_that_there_is_no_season(rowfoot: Rowfoot, tmp_path: Path) -> None:
    lines = tmp_path / "texts.jsonl"
    lines.write_text('{"from": "+12705550111", "text": "121", "at": "2027-07-06T09:00"}\n')
    for words in (["text", ANA, "121"], ["replay", str(lines)], ["show", "121"], ["round"]):
        assert "rowfoot load FILE" in rowfoot.refusal(*words)


def test_a_database_that_cannot_be_opened_is_one_line(tmp_path: Path) -> None:
    nowhere = Rowfoot(tmp_path, f"sqlite:///{tmp_path / 'no' / 'such' / 'folder.db'}")
    assert "database" in nowhere.refusal("show", "121")


def test_the_database_is_a_file_in_the_working_folder_where_none_is_named(tmp_path: Path) -> None:
    env = {key: value for key, value in os.environ.items() if not key.startswith("ROWFOOT_")}
    ended = subprocess.run(
        [sys.executable, "-m", "bot", "load", str(LARKSPUR)],
        cwd=tmp_path,
        env={**env, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert ended.returncode == 0, ended.stderr
    assert (tmp_path / "rowfoot.db").is_file()
