"""Shares by text, n of m looked at: of a whole site, stop by stop, mixed with counts (texts.md, sections 2-3)."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.talk import Talk, talking, to

OPAL = "+12705550130"
ABOVE_BY_COUNT = "31 1 LN2 / 2 LN2 / 3 LN2 / 4 LN2"
"""8 plant bugs in 100 sweeps: at the level of 8, which stands only with fewer than 80 % of the squares on."""


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path, "forms.toml") as opened:
        yield opened


@pytest.mark.parametrize(
    ("text", "code", "n", "of", "said"),
    [
        ("121 SQ 88 100", "SQ", 88, 100, "88 still on of 100, 88 %"),
        ("121 SQ 88/100", "SQ", 88, 100, "88 still on of 100"),
        ("121 SQ 88 OF 100", "SQ", 88, 100, "88 still on of 100"),
        ("121 CU 88 DE 100", "SQ", 88, 100, "88 still on of 100"),
        ("121 CUADROS 88 100", "SQ", 88, 100, "88 still on of 100"),
        ("121 BH 3 25", "BH", 3, 25, "3 hurt of 25 bolls, 12 %"),
        ("121 DS 7 50", "DS", 7, 50, "7 dirty of 50 squares, 14 %"),
        ("121 DW 0 20", "DW", 0, 20, "0 dirty of 20 blooms, 0 %"),
        ("121 TP 15/100", "TP", 15, 100, "15 with the pest of 100 terminals"),
        ("121 EG 1 100", "EG", 1, 100, "1 with eggs of 100 plants"),
    ],
)
def test_a_share_is_kept_and_said_in_words(
    talk: Talk, text: str, code: str, n: int, of: int, said: str
) -> None:
    reply = talk.reply("luis", "09:00", text)
    assert reply.startswith(f"121 {code}: {said}")
    assert talk.show(121)["shares"] == {code: {"n": n, "of": of}}


def test_a_share_is_said_in_the_readers_language(talk: Talk) -> None:
    assert "3 de 25 bellotas picadas, 12 %" in talk.reply("ana", "09:00", "121 BH 3 25")


@pytest.mark.parametrize(
    ("text", "sure"),
    [
        ("31 SQ 49 100", False),
        ("31 SQ 50 100", True),
        ("31 BH 13 25", False),
        ("31 BH 5 10", True),
        ("31 DS 51 100", False),
        ("31 TP 60 100", False),
        ("31 EG 50 100", True),
    ],
)
def test_a_share_that_looks_turned_round_is_asked(talk: Talk, text: str, sure: bool) -> None:
    reply = talk.reply("luis", "09:00", text)
    assert ("1 yes" not in reply) is sure
    assert bool(talk.show(31)["shares"]) is sure
    if not sure:
        talk.reply("luis", "09:01", "1")
        _, code, n, of = text.split()
        assert talk.show(31)["shares"] == {code: {"n": int(n), "of": int(of)}}


def test_a_no_to_a_turned_share_stores_nothing_and_the_right_one_may_follow(talk: Talk) -> None:
    talk.reply("ana", "09:00", "31 CU 12 100")
    assert talk.reply("ana", "09:01", "2") == "No se guardo nada."
    assert talk.show(31)["shares"] == {}
    assert "88 de 100 pegados" in talk.reply("ana", "09:02", "31 CU 88 100")


def test_another_text_drops_the_question_about_a_share_and_fits_one_text(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 1 LN1")
    talk.reply("luis", "09:01", "121 DW 60 100")
    reply = talk.reply("luis", "09:02", "121 TP 5 10")
    assert "DW: NOT stored" in reply
    assert talk.show(121)["shares"] == {"TP": {"n": 5, "of": 10}}
    assert len(reply) <= 160, reply
    assert "Nothing was asked" in talk.reply("luis", "09:03", "1")


@pytest.mark.parametrize(
    "text", ["121 SQ 88", "121 SQ 88%", "121 BH 12 %", "121 SQ 101 100", "121 BH 1 0", "121 1 BH 6 5"]
)
def test_a_lone_n_a_percent_and_more_than_looked_at_are_refused(talk: Talk, text: str) -> None:
    assert "tored" in talk.reply("luis", "09:00", text)
    assert talk.show(121)["shares"] == {}
    assert "Nothing was asked" in talk.reply("luis", "09:01", "1")


def test_shares_by_stop_add_up(talk: Talk) -> None:
    reply = talk.reply("luis", "09:00", "121 1 BH 1 5 / 2 BH 0 5")
    assert reply.startswith("121 1 BH 1 5 / 2 BH 0 5.")
    assert talk.show(121)["shares"] == {"BH": {"n": 1, "of": 10}}
    assert "2 hurt of 15 bolls so far" in talk.reply("luis", "09:05", "121 3 BH 1 5")
    assert talk.show(121)["shares"] == {"BH": {"n": 2, "of": 15}}


def test_a_stop_with_a_share_alone_is_no_sample_in(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 1 BH 1 5 / 2 BH 0 5")
    assert (talk.show(121)["state"], talk.show(121)["samples_in"]) == ("none", 0)


def test_a_share_may_stand_among_the_counts_of_its_stop(talk: Talk) -> None:
    reply = talk.reply("luis", "09:00", "121 3 LA1 BH 1 5")
    assert reply.startswith("121 3 LA1 BH 1 5.")
    assert talk.samples(121) == {"3": "LA1"}
    assert talk.show(121)["shares"] == {"BH": {"n": 1, "of": 5}}


def test_shares_are_not_in_the_control_total(talk: Talk) -> None:
    assert talk.reply("luis", "09:00", "121 1 LA1 BH 1 5 / 2 LN2 =3").startswith("121 1 LA1 BH 1 5 / 2 LN2.")
    assert talk.show(121)["shares"] == {"BH": {"n": 1, "of": 5}}


def test_stops_that_look_turned_round_are_asked_as_what_they_add_up_to(talk: Talk) -> None:
    question = talk.reply("luis", "09:00", "31 1 SQ 2 10 / 2 SQ 3 10")
    assert "SQ 5/20" in question
    assert "31 1 SQ 2 10 / 2 SQ 3 10" in question
    assert talk.show(31)["shares"] == {}
    talk.reply("luis", "09:01", "1")
    assert talk.show(31)["shares"] == {"SQ": {"n": 5, "of": 20}}


def test_the_counts_of_a_stop_wait_with_its_turned_share(talk: Talk) -> None:
    question = talk.reply("luis", "09:00", "121 1 LN2 BH 4 5")
    assert "121 1 LN2 BH 4 5? 1 yes" in question
    assert (talk.show(121)["state"], talk.show(121)["shares"]) == ("none", {})
    talk.reply("luis", "09:01", "1")
    assert talk.samples(121) == {"1": "LN2"}
    assert talk.show(121)["shares"] == {"BH": {"n": 4, "of": 5}}


def test_a_second_share_replaces_the_first_and_says_what_it_was(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 BH 3 25")
    assert "It was 3 of 25" in talk.reply("luis", "09:05", "121 BH 4 25")
    assert talk.show(121)["shares"] == {"BH": {"n": 4, "of": 25}}


def test_a_second_share_of_a_stop_replaces_the_first_and_says_what_it_was(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 1 BH 1 5 / 2 BH 0 5")
    assert "was 1 of 5" in talk.reply("luis", "09:05", "121 1 BH 2 5")
    assert talk.show(121)["shares"] == {"BH": {"n": 2, "of": 10}}


def test_a_share_of_the_whole_site_stands_for_the_stops_and_says_so(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 1 BH 1 5 / 2 BH 0 5")
    assert "2 stops, 1 of 10" in talk.reply("luis", "09:05", "121 BH 4 25")
    assert talk.show(121)["shares"] == {"BH": {"n": 4, "of": 25}}
    talk.reply("luis", "09:20", "121 UNDO")
    assert talk.show(121)["shares"] == {"BH": {"n": 1, "of": 10}}


@pytest.mark.parametrize("stops", ["121 3 BH 2 5", "121 1 BH 1 5 / 2 BH 0 5", "121 3 LA1 BH 2 5"])
def test_stops_where_the_whole_site_is_in_are_not_stored_and_never_shown_as_stored(
    talk: Talk, stops: str
) -> None:
    talk.reply("luis", "09:00", "121 BH 4 25")
    reply = talk.reply("luis", "09:05", stops)
    assert talk.show(121)["shares"] == {"BH": {"n": 4, "of": 25}}
    assert "NOT stored" in reply
    assert not reply.startswith(stops), reply


def test_a_field_number_takes_a_share_of_the_whole_field_but_no_stops(talk: Talk) -> None:
    assert talk.reply("luis", "09:00", "12 SQ 88 100").startswith("12 SQ: 88 still on of 100")
    assert talk.show(12)["retention"] == {"n": 88, "of": 100}
    assert "121, 123 and 125" in talk.reply("luis", "09:05", "12 1 BH 1 5")


def test_squares_counted_stop_by_stop_decide_the_field_like_those_of_the_whole_site(talk: Talk) -> None:
    reply = talk.reply("luis", "09:00", ABOVE_BY_COUNT)
    assert "SEND SQUARES" in reply
    level = talk.show(31)["levels"][0]
    assert (level["standing"], level["needs"]) == ("unknown", "squares")
    # 39 of 50 still on, 78 %: under the mark of 80
    caused = talk.says("luis", "09:05", "31 1 SQ 20 25 / 2 SQ 19 25")
    assert "ABOVE" in to(caused, "reply")[0][1]
    assert "ABOVE" in dict(to(caused, "alert"))[OPAL]
    assert talk.show(31)["levels"][0]["standing"] == "above"


def test_squares_exactly_at_the_mark_are_not_under_it(talk: Talk) -> None:
    talk.says("luis", "09:00", ABOVE_BY_COUNT)
    # 40 of 50 still on, 80 %: the row says below 80
    caused = talk.says("luis", "09:05", "31 1 SQ 20 25 / 2 SQ 20 25")
    assert to(caused, "alert") == []
    assert talk.show(31)["levels"][0]["standing"] == "below"


def test_undo_of_squares_by_stop_takes_the_alert_back(talk: Talk) -> None:
    talk.says("luis", "09:00", ABOVE_BY_COUNT)
    talk.says("luis", "09:05", "31 1 SQ 20 25 / 2 SQ 19 25")
    caused = talk.says("luis", "09:20", "31 UNDO")
    assert "taken back" in to(caused, "reply")[0][1]
    assert talk.show(31)["shares"] == {}
    level = talk.show(31)["levels"][0]
    assert (level["standing"], level["needs"]) == ("unknown", "squares")
    assert dict(to(caused, "alert"))[OPAL].startswith("CORRECTED 31")


def test_undo_takes_back_counts_and_shares_of_a_text_together(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 1 LA1 BH 1 5")
    talk.reply("luis", "09:05", "121 2 LA2 BH 0 5")
    talk.reply("luis", "09:20", "121 UNDO")
    assert talk.samples(121) == {"1": "LA1"}
    assert talk.show(121)["shares"] == {"BH": {"n": 1, "of": 5}}


def test_a_turned_share_that_was_confirmed_lets_the_alert_wait_for_a_person(talk: Talk) -> None:
    talk.says("luis", "09:00", ABOVE_BY_COUNT)
    talk.says("luis", "09:05", "31 SQ 40 100")
    caused = talk.says("luis", "09:06", "1")
    assert to(caused, "alert") == []
    assert any("WAITS" in text for _, text in to(caused, "notice"))


def test_a_grower_may_not_send_shares(talk: Talk) -> None:
    talk.reply("opal", "09:00", "14 BH 3 25")
    assert talk.show(14)["shares"] == {}
