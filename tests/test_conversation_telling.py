"""TELL: words to the crew, asked first with whom, sent at once, and their OKs counted (texts.md, section 4)."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from parsing import septets, shipped_words
from tests.talk import Talk, talking, to
from tests.test_conversation_crossings import BETO, JUNE, OPAL, TEN_OF_TWO

ANA, LUIS = "+12705550111", "+12705550112"
WORDS = "lightning near Levee Block, get into the trucks"


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path) as opened:
        yield opened


def test_it_is_asked_first_with_whom_how_many_and_the_words(talk: Talk) -> None:
    caused = talk.says("june", "09:00", f"TELL {WORDS}")
    assert caused == [
        {
            "to": JUNE,
            "purpose": "reply",
            "text": f"To Ana, Luis and Beto (3): {WORDS}. 1 sends it, 2 no. Nothing sent yet.",
        }
    ]


def test_a_1_sends_it_to_each_in_his_language_and_wants_an_ok(talk: Talk) -> None:
    """The form of replies.md, 44."""
    talk.says("june", "09:00", f"TELL {WORDS}")
    caused = talk.says("june", "09:01", "1")
    assert dict(to(caused, "keepout")) == {
        ANA: f"De June para toda la cuadrilla: {WORDS}. Conteste OK.",
        LUIS: f"From June to the whole crew: {WORDS}. Answer OK.",
        BETO: f"From June to the whole crew: {WORDS}. Answer OK.",
    }
    assert to(caused, "reply")[0][1].startswith("Sent to 3 of 3.")


def test_a_leaders_words_go_to_his_crew_alone(talk: Talk) -> None:
    assert talk.reply("beto", "09:00", "AVISA agua a las doce").startswith("To Ana (1): agua a las doce.")
    assert [who for who, _ in to(talk.says("beto", "09:01", "1"), "keepout")] == [ANA]


def test_quiet_hours_do_not_hold_words_to_the_crew(talk: Talk) -> None:
    talk.says("june", "05:30", "TELL no work today, storm")
    assert len(to(talk.says("june", "05:31", "1"), "keepout")) == 3


def test_a_2_sends_nothing_and_another_text_says_that_it_was_not_sent(talk: Talk) -> None:
    talk.says("june", "09:00", f"TELL {WORDS}")
    assert talk.reply("june", "09:01", "2") == "Nothing sent."
    talk.says("june", "09:02", f"TELL {WORDS}")
    assert "TELL: NOT sent, you did not answer." in talk.reply("june", "09:03", "14")
    assert to(talk.says("june", "09:04", "1"), "keepout") == []


def test_oks_are_counted_and_who_gave_none_in_ten_minutes_is_named_once_with_his_phone(talk: Talk) -> None:
    talk.says("june", "09:00", f"TELL {WORDS}")
    talk.says("june", "09:01", "1")
    assert talk.reply("luis", "09:02", "OK") == "Thank you. Noted for June."
    assert talk.reply("ana", "09:03", "leido") == "Gracias. Queda anotado para June."
    assert talk.strikes("09:10") == []
    assert talk.strikes("09:11") == [
        {
            "to": JUNE,
            "purpose": "notice",
            "text": "Your TELL of 9:00 AM: 2 of 3 OK; not Beto 270-555-0115. Please call.",
        }
    ]
    assert talk.reply("beto", "09:20", "OK") == "Thank you. Noted for June."
    assert talk.strikes("09:30") == []


def test_when_all_have_said_ok_the_sender_hears_it_before_the_ten_minutes_are_over(talk: Talk) -> None:
    talk.says("june", "09:00", f"TELL {WORDS}")
    talk.says("june", "09:01", "1")
    for who in ("luis", "ana", "beto"):
        talk.says(who, "09:02", "OK")
    assert [one["text"] for one in talk.strikes("09:03")] == ["Your TELL of 9:00 AM: 3 of 3 said OK."]
    assert talk.strikes("09:12") == []


def test_whom_no_text_reaches_is_named_at_once_and_counts_as_no_ok(talk: Talk) -> None:
    talk.says("ana", "08:30", "ALTO")
    talk.says("june", "09:00", f"TELL {WORDS}")
    caused = talk.says("june", "09:01", "1")
    assert {who for who, _ in to(caused, "keepout")} == {LUIS, BETO}
    assert to(caused, "reply")[0][1] == "Sent to 2 of 3. No text reaches, call: Ana 270-555-0111."
    talk.says("luis", "09:02", "OK")
    talk.says("beto", "09:02", "OK")
    assert "2 of 3 OK; not Ana 270-555-0111" in talk.strikes("09:11")[0]["text"]


def test_an_ok_goes_to_a_keep_out_first_then_to_words_then_to_alerts(talk: Talk) -> None:
    talk.says("luis", "08:59", TEN_OF_TWO)
    talk.says("june", "09:00", f"TELL {WORDS}")
    talk.says("june", "09:01", "1")
    talk.says("june", "09:02", "14 SPRAYED 24")
    assert "noted for 14" in talk.reply("luis", "09:03", "OK")
    assert talk.reply("luis", "09:04", "OK") == "Thank you. Noted for June."
    assert "Nothing is waiting" in talk.reply("luis", "09:05", "OK")
    assert "noted that you read it" in talk.reply("opal", "09:06", "OK")


def test_an_ok_that_names_a_field_is_none_to_words(talk: Talk) -> None:
    talk.says("june", "09:00", f"TELL {WORDS}")
    talk.says("june", "09:01", "1")
    assert "Nothing is waiting" in talk.reply("luis", "09:02", "14 OK")
    assert "0 of 3 OK" in talk.strikes("09:11")[0]["text"]


def test_words_of_yesterday_take_no_ok_of_today(talk: Talk) -> None:
    talk.says("june", "09:00", f"TELL {WORDS}")
    talk.says("june", "09:01", "1")
    assert "Nothing is waiting" in talk.reply("luis", "2027-07-07T09:00", "OK")


@pytest.mark.parametrize("who", ["luis", "opal"])
def test_who_leads_nobody_sends_nothing(talk: Talk, who: str) -> None:
    assert "TELL is for leaders and supervisors. Nothing sent." in talk.reply(who, "09:00", f"TELL {WORDS}")
    assert to(talk.says(who, "09:01", "1"), "keepout") == []


def test_a_leader_with_nobody_hears_that(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", ('crew = ["ana"]', "crew = []")) as talk:
        assert talk.reply("beto", "09:00", "TELL water") == "Nobody is in your crew on file. Nothing sent."


@pytest.mark.parametrize("phrase", sorted(shipped_words().opt_out))
def test_words_that_would_end_the_texts_if_sent_back_are_refused_by_name(talk: Talk, phrase: str) -> None:
    """No text that the machine starts holds an opt-out word (texts.md, section 5)."""
    said = talk.reply("june", "09:00", f"TELL meet there, {phrase.lower()} by the shop")
    assert "Nothing sent." in said
    assert any(f"TELL: {word} " in said for word in shipped_words().opt_out if word in phrase)
    assert to(talk.says("june", "09:01", "1"), "keepout") == []


def test_a_word_that_only_holds_an_opt_out_word_is_none(talk: Talk) -> None:
    assert "1 sends it" in talk.reply("june", "09:00", "TELL unstoppable weekend ahead, finish by noon")


@pytest.mark.parametrize("length", range(90, 141, 5))
def test_words_are_sent_whole_or_refused_never_cut(talk: Talk, length: int) -> None:
    words = ("water at the trucks then home " * 6)[:length].strip()
    reply = talk.reply("june", "09:00", f"TELL {words}")
    assert septets(reply) <= 160
    caused = to(talk.says("june", "09:01", "1"), "keepout")
    if "too long" in reply:
        assert caused == []
    else:
        assert words in reply
        assert len(caused) == 3
        assert all(words in text and septets(text) <= 160 for _, text in caused)


def test_practice_sends_nothing(talk: Talk) -> None:
    assert talk.reply("june", "09:00", f"PRACTICE TELL {WORDS}").startswith("PRACTICE")
    assert to(talk.says("june", "09:01", "1"), "keepout") == []


def test_growers_are_no_crew(talk: Talk) -> None:
    talk.says("june", "09:00", f"TELL {WORDS}")
    assert OPAL not in dict(to(talk.says("june", "09:01", "1"), "keepout"))
