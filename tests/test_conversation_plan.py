"""PLAN, its morning text, sites handed over, and the hours of a method.

texts.md, Words that stand alone: today's sites, method, what is left, KEEP OUT first. standing.md, Re-entry: PLAN says
as of when, and that a posted sign wins.
"""

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from pathlib import Path

import pytest

from bot.replies import DayPlan, Going, plan_texts, speech
from bot.rules import Method
from bot.season_file import SeasonText, read_season, read_texts, remarks_on
from parsing import LANGUAGES, TEXT_SEPTETS, fits, septets
from tests.talk import SEASONS, ZONE, Talk, talking, to

ANA, LUIS, BETO, JUNE = "+12705550111", "+12705550112", "+12705550115", "+12705550120"
EDGE = "[season]\n"


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path) as opened:
        yield opened


# PLAN


def test_plan_says_the_sites_with_method_and_samples_and_that_a_sign_wins(talk: Talk) -> None:
    assert talk.reply("ana", "06:05", "PLAN") == (
        "Mar 6 jul, a las 6:05 am. Si hay letrero, no entre; vale mas que esta lista. "
        "121 123 125 manta, 10 c/u. 16 manta 10."
    )


def test_plan_says_keep_out_first_with_its_hour_and_sends_nobody_there(talk: Talk) -> None:
    talk.says("luis", "05:40", "14 SPRAYED 48")
    talk.says("luis", "05:41", "27 POSTED")
    assert talk.reply("luis", "06:05", "PLAN") == (
        "Tue Jul 6, as of 6:05 AM. KEEP OUT: 14 to Thu Jul 8 5:40 AM; 27 hours not given. "
        "A posted sign wins over this list. 121 123 125 sheet, 10 each. 31 net 4."
    )


def test_when_its_hours_are_over_a_field_is_in_the_plan_again(talk: Talk) -> None:
    talk.says("luis", "05:40", "14 SPRAYED 24")
    assert "KEEP OUT: 14 to" in talk.reply("luis", "2027-07-07T05:39", "PLAN")
    reply = talk.reply("luis", "2027-07-07T05:40", "PLAN")
    assert "KEEP OUT" not in reply
    assert "14 sheet 10." in reply


def test_a_field_that_is_not_his_but_that_he_counted_in_today_is_kept_out_of_in_his_plan(talk: Talk) -> None:
    talk.reply("ana", "09:00", "14 1 0")
    talk.says("opal", "09:30", "14 SPRAYED 24")
    assert "NO ENTRE: 14 hasta mie 7 jul 9:30 am." in talk.reply("ana", "09:40", "PLAN")


def test_what_is_left_of_a_site_and_what_is_done(talk: Talk) -> None:
    talk.reply("ana", "08:30", "16 1-10 0")
    talk.reply("ana", "09:00", "121 1-6 0")
    reply = talk.reply("ana", "09:30", "PLAN")
    assert "121 manta, faltan 4. 123 125 manta, 10 c/u." in reply
    assert reply.endswith("Listos: 16.")


def test_a_site_skipped_today_is_not_to_be_gone_to_and_tomorrow_it_is(talk: Talk) -> None:
    talk.reply("ana", "08:30", "16 NO PUDE porton cerrado")
    assert "16 manta" not in talk.reply("ana", "09:30", "PLAN")
    assert "16 manta 10." in talk.reply("ana", "2027-07-07T06:30", "PLAN")


def test_nothing_due_is_said(talk: Talk) -> None:
    for site in (121, 123, 125, 16):
        talk.reply("ana", "08:30", f"{site} 1-10 0")
    assert "Hoy ya no falta ninguno." in talk.reply("ana", "12:00", "PLAN")
    assert "Hoy no le toca ninguno." in talk.reply("ana", "2027-07-07T06:30", "PLAN")


def test_a_field_due_since_yesterday_is_marked(talk: Talk) -> None:
    talk.reply("ana", "08:30", "16 1-10 0")
    assert "16 manta 10." in talk.reply("ana", "2027-07-13T06:30", "PLAN")
    assert "16 manta 10, 1 dia de atraso." in talk.reply("ana", "2027-07-14T06:30", "PLAN")
    assert "16 manta 10, 2 dias de atraso." in talk.reply("ana", "2027-07-15T06:30", "PLAN")


def test_a_recheck_after_a_treatment_is_named_as_such(talk: Talk) -> None:
    talk.reply("luis", "05:00", "14 1-10 0")
    talk.says("opal", "06:00", "14 SPRAYED 24")
    assert "14" not in talk.reply("luis", "2027-07-08T06:30", "PLAN").split(". ", 1)[1]
    assert "14 sheet 10, recheck." in talk.reply("luis", "2027-07-09T06:30", "PLAN")


def test_a_field_whose_plan_turns_on_a_stage_not_known_says_what_to_send(talk: Talk) -> None:
    assert "27: stage not known, SEND STAGE first." in talk.reply("luis", "06:05", "PLAN")


def test_a_leaders_plan_is_that_of_his_crew_with_whose_it_is(talk: Talk) -> None:
    reply = talk.reply("beto", "06:05", "PLAN")
    assert "Ana, Luis: 121 123 125 sheet, 10 each. Ana: 16 sheet 10." in reply
    assert " 14 " not in reply


def test_a_supervisor_gets_all_fields(talk: Talk) -> None:
    reply = talk.reply("june", "06:05", "PLAN")
    assert all(f" {site}" in reply for site in (121, 123, 125, 14, 16, 31, 27))


def test_plan_is_not_for_growers(talk: Talk) -> None:
    assert talk.reply("opal", "06:05", "PLAN").startswith("PLAN is for those who count.")


def test_somebody_in_training_sees_what_is_left_of_his_own(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", ('name = "Luis Vega"', 'name = "Luis Vega"\ntrainee = true')) as talk:
        talk.reply("luis", "09:00", "14 1 LN1 / 2 LN1")
        assert "14 sheet, 8 left." in talk.reply("luis", "09:30", "PLAN")


# How a plan fits


def plan_of(fields: int, shut: int, *, whose: str = "", late: int = 0, alike: bool = True) -> DayPlan:
    """A plan of so many fields of three sites each, and so many that are shut until one moment, or each its own."""
    now = datetime(2027, 7, 6, 6, 5, tzinfo=ZONE)
    until = datetime(2027, 7, 8, 17, 40, tzinfo=ZONE)
    going = [
        Going(number * 10 + site, number, Method.BEAT_SHEET, 10, whose=whose, late=late)
        for number in range(20, 20 + fields)
        for site in (1, 3, 5)
    ]
    ends = [until if alike else until + timedelta(minutes=number) for number in range(shut)]
    return DayPlan(now, tuple(enumerate(ends, start=80)), tuple(going))


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize(("fields", "shut", "texts"), [(0, 0, 1), (2, 1, 1), (4, 1, 1), (8, 4, 2), (9, 6, 2)])
def test_a_plan_is_one_text_or_at_most_two_and_names_every_site(
    language: str, fields: int, shut: int, texts: int
) -> None:
    plan = plan_of(fields, shut, whose="Maximiliano", late=3)
    said = plan_texts(speech(language), plan)
    assert len(said) == texts
    assert all(fits(one) and septets(one) <= TEXT_SEPTETS for one in said)
    words = " ".join(said).replace(".", "").replace(";", "").split()
    assert all(str(going.site) in words for going in plan.going)
    assert all(str(field) in words for field, _ in plan.shut)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("fields", range(1, 40, 3))
def test_keep_out_its_hour_the_hour_of_the_plan_and_the_sign_never_give_way(
    language: str, fields: int
) -> None:
    said = " ".join(plan_texts(speech(language), plan_of(fields, 3, whose="Ana, Luis", late=12, alike=False)))
    keep, half, sign = ("NO ENTRE: ", "pm", "letrero") if language == "es" else ("KEEP OUT: ", "PM", "sign")
    assert said.index("6:05") < said.index(keep) < said.index(sign)
    assert all(f"5:4{minute} {half}" in said for minute in range(3))


def test_fields_shut_until_one_moment_are_said_together() -> None:
    (said,) = plan_texts(speech("en"), plan_of(1, 3))
    assert "KEEP OUT: 80 81 82 to Thu Jul 8 5:40 PM." in said


def test_more_shut_fields_than_one_text_holds_go_on_in_the_second_under_keep_out() -> None:
    said = plan_texts(speech("en"), plan_of(0, 45))
    assert len(said) == 2
    assert all("KEEP OUT: " in one and "5:40 PM." in one and fits(one) for one in said)
    assert all(str(field) in " ".join(said).split() for field in range(80, 125))


def test_more_sites_than_two_texts_hold_are_counted() -> None:
    plan = plan_of(40, 0)
    said = plan_texts(speech("en"), plan)
    assert len(said) == 2
    assert all(fits(one) for one in said)
    named = sum(str(one.site) in " ".join(said).split() for one in plan.going)
    assert said[-1].endswith(f" {len(plan.going) - named} more, not named.")
    assert named >= 36


def test_the_fields_are_drawn_together_before_names_give_way_and_the_days_late_stay() -> None:
    def text(fields: int, whose: str = "Ana") -> str:
        (said,) = plan_texts(speech("en"), plan_of(fields, 0, whose=whose, late=2))
        return said

    assert text(2).endswith(
        "Ana: 201 203 205 sheet, 10 each, 2 days overdue. Ana: 211 213 215 sheet, 10 each, 2 days overdue."
    )
    assert text(3).endswith("list. Ana: 201 203 205 211 213 215 221 223 225 sheet, 10 each, 2 days overdue.")
    assert text(6, "Maximiliano and Bartolome").endswith(" 251 253 255 sheet, 10 each, 2 days overdue.")
    assert "Bartolome" not in text(6, "Maximiliano and Bartolome")


def test_a_plan_of_two_texts_is_one_reply_and_one_notice(tmp_path: Path) -> None:
    scouts = 'scouts = ["luis"]\n'
    fields = "".join(
        f'[fields.{number}]\nname = "North {number}"\n{scouts}sites = 3\nrow_spacing_in = 38\nplan = "sheets"\n'
        f"first_bloom = 2027-06-30\n\n"
        for number in range(40, 48)
    )
    with talking(tmp_path, "talk.toml", ("[plans.sweeps]", f"{fields}[plans.sweeps]")) as talk:
        caused = talk.says("luis", "06:05", "PLAN")
    assert [one["purpose"] for one in caused] == ["reply", "notice"]
    assert {one["to"] for one in caused} == {LUIS}
    assert ", 1/2." in caused[0]["text"]
    assert caused[1]["text"].startswith("2/2.")


# TO


def test_a_leader_hands_a_site_over_and_both_scouts_hear_of_it(talk: Talk) -> None:
    caused = talk.says("beto", "09:00", "121 TO LUIS")
    assert to(caused, "reply") == [
        (BETO, "121 Gin Road West: the next visit is Luis's. Luis and Ana are told.")
    ]
    assert dict(to(caused, "notice")) == {
        LUIS: "121 Gin Road West: the next visit is yours, from Beto. Sheet, 10 samples.",
        ANA: "121 Gin Road West: la proxima visita es de Luis, ya no de usted. De parte de Beto.",
    }


def test_a_site_handed_over_is_in_the_one_plan_and_out_of_the_other(talk: Talk) -> None:
    talk.says("june", "09:00", "16 A LUIS")
    assert "16 sheet 10, from Ana." in talk.reply("luis", "09:05", "PLAN")
    reply = talk.reply("ana", "09:05", "PLAN")
    assert "16 manta" not in reply
    assert reply.endswith("Pasados a otro: 16 a Luis.")


def test_counts_of_the_one_to_whom_a_site_was_handed_are_assigned(talk: Talk) -> None:
    assert "Not on your list" in talk.reply("luis", "08:30", "16 1 0")
    talk.reply("luis", "08:31", "16 UNDO")
    talk.says("june", "09:00", "16 TO LUIS")
    caused = talk.says("luis", "09:10", "16 1 0")
    assert "on your list" not in to(caused, "reply")[0][1]
    assert to(caused, "notice") == []


def test_a_handed_over_site_counted_with_one_text_is_on_its_scouts_list(talk: Talk) -> None:
    talk.says("june", "06:00", "14 TO ANA")
    caused = talk.says("ana", "08:00", "14 1-10 0")
    assert not to(caused, "notice")
    assert "No esta en su lista" not in to(caused, "reply")[0][1]


def test_next_follows_what_was_handed_over(talk: Talk) -> None:
    talk.says("june", "08:30", "123 TO LUIS")
    assert talk.reply("ana", "09:00", "121 1-10 0").endswith("Sigue: 125.")


def test_a_hand_over_ends_when_its_visit_is_finished(talk: Talk) -> None:
    talk.says("june", "08:30", "16 TO LUIS")
    talk.reply("luis", "09:00", "16 1-10 0")
    assert "16 manta 10." in talk.reply("ana", "2027-07-13T06:30", "PLAN")
    assert " 16 " not in talk.reply("luis", "2027-07-13T06:30", "PLAN")


def test_a_site_handed_over_after_it_was_finished_is_for_the_next_visit(talk: Talk) -> None:
    talk.reply("ana", "08:30", "16 1-10 0")
    talk.says("june", "09:00", "16 TO LUIS")
    talk.strikes("09:01")
    assert "16 sheet 10, from Ana." in talk.reply("luis", "2027-07-13T06:30", "PLAN")


def test_a_site_handed_over_half_counted_is_finished_by_the_other(talk: Talk) -> None:
    talk.reply("ana", "08:30", "16 1-4 0")
    talk.says("june", "09:00", "16 TO LUIS")
    assert "16 sheet, 6 left, from Ana." in talk.reply("luis", "09:05", "PLAN")
    talk.reply("luis", "09:10", "16 5-10 0")
    talk.strikes("09:11")
    assert "16 manta 10." in talk.reply("ana", "2027-07-13T06:30", "PLAN")


def test_a_hand_over_ends_with_the_round_in_which_it_was_made(talk: Talk) -> None:
    talk.reply("ana", "08:30", "121 1-10 0")
    talk.says("june", "09:00", "123 TO LUIS")
    assert "123" not in talk.reply("ana", "2027-07-12T06:30", "PLAN").split("Pasados")[0]
    assert "121 123 125 manta" in talk.reply("ana", "2027-07-13T06:30", "PLAN")


def test_a_site_skipped_stays_with_the_one_to_whom_it_was_handed(talk: Talk) -> None:
    talk.says("june", "08:30", "16 TO LUIS")
    talk.reply("luis", "09:00", "16 SKIP gate locked")
    assert "16 sheet 10, from Ana." in talk.reply("luis", "2027-07-07T06:30", "PLAN")


def test_handed_on_in_quiet_hours_only_the_newest_state_is_told(talk: Talk) -> None:
    talk.says("june", "06:00", "16 TO LUIS")
    talk.says("june", "06:10", "16 TO BETO")
    told = dict(to(talk.strikes("08:00"), "notice"))
    assert told[BETO].startswith("16 Levee: the next visit is yours, from June.")
    assert told[LUIS] == "16 Levee: the next visit is Beto's, not yours. From June."


def test_the_one_who_has_a_site_already_is_not_told_again(talk: Talk) -> None:
    talk.says("june", "09:00", "16 TO LUIS")
    caused = talk.says("june", "09:05", "16 TO LUIS")
    assert [one["text"] for one in caused] == ["16 Levee: the next visit is Luis's already. Nothing changed."]


def test_of_a_shut_field_keep_out_is_said_first_to_the_one_who_gets_it(talk: Talk) -> None:
    talk.says("ana", "08:30", "16 POSTED")
    caused = talk.says("june", "09:00", "16 TO LUIS")
    assert to(caused, "reply")[0][1].startswith("16: KEEP OUT, hours not known.")
    assert dict(to(caused, "notice"))[LUIS].startswith("16: KEEP OUT, hours not known.")


@pytest.mark.parametrize(
    ("who", "text", "said"),
    [
        ("luis", "16 TO LUIS", "TO is for leaders and supervisors"),
        ("beto", "14 TO ANA", "14 is not your crew's"),
        ("june", "16 TO OPAL", "no scout of that name. Nothing changed. Scouts: Ana, Luis, Beto"),
        ("june", "16 TO NADIA", "no scout of that name. Nothing changed. Scouts: Ana, Luis, Beto"),
        ("june", "12 TO LUIS", "121, 123 and 125"),
    ],
)
def test_what_may_not_be_handed_over_is_refused_and_changes_nothing(
    talk: Talk, who: str, text: str, said: str
) -> None:
    caused = talk.says(who, "09:00", text)
    assert [one["purpose"] for one in caused] == ["reply"]
    assert said in caused[0]["text"]
    assert "121 123 125 manta, 10 c/u. 16 manta 10." in talk.reply("ana", "09:05", "PLAN")


def test_somebody_who_is_not_active_is_nobody_to_hand_a_site_to(tmp_path: Path) -> None:
    gone = ('name = "Luis Vega"', 'name = "Luis Vega"\nactive = false')
    with talking(tmp_path, "talk.toml", gone) as talk:
        assert "no scout of that name" in talk.reply("june", "09:00", "16 TO LUIS")


def test_two_of_one_name_are_asked_for_by_their_keys(tmp_path: Path) -> None:
    with talking(tmp_path, "forms.toml") as talk:
        reply = talk.reply("june", "09:00", "14 TO ROSA")
        assert "which one?" in reply
        assert "ROSAM (Rosa Mena) and ROSAT (Rosa Tovar)" in reply
        assert "Rosa's" in talk.reply("june", "09:05", "14 TO ROSAT")


def test_a_visual_plan_goes_to_nobody_who_may_not_count_so(tmp_path: Path) -> None:
    visual = '[plans.whole]\nmethod = "visual"\nsamples = 4\neach = { plants = 25 }\ncard = ["SB"]\nlevel = "none"\n'
    pieces = (
        ('name = "Ana Prado"', 'name = "Ana Prado"\nvisual = true'),
        ('["ana"]\nrow_spacing_in = 40\nplan = "sheets"', '["ana"]\nrow_spacing_in = 40\nplan = "whole"'),
        ("[plans.sweeps]", f"{visual}\n[plans.sweeps]"),
    )
    with talking(tmp_path, "talk.toml", *pieces) as talk:
        reply = talk.reply("june", "09:00", "16 TO LUIS")
        assert reply == (
            "16 is counted whole plant, and Luis is not down for that. Nothing changed. Who may: Ana"
        )


def test_who_cannot_be_told_by_text_is_named(talk: Talk) -> None:
    talk.says("luis", "08:30", "STOP")
    reply = talk.reply("june", "09:00", "16 TO LUIS")
    assert reply.endswith("Ana is told. Luis cannot be told by text.")


# The morning text


@pytest.fixture
def mornings(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path, "talk.toml", (EDGE, f'{EDGE}morning = "08:15"\n')) as opened:
        yield opened


def test_in_the_morning_plan_goes_to_scouts_and_leaders_once(mornings: Talk) -> None:
    assert mornings.strikes("08:14") == []
    sent = mornings.strikes("08:15")
    assert {one["to"] for one in sent} == {ANA, LUIS, BETO}
    assert {one["purpose"] for one in sent} == {"notice"}
    assert dict(to(sent, "notice"))[ANA].startswith("Mar 6 jul, a las 8:15 am.")
    assert mornings.strikes("08:16") == []
    assert mornings.strikes("12:00") == []
    assert {one["to"] for one in mornings.strikes("2027-07-07T08:15")} == {ANA, LUIS, BETO}


def test_after_the_days_end_no_morning_text_is_sent(mornings: Talk) -> None:
    assert to(mornings.strikes("18:31"), "notice") == []


def test_without_the_key_no_morning_text_is_sent(talk: Talk) -> None:
    assert talk.strikes("09:00") == []


def test_who_has_nothing_to_go_to_gets_no_morning_text_unless_there_is_something_to_keep_out_of(
    mornings: Talk,
) -> None:
    for site in (121, 123, 125, 16):
        mornings.reply("ana", "09:00", f"{site} 1-10 0")
    assert ANA not in {one["to"] for one in mornings.strikes("2027-07-07T08:15")}
    mornings.says("ana", "2027-07-07T17:00", "16 LETRERO")
    mornings.says("ana", "2027-07-07T17:01", "OK")
    sent = dict(to(mornings.strikes("2027-07-08T08:15"), "notice"))
    assert "NO ENTRE: 16 sin horas." in sent[ANA]


def test_a_morning_in_quiet_hours_waits_and_says_what_is_so_when_they_end(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", (EDGE, f'{EDGE}morning = "06:00"\n')) as talk:
        assert talk.strikes("06:00") == []
        talk.says("luis", "07:00", "14 SPRAYED 24")
        sent = dict(to(talk.strikes("08:00"), "notice"))
        assert "KEEP OUT: 14 to Jul 7 7:00 AM." in sent[LUIS]
        assert any("06:00" in one and "08:00" in one for one in remarks_on(talk.hand.season))


def test_a_morning_outside_quiet_hours_is_not_remarked_upon(mornings: Talk) -> None:
    assert [one for one in remarks_on(mornings.hand.season) if "morning" in one] == []


def test_a_morning_after_the_days_end_is_a_fault_of_the_file() -> None:
    texts = read_texts(SEASONS / "talk.toml")
    read = read_season(
        SeasonText(season=texts.season.replace(EDGE, f'{EDGE}morning = "19:00"\n'), book=texts.book)
    )
    assert isinstance(read, tuple)
    assert [fault.path for fault in read] == ["season.morning"]


def test_nobody_who_opted_out_gets_the_morning_text(mornings: Talk) -> None:
    mornings.says("luis", "08:10", "STOP")
    assert LUIS not in {one["to"] for one in mornings.strikes("08:15")}


# The hours of a method


@pytest.fixture
def hours(tmp_path: Path) -> Iterator[Talk]:
    net = 'each = { sweeps = 25 }\nhours = ["06:30", "11:00"]'
    with talking(tmp_path, "talk.toml", ("each = { sweeps = 25 }", net)) as opened:
        yield opened


def test_counts_sent_outside_the_hours_say_so_once_a_visit_and_are_stored(hours: Talk) -> None:
    assert "net hours" not in hours.reply("luis", "10:50", "31 1 FA2")
    reply = hours.reply("luis", "13:10", "31 2 FA2")
    assert "Sent at 1:10 PM, net hours are 6:30 to 11:00 AM: June sees it." in reply
    assert "net hours" not in hours.reply("luis", "13:20", "31 3 FA2")
    assert hours.samples(31) == {"1": "FA2", "2": "FA2", "3": "FA2"}


@pytest.mark.parametrize(
    ("at", "said"), [("06:29", True), ("06:30", False), ("11:00", False), ("11:01", True)]
)
def test_the_hours_hold_to_the_minute_at_both_ends(hours: Talk, at: str, said: bool) -> None:
    assert ("net hours" in hours.reply("luis", at, "31 1 0")) is said


def test_what_counts_is_when_a_text_was_sent(hours: Talk) -> None:
    assert "net hours" not in hours.reply("luis", "13:10", "31 1 0", sent="10:50")


def test_a_text_of_another_day_says_nothing_of_its_hours(hours: Talk) -> None:
    reply = hours.reply("luis", "2027-07-07T13:10", "YEST 31 1 0")
    assert "net hours" not in reply
    assert hours.samples(31, date(2027, 7, 6)) == {"1": "0"}


def test_counts_outside_the_hours_are_in_the_digest(hours: Talk) -> None:
    hours.reply("luis", "13:10", "31 1 FA2")
    digest = " ".join(text for to_, text in to(hours.strikes("18:30"), "digest") if to_ == JUNE)
    assert "Outside method hours: 31 1:10 PM (Luis)." in digest


def test_another_plan_has_no_hours(hours: Talk) -> None:
    assert "hours" not in hours.reply("luis", "13:10", "14 1 0")


def test_plan_says_the_hours_where_they_matter(hours: Talk) -> None:
    texts = " ".join(one["text"] for one in hours.says("luis", "06:05", "PLAN"))
    assert "Net 6:30 to 11:00 AM." in texts
    assert " 11:00" not in hours.reply("ana", "06:05", "PLAN")


def test_hours_over_noon_name_both_halves_of_the_day() -> None:
    assert speech("en").span(time(9), time(13, 30)) == "9:00 AM to 1:30 PM"
    assert speech("es").span(time(6, 30), time(11)) == "de 6:30 a 11:00 am"
