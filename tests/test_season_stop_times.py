"""Stop times after cutout: the rows that ship, and how a season names one."""

import tomllib
from importlib.resources import files
from pathlib import Path

import pytest

from bot.rules import HeatMethod, Season, StopTime
from bot.season_file import Fault, SeasonText, read_book, read_season, read_texts, shipped_books
from tests.conftest import Rowfoot

LARKSPUR = read_texts(Path(__file__).parent.parent / "fixtures" / "seasons" / "larkspur.toml")
ROW = '\n[[stop_time]]\nid = "own"\npest = "lygus"\nunits = 300\n'

# levels.md 2c, "After cutout: raise, then stop": heat units since cutout (NAWF 5). Each is FOUND in the source
# that the page names: S57-S59 Tennessee, S60 Arkansas, S61 Mississippi, S62 Louisiana, S63 Texas Upper Coast, S64
# North Carolina; S86 the High Plains (stink bugs).
PUBLISHED = {
    "tennessee": {("lygus", 250), ("lygus", 300), ("all", 350)},
    "midsouth": {("lygus", 250), ("bollworm", 350), ("stinkbug", 450)},
    "mississippi": {("lygus", 350)},
    "louisiana": {("lygus", 325), ("stinkbug", 475)},
    "texas-upper-coast": {("lygus", 350), ("stinkbug", 450)},
    "texas-plains": {("stinkbug", 450)},
    "north-carolina": {("lygus", 250)},
}


def read(*edits: tuple[str, str], more: str = "", book: str = "") -> Season | tuple[Fault, ...]:
    """Read the Larkspur season after some edits, with more at its end or at that of its book."""
    season = LARKSPUR.season
    for old, new in edits:
        assert old in season
        season = season.replace(old, new, 1)
    return read_season(SeasonText(season + more, LARKSPUR.book + book))


def season_with(*edits: tuple[str, str], more: str = "") -> Season:
    season = read(*edits, more=more)
    assert isinstance(season, Season), season
    return season


def faults_with(*edits: tuple[str, str], more: str = "", book: str = "") -> list[str]:
    found = read(*edits, more=more, book=book)
    assert not isinstance(found, Season)
    return [str(fault) for fault in found]


def named(value: str) -> tuple[str, str]:
    return ('country = "US"', f'country = "US"\nstop_heat_units = {value}')


def in_field_31(value: str) -> tuple[str, str]:
    return ("cutout = 2027-08-06", f"cutout = 2027-08-06\nstop_heat_units = {value}")


def test_the_published_stop_times_ship_each_with_its_source() -> None:
    shipped: dict[str, set[tuple[str, int]]] = {}
    for name in shipped_books():
        text = (files("bot") / "levels" / f"{name}.toml").read_text(encoding="utf-8")
        assert not isinstance(read_book(text), tuple)
        rows = tomllib.loads(text).get("stop_time", [])
        assert all(row["source"] for row in rows)
        assert len({row["id"] for row in rows}) == len(rows)
        if rows:
            shipped[name] = {(row["pest"], row["units"]) for row in rows}
    assert shipped == PUBLISHED


def test_no_season_has_a_stop_time_that_it_does_not_name() -> None:
    season = season_with()
    assert {field.stop_time for field in season.fields.values()} == {None}
    assert season.heat_method is HeatMethod.MEAN
    assert season.cutout_nawf == 5


def test_a_season_names_a_row_of_its_book() -> None:
    season = season_with(named('"arkansas-plantbug"'))
    row = StopTime("arkansas-plantbug", "lygus", 250, "Arkansas Extension", 2018)
    assert {field.stop_time for field in season.fields.values()} == {row}


def test_a_field_names_another_and_a_number_has_no_source() -> None:
    season = season_with(named("350"), in_field_31('"own"'), more=ROW)
    assert season.fields[31].stop_time == StopTime("own", "lygus", 300, "season file")
    assert season.fields[12].stop_time == StopTime(None, None, 350, None)


def test_a_row_of_the_season_replaces_that_of_the_book() -> None:
    more = ROW.replace('"own"', '"arkansas-plantbug"') + 'source = "Larkspur"\nyear = 2026\n'
    season = season_with(named('"arkansas-plantbug"'), more=more)
    assert season.fields[12].stop_time == StopTime("arkansas-plantbug", "lygus", 300, "Larkspur", 2026)


def test_the_way_of_counting_heat_is_named_in_the_season() -> None:
    more = 'country = "US"\nheat_method = "single triangle"\ncutout_nawf = 4.5'
    season = season_with(('country = "US"', more))
    assert (season.heat_method, float(season.cutout_nawf)) == (HeatMethod.SINGLE_TRIANGLE, 4.5)


def test_a_name_that_is_not_there_says_which_are() -> None:
    (fault,) = faults_with(named('"arkansas-plantbugs"'))
    assert fault == (
        "season.stop_heat_units: There is no [[stop_time]] arkansas-plantbugs; there are arkansas-plantbug, "
        "arkansas-bollworm and arkansas-stinkbug. Did you mean arkansas-plantbug?"
    )


WRONG = "This must be a whole number of heat units, 1 or more, or the id of a [[stop_time]] in quotes."


@pytest.mark.parametrize("value", ["0", "-350", "350.5", "true", '""', '" "', "[350]", "1000001", "nan"])
def test_what_is_neither_a_number_nor_a_name_is_a_fault(value: str) -> None:
    assert faults_with(in_field_31(value)) == [f"fields.31.stop_heat_units: {WRONG}"]


def test_all_that_is_wrong_with_rows_is_said_in_one_go() -> None:
    more = ROW + ROW + '\n[[stop_time]]\nid = "bare"\nunits = 0\nunit = 3\n'
    assert sorted(faults_with(more=more)) == [
        "stop_time.2.id: The id own is twice: stop_time.1 has it too.",
        "stop_time.3.pest: This key is required.",
        "stop_time.3.unit: There is no such key. Did you mean units?",
        "stop_time.3.units: This must be 1 or more.",
    ]


def test_a_row_of_a_book_needs_its_source_and_goes_by_its_id() -> None:
    assert faults_with(book=ROW) == ["book stop_time own.source: This key is required."]


def test_rows_that_are_no_list_are_a_fault() -> None:
    found = faults_with(more="\n[stop_time]\nunits = 3\n")
    assert found == ["stop_time: Stop times are written as [[stop_time]]."]


def test_another_way_of_counting_heat_is_a_fault() -> None:
    (fault,) = faults_with(('country = "US"', 'country = "US"\nheat_method = "double sine"'))
    assert fault == (
        "season.heat_method: There is no method of heat units double sine; write one of mean and single triangle."
    )


def test_the_stop_times_of_a_book_are_listed_with_its_levels(rowfoot: Rowfoot) -> None:
    printed = rowfoot.run("levels", "louisiana").stdout
    assert "  louisiana-plantbug: 325, plant bug (lygus), Delta Farm Press, Louisiana\n" in printed
    assert "After cutout" not in rowfoot.run("levels", "alabama").stdout
    listed = rowfoot.json("levels", "tennessee")["stop_times"]
    assert listed[0] == {
        "id": "tennessee-plantbug-250",
        "pest": "lygus",
        "units": 250,
        "source": "UT Extension",
        "year": 2015,
    }
