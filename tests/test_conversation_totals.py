"""Sums over several samples by text: TOTAL, ALL, TODO (texts.md, After a site number)."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.talk import Talk, talking, to

OPAL = "+12705550130"


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path, "forms.toml") as opened:
        yield opened


@pytest.mark.parametrize(
    "text",
    [
        "121 TOTAL 10 FA31 FN12 MP6",
        "121 ALL 10 FA31 FN12 MP6",
        "121 TODO 10 31 12 0 0 6",
        "121 TOTAL 10 31 12 0 0 6",
        "121 TOTAL 10 FA31 FN12 MP6 =49",
    ],
)
def test_a_total_is_kept_as_sums_over_its_samples(talk: Talk, text: str) -> None:
    reply = talk.reply("luis", "09:00", text)
    shown = talk.show(121)
    assert shown["totals"] == {"samples": 10, "counts": {"FA": 31, "FN": 12, "LA": 0, "LN": 0, "MP": 6}}
    assert (shown["state"], shown["samples_in"], shown["samples"]) == ("done", 10, {})
    assert reply.startswith("121 TOTAL 10 ")
    assert "DONE, 10 of 10" in reply


def test_a_total_gives_density_over_all_its_samples_but_no_interval_and_no_close_call(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 TOTAL 10 LA4 LN13")
    (level,) = talk.show(121)["levels"]
    # 17 plant bugs on 10 x 3 row ft: 17 / 30 x 5 = 2.8333 per 5 row ft
    assert (level["total"], level["effort"]) == (17, 30)
    assert level["density"] == pytest.approx(17 / 30 * 5)
    assert (level["standing"], level["interval"], level["close_call"]) == ("below", None, None)


@pytest.mark.parametrize(
    ("who", "said"), [("luis", "how it varies is not known"), ("ana", "no se sabe cuanto varia")]
)
def test_the_decision_from_a_total_says_that_the_spread_is_not_known(talk: Talk, who: str, said: str) -> None:
    assert said in talk.reply(who, "09:00", "121 TOTAL 10 LN15")


def test_a_total_over_fewer_samples_than_planned_leaves_the_visit_open(talk: Talk) -> None:
    reply = talk.reply("luis", "09:00", "14 TOTAL 6 LN9")
    shown = talk.show(14)
    assert (shown["state"], shown["samples_in"], shown["levels"][0]["effort"]) == ("open", 6, 18)
    assert "6 of 10" in reply
    assert talk.reply("luis", "09:05", "14 SHORT rain").startswith("14 ended at 6 of 10: rain.")
    assert talk.show(14)["levels"][0]["standing"] == "below"


def test_a_finished_total_alerts_the_grower_like_samples_do(talk: Talk) -> None:
    caused = talk.says("luis", "09:00", "14 TOTAL 10 LN18")
    # 18 / 30 x 5 = 3: exactly at the level is above
    assert dict(to(caused, "alert"))[OPAL].startswith(
        "14 Pump House, Jul 6: lygus 3 per 5 row ft, level 3: ABOVE"
    )


def test_an_extra_in_a_total_is_kept_beside_the_card(talk: Talk) -> None:
    assert "SB2" in talk.reply("luis", "09:00", "121 TOTAL 10 FA3 SB2")
    assert talk.show(121)["totals"]["extras"] == {"SB": 2}


@pytest.mark.parametrize(
    "text",
    [
        "121 TOTAL 11 LN1",
        "121 TOTAL 0 LN1",
        "121 TOTAL LN1",
        "121 TOTAL 10 21004",
        "121 TOTAL 10 1 2 3 4",
        "121 TOTAL 10 LN1 / 2 FA1",
        "121 TOTAL 10 LN1 LN2",
        "121 TOTAL 10 FA3 =4",
    ],
)
def test_a_total_that_does_not_say_all_is_refused_whole(talk: Talk, text: str) -> None:
    assert "Nothing stored" in talk.reply("luis", "09:00", text)
    assert talk.show(121)["state"] == "none"
    assert "Nothing was asked" in talk.reply("luis", "09:01", "1")


def test_a_packed_total_is_answered_with_the_form_of_a_total(talk: Talk) -> None:
    reply = talk.reply("luis", "09:00", "121 TOTAL 10 1234")
    assert "Nothing stored" in reply
    assert "121 TOTAL" in reply


@pytest.mark.parametrize(
    ("samples", "most"),
    [
        (10, 400),
        (6, 240),
        (1, 40),
    ],
)
def test_the_limit_of_a_total_is_that_of_a_sample_times_its_samples(
    talk: Talk, samples: int, most: int
) -> None:
    question = talk.reply("luis", "09:00", f"121 TOTAL {samples} FA{most + 1}")
    assert f"{most + 1} is more than {most}" in question
    assert talk.show(121)["state"] == "none"
    assert talk.reply("luis", "09:01", "2") == "Nothing stored."
    assert "more than" not in talk.reply("luis", "09:02", f"121 TOTAL {samples} FA{most}")
    assert talk.show(121)["totals"]["counts"]["FA"] == most


def test_a_total_over_the_limit_is_kept_by_a_yes(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 TOTAL 10 FA401")
    assert talk.reply("luis", "09:01", "1").startswith("121 TOTAL 10 FA401.")
    assert talk.show(121)["totals"]["counts"]["FA"] == 401


def test_a_total_where_own_samples_are_in_is_asked_and_a_1_puts_it_in_their_place(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN2 / 2 LN1 / 3 0")
    question = talk.reply("luis", "09:05", "14 TOTAL 10 FA7 LN11")
    assert "14 TOTAL 10 FA7 LN11" in question
    assert "1-3" in question
    assert talk.samples(14) == {"1": "LN2", "2": "LN1", "3": "0"}
    assert talk.reply("luis", "09:06", "1").startswith("14 TOTAL 10 FA7 LN11.")
    shown = talk.show(14)
    assert (shown["samples"], shown["totals"]["counts"]["LN"], shown["levels"][0]["total"]) == ({}, 11, 11)


def test_a_no_leaves_the_samples_as_they_were(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN2 / 2 LN1")
    talk.reply("luis", "09:05", "14 TOTAL 10 LN11")
    talk.reply("luis", "09:06", "2")
    assert talk.samples(14) == {"1": "LN2", "2": "LN1"}
    assert talk.show(14)["totals"] is None


def test_another_text_drops_the_question_about_a_total_and_says_so(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN2")
    talk.reply("luis", "09:05", "14 TOTAL 10 LN11")
    assert "NOT stored" in talk.reply("luis", "09:06", "14 2 0")
    assert talk.samples(14) == {"1": "LN2", "2": "0"}
    assert "Nothing was asked" in talk.reply("luis", "09:07", "1")


def test_ones_own_total_is_replaced_after_a_question_with_old_and_new(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 TOTAL 10 FA10 LN2")
    question = talk.reply("luis", "09:05", "14 TOTAL 10 FA11 LN2")
    assert "FA10 LN2 at 9:00" in question
    assert "FA11 LN2" in question
    assert talk.show(14)["totals"]["counts"]["FA"] == 10
    talk.reply("luis", "09:06", "1")
    assert talk.show(14)["totals"]["counts"]["FA"] == 11


def test_the_same_total_again_changes_nothing_and_says_so(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 TOTAL 10 FA10 LN2")
    assert "the same" in talk.reply("luis", "09:05", "14 TOTAL 10 FA10 LN2")


@pytest.mark.parametrize("before", ["14 TOTAL 10 FA10 LN2", "14 1 LN2"])
def test_a_total_over_what_another_scout_has_in_is_refused_naming_him(talk: Talk, before: str) -> None:
    talk.reply("ana", "09:00", before)
    reply = talk.reply("luis", "09:05", "14 TOTAL 10 FA11")
    assert "Ana" in reply
    assert "1 yes" not in reply
    assert talk.show(14)["levels"][0]["total"] == 2
    assert "Nothing was asked" in talk.reply("luis", "09:06", "1")


@pytest.mark.parametrize("who", ["luis", "ana"])
def test_a_sample_beside_a_total_is_refused(talk: Talk, who: str) -> None:
    talk.reply("luis", "09:00", "14 TOTAL 6 LN2")
    reply = talk.reply(who, "09:05", "14 7 LN9")
    assert "LN2" in reply
    shown = talk.show(14)
    assert (shown["samples"], shown["totals"]["samples"], shown["levels"][0]["total"]) == ({}, 6, 2)


def test_undo_of_a_total_brings_back_every_sample_that_it_replaced(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN2")
    talk.reply("luis", "09:01", "14 2 LN1 / 3 0")
    talk.reply("luis", "09:05", "14 TOTAL 10 LN11")
    talk.reply("luis", "09:06", "1")
    reply = talk.reply("luis", "09:20", "14 UNDO")
    assert "taken back TOTAL 10 LN11" in reply
    assert "Samples 1-3 are as they were" in reply
    assert talk.samples(14) == {"1": "LN2", "2": "LN1", "3": "0"}
    assert talk.show(14)["totals"] is None


def test_undo_of_a_second_total_brings_back_the_first(talk: Talk) -> None:
    talk.reply("ana", "09:00", "14 TODO 10 FA10")
    talk.reply("ana", "09:05", "14 TODO 10 FA11")
    talk.reply("ana", "09:06", "1")
    talk.reply("ana", "09:20", "14 BORRA")
    assert talk.show(14)["totals"]["counts"]["FA"] == 10


def test_undo_of_a_total_that_alerted_takes_the_alert_back(talk: Talk) -> None:
    talk.says("luis", "09:00", "14 TOTAL 10 LN20")
    caused = talk.says("luis", "09:10", "14 UNDO")
    assert dict(to(caused, "alert"))[OPAL].startswith("CORRECTED 14 Pump House")


@pytest.mark.parametrize("text", ["121 TODO 0", "121 TOTAL 0", "121 ALL NADA"])
def test_nothing_found_in_all_samples_is_asked_and_a_1_finishes_the_site(talk: Talk, text: str) -> None:
    question = talk.reply("luis", "09:00", text)
    assert "1 yes" in question
    assert "10" in question
    assert talk.show(121)["state"] == "none"
    assert "DONE, 10 of 10" in talk.reply("luis", "09:01", "1")
    shown = talk.show(121)
    assert (shown["state"], shown["samples_in"], shown["levels"][0]["density"]) == ("done", 10, 0.0)


def test_a_no_to_nothing_found_in_all_stores_nothing(talk: Talk) -> None:
    talk.reply("ana", "09:00", "121 TODO 0")
    talk.reply("ana", "09:01", "2")
    assert talk.show(121)["state"] == "none"


def test_nothing_found_in_all_takes_the_place_of_samples_only_after_a_question_that_names_them(
    talk: Talk,
) -> None:
    talk.reply("luis", "09:00", "14 1 LN2 / 2 LN1")
    assert "1 2" in talk.reply("luis", "09:05", "14 TODO 0")
    assert talk.samples(14) == {"1": "LN2", "2": "LN1"}
    talk.reply("luis", "09:07", "1")
    assert talk.show(14)["totals"] == {
        "samples": 10,
        "counts": dict.fromkeys(("FA", "FN", "LA", "LN", "MP"), 0),
    }


def test_todo_with_nothing_after_it_asks_to_take_back(talk: Talk) -> None:
    talk.reply("ana", "09:00", "14 1 LN2")
    question = talk.reply("ana", "09:05", "14 TODO")
    assert "1 si" in question
    assert "1 LN2" in question
    assert talk.samples(14) == {"1": "LN2"}
    talk.reply("ana", "09:06", "2")
    assert talk.samples(14) == {"1": "LN2"}
    talk.reply("ana", "09:20", "14 TODO")
    talk.reply("ana", "09:21", "1")
    assert talk.show(14)["samples"] == {}


def test_a_total_from_a_grower_is_refused_and_for_a_field_of_several_sites_asked_back(talk: Talk) -> None:
    talk.reply("opal", "09:00", "14 TOTAL 10 LN2")
    assert talk.show(14)["state"] == "none"
    assert "121, 123 and 125" in talk.reply("luis", "09:05", "12 TOTAL 10 LN2")


def test_a_total_for_another_site_while_one_is_unfinished_is_asked(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 1 0")
    question = talk.reply("luis", "09:05", "14 TOTAL 10 LN2")
    assert "121 is unfinished" in question
    assert "14 TOTAL 10 LN2" in question
    assert talk.show(14)["state"] == "none"
    talk.reply("luis", "09:06", "1")
    assert talk.show(14)["totals"]["counts"]["LN"] == 2
