"""Bad days: clocks are changed, and zones meet. A day has 23 or 25 hours, hours are real hours, a text has one day.

In 2027 the clocks of Chicago go from 2 to 3 on March 14, and from 2 back to 1 on November 7 (IANA time zones).
"""

from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from bot.field_book import FieldBook
from bot.rounds import time_to_read
from tests.reloading import reload
from tests.talk import Talk, talking, to
from tests.test_conversation_crossings import BETO, JUNE, OPAL

LUIS = "+12705550112"
BLOOMS_LATE = (
    'first_bloom = 2027-06-30\nplan = "sheets"',
    'first_bloom = 2027-10-30\nplan = "sheets"',
)
ONE_THIRTY, ONE_THIRTY_AGAIN = "2027-11-07T01:30-05:00", "2027-11-07T01:30-06:00"


def hours(quiet: str, day_ends: str = "18:30") -> tuple[str, str]:
    return ('alerts = "automatic"', f'alerts = "automatic"\nquiet = {quiet}\nday_ends = "{day_ends}"')


def book_at(talk: Talk, moment: str) -> FieldBook:
    with talk.store.read() as session:
        return FieldBook(session, talk.hand.season, datetime.fromisoformat(moment))


def digests(talk: Talk, at: str) -> list[str]:
    return [text for who, text in to(talk.strikes(at), "digest") if who == BETO]


# Days of 23 and of 25 hours


def test_an_end_of_day_in_the_hour_that_is_left_out_comes_an_hour_later_and_once(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", hours('["22:00", "02:15"]', "02:30")) as talk:
        assert digests(talk, "2027-03-14T01:59-06:00") == []
        assert digests(talk, "2027-03-14T03:29-05:00") == []
        assert len(digests(talk, "2027-03-14T03:30-05:00")) == 1
        assert digests(talk, "2027-03-14T23:59-05:00") == []


def test_an_end_of_day_in_the_hour_that_comes_twice_is_the_first_and_comes_once(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", hours('["22:00", "01:00"]', "01:30")) as talk:
        assert digests(talk, "2027-11-07T01:29-05:00") == []
        assert len(digests(talk, ONE_THIRTY)) == 1
        assert digests(talk, ONE_THIRTY_AGAIN) == []
        assert digests(talk, "2027-11-07T23:59-06:00") == []
        assert len(digests(talk, "2027-11-08T01:30-06:00")) == 1


@pytest.mark.parametrize(
    ("quiet", "now", "until"),
    [
        ('["22:00", "02:15"]', "2027-03-14T01:59-06:00", "2027-03-14T03:15-05:00"),
        ('["22:00", "02:15"]', "2027-03-14T03:15-05:00", "2027-03-14T03:15-05:00"),
        ('["22:00", "01:30"]', "2027-11-07T01:20-05:00", ONE_THIRTY),
        ('["22:00", "01:30"]', "2027-11-07T01:20-06:00", "2027-11-07T01:20-06:00"),
        ('["01:30", "05:00"]', "2027-11-07T01:10-06:00", "2027-11-07T05:00-06:00"),
        ('["02:30", "05:00"]', "2027-03-14T03:10-05:00", "2027-03-14T03:10-05:00"),
        ('["02:30", "05:00"]', "2027-03-14T03:30-05:00", "2027-03-14T05:00-05:00"),
        ('["21:00", "08:00"]', "2027-11-06T23:00-05:00", "2027-11-07T08:00-06:00"),
    ],
)
def test_quiet_hours_go_from_one_moment_to_another_also_where_clocks_are_changed(
    tmp_path: Path, quiet: str, now: str, until: str
) -> None:
    with talking(tmp_path, "talk.toml", hours(quiet)) as talk:
        book = book_at(talk, now)
        assert book.quiet_until(book.now) == datetime.fromisoformat(until)


@pytest.mark.parametrize(
    ("left", "now", "read_for"),
    [
        ("2027-03-14T01:00-06:00", "2027-03-14T04:00-05:00", timedelta(hours=2)),
        ("2027-11-07T00:30-05:00", "2027-11-07T02:30-06:00", timedelta(hours=3)),
        ("2027-11-06T11:00-05:00", "2027-11-07T10:00-06:00", timedelta(hours=3)),
        ("2027-03-13T11:00-06:00", "2027-03-14T10:00-05:00", timedelta(hours=3)),
    ],
)
def test_time_to_read_is_real_time_without_the_quiet_hours(
    tmp_path: Path, left: str, now: str, read_for: timedelta
) -> None:
    quiet = '["12:00", "08:00"]' if "T11" in left else '["12:00", "13:00"]'
    with talking(tmp_path, "talk.toml", hours(quiet, "11:30")) as talk:
        assert time_to_read(book_at(talk, now), datetime.fromisoformat(left)) == read_for


@pytest.mark.parametrize(
    ("sprayed", "said"),
    [
        ("2027-11-06T23:00-05:00", "Mon Nov 8 10:00 PM"),
        ("2027-03-13T23:00-06:00", "Tue Mar 16 12:00 AM"),
    ],
)
def test_48_hours_of_reentry_are_48_real_hours(tmp_path: Path, sprayed: str, said: str) -> None:
    end = datetime.fromisoformat(sprayed) + timedelta(hours=48)  # of a fixed offset: real hours
    with talking(tmp_path) as talk:
        assert said in talk.reply("opal", sprayed, "14 SPRAYED 48")
        assert "KEEP OUT: 14" in talk.reply("luis", (end - timedelta(minutes=1)).isoformat(), "PLAN")
        assert "KEEP OUT" not in talk.reply("luis", end.isoformat(), "PLAN")


def test_half_past_one_is_one_day_both_times(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", BLOOMS_LATE) as talk:
        for number, moment in enumerate(
            ("2027-11-07T00:30-05:00", ONE_THIRTY, ONE_THIRTY_AGAIN, "2027-11-07T23:59-06:00"), start=1
        ):
            assert f"{number} of 10 in" in talk.reply("luis", moment, f"14 {number} LN1")
        assert len(talk.samples(14, date(2027, 11, 7))) == 4


def test_a_question_lapses_after_two_real_hours(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", BLOOMS_LATE) as talk:
        talk.says("luis", "2027-11-07T00:45-05:00", "14 1 LN52")
        assert talk.reply("luis", "2027-11-07T01:44-06:00", "1").startswith("14 1 LN52. Sheet")
        talk.says("luis", "2027-11-07T02:00-06:00", "14 2 LN52")
        assert "Nothing was asked" in talk.reply("luis", "2027-11-07T04:01-06:00", "1")
        talk.says("luis", ONE_THIRTY, "14 3 LN53")
        assert "NOT stored" in talk.reply("luis", "2027-11-07T02:31-06:00", "1")


def test_a_round_lasts_seven_local_days_and_a_week_of_bloom_is_seven_local_days(tmp_path: Path) -> None:
    """`every_days` = 7 from its first day; N = (whole days since) // 7 + 1 (standing.md)."""
    with talking(tmp_path, "talk.toml", BLOOMS_LATE) as talk:
        talk.says("luis", "2027-11-03T09:00", "14 TOTAL 10 LN3")
        assert "14 sheet" not in talk.reply("luis", "2027-11-09T23:59", "PLAN")
        assert "14 sheet" in talk.reply("luis", "2027-11-10T00:01", "PLAN")
        weeks = [talk.show(14, date(2027, 11, day))["stage"] for day in (5, 6, 12, 13)]
        assert weeks == ["bloom 1", "bloom 2", "bloom 2", "bloom 3"]


def test_a_reminder_comes_after_two_hours_awake_on_the_long_day_too(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", BLOOMS_LATE) as talk:
        caused = talk.says("luis", "2027-11-06T20:30-05:00", "14 1 LN9 / 2 LN9 / 3 LN9")
        assert OPAL in dict(to(caused, "alert"))
        assert to(talk.strikes("2027-11-07T09:29-06:00"), "alert") == []
        assert len(to(talk.strikes("2027-11-07T09:30-06:00"), "alert")) == 2


# Where zones meet


@pytest.mark.parametrize(
    ("sent", "day"),
    [
        ("2027-07-06T23:58-05:00", "Tue Jul 6: "),
        ("2027-07-07T04:58+00:00", "Tue Jul 6: "),
        ("2027-07-06T22:58-06:00", "Tue Jul 6: "),
        ("2027-07-07T00:58-04:00", "Tue Jul 6: "),
        ("2027-07-07T00:03-05:00", ""),
        ("2027-07-06T21:03-08:00", ""),
        (None, ""),
    ],
)
def test_a_stamp_of_any_zone_means_a_moment_and_its_day_is_the_seasons(
    tmp_path: Path, sent: str | None, day: str
) -> None:
    with talking(tmp_path) as talk:
        assert talk.reply("luis", "2027-07-07T00:05-05:00", "14 1 LN1", sent=sent).startswith(
            f"{day}14 1 LN1"
        )


def test_a_season_without_saving_time_beside_one_that_has_it_keeps_its_own_hours(tmp_path: Path) -> None:
    """Phoenix is on UTC-7 all year (IANA): in July 18:30 there is 20:30 in Chicago, in January 19:30."""
    with talking(tmp_path, "talk.toml", ("America/Chicago", "America/Phoenix")) as talk:
        assert digests(talk, "2027-07-06T20:29-05:00") == []
        assert len(digests(talk, "2027-07-06T20:30-05:00")) == 1
        assert digests(talk, "2027-01-06T19:29-06:00") == []
        assert len(digests(talk, "2027-01-06T19:30-06:00")) == 1
        assert "Wed Jul 7 10:00 AM" in talk.reply("opal", "2027-07-06T12:00-05:00", "14 SPRAYED 24")


def test_all_fields_of_a_season_have_one_zone_also_where_a_phone_is_in_another(tmp_path: Path) -> None:
    """A scout beyond the zone's edge texts at half past midnight there: here it is still the day before."""
    with talking(tmp_path, "talk.toml", ("America/Chicago", "America/Denver")) as talk:
        talk.says("luis", "2027-07-07T00:30-05:00", "14 1 LN1", sent="2027-07-07T00:30-05:00")
        assert talk.samples(14, date(2027, 7, 6)) == {"1": "LN1"}


def test_a_zone_that_is_changed_by_a_reload_moves_no_visit_and_gives_no_day_two_digests(
    tmp_path: Path,
) -> None:
    with talking(tmp_path) as talk:
        assert len(digests(talk, "2027-07-06T20:00-05:00")) == 1
        talk.says("luis", "2027-07-06T23:30-05:00", "14 1 LN1")
        reload(talk, "2027-07-07T00:10-05:00", ("America/Chicago", "America/Los_Angeles"))
        assert digests(talk, "2027-07-06T22:59-07:00") == []
        assert talk.samples(14, date(2027, 7, 6)) == {"1": "LN1"}
        assert "2 of 10 in" in talk.reply("luis", "2027-07-07T01:00-05:00", "14 2 LN1")
        assert len(digests(talk, "2027-07-07T18:30-07:00")) == 1
        kept = to(talk.says("opal", "2027-07-08T10:00-07:00", "14 SPRAYED 24"), "keepout")
        assert "at least until Fri Jul 9 10:00 AM" in dict(kept)[LUIS]
        assert JUNE not in dict(kept)
