"""People in training: their counts are kept beside until a check agrees or a supervisor says so."""

import random
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from bot.field_book import FieldBook, waiting_trainees
from bot.season_file import remarks_on
from parsing import TEXT_SEPTETS, fits, septets
from storage import CheckRow, EffortRow, NawfRow, SampleRow, ShareRow, Visit
from tests.studies.any_texts import text_for_the_road
from tests.talk import DAY, ZONE, Talk, talking, to

IN_TRAINING = ('name = "Luis Vega"', 'name = "Luis Vega"\ntrainee = true')
IN_SPANISH = ('name = "Luis Vega"\ntrainee = true', 'name = "Luis Vega"\ntrainee = true\nlanguage = "es"')
JUNE_IN_SPANISH = ('name = "June Abbot"', 'name = "June Abbot"\nlanguage = "es"')

NYMPHS = (5, 4, 6, 5, 4, 5, 6, 5, 4, 5)
"""Plant bug nymphs a sheet of 3 row feet: 49 on 30 row feet, 8.17 per 5 row feet against a level of 3."""
TEN = "14 " + " / ".join(f"{number} LN{count}" for number, count in enumerate(NYMPHS, start=1))
LUIS = "+12705550112"
AGREEING = "CHECK 14 1 LN4 / 2 LN5 / 3 LN5"


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path, "talk.toml", IN_TRAINING) as open_talk:
        yield open_talk


@pytest.fixture
def habla(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path, "talk.toml", IN_TRAINING, IN_SPANISH, JUNE_IN_SPANISH) as open_talk:
        yield open_talk


def beside(talk: Talk, site: int = 14, person: str = "luis") -> dict[str, int]:
    """Give the nymphs of what somebody in training has beside at a site, by sample."""
    shown = talk.show(site)["trainees"].get(person, {})
    return {number: counts["LN"] for number, counts in shown.items()}


def visit_of(talk: Talk, site: int = 14) -> dict[str, Any]:
    """Give what a site shows without what stands beside."""
    return {**talk.show(site), "checks": {}, "trainees": {}}


# Kept beside


def test_counts_in_training_are_kept_beside_and_in_no_figure(talk: Talk) -> None:
    before = visit_of(talk)
    assert talk.reply("luis", "09:00", "14 3 LA1 LN4") == (
        "14 3 LA1 LN4 kept beside, Luis is in training: it counts once a check agrees. "
        "Sheet, 3 row ft, black. 1 of 10 in."
    )
    assert talk.reply("luis", "09:01", "14 4 LN1 / 5 0") == (
        "14 4 LN1 / 5 0 kept beside, Luis is in training: it counts once a check agrees. 3 of 10 in."
    )
    assert visit_of(talk) == before
    shown = talk.show(14)
    assert shown["trainees"]["luis"]["3"] == {"FA": 0, "FN": 0, "LA": 1, "LN": 4, "MP": 0}
    assert shown["checks"] == {}


def test_the_reply_is_natural_in_spanish(habla: Talk) -> None:
    assert habla.reply("luis", "09:00", "14 3 LA1 LN4") == (
        "14 3 LA1 LN4 queda aparte, Luis esta en entrenamiento: cuenta cuando una revision coincida. "
        "Manta negra, 3 pies de surco. Va 1 de 10."
    )


def test_whole_sheets_of_somebody_in_training_alert_nobody(talk: Talk) -> None:
    caused = talk.says("luis", "09:00", TEN)
    assert [one["purpose"] for one in caused] == ["reply"]
    assert "10 of 10 in, ready for a check." in caused[0]["text"]
    assert (talk.show(14)["state"], talk.show(14)["samples_in"]) == ("none", 0)


def test_an_unnumbered_sample_gets_the_next_number_of_his_own(talk: Talk) -> None:
    talk.reply("ana", "08:50", "14 1 LN1 / 2 LN1")
    talk.reply("luis", "09:00", "14 LN4")
    talk.reply("luis", "09:01", "14 3 LN6")
    talk.reply("luis", "09:02", "14 LN5")
    assert beside(talk) == {"1": 4, "2": 5, "3": 6}


def test_the_site_may_be_left_out_where_he_has_one_open(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN4")
    question = talk.reply("luis", "09:01", "2 LN5")
    assert "14, where you are? 1 yes: 14 2 LN5" in question
    assert beside(talk) == {"1": 4}
    assert talk.reply("luis", "09:02", "1").startswith("14 2 LN5 kept beside")
    assert beside(talk) == {"1": 4, "2": 5}


def test_it_may_be_left_out_where_a_part_of_his_counts_already(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN4 / 2 LN5 / 3 LN5")
    talk.reply("june", "09:10", AGREEING)
    assert "14, where you are?" in talk.reply("luis", "09:11", "4 LN5")
    talk.reply("luis", "09:12", "1")
    assert beside(talk) == {"4": 5}


def test_the_first_counts_elsewhere_are_asked(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN4")
    assert "14 is unfinished, 1 of 10. Are you at 121" in talk.reply("luis", "09:05", "121 1 LN2")
    assert beside(talk, 121) == {}
    talk.reply("luis", "09:06", "1")
    assert beside(talk, 121) == {"1": 2}
    assert "kept beside" in talk.reply("luis", "09:07", "14 2 LN4")


def test_doubtful_counts_are_asked_as_of_anybody(talk: Talk) -> None:
    assert "52 is more than 40" in talk.reply("luis", "09:00", "14 1 LN52")
    assert beside(talk) == {}
    talk.reply("luis", "09:01", "1")
    assert beside(talk) == {"1": 52}
    assert "LN52 at 9:01. Now came LN4" in talk.reply("luis", "09:02", "14 1 LN4")
    talk.reply("luis", "09:03", "2")
    assert beside(talk) == {"1": 52}
    assert "is not on the card" in talk.reply("luis", "09:04", "14 2 LO3")
    talk.reply("luis", "09:05", "1")
    assert beside(talk) == {"1": 52, "2": 3}


def test_a_control_total_that_fails_stores_nothing(talk: Talk) -> None:
    assert "Nothing stored" in talk.reply("luis", "09:00", "14 1 LN4 / 2 LN3 =8")
    assert beside(talk) == {}
    talk.reply("luis", "09:01", "14 1 LN4 / 2 LN3 =7")
    assert beside(talk) == {"1": 4, "2": 3}


def test_good_samples_are_kept_and_bad_ones_named(talk: Talk) -> None:
    reply = talk.reply("luis", "09:00", "14 1 LN4 / 99 LN3 / 3 LN2")
    assert "99 NOT stored" in reply
    assert beside(talk) == {"1": 4, "3": 2}


def test_the_same_counts_again_change_nothing(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN4")
    assert "1 in already, the same; nothing changed" in talk.reply("luis", "09:05", "14 1 LN4")


def test_an_unnumbered_text_that_came_twice_before_its_answer_is_asked(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 LN4")
    assert "came twice" in talk.reply("luis", "09:01", "14 LN4", sent="08:59")
    assert beside(talk) == {"1": 4}


def test_the_same_text_with_the_same_sent_time_is_one_text(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 LN4", sent="08:58")
    assert "1 in already, the same" in talk.reply("luis", "09:30", "14 LN4", sent="08:58")
    assert beside(talk) == {"1": 4}


def test_a_number_that_a_scout_has_in_is_kept_beside_his(talk: Talk) -> None:
    talk.reply("ana", "09:00", "14 1 LN1")
    assert "14 1 LN4 kept beside" in talk.reply("luis", "09:01", "14 1 LN4")
    assert talk.samples(14) == {"1": "LN1"}


def test_fix_and_undo_work_on_his_own(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN4 / 2 LN5")
    fixed = talk.reply("luis", "09:05", "14 FIX 2 LN6")
    assert fixed == (
        "14 2 is now LN6 (was LN5). Kept beside, Luis is in training: it counts once a check agrees. 2 of 10 in."
    )
    assert "14: taken back 2 LN6. 2 is LN5 again." in talk.reply("luis", "09:10", "14 UNDO")
    assert beside(talk) == {"1": 4, "2": 5}
    assert "1 yes" in talk.reply("luis", "09:11", "14 UNDO")
    talk.reply("luis", "09:12", "1")
    assert beside(talk) == {}
    assert "no counts of yours" in talk.reply("luis", "09:40", "14 UNDO")


def test_a_fix_of_a_sample_that_is_not_in_is_asked(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN4")
    assert "1 yes" in talk.reply("luis", "09:05", "14 FIX 3 LN6")
    assert beside(talk) == {"1": 4}


def test_undo_without_a_site_is_asked_of_his_one_open_site(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN4")
    assert "14: take back 1 LN4" in talk.reply("luis", "09:01", "UNDO")
    talk.reply("luis", "09:02", "1")
    assert beside(talk) == {}


def test_a_leader_who_enters_his_counts_puts_them_beside(tmp_path: Path) -> None:
    crew = ('crew = ["ana"]', 'crew = ["ana", "luis"]')
    with talking(tmp_path, "talk.toml", IN_TRAINING, crew) as talk:
        assert "For Luis: 14 1 LN4 kept beside" in talk.reply("beto", "09:00", "BY LUIS 14 1 LN4")
        assert beside(talk) == {"1": 4}
        assert talk.show(14)["samples"] == {}


def test_a_check_by_somebody_in_training_is_his_count_and_lets_nobody_elses_stand(tmp_path: Path) -> None:
    ana_too = ('name = "Ana Prado"', 'name = "Ana Prado"\ntrainee = true')
    with talking(tmp_path, "talk.toml", IN_TRAINING, ana_too) as talk:
        talk.reply("luis", "09:00", "14 1 LN4 / 2 LN5 / 3 LN5")
        talk.reply("ana", "09:10", "REVISA 14 1 LN4 / 2 LN5 / 3 LN5")
        assert talk.show(14)["samples"] == {}
        assert beside(talk, person="ana") == {"1": 4, "2": 5, "3": 5}


def test_practice_of_somebody_in_training_keeps_nothing(talk: Talk) -> None:
    assert "kept beside" in talk.reply("luis", "09:00", "PRACTICE 14 1 LN4")
    assert beside(talk) == {}


def test_a_phone_that_opted_out_is_kept_and_not_answered(talk: Talk) -> None:
    talk.says("luis", "09:00", "STOP")
    assert to(talk.says("luis", "09:05", "14 1 LN4"), "reply") == []
    assert beside(talk) == {"1": 4}


# What is not his to send


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("14 TOTAL 10 LN31", "Send 14, the sample's number and its counts."),
        ("14 TODO 0", "Send 14, the sample's number and its counts."),
        ("14 SQ 88 100", "June can send the rest."),
        ("14 1 LA1 BH 1 5", "Send the samples with counts alone"),
        ("14 NAWF 5", "June can send the rest."),
        ("14 MOVE 121", "Send 14 UNDO, then send them to 121."),
        ("14 SHORT rain", "Tell June, or send 14 NOTE and the reason."),
        ("14 SKIP gate locked", "Tell June, or send 14 NOTE and the reason."),
        ("14 CLOSE", "Tell June, or send 14 NOTE and the reason."),
        ("14 EACH 2", "tell June, who can send EACH."),
    ],
)
def test_what_would_change_a_visit_is_not_done_and_says_what_to_do(talk: Talk, text: str, says: str) -> None:
    talk.reply("luis", "09:00", "14 1 LN4")
    before = talk.show(14)
    reply = talk.reply("luis", "09:05", text)
    assert says in reply
    assert "Nothing" in reply
    assert talk.show(14) == before


def test_a_note_goes_through_as_of_anybody(talk: Talk) -> None:
    assert talk.reply("luis", "09:00", "14 NOTE hail on north end") == "14: noted: hail on north end"
    assert talk.show(14)["remarks"] == [{"about": "note", "words": "hail on north end"}]


def test_a_reason_that_may_mean_a_treated_field_still_goes_to_a_person(talk: Talk) -> None:
    caused = talk.says("luis", "09:00", "14 SKIP they sprayed it")
    assert any("KEEP OUT" in text for _, text in to(caused, "notice"))
    assert "KEEP OUT" in to(caused, "reply")[0][1]


@pytest.mark.parametrize("text", ["14", "14 DONE"])
def test_how_the_site_stands_says_what_waits(talk: Talk, text: str) -> None:
    talk.reply("ana", "08:50", "14 9 LN1")
    talk.reply("luis", "09:00", "14 1 LN4 / 2 LN5 / 3 LN5")
    assert talk.reply("luis", "09:01", text) == (
        "14: Luis's 1-3 are kept beside, 3 of 10 in; they count once a check agrees. In the visit: 1."
    )


def test_without_counts_of_his_own_he_hears_how_the_site_stands(talk: Talk) -> None:
    assert "not begun" in talk.reply("luis", "09:01", "14")


@pytest.mark.parametrize("seed", range(3))
def test_nothing_that_somebody_in_training_sends_changes_a_visit(talk: Talk, seed: int) -> None:
    chance = random.Random(seed)  # noqa: S311  texts to try with, no secret
    now = datetime(2027, 7, 6, 8, tzinfo=ZONE)
    for _ in range(150):
        now += timedelta(seconds=chance.uniform(2, 200))
        text = text_for_the_road(chance)
        talk.says("luis", now.isoformat(), "START")
        caused = talk.says("luis", (now + timedelta(seconds=1)).isoformat(), text)
        replies = [one["text"] for one in caused if one["purpose"] == "reply"]
        assert len(replies) == 1, text
        for one in caused:
            assert fits(one["text"]), text
            assert septets(one["text"]) <= TEXT_SEPTETS, text
    with talk.store.read() as session:
        for table in (Visit, SampleRow, ShareRow, NawfRow, EffortRow):
            assert session.scalars(sa.select(table)).all() == []


# A check agrees


def test_a_check_that_agrees_lets_all_his_samples_stand(talk: Talk) -> None:
    talk.reply("luis", "09:00", TEN)
    caused = talk.says("june", "09:30", AGREEING)
    assert to(caused, "reply") == [
        (
            "+12705550120",
            "CHECK: 14 1 LN4 / 2 LN5 / 3 LN5 agrees with Luis: 14 stands with 1-10. DONE, 10 of 10. "
            "Lygus 8.17 per 5 row ft, level 3: ABOVE.",
        )
    ]
    shown = talk.show(14)
    assert [counts["LN"] for counts in shown["samples"].values()] == list(NYMPHS)
    assert (shown["state"], shown["trainees"]) == ("done", {})
    assert list(shown["checks"]["june"]) == ["1", "2", "3"]


def test_he_is_told_that_his_counts_stand_and_that_they_wait_again(talk: Talk) -> None:
    talk.reply("luis", "09:00", TEN)
    caused = talk.says("june", "09:30", AGREEING)
    told = "14: June counted the same samples, and both counts agree. Yours, 1-10, count now."
    assert [text for recipient, text in to(caused, "notice") if recipient == LUIS] == [told]
    caused = talk.says("june", "09:40", "CHECK 14 UNDO")
    told = "14: June took the check back. Your samples 1-10 wait for a check again."
    assert [text for recipient, text in to(caused, "notice") if recipient == LUIS] == [told]


def test_the_alert_follows_by_the_ordinary_road(talk: Talk) -> None:
    talk.says("luis", "09:00", TEN)
    caused = talk.says("june", "09:30", AGREEING)
    assert {recipient for recipient, _ in to(caused, "alert")} == {"+12705550130", "+12705550131"}
    assert all("8.17" in text for _, text in to(caused, "alert"))


def test_a_sample_keeps_its_text_its_time_and_its_effort(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN4 / 2 LN5", sent="08:55")
    talk.reply("june", "09:05", "14 EACH 2")
    talk.reply("luis", "09:06", "14 3 LN5 / 4 LN4")
    talk.reply("june", "09:30", "CHECK 14 3 LN5 / 4 LN4")
    talk.reply("june", "09:31", "CHECK 14 1 LN4 / 2 LN5")
    assert talk.show(14)["samples"] == {}, "1 and 2 were counted on 3 row feet, and checked on 2"
    talk.reply("luis", "09:32", "14 5 LN4")
    talk.reply("june", "09:33", "CHECK 14 5 LN4")
    with talk.store.read() as session:
        samples = session.scalars(sa.select(SampleRow).order_by(SampleRow.number)).all()
        checks = session.scalars(sa.select(CheckRow).where(CheckRow.person == "luis")).all()
        of_text = {row.number: (row.text_id, row.counted_at, row.effort) for row in checks}
        assert {row.number: (row.text_id, row.counted_at, row.effort) for row in samples} == of_text
        assert [row.effort for row in samples] == ["3", "3", "2", "2", "2"]
        assert {row.person for row in samples} == {"luis"}
        assert all(row.ended_at is not None for row in checks)


def test_two_checked_samples_are_too_few(talk: Talk) -> None:
    talk.reply("luis", "09:00", TEN)
    assert "1 more to check before Luis's can count." in talk.reply("june", "09:30", "CHECK 14 1 LN4 / 2 LN5")
    assert talk.show(14)["samples"] == {}
    assert "14 stands" in talk.reply("june", "09:31", "CHECK 14 3 LN5")


def test_where_the_plan_has_fewer_all_of_them_are_enough(tmp_path: Path) -> None:
    two = ("samples = 10", "samples = 2")
    with talking(tmp_path, "talk.toml", IN_TRAINING, two) as talk:
        talk.reply("luis", "09:00", "14 1 LN4 / 2 LN5")
        assert "14 stands with 1 2. DONE, 2 of 2" in talk.reply("june", "09:30", "CHECK 14 1 LN4 / 2 LN5")


def test_a_column_that_differs_is_named_with_both_sums(talk: Talk) -> None:
    talk.reply("luis", "09:00", TEN)
    # 15 of his against 3: of 18 insects 3 or fewer are hers at even odds once in 265 times
    reply = talk.reply("june", "09:30", "CHECK 14 1 LN1 / 2 LN1 / 3 LN1")
    assert "No agreement: LN yours 3, Luis's 15. Luis's stay beside." in reply
    assert talk.show(14)["samples"] == {}
    assert len(beside(talk)) == 10


def test_a_difference_is_said_in_spanish_too(habla: Talk) -> None:
    habla.reply("luis", "09:00", TEN)
    reply = habla.reply("june", "09:30", "REVISA 14 1 LN1 / 2 LN1 / 3 LN1")
    assert "No coincide: LN usted 3, Luis 15. Lo de Luis queda aparte." in reply
    assert "el 14 ya vale con 1-10. LISTO, 10 de 10." in habla.reply(
        "june", "09:31", "REVISA 14 CAMBIA 1 LN4 / 2 LN5 / 3 LN5"
    )


def test_counts_on_the_two_sides_of_the_level_do_not_agree(talk: Talk) -> None:
    # 3 samples of 3 row feet and a level of 3 per 5: 5.4 insects are the level; 6 and 4 could well be alike
    talk.reply("luis", "09:00", "14 1 LN2 / 2 LN2 / 3 LN2")
    reply = talk.reply("june", "09:30", "CHECK 14 1 LN2 / 2 LN1 / 3 LN1")
    assert "No agreement: the level of lygus lies between yours and Luis's." in reply
    assert talk.show(14)["samples"] == {}
    assert "14 stands" in talk.reply("june", "09:31", "CHECK 14 FIX 2 LN2 / 3 LN2")


def test_nothing_found_by_both_agrees(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1-3 0")
    assert "14 stands with 1-3. 3 of 10 in." in talk.reply("june", "09:30", "CHECK 14 1-3 0")


def test_a_column_that_the_check_left_out_is_not_checked(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN4 MP9 / 2 LN5 MP9 / 3 LN5 MP9")
    reply = talk.reply("june", "09:30", "CHECK 14 1 LN4 MPX / 2 LN5 MPX / 3 LN5 MPX")
    assert "MP is checked in 0 samples, 3 are needed: Luis's stay beside." in reply
    assert talk.show(14)["samples"] == {}


def test_a_column_that_he_did_not_count_keeps_nothing_from_standing(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN4 MPX / 2 LN5 MPX / 3 LN5 MPX")
    assert "14 stands" in talk.reply("june", "09:30", "CHECK 14 1 LN4 MP2 / 2 LN5 / 3 LN5")
    assert talk.show(14)["samples"]["1"]["MP"] is None


def test_a_lost_sample_is_none_to_compare(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN4 / 2 LN5 / 3 X / 4 LN5")
    assert "1 more to check" in talk.reply("june", "09:30", "CHECK 14 1 LN4 / 2 LN5 / 3 LN5")
    talk.reply("june", "09:31", "CHECK 14 4 LN5")
    shown = talk.show(14)
    assert (list(shown["samples"]), shown["lost"]) == (["1", "2", "4"], [3])


def test_numbers_that_somebody_else_has_in_stay_beside_and_are_named(talk: Talk) -> None:
    talk.reply("ana", "08:50", "14 4 LN1 / 5 LN1")
    talk.reply("luis", "09:00", TEN)
    reply = talk.reply("june", "09:30", AGREEING)
    assert "14 stands with 1-3 6-10." in reply
    assert "Luis's 4 5 stay beside." in reply
    assert "DONE, 10 of 10" in reply
    assert talk.samples(14)["4"] == "LN1"
    assert beside(talk) == {"4": 5, "5": 4}


def test_beside_sums_over_several_samples_none_of_his_can_stand(talk: Talk) -> None:
    talk.reply("ana", "08:50", "14 TOTAL 10 LN31")
    talk.reply("luis", "09:00", "14 1 LN4 / 2 LN5 / 3 LN5")
    reply = talk.reply("june", "09:30", AGREEING)
    assert "1-3 in from others: Luis's stay beside." in reply
    assert "14 stands" not in reply
    assert len(beside(talk)) == 3
    assert talk.show(14)["totals"]["counts"]["LN"] == 31


def test_his_later_counts_are_beside_again_until_checked(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN4 / 2 LN5 / 3 LN5")
    talk.reply("june", "09:30", AGREEING)
    assert "14 4 LN5 kept beside" in talk.reply("luis", "09:40", "14 4 LN5")
    assert talk.show(14)["samples_in"] == 3
    talk.reply("luis", "09:41", "14 5 LN5 / 6 LN5")
    assert "14 stands with 4-6. 6 of 10 in." in talk.reply("june", "09:50", "CHECK 14 4 LN5 / 5 LN5 / 6 LN5")


def test_a_later_count_of_his_own_takes_the_place_of_his_sample_once_it_is_checked(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN4 / 2 LN5 / 3 LN5")
    talk.reply("june", "09:30", AGREEING)
    talk.reply("luis", "09:40", "14 FIX 1 LN6 / 2 LN6 / 3 LN6")
    assert talk.samples(14)["1"] == "LN4"
    assert "14 stands" in talk.reply("june", "09:50", "CHECK 14 FIX 1 LN6 / 2 LN6 / 3 LN7")
    assert talk.samples(14) == {"1": "LN6", "2": "LN6", "3": "LN6"}


def test_what_stands_is_not_taken_back_by_his_undo(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN4 / 2 LN5 / 3 LN5")
    talk.reply("june", "09:30", AGREEING)
    assert "June can change them with FIX." in talk.reply("luis", "09:40", "14 UNDO")
    assert talk.show(14)["samples_in"] == 3


def test_a_check_that_is_taken_back_puts_his_counts_beside_again(talk: Talk) -> None:
    talk.reply("luis", "09:00", TEN)
    talk.reply("june", "09:30", AGREEING)
    caused = talk.says("june", "09:40", "CHECK 14 UNDO")
    assert "Luis's 1-10 kept beside again." in to(caused, "reply")[0][1]
    assert len(to(caused, "alert")) == 2, "those who had the alert hear that it does not stand"
    assert (talk.show(14)["samples"], len(beside(talk))) == ({}, 10)
    assert "14 stands" in talk.reply("june", "09:50", AGREEING)


def test_a_sample_replaced_since_stays_when_the_check_is_taken_back(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN4 / 2 LN5 / 3 LN5")
    talk.reply("june", "09:30", AGREEING)
    talk.reply("ana", "09:35", "14 CAMBIA 2 LN1")
    assert "Luis's 1 3 kept beside again." in talk.reply("june", "09:40", "CHECK 14 UNDO")
    assert talk.samples(14) == {"2": "LN1"}


def test_a_question_about_a_check_lets_his_counts_stand_with_its_yes(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1 LN4 / 2 LN5 / 3 LN52")
    talk.reply("luis", "09:01", "1")
    talk.reply("june", "09:30", "CHECK 14 1 LN4 / 2 LN5")
    assert "52 is more than 40" in talk.reply("june", "09:31", "CHECK 14 3 LN52")
    assert "14 stands with 1-3. 3 of 10 in." in talk.reply("june", "09:32", "1")


def test_a_check_that_came_first_agrees_with_his_last_sample(talk: Talk) -> None:
    talk.reply("june", "08:30", AGREEING)
    talk.reply("luis", "09:00", TEN.rsplit(" / ", 1)[0])
    assert talk.show(14)["samples"] == {}, "9 of 10: it is looked at when all are in"
    caused = talk.says("luis", "09:10", "14 10 LN5")
    assert "14 10 LN5. June's check agrees: 14 stands with 1-10. DONE, 10 of 10." in to(caused, "reply")[0][1]
    assert len(to(caused, "alert")) == 2


def test_two_in_training_stand_each_by_himself(tmp_path: Path) -> None:
    ana_too = ('name = "Ana Prado"', 'name = "Ana Prado"\ntrainee = true')
    with talking(tmp_path, "talk.toml", IN_TRAINING, ana_too) as talk:
        talk.reply("luis", "09:00", "14 1 LN4 / 2 LN5 / 3 LN5")
        talk.reply("ana", "09:10", "14 1 LN20 / 2 LN21 / 3 LN19 / 4 LN20")
        reply = talk.reply("june", "09:30", AGREEING)
        assert "agrees: 1-3 stand." in reply
        assert "LN yours 14, Ana's 60" in reply
        assert (len(beside(talk)), len(beside(talk, person="ana"))) == (0, 4)


def test_a_check_of_another_day_or_site_lets_nothing_stand(talk: Talk) -> None:
    talk.reply("luis", "2027-07-05T09:00", "14 1 LN4 / 2 LN5 / 3 LN5")
    talk.reply("june", "2027-07-06T09:00", AGREEING)
    assert talk.show(14, date(2027, 7, 5))["samples"] == {}
    talk.reply("june", "2027-07-06T09:10", AGREEING.replace("CHECK", "CHECK MON"))
    assert list(talk.show(14, date(2027, 7, 5))["samples"]) == ["1", "2", "3"]


def test_what_was_counted_under_another_plan_cannot_stand(talk: Talk) -> None:
    talk.reply("june", "08:00", "27 STAGE SQUARING")
    talk.reply("luis", "09:00", "27 1 LN4 / 2 LN5 / 3 LN5")
    talk.reply("june", "09:10", "27 STAGE BLOOM")
    talk.reply("june", "09:30", AGREEING.replace("14", "27"))
    shown = talk.show(27)
    assert (shown["method"], shown["samples"]) == ("beat sheet", {})
    assert len(beside(talk, 27)) == 3


def test_a_complete_site_without_a_check_waits_and_is_named(talk: Talk) -> None:
    def waiting() -> list[tuple[int, str]]:
        with talk.store.read() as session:
            book = FieldBook(session, talk.hand.season, datetime(2027, 7, 6, 23, tzinfo=ZONE))
            return [(one.site, one.person) for one in waiting_trainees(book, DAY)]

    talk.reply("luis", "09:00", TEN.rsplit(" / ", 1)[0])
    assert waiting() == []
    talk.reply("luis", "09:01", "14 10 LN5")
    assert waiting() == [(14, "luis")]
    talk.reply("june", "09:30", AGREEING)
    assert waiting() == []


def test_the_season_file_needs_no_remark_on_somebody_in_training(talk: Talk) -> None:
    assert not [one for one in remarks_on(talk.hand.season) if "trainee" in one]


def test_counts_that_wait_for_a_check_are_said_in_the_evening(talk: Talk) -> None:
    talk.says("luis", "09:00", "14 1-10 0")
    digest = " ".join(one["text"] for one in talk.strikes("18:30"))
    assert "Wait for a check: 14 (Luis)." in digest
