"""Bad days: a supervisor who opted out, a grower without a phone, a field without scouts. Nothing waits in silence."""

import logging
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.conftest import Rowfoot
from tests.talk import SEASONS, Talk, talking, to
from tests.test_conversation_crossings import BETO, JUNE, OPAL, RAMON

LUIS, KAY = "+12705550112", "+12705550121"
HEAVY = "14 1 LN9 / 2 LN9 / 3 LN9"
REVIEWED = ('alerts = "automatic"', 'alerts = "reviewed"')
NO_LEADER = ('roles = ["leader"]\ncrew = ["ana"]', 'roles = ["scout"]')
A_SECOND = (
    "[people.opal]",
    '[people.kay]\nname = "Kay Moss"\nphone = "+1 270 555 0121"\nroles = ["supervisor"]\n\n[people.opal]',
)
JUNES_FIELD = ('[fields.14]\nname = "Pump House"', '[fields.14]\nname = "Pump House"\nsupervisors = ["june"]')
NOBODYS_16 = ('growers = ["ramon"]\nscouts = ["ana"]', 'growers = ["ramon"]\nscouts = []')
BLOOM_27 = (
    'plan = { squaring = "sweeps", bloom = "sheets" }\n\n[fields.31]',
    'first_bloom = 2027-06-30\nplan = "sheets"\n\n[fields.31]',
)


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path) as opened:
        yield opened


def notices(caused: list[dict[str, str]]) -> dict[str, str]:
    return dict(to(caused, "notice"))


# A supervisor who opted out


def test_that_the_only_supervisor_opted_out_the_leaders_hear(talk: Talk) -> None:
    caused = talk.says("june", "07:50", "STOP")
    assert notices(caused) == {
        BETO: "June Abbot opted out at 7:50. That phone gets no answers and no KEEP OUT. Call June Abbot first."
    }


def test_an_alert_that_waits_for_him_the_leaders_hear_and_he_can_let_it_go_all_the_same(
    tmp_path: Path,
) -> None:
    with talking(tmp_path, "talk.toml", REVIEWED) as talk:
        talk.says("june", "07:50", "STOP")
        caused = talk.says("luis", "10:00", HEAVY)
        assert to(caused, "alert") == []
        assert "WAITS for you" in notices(caused)[BETO]
        assert "only June can let an alert go" in talk.reply("beto", "10:01", "14 SEND")
        sent = talk.says("june", "10:05", "14 SEND")
        assert [who for who, _ in to(sent, "alert")] == [OPAL, RAMON]
        assert to(sent, "reply") == []


def test_another_supervisor_hears_before_any_leader_does(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", A_SECOND, JUNES_FIELD) as talk:
        talk.says("june", "07:50", "STOP")
        assert list(notices(talk.says("luis", "10:00", HEAVY))) == [KAY]


def test_who_is_said_to_look_is_who_hears(talk: Talk) -> None:
    assert "June will look" in talk.reply("luis", "07:40", "16 1 FA1")
    talk.says("june", "07:50", "STOP")
    assert "June avisa" not in talk.reply("ana", "08:00", "14 LETRERO")
    assert "Beto is told and will read it" in talk.reply("opal", "08:10", "call me about the fence")


def test_that_no_ok_came_for_a_keep_out_the_leaders_hear(talk: Talk) -> None:
    talk.says("june", "07:50", "STOP")
    talk.says("opal", "08:00", "14 SPRAYED 24")
    assert notices(talk.strikes("08:10")) == {
        BETO: "CALL Luis Vega, 270-555-0112: no OK yet for KEEP OUT of 14 Pump House."
    }


def test_a_cry_for_help_goes_to_who_can_hear_it_and_says_who(talk: Talk) -> None:
    talk.says("june", "07:50", "STOP")
    caused = talk.says("luis", "10:20", "SOS snake")
    assert [who for who, _ in to(caused, "keepout")] == [BETO]
    assert "Beto is told" in to(caused, "reply")[0][1]


def test_where_nobody_can_hear_the_log_says_so_and_no_reply_claims_otherwise(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    with talking(tmp_path, "talk.toml", REVIEWED, NO_LEADER) as talk:
        talk.says("june", "07:50", "STOP")
        with caplog.at_level(logging.WARNING, "bot.conversation.turn"):
            talk.says("luis", "10:00", HEAVY)
        assert [one.message.partition(" reaches nobody")[0] for one in caplog.records] == [
            "notice:opted-out:1",
            "notice:waits:1",
        ]
        assert talk.reply("opal", "10:10", "call me about the fence") == (
            "Your text could not be read by this machine, and no text reaches anybody now. Please call Larkspur "
            "Extension, 270-555-0100."
        )
        assert "it reaches nobody else" in talk.reply("luis", "10:20", "SOS")
        talk.says("june", "10:30", "START")
        assert "WAITS: 14 lygus" in talk.reply("june", "10:31", "TODAY")


def test_the_command_round_says_what_reaches_nobody(rowfoot: Rowfoot) -> None:
    season = rowfoot.folder / "season.toml"
    text = (SEASONS / "talk.toml").read_text(encoding="utf-8").replace(*NO_LEADER)
    season.write_text(text, encoding="utf-8")
    rowfoot.run("load", str(season))
    rowfoot.run("text", JUNE, "STOP", "--at", "2027-07-06T07:50")
    rowfoot.run("text", LUIS, "14 1 LN1", "--at", "2027-07-06T08:00")
    ended = subprocess.run(
        [sys.executable, "-m", "bot", "round", "--at", "2027-07-06T09:30"],
        env={**os.environ, "ROWFOOT_DATABASE": rowfoot.database},
        capture_output=True,
        text=True,
        check=True,
    )
    said = "reaches nobody: no supervisor and no leader can be texted\n"
    assert ended.stderr == f"notice:silent:luis:2027-07-06T13:00:00+00:00 {said}"


# A grower without a phone


def test_that_a_grower_has_no_phone_supervisors_hear_with_the_alert(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", BLOOM_27) as talk:
        caused = talk.says("luis", "10:00", HEAVY.replace("14", "27", 1))
        assert to(caused, "alert") == []
        assert notices(caused)[JUNE].endswith("ABOVE, certain. NOT told, call: Etta.")
        digest = " ".join(text for who, text in to(talk.strikes("18:30"), "digest") if who == JUNE)
        assert "27 lygus 1.5 x level, not told yet" in digest


@pytest.mark.parametrize("words", ["27 KEEPOUT", "27 SIGN", "27 SPRAYED", "27 SPRAYED 8 OZ"])
def test_a_grower_without_a_phone_is_named_to_the_supervisor_who_wants_the_hours(
    talk: Talk, words: str
) -> None:
    caused = talk.says("luis", "10:10", words)
    assert notices(caused)[JUNE].endswith("For the hours call Etta Lowe.")
    assert "the grower" not in to(caused, "reply")[0][1]


def test_of_growers_who_can_be_asked_nobody_is_to_be_called(talk: Talk) -> None:
    caused = talk.says("luis", "10:10", "14 KEEPOUT")
    assert "call" not in notices(caused)[JUNE]
    assert "June and the grower are asked" in to(caused, "reply")[0][1]


def test_a_grower_who_opted_out_is_named_like_one_without_a_phone(talk: Talk) -> None:
    talk.says("opal", "08:00", "STOP")
    caused = talk.says("luis", "10:10", "14 KEEPOUT")
    assert "For the hours call Opal Greer." in notices(caused)[JUNE]
    assert [who for who, text in to(caused, "keepout") if "FUMIGADO" in text] == [RAMON]


# A field without scouts


def test_visits_of_a_field_without_scouts_are_nobodys_in_the_digest(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", NOBODYS_16) as talk:
        digest = " ".join(text for who, text in to(talk.strikes("18:30"), "digest") if who == JUNE)
        assert "16 not begun (nobody's)" in digest


def test_its_sites_are_in_the_plan_of_its_supervisor_alone(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", NOBODYS_16) as talk:
        assert " 16 sheet 10." in talk.reply("june", "07:00", "PLAN")
        assert " 16 " not in talk.reply("ana", "07:00", "PLAN")
        assert " 16 " not in talk.reply("beto", "07:00", "PLAN")


def test_keeping_people_out_of_it_tells_the_supervisors_and_claims_no_crew(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", NOBODYS_16) as talk:
        caused = talk.says("ramon", "08:00", "16 FUMIGADO 24")
        assert to(caused, "keepout") == []
        assert notices(caused) == {
            JUNE: "16 Levee: KEEP OUT, at least until Wed Jul 7 8:00 AM. From Ramon Ibarra, 270-555-0131: FUMIGADO 24."
        }
        assert "Ya saben" not in to(caused, "reply")[0][1]


def test_who_counts_there_all_the_same_is_told_to_keep_out(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", NOBODYS_16) as talk:
        talk.says("june", "07:50", "16 STAGE BLOOM")
        talk.says("luis", "07:55", "16 1 LN1")
        assert [who for who, _ in to(talk.says("ramon", "08:00", "16 FUMIGADO 24"), "keepout")] == [LUIS]


def test_loading_says_which_fields_have_no_scout_and_that_nobody_decides(rowfoot: Rowfoot) -> None:
    season = rowfoot.folder / "season.toml"
    text = (SEASONS / "talk.toml").read_text(encoding="utf-8").replace(*NOBODYS_16)
    season.write_text(text.replace('roles = ["supervisor"]', 'roles = ["leader"]'), encoding="utf-8")
    said = rowfoot.run("load", str(season)).stderr
    assert "field 16 has no active scout" in said
    assert "there is no active supervisor" in said


# What else was left over


@pytest.mark.parametrize(
    "words", ["14 SIGN", "14 sign up at the gate", "14 NOTE there are signs at the road"]
)
def test_a_sign_by_its_plainest_word_keeps_people_out(talk: Talk, words: str) -> None:
    assert "KEEP OUT" in talk.reply("luis", "09:00", words)
    assert talk.show(14)["closed_until"] == "unknown"


@pytest.mark.parametrize("words", ["121 NOTE no sign of mites", "no sign of rain", "121 WET, signs of hail"])
def test_a_sign_of_something_keeps_nobody_out(talk: Talk, words: str) -> None:
    talk.says("luis", "09:00", words)
    assert talk.show(12)["closed_until"] is None


def test_words_to_the_crew_that_name_a_treated_field_shut_it_and_their_question_says_so(talk: Talk) -> None:
    asked = talk.reply("june", "09:00", "TELL they are spraying 14, stay home")
    assert asked.startswith("14: KEEP OUT, hours not known. To Ana, Luis and Beto (3): they are spraying 14")
    assert talk.show(14)["closed_until"] == "unknown"


def test_long_words_to_the_crew_do_not_give_way_to_that(talk: Talk) -> None:
    words = "they are spraying 14 now, everybody out and over to the barn on the county road till noon please"
    asked = talk.reply("june", "09:00", f"TELL {words}")
    assert words in asked
    assert len(asked) <= 160


def test_of_somebody_in_training_crew_says_done_only_when_his_samples_stand(tmp_path: Path) -> None:
    trainee = ('name = "Luis Vega"', 'name = "Luis Vega"\ntrainee = true')
    with talking(tmp_path, "talk.toml", trainee) as talk:
        talk.says("luis", "09:00", "14 1-10 0")
        assert "Luis 14 to be checked, to go" in talk.reply("june", "09:05", "CREW")
        talk.says("june", "09:10", "CHECK 14 1-10 0")
        assert "Luis done 14, to go" in talk.reply("june", "09:15", "CREW")
