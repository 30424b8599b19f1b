"""Keeping people out of treated fields, to the letter of standing.md, Re-entry. Season: talk.toml.

The corpus of fixtures/texts/treated.jsonl is sent by a grower through the whole road: none of its texts, and none
of ours, opens a field or brings its end nearer.
"""

import json
import re
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from parsing import TEXT_SEPTETS, septets
from tests.talk import ZONE, Talk, talking, to

JUNE, BETO, LUIS, ANA = "+12705550120", "+12705550115", "+12705550112", "+12705550111"
OPAL, RAMON = "+12705550130", "+12705550131"
CORPUS = Path(__file__).parent.parent / "fixtures" / "texts" / "treated.jsonl"
TREATED = [json.loads(line) for line in CORPUS.read_text(encoding="utf-8").splitlines()]
PERMITS = re.compile(
    r"(?i)\b(safe|clear|may enter|can enter|you may go in|puede entrar|seguro entrar|libre)\b"
)


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path, "talk.toml") as opened:
        yield opened


def until(talk: Talk, number: int = 14) -> str | None:
    """Until when `show` says that a field is shut."""
    closed = talk.show(number)["closed_until"]
    assert closed is None or isinstance(closed, str)
    return closed


def still_shut(ends: datetime) -> str | None:
    """Until when a field is shut as `show` says it at eleven that night, where it is still."""
    return ends.isoformat() if ends > datetime(2027, 7, 6, 23, tzinfo=ZONE) else None


def local(clock: str) -> str:
    return datetime.fromisoformat(clock).replace(tzinfo=ZONE).isoformat()


# Closing


def test_hours_run_from_the_text_to_their_end_and_everybody_there_is_told_at_once(talk: Talk) -> None:
    talk.says("luis", "05:00", "14 1 0")
    caused = talk.says("opal", "05:40", "14 SPRAYED 24")
    assert to(caused, "reply")[0][1].startswith(
        "14 Pump House: KEEP OUT from now, at least until Wed Jul 7 5:40 AM (24 h)."
    )
    ((who, text),) = to(caused, "keepout")
    assert who == LUIS
    assert "at least until Wed Jul 7 5:40 AM" in text
    assert text.endswith("Answer OK so we know.")
    assert "Told: Luis." in dict(to(caused, "notice"))[JUNE]
    assert until(talk) == local("2027-07-07T05:40")


@pytest.mark.parametrize(
    "who",
    ["luis", "ana", "beto", "june", "opal", "ramon"],
    ids=["scout", "other", "leader", "supervisor", "grower", "g2"],
)
def test_anybody_known_may_close_a_field(talk: Talk, who: str) -> None:
    talk.says(who, "09:00", "14 NO ENTRE")
    assert until(talk) == "unknown"


def test_a_stranger_closes_nothing(talk: Talk) -> None:
    talk.says("+12705550199", "09:00", "14 SPRAYED 24")
    assert until(talk) is None


def test_a_sites_number_closes_its_whole_field_and_says_so(talk: Talk) -> None:
    reply = talk.reply("luis", "09:00", "121 POSTED")
    assert reply.startswith("12 Gin Road West: KEEP OUT for everybody")
    assert until(talk, 12) == "unknown"
    assert until(talk, 123) == "unknown"


def test_the_later_of_sent_and_received_begins_the_hours(talk: Talk) -> None:
    talk.says("opal", "09:00", "14 SPRAYED 24", sent="07:00")
    assert until(talk) == local("2027-07-07T09:00")
    talk.says("opal", "09:30", "14 SPRAYED 24", sent="10:00")
    assert until(talk) == local("2027-07-07T10:00")


def test_of_several_treatments_the_latest_end_governs(talk: Talk) -> None:
    talk.says("opal", "08:00", "14 SPRAYED 48")
    talk.says("opal", "09:00", "14 SPRAYED 24")
    assert until(talk) == local("2027-07-08T08:00")


def test_spraying_shuts_until_sprayed_with_hours(talk: Talk) -> None:
    assert "while it is treated" in talk.reply("opal", "08:00", "14 SPRAYING")
    assert until(talk) == "unknown"
    talk.says("opal", "09:00", "14 SPRAYED 24")
    assert until(talk) == local("2027-07-07T09:00")


def test_hours_that_come_later_end_an_unknown_only_after_a_question(talk: Talk) -> None:
    talk.says("opal", "08:00", "14 SPRAYED 8 OZ")
    reply = talk.reply("opal", "09:00", "14 SPRAYED 24")
    assert "1 these are all, 2 more to come" in reply
    assert until(talk) == "unknown"
    talk.says("opal", "09:01", "2")
    assert until(talk) == "unknown"
    talk.says("opal", "09:10", "14 SPRAYED 48")
    talk.says("opal", "09:11", "1")
    assert until(talk) == local("2027-07-08T09:10")


@pytest.mark.parametrize(("said", "hours"), [("4", 4), ("10", 10), ("30", 30), ("2 DAYS", 48)])
def test_hours_that_may_be_meant_are_asked_and_shut_without_end_until_then(
    talk: Talk, said: str, hours: int
) -> None:
    reply = talk.reply("opal", "08:00", f"14 SPRAYED {said}")
    assert f"{hours} h of re-entry by the label, is that right? 1 yes, 2 no." in reply
    assert until(talk) == "unknown"
    ends = datetime(2027, 7, 6, 8, tzinfo=ZONE) + timedelta(hours=hours)
    said = f"{ends.hour % 12 or 12}:00 {'AM' if ends.hour < 12 else 'PM'} ({hours} h)"
    assert said in talk.reply("opal", "08:01", "1")
    assert until(talk) == still_shut(ends)


def test_no_to_doubtful_hours_leaves_the_field_shut(talk: Talk) -> None:
    talk.says("opal", "08:00", "14 SPRAYED 10")
    assert "KEEP OUT stays, hours not known" in talk.reply("opal", "08:01", "2")
    assert until(talk) == "unknown"


def test_a_number_of_another_field_of_the_sender_closes_that_field_too(talk: Talk) -> None:
    reply = talk.reply("opal", "08:00", "14 SPRAYED 12")
    assert "12 Gin Road West" in reply
    assert (until(talk, 14), until(talk, 12)) == ("unknown", "unknown")


# Free words


@pytest.mark.parametrize(
    ("words", "numbers"),
    [
        ("they sprayed pump house at 5 this morning", (14,)),
        ("we treated 14 and levee last night", (14, 16)),
        ("ya fumigamos", (14, 16)),
        ("plane is flying now", (14, 16)),
        ("anoche aplicaron en el 16", (16,)),
    ],
)
def test_free_words_of_a_grower_close_what_they_name_else_all_of_his(
    talk: Talk, words: str, numbers: tuple[int, ...]
) -> None:
    caused = talk.says("ramon", "08:00", words)
    shut = tuple(number for number in (12, 14, 16, 27, 31) if until(talk, number) == "unknown")
    assert shut == numbers
    assert "NO ENTRE" in to(caused, "reply")[0][1]
    assert JUNE in dict(to(caused, "notice"))


def test_a_remark_that_may_mean_a_treated_field_shuts_it(talk: Talk) -> None:
    reply = talk.reply("luis", "08:00", "121 NOTE sprayer in the next field")
    assert reply.startswith("KEEP OUT of 12, hours not known. Walk out")
    assert until(talk, 12) == "unknown"


# Told, and OK


def test_no_ok_in_ten_minutes_has_leader_and_supervisor_call_once(talk: Talk) -> None:
    talk.says("ana", "08:00", "16 1 0")
    talk.says("ramon", "08:05", "16 SPRAYED 24")
    assert talk.strikes("08:14") == []
    caused = talk.strikes("08:15")
    assert {one["to"] for one in caused} == {JUNE, BETO}
    assert all("Ana Prado, 270-555-0111: no OK yet for KEEP OUT of 16" in one["text"] for one in caused)
    assert talk.strikes("08:30") == []


def test_ok_is_for_the_keep_out_first_and_nobody_calls(talk: Talk) -> None:
    talk.says("ana", "08:00", "16 1 0")
    talk.says("ramon", "08:05", "16 SPRAYED 24")
    assert "NO ENTRE, por lo menos hasta mie 7 jul 8:05 am" in talk.reply("ana", "08:06", "OK")
    assert talk.strikes("08:20") == []


def test_thanks_are_no_ok_to_a_keep_out(talk: Talk) -> None:
    talk.says("ana", "08:00", "16 1 0")
    talk.says("ramon", "08:05", "16 SPRAYED 24")
    talk.says("ana", "08:06", "gracias")
    assert len(talk.strikes("08:20")) == 2


def test_a_phone_that_opted_out_is_called_at_once(talk: Talk) -> None:
    talk.says("ana", "08:00", "16 1 0")
    talk.says("ana", "08:01", "ALTO")
    caused = talk.says("ramon", "08:05", "16 SPRAYED 24")
    assert to(caused, "keepout") == []
    assert any("no text can reach that phone" in text for who, text in to(caused, "notice") if who == JUNE)


def test_counts_from_a_shut_field_are_kept_and_begin_with_keep_out(talk: Talk) -> None:
    talk.says("opal", "08:00", "14 SPRAYED 24")
    caused = talk.says("luis", "09:00", "14 1 LN2")
    reply = to(caused, "reply")[0][1]
    assert reply.startswith("KEEP OUT of 14, at least until Wed Jul 7 8:00 AM. Walk out")
    assert "14 1 LN2." in reply
    assert talk.samples(14) == {"1": "LN2"}
    assert "Luis Vega texted counts from 14" in dict(to(caused, "notice"))[JUNE]


def test_nobody_is_sent_into_a_shut_field(talk: Talk) -> None:
    talk.says("opal", "08:00", "14 SPRAYED 24")
    assert "14" not in talk.reply("luis", "09:00", "27 1-10 0").partition("Next")[2]


def test_those_in_a_field_beside_are_told_to_stay_off_that_side(tmp_path: Path) -> None:
    beside = ('name = "Pump House"', 'name = "Pump House"\nbeside = [16]')
    with talking(tmp_path, "talk.toml", beside) as talk:
        caused = talk.says("opal", "08:00", "14 SPRAYING")
        told = dict(to(caused, "keepout"))
        assert told[ANA].startswith("Al lado de su 16 estan aplicando pesticida (14).")
        assert "270-555-0100" in told[ANA]
        calls = [one["text"] for one in talk.strikes("08:11") if one["text"].startswith("CALL Ana")]
        # 16 itself is not shut, and nobody should read that it is
        near = "CALL Ana Prado, 270-555-0111: no OK yet. The field next to 16 Levee is being treated."
        assert set(calls) == {near}


# Opening


@pytest.mark.parametrize("who", ["luis", "beto", "opal"])
def test_only_a_supervisor_ends_a_keep_out(talk: Talk, who: str) -> None:
    talk.says("opal", "08:00", "14 SPRAYED 24")
    assert "only June can end a KEEP OUT" in talk.reply(who, "09:00", "14 OPEN")
    assert until(talk) is not None


def test_a_supervisor_is_asked_with_number_name_and_end(talk: Talk) -> None:
    talk.says("opal", "08:00", "14 SPRAYED 24")
    reply = talk.reply("june", "09:00", "14 OPEN")
    assert (
        "14 Pump House: KEEP OUT, at least until Wed Jul 7 8:00 AM. End it now on your word? 1 yes" in reply
    )
    assert until(talk) is not None
    talk.says("june", "09:01", "1")
    assert until(talk) is None


def test_a_supervisor_sets_the_hours_from_the_last_treatment(talk: Talk) -> None:
    talk.says("opal", "08:00", "14 SPRAYED")
    reply = talk.reply("june", "09:00", "14 OPEN 48")
    assert "at least until Thu Jul 8 8:00 AM, 48 h from the last treatment" in reply
    talk.says("june", "09:01", "1")
    assert until(talk) == local("2027-07-08T08:00")


@pytest.mark.parametrize("answer", ["2", "14 1 0", "hello"])
def test_anything_but_a_yes_leaves_it_shut(talk: Talk, answer: str) -> None:
    talk.says("opal", "08:00", "14 SPRAYED 24")
    talk.says("june", "09:00", "14 OPEN")
    talk.says("june", "09:01", answer)
    assert until(talk) is not None


@pytest.mark.parametrize("text", ["14 UNDO", "UNDO", "14 CANCEL", "14 FIX 1 0", "14 OK", "14 MOVE 16"])
def test_undo_and_the_like_never_open(talk: Talk, text: str) -> None:
    talk.says("luis", "08:00", "14 POSTED")
    talk.says("luis", "08:01", text)
    talk.says("luis", "08:02", "1")
    assert until(talk) == "unknown"


def test_the_end_of_the_hours_is_told_as_no_permission_with_whose_they_were(talk: Talk) -> None:
    talk.says("luis", "05:00", "14 1 0")
    talk.says("opal", "07:40", "14 SPRAYED 24")
    caused = talk.strikes("2027-07-07T08:30")
    over = [one["text"] for one in caused if "are over" in one["text"]]
    assert len(over) == 2
    assert "the 24 h that Opal gave are over. This is no permission" in over[0]
    assert "Recheck is due Fri Jul 9." in over[0]
    assert not [one for one in talk.strikes("2027-07-07T09:00") if "are over" in one["text"]]


def test_the_evening_names_the_shut_fields(talk: Talk) -> None:
    talk.says("opal", "08:00", "14 SPRAYED 24")
    talk.says("luis", "08:01", "27 POSTED")
    digest = " ".join(one["text"] for one in talk.strikes("18:30") if one["to"] == JUNE)
    assert "KEEP OUT: 14 to Jul 7 8:00 AM; 27 hours not given." in digest


# The corpus


@pytest.mark.parametrize("case", TREATED, ids=lambda case: case["text"][:40])
def test_however_it_is_said_it_closes_and_opens_nothing(tmp_path: Path, case: dict[str, Any]) -> None:
    """Field 14 is shut for three days; then a grower texts, and says 1 to whatever he is asked."""
    expect: dict[str, Any] = case["expect"]
    with talking(tmp_path, "talk.toml") as talk:
        talk.says("opal", "07:00", "14 SPRAYED 72")
        before = until(talk)
        caused = talk.says("opal", "08:00", case["text"])
        for one in caused:
            assert septets(one["text"]) <= TEXT_SEPTETS, one
            assert not PERMITS.search(one["text"]), one
        holds_the_hours(talk, case["text"], expect)
        talk.says("opal", "08:05", "1")
        now = until(talk)
        assert now is not None
        assert now == "unknown" or (before or "") <= now


def holds_the_hours(talk: Talk, text: str, expect: dict[str, Any]) -> None:
    """Hold the field of a text to the hours that the corpus reads in it: given, or not known."""
    number = expect.get("number") if expect.get("treated") is True else expect.get("treated")
    field = talk.hand.season.field_of(number) if number else None
    if field is None or field.number == 14:
        return
    if text.upper().startswith(("PRACTICE", "PRUEBA", "PRACTICA")):
        assert until(talk, field.number) is None
        return
    given = re.fullmatch("given ([0-9]+)", str(expect.get("hours")))
    theirs = {12, 14, 31} - {field.number}
    if (
        given is None
        or expect.get("kind") != "sprayed"
        or theirs & {*expect.get("numbers", []), int(given[1])}
    ):
        assert until(talk, field.number) == "unknown"
    else:
        ends = datetime(2027, 7, 6, 8, tzinfo=ZONE) + timedelta(hours=int(given[1]))
        assert until(talk, field.number) == still_shut(ends)


# A closing beside something else


def test_a_closing_beside_counts_is_not_lost(talk: Talk) -> None:
    reply = talk.reply("luis", "08:00", "14 1 LN2 / sprayed")
    assert reply.startswith("KEEP OUT of 14")
    assert until(talk) == "unknown"
    assert talk.samples(14) == {"1": "LN2"}


@pytest.mark.parametrize("text", ["BY NOBODY 14 was sprayed", "CHECK 14 SPRAYED 24", "YEST 14 SPRAYED 24"])
def test_a_prefix_never_hides_a_closing(talk: Talk, text: str) -> None:
    talk.says("june", "08:00", text)
    assert until(talk) == "unknown"


@pytest.mark.parametrize(
    ("who", "text"),
    [("june", "TELL they are spraying 14, stay out"), ("luis", "SOS they sprayed on us at 14")],
)
def test_a_closing_in_words_to_people_is_not_lost(talk: Talk, who: str, text: str) -> None:
    talk.says(who, "08:00", text)
    assert until(talk) == "unknown"


# What has changed since a question was asked


@pytest.mark.parametrize("newer", ["14 SPRAYED 48", "14 LETRERO", "14 SPRAYING"])
def test_a_yes_never_opens_what_came_after_the_question(talk: Talk, newer: str) -> None:
    talk.says("opal", "09:00", "14 SPRAYED 24")
    talk.says("june", "10:00", "14 OPEN")
    talk.says("opal", "10:05", newer)
    reply = talk.reply("june", "10:06", "1")
    assert "End it now on your word? 1 yes" in reply
    assert until(talk) is not None
    talk.says("june", "10:07", "1")
    assert until(talk) is None


def test_hours_never_end_a_treatment_that_goes_on_or_a_sign(talk: Talk) -> None:
    talk.says("opal", "06:00", "14 SPRAYED 24")
    talk.says("ramon", "19:00", "14 SPRAYING")
    assert "hours not known, 12 h from the last treatment" in talk.reply("june", "19:10", "14 OPEN 12")
    talk.says("june", "19:11", "1")
    assert until(talk) == "unknown"


def test_hours_that_are_over_already_are_not_asked_about(talk: Talk) -> None:
    talk.says("opal", "06:00", "14 SPRAYED 24")
    assert "12 h from the last treatment are over" in talk.reply("june", "19:10", "14 OPEN 12")
    talk.says("june", "19:11", "1")
    assert until(talk) == local("2027-07-07T06:00")


def test_the_end_in_a_question_is_the_end_that_a_yes_stores(talk: Talk) -> None:
    talk.says("opal", "08:10", "14 SPRAYED 48")
    talk.says("opal", "08:11", "14 SPRAYED 24")
    assert "at least until Thu Jul 8 8:10 AM" in talk.reply("june", "09:00", "14 OPEN 36")
    talk.says("june", "09:01", "1")
    assert until(talk) == local("2027-07-08T08:10")


@pytest.mark.parametrize(
    "text", ["14 12 SPRAYED 24", "14 and 12 SPRAYED 24", "14/12 SPRAYED", "14 sprayed, 12 too"]
)
def test_a_second_field_before_the_word_is_closed_too(talk: Talk, text: str) -> None:
    talk.says("opal", "08:00", text)
    assert (until(talk, 14), until(talk, 12)) == ("unknown", "unknown")


@pytest.mark.parametrize("text", ["14 POSTED 24", "14 KEEPOUT 24", "14 NO ENTRE 48 HORAS", "14 SPRAYING 24"])
def test_hours_of_a_sign_or_of_a_treatment_that_goes_on_are_not_taken(talk: Talk, text: str) -> None:
    talk.says("luis", "08:00", text)
    assert until(talk) == "unknown"


def test_the_record_says_what_held_on_a_day(talk: Talk) -> None:
    talk.says("opal", "09:00", "14 SPRAYED 24")
    for day, shut in (("2027-07-05", None), ("2027-07-07", local("2027-07-07T09:00")), ("2027-07-08", None)):
        assert talk.show(14, datetime.fromisoformat(day).date())["closed_until"] == shut


def test_who_could_not_be_told_is_not_named_as_told_and_hears_it_on_his_return(talk: Talk) -> None:
    talk.says("luis", "08:00", "14 1 0")
    talk.says("luis", "08:01", "STOP")
    caused = talk.says("opal", "08:05", "14 SPRAYED 24")
    assert not any("Told" in text for _, text in to(caused, "notice"))
    ((who, text),) = to(talk.says("luis", "09:00", "START"), "keepout")
    assert who == LUIS
    assert text.startswith("KEEP OUT of 14 Pump House")


def test_counts_beside_words_of_a_treatment_are_said_to_be_lost(talk: Talk) -> None:
    reply = talk.reply("luis", "08:00", "14 1 FA2 sprayed")
    assert "Counts in your text are NOT stored, send them again." in reply
    assert (until(talk), talk.samples(14)) == ("unknown", {})


@pytest.mark.parametrize("text", ["14 SHORT rain", "14 CARD", "14 99 1 1"])
def test_every_reply_about_a_shut_field_begins_with_keep_out(talk: Talk, text: str) -> None:
    talk.says("luis", "08:00", "14 1 0")
    talk.says("opal", "08:05", "14 SPRAYED 24")
    assert talk.reply("luis", "09:00", text).startswith("14: KEEP OUT, at least until Wed Jul 7 8:05 AM")
