"""What may stand before a text: PRACTICE, BY and a name, CHECK, a day (texts.md, Prefixes)."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from tests.talk import Talk, talking, to

OPAL, JUNE = "+12705550130", "+12705550120"
MONDAY = date(2027, 7, 5)
LAST_WEDNESDAY = date(2027, 6, 30)


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path, "forms.toml") as opened:
        yield opened


def state(talk: Talk) -> list[dict[str, Any]]:
    """Give all that is kept of the fields that these tests text to."""
    return [talk.show(number, day) for number in (12, 14, 16, 31) for day in (date(2027, 7, 6), MONDAY)]


# BY: for a dead phone


def test_what_a_leader_sends_for_his_crew_is_the_scouts_own(talk: Talk) -> None:
    reply = talk.reply("beto", "09:00", "BY ANA 14 1 LN2")
    assert "Ana" in reply
    assert "14 1 LN2. Sheet, 3 row ft, black. 1 of 10 in." in reply
    assert talk.samples(14) == {"1": "LN2"}
    assert "1 LN2" in talk.reply("ana", "09:05", "14 BORRA")
    assert talk.samples(14) == {}


def test_a_leader_sends_for_nobody_outside_his_crew(talk: Talk) -> None:
    reply = talk.reply("beto", "09:00", "BY LUIS 14 1 LN2")
    assert "not in your crew" in reply
    assert "Nothing stored" in reply
    assert talk.samples(14) == {}


@pytest.mark.parametrize(
    ("text", "owner"),
    [
        ("BY LUIS 14 1 LN2", "luis"),
        ("POR ANA 14 1 LN2", "ana"),
        ("by ana prado 14 1 LN2", "ana"),
        ("BY ROSAT 14 1 LN2", "rosat"),
        ("BY ROSA MENA 14 1 LN2", "rosam"),
    ],
)
def test_a_supervisor_sends_for_everybody_who_counts(talk: Talk, text: str, owner: str) -> None:
    talk.reply("june", "09:00", text)
    assert talk.samples(14) == {"1": "LN2"}
    talk.reply(owner, "09:05", "14 UNDO")
    assert talk.samples(14) == {}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("BY ROSA 14 1 LN2", ("ROSAM", "ROSAT")),
        ("BY PEDRO 14 1 LN2", ("PEDRO", "nobody of that name")),
        ("BY OPAL 14 1 LN2", ("OPAL", "nobody of that name")),
        ("BY ANA", ("could not be read",)),
        ("BY 14 1 FA2", ("could not be read",)),
    ],
)
def test_a_name_that_is_nobodys_or_that_of_two_stores_nothing(
    talk: Talk, text: str, said: tuple[str, ...]
) -> None:
    reply = talk.reply("june", "09:00", text)
    assert all(part in reply for part in said), reply
    assert "Nothing stored" in reply
    assert talk.samples(14) == {}


@pytest.mark.parametrize(("who", "text"), [("luis", "BY ANA 14 1 LN2"), ("ana", "POR ANA 14 1 LN2")])
def test_a_scout_sends_for_nobody(talk: Talk, who: str, text: str) -> None:
    talk.reply(who, "09:00", text)
    assert talk.samples(14) == {}


def test_undo_for_a_scout_takes_back_the_scouts_newest_and_not_the_senders(talk: Talk) -> None:
    talk.reply("ana", "09:00", "14 1 LN1")
    talk.reply("june", "09:05", "14 2 LN2")
    assert "taken back 1 LN1" in talk.reply("june", "09:10", "BY ANA 14 UNDO")
    assert talk.samples(14) == {"2": "LN2"}


def test_a_supervisors_own_undo_leaves_what_she_entered_for_another(talk: Talk) -> None:
    talk.reply("june", "09:00", "BY ANA 14 1 LN1")
    assert "Nothing changed" in talk.reply("june", "09:05", "14 UNDO")
    assert talk.samples(14) == {"1": "LN1"}


def test_what_is_in_from_the_one_who_is_sent_for_counts_as_his_own(talk: Talk) -> None:
    talk.reply("ana", "09:00", "14 1 LN1")
    question = talk.reply("june", "09:05", "BY ANA 14 1 LN3")
    assert "LN1" in question
    assert "1 yes" in question
    assert talk.samples(14) == {"1": "LN1"}
    assert "Ana" in talk.reply("june", "09:06", "1")
    assert talk.samples(14) == {"1": "LN3"}


def test_a_question_about_anothers_counts_is_the_senders_to_answer(talk: Talk) -> None:
    talk.reply("beto", "09:00", "BY ANA 14 1 LN52")
    assert "No le preguntamos" in talk.reply("ana", "09:01", "1")
    assert talk.samples(14) == {}
    talk.reply("beto", "09:02", "1")
    assert talk.samples(14) == {"1": "LN52"}


@pytest.mark.parametrize(
    ("text", "key", "value"),
    [
        ("BY ANA 14 BH 1 25", "shares", {"BH": {"n": 1, "of": 25}}),
        ("BY ANA 14 SKIP gate locked", "reason", "gate locked"),
        ("BY ANA 14 TOTAL 10 LN1", "state", "done"),
    ],
)
def test_every_report_may_be_sent_for_another(talk: Talk, text: str, key: str, value: object) -> None:
    talk.reply("beto", "09:00", text)
    assert talk.show(14)[key] == value


def test_a_fix_for_another_replaces_his_count(talk: Talk) -> None:
    talk.reply("ana", "09:00", "14 3 LN2")
    assert "was LN2" in talk.reply("beto", "09:05", "BY ANA 14 FIX 3 LN1")
    assert talk.samples(14) == {"3": "LN1"}


def test_whether_an_alert_waits_turns_on_the_list_of_the_one_who_counted(talk: Talk) -> None:
    caused = talk.says("june", "09:00", "BY ANA 14 1 LN9 / 2 LN9")
    assert "ABOVE" in dict(to(caused, "alert"))[OPAL]
    caused = talk.says("june", "09:10", "BY ROSAT 16 1 LN9 / 2 LN9")
    assert to(caused, "alert") == []
    assert any("WAITS" in text and "Rosa" in text for who, text in to(caused, "notice") if who == JUNE)


def test_a_field_not_on_the_scouts_list_names_a_way_back_that_works(talk: Talk) -> None:
    """UNDO alone would take back the sender's own."""
    reply = talk.reply("june", "09:00", "BY ROSAT 14 1 LN2")
    assert "Wrong site? 14 UNDO" not in reply, reply
    assert "not on your list" not in reply.lower(), reply


def test_status_may_be_asked_for_another(talk: Talk) -> None:
    talk.reply("ana", "09:00", "14 1 LN1")
    assert "1 of 10 in" in talk.reply("beto", "09:05", "BY ANA 14")


# CHECK: kept beside, in no total


def test_check_counts_are_kept_beside_and_in_no_figure(talk: Talk) -> None:
    talk.reply("ana", "09:00", "14 1 LN1 / 2 LN2")
    before = talk.show(14)
    reply = talk.reply("luis", "09:10", "CHECK 14 1 LN3")
    assert reply.startswith("CHECK")
    assert "14 1 LN3 kept beside Ana's LN1; it changes no total. 1 of 10 checked" in reply
    after = talk.show(14)
    assert after["checks"] == {"luis": {"1": {"FA": 0, "FN": 0, "LA": 0, "LN": 3, "MP": 0}}}
    assert {**after, "checks": {}} == before


def test_check_counts_finish_nothing_and_alert_nobody(talk: Talk) -> None:
    caused = talk.says("luis", "09:00", "CHECK 14 " + " / ".join(f"{n} LN9" for n in range(1, 11)))
    assert [one["purpose"] for one in caused] == ["reply"]
    assert (talk.show(14)["state"], talk.show(14)["samples_in"]) == ("none", 0)


def test_the_sums_are_over_the_samples_that_both_have(talk: Talk) -> None:
    talk.reply("ana", "09:00", "14 1 LN1 / 2 LN2 FA3 / 5 LN9")
    talk.reply("luis", "09:10", "CHECK 14 1 LN3")
    # checked 1, 2 and 4, of which Ana has 1 and 2: 3 + 5 against 1 + 5
    reply = talk.reply("luis", "09:11", "CHECK 14 2 LN2 MP3 / 4 LN8")
    assert "Yours sum to 8, Ana's to 6." in reply
    assert "3 of 10 checked" in reply


def test_a_check_before_any_counts_says_that_there_is_nothing_to_set_it_against(talk: Talk) -> None:
    assert "Todavia no hay" in talk.reply("ana", "09:00", "REVISA 14 1 LN3")
    talk.reply("luis", "09:05", "14 1 LN2")
    assert "Luis" in talk.reply("ana", "09:10", "REVISA 14 2 LN3")


def test_fix_replaces_a_check_and_leaves_the_scouts_count(talk: Talk) -> None:
    talk.reply("ana", "09:00", "14 1 LN1")
    talk.reply("luis", "09:05", "CHECK 14 1 LN3")
    talk.reply("luis", "09:06", "CHECK 14 FIX 1 LN5")
    assert talk.show(14)["checks"]["luis"]["1"]["LN"] == 5
    assert talk.samples(14) == {"1": "LN1"}


def test_another_check_of_a_sample_is_asked_with_old_and_new(talk: Talk) -> None:
    talk.reply("luis", "09:05", "CHECK 14 1 LN3")
    question = talk.reply("luis", "09:06", "CHECK 14 1 LN5")
    assert "LN3" in question
    assert "LN5" in question
    assert talk.show(14)["checks"]["luis"]["1"]["LN"] == 3
    assert talk.reply("luis", "09:07", "1").startswith("CHECK")
    assert talk.show(14)["checks"]["luis"]["1"]["LN"] == 5
    assert talk.show(14)["samples"] == {}


def test_a_check_over_the_limit_is_asked_and_a_no_keeps_nothing(talk: Talk) -> None:
    assert "52 is more than 40" in talk.reply("luis", "09:00", "CHECK 14 4 LN52")
    talk.reply("luis", "09:01", "2")
    assert talk.show(14)["checks"] == {}
    talk.reply("luis", "09:02", "CHECK 14 4 LN52")
    talk.reply("luis", "09:03", "1")
    assert talk.show(14)["checks"]["luis"]["4"]["LN"] == 52
    assert talk.show(14)["samples"] == {}


def test_undo_of_a_check_takes_back_the_check_alone(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN1")
    talk.reply("luis", "09:05", "CHECK 14 1 LN3 / 2 0")
    assert "1 LN3 / 2 0" in talk.reply("luis", "09:06", "CHECK 14 UNDO")
    assert talk.show(14)["checks"] == {}
    assert talk.samples(14) == {"1": "LN1"}


def test_undo_of_counts_leaves_the_checks(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN1")
    talk.reply("luis", "09:05", "CHECK 14 1 LN3")
    assert "taken back 1 LN1" in talk.reply("luis", "09:06", "14 UNDO")
    assert talk.show(14)["checks"]["luis"]["1"]["LN"] == 3


def test_undo_of_a_check_that_replaced_one_lets_the_first_stand_again(talk: Talk) -> None:
    talk.reply("luis", "09:00", "CHECK 14 1 LN3")
    talk.reply("luis", "09:05", "CHECK 14 FIX 1 LN5")
    talk.reply("luis", "09:30", "CHECK 14 UNDO")
    assert talk.show(14)["checks"]["luis"]["1"]["LN"] == 3


def test_a_second_undo_of_checks_within_ten_minutes_is_asked(talk: Talk) -> None:
    talk.reply("luis", "09:00", "CHECK 14 1 LN3")
    talk.reply("luis", "09:05", "CHECK 14 2 LN5")
    talk.reply("luis", "09:06", "CHECK 14 UNDO")
    assert "1 yes" in talk.reply("luis", "09:07", "CHECK 14 UNDO")
    assert "1" in talk.show(14)["checks"]["luis"]


@pytest.mark.parametrize(
    "text",
    [
        "CHECK 14 LN2",
        "CHECK 14 TOTAL 10 LN2",
        "CHECK 14 SQ 88 100",
        "CHECK 14",
        "CHECK 14 SHORT rain",
        "CHECK 14 1 LN1 =2",
        "CHECK 12 1 LN1",
        "CHECK 14 1 QQ1",
        "CHECK 3 LN2",
    ],
)
def test_a_check_is_of_numbered_samples_at_a_site(talk: Talk, text: str) -> None:
    before = state(talk)
    reply = talk.reply("luis", "09:00", text)
    assert "Nothing stored" in reply
    assert state(talk) == before


def test_a_grower_may_not_check(talk: Talk) -> None:
    talk.reply("opal", "09:00", "CHECK 14 1 LN1")
    assert talk.show(14)["checks"] == {}


# PRACTICE: as if real, nothing kept


@pytest.mark.parametrize(
    ("who", "text", "mark"),
    [
        ("luis", "PRACTICE 14 2 LN2", "PRACTICE"),
        ("luis", "PRUEBA 14 2 LN2", "PRACTICE"),
        ("ana", "PRACTICA 14 2 LN2", "PRUEBA"),
        ("luis", "PRACTICE 14 2 LN9 / 3 LN9 / 4 LN9", "PRACTICE"),
        ("luis", "PRACTICE 14 FIX 1 LN7", "PRACTICE"),
        ("luis", "PRACTICE 14 UNDO", "PRACTICE"),
        ("luis", "PRACTICE 14 TOTAL 10 LN30", "PRACTICE"),
        ("luis", "PRACTICE 14 SHORT rain", "PRACTICE"),
        ("luis", "PRACTICE 16 SKIP rain", "PRACTICE"),
        ("luis", "PRACTICE 14 SQ 88 100", "PRACTICE"),
        ("luis", "PRACTICE 14 NAWF 5", "PRACTICE"),
        ("luis", "PRACTICE 14 NOTE hail", "PRACTICE"),
        ("luis", "PRACTICE 14 WET", "PRACTICE"),
        ("luis", "PRACTICE 14 EACH 2", "PRACTICE"),
        ("luis", "PRACTICE 14 MOVE 16", "PRACTICE"),
        ("luis", "PRACTICE 14 STAGE CUTOUT", "PRACTICE"),
        ("june", "PRACTICE 14 STAGE CUTOUT", "PRACTICE"),
        ("june", "PRACTICE BY ANA 14 2 LN2", "PRACTICE"),
        ("luis", "PRACTICE CHECK 14 1 LN2", "PRACTICE"),
        ("luis", "PRACTICE YEST 14 1 LN2", "PRACTICE"),
        ("luis", "PRACTICE 14 1 LN9", "PRACTICE"),
        ("luis", "PRACTICE 14 2 LN52", "PRACTICE"),
        ("luis", "PRACTICE 14 CLOSE", "PRACTICE"),
        ("luis", "PRACTICE 14 SPRAYED 24", "PRACTICE"),
        ("luis", "PRACTICE 16 SKIP sprayed this morning", "PRACTICE"),
        ("luis", "PRACTICE STOP", "PRACTICE"),
        ("luis", "PRACTICE HELP", "PRACTICE"),
        ("luis", "PRACTICE blorb", "PRACTICE"),
        ("opal", "PRACTICE 14 1 LN2", "PRACTICE"),
    ],
)
def test_practice_is_answered_and_marked_and_keeps_tells_and_opens_nothing(
    talk: Talk, who: str, text: str, mark: str
) -> None:
    talk.says("luis", "08:30", "14 1 LN2")
    before = state(talk)
    caused = talk.says(who, "09:00", text)
    assert [one["purpose"] for one in caused] == ["reply"]
    reply = caused[0]["text"]
    assert mark in reply
    assert len(reply) <= 160, reply
    assert state(talk) == before
    answer = talk.reply(who, "09:01", "1")
    assert "Nothing was asked" in answer or "No le preguntamos" in answer
    assert state(talk) == before


@pytest.mark.parametrize(
    ("practised", "said"),
    [
        ("14 2 LN2", "14 2 LN2. 2 of 10 in. Lygus 3.33 per 5 row ft, level 3: ABOVE SO FAR."),
        ("14 FIX 1 LN1", "14 1 is now LN1 (was LN2). 1 of 10 in."),
        ("14 2 LN52", "52 is more than 40"),
        ("14 1 QQ2", "QQ is not on the card"),
        ("14 BH 20 25", "20 hurt of 25"),
        ("14", "14 Pump House, Jul 6: 1 of 10 in."),
    ],
)
def test_practice_is_answered_as_if_it_were_real(talk: Talk, practised: str, said: str) -> None:
    talk.says("luis", "08:30", "14 1 LN2")
    assert said in talk.reply("luis", "09:00", f"PRACTICE {practised}")


def test_practice_drops_no_question(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN52")
    reply = talk.reply("luis", "09:01", "PRACTICE 14 2 LN53")
    assert "NOT" not in reply
    talk.reply("luis", "09:02", "1")
    assert talk.samples(14) == {"1": "LN52"}


def test_practice_of_an_answer_answers_nothing(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN52")
    assert "PRACTICE" in talk.reply("luis", "09:01", "PRACTICE 1")
    assert talk.show(14)["state"] == "none"
    talk.reply("luis", "09:02", "1")
    assert talk.samples(14) == {"1": "LN52"}


def test_practice_of_stop_leaves_the_phone_on(talk: Talk) -> None:
    talk.says("luis", "09:00", "PRACTICE STOP")
    assert talk.reply("luis", "09:01", "14 1 LN2").startswith("14 1 LN2.")
    caused = talk.says("opal", "09:02", "PRACTICE STOP")
    assert [one["purpose"] for one in caused] == ["reply"]
    assert OPAL in dict(to(talk.says("luis", "09:05", "14 2-10 LN9 / 2 LN9 / 3 LN9"), "alert"))


def test_practice_of_ok_reads_no_alert(talk: Talk) -> None:
    talk.says("luis", "09:00", "14 1 LN9 / 2 LN9")
    talk.says("opal", "09:05", "PRACTICE OK")
    assert OPAL in {one["to"] for one in talk.strikes("11:10")}


def test_the_first_real_counts_after_practice_are_the_first(talk: Talk) -> None:
    talk.says("luis", "09:00", "PRACTICE 14 1 LN2")
    reply = talk.reply("luis", "09:01", "14 1 LN2")
    assert "Sheet, 3 row ft, black. 1 of 10 in." in reply


# A day


@pytest.mark.parametrize(
    ("word", "day", "said"),
    [
        ("MON", MONDAY, "Jul 5"),
        ("MONDAY", MONDAY, "Jul 5"),
        ("LUNES", MONDAY, "Jul 5"),
        ("YEST", MONDAY, "Jul 5"),
        ("YESTERDAY", MONDAY, "Jul 5"),
        ("AYER", MONDAY, "Jul 5"),
        ("TUE", date(2027, 7, 6), "Jul 6"),
        ("MARTES", date(2027, 7, 6), "Jul 6"),
        ("WED", LAST_WEDNESDAY, "Jun 30"),
        ("MIE", LAST_WEDNESDAY, "Jun 30"),
    ],
)
def test_a_day_word_is_the_last_day_of_that_name_and_todays_own_is_today(
    talk: Talk, word: str, day: date, said: str
) -> None:
    reply = talk.reply("luis", "09:00", f"{word} 14 1 LN2")
    assert said in reply
    assert talk.samples(14, day) == {"1": "LN2"}
    if day != date(2027, 7, 6):
        assert talk.samples(14) == {}


def test_the_date_is_said_in_the_readers_language(talk: Talk) -> None:
    assert "lun 5 jul" in talk.reply("ana", "09:00", "LUN 14 1 LN2").lower()


@pytest.mark.parametrize(
    ("text", "key", "value"),
    [
        ("MON 14 TOTAL 10 LN1", "state", "done"),
        ("MON 14 SQ 88 100", "shares", {"SQ": {"n": 88, "of": 100}}),
        ("MON 14 1 BH 1 5", "shares", {"BH": {"n": 1, "of": 5}}),
    ],
)
def test_counts_totals_and_shares_may_be_of_another_day(
    talk: Talk, text: str, key: str, value: object
) -> None:
    assert "Jul 5" in talk.reply("luis", "09:00", text)
    assert talk.show(14, MONDAY)[key] == value
    assert talk.show(14)["state"] == "none"


def test_fix_of_another_day_replaces_that_days_count(talk: Talk) -> None:
    talk.reply("luis", "2027-07-05T09:00", "14 1 LN2")
    talk.reply("luis", "08:00", "14 1 LN3")
    assert "was LN2" in talk.reply("luis", "09:00", "MON 14 FIX 1 LN1")
    assert (talk.samples(14, MONDAY), talk.samples(14)) == ({"1": "LN1"}, {"1": "LN3"})


def test_undo_and_short_of_another_day_leave_today_as_it_is(talk: Talk) -> None:
    talk.reply("luis", "2027-07-05T09:00", "14 1-6 0")
    talk.reply("luis", "2027-07-05T09:05", "14 7 LN1")
    talk.reply("luis", "09:00", "14 1 LN2")
    assert "taken back 7 LN1" in talk.reply("luis", "09:05", "MON 14 UNDO")
    assert "Jul 5" in talk.reply("luis", "09:06", "MON 14 SHORT rain")
    assert (talk.show(14, MONDAY)["state"], talk.show(14, MONDAY)["reason"]) == ("short", "rain")
    assert talk.samples(14) == {"1": "LN2"}


def test_the_standing_of_another_day_may_be_asked(talk: Talk) -> None:
    talk.reply("luis", "2027-07-05T09:00", "14 1-6 0")
    reply = talk.reply("luis", "09:05", "MON 14")
    assert "Jul 5" in reply
    assert "6 of 10" in reply


@pytest.mark.parametrize(
    "text",
    [
        "MON 14 MOVE 16",
        "MON 14 NOTE hail",
        "MON 14 EACH 2",
        "MON 14 STAGE CUTOUT",
        "MON 14 NAWF 5",
        "MON 14 WET",
        "MON 14 SKIP rain",
    ],
)
def test_a_day_goes_before_nothing_else(talk: Talk, text: str) -> None:
    talk.reply("luis", "2027-07-05T09:00", "14 1 LN1")
    talk.reply("luis", "08:00", "14 1 LN1")
    before = state(talk)
    caused = talk.says("luis", "09:00", text)
    assert [one["purpose"] for one in caused] == ["reply"]
    assert "Nothing stored" in caused[0]["text"]
    assert state(talk) == before


def test_a_question_about_another_day_keeps_its_day(talk: Talk) -> None:
    assert "Jul 5" in talk.reply("luis", "09:00", "MON 14 1 LN52")
    assert "Jul 5" in talk.reply("luis", "09:01", "1")
    assert talk.samples(14, MONDAY) == {"1": "LN52"}
    assert talk.samples(14) == {}


def test_a_day_word_is_counted_from_the_day_on_which_the_text_was_sent(talk: Talk) -> None:
    """Sent on Monday, TUE is the Tuesday before; MON is that Monday, whenever it comes."""
    talk.reply("luis", "09:00", "TUE 14 1 LN2", sent="2027-07-05T20:00")
    assert talk.samples(14, date(2027, 6, 29)) == {"1": "LN2"}
    talk.reply("luis", "09:01", "MON 16 1 LN2", sent="2027-07-05T20:05")
    talk.reply("luis", "09:02", "1")
    assert talk.samples(16, MONDAY) == {"1": "LN2"}
    assert talk.samples(14) == talk.samples(16) == {}


def test_late_counts_fill_the_older_round_and_leave_the_newer_as_it_is(talk: Talk) -> None:
    talk.reply("luis", "2027-06-30T09:00", "14 1-9 0")
    talk.reply("luis", "2027-07-07T09:00", "14 1 LN1")
    talk.reply("luis", "2027-07-07T09:05", "WED 14 2 LN1")
    assert talk.samples(14, date(2027, 7, 7)) == {"1": "LN1", "2": "LN1"}
    talk.reply("luis", "2027-07-08T09:00", "14 10 LN3", sent="2027-07-01T09:30")
    late = talk.show(14, date(2027, 7, 1))
    assert late["samples_in"] == 1
    assert talk.samples(14, date(2027, 7, 7)) == {"1": "LN1", "2": "LN1"}


def test_a_correction_of_an_older_round_goes_to_the_digest_only(talk: Talk) -> None:
    talk.says("luis", "2027-07-05T09:00", "14 " + " / ".join(f"{n} LN2" for n in range(1, 11)))
    talk.says("luis", "09:00", "14 1 0")
    caused = talk.says("luis", "09:05", "MON 14 FIX 1 0 / 2 0")
    assert to(caused, "alert") == []
    digest = " ".join(text for _, text in to(talk.strikes("18:30"), "digest"))
    assert "14 of Jul 5 is BELOW, was ABOVE" in digest


def test_prefixes_stand_in_their_order(talk: Talk) -> None:
    talk.reply("ana", "2027-07-05T09:00", "14 1 LN1")
    reply = talk.reply("june", "09:00", "PRACTICE BY LUIS CHECK MON 14 1 LN2")
    assert all(part in reply for part in ("PRACTICE", "Luis", "CHECK", "Jul 5", "14 1 LN2"))
    talk.reply("june", "09:01", "BY LUIS CHECK MON 14 1 LN2")
    assert talk.show(14, MONDAY)["checks"]["luis"]["1"]["LN"] == 2
