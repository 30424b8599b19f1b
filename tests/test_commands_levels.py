"""The command that lists action levels: those in force in a season, those of a book, the books that ship."""

import tomllib
from collections.abc import Sequence
from decimal import Decimal
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from bot.season_file import shipped_books
from tests.conftest import LARKSPUR, Rowfoot

OWN_SHEET = """
[[level]]
id = "plantbug-bloom-sheet"
target = "lygus"
count = { adult = 1, nymph = 1.5 }
method = "beat sheet"
stage = ["bloom"]
low = 2.5
high = 3
per = "5 row ft"
source = "Larkspur Extension, [bold] note"
"""
"""The season's own row in place of a book's: invented figures."""

WEEVILS = """
[book]
name = "weevils"
region = "nowhere"

[[level]]
id = "weevil-sheet"
target = "weevil"
count = { any = 1 }
method = "beat sheet"
stage = ["bloom"]
low = 1
high = 2
per = "5 row ft"
source = "invented"
verified = true
"""
"""A book that counts a target that only the Larkspur season knows: invented figures."""

FAULTY = """
[book]
name = "faulty"

[[level]]
id = "lygus-sheet"
target = "lygus"
count = { adult = 1 }
method = "beat sheet"
stage = ["blom"]
low = 3
high = 2
per = "5 sweeps"
source = "invented"
verified = true
"""


def written(folder: Path, name: str, text: str) -> str:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def tennessee(rowfoot: Rowfoot, *accepted: str) -> Rowfoot:
    """Load the Larkspur season by Tennessee's book, with a row of its own in place of a book's."""
    text = LARKSPUR.read_text(encoding="utf-8").replace('"midsouth"', '"tennessee"')
    names = ", ".join(f'"{name}"' for name in accepted)
    text = text.replace('["dirtysquares-bloom"]', f"[{names}]")
    rowfoot.run("load", written(rowfoot.folder, "tennessee.toml", text + OWN_SHEET))
    return rowfoot


def ids(rows: Sequence[dict[str, Any]]) -> list[str]:
    return [row["id"] for row in rows]


def cells(printed: str) -> str:
    """Give what was printed with every run of blanks as one."""
    return " ".join(printed.split())


def block(printed: str, row_id: str) -> str:
    """Give the lines of a table that belong to a row: from its id to the next empty line."""
    lines = printed.split("\n")
    first = next(number for number, line in enumerate(lines) if line.split()[:1] == [row_id])
    last = next(number for number in range(first, len(lines)) if not lines[number].strip())
    return "\n".join(lines[first:last])


# A book


@pytest.mark.parametrize("name", shipped_books())
def test_a_book_is_listed_row_for_row_as_its_file_has_it(rowfoot: Rowfoot, name: str) -> None:
    text = (files("bot") / "levels" / f"{name}.toml").read_text(encoding="utf-8")
    book = tomllib.loads(text, parse_float=float)
    listed = rowfoot.json("levels", name)
    assert (listed["book"], listed["region"]) == (book["book"]["name"], book["book"]["region"])
    assert [
        {key: value for key, value in row.items() if value is not None} for row in listed["levels"]
    ] == book["level"]
    assert len({tuple(row) for row in listed["levels"]}) == 1  # all rows have the same keys


@pytest.mark.parametrize("name", shipped_books())
@pytest.mark.parametrize("columns", ["80", "120"])
def test_a_list_shows_every_id_and_level_within_the_screen(
    rowfoot: Rowfoot, monkeypatch: pytest.MonkeyPatch, name: str, columns: str
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    printed = rowfoot.run("levels", name).stdout
    assert max(map(len, printed.split("\n"))) <= int(columns)
    for row in rowfoot.json("levels", name)["levels"]:
        level = f"{row['low']}" if row["low"] == row["high"] else f"{row['low']}-{row['high']}"
        shown = block(printed, row["id"])
        assert f" {level} per " in shown
        assert ("unverified" in shown) is not row["verified"]
        assert (row["method"] or row["share"]) in shown


def test_a_row_is_listed_with_all_that_bears_on_it(rowfoot: Rowfoot, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "120")
    shown = block(rowfoot.run("levels", "tennessee").stdout, "plantbug-squaring-1-2-sweep")
    for said in ("UT Extension, square retention, 2014", "fleahopper x 0.5", "sweep net", "squaring 1-2"):
        assert said in shown
    assert "halved with at most 80 % of squares" in shown
    shown = block(rowfoot.run("levels", "arizona").stdout, "lygus-bloom-sweep")
    assert "and nymph: 4 or more per 100 sweeps" in shown
    shown = block(rowfoot.run("levels", "alabama").stdout, "plantbug-squaring-sweep")
    assert "lygus: adult only" in shown
    assert "or any bug with under 80 % of squares" in shown


@pytest.mark.parametrize(
    ("book", "row_id", "says"),
    [
        (
            "tennessee",
            "plantbug-squaring-1-2-sweep",
            "cotton fleahopper x 0.5, as far as the card has it | squaring 1-2 | "
            "8 per 100 sweeps: under 8 below, from 8 on above | "
            "with at most 80 % of squares on, half the level: 4 per 100 sweeps | "
            "UT Extension, square retention, 2014 | verified yes",
        ),
        (
            "kansas",
            "fleahopper-squaring-1-3-sweep",
            "1-1.5 per 10 sweeps: under 1 below, from 1 in range, from 1.5 on above | "
            "in range or above only with under 75 % of squares on | "
            "K-State Entomology, fleahopper, no year given",
        ),
        (
            "arizona",
            "lygus-bloom-sweep",
            "15 per 100 sweeps: | nymph: 4 or more per 100 sweeps, else below whatever the count",
        ),
        ("california", "lygus-sweep", "plant bug (lygus) | adult, nymph x 2 | any stage"),
        ("alabama", "plantbug-squaring-sweep", "under 80 % of squares on and a bug found, above whatever"),
        ("alabama", "bollhurt-bloom-3-6", "share bolls hurt inside (bollhurt) | stages bloom 3-6"),
        ("louisiana", "plantbug-cutout-sweep", "30-37.5 per 100 sweeps: | verified no: not read"),
        ("texas-coast", "fleahopper-squaring-visual", "squaring, bloom 1"),
        ("texas-plains", "stinkbug-sheet", "target stink bug (stinkbug) | counted every life stage"),
    ],
)
def test_a_row_is_shown_in_full_by_its_id(rowfoot: Rowfoot, book: str, row_id: str, says: str) -> None:
    printed = cells(rowfoot.run("levels", book, "--id", row_id).stdout)
    assert printed.startswith(f"id {row_id} book {book}, ")
    for said in says.split(" | "):
        assert said in printed


def test_several_rows_are_shown_in_the_order_asked_for(rowfoot: Rowfoot) -> None:
    asked = ("levels", "midsouth", "--id", "plantbug-bloom-visual", "--id", "plantbug-bloom-sheet")
    assert ids(rowfoot.json(*asked)["levels"]) == ["plantbug-bloom-visual", "plantbug-bloom-sheet"]
    printed = rowfoot.run(*asked).stdout
    assert printed.index("plantbug-bloom-visual") < printed.index("plantbug-bloom-sheet")


def test_figures_come_as_numbers_as_they_were_written(rowfoot: Rowfoot) -> None:
    (row,) = rowfoot.json("levels", "louisiana", "--id", "fleahopper-squaring-sweep")["levels"]
    assert (row["low"], row["high"], row["per"]) == (2.5, 6, "25 sweeps")
    assert isinstance(row["high"], int)


def test_a_book_that_ships_needs_no_database(tmp_path: Path) -> None:
    nowhere = Rowfoot(tmp_path, "sqlite:////nowhere/at/all.db")
    assert nowhere.json("levels", "arizona")["region"] == "Arizona"
    assert not list(tmp_path.iterdir())


def test_a_book_of_one_s_own_is_listed_by_its_path(rowfoot: Rowfoot) -> None:
    book = (files("bot") / "levels" / "oklahoma.toml").read_text(encoding="utf-8")
    path = written(rowfoot.folder, "mine.toml", book.replace("Oklahoma", "Larkspur"))
    listed = rowfoot.json("levels", path)
    assert (listed["region"], listed["levels"]) == ("Larkspur", rowfoot.json("levels", "oklahoma")["levels"])


def test_a_book_may_count_a_target_of_the_loaded_season(in_season: Rowfoot) -> None:
    path = written(in_season.folder, "weevils.toml", WEEVILS)
    assert ids(in_season.json("levels", path)["levels"]) == ["weevil-sheet"]
    assert "target boll weevil " in cells(in_season.run("levels", path, "--id", "weevil-sheet").stdout)


def test_a_target_that_no_season_knows_is_a_fault_of_the_book(rowfoot: Rowfoot) -> None:
    path = written(rowfoot.folder, "weevils.toml", WEEVILS)
    ended = rowfoot.run("levels", path, status=2)
    assert ended.stderr.splitlines() == [
        f"{path}: 1 fault.",
        "  book level weevil-sheet.target: There is no target weevil.",
    ]


def test_a_faulty_book_is_told_all_its_faults_as_at_loading(in_season: Rowfoot) -> None:
    path = written(in_season.folder, "faulty.toml", FAULTY)
    ended = in_season.run("levels", path, status=2)
    assert ended.stdout == ""
    heading, *faults = ended.stderr.splitlines()
    assert heading == f"{path}: 4 faults."
    season = LARKSPUR.read_text(encoding="utf-8").replace('"midsouth"', '"faulty.toml"')
    loading = in_season.run("load", written(in_season.folder, "season.toml", season), status=2)
    assert faults == [line for line in loading.stderr.splitlines() if line.startswith("  book ")]


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("", "  book book.name: This key is required."),
        ("= 1", "  book line 1: This is no TOML: Invalid statement."),
        (
            "[season]",
            "  book season: A level book holds [book], [[level]] and [[stop_time]], and nothing else.",
        ),
    ],
)
def test_a_file_that_is_no_book_is_told_why(rowfoot: Rowfoot, text: str, fault: str) -> None:
    path = written(rowfoot.folder, "none.toml", text)
    assert fault in rowfoot.run("levels", path, status=2).stderr.splitlines()


def test_an_unknown_book_is_refused_with_the_nearest_name(rowfoot: Rowfoot) -> None:
    said = rowfoot.refusal("levels", "tenessee")
    assert said.startswith("Error: There is no level book tenessee; the books that ship are alabama, ")
    assert said.endswith("virginia. Did you mean tennessee?")
    assert "mean" not in rowfoot.refusal("levels", "qqq")


def test_a_book_that_is_no_text_is_refused_in_a_sentence(rowfoot: Rowfoot) -> None:
    path = rowfoot.folder / "latin.toml"
    path.write_bytes(b'[book]\nname = "\xe9"')
    assert rowfoot.refusal("levels", str(path)) == f"Error: {path} is not UTF-8 text: byte 16 is none."


def test_an_unknown_row_is_refused_with_the_nearest_id(rowfoot: Rowfoot) -> None:
    assert rowfoot.refusal("levels", "midsouth", "--id", "plantbug-bloom-shet") == (
        "Error: There is no row plantbug-bloom-shet in the level book midsouth. "
        "Did you mean plantbug-bloom-sheet?"
    )


# The loaded season


def test_the_rows_in_force_say_whence_they_are(rowfoot: Rowfoot) -> None:
    listed = tennessee(rowfoot, "dirtysquares-bloom").json("levels")
    assert (listed["season"], listed["book"]) == ("Larkspur County cotton 2027", "tennessee")
    assert [(row["id"], row["from"], row["accepted"]) for row in listed["in_force"]] == [
        ("plantbug-squaring-1-2-sweep", "book", False),
        ("plantbug-squaring-3-on-sweep", "book", False),
        ("fleahopper-squaring-1-2-sweep", "book", False),
        ("plantbug-bloom-sheet", "season", False),
        ("plantbug-bloom-sweep", "book", False),
        ("plantbug-bloom-visual", "book", False),
        ("dirtysquares-bloom", "book", True),
        ("bollhurt-bloom", "season", False),
    ]
    replaced = {row["id"]: row["replaces"] for row in listed["in_force"] if row["replaces"]}
    (published,) = rowfoot.json("levels", "tennessee", "--id", "plantbug-bloom-sheet")["levels"]
    assert replaced == {"plantbug-bloom-sheet": published}


def test_the_rows_that_wait_are_those_unverified_and_not_accepted(rowfoot: Rowfoot) -> None:
    listed = tennessee(rowfoot, "dirtysquares-bloom").json("levels")
    book = rowfoot.json("levels", "tennessee")["levels"]
    assert listed["not_in_force"] == [
        row for row in book if not row["verified"] and row["id"] != "dirtysquares-bloom"
    ]


def test_a_season_s_rows_are_marked_for_people_too(rowfoot: Rowfoot, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "120")
    printed = tennessee(rowfoot, "dirtysquares-bloom").run("levels").stdout
    in_force, _, waiting = printed.partition("Not in force: 3 rows of the book")
    assert "8 rows in force" in in_force
    marks = {
        "plantbug-bloom-sweep": "of the book",
        "plantbug-bloom-sheet": "the season's, in place of the book's",
        "bollhurt-bloom": "the season's own",
        "dirtysquares-bloom": "of the book, unverified, accepted",
    }
    for row_id, mark in marks.items():
        assert mark in block(in_force, row_id)
    assert "Larkspur Extension, [bold] note" in in_force
    assert "5 per 5 row ft" in block(waiting, "plantbug-cutout-sheet")


def test_what_to_write_to_accept_a_row_is_said_and_does_it(rowfoot: Rowfoot) -> None:
    printed = tennessee(rowfoot, "dirtysquares-bloom").run("levels").stdout
    line = '  accept_unverified = ["dirtysquares-bloom", "plantbug-squaring-1-2-sheet"]'
    assert line in printed.split("\n")
    listed = tennessee(rowfoot, *tomllib.loads(line)["accept_unverified"]).json("levels")
    assert "plantbug-squaring-1-2-sheet" in ids(listed["in_force"])
    assert "plantbug-squaring-1-2-sheet" not in ids(listed["not_in_force"])


def test_a_season_that_accepts_every_row_is_not_told_how(in_season: Rowfoot) -> None:
    printed = in_season.run("levels").stdout
    assert "Not in force" not in printed
    assert "accept_unverified" not in printed


def test_a_row_of_a_season_is_shown_with_what_it_stands_for(rowfoot: Rowfoot) -> None:
    tennessee(rowfoot)
    own = cells(rowfoot.run("levels", "--id", "plantbug-bloom-sheet").stdout)
    assert "yes, the season's, in place of the book's: 3 per 5 row ft, MSU Extension P2561, 2007" in own
    waits = cells(rowfoot.run("levels", "--id", "plantbug-cutout-sheet").stdout)
    assert "in force no, as it is unverified and not accepted" in waits
    assert 'accept_unverified = ["plantbug-cutout-sheet"]' in waits
    one = rowfoot.json("levels", "--id", "plantbug-cutout-sheet")
    assert (ids(one["in_force"]), ids(one["not_in_force"])) == ([], ["plantbug-cutout-sheet"])
    assert rowfoot.refusal("levels", "--id", "plantbug-cutout") == (
        "Error: There is no row plantbug-cutout in Larkspur County cotton 2027 or its level book tennessee. "
        "Did you mean plantbug-cutout-sheet?"
    )


def test_the_row_that_a_site_is_shown_under_is_found_by_its_id(in_season: Rowfoot) -> None:
    shown = in_season.json("show", "121", "--day", "2027-07-06")["levels"]
    (row,) = in_season.json("levels", "--id", shown[0]["id"])["in_force"]
    assert (row["target"], row["source"], row["year"]) == ("lygus", "MSU Extension P2561", 2007)


def test_another_book_is_listed_beside_a_loaded_season(in_season: Rowfoot) -> None:
    assert in_season.json("levels", "virginia")["book"] == "virginia"


# No season


def test_without_a_season_the_books_that_ship_are_listed(rowfoot: Rowfoot) -> None:
    listed = rowfoot.json("levels")["books"]
    assert [one["book"] for one in listed] == list(shipped_books())
    for one in listed:
        rows = rowfoot.json("levels", one["book"])["levels"]
        assert one["rows"] == len(rows)
        assert one["unverified"] == sum(not row["verified"] for row in rows)
    printed = rowfoot.run("levels").stdout
    assert "No season is loaded" in printed
    assert "rowfoot levels BOOK" in printed
    assert ["midsouth", "US", "Mid-South", "6", "1"] in [line.split() for line in printed.split("\n")]


def test_without_a_season_a_row_is_asked_for_with_its_book(rowfoot: Rowfoot) -> None:
    assert "No season is loaded: name the book too" in rowfoot.refusal("levels", "--id", "lygus-sweep")


def test_the_exact_figures_of_a_book_pass_no_rounding(rowfoot: Rowfoot) -> None:
    book = WEEVILS.replace('"weevil"', '"stinkbug"').replace("low = 1", "low = 0.000001")
    path = written(rowfoot.folder, "fine.toml", book)
    (row,) = rowfoot.json("levels", path)["levels"]
    assert Decimal(str(row["low"])) == Decimal("0.000001")
    assert "0.000001-2 per 5 row ft" in rowfoot.run("levels", path, "--id", "weevil-sheet").stdout
