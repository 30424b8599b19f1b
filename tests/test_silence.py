"""A scout with a site under way who falls silent: told once a silence to leader and supervisors, then in the digest."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.talk import Talk, talking, to
from tests.test_conversation_crossings import BETO, JUNE, squares


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path) as opened:
        yield opened


def silences(caused: list[dict[str, str]]) -> list[tuple[str, str]]:
    return [(who, text) for who, text in to(caused, "notice") if "has not texted" in text]


def test_after_ninety_minutes_leader_and_supervisor_are_told_to_call(talk: Talk) -> None:
    """The 90 minutes are the setting silence_minutes of season.md."""
    talk.says("ana", "09:40", "121 1 FA2 / 2 0 / 3 0 / 4 0")
    assert talk.strikes("11:09") == []
    said = "Ana Prado has not texted since 9:40; 121 stands at 4 of 10. Call 270-555-0111."
    assert silences(talk.strikes("11:10")) == [(JUNE, said), (BETO, said)]


def test_one_silence_is_told_once_and_another_anew(talk: Talk) -> None:
    talk.says("luis", "09:00", "14 1 LN1")
    assert len(silences(talk.strikes("10:30"))) == 1
    assert talk.strikes("10:32") == []
    assert talk.strikes("12:00") == []
    talk.says("luis", "12:10", "14")
    assert talk.strikes("13:39") == []
    assert "since 12:10" in silences(talk.strikes("13:40"))[0][1]


def test_a_scout_of_no_crew_is_told_to_supervisors_alone(talk: Talk) -> None:
    talk.says("luis", "09:00", "14 1 LN1")
    assert [who for who, _ in silences(talk.strikes("10:30"))] == [JUNE]


def test_the_season_says_how_long_is_too_long(tmp_path: Path) -> None:
    sooner = ('alerts = "automatic"', 'alerts = "automatic"\nsilence_minutes = 30')
    with talking(tmp_path, "talk.toml", sooner) as talk:
        talk.says("luis", "09:00", "14 1 LN1")
        assert talk.strikes("09:29") == []
        assert len(silences(talk.strikes("09:30"))) == 1


def test_any_text_of_his_is_a_sign_of_life_and_so_are_counts_sent_for_him(talk: Talk) -> None:
    talk.says("ana", "09:00", "121 1 FA2")
    talk.says("ana", "10:00", "what is this")
    assert silences(talk.strikes("11:00")) == []
    talk.says("beto", "11:20", "BY ANA 121 2 0")
    assert silences(talk.strikes("12:40")) == []
    assert "since 11:20" in silences(talk.strikes("12:50"))[0][1]


def test_a_text_that_came_late_counts_from_when_it_was_sent(talk: Talk) -> None:
    talk.says("luis", "09:00", "14 1 LN1")
    talk.says("luis", "10:20", "14 2 0", sent="2027-07-06T09:05")
    assert "since 9:05" in silences(talk.strikes("10:35"))[0][1]


@pytest.mark.parametrize(
    "words",
    [
        pytest.param(squares(14, heavy=False), id="done"),
        pytest.param("14 1 LN1 / 2 0|14 SHORT rain", id="ended short"),
        pytest.param("14 1 LN9 / 2 LN9 / 3 LN2", id="above for sure, the one site of its field"),
        pytest.param("14 SKIP gate locked", id="skipped"),
        pytest.param("14 1 LN1|14 UNDO", id="taken back"),
        pytest.param("14", id="only asked"),
    ],
)
def test_who_has_nothing_under_way_may_be_silent(talk: Talk, words: str) -> None:
    for text in words.split("|"):
        talk.says("luis", "09:00", text)
    assert silences(talk.strikes("12:00")) == []


def test_a_site_that_is_sure_in_a_field_of_several_is_still_under_way(talk: Talk) -> None:
    """A site certain in a field of several is to be finished all the same (standing.md, a site, 9)."""
    talk.says("luis", "09:00", "121 1 LN9 / 2 LN9 / 3 LN2")
    assert len(silences(talk.strikes("10:30"))) == 1


def test_where_the_field_is_certain_its_sites_may_be_left(talk: Talk) -> None:
    talk.says("luis", "09:00", "121 1 LN40 / 2 LN14")
    assert silences(talk.strikes("10:30")) == []


def test_of_several_sites_under_way_the_one_he_counted_at_last_is_said_once(talk: Talk) -> None:
    talk.says("luis", "09:00", "14 1 LN1")
    talk.says("luis", "09:10", "121 1 FA2")
    talk.says("luis", "09:11", "1")
    (notice,) = silences(talk.strikes("10:41"))
    assert "121 stands at 1 of 10" in notice[1]


def test_counts_in_training_are_watched_too(tmp_path: Path) -> None:
    trainee = ('name = "Luis Vega"', 'name = "Luis Vega"\ntrainee = true')
    with talking(tmp_path, "talk.toml", trainee) as talk:
        talk.says("luis", "09:00", "14 1 LN2 / 2 0")
        assert "14 stands at 2 of 10" in silences(talk.strikes("10:30"))[0][1]


def test_somebody_may_lie_in_a_field_so_quiet_hours_do_not_hold_it(talk: Talk) -> None:
    talk.says("luis", "06:00", "14 1 LN1")
    assert [who for who, _ in silences(talk.strikes("07:30"))] == [JUNE]


def test_after_the_days_end_the_digest_says_it_and_no_notice_comes(talk: Talk) -> None:
    talk.says("luis", "17:30", "14 1 LN1")
    caused = talk.strikes("19:00")
    assert silences(caused) == []
    digest = " ".join(text for who, text in to(caused, "digest") if who == JUNE)
    assert "14 1 of 10 (Luis, silent since 17:30)" in digest
    assert silences(talk.strikes("2027-07-07T10:00")) == []


def test_the_digest_says_it_of_no_one_who_texted_lately_or_ended_his_visit(talk: Talk) -> None:
    talk.says("luis", "17:30", "14 1 LN1")
    talk.says("ana", "09:00", "121 1 FA2 / 2 0")
    talk.says("ana", "09:10", "121 CORTA lluvia")
    digest = " ".join(text for who, text in to(talk.strikes("18:30"), "digest") if who == JUNE)
    assert "14 1 of 10 (Luis)" in digest
    assert "121 2 of 10, lluvia (Ana)" in digest


def test_a_restart_between_two_strikes_tells_nothing_twice(tmp_path: Path) -> None:
    with talking(tmp_path) as talk:
        talk.says("luis", "09:00", "14 1 LN1")
        assert len(silences(talk.strikes("10:30"))) == 1
    with talking(tmp_path) as again:
        assert silences(again.strikes("10:40")) == []
