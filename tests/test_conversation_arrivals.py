"""Texts as networks bring them: cut, doubled, late, out of order (texts.md, Reading and Questions)."""

from collections.abc import Iterator
from datetime import UTC, date, datetime
from itertools import count
from pathlib import Path

import pytest

from storage import Arrived, keep, texts_since
from tests.talk import DAY, ZONE, Talk, talking, to

LUIS, ANA = "+12705550112", "+12705550111"
names = count(1)


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path, "forms.toml") as opened:
        yield opened


def arrives_cut(talk: Talk, phone: str, at: str, text: str) -> str:
    """Let a text come that is as long as one full part, from a gateway that joins none; give its one reply."""
    moment = datetime.fromisoformat(f"{DAY.isoformat()}T{at}").replace(tzinfo=ZONE)
    arrived = Arrived("test", f"cut-{next(names)}", phone, "", text, None, moment, perhaps_cut=True)
    talk.store.write(lambda session: keep(session, arrived) is not None)
    ((_, reply),) = to(talk.strikes(at), "reply")
    return reply


def repeats(talk: Talk) -> list[bool]:
    """Tell of each text kept whether it repeats an earlier one."""
    with talk.store.read() as session:
        return [row.repeats is not None for row in texts_since(session, datetime(2027, 1, 1, tzinfo=UTC))]


# Cut


def test_the_last_sample_of_a_text_that_may_be_cut_is_asked_and_the_others_are_stored(talk: Talk) -> None:
    reply = arrives_cut(talk, LUIS, "09:00", "14 1 LN2 / 2 LN1 / 3 LN1")
    assert talk.samples(14) == {"1": "LN2", "2": "LN1"}
    assert "14 1 LN2 / 2 LN1." in reply
    assert "14 3 LN1" in reply
    assert "1 yes" in reply
    talk.reply("luis", "09:01", "1")
    assert talk.samples(14) == {"1": "LN2", "2": "LN1", "3": "LN1"}


def test_a_no_leaves_the_last_sample_out_and_it_may_be_sent_whole(talk: Talk) -> None:
    arrives_cut(talk, LUIS, "09:00", "14 1 LN2 / 2 LN1")
    talk.reply("luis", "09:01", "2")
    assert talk.samples(14) == {"1": "LN2"}
    talk.reply("luis", "09:02", "14 2 LN12")
    assert talk.samples(14) == {"1": "LN2", "2": "LN12"}


def test_the_last_sample_sent_whole_mends_the_question(talk: Talk) -> None:
    arrives_cut(talk, LUIS, "09:00", "14 1 LN2 / 2 LN1")
    assert "NOT" not in talk.reply("luis", "09:02", "14 2 LN12")
    assert talk.samples(14) == {"1": "LN2", "2": "LN12"}


@pytest.mark.parametrize("text", ["14 1 LN2", "14 1 2 1 0 0 4", "14 LN2"])
def test_one_sample_that_may_be_cut_is_asked_whole(talk: Talk, text: str) -> None:
    assert "1 yes" in arrives_cut(talk, LUIS, "09:00", text)
    assert talk.show(14)["state"] == "none"
    talk.reply("luis", "09:01", "1")
    assert talk.show(14)["samples_in"] == 1


def test_the_last_sample_of_a_fix_that_may_be_cut_leaves_the_old_count(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN2 / 2 LN3")
    assert "1 yes" in arrives_cut(talk, LUIS, "09:01", "14 FIX 1 LN4 / 2 LN1")
    assert talk.samples(14) == {"1": "LN4", "2": "LN3"}
    talk.reply("luis", "09:02", "1")
    assert talk.samples(14) == {"1": "LN4", "2": "LN1"}


def test_a_total_that_may_be_cut_is_asked(talk: Talk) -> None:
    assert "1 si" in arrives_cut(talk, ANA, "09:00", "14 TOTAL 10 FA3 LN1")
    assert talk.show(14)["totals"] is None
    talk.reply("ana", "09:01", "1")
    assert talk.show(14)["totals"]["counts"]["LN"] == 1


def test_a_range_that_may_be_cut_is_asked_whole(talk: Talk) -> None:
    arrives_cut(talk, LUIS, "09:00", "14 1 LN2 / 2-9 0")
    assert talk.samples(14)["1"] == "LN2"
    assert "9" not in talk.samples(14)


def test_free_words_that_may_be_cut_are_kept_as_they_came(talk: Talk) -> None:
    reply = arrives_cut(talk, LUIS, "09:00", "14 NOTE hail on the north end and")
    assert "1 yes" not in reply
    assert talk.show(14)["remarks"][0]["words"] == "hail on the north end and"


# Doubled


def test_a_numbered_text_again_changes_nothing_and_is_flagged(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN2")
    assert "the same" in talk.reply("luis", "09:01", " 14  1 ln2 ")
    assert talk.samples(14) == {"1": "LN2"}
    assert repeats(talk) == [False, True]


def test_a_text_of_another_phone_or_of_an_hour_ago_is_no_repeat(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN2")
    talk.reply("ana", "09:01", "14 1 LN2")
    talk.reply("luis", "10:05", "14 1 LN2")
    assert repeats(talk) == [False, False, False]
    assert talk.samples(14) == {"1": "LN2"}


def test_an_unnumbered_text_again_before_our_answer_could_come_is_asked(talk: Talk) -> None:
    talk.reply("ana", "09:00", "14 LN2", sent="08:50")
    question = talk.reply("ana", "09:01", "14 LN2", sent="08:51")
    assert "1 si" in question
    assert talk.samples(14) == {"1": "LN2"}
    assert repeats(talk) == [False, True]
    talk.reply("ana", "09:02", "2")
    assert talk.samples(14) == {"1": "LN2"}


def test_an_unnumbered_zero_again_before_our_answer_is_asked_too(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 0", sent="08:50")
    assert "1 yes" in talk.reply("luis", "09:01", "14 0", sent="08:51")
    assert talk.samples(14) == {"1": "0"}


def test_a_move_that_came_twice_moves_once(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN2")
    talk.reply("luis", "09:05", "14 MOVE 16", sent="09:04")
    talk.reply("luis", "09:06", "14 MOVE 16", sent="09:04")
    talk.reply("luis", "09:07", "1")
    talk.reply("luis", "09:08", "1")
    assert talk.samples(16) == {"1": "LN2"}


def test_the_same_name_from_the_gateway_is_the_same_text(talk: Talk) -> None:
    assert talk.says("luis", "09:00", "14 TOTAL 6 LN2", name="g-1")
    assert talk.says("luis", "09:30", "14 TOTAL 6 LN2", name="g-1") == []
    assert repeats(talk) == [False]


def test_an_undo_that_came_twice_takes_back_once(talk: Talk) -> None:
    """With the same sent time it is the same text, whenever it comes."""
    talk.reply("luis", "09:00", "14 1 LN2")
    talk.reply("luis", "09:01", "14 2 LN3")
    talk.reply("luis", "09:05", "14 UNDO", sent="09:04")
    talk.reply("luis", "09:30", "14 UNDO", sent="09:04")
    assert talk.samples(14) == {"1": "LN2"}


def test_an_each_and_a_note_that_came_twice_tell_once(talk: Talk) -> None:
    assert len(to(talk.says("luis", "09:00", "14 EACH 2"), "notice")) == 1
    assert to(talk.says("luis", "09:01", "14 EACH 2"), "notice") == []


# Late and out of order


def test_a_fix_that_comes_before_its_original_is_asked_and_said_to_be_undone(talk: Talk) -> None:
    """Sent at 9:00 and 9:02, they come the other way round."""
    talk.reply("luis", "08:30", "14 1 0")
    assert "3 is not in yet" in talk.reply("luis", "09:03", "14 FIX 3 LN1", sent="09:02")
    late = talk.reply("luis", "09:05", "14 3 LN9", sent="09:00")
    assert "14 3 LN9" in late
    assert "FIX 3: NOT done" in late
    assert talk.samples(14)["3"] == "LN9"


def test_a_fix_that_is_the_first_text_of_a_visit_is_asked_and_stands_after_a_yes(talk: Talk) -> None:
    assert "3 is not in yet" in talk.reply("luis", "09:03", "14 FIX 3 LN1", sent="09:02")
    assert talk.show(14)["state"] == "none"
    talk.reply("luis", "09:04", "1")
    assert talk.samples(14) == {"3": "LN1"}
    assert "LN1" in talk.reply("luis", "09:05", "14 3 LN9", sent="09:00")
    assert talk.samples(14) == {"3": "LN1"}


def test_counts_of_yesterday_that_come_today_are_yesterdays_and_say_so(talk: Talk) -> None:
    reply = talk.reply("luis", "07:00", "14 1 LN2", sent="2027-07-05T18:00")
    assert "Jul 5" in reply
    assert talk.samples(14, date(2027, 7, 5)) == {"1": "LN2"}
    assert talk.show(14)["state"] == "none"


def test_a_share_and_a_total_of_yesterday_are_yesterdays(talk: Talk) -> None:
    talk.reply("luis", "07:00", "14 SQ 88 100", sent="2027-07-05T18:00")
    talk.reply("luis", "07:01", "14 TOTAL 10 LN2", sent="2027-07-05T18:01")
    shown = talk.show(14, date(2027, 7, 5))
    assert (shown["shares"], shown["state"]) == ({"SQ": {"n": 88, "of": 100}}, "done")
    assert talk.show(14)["shares"] == {}


def test_an_answer_sent_before_the_question_had_left_moves_nothing(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN2")
    talk.reply("luis", "09:05", "14 MOVE 16")
    assert "before our question" in talk.reply("luis", "09:06", "1", sent="09:04")
    assert talk.samples(14) == {"1": "LN2"}
    talk.reply("luis", "09:07", "1", sent="09:06")
    assert talk.samples(16) == {"1": "LN2"}


def test_a_late_answer_of_yesterday_answers_nothing(talk: Talk) -> None:
    talk.reply("luis", "2027-07-05T23:50", "14 TOTAL 10 LN401")
    talk.reply("luis", "00:05", "1", sent="2027-07-05T23:55")
    assert talk.show(14, date(2027, 7, 5))["totals"] is None


def test_late_samples_of_a_finished_older_round_leave_the_newer_as_it_is(talk: Talk) -> None:
    talk.reply("luis", "2027-06-30T09:00", "14 1-9 0")
    talk.reply("luis", "2027-07-07T08:00", "14 1 LN1")
    talk.reply("luis", "2027-07-07T08:30", "14 10 LN9", sent="2027-06-30T09:30")
    old = talk.show(14, date(2027, 6, 30))
    assert (old["state"], old["samples"]["10"]["LN"]) == ("done", 9)
    assert talk.samples(14, date(2027, 7, 7)) == {"1": "LN1"}


def test_undo_of_a_late_text_takes_back_that_days_by_its_day(talk: Talk) -> None:
    talk.reply("luis", "07:00", "14 1 LN2", sent="2027-07-05T18:00")
    talk.reply("luis", "07:05", "14 UNDO")
    assert talk.samples(14, date(2027, 7, 5)) == {"1": "LN2"}
    assert "taken back 1 LN2" in talk.reply("luis", "07:30", "YEST 14 UNDO")
    assert talk.show(14, date(2027, 7, 5))["samples"] == {}


# From a phone that opted out


@pytest.mark.parametrize(
    "text",
    [
        "14 MOVE 16",
        "14 TOTAL 10 LN401",
        "14 TOTAL 10 LN4",
        "14 TODO 0",
        "14 SQ 12 100",
        "14 1 LN3",
        "14 2 LN52",
        "CHECK 14 1 LN52",
        "16 CLOSE",
    ],
)
def test_what_would_be_asked_of_a_phone_that_opted_out_goes_to_a_person(talk: Talk, text: str) -> None:
    talk.reply("luis", "09:00", "14 1 LN2")
    talk.says("luis", "09:01", "STOP")
    before = talk.show(14)
    assert to(talk.says("luis", "09:05", text), "reply") == []
    assert talk.show(14) == before
    with talk.store.read() as session:
        waiting = texts_since(session, datetime(2027, 1, 1, tzinfo=UTC), needing_person=True)
        assert [row.body for row in waiting][-1:] == [text]


@pytest.mark.parametrize(
    ("text", "key", "value"),
    [
        ("16 TOTAL 10 LN4", "state", "done"),
        ("14 BH 2 25", "shares", {"BH": {"n": 2, "of": 25}}),
        ("14 NAWF 5", "nawf", [5]),
        ("BY ANA 16 1 LN4", "state", "none"),
    ],
)
def test_what_can_be_read_from_a_phone_that_opted_out_counts_unanswered(
    talk: Talk, text: str, key: str, value: object
) -> None:
    talk.says("luis", "09:01", "STOP")
    assert to(talk.says("luis", "09:05", text), "reply") == []
    assert talk.show(16 if " 16 " in f" {text}" else 14)[key] == value
