"""Temperatures by text, heat units since cutout, and cutout by nodes: said to supervisors, decided by none of it."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from storage import happened, temperatures_between
from tests.talk import Talk, talking, to

JUNE = "+12705550120"
CUTOUT_OF_14 = ("first_bloom = 2027-06-30", "first_bloom = 2027-06-30\ncutout = 2027-08-01")
ARKANSAS = ('alerts = "automatic"', 'alerts = "automatic"\nstop_heat_units = "arkansas-plantbug"')
AT_44 = ('alerts = "automatic"', 'alerts = "automatic"\nstop_heat_units = 44')


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    """Field 14 in cutout since Aug 1, watched until the 250 heat units of Arkansas."""
    with talking(tmp_path, "talk.toml", CUTOUT_OF_14, ARKANSAS) as one:
        yield one


def temp(talk: Talk, day: int, words: str, who: str = "june") -> str:
    """Send a TEMP on a morning of August; gives the reply."""
    return talk.reply(who, f"2027-08-{day:02}T09:00", f"TEMP {words}")


def notices(talk: Talk, at: str) -> list[str]:
    return [text for who, text in to(talk.strikes(at), "notice") if who == JUNE]


def kept(talk: Talk) -> list[tuple[str, str, str]]:
    with talk.store.read() as session:
        rows = temperatures_between(session, date(2027, 1, 1), date(2027, 12, 31))
        return [(row.day.isoformat(), row.high, row.low) for row in rows]


def test_yesterdays_high_and_low_are_kept_with_their_heat_units(talk: Talk) -> None:
    # (97 + 71) / 2 - 60
    assert temp(talk, 2, "97 71") == (
        "Aug 1: high 97, low 71 F, 24 heat units. Since cutout: 14 has 24 of 250."
    )
    assert kept(talk) == [("2027-08-01", "97", "71")]


def test_the_day_before_is_that_before_the_text_was_sent(talk: Talk) -> None:
    reply = talk.reply("june", "2027-08-03T00:40", "TEMP 97 71", sent="2027-08-02T23:50")
    assert reply.startswith("Aug 1: ")
    assert kept(talk) == [("2027-08-01", "97", "71")]


def test_a_second_pair_of_a_day_replaces_the_first_and_says_what_it_was(talk: Talk) -> None:
    temp(talk, 2, "97 71")
    assert temp(talk, 2, "98.5 71") == (
        "Aug 1: high 98.5, low 71 F, 24.75 heat units. It was 97 and 71. Since cutout: 14 has 24.75 of 250."
    )
    assert kept(talk) == [("2027-08-01", "98.5", "71")]
    assert "is in already. Nothing changed." in temp(talk, 2, "98.5 71.0")


def test_days_that_are_missing_are_said_and_never_guessed(talk: Talk) -> None:
    assert temp(talk, 4, "90 70") == (
        "Aug 3: high 90, low 70 F, 20 heat units. Since cutout: 14 has at least 20 of 250 (2 days missing)."
    )
    temp(talk, 2, "90 60")
    assert "14 has at least 35 of 250 (Aug 2 missing)." in temp(talk, 4, "90 70")


def test_a_day_before_cutout_touches_no_field(talk: Talk) -> None:
    talk.reply("june", "2027-07-31T09:00", "TEMP 97 71")
    assert temp(talk, 1, "97 71") == "Jul 31: high 97, low 71 F, 24 heat units."


@pytest.mark.parametrize("who", ["luis", "beto", "opal"])
def test_only_a_supervisor_sends_temperatures(talk: Talk, who: str) -> None:
    assert temp(talk, 2, "97 71", who) == "TEMP is sent by supervisors: June. Nothing stored."
    assert kept(talk) == []


def test_a_scout_is_refused_in_his_language(talk: Talk) -> None:
    assert temp(talk, 2, "97 71", "ana") == "TEMP lo mandan los supervisores: June. No se guardo nada."


@pytest.mark.parametrize("words", ["71 97", "97", "", "97 71 3", "x y", "97 -71.55", "970 71"])
def test_what_is_no_high_and_low_is_refused_with_the_form(talk: Talk, words: str) -> None:
    reply = temp(talk, 2, words)
    assert "Nothing stored" in reply
    assert "TEMP, yesterday's high, a space, its low" in reply
    assert kept(talk) == []


def test_degrees_celsius_are_not_taken_for_fahrenheit(talk: Talk) -> None:
    assert "a high of 36 may be in Celsius. Nothing stored." in temp(talk, 2, "36 22")
    assert kept(talk) == []
    assert temp(talk, 2, "50 40").startswith("Aug 1: high 50, low 40 F, 0 heat units.")


def test_practice_keeps_no_temperature(talk: Talk) -> None:
    reply = talk.reply("june", "2027-08-02T09:00", "PRACTICE TEMP 97 71")
    assert reply.startswith("PRACTICE, nothing kept")
    assert "24 heat units" in reply
    assert kept(talk) == []


def test_the_single_triangle_is_used_where_the_season_names_it(tmp_path: Path) -> None:
    method = ('alerts = "automatic"', 'alerts = "automatic"\nheat_method = "single triangle"')
    with talking(tmp_path, "talk.toml", method) as talk:
        # (90 - 60)^2 / (2 (90 - 50)), where the mean gives 10
        assert temp(talk, 2, "90 50") == "Aug 1: high 90, low 50 F, 11.25 heat units."


def test_many_fields_past_cutout_fit_one_text_those_nearest_their_mark_first(tmp_path: Path) -> None:
    dates = ("row_spacing_in = 38", "row_spacing_in = 38\ncutout = 2027-08-01")
    forty = ("row_spacing_in = 40", "row_spacing_in = 40\ncutout = 2027-07-20")
    own = (
        "[plans.sweeps]",
        '[fields.33]\nname = "Slough"\nrow_spacing_in = 38\nplan = "sheets"\n\n[plans.sweeps]',
    )
    with talking(tmp_path, "talk.toml", own, dates, forty, ARKANSAS) as talk:
        reply = temp(talk, 2, "97 71")
        assert len(reply) <= 160
        assert "14 has 24 of 250" in reply
        assert reply.endswith("more.")


# At the clock's strike


def test_a_supervisor_hears_once_that_the_sum_is_past_its_mark(talk: Talk) -> None:
    for day in range(2, 12):
        temp(talk, day, "97 71")
    assert notices(talk, "2027-08-11T10:00") == []  # 10 days, 240
    temp(talk, 12, "97 71")
    said = notices(talk, "2027-08-12T10:00")
    assert said == [
        "14 Pump House: 264 heat units since cutout of Aug 1, past the 250 of Arkansas Extension 2018 (lygus): "
        "yours to judge."
    ]
    temp(talk, 13, "97 71")
    assert notices(talk, "2027-08-13T10:00") == []
    with talk.store.read() as session:
        assert happened(session, "notice:heat:14:2027-08-01")


def test_a_mark_is_met_exactly_at_its_number(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", CUTOUT_OF_14, AT_44) as talk:
        temp(talk, 2, "97 71")
        temp(talk, 3, "90 69.9")
        assert notices(talk, "2027-08-03T10:00") == []  # 24 and 19.95
        temp(talk, 3, "90 70")
        assert notices(talk, "2027-08-03T11:00") == [
            "14 Pump House: 44 heat units since cutout of Aug 1, the 44 of the season file: yours to judge."
        ]


def test_a_sum_with_days_missing_that_is_past_its_mark_is_past_it(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", CUTOUT_OF_14, AT_44) as talk:
        temp(talk, 2, "97 71")
        temp(talk, 5, "97 71")
        assert notices(talk, "2027-08-05T10:00") == [
            "14 Pump House: at least 48 heat units since cutout of Aug 1 (2 days missing), past the 44 of the season "
            "file: yours to judge."
        ]


def test_a_field_without_a_mark_and_one_not_in_cutout_are_not_spoken_of(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", CUTOUT_OF_14) as talk:
        temp(talk, 2, "97 71")
        assert notices(talk, "2027-08-02T10:00") == []
        assert temp(talk, 2, "97 71").endswith("Since cutout: 14 has 24.")


def test_a_fields_own_mark_goes_before_the_seasons(tmp_path: Path) -> None:
    own = ("cutout = 2027-08-01", "cutout = 2027-08-01\nstop_heat_units = 500")
    with talking(tmp_path, "talk.toml", CUTOUT_OF_14, AT_44, own) as talk:
        assert temp(talk, 2, "97 71").endswith("14 has 24 of 500.")


def test_the_notice_waits_out_quiet_hours(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", CUTOUT_OF_14, AT_44) as talk:
        temp(talk, 2, "97 71")
        temp(talk, 3, "97 71")
        assert notices(talk, "2027-08-03T22:00") == []
        assert len(notices(talk, "2027-08-04T08:01")) == 1


def test_a_notice_in_spanish_tells_nobody_what_to_do(tmp_path: Path) -> None:
    spanish = ('roles = ["supervisor"]', 'roles = ["supervisor"]\nlanguage = "es"')
    with talking(tmp_path, "talk.toml", CUTOUT_OF_14, AT_44, spanish) as talk:
        assert temp(talk, 2, "97 71") == (
            "1 ago: maxima 97, minima 71 F, 24 unidades de calor. Desde el cutout: 14 lleva 24 de 44."
        )
        temp(talk, 3, "97 71")
        assert notices(talk, "2027-08-03T10:00") == [
            "14 Pump House: 48 unidades de calor desde el cutout del 1 ago, pasan de las 44 de la temporada: usted "
            "decide."
        ]


# Nodes above white flower


def proposals(talk: Talk, who: str, at: str, text: str) -> list[str]:
    return [said for person, said in to(talk.says(who, at, text), "notice") if person == JUNE]


def test_nodes_down_to_five_propose_cutout_and_set_nothing(talk: Talk) -> None:
    assert proposals(talk, "luis", "2027-07-21T09:00", "121 NAWF 6 5 6") == []
    assert proposals(talk, "luis", "2027-07-28T09:00", "121 NAWF 5 5 4 5") == [
        "121 Gin Road West: NAWF 4.75 on Jul 28 (5.67 on Jul 21): cutout by NAWF 5? Yours to set: 12 STAGE CUTOUT"
    ]
    assert talk.reply("luis", "2027-07-28T10:00", "12 STAGE BLOOM").startswith("12 Gin Road West is in bloom")


def test_a_mean_of_exactly_five_proposes_cutout_and_a_tenth_more_does_not(talk: Talk) -> None:
    assert proposals(talk, "luis", "2027-07-28T09:00", "121 NAWF 5.1 5.1") == []
    assert len(proposals(talk, "luis", "2027-07-28T09:30", "123 NAWF 5 5")) == 1


def test_cutout_is_proposed_once_a_field_and_day(talk: Talk) -> None:
    assert len(proposals(talk, "luis", "2027-07-28T09:00", "121 NAWF 4")) == 1
    assert proposals(talk, "luis", "2027-07-28T09:10", "123 NAWF 4") == []
    assert proposals(talk, "luis", "2027-07-28T09:20", "121 NAWF 4.5") == []
    assert len(proposals(talk, "luis", "2027-07-29T09:00", "121 NAWF 4")) == 1


def test_a_field_in_cutout_is_not_proposed_again(talk: Talk) -> None:
    assert proposals(talk, "luis", "2027-08-03T09:00", "14 NAWF 3") == []
    talk.says("june", "2027-07-28T09:00", "12 STAGE CUTOUT")
    assert proposals(talk, "luis", "2027-07-28T09:10", "121 NAWF 3") == []


def test_the_season_says_at_how_many_nodes(tmp_path: Path) -> None:
    at_four = ('alerts = "automatic"', 'alerts = "automatic"\ncutout_nawf = 4.5')
    with talking(tmp_path, "talk.toml", at_four) as talk:
        assert proposals(talk, "luis", "2027-07-28T09:00", "121 NAWF 5") == []
        said = proposals(talk, "luis", "2027-07-29T09:00", "121 NAWF 4.5")
        assert said == [
            "121 Gin Road West: NAWF 4.5 on Jul 29 (5 on Jul 28): cutout by NAWF 4.5? Yours to set: 12 STAGE CUTOUT"
        ]


def test_heat_is_summed_from_the_day_on_which_the_supervisor_sets_cutout(talk: Talk) -> None:
    proposals(talk, "luis", "2027-08-02T09:00", "121 NAWF 4.8")
    talk.says("june", "2027-08-02T09:10", "12 STAGE CUTOUT")
    assert temp(talk, 3, "97 71").endswith(
        "Since cutout: 12 has 24 of 250; 14 has at least 24 of 250 (Aug 1 missing)."
    )
