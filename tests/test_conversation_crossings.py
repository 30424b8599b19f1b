"""Who hears what, and when: alerts, notices, what waits, what is taken back, reminders, digests (standing.md)."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.talk import Talk, talking, to

OPAL, RAMON, JUNE, BETO = "+12705550130", "+12705550131", "+12705550120", "+12705550115"
TEN_OF_TWO = "14 " + " / ".join(f"{sheet} LN2" for sheet in range(1, 11))
"""20 plant bugs on 30 row feet: 3.33 per 5 row ft, above the level of 3 (MSU Extension P2561, 2007)."""


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path) as opened:
        yield opened


def squares(number: int, heavy: bool) -> str:
    return f"{number} " + " / ".join(f"{sheet} LN{2 if heavy else 1}" for sheet in range(1, 11))


def test_each_grower_of_a_field_is_alerted_once_in_his_language_and_the_supervisor_told(talk: Talk) -> None:
    caused = talk.says("luis", "09:00", TEN_OF_TWO)
    alerts = dict(to(caused, "alert"))
    assert alerts[OPAL].startswith("14 Pump House, Jul 6: lygus 3.33 per 5 row ft, level 3: ABOVE.")
    assert "OK = I read it" in alerts[OPAL]
    assert "ARRIBA" in alerts[RAMON]
    assert [who for who, _ in to(caused, "notice")] == [JUNE]
    assert to(talk.says("luis", "09:05", "14 FIX 1 LN3"), "alert") == []


def test_an_alert_goes_as_soon_as_the_field_is_certain(talk: Talk) -> None:
    assert to(talk.says("luis", "09:00", "14 1 LN9 / 2 LN8"), "alert") == []
    caused = talk.says("luis", "09:05", "14 3 LN1")
    assert "sure after 3 of 10 samples" in dict(to(caused, "alert"))[OPAL]
    assert talk.show(14)["levels"][0]["certain"] is True


def test_a_field_of_three_sites_is_certain_only_when_the_mean_of_all_is(talk: Talk) -> None:
    caused = talk.says("luis", "09:00", "121 1 LN40 / 2 LN13")
    assert to(caused, "alert") == []
    caused = talk.says("luis", "09:01", "121 3 LN1")
    assert "ABOVE level 3" in dict(to(caused, "alert"))[OPAL]
    shown = talk.show(12)
    assert (shown["state"], shown["levels"][0]["density"], shown["levels"][0]["standing"]) == (
        "certain",
        None,
        "above",
    )


def test_a_field_below_says_nothing_to_its_grower(talk: Talk) -> None:
    caused = talk.says("luis", "09:00", squares(14, heavy=False))
    assert to(caused, "alert") == []
    assert to(caused, "notice") == []


def test_a_correction_in_the_round_takes_the_alert_back(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    caused = talk.says("luis", "09:10", "14 FIX 1 0")
    assert to(caused, "alert") == []
    caused = talk.says("luis", "09:11", "14 FIX 2 0")
    corrected = dict(to(caused, "alert"))
    assert corrected[OPAL].startswith(
        "CORRECTED 14 Pump House, Jul 6: lygus is 2.67 per 5 row ft, level 3: BELOW, not 3.33."
    )
    assert corrected[RAMON].startswith("CORREGIDO 14")
    assert to(talk.says("luis", "09:12", "14 FIX 3 0"), "alert") == []


def test_above_again_after_a_correction_is_a_crossing_of_its_own(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    talk.says("luis", "09:10", "14 FIX 1 0 / 2 0")
    again = dict(to(talk.says("luis", "09:20", "14 FIX 1 LN2 / 2 LN2"), "alert"))
    assert "ABOVE" in again[OPAL]


def test_undoing_everything_takes_the_alert_back(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    caused = talk.says("luis", "09:10", "14 UNDO")
    assert dict(to(caused, "alert"))[OPAL].startswith(
        "CORRECTED 14 Pump House, Jul 6: lygus is not final now, 3.33 does not stand."
    )


def test_in_quiet_hours_an_alert_waits_and_one_withdrawn_meanwhile_never_leaves(talk: Talk) -> None:
    assert to(talk.says("luis", "06:00", TEN_OF_TWO), "alert") == []
    assert to(talk.says("luis", "06:10", "14 FIX 1 0 / 2 0"), "alert") == []
    assert talk.strikes("08:00") == []


def test_an_alert_of_quiet_hours_leaves_when_they_end(talk: Talk) -> None:
    talk.says("luis", "06:00", TEN_OF_TWO)
    assert talk.strikes("07:59") == []
    assert {one["to"] for one in talk.strikes("08:00")} == {OPAL, RAMON, JUNE}


def test_a_correction_goes_out_in_quiet_hours_when_the_alert_is_under_12_hours_old(talk: Talk) -> None:
    talk.says("luis", "20:30", TEN_OF_TWO)
    caused = talk.says("luis", "21:30", "14 FIX 1 0 / 2 0")
    assert len(to(caused, "alert")) == 2


def test_final_above_again_in_the_next_round_is_said_once(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    assert to(talk.says("luis", "2027-07-13T09:00", "14 1 LN20"), "alert") == []
    caused = talk.says("luis", "2027-07-13T09:30", "14 2-10 0")
    assert "still ABOVE" in dict(to(caused, "alert"))[OPAL]
    assert to(talk.says("luis", "2027-07-13T09:40", "14 FIX 2 LN1"), "alert") == []


def test_below_in_a_later_round_is_told_to_those_who_had_the_alert(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    caused = talk.says("luis", "2027-07-13T09:00", squares(14, heavy=False))
    back = dict(to(caused, "alert"))
    assert "back BELOW (3.33 on Jul 6)" in back[OPAL]
    assert "says nothing about entering" in back[OPAL]
    assert set(back) == {OPAL, RAMON}


def test_a_grower_without_a_phone_is_not_told_and_the_supervisor_hears_so(talk: Talk) -> None:
    talk.says("june", "08:30", "27 STAGE BLOOM 2")
    caused = talk.says("luis", "09:00", TEN_OF_TWO.replace("14 ", "27 ", 1))
    assert to(caused, "alert") == []
    assert "NOT told, call: Etta." in dict(to(caused, "notice"))[JUNE]


@pytest.mark.parametrize(
    ("before", "last", "reason"),
    [
        pytest.param([], TEN_OF_TWO.replace("10 LN2", "10 LN2"), None, id="nothing"),
        pytest.param(
            [("luis", "14 1 LN52"), ("luis", "1")], "14 2-10 0", "over 40", id="a count over the limit"
        ),
        pytest.param([("ana", "14 1 LN9")], "14 2 LN9 / 3-10 0", "Ana is not on its list", id="not assigned"),
    ],
)
def test_an_alert_waits_for_a_person_and_says_why(
    talk: Talk, before: list[tuple[str, str]], last: str, reason: str | None
) -> None:
    for minute, (who, text) in enumerate(before):
        caused = talk.says(who, f"09:{minute:02}", text)
    caused = [*(caused if before else []), *talk.says("luis", "09:30", last)]
    notices = " ".join(text for _, text in to(caused, "notice"))
    if reason is None:
        assert len(to(caused, "alert")) == 2
    else:
        assert to(caused, "alert") == []
        assert "WAITS for you" in notices
        assert reason in notices
        digest = " ".join(text for _, text in to(talk.strikes("18:30"), "digest"))
        assert "WAITS: 14 lygus" in digest


def test_in_a_reviewed_season_every_alert_waits(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", ('alerts = "automatic"', 'alerts = "reviewed"')) as talk:
        caused = talk.says("luis", "09:00", TEN_OF_TWO)
        assert to(caused, "alert") == []
        assert "All alerts are reviewed" in dict(to(caused, "notice"))[JUNE]


def test_an_alert_on_a_scouts_own_stage_waits(talk: Talk) -> None:
    caused = talk.says("ana", "08:30", "16 ETAPA FLOR 2")
    assert "Ana says 16 Levee is in bloom week 2" in dict(to(caused, "notice"))[JUNE]
    caused = talk.says("ana", "09:00", TEN_OF_TWO.replace("14 ", "16 ", 1))
    assert to(caused, "alert") == []
    assert "a scout's own" in dict(to(caused, "notice"))[JUNE]


def test_an_alert_that_waits_only_for_an_answer_goes_with_the_answer(talk: Talk) -> None:
    caused = talk.says("luis", "09:00", "14 1 LN9 / 2 LN9 / 3 LM1")
    assert to(caused, "alert") == []
    assert "not answered" in dict(to(caused, "notice"))[JUNE]
    assert len(to(talk.says("luis", "09:01", "2"), "alert")) == 2


def test_an_alert_that_waits_for_a_question_goes_when_it_lapses(talk: Talk) -> None:
    talk.says("luis", "09:00", "14 1 LN9 / 2 LN9 / 3 LM1")
    assert len(to(talk.strikes("11:01"), "alert")) == 2


def test_a_skipped_site_lets_the_alert_wait(talk: Talk) -> None:
    talk.says("luis", "09:00", "125 SKIP wet")
    talk.says("luis", "09:01", squares(121, heavy=True))
    caused = talk.says("luis", "09:02", squares(123, heavy=True))
    assert to(caused, "alert") == []
    assert "125 left out" in dict(to(caused, "notice"))[JUNE]
    assert talk.show(12)["state"] == "final"


@pytest.mark.parametrize("words", ["OK", "14 OK", "read", "gracias", "\N{THUMBS UP SIGN}", "Thanks!"])
def test_an_alert_is_read_by_ok_thanks_or_a_thumbs_up(talk: Talk, words: str) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    assert "noted that you read it" in talk.reply("opal", "09:05", words)
    assert [one["to"] for one in talk.strikes("11:10")] == [RAMON]


def test_an_alert_not_read_is_reminded_once_and_then_a_supervisor_is_told_to_call(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    assert talk.strikes("10:59") == []
    reminders = talk.strikes("11:00")
    assert [(one["to"], one["purpose"]) for one in reminders] == [(OPAL, "alert"), (RAMON, "alert")]
    assert "9:00 AM" in reminders[0]["text"]
    assert talk.strikes("12:59") == []
    notices = to(talk.strikes("13:00"), "notice")
    assert [who for who, _ in notices] == [JUNE, JUNE]
    assert "Opal Greer has not read" in notices[0][1]
    assert talk.strikes("15:00") == []


def test_quiet_time_does_not_count_as_time_to_read(talk: Talk) -> None:
    talk.says("luis", "20:30", TEN_OF_TWO)
    assert to(talk.strikes("2027-07-07T08:00"), "alert") == []
    assert to(talk.strikes("2027-07-07T09:29"), "alert") == []
    assert len(to(talk.strikes("2027-07-07T09:30"), "alert")) == 2


def test_a_growers_own_words_count_as_read_and_go_to_a_person_at_once(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    caused = talk.says("opal", "09:05", "what does that mean? call me")
    assert "call me" in dict(to(caused, "notice"))[JUNE]
    assert [one["to"] for one in talk.strikes("11:10")] == [RAMON]


def test_a_growers_words_of_a_treatment_count_as_read_too(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    talk.says("opal", "09:05", "they are flying 14 right now")
    talk.says("june", "09:10", "OK")
    assert talk.show(14)["closed_until"] == "unknown"
    assert [one["to"] for one in talk.strikes("11:10") if one["purpose"] == "alert"] == [RAMON]


@pytest.mark.parametrize(
    "words", ["14 SPRAYED 24", "we are spraying pump house today", "14 POSTED", "14 FUMIGADO"]
)
def test_words_of_a_treated_field_are_not_swallowed(talk: Talk, words: str) -> None:
    caused = talk.says("opal", "06:05", words)
    assert "KEEP OUT" in to(caused, "reply")[0][1]
    assert "KEEP OUT" in dict(to(caused, "notice"))[JUNE]
    assert talk.show(14)["closed_until"] is not None


def test_a_phone_that_opts_out_gets_one_confirmation_and_supervisor_and_leader_hear(talk: Talk) -> None:
    talk.says("ana", "09:00", "121 1 FA2")
    caused = talk.says("ana", "09:05", "ALTO")
    assert "NO ENTRE" in to(caused, "reply")[0][1]
    notices = dict(to(caused, "notice"))
    assert set(notices) == {JUNE, BETO}
    assert "121 stands at 1 of 10" in notices[JUNE]
    assert talk.says("ana", "09:06", "121 2 FA1") == []
    assert talk.samples(121) == {"1": "FA2", "2": "FA1"}
    assert len(to(talk.says("ana", "09:07", "AYUDA"), "reply")) == 1
    assert talk.says("ana", "09:08", "STOP") == []
    assert len(to(talk.says("ana", "09:09", "EMPIEZA"), "reply")) == 1
    assert talk.reply("ana", "09:10", "121 3 FA1").startswith("121 3 FA1.")


def test_a_grower_who_opted_out_is_not_alerted(talk: Talk) -> None:
    talk.says("opal", "08:30", "stop")
    caused = talk.says("luis", "09:00", TEN_OF_TWO)
    assert [who for who, _ in to(caused, "alert")] == [RAMON]
    assert "NOT told, call: Opal." in dict(to(caused, "notice"))[JUNE]


def test_an_unknown_number_is_kept_and_answered_once_a_day(talk: Talk) -> None:
    stranger = "+12705550177"
    (reply,) = talk.says(stranger, "09:00", "121 1 FA2")
    assert not any(word in reply["text"] for word in ("121", "Larkspur", "June"))
    assert talk.says(stranger, "09:05", "hello?") == []
    assert talk.show(121)["state"] == "none"
    assert len(talk.says(stranger, "2027-07-07T09:00", "hello?")) == 1
    digest = " ".join(text for _, text in to(talk.strikes("2027-07-07T18:30"), "digest"))
    assert "a number not ours" in digest


def test_an_unknown_number_gets_help(talk: Talk) -> None:
    (reply,) = talk.says("+12705550178", "09:00", "HELP")
    assert "911" in reply["text"]


def test_the_digest_is_put_once_per_reader_and_local_day(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    talk.says("opal", "09:10", "OK")
    assert to(talk.strikes("18:29"), "digest") == []
    digest = to(talk.strikes("18:30"), "digest")
    assert {who for who, _ in digest} == {JUNE, BETO}
    june = " ".join(text for who, text in digest if who == JUNE)
    assert "ABOVE: 14 lygus 1.11 x level, NOT READ since 9:00, call" in june
    assert "121 not begun (Ana, Luis)" in june
    assert "Sites done 1 of 7" in june
    assert to(talk.strikes("18:31"), "digest") == []
    assert to(talk.strikes("23:59"), "digest") == []
    assert {who for who, _ in to(talk.strikes("2027-07-07T18:30"), "digest")} == {JUNE, BETO}


def test_a_leader_reads_of_his_crews_fields_only(talk: Talk) -> None:
    beto = " ".join(text for who, text in to(talk.strikes("18:30"), "digest") if who == BETO)
    assert "121 not begun" in beto
    assert "14 not begun" not in beto


def test_a_text_sent_on_an_earlier_day_that_changes_a_standing_is_in_the_next_digest(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    talk.strikes("18:30")
    talk.says("luis", "2027-07-07T09:00", "14 FIX 1 0 / 2 0", sent="2027-07-06T19:00")
    digest = " ".join(text for _, text in to(talk.strikes("2027-07-07T18:30"), "digest"))
    assert "Late change: 14 of Jul 6 is BELOW, was ABOVE" in digest


def test_squares_sent_after_the_count_change_the_standing(talk: Talk) -> None:
    """Under 80 % on with bugs present is above whatever the count (the OR rule of the Mid-South's squaring row)."""
    assert "SEND SQUARES" in talk.reply("luis", "09:00", "31 1 LA1 / 2-4 0")
    caused = talk.says("luis", "09:05", "31 SQ 78 100")
    assert "squares 78 % on" in dict(to(caused, "alert"))[OPAL]
    level = talk.show(31)["levels"][0]
    assert (level["density"], level["standing"]) == (1.0, "above")


def test_an_alert_that_waited_out_quiet_hours_says_the_newest_figure(talk: Talk) -> None:
    talk.says("luis", "22:00", "14 1-9 0")
    talk.says("luis", "22:01", "14 10 LN18")
    talk.says("luis", "22:02", "14 FIX 10 LN24")
    assert "lygus 4 per 5 row ft" in dict(to(talk.strikes("2027-07-07T08:00"), "alert"))[OPAL]


def test_a_reminder_says_the_figure_that_the_grower_was_told(talk: Talk) -> None:
    talk.says("luis", "09:00", "14 1-9 0 / 10 LN45")
    talk.says("luis", "09:01", "1")
    alert = dict(to(talk.says("luis", "09:02", "14 FIX 10 LN40"), "alert"))[OPAL]
    assert "lygus 6.67" in alert
    assert "lygus 6.67" in dict(to(talk.strikes("11:02"), "alert"))[OPAL]


def test_squares_that_take_an_alert_back_are_no_wrong_count(talk: Talk) -> None:
    talk.says("luis", "09:00", "31 1 LA1 / 2-4 0")
    talk.says("luis", "09:05", "31 SQ 78 100")
    corrected = dict(to(talk.says("luis", "09:10", "31 SQ 90 100"), "alert"))[OPAL]
    assert corrected.startswith(
        "CORRECTED 31 Ferry Bottom, Jul 6: lygus 1 per 100 sweeps, level 8: BELOW now"
    )
    assert "wrong" not in corrected


def test_a_notice_says_the_squares_that_made_the_standing(talk: Talk) -> None:
    talk.says("luis", "09:00", "31 1 LA1 / 2-4 0")
    notice = dict(to(talk.says("luis", "09:05", "31 SQ 78 100"), "notice"))[JUNE]
    assert "squares 78 % on: ABOVE" in notice


def test_a_level_prints_as_the_book_has_it(tmp_path: Path) -> None:
    row = (
        '\n[[level]]\nid = "plantbug-bloom-sheet"\ntarget = "lygus"\ncount = { adult = 1, nymph = 1 }\n'
        'method = "beat sheet"\nstage = ["bloom"]\nlow = 2.83334\nhigh = 2.83334\nper = "5 row ft"\n'
        'source = "our own"\nyear = 2027\nverified = true\n\n[plans.sweeps]'
    )
    with talking(tmp_path, "talk.toml", ("\n[plans.sweeps]", row)) as talk:
        reply = talk.reply("luis", "09:00", "14 1 LN17 / 2-10 0")
        assert "Lygus 2.83 per 5 ft, level 2.83334: BELOW" in reply


def test_a_wish_to_stop_among_other_words_pauses_alerts_until_start(talk: Talk) -> None:
    talk.says("opal", "08:30", "please stop all this")
    assert OPAL not in dict(to(talk.says("luis", "09:00", TEN_OF_TWO), "alert"))
    talk.says("opal", "09:05", "START")
    assert OPAL in dict(to(talk.says("luis", "2027-07-13T09:00", TEN_OF_TWO), "alert"))


def test_a_share_that_goes_along_is_not_said_to_be_of_all_sites(tmp_path: Path) -> None:
    """Bolls were looked at in two of the three sites whose counts the alert is about."""
    bolls = """
[[level]]
id = "bolls"
share = "bollhurt"
stage = []
low = 10
high = 10
per = "100 bolls"
source = "invented for this test"
year = 2027
verified = true

[plans.sweeps]"""
    threes = " / ".join(f"{number} LN3" for number in range(1, 11))
    with talking(tmp_path, "talk.toml", ("\n[plans.sweeps]", bolls)) as talk:
        for text in ("121 1-10 0", "121 BH 3 25", f"123 {threes}", "123 BH 3 25"):
            assert to(talk.says("luis", "09:00", text), "alert") == []
        alert = dict(to(talk.says("luis", "09:20", f"125 {threes}"), "alert"))[OPAL]
        assert "ABOVE. + hurt-boll rate ABOVE." in alert
        assert "3 of 3" not in alert, "the bolls are of two"
