"""MOVE by text: a sender's own samples of today go to the site where they were counted."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.talk import Talk, talking, to

OPAL, RAMON, JUNE = "+12705550130", "+12705550131", "+12705550120"


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path, "forms.toml") as opened:
        yield opened


@pytest.mark.parametrize("words", ["14 MOVE 16", "14 NOTE 16", "14 move 16 "])
def test_a_move_is_asked_with_the_list_and_a_1_does_it(talk: Talk, words: str) -> None:
    talk.reply("luis", "09:00", "14 1 LN2 / 2 0 / 3 FA1")
    question = talk.reply("luis", "09:05", words)
    assert "from 14 to 16" in question
    assert "1 LN2 / 2 0 / 3 FA1" in question
    assert "1 yes" in question
    assert talk.samples(14) == {"1": "LN2", "2": "0", "3": "FA1"}
    done = talk.reply("luis", "09:06", "1")
    assert done.startswith("Moved from 14 to 16: 1 LN2 / 2 0 / 3 FA1.")
    assert "3 of 10 in" in done
    assert talk.samples(16) == {"1": "LN2", "2": "0", "3": "FA1"}
    assert (talk.show(14)["state"], talk.show(14)["samples"]) == ("none", {})


def test_a_move_in_spanish_is_asked_in_spanish(talk: Talk) -> None:
    talk.reply("ana", "09:00", "14 1 LN2")
    assert "1 si" in talk.reply("ana", "09:05", "14 MUEVE 16")
    talk.reply("ana", "09:06", "si")
    assert talk.samples(16) == {"1": "LN2"}


def test_a_no_moves_nothing(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN2")
    talk.reply("luis", "09:05", "14 MOVE 16")
    talk.reply("luis", "09:06", "2")
    assert talk.samples(14) == {"1": "LN2"}
    assert talk.show(16)["state"] == "none"
    assert "Nothing was asked" in talk.reply("luis", "09:07", "1")


def test_another_text_drops_the_question_about_a_move_and_says_so(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN2")
    talk.reply("luis", "09:05", "14 MOVE 16")
    assert "dropped" in talk.reply("luis", "09:06", "14 2 0")
    assert "Nothing was asked" in talk.reply("luis", "09:07", "1")
    assert talk.samples(14) == {"1": "LN2", "2": "0"}


def test_only_the_senders_own_samples_move(talk: Talk) -> None:
    talk.reply("ana", "09:00", "14 1 LN1")
    talk.reply("luis", "09:01", "14 2 LN2")
    question = talk.reply("luis", "09:05", "14 MOVE 16")
    assert "2 LN2" in question
    assert "LN1" not in question
    talk.reply("luis", "09:06", "1")
    assert (talk.samples(14), talk.samples(16)) == ({"1": "LN1"}, {"2": "LN2"})


def test_only_todays_samples_move(talk: Talk) -> None:
    talk.reply("luis", "2027-07-05T09:00", "14 1 LN2")
    assert "1 yes" not in talk.reply("luis", "09:00", "14 MOVE 16")


@pytest.mark.parametrize(
    ("to_site", "said"),
    [("18", "18"), ("14", "14"), ("99", "99"), ("12", "12"), ("", "MOVE"), ("31", "31")],
)
def test_a_move_to_where_the_samples_cannot_stand_is_refused(talk: Talk, to_site: str, said: str) -> None:
    """18 has sheets of another effort, 31 has nets, 12 is a field of several sites, 99 is nothing."""
    talk.reply("luis", "09:00", "14 1 LN2")
    reply = talk.reply("luis", "09:05", f"14 MOVE {to_site}")
    assert "1 yes" not in reply
    assert said in reply
    assert talk.samples(14) == {"1": "LN2"}
    assert "Nothing was asked" in talk.reply("luis", "09:06", "1")


@pytest.mark.parametrize("there", ["luis", "ana"])
def test_a_move_onto_numbers_that_are_in_is_refused_naming_them(talk: Talk, there: str) -> None:
    talk.reply(there, "09:00", "16 2 FA1 / 3 FA1 / 9 FA1")
    talk.reply("luis", "09:01", "14 1 LN2 / 2 LN2 / 3 LN2")
    talk.reply("luis", "09:02", "1")
    reply = talk.reply("luis", "09:05", "14 MOVE 16")
    assert "2 3" in reply
    assert "9" not in reply
    assert "1 yes" not in reply
    assert talk.samples(14) == {"1": "LN2", "2": "LN2", "3": "LN2"}
    assert talk.samples(16) == {"2": "FA1", "3": "FA1", "9": "FA1"}


def test_a_number_that_came_in_there_meanwhile_refuses_the_move_at_its_answer(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN2 / 2 LN2")
    talk.reply("luis", "09:05", "14 MOVE 16")
    talk.reply("ana", "09:06", "16 2 FA1")
    assert "Moved" not in talk.reply("luis", "09:07", "1")
    assert (talk.samples(14), talk.samples(16)) == ({"1": "LN2", "2": "LN2"}, {"2": "FA1"})


def test_a_sample_sent_after_the_question_stays_where_it_is(talk: Talk) -> None:
    """Its numbers are fixed when a question is asked: what came later was in no list (texts.md, Questions)."""
    talk.reply("luis", "09:00", "14 1 LN2")
    talk.reply("luis", "09:05", "14 MOVE 16")
    talk.reply("june", "09:06", "BY LUIS 14 2 LN3")
    talk.reply("luis", "09:07", "1")
    assert (talk.samples(14), talk.samples(16)) == ({"2": "LN3"}, {"1": "LN2"})


def test_lost_samples_and_totals_move_too(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN2 / 2 X")
    talk.reply("luis", "09:05", "14 MOVE 16")
    talk.reply("luis", "09:06", "1")
    assert (talk.show(16)["lost"], talk.show(14)["lost"]) == ([2], [])
    talk.reply("ana", "09:10", "121 TOTAL 10 LN12")
    question = talk.reply("ana", "09:11", "121 MUEVE 123")
    assert "TOTAL 10 LN12" in question
    talk.reply("ana", "09:12", "1")
    assert talk.show(123)["totals"]["counts"]["LN"] == 12
    assert talk.show(121)["totals"] is None


def test_a_lost_sample_there_gives_way_to_one_that_was_counted(talk: Talk) -> None:
    talk.reply("luis", "09:00", "16 1 X")
    talk.reply("luis", "09:01", "14 1 LN2")
    talk.reply("luis", "09:02", "1")
    talk.reply("luis", "09:05", "14 MOVE 16")
    talk.reply("luis", "09:06", "1")
    assert (talk.samples(16), talk.show(16)["lost"]) == ({"1": "LN2"}, [])


def test_shares_and_extras_go_with_the_samples(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN2 SB1 BH 1 5 / 2 0 BH 0 5")
    talk.reply("luis", "09:01", "14 SQ 88 100")
    question = talk.reply("luis", "09:05", "14 MOVE 16")
    assert "BH 1 5" in question
    assert "SQ 88 100" in question
    talk.reply("luis", "09:06", "1")
    shown = talk.show(16)
    assert shown["shares"] == {"BH": {"n": 1, "of": 10}, "SQ": {"n": 88, "of": 100}}
    assert shown["extras"] == {"1": {"SB": 1}}
    assert talk.show(14)["shares"] == {}


def test_a_share_that_the_other_site_has_itself_is_never_replaced_unseen(talk: Talk) -> None:
    talk.reply("ana", "09:00", "16 SQ 90 100")
    talk.reply("luis", "09:01", "14 1 LN2")
    talk.reply("luis", "09:02", "14 SQ 70 100")
    reply = talk.reply("luis", "09:05", "14 MOVE 16")
    assert "SQ" in reply
    talk.reply("luis", "09:06", "1")
    assert talk.show(16)["shares"] == {"SQ": {"n": 90, "of": 100}}
    assert talk.show(14)["shares"] == {"SQ": {"n": 70, "of": 100}}


def test_a_field_above_by_counts_of_another_field_is_corrected_and_the_right_one_alerted(talk: Talk) -> None:
    alerts = dict(to(talk.says("luis", "09:00", "14 1 LN9 / 2 LN9 / 3 LN9"), "alert"))
    assert "ABOVE" in alerts[OPAL]
    assert to(talk.says("luis", "09:05", "14 MOVE 16"), "alert") == []
    caused = talk.says("luis", "09:06", "1")
    alerts = dict(to(caused, "alert"))
    assert alerts[OPAL].startswith("CORRECTED 14 Pump House")
    assert alerts[RAMON].startswith("16 Levee, 6 jul: lygus ARRIBA DEL UMBRAL")
    assert [who for who, _ in to(caused, "notice")] == [JUNE, JUNE]
    assert talk.show(16)["levels"][0]["standing"] == "above"


def test_a_move_within_a_field_does_not_alert_again(talk: Talk) -> None:
    """The field's mean is the same whichever of its sites the sheets belong to."""
    talk.says("luis", "09:00", "121 1 LN40 / 2 LN20")
    caused = talk.says("luis", "09:01", "121 MOVE 123")
    caused += talk.says("luis", "09:02", "1")
    assert to(caused, "alert") == []
    assert talk.samples(123) == {"1": "LN40", "2": "LN20"}


def test_a_site_that_was_left_is_begun_anew_with_the_method(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN2")
    talk.reply("luis", "09:05", "14 MOVE 16")
    talk.reply("luis", "09:06", "1")
    talk.reply("luis", "09:07", "16 2-10 0")
    assert "Sheet, 3 row ft, black." in talk.reply("luis", "09:10", "14 1 FA1")


def test_undo_after_a_move_takes_back_at_the_new_site(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN2")
    talk.reply("luis", "09:05", "14 MOVE 16")
    talk.reply("luis", "09:06", "1")
    assert "1 LN2" in talk.reply("luis", "09:20", "16 UNDO")
    assert talk.samples(16) == {}


def test_a_move_to_a_field_that_is_not_on_ones_list_is_told_to_a_supervisor(tmp_path: Path) -> None:
    levee = 'name = "Levee"\ngrowers = ["ramon"]\nscouts = '
    without_luis = (f'{levee}["ana", "luis"]', f'{levee}["ana"]')
    with talking(tmp_path, "forms.toml", without_luis) as talk:
        talk.reply("luis", "09:00", "14 1 LN2")
        caused = talk.says("luis", "09:05", "14 MOVE 16")
        caused += talk.says("luis", "09:06", "1")
        assert any("16" in text and who == JUNE for who, text in to(caused, "notice"))
        assert talk.samples(16) == {"1": "LN2"}


def test_a_grower_may_not_move_and_nobody_moves_what_is_not_there(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN2")
    for who in ("opal", "june", "ana"):
        assert "1 yes" not in talk.reply(who, "09:05", "14 MOVE 16")
        talk.reply(who, "09:06", "1")
    assert talk.samples(14) == {"1": "LN2"}


def test_many_samples_in_the_question_and_the_answer_fit_one_text(talk: Talk) -> None:
    talk.says("luis", "09:00", "14 " + " / ".join(f"{n} FA12 FN13 LA11 LN10 MP14" for n in range(1, 11)))
    question = talk.reply("luis", "09:05", "14 MOVE 16")
    assert len(question) <= 160
    assert "1-10" in question
    assert len(talk.reply("luis", "09:06", "1")) <= 160
