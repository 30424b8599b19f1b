"""SOS: the emergency number first, and people told at once, whoever sends it and whatever else is going on."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from parsing import septets
from tests.talk import Talk, talking, to
from tests.test_conversation_crossings import BETO, JUNE, OPAL

ANA, STRANGER = "+12705550111", "+12705550177"
WHERE = ("[fields.12]", '[fields.12]\nwhere = "2nd turnrow W of the pump"')


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(
        tmp_path, "talk.toml", ('language = "es"\n\n[people.luis]', "\n[people.luis]"), WHERE
    ) as opened:
        yield opened


def test_the_answer_says_whom_to_call_who_is_told_and_the_last_place(talk: Talk) -> None:
    """The form of replies.md, 39."""
    talk.says("ana", "10:12", "121 1 FA2")
    assert talk.reply("ana", "10:15", "SOS") == (
        "If anyone is hurt or sick CALL 911 NOW; this is a machine. "
        "June and Beto are told, with your last place: 121 Gin Road West, 10:12."
    )


def test_supervisors_and_leaders_are_told_at_once_who_where_when_and_the_words(talk: Talk) -> None:
    talk.says("ana", "10:12", "121 1 FA2")
    told = dict(to(talk.says("ana", "10:15", "sos bitten by a snake"), "keepout"))
    assert set(told) == {JUNE, BETO}
    assert told[JUNE] == (
        "SOS from Ana Prado, 270-555-0111, 10:15 AM: sos bitten by a snake. CALL NOW. "
        "Last place 121 Gin Road West, 2nd turnrow W of the pump, 10:12 AM"
    )


@pytest.mark.parametrize(
    "words", ["SOS", "EMERGENCY", "emergencia", "Auxilio!", "911", "S.O.S.", "911 ana fell"]
)
def test_every_word_for_it_is_heard(talk: Talk, words: str) -> None:
    caused = talk.says("luis", "09:00", words)
    assert {who for who, _ in to(caused, "keepout")} == {JUNE, BETO}
    assert to(caused, "reply")[0][1].startswith("If anyone is hurt or sick CALL 911 NOW")


def test_quiet_hours_hold_nothing(talk: Talk) -> None:
    assert len(to(talk.says("luis", "03:00", "SOS"), "keepout")) == 2


def test_the_number_that_he_sends_is_his_place(talk: Talk) -> None:
    talk.says("ana", "10:12", "121 1 FA2")
    caused = talk.says("ana", "10:15", "125 SOS")
    assert "Last place 125 Gin Road West" in dict(to(caused, "keepout"))[JUNE]
    assert "125 Gin Road West, 10:15" in to(caused, "reply")[0][1]


def test_without_a_place_of_today_the_name_and_number_are_passed_on(talk: Talk) -> None:
    talk.says("ana", "2027-07-05T10:12", "121 1 FA2")
    caused = talk.says("ana", "10:15", "SOS")
    assert "No place known today" in dict(to(caused, "keepout"))[JUNE]
    assert to(caused, "reply")[0][1].endswith("June and Beto are told, with your name and number.")


def test_a_place_moved_away_from_is_none(talk: Talk) -> None:
    talk.says("ana", "10:12", "121 1 FA2")
    talk.says("ana", "10:13", "121 MOVE 123")
    talk.says("ana", "10:14", "1")
    assert "Last place 123" in dict(to(talk.says("ana", "10:15", "SOS"), "keepout"))[JUNE]


def test_a_second_cry_calls_people_out_again(talk: Talk) -> None:
    assert len(to(talk.says("luis", "09:00", "SOS"), "keepout")) == 2
    assert len(to(talk.says("luis", "09:01", "SOS"), "keepout")) == 2


def test_a_grower_a_trainee_and_a_leader_are_heard_alike(tmp_path: Path) -> None:
    trainee = ('name = "Luis Vega"', 'name = "Luis Vega"\ntrainee = true')
    with talking(tmp_path, "talk.toml", trainee) as talk:
        talk.says("luis", "09:00", "14 1 LN2")
        assert (
            "Last place 14 Pump House, 9:00 AM"
            in dict(to(talk.says("luis", "09:05", "SOS"), "keepout"))[JUNE]
        )
        assert {who for who, _ in to(talk.says("opal", "09:06", "SOS"), "keepout")} == {JUNE, BETO}
        assert {who for who, _ in to(talk.says("beto", "09:07", "SOS"), "keepout")} == {JUNE}


def test_an_open_question_is_neither_lost_nor_answered_by_it(talk: Talk) -> None:
    talk.says("ana", "09:00", "121 1 LN52")
    assert "NOT stored" not in talk.reply("ana", "09:01", "SOS")
    talk.says("ana", "09:02", "1")
    assert talk.samples(121) == {"1": "LN52"}


def test_a_phone_that_opted_out_gets_no_answer_and_people_hear_that_it_gets_none(talk: Talk) -> None:
    """An opted-out number: no reply, except to HELP and START (texts.md, section 5); people are told all the same."""
    talk.says("ana", "09:00", "STOP")
    caused = talk.says("ana", "09:05", "SOS")
    assert ANA not in {one["to"] for one in caused}
    assert dict(to(caused, "keepout"))[JUNE].endswith("That phone gets no texts")


def test_practice_says_what_would_happen_and_tells_nobody(talk: Talk) -> None:
    (reply,) = talk.says("ana", "09:00", "PRACTICE SOS")
    assert reply["text"] == (
        "PRACTICE, nothing kept, nobody told: If anyone is hurt or sick CALL 911 NOW. "
        "June and Beto would be told. If it is real send SOS alone."
    )


@pytest.mark.parametrize("words", ["BY ANA SOS", "BY ZED SOS", "TUE SOS", "CHECK SOS", "YEST 121 SOS"])
def test_no_prefix_stands_in_its_way(talk: Talk, words: str) -> None:
    caused = talk.says("beto", "09:00", words)
    assert {who for who, _ in to(caused, "keepout")} == {JUNE}
    assert "Beto Luna" in to(caused, "keepout")[0][1]
    assert to(caused, "reply")[0][1].startswith("If anyone is hurt or sick CALL 911 NOW")


def test_who_comes_to_help_hears_of_a_field_that_nobody_may_enter(talk: Talk) -> None:
    talk.says("opal", "08:00", "12 SPRAYED 24")
    talk.says("ana", "09:00", "121 1 FA2")
    assert (
        "KEEP OUT there, at least until Wed Jul 7 8:00 AM"
        in dict(to(talk.says("ana", "09:05", "SOS"), "keepout"))[JUNE]
    )


def test_words_that_may_mean_a_treatment_close_the_field_too(talk: Talk) -> None:
    talk.says("luis", "09:00", "14 1 LN2")
    caused = talk.says("ana", "09:05", "14 SOS they are spraying on us")
    told = [text for who, text in to(caused, "keepout") if who == JUNE and text.startswith("SOS")]
    assert "Last place 14 Pump House, 9:05 AM. KEEP OUT there, hours not known" in told[0]
    assert any("KEEP OUT of 14" in text for _, text in to(caused, "keepout"))
    assert [who for who, text in to(caused, "notice") if text.startswith("14 Pump House: KEEP OUT")] == [
        JUNE,
        BETO,
    ]
    assert talk.show(14)["closed_until"] == "unknown"
    assert to(caused, "reply")[0][1].startswith("If anyone is hurt or sick CALL 911 NOW")


def test_the_words_that_a_person_reads_are_in_the_digest_too(talk: Talk) -> None:
    talk.says("ana", "09:05", "SOS")
    assert "READ BY HAND: 1 text (Ana)" in " ".join(one["text"] for one in talk.strikes("18:30"))


def test_an_unknown_number_gets_its_one_answer_with_the_emergency_number(talk: Talk) -> None:
    caused = talk.says(STRANGER, "09:00", "SOS at the pump")
    assert to(caused, "reply") == [
        (
            STRANGER,
            "If anyone is hurt or sick CALL 911 NOW, LLAME AL 911 YA; this is a machine. "
            "This number is not on our list; a person is told.",
        )
    ]
    assert dict(to(caused, "keepout")) == dict.fromkeys(
        (JUNE, BETO), "SOS from a number not ours, 270-555-0177, 9:00 AM: SOS at the pump. CALL NOW."
    )


def test_an_unknown_number_calls_people_out_once_an_hour_and_is_answered_once_a_day(talk: Talk) -> None:
    talk.says(STRANGER, "09:00", "hello")
    assert [one["purpose"] for one in talk.says(STRANGER, "09:10", "SOS")] == ["keepout", "keepout"]
    assert talk.says(STRANGER, "09:20", "SOS") == []
    assert len(to(talk.says(STRANGER, "10:20", "SOS"), "keepout")) == 2


def test_where_nobody_can_be_told_the_answer_says_so(tmp_path: Path) -> None:
    with talking(tmp_path) as talk:
        talk.says("june", "08:00", "STOP")
        talk.says("beto", "08:01", "STOP")
        reply = talk.reply("luis", "09:00", "SOS")
        assert "CALL 911 NOW" in reply
        assert "reaches nobody else. Help: 270-555-0100" in reply


def test_the_seasons_own_emergency_number_is_said(tmp_path: Path) -> None:
    with talking(
        tmp_path, "talk.toml", ('alerts = "automatic"', 'alerts = "automatic"\nemergency = "112"')
    ) as talk:
        assert "CALL 112 NOW" in talk.reply("luis", "09:00", "SOS")


@pytest.mark.parametrize("length", [10, 60, 120, 300])
def test_with_long_words_and_names_everything_needed_stays_in_one_text(tmp_path: Path, length: int) -> None:
    names = (
        ('name = "Ana Prado"', 'name = "Ana Guadalupe Villarreal Prado"'),
        ('name = "Gin Road West"', 'name = "Gin Road West of the Old Levee Block"'),
        WHERE,
    )
    with talking(tmp_path, "talk.toml", *names) as talk:
        talk.says("ana", "09:00", "121 1 FA2")
        told = dict(to(talk.says("ana", "09:05", "SOS " + "she fell down " * (length // 14)), "keepout"))
        for needed in ("SOS from Ana", "270-555-0111", "9:05 AM", "Last place 121", "CALL NOW", "9:00 AM"):
            assert needed in told[JUNE]
        assert septets(told[JUNE]) <= 160


def test_growers_of_other_fields_hear_nothing(talk: Talk) -> None:
    assert OPAL not in {one["to"] for one in talk.says("ana", "09:05", "SOS")}
