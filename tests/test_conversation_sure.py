"""What a text may rely on: a control total that holds the whole text, a form shown whole, nobody asked in silence."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.talk import Talk, talking, to

STRANGER = "+1 270 555 0177"


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path) as opened:
        yield opened


@pytest.mark.parametrize("text", ["121 3 FA1 / 6 FA9 T10", "121 6-7 0 =0"])
def test_with_a_control_total_nothing_is_stored_where_another_has_a_sample_in(talk: Talk, text: str) -> None:
    # texts.md, 3: with any group refused, nothing of the text is stored; another scout's is refused
    talk.reply("ana", "09:00", "121 6 FN1")
    reply = talk.reply("luis", "09:01", text)
    assert "6 is in from Ana" in reply
    assert "Nothing stored" in reply
    assert talk.samples(121) == {"6": "FN1"}


def test_with_a_control_total_what_another_has_counted_alike_is_no_fault(talk: Talk) -> None:
    talk.reply("ana", "09:00", "121 6 FN1")
    talk.reply("luis", "09:01", "121 3 FA1 / 6 FN1 T2")
    assert talk.samples(121) == {"3": "FA1", "6": "FN1"}


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("121 3 FA1 / 16 1 FA1 T2", "16 1 FA1 is another site"),
        ("121 3 FA1 / 11 FA1 T2", "no such sample"),
        ("121 7 FA2 / 8 FA / 9 FN1 T3", "FA has no number"),
    ],
)
def test_a_control_total_beside_a_fault_names_the_fault(talk: Talk, text: str, why: str) -> None:
    reply = talk.reply("luis", "09:00", text)
    assert why in reply
    assert "Nothing stored" in reply
    assert talk.show(121)["state"] == "none"


def test_the_form_shown_for_a_glued_sample_number_keeps_every_count(talk: Talk) -> None:
    assert talk.reply("luis", "09:00", "121 3FA2 FN1").endswith("Send 121 3 FA2 FN1")


def test_leaving_a_site_with_a_reason_asks_with_the_reason(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 FA1")
    assert "rain" in talk.reply("luis", "09:01", "14 STOP rain")
    talk.reply("luis", "09:02", "1")
    assert talk.show(14)["reason"] == "rain"


def test_what_would_be_asked_on_a_phone_that_opted_out_goes_to_a_person(talk: Talk) -> None:
    # texts.md, 4: readable counts from such a number still count, unanswered; what would be asked goes to a person
    talk.reply("luis", "09:00", "STOP")
    caused = talk.says("luis", "09:01", "14 3 FA52")
    assert to(caused, "reply") == []
    assert [text for _, text in to(caused, "notice") if "14 3 FA52" in text]
    assert "NOT stored" not in talk.reply("luis", "09:02", "START")


def test_a_note_of_nothing_but_a_site_number_is_asked_with_nothing_to_move(talk: Talk) -> None:
    assert "1 yes" in talk.reply("luis", "09:00", "14 NOTE 16")
    assert talk.show(14)["remarks"] == []
    talk.reply("luis", "09:01", "1")
    assert talk.show(14)["remarks"] == [{"about": "note", "words": "16"}]


def test_a_stranger_s_help_is_answered_beside_the_one_reply_a_day(talk: Talk) -> None:
    assert len(to(talk.says(STRANGER, "09:00", "121 3 FA2"), "reply")) == 1
    assert "911" in to(talk.says(STRANGER, "09:01", "AYUDA"), "reply")[0][1]
    assert to(talk.says(STRANGER, "09:02", "121 3 FA2"), "reply") == []


def test_a_stop_word_that_drops_a_question_says_so_in_a_sentence_of_its_own(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 FA52")
    assert "UNDO. 14" in talk.reply("luis", "09:01", "STOP")
