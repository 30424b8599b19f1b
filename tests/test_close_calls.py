"""Intervals and close calls of finished visits, as `show`, replies, the digest and `figure` give them.

The counts are those of the worked example I1 of statistics.md, section 6 (first ten rows of Beall's beet
webworms, 1940): its interval at F(1, 9) is published there at 95 %; here it is 80 %, and `figure mean` is asked.
"""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from bot.__main__ import main
from tests.talk import Talk, talking

WEBWORMS = (1, 0, 1, 3, 6, 6, 1, 1, 2, 3)


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path, "figures.toml") as opened:
        yield opened


def send(talk: Talk, counts: tuple[int, ...], site: int = 64) -> str:
    """Send one sheet a text; gives the last reply."""
    replies = [
        talk.reply("luis", f"09:{number:02}", f"{site} {number} LN{count}")
        for number, count in enumerate(counts, start=1)
    ]
    return replies[-1]


def figure_mean(counts: tuple[int, ...]) -> dict[str, Any]:
    """What `figure mean` says of the same counts."""
    said = CliRunner().invoke(main, ["figure", "mean", *map(str, counts), "--confidence", ".8", "--json"])
    assert said.exit_code == 0, said.output
    return dict(json.loads(said.output))


def test_show_and_figure_give_the_same_interval_to_the_last_digit(talk: Talk) -> None:
    send(talk, WEBWORMS)
    (lygus,) = talk.show(64)["levels"]
    low, high = figure_mean(WEBWORMS)["interval"]
    assert lygus["interval"] == [low * (5 / 3), high * (5 / 3)]
    assert lygus["density"] == pytest.approx(figure_mean(WEBWORMS)["mean"] * 5 / 3, abs=1e-12)


def test_a_visit_that_goes_on_has_no_interval(talk: Talk) -> None:
    send(talk, WEBWORMS[:9])
    (lygus,) = talk.show(64)["levels"]
    assert (lygus["interval"], lygus["close_call"]) == (None, None)


def test_a_close_call_is_said_in_the_reply_and_in_the_evening(talk: Talk) -> None:
    reply = send(talk, WEBWORMS)
    (lygus,) = talk.show(64)["levels"]
    assert lygus["close_call"] is True
    assert "Lygus 4 per 5 row ft, level 3: ABOVE, a CLOSE CALL. June sees it tonight" in reply
    digest = " ".join(one["text"] for one in talk.strikes("18:30"))
    assert "CLOSE CALL: 64 lygus 4, level 3." in digest


def test_a_level_far_off_is_no_close_call(talk: Talk) -> None:
    reply = send(talk, (7, 6, 8, 7, 6, 7, 8, 7, 6, 7))
    (lygus,) = talk.show(64)["levels"]
    assert lygus["close_call"] is False
    assert "CLOSE CALL" not in reply


def test_it_is_said_in_spanish(talk: Talk) -> None:
    talk.says("ana", "09:00", "64 1-9 0")
    reply = talk.reply("ana", "09:10", "64 10 LN9")
    assert "ABAJO DEL UMBRAL, MUY CERCA. June lo ve hoy; mas muestras solo si las pide." in reply


def test_totals_have_no_interval(talk: Talk) -> None:
    talk.says("luis", "09:00", "64 TOTAL 10 LN24")
    (lygus,) = talk.show(64)["levels"]
    assert (lygus["standing"], lygus["interval"], lygus["close_call"]) == ("above", None, None)


def test_samples_of_two_efforts_have_no_interval(talk: Talk) -> None:
    talk.says("luis", "09:00", "64 1-5 0")
    talk.says("luis", "09:01", "64 EACH 4")
    talk.says("luis", "09:02", "64 6-10 0")
    (lygus,) = talk.show(64)["levels"]
    assert (lygus["standing"], lygus["interval"]) == ("below", None)


def test_fewer_than_three_sheets_have_no_interval(talk: Talk) -> None:
    talk.says("luis", "09:00", "64 1 LN9 / 2 LN9")
    talk.says("luis", "09:01", "64 SHORT rain")
    (lygus,) = talk.show(64)["levels"]
    assert (lygus["interval"], lygus["close_call"]) == (None, None)


def test_weighted_counts_have_no_interval(tmp_path: Path) -> None:
    row = '\n[[level]]\nid = "plantbug-bloom-sheet"\ntarget = "lygus"\ncount = { adult = 1, nymph = 2 }\n'
    row += 'method = "beat sheet"\nstage = ["bloom"]\nlow = 3\nhigh = 3\nper = "5 row ft"\n'
    row += 'source = "office note, invented"\nverified = true\n\n[plans.sheets]\n'
    with talking(tmp_path, "figures.toml", ("\n[plans.sheets]\n", row)) as talk:
        send(talk, WEBWORMS)
        (lygus,) = talk.show(64)["levels"]
        assert (lygus["total"], lygus["interval"], lygus["close_call"]) == (48, None, None)


def test_all_zeros_have_the_optimistic_bound(talk: Talk) -> None:
    talk.says("luis", "09:00", "64 1-10 0")
    (lygus,) = talk.show(64)["levels"]
    # -ln(1 - 0.8) / 10 a sheet of 3 row ft (statistics.md, section 0)
    assert lygus["interval"] == pytest.approx([0, 0.16094379124341 * 5 / 3])


def test_a_field_has_the_error_between_its_sites(talk: Talk) -> None:
    talk.says("luis", "09:00", "521 1-10 0")
    assert talk.show(52)["levels"][0]["se"] is None
    talk.says("luis", "09:01", "523 1-9 0")
    talk.says("luis", "09:02", "523 10 LN30")
    # densities 0 and 5: s = 3.5355, over the root of 2
    assert talk.show(52)["levels"][0]["se"] == pytest.approx(2.5)
