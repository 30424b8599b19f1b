"""Many texts at once, from a file of JSON lines: what a replay causes, and which of its lines cannot be read."""

import json
from pathlib import Path
from typing import Any

import pytest

from tests.conftest import LARKSPUR, Rowfoot

ANA, LUIS, OPAL = "+12705550111", "+12705550112", "+12705550130"
PURPOSES = {"reply", "alert", "keepout", "digest", "code", "notice"}
DAY: list[dict[str, str]] = [
    {"from": ANA, "text": "121 1 FA2 LN1", "at": "2027-07-06T09:00"},
    {"from": LUIS, "text": "14 1 LN9/2 LN9/3 LN9/4 LN9", "at": "2027-07-06T09:10", "id": "m-1"},
    {"from": LUIS, "text": "14 1 LN9/2 LN9/3 LN9/4 LN9", "at": "2027-07-06T09:11", "id": "m-1"},
    {"from": OPAL, "text": "OK", "at": "2027-07-06T09:12"},
    {"from": ANA, "text": "121 FIX 1 LN2", "at": "2027-07-06T20:00", "sent": "2027-07-06T09:20"},
    {"from": "+12705550199", "text": "¿quién es?", "at": "2027-07-07T01:00+00:00"},
]


def write_lines(folder: Path, *lines: str | dict[str, Any]) -> str:
    path = folder / "texts.jsonl"
    said = [one if isinstance(one, str) else json.dumps(one, ensure_ascii=False) for one in lines]
    path.write_text("\n".join(said) + "\n", encoding="utf-8")
    return str(path)


def test_a_replay_causes_what_its_texts_cause_one_by_one(in_season: Rowfoot, tmp_path: Path) -> None:
    other = Rowfoot(tmp_path, f"sqlite:///{tmp_path / 'one-by-one.db'}")
    other.run("load", str(LARKSPUR))
    one_by_one = []
    for line in DAY:
        options = [word for key in ("at", "sent", "id") if key in line for word in (f"--{key}", line[key])]
        one_by_one.append(other.json("text", line["from"], line["text"], *options))
    replayed = in_season.json("replay", write_lines(tmp_path, *DAY))
    assert replayed == one_by_one
    assert [len(caused) for caused in replayed] == [1, 3, 0, 1, 1, 1]
    assert {one["purpose"] for caused in replayed for one in caused} <= PURPOSES
    for number in ("12", "14"):
        day = ("show", number, "--day", "2027-07-06")
        assert in_season.json(*day) == other.json(*day)


def test_a_replay_is_printed_for_people_too(in_season: Rowfoot, tmp_path: Path) -> None:
    printed = in_season.run("replay", write_lines(tmp_path, *DAY)).stdout.splitlines()
    assert printed[0] == f"2027-07-06T09:00 {ANA}: 121 1 FA2 LN1"
    assert printed[1].startswith(f"  -> {ANA} (reply): 121 1 FA2 LN1")


@pytest.mark.parametrize(
    "malformed",
    [
        "121 1 FA2",
        '{"from": "+12705550111", "text": "121 1 FA2"',
        "[]",
        {"text": "121 1 FA2", "at": "2027-07-06T09:00"},
        {"from": ANA, "at": "2027-07-06T09:00"},
        {"from": ANA, "text": 121, "at": "2027-07-06T09:00"},
        {"from": ANA, "text": "121 1 FA2", "at": 5},
        {"from": ANA, "text": "121 1 FA2", "at": "noon"},
        {"from": ANA, "text": "121 1 FA2", "at": "2027-07-06T09:00", "sent": "noon"},
        {"from": ANA, "text": "121 1 FA2", "at": "2027-07-06T09:00", "id": ["m-1"]},
        {"from": "Ana", "text": "121 1 FA2", "at": "2027-07-06T09:00"},
    ],
    ids=str,
)
def test_a_malformed_line_is_named_as_an_editor_numbers_it(
    in_season: Rowfoot, tmp_path: Path, malformed: str | dict[str, Any]
) -> None:
    refused = in_season.refusal("replay", write_lines(tmp_path, DAY[0], "", malformed), "--json")
    assert "line 3" in refused


def test_a_line_ends_where_json_lines_end(in_season: Rowfoot, tmp_path: Path) -> None:
    # JSON (RFC 8259, section 7) allows these inside a string; only LF ends a line of JSON lines.
    odd = {"from": ANA, "text": "121 1 FA2\u2028\u0085", "at": "2027-07-06T09:00"}
    (caused,) = in_season.json("replay", write_lines(tmp_path, odd))
    assert len(caused) == 1


def test_a_text_with_what_no_database_keeps_is_answered_all_the_same(
    in_season: Rowfoot, tmp_path: Path
) -> None:
    """NUL and half a character: the hook replaces them, and a text by hand goes by the same road."""
    lines = [
        f'{{"from": "{ANA}", "text": "121 1 FA2 {odd}", "at": "2027-07-06T09:00"}}'
        for odd in ("\\u0000", "\\ud800")
    ]
    caused = in_season.json("replay", write_lines(tmp_path, *lines))
    assert [len(one) for one in caused] == [1, 1]
    assert len(in_season.json("text", ANA, "121 1 FA2 \udcff", "--at", "2027-07-06T09:00")) == 1


def test_a_file_that_is_no_text_is_refused_in_one_line(in_season: Rowfoot, tmp_path: Path) -> None:
    path = tmp_path / "texts.jsonl"
    path.write_bytes(b'{"from": "+12705550111", "text": "ma\xf1ana"}\n')
    assert str(path) in in_season.refusal("replay", str(path))
