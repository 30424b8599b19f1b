"""CREW and TODAY: where everybody is and how far, and the day's account as of now, for those who lead."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from parsing import septets
from tests.talk import Talk, talking, to
from tests.test_conversation_crossings import BETO, JUNE, TEN_OF_TWO, squares


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path) as opened:
        yield opened


def called(n: int) -> str:
    """A long first name that two letters tell from every other."""
    return f"{chr(65 + n // 26)}{chr(97 + n % 26)}rtholomew"


def scouts(count: int) -> tuple[str, str]:
    """More scouts, each with a field of his own and a name of some length."""
    people = "".join(
        f'[people.s{n}]\nname = "{called(n)} Vega"\nphone = "+1 270 555 0{150 + n}"\nroles = ["scout"]\n\n'
        for n in range(count)
    )
    return "[people.opal]", f"{people}[people.opal]"


def test_crew_says_of_each_scout_the_site_how_far_and_the_last_text(talk: Talk) -> None:
    talk.says("luis", "09:00", "14 1 LN2 / 2 0")
    talk.says("ana", "09:20", "121 1 FA2")
    assert talk.reply("june", "09:30", "CREW") == "9:30: Ana 121 1 of 10, 9:20; Luis 14 2 of 10, 9:00."


def test_a_leader_hears_of_his_crew_only(talk: Talk) -> None:
    talk.says("luis", "09:00", "14 1 LN2")
    talk.says("ana", "09:20", "121 1 FA2")
    assert talk.reply("beto", "09:30", "gente") == "9:30: Ana 121 1 of 10, 9:20."


def test_who_is_silent_stands_first_and_since_when(talk: Talk) -> None:
    talk.says("ana", "09:00", "121 1 FA2")
    talk.says("luis", "09:10", "14 1 LN2")
    talk.says("ana", "10:00", "121 2 FA2")
    said = talk.reply("june", "10:40", "CREW")
    assert said == "10:40: Luis 14 1 of 10, SILENT since 9:10; Ana 121 2 of 10, 10:00."


def test_not_begun_done_and_what_is_left_are_said(talk: Talk) -> None:
    talk.says("luis", "09:00", squares(14, heavy=False))
    assert (
        talk.reply("june", "09:30", "CREW")
        == "9:30: Ana not begun; Luis done 14, to go 121 123 125 27 31, 9:00."
    )
    talk.says("luis", "09:40", "121 1 LN2")
    assert "Luis 121 1 of 10, 9:40" in talk.reply("june", "09:41", "CREW")


def test_who_has_done_all_that_is_due_is_done(talk: Talk) -> None:
    for minute, site in enumerate((121, 123, 125)):
        talk.says("luis", f"09:{minute:02}", squares(site, heavy=False))
    talk.says("ana", "10:00", "16 ETAPA FLOR 2")
    talk.says("ana", "10:01", "16 SKIP wet")
    assert "Ana DONE 16, 10:01" in talk.reply("june", "10:30", "CREW")


def test_somebody_in_training_is_said_by_what_stands_beside(tmp_path: Path) -> None:
    trainee = ('name = "Luis Vega"', 'name = "Luis Vega"\ntrainee = true')
    with talking(tmp_path, "talk.toml", trainee) as talk:
        talk.says("luis", "09:00", "14 1 LN2 / 2 0 / 3 0")
        assert "Luis 14 3 of 10, 9:00" in talk.reply("june", "09:30", "CREW")


def test_a_leader_who_counts_is_in_the_list_of_a_supervisor(talk: Talk) -> None:
    assert "Beto" not in talk.reply("june", "08:30", "CREW")
    talk.says("beto", "09:00", "16 ETAPA FLOR 2")
    talk.says("beto", "09:01", "16 1 0")
    assert "Beto 16 1 of 10, 9:01" in talk.reply("june", "09:30", "CREW")


def test_counts_sent_by_another_are_his_last_text(talk: Talk) -> None:
    talk.says("ana", "09:00", "121 1 FA2")
    talk.says("beto", "10:00", "BY ANA 121 2 FA1")
    assert "Ana 121 2 of 10, 10:00" in talk.reply("june", "10:40", "CREW")


@pytest.mark.parametrize("word", ["CREW", "TODAY", "GENTE", "HOY"])
@pytest.mark.parametrize("who", ["luis", "opal"])
def test_who_leads_nobody_is_told_for_whom_the_word_is(talk: Talk, who: str, word: str) -> None:
    assert "is for leaders and supervisors" in talk.reply(who, "09:00", word)


def test_a_leader_with_no_crew_hears_that(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", ('crew = ["ana"]', "crew = []")) as talk:
        assert talk.reply("beto", "09:00", "CREW") == "Nobody is in your crew on file."


@pytest.mark.parametrize("count", [4, 8, 14, 40])
def test_a_crew_of_any_size_is_at_most_two_texts_and_who_has_no_room_is_counted(
    tmp_path: Path, count: int
) -> None:
    with talking(tmp_path, "talk.toml", scouts(count)) as talk:
        caused = talk.says("june", "09:00", "CREW")
        texts = [text for who, text in to(caused, "reply") + to(caused, "notice") if who == JUNE]
        assert len(to(caused, "reply")) == 1
        assert 1 <= len(texts) <= 2
        assert all(septets(text) <= 160 for text in texts)
        said = " ".join(texts)
        named = sum(f"{called(n)[:3]}" in said for n in range(count))
        assert named > 0
        assert ("and " in said and " more" in said) == (count == 40)


def test_names_are_shortened_last(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", scouts(7)) as talk:
        caused = talk.says("june", "09:00", "CREW")
        said = " ".join(text for _, text in to(caused, "reply") + to(caused, "notice"))
        assert f"{called(6)} nothing due" in said


def test_today_is_the_digest_as_of_now(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    caused = talk.says("june", "10:00", "TODAY")
    now = [text for who, text in to(caused, "reply") + to(caused, "notice") if who == JUNE]
    assert now[0].startswith("Tue Jul 6 1/")
    assert "ABOVE: 14 lygus 1.11 x level, NOT READ since 9:00" in now[0]
    assert len(to(caused, "reply")) == 1
    talk.says("opal", "10:05", "OK")
    talk.says("ramon", "10:06", "OK")
    evening = [text for who, text in to(talk.strikes("18:30"), "digest") if who == JUNE]
    again = talk.says("june", "18:30", "HOY")
    assert [text for _, text in to(again, "reply") + to(again, "notice")] == evening


def test_a_leader_reads_today_of_his_crews_fields(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    said = " ".join(one["text"] for one in talk.says("beto", "10:00", "TODAY"))
    assert "121 not begun" in said
    assert "14 lygus" not in said


def test_asked_in_the_night_all_of_it_comes_at_once(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    caused = talk.says("june", "22:00", "TODAY")
    assert caused[0]["text"].startswith("Tue Jul 6 1/2.")
    assert caused[-1]["text"].startswith("2/2.")


def test_the_first_text_leaves_room_for_what_a_dropped_question_left_out(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN_OF_TWO)
    talk.says("june", "09:30", "121 4 FA52")
    caused = talk.says("june", "09:31", "TODAY")
    ((_, reply),) = to(caused, "reply")
    assert "NOT stored" in reply
    assert septets(reply) <= 160


def test_the_day_before_is_told_of_nobody(talk: Talk) -> None:
    talk.says("ana", "09:00", "121 1 FA2")
    assert talk.reply("beto", "2027-07-07T07:00", "CREW") == "7:00: Ana not begun."


def test_the_crew_of_a_leader_is_told_to_no_other(talk: Talk) -> None:
    assert [one["to"] for one in talk.says("beto", "09:00", "CREW")] == [BETO]


def test_two_of_one_first_name_are_said_by_their_whole_names(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", ('name = "Luis Vega"', 'name = "Ana Vega"')) as talk:
        talk.says("luis", "09:00", "14 1 LN2")
        said = talk.reply("june", "09:30", "CREW")
        assert said == "9:30: Ana Vega 14 1 of 10, 9:00; Ana Prado not begun."


def test_a_big_crew_gives_up_words_before_it_gives_up_people(tmp_path: Path) -> None:
    fields = "".join(
        f'[fields.{60 + n}]\nname = "Block"\ngrowers = ["opal"]\nscouts = ["s{n}"]\nrow_spacing_in = 38\n'
        'first_bloom = 2027-06-30\nplan = "sheets"\n\n'
        for n in range(8)
    )
    with talking(tmp_path, "talk.toml", scouts(8), ("[fields.12]", f"{fields}[fields.12]")) as talk:
        for n in range(8):
            talk.says(f"s{n}", "09:00", f"{60 + n} 1 0")
        caused = talk.says("june", "11:00", "CREW")
        said = " ".join(text for _, text in to(caused, "reply") + to(caused, "notice"))
        assert [f"6{n} 1/10 SILENT 9:00" in said for n in range(8)] == [True] * 8
        assert "more" not in said
        assert called(0)[:3] in said
        assert called(0) not in said
