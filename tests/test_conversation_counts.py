"""Counts by text: stored, asked, refused, corrected, taken back, ended. Expectations are those of texts.md's forms."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.talk import Talk, talking, to


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path) as opened:
        yield opened


def test_the_first_reply_of_a_visit_says_method_effort_and_gear(talk: Talk) -> None:
    reply = talk.reply("luis", "09:00", "121 1 FA2")
    assert reply.startswith(
        "121 1 FA2. Sheet, 3 row ft, black. 1 of 10 in. Lygus 0 per 5 row ft, level 3: BELOW SO FAR."
    )
    assert "black" not in talk.reply("luis", "09:01", "121 2 FA2")


def test_good_samples_of_a_text_are_stored_and_bad_ones_named(talk: Talk) -> None:
    reply = talk.reply("luis", "09:00", "121 1 FA2 / 2 1.5 0 0 1 2 / 3 LN1")
    assert talk.samples(121) == {"1": "FA2", "3": "LN1"}
    assert "2 NOT stored" in reply


def test_a_control_total_that_fails_stores_nothing(talk: Talk) -> None:
    reply = talk.reply("luis", "09:00", "121 1 FA2 / 2 FN1 T4")
    assert talk.show(121)["state"] == "none"
    assert "total 4 came, the counts sum to 3" in reply
    assert talk.reply("luis", "09:01", "121 1 FA2 / 2 FN1 T3").startswith("121 1 FA2 / 2 FN1.")


def test_with_a_control_total_one_bad_group_stores_nothing(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 1 FA2 / 2 QQ1 =2")
    assert talk.show(121)["state"] == "none"


def test_the_same_counts_again_change_nothing_and_say_so(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 1 FA2")
    assert "in already, the same" in talk.reply("luis", "09:10", "121 1 FA2")
    assert talk.samples(121) == {"1": "FA2"}


def test_ones_own_other_counts_are_asked_with_old_and_new(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 1 FA2")
    question = talk.reply("luis", "09:10", "121 1 LN1")
    assert "FA2 at 9:00" in question
    assert "LN1" in question
    assert talk.samples(121) == {"1": "FA2"}
    assert talk.reply("luis", "09:11", "1").startswith("121 1 LN1.")
    assert talk.samples(121) == {"1": "LN1"}


def test_another_scouts_sample_is_refused_naming_him_the_free_number_and_fix(talk: Talk) -> None:
    talk.reply("ana", "09:00", "121 1 FA2")
    reply = talk.reply("luis", "09:10", "121 1 LN1")
    assert all(part in reply for part in ("Ana", "FA2", "free number is 2", "121 FIX 1 LN1"))
    assert talk.samples(121) == {"1": "FA2"}
    assert "was FA2" in talk.reply("luis", "09:11", "121 FIX 1 LN1")
    assert talk.samples(121) == {"1": "LN1"}


def test_a_count_over_the_limit_waits_for_a_yes(talk: Talk) -> None:
    assert "52 is more than 40" in talk.reply("luis", "09:00", "121 1 LN52")
    assert talk.show(121)["state"] == "none"
    talk.reply("luis", "09:01", "si")
    assert talk.samples(121) == {"1": "LN52"}


def test_a_no_stores_nothing(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 1 LN52")
    assert talk.reply("luis", "09:01", "2") == "Nothing stored."
    assert talk.show(121)["state"] == "none"
    assert "Nothing was asked" in talk.reply("luis", "09:02", "1")


def test_one_question_covers_all_waiting_groups_and_the_good_ones_are_stored(talk: Talk) -> None:
    reply = talk.reply("luis", "09:00", "121 1 FA2 / 2 LN52 / 3 LM1 / 4 0")
    assert talk.samples(121) == {"1": "FA2", "4": "0"}
    assert "2 LN52 / 3 LN1" in reply
    talk.reply("luis", "09:01", "1")
    assert talk.samples(121) == {"1": "FA2", "2": "LN52", "3": "LN1", "4": "0"}


def test_another_readable_text_drops_the_question_and_says_so(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 4 LN52")
    assert "4 NOT stored" in talk.reply("luis", "09:01", "121 5 FA1")
    assert "Nothing was asked" in talk.reply("luis", "09:02", "1")
    assert talk.samples(121) == {"5": "FA1"}


def test_a_text_that_mends_what_was_asked_does_not_say_it_is_not_stored(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 4 LN52")
    assert "NOT" not in talk.reply("luis", "09:01", "121 4 LN5")


@pytest.mark.parametrize("words", ["hola", "thanks", "OK", "blorb"])
def test_kind_words_and_what_cannot_be_read_keep_the_question_open(talk: Talk, words: str) -> None:
    talk.reply("luis", "09:00", "121 4 LN52")
    talk.reply("luis", "09:01", words)
    talk.reply("luis", "09:02", "1")
    assert talk.samples(121) == {"4": "LN52"}


def test_kind_words_repeat_an_open_question(talk: Talk) -> None:
    question = talk.reply("luis", "09:00", "121 4 LN52")
    assert talk.reply("luis", "09:01", "hola") == question


def test_a_question_lapses_after_two_hours(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 4 LN52")
    reply = talk.reply("luis", "11:01", "1")
    assert "Nothing was asked" in reply
    assert "4 NOT stored" in reply
    assert talk.show(121)["state"] == "none"


def test_a_question_lapses_at_the_turn_of_the_local_day(talk: Talk) -> None:
    talk.reply("luis", "23:30", "121 4 LN52")
    assert "Nothing was asked" in talk.reply("luis", "2027-07-07T00:10", "1")


def test_an_answer_sent_before_the_question_had_left_is_no_answer(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 4 LN52")
    assert "before our question" in talk.reply("luis", "09:01", "1", sent="08:59")
    assert talk.show(121)["state"] == "none"


def test_two_readings_are_asked_with_the_pairs(talk: Talk) -> None:
    question = talk.reply("luis", "09:00", "121 1 0 2 0 3 0")
    assert "1-3 0" in question
    no = talk.reply("luis", "09:01", "2")
    assert no == "Nothing stored. To send the other way: 121 1 FN2 LN3"
    talk.reply("luis", "09:02", "121 1 0 2 0 3 0")
    talk.reply("luis", "09:03", "1")
    assert talk.samples(121) == {"1": "0", "2": "0", "3": "0"}


def test_a_forgotten_site_is_asked_with_the_one_open_site(talk: Talk) -> None:
    assert "no site in front" in talk.reply("luis", "09:00", "3 FA2")
    talk.reply("luis", "09:01", "121 1 0")
    assert "1 yes: 121 3 FA2" in talk.reply("luis", "09:02", "3 FA2")
    talk.reply("luis", "09:03", "1")
    assert talk.samples(121) == {"1": "0", "3": "FA2"}


def test_the_first_counts_elsewhere_are_asked_once_while_a_site_is_unfinished(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 1 0")
    question = talk.reply("luis", "09:05", "14 1 FA2")
    assert "121 is unfinished, 1 of 10" in question
    assert "1 yes: 14 1 FA2" in question
    talk.reply("luis", "09:06", "1")
    assert talk.samples(14) == {"1": "FA2"}
    assert talk.reply("luis", "09:07", "14 2 0").startswith("14 2 0.")
    assert talk.reply("luis", "09:08", "121 2 0").startswith("121 2 0.")


def test_an_unnumbered_text_equal_to_the_one_before_is_asked_when_sent_before_our_answer(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 LA1", sent="08:50")
    question = talk.reply("luis", "09:01", "121 LA1", sent="08:51")
    assert "It is sample 1. Is this one new, sample 2?" in question
    assert talk.samples(121) == {"1": "LA1"}
    talk.reply("luis", "09:02", "1")
    assert talk.samples(121) == {"1": "LA1", "2": "LA1"}


def test_an_unnumbered_text_with_the_same_sent_time_is_the_same_text(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 LA1", sent="08:50")
    talk.reply("luis", "10:30", "121 LA1", sent="08:50")
    assert talk.samples(121) == {"1": "LA1"}


def test_an_unnumbered_text_sent_after_our_answer_is_the_next_sample(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 LA1")
    talk.reply("luis", "09:05", "121 LA1")
    assert talk.samples(121) == {"1": "LA1", "2": "LA1"}


def test_the_same_gateway_id_again_changes_nothing(talk: Talk) -> None:
    assert talk.says("luis", "09:00", "121 LA1", name="g-1")
    assert talk.says("luis", "09:05", "121 LA1", name="g-1") == []
    assert talk.samples(121) == {"1": "LA1"}


def test_a_lost_sample_is_not_in_and_its_number_is_free_again(talk: Talk) -> None:
    assert "0 of 10" in talk.reply("luis", "09:00", "121 1 X")
    assert talk.show(121)["lost"] == [1]
    assert talk.reply("luis", "09:05", "121 FA1").startswith("121 1 FA1.")
    assert talk.show(121)["lost"] == []


def test_fix_says_what_went_to_zero_and_how_to_keep_it(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 3 FA2 LN3")
    reply = talk.reply("luis", "09:05", "121 FIX 3 FA1")
    assert "is now FA1 (was FA2 LN3, so LN is 0 now; if not: 121 FIX 3 FA1 LN3)" in reply


def test_fix_leaves_a_visit_that_was_ended_short_as_it_is(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1-5 0")
    talk.reply("luis", "09:05", "14 SHORT rain")
    talk.reply("luis", "09:10", "14 FIX 5 LN1")
    assert (talk.show(14)["state"], talk.show(14)["reason"]) == ("short", "rain")


def test_undo_takes_back_the_newest_text_whole_and_a_second_is_asked(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 1 FA2")
    talk.reply("luis", "09:05", "121 2 FA3 / 3 0")
    assert "taken back 2 FA3 / 3 0" in talk.reply("luis", "09:06", "121 UNDO")
    assert talk.samples(121) == {"1": "FA2"}
    assert "take back 1 FA2" in talk.reply("luis", "09:07", "121 UNDO")
    assert talk.samples(121) == {"1": "FA2"}
    talk.reply("luis", "09:08", "1")
    assert talk.show(121)["state"] == "none"


def test_undo_of_a_fix_lets_the_old_count_stand_again(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 1 FA2")
    talk.reply("luis", "09:05", "121 FIX 1 LN9")
    assert "1 is FA2 again" in talk.reply("luis", "09:20", "121 UNDO")
    assert talk.samples(121) == {"1": "FA2"}


def test_undo_leaves_what_another_has_replaced_and_names_it(talk: Talk) -> None:
    talk.reply("ana", "09:00", "121 1 FA2 / 2 FA3")
    talk.reply("luis", "09:05", "121 FIX 2 LN1")
    assert "la 2 " in talk.reply("ana", "09:10", "121 BORRA").lower()
    assert talk.samples(121) == {"2": "LN1"}


@pytest.mark.parametrize("words", ["UNDO", "121 CANCEL", "BORRA"])
def test_undo_alone_and_cancel_are_asked(talk: Talk, words: str) -> None:
    talk.reply("luis", "09:00", "121 1 FA2")
    assert "1 yes" in talk.reply("luis", "09:05", words)
    assert talk.samples(121) == {"1": "FA2"}


def test_short_ends_a_visit_with_its_reason(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 1-6 0")
    assert "ended at 6 of 10: rain, wind" in talk.reply("luis", "09:05", "121 SHORT rain, wind")
    shown = talk.show(121)
    assert (shown["state"], shown["reason"], shown["levels"][0]["standing"]) == (
        "short",
        "rain, wind",
        "below",
    )


def test_a_visit_cut_under_its_least_has_no_standing(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1-4 0")
    reply = talk.reply("luis", "09:05", "14 SHORT")
    assert "Fewer than 5" in reply
    assert not any(word in reply for word in ("ABOVE", "BELOW", "RANGE"))
    level = talk.show(14)["levels"][0]
    assert (level["standing"], level["needs"]) == ("unknown", "samples")


@pytest.mark.parametrize(
    ("words", "reason"), [("121 STOP rain", "rain"), ("121 DONE", None), ("121 FIN", None)]
)
def test_a_stop_word_after_a_site_asks_whether_to_leave_it_unfinished(
    talk: Talk, words: str, reason: str | None
) -> None:
    talk.reply("luis", "09:00", "121 1-6 0")
    assert "unfinished at 6 of 10" in talk.reply("luis", "09:05", words)
    assert talk.show(121)["state"] == "open"
    talk.reply("luis", "09:06", "1")
    assert (talk.show(121)["state"], talk.show(121)["reason"]) == ("short", reason)


def test_skip_notes_that_a_site_is_not_sampled(talk: Talk) -> None:
    assert "not sampled today: gate locked" in talk.reply("luis", "09:00", "121 SKIP gate locked")
    assert (talk.show(121)["state"], talk.show(121)["reason"]) == ("none", "gate locked")
    talk.reply("luis", "09:05", "121 1 FA1")
    assert (talk.show(121)["state"], talk.show(121)["reason"]) == ("open", None)


def test_a_text_belongs_to_the_day_on_which_it_was_sent(talk: Talk) -> None:
    talk.reply("luis", "2027-07-07T06:00", "121 1 FA1", sent="2027-07-06T11:00")
    assert talk.samples(121) == {"1": "FA1"}
    talk.reply("ana", "2027-07-07T06:00", "123 1 FA1", sent="2027-07-08T10:00")
    assert talk.show(123)["state"] == "none"
    talk.reply("ana", "2027-07-14T06:00", "125 1 FA1", sent="2027-07-06T10:00")
    assert talk.show(125)["state"] == "none"
    talk.reply("ana", "09:00", "123 1 FA1")
    assert talk.samples(123) == {"1": "FA1"}


def test_counts_are_refused_while_the_plan_turns_on_a_stage_not_known(talk: Talk) -> None:
    assert "SEND STAGE" in talk.reply("luis", "09:00", "27 1 FA1")
    assert talk.show(27)["state"] == "none"


def test_only_scouts_leaders_and_supervisors_may_count(talk: Talk) -> None:
    caused = talk.says("opal", "09:00", "14 1 FA1")
    assert "scouts, leaders and supervisors" in to(caused, "reply")[0][1]
    assert to(caused, "notice")[0][0] == "+12705550120"
    assert talk.show(14)["state"] == "none"


def test_a_field_of_another_scout_is_stored_and_a_supervisor_told_once(talk: Talk) -> None:
    caused = talk.says("ana", "09:00", "14 1 FA1")
    assert (
        "no esta en su lista" in to(caused, "reply")[0][1].lower()
        or "No esta en su lista" in to(caused, "reply")[0][1]
    )
    assert len(to(caused, "notice")) == 1
    assert to(talk.says("ana", "09:05", "14 2 FA1"), "notice") == []
    assert talk.samples(14) == {"1": "FA1", "2": "FA1"}


def test_a_field_of_several_sites_asks_which(talk: Talk) -> None:
    reply = talk.reply("luis", "09:00", "12 1 FA1")
    assert "121, 123 and 125" in reply
    assert talk.show(121)["state"] == "none"


def test_squares_turned_round_are_asked(talk: Talk) -> None:
    assert "12 still on of 100, 12 %" in talk.reply("luis", "09:00", "31 SQ 12 100")
    assert talk.show(31)["shares"] == {}
    talk.reply("luis", "09:01", "1")
    assert talk.show(31)["shares"] == {"SQ": {"n": 12, "of": 100}}


def test_squares_again_replace_the_first_and_undo_brings_them_back(talk: Talk) -> None:
    talk.reply("luis", "09:00", "31 SQ 88/100")
    assert "It was 88 of 100" in talk.reply("luis", "09:05", "31 SQ 90 of 100")
    talk.reply("luis", "09:30", "31 UNDO")
    assert talk.show(31)["shares"] == {"SQ": {"n": 88, "of": 100}}


def test_an_extra_beside_the_card_is_kept_and_echoed(talk: Talk) -> None:
    assert talk.reply("luis", "09:00", "121 1 FA2 SB1").startswith("121 1 FA2 SB1.")
    assert talk.show(121)["extras"] == {"1": {"SB": 1}}


def test_a_question_shows_each_old_count_that_a_1_would_replace_or_does_not_ask(talk: Talk) -> None:
    talk.reply("ana", "09:00", "14 1 FA2")
    talk.reply("ana", "09:01", "1")
    talk.reply("luis", "09:02", "14 2 2 1 0 0 4")
    talk.reply("luis", "09:03", "14 3 LN38")
    reply = talk.reply("luis", "09:04", "14 1-3 0")
    assert "LN38" in reply or "1 yes" not in reply
    assert "1" in reply
    assert talk.samples(14)["3"] == "LN38"


def test_many_samples_of_another_scout_are_refused_in_one_sentence(talk: Talk) -> None:
    talk.says("ana", "09:00", "121 " + " / ".join(f"{n} FA{n + 10} LN1" for n in range(1, 11)))
    reply = talk.reply("luis", "09:05", "121 " + " / ".join(f"{n} FA{n + 20} LN2" for n in range(1, 11)))
    assert "1-10 in from Ana" in reply
    assert len(reply) <= 160


def test_one_question_covers_another_site_and_a_count_over_the_limit(talk: Talk) -> None:
    talk.reply("luis", "09:00", "121 1 0")
    assert "1 yes: 14 1 LN50" in talk.reply("luis", "09:05", "14 1 LN50")
    assert talk.reply("luis", "09:06", "1").startswith("14 1 LN50.")
    assert talk.samples(14) == {"1": "LN50"}


def test_the_same_text_is_one_text_whenever_it_comes(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 LN1", sent="08:59")
    talk.reply("luis", "09:02", "14 FA1")
    talk.reply("luis", "09:05", "14 LN1", sent="08:59")
    assert talk.samples(14) == {"1": "LN1", "2": "FA1"}


def test_the_first_counts_after_a_skip_say_method_and_effort(talk: Talk) -> None:
    talk.reply("ana", "09:00", "16 NO PUDE lodo")
    assert "Manta negra, 3 pies de surco." in talk.reply("ana", "09:30", "16 1 FA1")


def test_counts_after_short_say_that_the_visit_goes_on(talk: Talk) -> None:
    talk.reply("luis", "09:00", "14 1-5 0")
    talk.reply("luis", "09:05", "14 SHORT rain")
    assert "It had been ended; it goes on." in talk.reply("luis", "09:30", "14 6 0")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("14 1 0 / 99 FA1", "99 NOT stored: no such sample"),
        ("14 1 0 / 6 QQ2", "6 NOT stored: QQ is not on the card"),
        ("14 10 0 SB2", "14 10: 0 has no code"),
        ("14 2 2 FA 1 FN", "14 2 2 FA 1 FN can be read two ways"),
        ("", "That text could not be read."),
        ("16 STAGE", "16 STAGE: which stage?"),
    ],
)
def test_a_refusal_says_what_is_wrong_with_what(talk: Talk, text: str, said: str) -> None:
    assert said in talk.reply("luis", "09:00", text)
