"""The commands about the crop: a field's series and heat units, and highs and lows from a file."""

from typing import Any

import pytest

from tests.conftest import LARKSPUR, Rowfoot

ANA, JUNE = "+12705550111", "+12705550120"
AT = ("--at", "2027-08-20T09:00")
HEADER = "day,high,low\n"
AUGUST = HEADER + "2027-08-06,90,60\n2027-08-07,90,70\n2027-08-09,95.5,70\n"


@pytest.fixture
def cutout(rowfoot: Rowfoot) -> Rowfoot:
    """The command with field 31 in cutout since Aug 6, watched until 50 heat units of a page that it names."""
    season = LARKSPUR.read_text(encoding="utf-8")
    season = season.replace("cutout = 2027-08-06", 'cutout = 2027-08-06\nstop_heat_units = "own"')
    season += '\n[[stop_time]]\nid = "own"\npest = "lygus"\nunits = 50\nsource = "Larkspur Extension"\nyear = 2026\n'
    file = rowfoot.folder / "season.toml"
    file.write_text(season, "utf-8")
    rowfoot.run("load", str(file))
    return rowfoot


def written(rowfoot: Rowfoot, text: str | bytes) -> str:
    file = rowfoot.folder / "august.csv"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    return str(file)


def load(rowfoot: Rowfoot, text: str) -> list[str]:
    return rowfoot.run("temperatures", written(rowfoot, text), *AT).stdout.splitlines()


def heat(rowfoot: Rowfoot, *more: str) -> Any:
    return rowfoot.json("crop", "31", *(more or AT))["heat"]


# Temperatures from a file


def test_a_file_of_highs_and_lows_says_what_changed(cutout: Rowfoot) -> None:
    assert load(cutout, AUGUST) == [
        "2027-08-06: high 90, low 60 F, 15.00 heat units",  # UT Extension, August 2013
        "2027-08-07: high 90, low 70 F, 20.00 heat units",  # UT Extension, August 2019
        "2027-08-09: high 95.5, low 70 F, 22.75 heat units",
        "3 days read, 3 changed, 0 as before.",
    ]
    assert load(cutout, AUGUST.replace("90,70", "91,70.0")) == [
        "2027-08-07: high 91, low 70.0 F, 20.50 heat units (was 90 and 70)",
        "3 days read, 1 changed, 2 as before.",
    ]


def test_columns_may_stand_in_any_order_and_lines_may_be_empty(cutout: Rowfoot) -> None:
    file = written(cutout, "\ufeffLow, Day ,HIGH\r\n\r\n60,2027-08-06,90\r\n")
    assert (
        cutout.run("temperatures", file, *AT).stdout.splitlines()[0].startswith("2027-08-06: high 90, low 60")
    )


def test_a_day_as_warm_at_its_low_as_at_its_high_is_a_day(cutout: Rowfoot) -> None:
    assert load(cutout, HEADER + "2027-08-06,70,70\n")[0] == "2027-08-06: high 70, low 70 F, 10.00 heat units"


def test_a_file_takes_the_place_of_a_text_and_a_text_of_a_file(cutout: Rowfoot) -> None:
    cutout.run("text", JUNE, "TEMP 97 71", "--at", "2027-08-07T09:00")
    assert load(cutout, HEADER + "2027-08-06,98,71\n")[0].endswith("(was 97 and 71)")
    cutout.run("text", JUNE, "TEMP 96 71", "--at", "2027-08-07T10:00")
    assert heat(cutout)["days"][0]["high"] == 96


def test_all_faults_of_a_file_come_in_one_go_with_their_lines_and_nothing_is_stored(cutout: Rowfoot) -> None:
    bad = HEADER + (
        "2027-08-06,90,60\n2027-8-7,90,70\n2027-08-08,60,90\n2027-08-09,hot,x\n2027-08-10,90\n2027-08-11,260,70\n"
        "2027-08-20,90,70\n2027-08-06,90,60\n2027-02-30,90,60\n2027-08-12,nan,1e3\n"
    )
    ended = cutout.run("temperatures", written(cutout, bad), *AT, status=1)
    head, *faults = ended.stderr.splitlines()
    assert head.endswith("august.csv: 11 faults, nothing stored.")
    assert [fault.strip() for fault in faults] == [
        "line 3: day '2027-8-7' is no date as 2027-08-04",
        "line 4: the high 60 is under the low 90",
        "line 5: high 'hot' is no number of degrees",
        "line 5: low 'x' is no number of degrees",
        "line 6: there are 2 values, the header has 3",
        "line 7: high 260 is not between -40 and 150 F",
        "line 8: 2027-08-20 is not over yet",
        "line 9: 2027-08-06 is in line 2 already",
        "line 10: day '2027-02-30' is no date as 2027-08-04",
        "line 11: high 'nan' is no number of degrees",
        "line 11: low '1e3' is no number of degrees",
    ]
    assert heat(cutout)["days"] == []


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "it is empty"),
        ("2027-08-06,90,60\n", "line 1: the header must be day,high,low"),
        ("day,high\n2027-08-06,90\n", "line 1: the header must be day,high,low"),
        ("day,high,low,rain\n", "line 1: the header must be day,high,low"),
        (HEADER, "no day follows its header"),
        (HEADER + "2027-08-06,36,22\n2027-08-07,38,24\n", "no high reaches 50 F: the file may be in Celsius"),
        (HEADER + '2027-08-06,"90,60\n', "it cannot be read as CSV"),
        (HEADER + "2027-08-06,9\x000,60\n", r"line 2: high '9\x000' is no number of degrees"),
        (b"day,high,low\n2027-08-06,90,\xff\n", "is not UTF-8"),
    ],
)
def test_a_file_that_is_none_is_told_why(cutout: Rowfoot, text: str | bytes, why: str) -> None:
    ended = cutout.run("temperatures", written(cutout, text), *AT, status=1)
    assert why in ended.stderr
    assert "Traceback" not in ended.stderr


def test_a_file_that_is_not_there_and_a_database_without_a_season_are_sentences(rowfoot: Rowfoot) -> None:
    assert "does not exist" in rowfoot.run("temperatures", "no.csv", status=2).stderr
    assert rowfoot.refusal("temperatures", written(rowfoot, AUGUST)).startswith("Error: ")


# A field's crop


def test_heat_units_since_cutout_come_by_day_with_those_that_are_missing(cutout: Rowfoot) -> None:
    load(cutout, AUGUST)
    shown = heat(cutout, "--at", "2027-08-11T09:00")
    assert shown["method"] == "mean"
    assert (shown["cutout"], shown["since"], shown["by"]) == ("2027-08-06", "2027-08-06", "2027-08-10")
    assert [(one["day"], one["units"], one["sum"]) for one in shown["days"]] == [
        ("2027-08-06", 15.0, 15.0),
        ("2027-08-07", 20.0, 35.0),
        ("2027-08-09", 22.75, 57.75),
    ]
    assert shown["missing"] == ["2027-08-08", "2027-08-10"]
    assert shown["total"] == 57.75
    assert shown["stop"] == {
        "id": "own",
        "pest": "lygus",
        "units": 50,
        "source": "Larkspur Extension",
        "year": 2026,
        "reached": True,
    }
    assert not heat(cutout, "--at", "2027-08-09T09:00")["stop"]["reached"]


def test_heat_units_may_be_summed_from_another_day(cutout: Rowfoot) -> None:
    load(cutout, AUGUST)
    shown = heat(cutout, "--since", "2027-08-07", "--at", "2027-08-10T09:00")
    assert (shown["since"], shown["total"], shown["missing"]) == ("2027-08-07", 42.75, ["2027-08-08"])
    assert shown["stop"]["reached"] is None  # its mark is of the sum since cutout
    before = cutout.json("crop", "12", "--since", "2027-08-06", "--at", "2027-08-10T09:00")["heat"]
    assert (before["cutout"], before["total"], before["stop"]) == (None, 57.75, None)


def test_stages_squares_and_nodes_stand_by_day(cutout: Rowfoot) -> None:
    for at, words in (
        ("2027-07-06T09:00", "121 SQ 88 100"),
        ("2027-07-06T09:10", "123 SQ 40 50"),
        ("2027-07-13T09:00", "121 1 SQ 20 25 / 2 SQ 21 25"),
        ("2027-07-20T09:00", "121 NAWF 6 5 5 7"),
        ("2027-07-27T09:00", "121 NAWF 5"),
    ):
        cutout.run("text", ANA, words, "--at", at)
    cutout.run("text", JUNE, "12 STAGE CUTOUT", "--at", "2027-07-28T09:00")
    shown = cutout.json("crop", "121", "--at", "2027-07-28T10:00")
    assert (shown["field"], shown["day"], shown["stage"]) == (12, "2027-07-28", "cutout")
    assert shown["stages"] == [
        {"since": "2027-06-07", "stage": "squaring 1", "by": None, "proposal": False},
        {"since": "2027-06-28", "stage": "bloom 1", "by": None, "proposal": False},
        {"since": "2027-07-28", "stage": "cutout", "by": "june", "proposal": False},
    ]
    assert shown["squares"] == [
        {"day": "2027-07-06", "n": 128, "of": 150},
        {"day": "2027-07-13", "n": 41, "of": 50},
    ]
    assert shown["nawf"] == [
        {"day": "2027-07-20", "number": 121, "mean": 5.75, "plants": [6.0, 5.0, 5.0, 7.0]},
        {"day": "2027-07-27", "number": 121, "mean": 5.0, "plants": [5.0]},
    ]
    assert [one["day"] for one in cutout.json("crop", "12", "--at", "2027-07-10T10:00")["squares"]] == [
        "2027-07-06"
    ]


def test_retention_is_of_the_newest_day_of_the_series_not_of_all_of_it(cutout: Rowfoot) -> None:
    cutout.run("text", ANA, "123 1 0", "--at", "2027-07-06T08:00")
    cutout.run("text", ANA, "123 SQ 99 100", "--at", "2027-07-06T09:00")
    cutout.run("text", ANA, "121 SQ 70 100", "--at", "2027-07-07T09:00")
    shown = cutout.json("crop", "12", "--at", "2027-07-08T09:00")
    assert [(one["n"], one["of"]) for one in shown["squares"]] == [(99, 100), (70, 100)]
    assert cutout.json("show", "12", "--day", "2027-07-07")["retention"] == {"n": 70, "of": 100}


def test_a_field_is_printed_as_a_person_reads_it(cutout: Rowfoot) -> None:
    load(cutout, AUGUST)
    printed = cutout.run("crop", "31", "--at", "2027-08-10T09:00").stdout
    assert "field 31 Old Dairy, 2027-08-10, stage cutout" in printed
    assert "at least 57.75 heat units (mean) since cutout on 2027-08-06, 1 day missing" in printed
    assert "50 of Larkspur Extension 2026, lygus: reached: yours to judge" in printed
    early = cutout.run("crop", "31", "--at", "2027-08-08T09:00").stdout
    assert "\n35 heat units (mean) since cutout on 2027-08-06\n" in early
    assert "lygus: not reached" in early
    assert "Not in cutout" in cutout.run("crop", "12", *AT).stdout


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("99",), "99 is neither a site nor a field of Larkspur County cotton 2027"),
        (("31", "--since", "August"), "'August' is no date as 2027-07-06"),
        (("31", "--since", "2027-08-20"), "2027-08-20 is not over yet; heat units are of days that are"),
        (("31", "--since", "0001-01-01"), "0001-01-01 is more than 366 days ago"),
    ],
)
def test_what_cannot_be_shown_is_a_sentence(cutout: Rowfoot, words: tuple[str, ...], why: str) -> None:
    assert cutout.refusal("crop", *words, *AT) == f"Error: {why}"
