"""Sequential plans by text: a visit is done at a stop line, and goes on when a correction leaves it.

Season: fixtures/seasons/figures.toml. The lines of its plan `stops` are Wald's for a negative binomial
(statistics.md, section 1.1), with low 2 and high 4 per 5 row ft as 1.2 and 2.4 bugs on a sheet of 3 row ft,
k 1.2, alpha = beta = 0.1: worked out beside the code in `by_hand`.
"""

import math
from collections.abc import Iterator
from pathlib import Path

import pytest

from bot.rules import stop_table
from bot.season_file import read_season, read_texts
from tests.talk import SEASONS, Talk, talking, to

OPAL = "+12705550130"


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path, "figures.toml") as opened:
        yield opened


def by_hand(n: int) -> tuple[float, float]:
    """The two lines of the plan after n sheets, from the formulas as they are printed."""
    m0, m1, k, alpha, beta = 1.2, 2.4, 1.2, 0.1, 0.1
    g = math.log(m1 * (k + m0) / (m0 * (k + m1)))
    slope = k * math.log((k + m1) / (k + m0)) / g
    return slope * n - math.log((1 - alpha) / beta) / g, slope * n + math.log((1 - beta) / alpha) / g


def test_the_stop_table_of_a_plan_is_that_of_the_formulas() -> None:
    season = read_season(read_texts(SEASONS / "figures.toml"))
    assert not isinstance(season, tuple)
    table = stop_table(season.plans["stops"])
    assert [row.n for row in table] == list(range(4, 11))
    for row in table:
        low, high = by_hand(row.n)
        assert row.high_at_least == math.ceil(high)
        assert row.low_at_most == (math.floor(low) if low >= 0 else None)


def test_a_fixed_plan_has_no_stop_table() -> None:
    season = read_season(read_texts(SEASONS / "figures.toml"))
    assert not isinstance(season, tuple)
    assert stop_table(season.plans["sheets"]) == ()


def test_no_line_counts_before_the_least_number_of_samples(talk: Talk) -> None:
    reply = talk.reply("luis", "08:00", "51 1 LA9 / 2 LA9 / 3 LA9")
    assert "3 in, at most 10" in reply
    assert "DONE" not in reply
    assert talk.show(51)["state"] == "open"


def test_a_visit_is_done_at_its_high_line_and_the_grower_is_told(talk: Talk) -> None:
    talk.says("luis", "08:00", "51 1 LA5 / 2 LA3 / 3 LA3")
    caused = talk.says("luis", "08:10", "51 4 LA4")
    assert "DONE, 4 of 10 are enough." in caused[0]["text"]
    assert "6.25 per 5 row ft, level 3: ABOVE" in caused[0]["text"]
    assert [who for who, _ in to(caused, "alert")] == [OPAL]
    shown = talk.show(51)
    assert (shown["state"], shown["samples_in"], shown["samples_planned"]) == ("done", 4, 10)
    assert shown["levels"][0]["certain"] is True


def test_one_bug_fewer_does_not_reach_the_line(talk: Talk) -> None:
    reply = talk.reply("luis", "08:00", "51 1 LA5 / 2 LA3 / 3 LA3 / 4 LA3")
    assert "4 in, at most 10" in reply
    assert talk.show(51)["state"] == "open"


def test_a_visit_is_done_at_its_low_line(talk: Talk) -> None:
    assert "DONE" not in talk.reply("luis", "08:00", "51 1-4 0")
    reply = talk.reply("luis", "08:10", "51 5 0")
    assert "DONE, 5 of 10 are enough." in reply
    assert "level 3: BELOW." in reply


def test_a_correction_that_leaves_the_line_opens_the_visit_again_and_takes_the_alert_back(talk: Talk) -> None:
    talk.says("luis", "08:00", "51 1 LA5 / 2 LA3 / 3 LA3 / 4 LA4")
    caused = talk.says("luis", "08:10", "51 FIX 4 LA3")
    assert "4 in, at most 10" in caused[0]["text"]
    assert talk.show(51)["state"] == "open"
    ((who, corrected),) = to(caused, "alert")
    assert who == OPAL
    assert corrected.startswith("CORRECTED 51 Mill Bend")


def test_a_line_does_not_count_where_the_density_stands_on_the_other_side_of_the_level(
    tmp_path: Path,
) -> None:
    # one bug on six sheets is under the low line of 2, and over a level of 0.1
    whole = (SEASONS / "figures.toml").read_text(encoding="utf-8")
    row = '[[level]]\nid = "plantbug-bloom-sheet"\ntarget = "lygus"\ncount = { adult = 1, nymph = 1 }\n'
    row += 'method = "beat sheet"\nstage = ["bloom"]\nlow = 0.1\nhigh = 0.1\nper = "5 row ft"\n'
    row += 'source = "office note, invented"\nverified = true\n'
    with talking(tmp_path, "figures.toml", (whole, whole + row)) as strict:
        reply = strict.reply("luis", "08:00", "51 1 LA1 / 2 0 / 3 0 / 4 0 / 5 0 / 6 0")
        assert "6 in, at most 10" in reply
        assert strict.show(51)["state"] == "open"


def test_no_line_counts_while_the_level_turns_on_a_stage_that_is_not_known(talk: Talk) -> None:
    assert "SEND STAGE" in talk.reply("luis", "08:00", "67 1-3 0")
    assert talk.show(67)["state"] == "open"
    talk.says("june", "08:10", "67 STAGE BLOOM 2")
    assert talk.show(67)["state"] == "done"


def test_sheets_of_another_effort_have_no_lines(talk: Talk) -> None:
    talk.says("luis", "08:00", "51 EACH 4")
    reply = talk.reply("luis", "08:05", "51 1-9 0")
    assert "9 in, at most 10" in reply
    assert "DONE, 10 of 10" in talk.reply("luis", "08:10", "51 10 0")


def test_a_column_not_counted_leaves_its_sample_out_of_the_lines(talk: Talk) -> None:
    assert "5 in, at most 10" in talk.reply("luis", "08:00", "51 1-4 0 / 5 X 0 0")
    assert "DONE, 6 of 10" in talk.reply("luis", "08:05", "51 6 0")


def test_samples_not_needed_are_said_in_the_evening(talk: Talk) -> None:
    talk.says("luis", "08:00", "51 1-5 0")
    digest = " ".join(one["text"] for one in talk.strikes("18:30"))
    assert "samples 5 of 60, 5 not needed." in digest


def test_it_is_said_in_spanish(talk: Talk) -> None:
    assert "Van 4, a lo mas 10." in talk.reply("ana", "08:00", "51 1-4 0")
    assert "LISTO, con 5 de 10 basta." in talk.reply("ana", "08:05", "51 5 0")
