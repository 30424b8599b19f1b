"""What is said beside counts by text: NOTE, WET, WIND, EACH, WHERE, NAWF, CLOSE, and words of a treated field."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from tests.talk import Talk, talking, to

OPAL, JUNE, BETO = "+12705550130", "+12705550120", "+12705550115"


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path, "forms.toml") as opened:
        yield opened


# NOTE, WET, WIND


def test_all_that_follows_note_is_free_words_breaks_too(talk: Talk) -> None:
    reply = talk.reply("luis", "09:00", "14 NOTE hail on north end, 2/3 down; 14 1 LN52")
    assert reply == "14: noted: hail on north end, 2/3 down; 14 1 LN52"
    shown = talk.show(14)
    assert shown["remarks"] == [{"about": "note", "words": "hail on north end, 2/3 down; 14 1 LN52"}]
    assert (shown["state"], shown["samples"]) == ("none", {})


@pytest.mark.parametrize(
    ("who", "text", "about"),
    [
        ("luis", "14 WET", "wet"),
        ("luis", "14 WIND", "wind"),
        ("ana", "14 MOJADO", "wet"),
        ("ana", "14 VIENTO", "wind"),
    ],
)
def test_conditions_are_kept(talk: Talk, who: str, text: str, about: str) -> None:
    talk.reply(who, "09:00", text)
    assert [one["about"] for one in talk.show(14)["remarks"]] == [about]


def test_the_same_note_again_is_kept_once(talk: Talk) -> None:
    talk.reply("ana", "09:00", "14 NOTA granizo")
    assert "ya" in talk.reply("ana", "09:01", "14 NOTA granizo")
    assert len(talk.show(14)["remarks"]) == 1


def test_a_note_takes_a_field_number_too(talk: Talk) -> None:
    assert talk.reply("luis", "09:00", "12 NOTE gate locked").startswith("12: noted: ")


def test_an_empty_note_is_refused(talk: Talk) -> None:
    assert "Nothing stored" in talk.reply("luis", "09:00", "14 NOTE")
    assert talk.show(14)["remarks"] == []


def test_a_long_note_is_kept_whole_and_answered_in_one_text(talk: Talk) -> None:
    words = "hail " * 40
    assert len(talk.reply("luis", "09:00", f"14 NOTE {words}")) <= 160
    assert talk.show(14)["remarks"][0]["words"] == words.strip()


def test_a_note_of_nothing_but_a_site_number_moves_only_after_a_yes_and_is_no_note(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN2")
    assert "1 yes" in talk.reply("luis", "09:05", "14 NOTE 16")
    talk.reply("luis", "09:06", "2")
    assert talk.samples(14) == {"1": "LN2"}
    assert talk.show(14)["remarks"] == []


# EACH


def test_another_effort_holds_for_what_is_sent_after_it(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN2")
    reply = talk.reply("luis", "09:05", "14 EACH 2")
    assert "2 row ft" in reply
    assert "3 row ft" in reply
    talk.reply("luis", "09:06", "14 2 LN2")
    (level,) = talk.show(14)["levels"]
    # 2 on 3 row ft and 2 on 2: 4 / 5 x 5 = 4 per 5 row ft
    assert (level["total"], level["effort"], level["density"]) == (4, 5, 4.0)


def test_a_supervisor_is_told_of_another_effort(talk: Talk) -> None:
    caused = talk.says("ana", "09:00", "14 CADA 2")
    notices = to(caused, "notice")
    assert JUNE in dict(notices)
    assert "2 row ft" in dict(notices)[JUNE]


@pytest.mark.parametrize(("said", "good"), [(2, False), (3, True), (6, True), (9, True), (10, False)])
def test_another_effort_lies_between_half_and_one_and_a_half_of_the_plans(
    talk: Talk, said: int, good: bool
) -> None:
    """The plan of 18 has 6 row ft a sample: 3 is 50 %, 9 is 150 %."""
    reply = talk.reply("luis", "09:00", f"18 EACH {said}")
    assert ("too far" not in reply) is good
    talk.reply("luis", "09:05", "18 1 LN3")
    assert talk.show(18)["levels"][0]["effort"] == (said if good else 6)


@pytest.mark.parametrize("text", ["14 EACH", "14 EACH 4.5", "14 EACH LN2", "14 EACH 2 3", "12 EACH 2"])
def test_an_effort_that_is_no_whole_number_of_a_site_changes_nothing(talk: Talk, text: str) -> None:
    caused = talk.says("luis", "09:00", text)
    assert [one["purpose"] for one in caused] == ["reply"]
    talk.reply("luis", "09:05", "14 1 LN3")
    assert talk.show(14)["levels"][0]["effort"] == 3


def test_another_effort_holds_at_its_site_and_on_its_day_only(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 EACH 2")
    talk.reply("luis", "09:05", "16 1 LN3")
    talk.reply("luis", "2027-07-07T09:05", "14 1 LN3")
    assert talk.show(16)["levels"][0]["effort"] == 3
    assert talk.show(14, date(2027, 7, 7))["levels"][0]["effort"] == 3


def test_what_is_certain_counts_the_rest_of_the_plan_at_todays_effort(talk: Talk) -> None:
    """Planned effort: what is in and the rest at EACH (standing.md, Certain).

    After one sheet of 3 row ft and EACH 2: 3 + 9 x 2 = 21 row ft; at level 3 per 5 it takes 12.6, so 13.
    At the plan's 3 row ft it would take 18.
    """
    talk.reply("luis", "09:00", "14 1 LN10")
    talk.reply("luis", "09:05", "14 EACH 2")
    talk.reply("luis", "09:06", "14 2 LN2")
    assert talk.show(14)["levels"][0]["certain"] is False
    caused = talk.says("luis", "09:07", "14 3 LN1")
    assert talk.show(14)["levels"][0]["certain"] is True
    assert "ABOVE" in dict(to(caused, "alert"))[OPAL]


def test_a_sample_sent_before_the_effort_changed_keeps_the_plans(talk: Talk) -> None:
    talk.reply("luis", "09:05", "14 EACH 2")
    talk.reply("luis", "09:10", "14 1 LN3", sent="09:04")
    assert talk.show(14)["levels"][0]["effort"] == 3


def test_a_sample_that_came_before_the_effort_but_was_sent_after_it_takes_the_new_one(talk: Talk) -> None:
    talk.reply("luis", "09:01", "14 1 LN3", sent="08:50")
    talk.reply("luis", "09:10", "14 2 LN3", sent="09:06")
    reply = talk.reply("luis", "09:12", "14 EACH 2", sent="09:05")
    assert "Also 2, sent after it" in reply
    # 6 on 3 + 2 row ft
    assert talk.show(14)["levels"][0]["effort"] == 5


def test_the_plans_own_effort_again_ends_another(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 EACH 2")
    talk.reply("luis", "09:01", "14 1 0")
    caused = talk.says("luis", "09:05", "14 EACH 3")
    assert "as planned" in to(caused, "reply")[0][1]
    talk.reply("luis", "09:06", "14 2 0")
    assert talk.show(14)["levels"][0]["effort"] == 5


def test_a_total_counts_at_todays_effort(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 EACH 2")
    talk.reply("luis", "09:05", "14 TOTAL 10 LN6")
    assert talk.show(14)["levels"][0]["effort"] == 20


def test_the_first_reply_of_a_visit_says_the_effort_that_holds(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 EACH 2")
    assert "Sheet, 2 row ft" in talk.reply("luis", "09:05", "14 1 LN2")


def test_a_grower_may_not_change_the_effort(talk: Talk) -> None:
    talk.reply("opal", "09:00", "14 EACH 2")
    talk.reply("luis", "09:05", "14 1 LN3")
    assert talk.show(14)["levels"][0]["effort"] == 3


# WHERE


@pytest.mark.parametrize("text", ["WHERE 12", "DONDE 12", "WHERE 121", "where 125"])
def test_where_says_the_directions_of_the_season_file(talk: Talk, text: str) -> None:
    assert "2nd turnrow west of the gin, blue gate" in talk.reply("luis", "09:00", text)


def test_where_without_directions_names_whom_to_ask(talk: Talk) -> None:
    reply = talk.reply("luis", "09:00", "WHERE 14")
    assert "270-555-0100" in reply
    assert "no site here" in talk.reply("luis", "09:01", "WHERE 99")
    assert "WHERE and its number" in talk.reply("luis", "09:02", "WHERE")


def test_where_drops_an_open_question_as_any_readable_text_does(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN52")
    assert "1 NOT stored" in talk.reply("luis", "09:01", "WHERE 12")


# NAWF


@pytest.mark.parametrize(
    ("text", "plants", "said"),
    [
        ("121 NAWF 5", [5], "5, 1 plant"),
        ("121 NAWF 6 5 5 7", [6, 5, 5, 7], "mean 5.75, 4 plants"),
        ("121 NAWF 5.5 6", [5.5, 6], "mean 5.75, 2 plants"),
        ("121 NAWF 6,5 5", [6.5, 5], "mean 5.75, 2 plants"),
        ("121 NAFB 8", [8], "8, 1 plant"),
    ],
)
def test_nodes_above_white_flower_are_kept_by_plant(
    talk: Talk, text: str, plants: list[float], said: str
) -> None:
    assert said in talk.reply("luis", "09:00", text)
    assert talk.show(121)["nawf"] == plants


def test_nodes_again_replace_the_first_and_undo_brings_them_back(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 NAWF 6 5 5 7")
    assert "It was mean 5.75" in talk.reply("luis", "09:05", "14 NAWF 4")
    assert talk.show(14)["nawf"] == [4]
    talk.reply("luis", "09:20", "14 UNDO")
    assert talk.show(14)["nawf"] == [6, 5, 5, 7]


@pytest.mark.parametrize("text", ["14 NAWF", "14 NAWF 5.55", "14 NAWF 25", "14 NAWF LN2", "14 NAWF -3"])
def test_nodes_that_are_none_are_refused(talk: Talk, text: str) -> None:
    assert "Nothing stored" in talk.reply("luis", "09:00", text)
    assert talk.show(14)["nawf"] is None


def test_nodes_take_a_field_number_and_do_not_come_from_growers(talk: Talk) -> None:
    assert talk.reply("ana", "09:00", "12 NAFB 5").startswith("12 NAFB: 5")
    talk.reply("opal", "09:01", "14 NAWF 5")
    assert talk.show(14)["nawf"] is None


# CLOSE


@pytest.mark.parametrize("word", ["CLOSE", "CIERRA"])
def test_close_from_a_scout_with_an_open_visit_is_short(talk: Talk, word: str) -> None:
    talk.reply("luis", "09:00", "14 1-6 0")
    talk.reply("luis", "09:05", f"14 {word} rain")
    assert (talk.show(14)["state"], talk.show(14)["reason"]) == ("short", "rain")


@pytest.mark.parametrize(
    ("who", "yes"), [("luis", "1 yes"), ("ana", "1 si"), ("june", "1 yes"), ("opal", "1 yes")]
)
def test_close_otherwise_is_asked_with_keeping_people_out_first(talk: Talk, who: str, yes: str) -> None:
    reply = talk.reply(who, "09:00", "14 CLOSE")
    assert yes in reply
    assert reply.index("out" if yes == "1 yes" else "entre") < reply.index(
        "SHORT" if yes == "1 yes" else "CORTA"
    )
    talk.reply(who, "09:01", "2")
    assert talk.show(14)["state"] == "none"


def test_close_that_means_keeping_out_reaches_a_person_at_once(talk: Talk) -> None:
    talk.says("ana", "06:00", "14 CIERRA")
    caused = talk.says("ana", "06:01", "1")
    assert "NO ENTRE" in to(caused, "reply")[0][1]
    assert {JUNE, BETO} <= {who for who, _ in to(caused, "notice") + to(caused, "keepout")}


def test_close_from_a_supervisor_where_a_scout_is_counting_is_asked(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1-6 0")
    assert "1 yes" in talk.reply("june", "09:05", "14 CLOSE")
    assert talk.show(14)["state"] == "open"


# Words that may mean a treated field


@pytest.mark.parametrize(
    "text",
    [
        "14 CORTA fumigaron al lado",
        "14 SHORT they are spraying",
        "14 SHORT flying next door",
        "14 DONE plane spraying",
        "14 NOTA avion fumigando",
        "14 NOTE sprayer in the next field",
        "14 NOTE treated this morning",
        "14 NOTE se aplico ayer",
    ],
)
def test_words_of_a_treated_field_are_answered_with_keep_out_first_and_told_at_once(
    talk: Talk, text: str
) -> None:
    """At 6:30 it is quiet for other texts (season.quiet ends at 8:00)."""
    talk.reply("ana", "06:00", "14 1 0")
    caused = talk.says("ana", "06:30", text)
    assert to(caused, "reply")[0][1].startswith("NO ENTRE al 14")
    assert {JUNE, BETO} <= {who for who, _ in to(caused, "notice") + to(caused, "keepout")}
    assert all(len(one["text"]) <= 160 for one in caused)


@pytest.mark.parametrize(
    "text", ["16 SKIP sprayed this morning", "16 NO PUDE estan fumigando", "121 SKIP spray rig"]
)
def test_a_site_skipped_for_a_treatment_is_answered_with_keep_out_first_and_told_at_once(
    talk: Talk, text: str
) -> None:
    caused = talk.says("luis", "06:30", text)
    reply = to(caused, "reply")[0][1]
    assert reply.startswith(f"KEEP OUT of {'12' if text.startswith('121') else '16'}")
    assert JUNE in dict(to(caused, "notice") + to(caused, "keepout"))
    assert talk.show(int(text.split()[0]))["reason"] is not None


def test_a_treated_field_in_words_sent_for_another_begins_with_keep_out_too(talk: Talk) -> None:
    caused = talk.says("beto", "06:30", "BY ANA 16 SKIP sprayed this morning")
    assert to(caused, "reply")[0][1].startswith("KEEP OUT of 16")
    assert JUNE in dict(to(caused, "notice") + to(caused, "keepout"))


@pytest.mark.parametrize("text", ["14 NOTE hail on north end", "14 SHORT rain", "16 SKIP gate locked"])
def test_other_words_tell_nobody(talk: Talk, text: str) -> None:
    talk.reply("luis", "09:00", "14 1-6 0")
    assert [one["purpose"] for one in talk.says("luis", "09:05", text)] == ["reply"]
