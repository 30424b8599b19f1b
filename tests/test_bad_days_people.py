"""Bad days: people leave, numbers change hands, roles pile up, growers and scouts of a field change in mid-season."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from storage import open_questions, phone_state
from tests.reloading import reload
from tests.talk import Talk, talking, to
from tests.test_conversation_crossings import BETO, JUNE, OPAL, RAMON

ANA, LUIS, NORA, LUIS_NEW = "+12705550111", "+12705550112", "+12705550112", "+12705550119"
HEAVY = "14 1 LN9 / 2 LN9 / 3 LN9"
LUIS_IN_FILE = '[people.luis]\nname = "Luis Vega"\nphone = "+1 270 555 0112"\nroles = ["scout"]\n\n'
NORA_IN_FILE = '[people.nora]\nname = "Nora Hill"\nphone = "+1 270 555 0112"\nroles = ["scout"]\n\n'

LUIS_LEAVES = ('name = "Luis Vega"', 'name = "Luis Vega"\nactive = false')
LUIS_IS_GONE = (
    (LUIS_IN_FILE, ""),
    ('scouts = ["ana", "luis"]', 'scouts = ["ana"]'),
    ('scouts = ["luis"]', "scouts = []"),
)
SCOUTS_OF_14 = 'scouts = ["luis"]\nrow_spacing_in = 38\nfirst_bloom'
NUMBER_PASSES = (LUIS_IN_FILE, LUIS_IN_FILE.replace("0112", "0119") + NORA_IN_FILE)
"""Luis Vega has a new number, and his old one is Nora Hill's."""
NUMBER_PASSES_AS_HE_LEAVES = (
    LUIS_IN_FILE,
    LUIS_IN_FILE.replace('["scout"]\n', '["scout"]\nactive = false\n') + NORA_IN_FILE,
)


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path) as opened:
        yield opened


def digest(talk: Talk, at: str, who: str = JUNE) -> str:
    return " ".join(text for to_whom, text in to(talk.strikes(at), "digest") if to_whom == who)


def freed(talk: Talk, at: str, purpose: str) -> list[tuple[str, str]]:
    """What a load put down leaves with the clock's next strike."""
    return to(talk.strikes(at), purpose)


# Who leaves in mid-season


@pytest.mark.parametrize(
    "leaves", [(LUIS_LEAVES,), LUIS_IS_GONE], ids=["active = false", "gone from the file"]
)
def test_counts_of_a_scout_who_left_stay_as_they_are(talk: Talk, leaves: tuple[tuple[str, str], ...]) -> None:
    talk.says("luis", "08:00", "14 1 LN2 / 2 FA1")
    reload(talk, "09:00", *leaves)
    assert talk.samples(14) == {"1": "LN2", "2": "FA1"}
    assert "14 1 ya lo mando" in talk.reply("ana", "09:10", "14 1 FA2")
    assert "2 of 10" in talk.reply("june", "09:11", "14")


def test_a_text_of_a_scout_who_left_is_kept_for_a_person_and_changes_nothing(talk: Talk) -> None:
    talk.says("luis", "08:00", "14 1 LN2")
    reload(talk, "09:00", LUIS_LEAVES)
    assert talk.reply(LUIS, "09:30", "14 2 LN1") == (
        "This number is not on our list. Your text was kept for a person to read."
    )
    assert talk.samples(14) == {"1": "LN2"}
    assert "READ BY HAND: 1 text (a number not ours)." in digest(talk, "18:30")


def test_a_text_that_he_sent_before_he_left_counts_however_late_it_comes(talk: Talk) -> None:
    reload(talk, "09:00", LUIS_LEAVES)
    assert talk.reply(LUIS, "09:30", "14 1 LN2", sent="2027-07-06T08:59").startswith("14 1 LN2. Sheet")
    assert talk.samples(14) == {"1": "LN2"}


def test_his_sites_are_nobodys_and_the_digest_says_so(talk: Talk) -> None:
    talk.says("luis", "08:00", "14 1 LN2")
    reload(talk, "09:00", LUIS_LEAVES)
    said = digest(talk, "18:30")
    assert "121 not begun (Ana)" in said
    assert "14 1 of 10 (Luis);" in said
    assert "27 not begun (nobody's)" in said
    assert "Luis" not in talk.reply("june", "18:31", "CREW")


def test_nobody_is_told_to_call_a_scout_who_left_about_his_silence(talk: Talk) -> None:
    talk.says("luis", "08:00", "14 1 LN2")
    reload(talk, "09:00", LUIS_LEAVES)
    assert to(talk.strikes("12:00"), "notice") == []


def test_his_open_question_is_dropped_and_a_supervisor_reads_what_is_not_stored(talk: Talk) -> None:
    talk.says("luis", "08:10", "14 2 LN52")
    reload(talk, "09:00", LUIS_LEAVES)
    assert freed(talk, "09:00", "notice") == [
        (
            JUNE,
            "Luis Vega has no phone here any more. This text of 8:10 AM waited for an answer and is NOT stored: "
            "14 2 LN52",
        )
    ]
    with talk.store.read() as session:
        assert open_questions(session) == []


def test_an_alert_that_waited_for_his_answer_goes_when_he_leaves(tmp_path: Path) -> None:
    with talking(
        tmp_path, "talk.toml", (SCOUTS_OF_14, SCOUTS_OF_14.replace('"luis"', '"luis", "ana"'))
    ) as talk:
        talk.says("luis", "08:00", "14 9 LN52")
        assert to(talk.says("ana", "08:05", HEAVY), "alert") == []
        reload(talk, "09:00", LUIS_LEAVES)
        assert [who for who, _ in freed(talk, "09:00", "alert")] == [OPAL, RAMON]


@pytest.mark.parametrize(
    "leaves", [(LUIS_LEAVES,), LUIS_IS_GONE], ids=["active = false", "gone from the file"]
)
def test_who_left_with_a_keep_out_and_no_ok_is_called_by_name_and_number(
    talk: Talk, leaves: tuple[tuple[str, str], ...]
) -> None:
    talk.says("opal", "08:00", "14 SPRAYED 24")
    reload(talk, "08:05", *leaves)
    called = to(talk.strikes("08:05"), "notice") + to(talk.strikes("08:11"), "notice")
    assert called == [(JUNE, "CALL Luis Vega, 270-555-0112: no OK yet for KEEP OUT of 14 Pump House.")]


def test_no_reminder_goes_to_a_grower_who_left_and_nobody_is_told_to_call_him(talk: Talk) -> None:
    talk.says("luis", "10:00", HEAVY)
    reload(talk, "11:00", ('name = "Opal Greer"', 'name = "Opal Greer"\nactive = false'))
    assert [who for who, _ in to(talk.strikes("12:00"), "alert")] == [RAMON]
    assert [text[:12] for _, text in to(talk.strikes("14:00"), "notice")] == ["Ramon Ibarra"]


# A number changes hands


def test_the_new_holders_answer_does_not_store_what_the_old_one_was_asked(talk: Talk) -> None:
    talk.says("luis", "08:10", "14 2 LN52")
    reload(talk, "09:00", NUMBER_PASSES)
    assert talk.reply("nora", "09:05", "1").startswith("Nothing was asked")
    assert talk.samples(14) == {}


def test_a_question_goes_with_the_person_to_the_new_phone(talk: Talk) -> None:
    talk.says("luis", "08:10", "14 2 LN52")
    reload(talk, "09:00", NUMBER_PASSES)
    assert talk.reply("luis", "09:05", "1").startswith("14 2 LN52. Sheet")
    assert talk.samples(14) == {"2": "LN52"}


def test_old_visits_keep_their_person_and_the_new_holder_takes_nothing_back(talk: Talk) -> None:
    talk.says("luis", "08:00", "14 1 LN2")
    reload(talk, "09:00", NUMBER_PASSES)
    assert "no counts of yours" in talk.reply("nora", "09:05", "14 UNDO")
    assert "14 1 is in from Luis, 8:00: LN2" in talk.reply("nora", "09:06", "14 1 FA1")
    assert "14: taken back 1 LN2" in talk.reply("luis", "09:07", "14 UNDO")


@pytest.mark.parametrize("passes", [NUMBER_PASSES, NUMBER_PASSES_AS_HE_LEAVES])
def test_a_text_of_the_old_holder_that_comes_later_is_nobodys_counts_and_a_person_reads_it(
    talk: Talk, passes: tuple[str, str]
) -> None:
    reload(talk, "09:00", passes)
    caused = talk.says("nora", "09:07", "14 3 LN1", sent="2027-07-06T08:30")
    assert to(caused, "reply") == [
        (
            NORA,
            "A text sent from this phone before it was yours came only now. Nothing stored; a person will read it.",
        )
    ]
    assert to(caused, "notice") == [
        (
            JUNE,
            "From Luis Vega, sent Tue Jul 6 8:30 AM, before that phone was Nora's: 14 3 LN1. NOT stored; please "
            "read it.",
        )
    ]
    assert talk.samples(14) == {}
    assert "READ BY HAND: 1 text (Luis)." in digest(talk, "18:30")


def test_a_phone_that_opted_out_gets_no_answer_to_it(talk: Talk) -> None:
    talk.says("luis", "08:00", "STOP")
    reload(talk, "09:00", NUMBER_PASSES)
    caused = talk.says("nora", "09:07", "14 3 LN1", sent="2027-07-06T08:30")
    assert [one["to"] for one in caused] == [JUNE]


def test_a_text_of_the_new_holder_is_hers_from_the_first_minute(talk: Talk) -> None:
    reload(talk, "09:00", NUMBER_PASSES)
    assert talk.reply("nora", "09:02", "14 1 LN1", sent="2027-07-06T09:01").startswith("14 1 LN1. Sheet")


@pytest.mark.parametrize(
    ("words", "begins"),
    [
        ("14 SPRAYED 24", "14 Pump House: KEEP OUT from now"),
        ("SOS", "If anyone is hurt or sick CALL 911 NOW"),
    ],
)
def test_a_late_text_that_keeps_people_out_or_cries_for_help_is_heard_whosever_it_was(
    talk: Talk, words: str, begins: str
) -> None:
    reload(talk, "09:00", NUMBER_PASSES)
    assert talk.reply("nora", "09:07", words, sent="2027-07-06T08:30").startswith(begins)


def test_an_alert_to_read_is_the_persons_and_no_ok_of_the_new_holder(talk: Talk) -> None:
    talk.says("luis", "10:00", HEAVY)
    reload(
        talk,
        "10:30",
        ('phone = "+1 270 555 0130"\nroles = ["grower"]', 'phone = "+1 270 555 0139"\nroles = ["grower"]\n\n'
         '[people.nell]\nname = "Nell Ames"\nphone = "+1 270 555 0130"\nroles = ["grower"]'),
    )  # fmt: skip
    assert "Nothing is waiting" in talk.reply("nell", "10:31", "OK")
    reminded = to(talk.strikes("12:00"), "alert")
    assert [who for who, _ in reminded] == ["+12705550139", RAMON]


def test_a_text_that_waited_for_the_morning_goes_to_where_its_reader_is_now(talk: Talk) -> None:
    talk.says("luis", "21:30", HEAVY)
    reload(talk, "22:00", ('phone = "+1 270 555 0130"', 'phone = "+1 270 555 0139"'))
    assert [who for who, _ in to(talk.strikes("2027-07-07T08:00"), "alert")] == ["+12705550139", RAMON]


def test_a_text_that_waited_for_who_left_never_goes_to_the_next_holder(talk: Talk) -> None:
    talk.says("luis", "21:30", HEAVY)
    gone = ('name = "Opal Greer"', 'name = "Opal Greer"\nactive = false')
    taken = (
        "[people.ramon]",
        '[people.nell]\nname = "Nell Ames"\nphone = "+1 270 555 0130"\nroles = ["grower"]\n\n[people.ramon]',
    )
    reload(talk, "22:00", gone, taken)
    assert [who for who, _ in to(talk.strikes("2027-07-07T08:00"), "alert")] == [RAMON]


def test_a_keep_out_without_ok_is_no_longer_the_phones(talk: Talk) -> None:
    talk.says("opal", "08:00", "14 SPRAYED 24")
    reload(talk, "08:02", NUMBER_PASSES)
    assert "Nothing is waiting" in talk.reply("nora", "08:05", "OK")
    assert to(talk.strikes("08:11"), "notice") == [
        (JUNE, "CALL Luis Vega, 270-555-0119: no OK yet for KEEP OUT of 14 Pump House.")
    ]


def test_the_old_holders_language_goes_with_him(talk: Talk) -> None:
    talk.says("luis", "08:00", "ESPANOL")
    reload(talk, "09:00", NUMBER_PASSES)
    assert talk.reply("luis", "09:01", "PLAN").startswith("Mar 6 jul")
    assert talk.reply("nora", "09:02", "PLAN").startswith("Tue Jul 6")


def test_the_opt_out_is_the_phones_and_supervisors_hear_whom_no_text_reaches(talk: Talk) -> None:
    talk.says("luis", "08:00", "STOP")
    reload(talk, "09:00", NUMBER_PASSES)
    assert freed(talk, "09:00", "notice") == [
        (
            JUNE,
            "Nora Hill has 270-555-0112 now, which opted out on Jul 6: no texts, no KEEP OUT reach it. Call Nora "
            "Hill; START from that phone ends it.",
        )
    ]
    assert talk.says("nora", "09:05", "PLAN") == []
    assert "go on" in talk.reply("nora", "09:06", "START")


def test_a_pause_is_not_the_phones(talk: Talk) -> None:
    """A wish to stop that was in doubt was that of the one who texted it."""
    talk.says("luis", "08:00", "please stop this")
    reload(talk, "09:00", NUMBER_PASSES)
    with talk.store.read() as session:
        assert phone_state(session, NORA).paused_at is None


def test_a_silence_is_that_of_a_person_not_of_a_phone(talk: Talk) -> None:
    talk.says("luis", "08:00", "14 1 LN1")
    reload(talk, "08:30", NUMBER_PASSES)
    talk.says("nora", "08:40", "PLAN")
    (notice,) = to(talk.strikes("09:30"), "notice")
    assert notice[1] == "Luis Vega has not texted since 8:00; 14 stands at 1 of 10. Call 270-555-0119."


# Several roles, another language


ALL_ROLES = ('roles = ["supervisor"]', 'roles = ["supervisor", "scout", "leader", "grower"]\ncrew = ["ana"]')


def test_a_person_of_all_roles_hears_each_thing_once(tmp_path: Path) -> None:
    his = ('growers = ["opal", "ramon"]\nscouts = ["luis"]', 'growers = ["june"]\nscouts = ["june"]')
    with talking(tmp_path, "talk.toml", ALL_ROLES, his) as talk:
        caused = talk.says("june", "10:00", HEAVY)
        assert sorted(one["purpose"] for one in caused if one["to"] == JUNE) == ["alert", "notice", "reply"]
        assert "noted that you read it" in talk.reply("june", "10:01", "OK")
        told = talk.says("ana", "10:05", "14 KEEPOUT")
        assert [one["purpose"] for one in told if one["to"] == JUNE].count(
            "keepout"
        ) == 2  # out, and: the hours?
        assert [one["purpose"] for one in told if one["to"] == JUNE].count("notice") == 1


def test_a_supervisor_who_counts_and_falls_silent_is_not_the_one_who_is_told(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", ALL_ROLES) as talk:
        talk.says("june", "09:00", "14 1 LN1")
        silent = [
            (who, text) for who, text in to(talk.strikes("10:30"), "notice") if "has not texted" in text
        ]
        assert [who for who, _ in silent] == [BETO]


def test_a_language_that_is_changed_in_the_file_holds_from_the_next_text(talk: Talk) -> None:
    talk.says("luis", "21:30", HEAVY)
    assert talk.reply("luis", "21:31", "14").startswith("14 Pump House, Jul 6")
    changed = ('name = "Luis Vega"', 'name = "Luis Vega"\nlanguage = "es"')
    reload(talk, "21:40", changed)
    assert talk.reply("luis", "21:41", "14").startswith("14 Pump House, 6 jul")
    assert talk.samples(14) == {"1": "LN9", "2": "LN9", "3": "LN9"}


def test_a_language_that_somebody_chose_by_text_outlasts_a_reload(talk: Talk) -> None:
    talk.says("luis", "08:00", "ESPANOL")
    reload(talk, "09:00", ('name = "Levee"', 'name = "Levee Block"'))
    assert talk.reply("luis", "09:01", "14") == "14 Pump House, 6 jul: sin empezar."


# A field whose people change


def test_an_alert_that_waits_goes_to_who_grows_the_field_when_it_is_let_go(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", ('alerts = "automatic"', 'alerts = "reviewed"')) as talk:
        talk.says("luis", "10:00", HEAVY)
        reload(talk, "11:00", ('growers = ["opal", "ramon"]', 'growers = ["ramon"]'))
        caused = talk.says("june", "11:30", "14 SEND")
        assert [who for who, _ in to(caused, "alert")] == [RAMON]


def test_a_grower_who_is_new_hears_of_an_alert_that_went_when_a_supervisor_sends_it(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", ('growers = ["opal", "ramon"]', 'growers = ["opal"]')) as talk:
        talk.says("luis", "10:00", HEAVY)
        talk.says("opal", "10:10", "OK")
        reload(talk, "11:00", (f'["opal"]\n{SCOUTS_OF_14}', f'["opal", "ramon"]\n{SCOUTS_OF_14}'))
        assert freed(talk, "11:00", "notice") == [
            (
                JUNE,
                "14 Pump House: lygus at least 4.5, level 3: ABOVE. The growers on file changed. No alert yet: Ramon "
                "Ibarra; 14 SEND sends it.",
            )
        ]
        caused = talk.says("june", "11:05", "14 SEND")
        assert [who for who, _ in to(caused, "alert")] == [RAMON]
        assert "goes to Ramon Ibarra" in to(caused, "reply")[0][1]
        assert "went to" in talk.reply("june", "11:06", "14 SEND")


def test_a_grower_who_no_longer_grows_it_is_not_reminded_and_a_new_one_without_a_phone_is_named(
    talk: Talk,
) -> None:
    talk.says("luis", "10:00", HEAVY)
    reload(talk, "11:00", ('growers = ["opal", "ramon"]', 'growers = ["quiet"]'))
    caused = talk.strikes("12:00")
    assert to(caused, "alert") == []
    assert to(caused, "notice") == [
        (
            JUNE,
            "14 Pump House: lygus at least 4.5, level 3: ABOVE. The growers on file changed. NOT told, call: "
            "Etta Lowe.",
        )
    ]
    assert "14 lygus 1.5 x level, not told yet" in digest(talk, "18:30")


def test_a_correction_reaches_who_had_the_alert_also_where_the_field_is_anothers_now(talk: Talk) -> None:
    """Those who had the alert get the corrected one (standing.md, crossings)."""
    talk.says("luis", "10:00", HEAVY)
    reload(talk, "11:00", ('growers = ["opal", "ramon"]', 'growers = ["quiet"]'))
    caused = talk.says("luis", "11:30", "14 FIX 1 0 / 2 0 / 3 0")
    assert {who for who, text in to(caused, "alert") if "CORRE" in text} == {OPAL, RAMON}


def test_scouts_who_change_while_an_alert_waits_change_neither_counts_nor_its_reason(talk: Talk) -> None:
    talk.says("ana", "10:00", HEAVY)
    reload(talk, "11:00", (SCOUTS_OF_14, SCOUTS_OF_14.replace('"luis"', '"ana"')))
    assert "WAITS: 14 lygus (Ana is not on its list)" in digest(talk, "18:30")
    assert [who for who, _ in to(talk.says("june", "18:31", "14 SEND"), "alert")] == [OPAL, RAMON]


def test_a_site_that_was_handed_over_is_no_longer_its_first_scouts_silence(talk: Talk) -> None:
    talk.says("ana", "09:00", "121 1 FA2")
    talk.says("june", "09:30", "121 TO LUIS")
    assert [text for _, text in to(talk.strikes("11:00"), "notice") if "has not texted" in text] == []
    assert "121 1 of 10 (Luis)" in digest(talk, "18:30")
    talk.says("luis", "2027-07-07T09:00", "121 1 FA1")
    assert talk.samples(121, date(2027, 7, 7)) == {"1": "FA1"}
