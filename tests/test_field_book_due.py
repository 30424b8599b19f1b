"""Which sites are due on a day: by the round, after a skip, after a treatment; and how many days late they are.

A round lasts `every_days` (7 unless a plan says otherwise) and a site skipped is due again the next day: standing.md,
A round; texts.md, SKIP. A recheck is due on days 3 to 5 after a treatment, never before the end of its hours nor
while they are not known: standing.md, Re-entry.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import pytest

from bot.field_book import FieldBook, FieldDue, due_on, left_sites, recheck_days
from bot.field_book.closed import closures
from tests.talk import Talk, talking, to

LUIS = "+12705550112"
ALL_NOTHING = "1-10 0"


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path) as opened:
        yield opened


@contextmanager
def book_at(talk: Talk, at: str) -> Iterator[FieldBook]:
    with talk.store.read() as session:
        yield FieldBook(session, talk.hand.season, talk.hand.moment(at))


def due(talk: Talk, field: int, day: int, *, clock: str = "09:00") -> FieldDue:
    """What of a field is due on a day of July, seen at a time of that day."""
    with book_at(talk, f"2027-07-{day:02}T{clock}") as book:
        return due_on(book, talk.hand.season.fields[field], date(2027, 7, day))


def left(talk: Talk, field: int, at: str) -> list[int]:
    with book_at(talk, at) as book:
        return left_sites(book, talk.hand.season.fields[field], book.today)


def test_all_sites_of_a_field_never_sampled_are_due_and_none_is_late(talk: Talk) -> None:
    assert due(talk, 12, 6) == FieldDue((121, 123, 125))


def test_in_an_open_round_the_sites_not_finished_are_due(talk: Talk) -> None:
    talk.reply("luis", "09:00", f"121 {ALL_NOTHING}")
    talk.reply("luis", "10:00", "123 1-4 0")
    talk.reply("luis", "10:01", "1")
    assert due(talk, 12, 7).sites == (123, 125)


def test_on_its_own_day_a_finished_site_was_due_and_nobody_need_go_there_again(talk: Talk) -> None:
    talk.reply("luis", "09:00", f"121 {ALL_NOTHING}")
    assert due(talk, 12, 6).sites == (121, 123, 125)
    assert left(talk, 12, "2027-07-06T11:00") == [123, 125]


@pytest.mark.parametrize(
    ("day", "sites", "late"),
    [(7, (), {}), (12, (), {}), (13, (14,), {}), (14, (14,), {14: 1}), (16, (14,), {14: 3})],
)
def test_a_field_is_due_again_after_its_days_and_late_from_the_day_after(
    talk: Talk, day: int, sites: tuple[int, ...], late: dict[int, int]
) -> None:
    talk.reply("luis", "09:00", f"14 {ALL_NOTHING}")
    assert due(talk, 14, day) == FieldDue(sites, frozenset(), late)


def test_a_plan_with_other_days_is_due_by_them(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", ('sheet = "black"', 'sheet = "black"\nevery_days = 4')) as talk:
        talk.reply("luis", "09:00", f"14 {ALL_NOTHING}")
        assert due(talk, 14, 9).sites == ()
        assert due(talk, 14, 10).sites == (14,)


def test_a_site_skipped_is_due_again_the_next_day_though_the_round_is_over(talk: Talk) -> None:
    for site in (121, 123):
        talk.reply("luis", "09:00", f"{site} {ALL_NOTHING}")
    talk.reply("luis", "09:30", "125 SKIP gate locked")
    assert left(talk, 12, "2027-07-06T10:00") == []
    assert due(talk, 12, 7) == FieldDue((125,))
    assert due(talk, 12, 8).late == {125: 1}


def test_a_field_above_for_sure_at_its_one_site_is_left(talk: Talk) -> None:
    """Level 3 per 5 row ft: 30 row ft are above for sure at 18."""
    talk.reply("luis", "09:00", "14 1 LN18")
    assert left(talk, 14, "2027-07-06T10:00") == []


# After a treatment


@pytest.mark.parametrize(
    ("day", "again", "late"),
    [(7, False, {}), (8, False, {}), (9, True, {}), (11, True, {}), (12, True, {14: 1}), (13, False, {})],
)
def test_a_recheck_is_due_from_the_third_to_the_fifth_day_then_late_until_the_field_is_due_in_any_case(
    talk: Talk, day: int, again: bool, late: dict[int, int]
) -> None:
    talk.reply("luis", "05:00", f"14 {ALL_NOTHING}")
    talk.says("opal", "06:00", "14 SPRAYED 24")
    found = due(talk, 14, day)
    assert found.rechecks == (frozenset({14}) if again else frozenset())
    assert found.sites == ((14,) if again or day == 13 else ())
    assert found.late == late


@pytest.mark.parametrize(
    ("hours", "clock", "first"), [(24, "06:00", 9), (72, "06:00", 9), (96, "06:00", 10), (120, "20:00", 11)]
)
def test_a_recheck_is_never_due_before_the_hours_are_over(
    talk: Talk, hours: int, clock: str, first: int
) -> None:
    talk.reply("luis", "05:00", f"14 {ALL_NOTHING}")
    talk.says("opal", clock, f"14 SPRAYED {hours}")
    days = [day for day in range(6, 13) if due(talk, 14, day, clock="23:00").rechecks]
    assert days[0] == first
    assert left(talk, 14, f"2027-07-{first:02}T00:00") == ([14] if hours < 72 else [])


def test_no_recheck_is_due_while_the_hours_are_not_known(talk: Talk) -> None:
    talk.reply("luis", "05:00", f"14 {ALL_NOTHING}")
    talk.says("opal", "06:00", "14 SPRAYED 8 OZ")
    assert [day for day in range(6, 13) if due(talk, 14, day).sites] == [6]


def test_a_sign_alone_makes_no_recheck(talk: Talk) -> None:
    talk.reply("luis", "05:00", f"14 {ALL_NOTHING}")
    talk.says("luis", "06:00", "14 POSTED")
    talk.says("june", "07:00", "14 OPEN")
    talk.says("june", "07:01", "1")
    assert [day for day in range(7, 13) if due(talk, 14, day).sites] == []


def test_hours_ended_by_a_supervisor_leave_the_recheck_due(talk: Talk) -> None:
    talk.reply("luis", "05:00", f"14 {ALL_NOTHING}")
    talk.says("opal", "06:00", "14 SPRAYED 120")
    talk.says("june", "2027-07-08T07:00", "14 OPEN")
    talk.says("june", "2027-07-08T07:01", "1")
    assert [day for day in range(7, 13) if due(talk, 14, day).sites] == [9, 10, 11, 12]


def test_a_recheck_is_made_once(talk: Talk) -> None:
    talk.reply("luis", "05:00", f"14 {ALL_NOTHING}")
    talk.says("opal", "06:00", "14 SPRAYED 24")
    talk.reply("luis", "2027-07-09T09:00", "14 1-4 0")
    assert due(talk, 14, 9).rechecks == {14}
    assert due(talk, 14, 10) == FieldDue((14,)), "unfinished, so still due, but no recheck any more"
    talk.reply("luis", "2027-07-09T09:10", "14 5-10 0")
    assert [day for day in range(10, 16) if due(talk, 14, day).sites] == []


def test_a_visit_before_the_first_day_of_the_recheck_does_not_take_its_place(talk: Talk) -> None:
    talk.reply("luis", "05:00", f"121 {ALL_NOTHING}")
    talk.says("opal", "06:00", "12 SPRAYED 24")
    for site in (123, 125):
        talk.reply("luis", "2027-07-08T09:00", f"{site} {ALL_NOTHING}")
    assert due(talk, 12, 9) == FieldDue((121, 123, 125), frozenset({121, 123, 125}))


def test_after_two_treatments_the_later_one_is_looked_at_again(talk: Talk) -> None:
    talk.reply("luis", "05:00", f"14 {ALL_NOTHING}")
    talk.says("opal", "06:00", "14 SPRAYED 24")
    talk.says("opal", "2027-07-08T06:00", "14 SPRAYED 24")
    assert [day for day in range(7, 13) if due(talk, 14, day).rechecks] == [11, 12]


def test_the_days_of_a_recheck_are_those_of_the_plan(tmp_path: Path) -> None:
    with talking(
        tmp_path, "talk.toml", ('sheet = "black"', 'sheet = "black"\nrecheck_days = [2, 4]')
    ) as talk:
        talk.says("opal", "06:00", "14 SPRAYED 24")
        with book_at(talk, "2027-07-07T09:00") as book:
            field = talk.hand.season.fields[14]
            (treatment,) = closures(book, field)
            assert recheck_days(book, field, treatment) == (date(2027, 7, 8), date(2027, 7, 10))


def test_who_had_a_recheck_in_his_plan_is_told_when_the_field_is_treated_again(talk: Talk) -> None:
    """standing.md: told at once is every scout who has it in today's plan."""
    talk.reply("luis", "05:00", f"14 {ALL_NOTHING}")
    talk.says("opal", "06:00", "14 SPRAYED 24")
    told = to(talk.says("opal", "2027-07-09T08:30", "14 SPRAYED 24"), "keepout")
    assert LUIS in dict(told)


def test_nobody_is_sent_into_a_shut_field(talk: Talk) -> None:
    talk.says("luis", "06:00", "14 POSTED")
    assert due(talk, 14, 6).sites == (14,)
    assert left(talk, 14, "2027-07-06T09:00") == []
