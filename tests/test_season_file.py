"""The season file: what a good one becomes, and where it is read from."""

from dataclasses import replace
from datetime import date, time
from fractions import Fraction
from pathlib import Path

import pytest

from bot.rules import (
    Also,
    Effort,
    Method,
    Person,
    PersonKey,
    Phase,
    Retention,
    RetentionRule,
    Role,
    Season,
    StageMark,
    StageSpan,
    Unit,
)
from bot.season_file import (
    Fault,
    SeasonFileUnreadable,
    SeasonText,
    faults_against,
    read_season,
    read_texts,
    shipped_books,
)

SEASONS = Path(__file__).parent.parent / "fixtures" / "seasons"

# The targets and shares that ship, with their codes: season.md, "Targets that ship".
SHIPPED_TARGETS = {
    "fleahopper": ("FA", "FN"),
    "lygus": ("LA", "LN"),
    "piratebug": ("MP",),
    "bigeyedbug": ("BE",),
    "ladybeetle": ("HC",),
    "spider": ("AR",),
    "armyworm": ("BW",),
    "stinkbug": ("SB",),
    "cloudedbug": ("CB",),
    "unknown": ("UK",),
}
SHIPPED_SHARES = {
    "squares": "SQ",
    "bollhurt": "BH",
    "dirtysquares": "DS",
    "dirtyblooms": "DW",
    "terminals": "TP",
    "eggs": "EG",
}


def season_of(texts: SeasonText) -> Season:
    """Read a season that is meant to have no faults."""
    season = read_season(texts)
    assert isinstance(season, Season), "\n".join(map(str, season))
    return season


def season_in(name: str) -> Season:
    return season_of(read_texts(SEASONS / name))


@pytest.fixture(scope="module")
def larkspur() -> Season:
    return season_in("larkspur.toml")


@pytest.fixture(scope="module")
def plain() -> Season:
    return season_in("plain.toml")


def test_the_season_has_its_name_its_zone_and_its_defaults(larkspur: Season) -> None:
    assert (larkspur.name, larkspur.timezone, larkspur.book) == (
        "Larkspur County cotton 2027",
        "America/Chicago",
        "midsouth",
    )
    assert (larkspur.emergency, larkspur.day_ends, larkspur.quiet) == (
        "911",
        time(18, 30),
        (time(21), time(8)),
    )
    assert (larkspur.reminder_hours, larkspur.silence_minutes) == (Fraction(2), 90)
    assert not larkspur.reviewed
    assert larkspur.morning is None
    assert larkspur.poison_line is None


def test_a_person_has_a_phone_in_one_form_and_a_crew(larkspur: Season) -> None:
    assert larkspur.people[PersonKey("beto")] == Person(
        key=PersonKey("beto"),
        name="Beto Luna",
        phone="+12705550115",
        roles=frozenset({Role.LEADER}),
        crew=(PersonKey("ana"), PersonKey("luis")),
    )
    assert larkspur.people[PersonKey("ramon")].phone == "+12705550131"


def test_a_number_may_pass_from_one_who_left_to_another(larkspur: Season) -> None:
    holder = larkspur.person_with("+12705550112")
    assert holder is not None
    assert holder.name == "Luis Vega"


def test_a_grower_may_be_without_a_phone(plain: Season) -> None:
    assert plain.people[PersonKey("opal")].phone is None


def test_sites_are_the_field_number_and_odd_digits_or_the_digits_listed(larkspur: Season) -> None:
    assert larkspur.fields[12].sites == (121, 123, 125)
    assert larkspur.fields[14].sites == (14,)
    assert larkspur.fields[16].sites == (162, 165)


@pytest.mark.parametrize(
    ("sites", "numbers"), [(2, (121, 123)), (4, (121, 123, 125, 127)), (5, (121, 123, 125, 127, 129))]
)
def test_so_many_sites_give_so_many_odd_digits(sites: int, numbers: tuple[int, ...]) -> None:
    texts = read_texts(SEASONS / "plain.toml")
    season = season_of(replace(texts, season=texts.season.replace("sites = 3", f"sites = {sites}")))
    assert season.fields[12].sites == numbers


def test_a_field_has_its_plans_in_the_order_of_the_season(larkspur: Season, plain: Season) -> None:
    assert plain.fields[12].plans == ((None, "sheets"),)
    assert plain.fields[14].plans == (
        (StageSpan(Phase.PRESQUARE), "sheets"),
        (StageSpan(Phase.BLOOM), "sweeps"),
    )
    assert [key for _, key in larkspur.fields[27].plans] == ["sweeps", "sequential", "sheets"]


def test_the_dates_of_a_field_are_marks_of_its_stage(larkspur: Season) -> None:
    assert larkspur.fields[31].stage_dates == (
        StageMark(date(2027, 6, 4), Phase.SQUARING),
        StageMark(date(2027, 6, 25), Phase.BLOOM),
        StageMark(date(2027, 8, 6), Phase.CUTOUT),
    )


def test_all_supervisors_are_a_fields_where_it_names_none(larkspur: Season) -> None:
    assert larkspur.fields[12].supervisors == (PersonKey("june"),)


def test_a_plan_has_its_card_its_effort_and_its_defaults(larkspur: Season) -> None:
    sheets = larkspur.plans["sheets"]
    assert (sheets.method, sheets.samples, sheets.each) == (
        Method.BEAT_SHEET,
        10,
        Effort(Fraction(3), Unit.ROW_FT),
    )
    assert sheets.codes == ("FA", "FN", "LA", "LN", "MP")
    assert (sheets.every_days, sheets.ask_above, sheets.recheck_days) == (7, 40, (3, 5))
    assert sheets.hours == (time(6, 30), time(11))
    assert sheets.stop is None
    assert sheets.level_wanted


def test_the_least_is_half_of_the_samples_rounded_up(larkspur: Season, plain: Season) -> None:
    assert larkspur.plans["looks"].least == 3
    assert plain.plans["sheets"].least == 5
    assert plain.plans["sweeps"].least == 2


def test_stop_lines_are_exact(larkspur: Season) -> None:
    stop = larkspur.plans["sequential"].stop
    assert stop is not None
    assert (stop.low, stop.high, stop.k, stop.alpha) == (
        Fraction(2),
        Fraction(4),
        Fraction(6, 5),
        Fraction(1, 10),
    )


def test_numbers_with_a_point_are_exact(plain: Season) -> None:
    assert plain.fields[12].row_spacing_in == Fraction(77, 2)


def test_the_catalogue_that_ships_is_in_every_season(plain: Season) -> None:
    codes = {key: tuple(column.code for column in target.columns) for key, target in plain.targets.items()}
    assert codes == SHIPPED_TARGETS | {"weevil": ("WV",)}
    assert {key: share.code for key, share in plain.shares.items()} == SHIPPED_SHARES


def test_what_is_written_of_a_share_that_ships_changes_it_and_no_more() -> None:
    texts = read_texts(SEASONS / "plain.toml")
    season = season_of(replace(texts, season=texts.season + '[shares.bollhurt]\ncode = "BH"\nlook = 50\n'))
    share = season.shares["bollhurt"]
    assert (share.code, share.look, share.name) == ("BH", 50, "bolls hurt inside")


def test_a_season_may_have_shares_of_its_own() -> None:
    texts = read_texts(SEASONS / "plain.toml")
    own = '[shares.mines]\nname = "leaves mined"\ncode = "MV"\nof = "leaves"\nsaid = "mined"\nlook = 40\n'
    share = season_of(replace(texts, season=texts.season + own)).share("MV")
    assert share is not None
    assert (share.key, share.of) == ("mines", "leaves")


def test_a_level_has_everything_that_its_row_says(plain: Season) -> None:
    sheet, sweep, weevil = plain.levels
    assert sheet.count == {"adult": 1, "nymph": Fraction(3, 2)}
    assert (sheet.low, sheet.high) == (Fraction(5, 2), Fraction(3))
    assert sheet.stages == ()
    assert sheet.others == {"cloudedbug": Fraction(3, 2)}
    assert sweep.also == Also({"nymph": Fraction(1)}, Fraction(4), Effort(Fraction(100), Unit.SWEEPS))
    assert sweep.retention == Retention(Fraction(80), inclusive=True, rule=RetentionRule.HALVE)
    assert weevil.id == "weevil-sheet"


def test_an_unverified_level_is_in_force_only_where_the_season_names_it(plain: Season) -> None:
    texts = read_texts(SEASONS / "plain.toml")
    accepting = texts.season.replace(
        'level_book = "plain_book.toml"',
        'level_book = "plain_book.toml"\naccept_unverified = ["lygus-sweep-recalled"]',
    )
    assert "lygus-sweep-recalled" not in [level.id for level in plain.levels]
    assert "lygus-sweep-recalled" in [
        level.id for level in season_of(replace(texts, season=accepting)).levels
    ]


def test_a_level_of_the_season_replaces_the_books_of_the_same_id() -> None:
    texts = read_texts(SEASONS / "plain.toml")
    row = """
[[level]]
id = "lygus-sheet"
target = "lygus"
count = { adult = 1, nymph = 1 }
method = "beat sheet"
stage = []
low = 5
per = "5 row ft"
"""
    first, *others = season_of(replace(texts, season=texts.season + row)).levels
    assert (first.id, first.low, first.high, first.source) == (
        "lygus-sheet",
        Fraction(5),
        Fraction(5),
        "season file",
    )
    assert [level.id for level in others] == ["lygus-sweep", "weevil-sheet"]


@pytest.mark.parametrize("name", shipped_books())
def test_every_book_that_ships_can_be_the_book_of_a_season(name: str, tmp_path: Path) -> None:
    text = (SEASONS / "plain.toml").read_text(encoding="utf-8")
    text = text.replace("plain_book.toml", name).replace("samples =", 'level = "none"\nsamples =')
    file = tmp_path / "season.toml"
    file.write_text(text, encoding="utf-8")
    season = season_of(read_texts(file))
    assert season.book == name
    assert any(level.id != "weevil-sheet" for level in season.levels)


def test_the_texts_are_kept_as_they_stand() -> None:
    texts = read_texts(SEASONS / "plain.toml")
    assert texts.season == (SEASONS / "plain.toml").read_text(encoding="utf-8")
    assert texts.book == (SEASONS / "plain_book.toml").read_text(encoding="utf-8")


def test_the_same_texts_make_the_same_season_again(larkspur: Season) -> None:
    assert season_in("larkspur.toml") == larkspur


def test_a_season_file_that_is_not_there_is_said_in_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(SeasonFileUnreadable, match=r"none\.toml cannot be read: No such file"):
        read_texts(tmp_path / "none.toml")


def test_a_season_file_that_is_no_text_is_said_in_a_sentence(tmp_path: Path) -> None:
    file = tmp_path / "season.toml"
    file.write_bytes(b"name = \xff")
    with pytest.raises(SeasonFileUnreadable, match="is not UTF-8 text: byte 8"):
        read_texts(file)


def test_a_mark_of_byte_order_is_no_part_of_the_text(tmp_path: Path) -> None:
    file = tmp_path / "season.toml"
    file.write_bytes(b"\xef\xbb\xbf[season]\n")
    assert read_texts(file).season == "[season]\n"


def test_the_same_season_again_has_nothing_against_it(larkspur: Season) -> None:
    assert faults_against(larkspur, larkspur) == ()


def test_a_season_of_another_name_does_not_go_into_the_same_database(larkspur: Season) -> None:
    (fault,) = faults_against(larkspur, replace(larkspur, name="Larkspur County cotton 2028"))
    assert fault.path == "season.name"


def test_a_field_may_be_renamed_and_a_new_one_added(plain: Season) -> None:
    renamed = replace(plain.fields[14], name="Pump House South")
    added = replace(plain.fields[14], number=27, sites=(27,), name="Mule Forty")
    assert faults_against(plain, replace(plain, fields={**plain.fields, 14: renamed, 27: added})) == ()


def test_a_site_may_not_become_a_field(plain: Season) -> None:
    taken = replace(plain.fields[14], number=121, sites=(121,), name="New Ground")
    assert faults_against(plain, replace(plain, fields={121: taken})) == (
        Fault("fields.121", "121 is a number of field 12 and may not leave it."),
    )


def test_a_field_may_not_become_a_site(plain: Season) -> None:
    old = replace(plain, fields={123: replace(plain.fields[14], number=123, sites=(123,))})
    (fault,) = faults_against(old, replace(plain, fields={12: plain.fields[12]}))
    assert fault.path == "fields.12.sites"


def test_two_fields_may_not_change_their_numbers_over(plain: Season) -> None:
    swapped = {
        12: replace(plain.fields[12], name="Pump House"),
        14: replace(plain.fields[14], name="Gin Road West"),
    }
    found = faults_against(plain, replace(plain, fields=swapped))
    assert [fault.path for fault in found] == ["fields.12.name", "fields.14.name"]
