"""Shares with a level: where n of m stands, when it is certain, what the field's growers hear.

Season: fixtures/seasons/figures.toml, hurt bolls at 10 % in bloom weeks 3 and 4, 20-30 % from week 5. Intervals
are held against scipy's exact binomial (statistics.md, section 0; Clopper & Pearson 1934).
"""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from scipy.stats import binomtest

from tests.talk import Talk, talking, to

OPAL = "+12705550130"


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path, "figures.toml") as opened:
        yield opened


def level(talk: Talk, number: int, key: str = "bollhurt") -> dict[str, object]:
    """The figure of a share as `show` gives it."""
    (one,) = [each for each in talk.show(number)["levels"] if each.get("share") == key]
    return dict(one)


def test_a_share_is_said_with_its_level_and_stage(talk: Talk) -> None:
    assert talk.reply("luis", "09:00", "64 BH 3 25") == (
        "64 BH: 3 hurt of 25 bolls, 12 %. Level 10 % in bloom week 4: ABOVE, a CLOSE CALL."
    )
    assert talk.reply("ana", "09:01", "523 BH 2 25") == (
        "523 BH: 2 de 25 bellotas picadas, 8 %. Umbral 10 % en semana 4 de flor: ABAJO DEL UMBRAL, MUY CERCA."
    )


@pytest.mark.parametrize(
    ("n", "standing"), [(9, "below"), (10, "above"), (11, "above")], ids=["under", "at", "over"]
)
def test_a_share_exactly_at_its_level_is_above(talk: Talk, n: int, standing: str) -> None:
    talk.says("luis", "09:00", f"64 BH {n} 100")
    assert level(talk, 64)["standing"] == standing


def test_the_level_is_that_of_the_week_of_bloom(talk: Talk) -> None:
    talk.says("luis", "2027-07-13T09:00", "64 BH 5 25")
    (one,) = [each for each in talk.show(64, date(2027, 7, 13))["levels"] if "share" in each]
    assert (one["id"], one["low"], one["high"], one["standing"]) == ("own-bolls-late", 20, 30, "in range")


@pytest.mark.parametrize(
    ("n", "of", "certain"),
    [(2, 24, False), (3, 20, True), (2, 20, False), (0, 22, False), (0, 23, True), (2, 25, True)],
)
def test_a_share_is_certain_both_ways(talk: Talk, n: int, of: int, certain: bool) -> None:
    # 25 are planned: 3 hurt are 10 % of 30, over 10 % of 25; with 2 or fewer to come none can reach 2.5
    talk.says("luis", "09:00", f"64 BH {n} {of}")
    assert level(talk, 64)["certain"] is certain


def test_a_share_has_its_exact_interval_once_the_visit_is_over(talk: Talk) -> None:
    talk.says("luis", "09:00", "64 1-9 0")
    talk.says("luis", "09:01", "64 BH 3 25")
    assert level(talk, 64)["interval"] is None
    talk.says("luis", "09:02", "64 10 0")
    exact = binomtest(3, 25).proportion_ci(0.8, "exact")
    assert level(talk, 64)["interval"] == pytest.approx([100 * exact.low, 100 * exact.high])
    assert level(talk, 64)["close_call"] is True


def test_stops_have_an_interval_by_how_they_differ_beside_the_exact_one(talk: Talk) -> None:
    talk.says("luis", "09:00", "64 1-10 0")
    talk.says("luis", "09:01", "64 1 BH 0 5 / 2 BH 0 5 / 3 BH 2 5 / 4 BH 0 5 / 5 BH 1 5")
    one = level(talk, 64)
    assert (one["total"], one["effort"], one["effort_unit"]) == (3, 25, "bolls")
    between = one["interval_between_stops"]
    exact = binomtest(3, 25).proportion_ci(0.8, "exact")
    assert isinstance(between, list)
    # what is hurt clumps here, and then the exact interval is too short
    assert between[1] > 100 * exact.high


def test_a_share_of_the_whole_site_has_no_interval_between_stops(talk: Talk) -> None:
    talk.says("luis", "09:00", "64 BH 3 25")
    assert "interval_between_stops" not in level(talk, 64)


def test_a_field_is_the_mean_of_its_sites_shares_and_its_grower_hears(talk: Talk) -> None:
    talk.says("luis", "09:00", "521 1-10 0")
    talk.says("luis", "09:01", "523 1-10 0")
    talk.says("luis", "09:02", "521 BH 1 25")
    assert to(talk.says("luis", "09:03", "523 BH 4 50"), "alert") == []
    caused = talk.says("luis", "09:04", "525 1-10 0")
    assert to(caused, "alert") == []
    ((who, alert),) = to(talk.says("luis", "09:05", "525 BH 5 25"), "alert")
    assert who == OPAL
    # (4 + 8 + 20) / 3 = 10.67, not (1 + 4 + 5) of 100
    assert "hurt-boll rate 10.67 per 100 bolls, level 10: ABOVE. 3 of 3 sites." in alert


def test_a_share_that_is_taken_back_takes_its_alert_back(talk: Talk) -> None:
    talk.says("luis", "09:00", "64 1-10 0")
    talk.says("luis", "09:01", "64 BH 5 25")
    ((who, corrected),) = to(talk.says("luis", "09:05", "64 UNDO"), "alert")
    assert who == OPAL
    assert corrected.startswith(
        "CORRECTED 64 Pump House, Jul 6: hurt-boll rate is not final now, 20 does not"
    )


def test_a_share_for_the_whole_field_stands_where_no_site_has_its_own(talk: Talk) -> None:
    talk.says("luis", "09:00", "521 1 0")
    reply = talk.reply("luis", "09:01", "52 BH 12 75")
    assert "Level 10 % in bloom week 4: ABOVE." in reply
    assert level(talk, 52)["density"] == 16
    talk.says("luis", "09:02", "521 BH 0 25")
    assert level(talk, 52)["density"] == 0


def test_an_alert_that_rests_on_a_share_that_was_asked_about_waits_for_a_person(talk: Talk) -> None:
    talk.says("luis", "09:00", "64 1-10 0")
    assert "answer 2" in talk.reply("luis", "09:01", "64 BH 20 25")
    caused = talk.says("luis", "09:02", "1")
    assert to(caused, "alert") == []
    ((_, notice),) = to(caused, "notice")
    assert "WAITS" in notice
    assert "64 BH 20/25 was asked about" in notice


def test_many_stops_refused_beside_a_whole_share_are_said_together(talk: Talk) -> None:
    talk.says("luis", "09:00", "64 1-9 0")
    talk.says("luis", "09:01", "64 BH 1 25")
    reply = talk.reply("luis", "09:02", "64 1 BH 1 5 / 2 BH 1 5 / 3 BH 0 5 / 4 BH 0 5")
    assert "1-4 BH NOT stored, all of 64 is in." in reply


def test_without_a_known_stage_a_share_asks_for_it(talk: Talk) -> None:
    assert "SEND STAGE: 67 STAGE" in talk.reply("luis", "09:00", "67 BH 3 25")
    assert level(talk, 67)["needs"] == "stage"
