"""SEND and WAIT: who may, what goes, what is kept back, and what an answer says where nothing waits (standing.md)."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.talk import Talk, talking, to
from tests.test_conversation_crossings import JUNE, OPAL, RAMON, TEN_OF_TWO, squares

REVIEWED = ('alerts = "automatic"', 'alerts = "reviewed"')
SECOND = (
    "[people.opal]",
    '[people.vera]\nname = "Vera Stone"\nphone = "+1 270 555 0121"\nroles = ["supervisor"]\n\n[people.opal]',
)
VERA = "+12705550121"
A_RANGE = (
    "\n[plans.sweeps]",
    '\n[[level]]\nid = "plantbug-bloom-sheet"\ntarget = "lygus"\ncount = { adult = 1, nymph = 1 }\n'
    'method = "beat sheet"\nstage = ["bloom"]\nlow = 3\nhigh = 5\nper = "5 row ft"\n'
    'source = "our own"\nyear = 2027\nverified = true\n\n[plans.sweeps]',
)
"""A level of 3 to 5 per 5 row feet: the 3.33 of TEN_OF_TWO is in range."""


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path, "talk.toml", REVIEWED, SECOND) as opened:
        yield opened


@pytest.fixture
def ranged(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path, "talk.toml", A_RANGE, SECOND) as opened:
        yield opened


def test_the_notice_that_an_alert_waits_says_the_two_words(talk: Talk) -> None:
    """The form of replies.md, 42: 12 SEND lets the alert go to Opal Greer, 12 WAIT keeps it."""
    notice = dict(to(talk.says("luis", "09:00", TEN_OF_TWO), "notice"))[JUNE]
    assert "14 Pump House ABOVE, lygus 3.33, level 3: WAITS for you." in notice
    assert "14 SEND lets the alert go to Opal Greer and Ramon Ibarra, 14 WAIT keeps it." in notice


def test_send_lets_the_alert_go_and_names_the_growers(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    caused = talk.says("june", "09:10", "14 SEND")
    assert dict(to(caused, "alert"))[OPAL].startswith(
        "14 Pump House, Jul 6: lygus 3.33 per 5 row ft, level 3: ABOVE."
    )
    assert "ARRIBA" in dict(to(caused, "alert"))[RAMON]
    ((_, reply),) = to(caused, "reply")
    assert reply == (
        "14 Pump House: the alert goes to Opal Greer and Ramon Ibarra now. "
        "Lygus 3.33 per 5 row ft, level 3: ABOVE."
    )


def test_any_site_number_of_the_field_and_spanish_words_release_it_too(talk: Talk) -> None:
    for site in (121, 123, 125):
        talk.says("luis", "09:00", squares(site, heavy=True))
    assert [who for who, _ in to(talk.says("june", "09:10", "123 manda"), "alert")] == [OPAL]


def test_the_other_supervisors_hear_who_let_it_go(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    notices = to(talk.says("june", "09:10", "14 SEND"), "notice")
    assert [who for who, _ in notices] == [VERA]
    assert notices[0][1].startswith("June Abbot let it go to the grower: 14 Pump House, lygus 3.33")


def test_an_alert_goes_with_the_newest_figures(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    talk.says("luis", "09:05", "14 FIX 1 LN5")
    assert "lygus 3.83" in dict(to(talk.says("june", "09:10", "14 SEND"), "alert"))[OPAL]


@pytest.mark.parametrize("who", ["luis", "beto", "opal"])
@pytest.mark.parametrize("word", ["SEND", "WAIT"])
def test_only_a_supervisor_of_the_field_may_and_the_answer_names_one(talk: Talk, who: str, word: str) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    caused = talk.says(who, "09:10", f"14 {word}")
    assert to(caused, "alert") == []
    assert "only June can let an alert go or keep it back" in to(caused, "reply")[0][1]
    assert "WAITS: 14 lygus" in " ".join(text for _, text in to(talk.strikes("18:30"), "digest"))


def test_a_supervisor_of_other_fields_may_not(tmp_path: Path) -> None:
    elsewhere = (
        'growers = ["opal", "ramon"]\nscouts = ["luis"]',
        'growers = ["opal", "ramon"]\nsupervisors = ["vera"]\nscouts = ["luis"]',
    )
    with talking(tmp_path, "talk.toml", REVIEWED, SECOND, elsewhere) as talk:
        talk.says("luis", "09:00", TEN_OF_TWO)
        assert "only Vera can" in talk.reply("june", "09:10", "14 SEND")
        assert len(to(talk.says("vera", "09:11", "14 SEND"), "alert")) == 2


def test_quiet_hours_hold_a_released_alert_and_the_answer_says_until_when(talk: Talk) -> None:
    talk.says("luis", "06:00", TEN_OF_TWO)
    caused = talk.says("june", "06:10", "14 SEND")
    assert to(caused, "alert") == []
    assert "goes to Opal Greer and Ramon Ibarra at 8:00 AM, after quiet hours." in to(caused, "reply")[0][1]
    assert talk.reply("june", "06:11", "14 SEND").startswith(
        "14 Pump House: the alert goes to Opal Greer and Ramon Ibarra at 8:00 AM as it is."
    )
    assert talk.strikes("07:59") == []
    assert {one["to"] for one in talk.strikes("08:00") if one["purpose"] == "alert"} == {OPAL, RAMON}


def test_a_correction_takes_back_what_send_let_go(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    talk.says("june", "09:10", "14 SEND")
    corrected = dict(to(talk.says("luis", "09:20", "14 FIX 1 0 / 2 0"), "alert"))
    assert corrected[OPAL].startswith("CORRECTED 14 Pump House, Jul 6: lygus is 2.67")
    assert RAMON in corrected


def test_a_released_alert_that_nobody_reads_is_reminded_as_any_other(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    talk.says("june", "09:10", "14 SEND")
    talk.says("ramon", "09:20", "OK")
    assert talk.strikes("11:09") == []
    assert [one["to"] for one in talk.strikes("11:10") if one["purpose"] == "alert"] == [OPAL]


def test_later_counts_do_not_send_a_released_alert_twice_nor_let_it_wait_again(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    talk.says("june", "09:10", "14 SEND")
    caused = talk.says("luis", "09:20", "14 FIX 1 LN3")
    assert (to(caused, "alert"), to(caused, "notice")) == ([], [])
    assert "the alert went to Opal Greer and Ramon Ibarra at 9:10 AM." in talk.reply(
        "june", "09:30", "14 SEND"
    )


def test_wait_keeps_it_back_and_it_stays_in_the_digest(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    caused = talk.says("june", "09:10", "14 WAIT")
    assert to(caused, "alert") == []
    assert (
        "kept back, Opal Greer and Ramon Ibarra NOT told. It stays in the digest; 14 SEND lets it go."
        in (to(caused, "reply")[0][1])
    )
    assert [who for who, _ in to(caused, "notice")] == [VERA]
    digest = " ".join(text for who, text in to(talk.strikes("18:30"), "digest") if who == JUNE)
    assert (
        "WAITS: 14 lygus (All alerts are reviewed, June keeps it back): answer 14 SEND or 14 WAIT" in digest
    )
    assert len(to(talk.says("june", "18:40", "14 SEND"), "alert")) == 2


def test_said_twice_wait_tells_nobody_twice(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    talk.says("june", "09:10", "14 WAIT")
    assert to(talk.says("june", "09:11", "14 WAIT"), "notice") == []


def test_what_was_kept_back_does_not_go_when_its_reason_is_gone(tmp_path: Path) -> None:
    with talking(tmp_path) as talk:
        talk.says("luis", "09:00", "14 1 LN9 / 2 LN9 / 3 LM1")
        talk.says("june", "09:01", "14 WAIT")
        assert to(talk.says("luis", "09:02", "2"), "alert") == []
        assert len(to(talk.says("june", "09:03", "14 SEND"), "alert")) == 2


def test_an_alert_that_quiet_hours_still_hold_can_be_kept_back_and_sent_later(tmp_path: Path) -> None:
    with talking(tmp_path) as talk:
        talk.says("luis", "06:00", TEN_OF_TWO)
        assert "kept back" in talk.reply("june", "06:10", "14 WAIT")
        assert talk.strikes("08:00") == []
        talk.says("luis", "08:05", "14 FIX 1 LN3")
        alerts = dict(to(talk.says("june", "08:10", "14 SEND"), "alert"))
        assert "lygus 3.5 " in alerts[OPAL]
        assert "noted that you read it" in talk.reply("opal", "08:11", "OK")
        corrected = to(talk.says("luis", "08:20", "14 FIX 1 0 / 2 0"), "alert")
        assert {who for who, _ in corrected} == {OPAL, RAMON}


def test_wait_after_it_left_says_that_it_cannot_be_kept_back(tmp_path: Path) -> None:
    with talking(tmp_path) as talk:
        talk.says("luis", "09:00", TEN_OF_TWO)
        assert talk.reply("june", "09:10", "14 WAIT") == (
            "14 Pump House: the alert went to Opal Greer and Ramon Ibarra at 9:00 AM and cannot be kept back. "
            "Lygus 3.33 per 5 row ft, level 3: ABOVE."
        )


@pytest.mark.parametrize("word", ["SEND", "WAIT"])
@pytest.mark.parametrize(
    ("before", "answer"),
    [
        ("14", "14 Pump House: no counts yet."),
        ("14 1 LN2", "no alert waits here."),
        (squares(14, heavy=False), "no alert waits here. Lygus 1.67 per 5 row ft, level 3: BELOW."),
    ],
)
def test_where_nothing_waits_the_answer_says_how_the_field_stands(
    talk: Talk, before: str, answer: str, word: str
) -> None:
    talk.says("luis", "09:00", before)
    caused = talk.says("june", "09:10", f"14 {word}")
    assert answer in to(caused, "reply")[0][1]
    assert to(caused, "alert") == []


def test_a_field_in_range_is_sent_on_only_where_a_supervisor_says_so(ranged: Talk) -> None:
    """To in range: notice to supervisors, who may SEND it on (standing.md, Crossings and alerts)."""
    caused = ranged.says("luis", "09:00", TEN_OF_TWO)
    assert to(caused, "alert") == []
    assert (
        "IN RANGE. Yours to decide, no grower is told: 14 SEND passes it on."
        in dict(to(caused, "notice"))[JUNE]
    )
    alert = dict(to(ranged.says("june", "09:10", "14 SEND"), "alert"))[OPAL]
    assert alert.startswith("14 Pump House, Jul 6: lygus 3.33 per 5 row ft, level 3-5: IN RANGE.")
    assert "Your call with your adviser; label and local rules first. OK = I read it" in alert
    assert "went to Opal Greer" in ranged.reply("june", "09:11", "14 SEND")


def test_a_correction_takes_back_an_in_range_that_was_sent_on(ranged: Talk) -> None:
    ranged.says("luis", "09:00", TEN_OF_TWO)
    ranged.says("june", "09:10", "14 SEND")
    corrected = dict(to(ranged.says("luis", "09:20", "14 FIX 1 0 / 2 0"), "alert"))
    assert corrected[OPAL].startswith("CORRECTED 14 Pump House, Jul 6: lygus is 2.67")


def test_an_in_range_sent_on_is_followed_by_one_back_below_in_a_later_round(ranged: Talk) -> None:
    ranged.says("luis", "09:00", TEN_OF_TWO)
    ranged.says("june", "09:10", "14 SEND")
    caused = ranged.says("luis", "2027-07-13T09:00", squares(14, heavy=False))
    assert "back BELOW (3.33 on Jul 6)" in dict(to(caused, "alert"))[OPAL]


def test_an_in_range_that_was_not_sent_on_is_followed_by_nothing(ranged: Talk) -> None:
    ranged.says("luis", "09:00", TEN_OF_TWO)
    assert to(ranged.says("luis", "2027-07-13T09:00", squares(14, heavy=False)), "alert") == []


def test_an_in_range_that_waits_out_quiet_hours_says_the_newest_figure(ranged: Talk) -> None:
    ranged.says("luis", "06:00", TEN_OF_TWO)
    ranged.says("june", "06:10", "14 SEND")
    ranged.says("luis", "06:20", "14 FIX 1 LN3")
    assert "lygus 3.5 " in dict(to(ranged.strikes("08:00"), "alert"))[OPAL]


def test_growers_whom_no_text_reaches_are_named_to_be_called(talk: Talk) -> None:
    talk.says("ramon", "08:30", "ALTO")
    talk.says("luis", "09:00", TEN_OF_TWO)
    reply = talk.reply("june", "09:10", "14 SEND")
    assert "goes to Opal Greer now. NOT told, call: Ramon Ibarra." in reply
    talk.says("june", "08:40", "27 STAGE BLOOM 2")
    talk.says("luis", "09:20", TEN_OF_TWO.replace("14 ", "27 ", 1))
    assert "27 Old Orchard: no text can reach Etta Lowe. Please call." in talk.reply(
        "june", "09:30", "27 SEND"
    )


def test_an_alert_of_the_round_before_can_still_be_let_go_with_its_own_day(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    talk.says("luis", "2027-07-13T09:00", "14 1 0")
    alert = dict(to(talk.says("june", "2027-07-13T09:10", "14 SEND"), "alert"))[OPAL]
    assert alert.startswith("14 Pump House, Jul 6: lygus 3.33")


def test_practice_lets_nothing_go(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    caused = talk.says("june", "09:10", "PRACTICE 14 SEND")
    assert [one["purpose"] for one in caused] == ["reply"]
    assert len(to(talk.says("june", "09:11", "14 SEND"), "alert")) == 2


def test_a_correction_that_waits_out_quiet_hours_stays_a_correction(tmp_path: Path) -> None:
    with talking(tmp_path) as talk:
        talk.says("luis", "08:30", TEN_OF_TWO)
        assert to(talk.says("luis", "21:30", "14 FIX 1 0 / 2 0"), "alert") == []
        talk.says("luis", "21:40", "14 FIX 3 0")
        waited = dict(to(talk.strikes("2027-07-07T08:00"), "alert"))
        assert waited[OPAL].startswith("CORRECTED 14 Pump House, Jul 6")


def test_a_correction_of_what_no_grower_heard_asks_nobody_to_call_one(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    notice = dict(to(talk.says("luis", "09:10", "14 FIX 1 0 / 2 0"), "notice"))[JUNE]
    assert "BELOW now; it was ABOVE at 3.33." in notice
    assert "call" not in notice


def test_a_correction_of_what_was_kept_back_before_anybody_heard_says_nothing(tmp_path: Path) -> None:
    with talking(tmp_path) as talk:
        talk.says("luis", "06:00", TEN_OF_TWO)
        talk.says("june", "06:10", "14 WAIT")
        talk.says("luis", "06:20", "14 FIX 1 0 / 2 0")
        assert talk.strikes("08:00") == []


def test_a_field_without_a_grower_says_so_instead_of_the_words(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", REVIEWED, ('growers = ["opal", "ramon"]\n', "")) as talk:
        notice = dict(to(talk.says("luis", "09:00", TEN_OF_TWO), "notice"))[JUNE]
        assert notice.endswith("All alerts are reviewed. The field has no grower on file.")
        assert "the field has no grower on file" in talk.reply("june", "09:10", "14 SEND")
