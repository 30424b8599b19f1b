"""The level books that ship: their form, and published figures against the pages that they came from."""

import re
import tomllib
from decimal import Decimal
from fractions import Fraction
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest

import bot
from bot.rules import (
    LIFE_STAGES,
    Effort,
    Level,
    Method,
    Phase,
    RetentionRule,
    Stage,
    StageSpan,
    Unit,
    governing_row,
    parse_span,
)

Table = dict[str, Any]

BOOKS = {
    path.stem: tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)
    for path in sorted((Path(bot.__file__).parent / "levels").glob("*.toml"))
}


def rows_with(key: str) -> pytest.MarkDecorator:
    """Run a test once for each row of any book that has a key, named by book and row."""
    rows = {f"{name}:{row['id']}": row for name, book in BOOKS.items() for row in book["level"] if key in row}
    return pytest.mark.parametrize("row", rows.values(), ids=rows.keys())


ALWAYS = {"id", "stage", "low", "high", "per", "source", "verified"}

# Of the targets and shares that ship, those in the books, with their life stages and bases.
SIZES = {"adult", "nymph"}
TARGETS = {"fleahopper": SIZES, "lygus": SIZES, "cloudedbug": {"any"}, "stinkbug": {"any"}}
SHARE_BASES = {"bollhurt": Unit.BOLLS, "dirtysquares": Unit.SQUARES, "terminals": Unit.TERMINALS}


def effort(text: str) -> Effort:
    """Read an effort as a book spells it: NUMBER and unit."""
    found = re.fullmatch(rf"(\d+(?:\.\d+)?) ({'|'.join(Unit)})", text)
    assert found is not None, f"{text!r} is no effort"
    return Effort(Fraction(found[1]), Unit(found[2]))


def spans(row: Table) -> tuple[StageSpan, ...]:
    """Read the stretches of a row."""
    read = [parse_span(text) for text in row["stage"]]
    assert None not in read, f"{row['stage']} holds something that is no stretch of the season"
    return tuple(span for span in read if span is not None)


def alike(one: Table, other: Table) -> bool:
    """Tell whether two rows would govern the same stage, neither of them named more closely."""
    if any(one.get(key) != other.get(key) for key in ("target", "share", "method")):
        return False
    if not one["stage"] or not other["stage"]:
        return not one["stage"] and not other["stage"]
    return any(a.meets(b) for a in spans(one) for b in spans(other) if (a.week is None) is (b.week is None))


def is_number(value: object) -> bool:
    """Tell whether a value is a TOML number; true and false are none."""
    return isinstance(value, int | Decimal) and not isinstance(value, bool)


def level(row: Table) -> Level:
    """Give a count's row as the rules know it, as far as it takes to see which row governs."""
    return Level(
        id=row["id"],
        target=row["target"],
        share=None,
        method=Method(row["method"]),
        count={stage: Fraction(weight) for stage, weight in row["count"].items()},
        stages=spans(row),
        low=Fraction(row["low"]),
        high=Fraction(row["high"]),
        per=effort(row["per"]),
        source=row["source"],
        year=row.get("year"),
        verified=row["verified"],
        others={},
    )


def test_the_regions_asked_for_have_a_book() -> None:
    asked = "midsouth tennessee louisiana southeast texas-plains texas-coast arizona"
    assert set(asked.split()) <= BOOKS.keys()


@pytest.mark.parametrize("name", BOOKS)
def test_a_book_has_its_file_s_name_and_says_its_region(name: str) -> None:
    book = BOOKS[name]
    assert book.keys() - {"stop_time"} == {"book", "level"}
    assert book["book"].keys() == {"name", "region"}
    assert book["book"]["name"] == name
    assert book["book"]["region"].strip()


@pytest.mark.parametrize("name", BOOKS)
def test_an_id_stands_once_in_its_book(name: str) -> None:
    ids = [row["id"] for row in BOOKS[name]["level"]]
    assert sorted(set(ids)) == sorted(ids)


@pytest.mark.parametrize("name", BOOKS)
def test_no_two_rows_of_a_book_are_alike(name: str) -> None:
    pairs = combinations(BOOKS[name]["level"], 2)
    assert [(one["id"], other["id"]) for one, other in pairs if alike(one, other)] == []


@pytest.mark.parametrize("name", BOOKS)
def test_a_book_can_be_used_without_naming_any_row(name: str) -> None:
    assert [row["id"] for row in BOOKS[name]["level"] if row["verified"]]


@rows_with("id")
def test_a_row_has_the_keys_of_its_kind_and_no_others(row: Table) -> None:
    share = "share" in row
    needed = ALWAYS | ({"share"} if share else {"target", "count", "method"})
    assert needed <= row.keys() <= needed | {"year"} | (set() if share else {"with", "also", "retention"})


@rows_with("id")
def test_a_row_says_where_it_comes_from_and_whether_it_was_read_there(row: Table) -> None:
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", row["id"])
    assert row["source"].strip()
    assert isinstance(row["verified"], bool)
    assert 1950 <= row.get("year", 2000) <= 2025
    if "recalled" in row["source"]:
        assert not row["verified"]


@rows_with("id")
def test_a_level_is_a_positive_number_or_a_range_from_low_to_high(row: Table) -> None:
    assert is_number(row["low"])
    assert is_number(row["high"])
    assert 0 < row["low"] <= row["high"]


@rows_with("id")
def test_the_stretches_of_a_row_are_stretches_of_the_season_and_none_stands_twice(row: Table) -> None:
    assert len(set(spans(row))) == len(row["stage"])


@rows_with("id")
def test_a_level_is_per_a_unit_in_which_its_method_or_share_is_sampled(row: Table) -> None:
    per = effort(row["per"])
    assert per.amount > 0
    if "share" in row:
        assert per == Effort(Fraction(100), SHARE_BASES[row["share"]])
        assert row["high"] <= 100
    else:
        assert per.unit in Method(row["method"]).units


@rows_with("count")
def test_a_count_weighs_life_stages_that_its_target_has(row: Table) -> None:
    assert row["count"]
    assert row["count"].keys() <= TARGETS[row["target"]] <= set(LIFE_STAGES)
    assert all(is_number(weight) and weight > 0 for weight in row["count"].values())
    others = row.get("with", {})
    assert others.keys() <= TARGETS.keys() - {row["target"]}
    assert all(is_number(weight) and weight > 0 for weight in others.values())


@rows_with("also")
def test_a_second_count_belongs_to_a_sweep_net_row_and_is_part_of_the_first(row: Table) -> None:
    also = row["also"]
    assert also.keys() == {"count", "at_least", "per"}
    assert row["method"] == "sweep net"
    assert effort(also["per"]).unit is Unit.SWEEPS
    assert also["count"].keys() <= row["count"].keys()
    assert is_number(also["at_least"])
    assert 0 < also["at_least"] <= row["high"]


@rows_with("retention")
def test_a_retention_has_one_mark_in_percent_and_a_rule_and_bears_on_squaring(row: Table) -> None:
    assert len(row["retention"].keys() & {"below", "at_most"}) == 1
    mark = row["retention"].get("below", row["retention"].get("at_most"))
    assert row["retention"].keys() <= {"below", "at_most", "how"}
    assert 0 < mark < 100
    assert row["retention"]["how"] in set(RetentionRule)
    assert {span.phase for span in spans(row)} == {Phase.SQUARING}


PUBLISHED = """
# MSU Extension P2561, "Midsouth Multistate Evaluation of Treatment Thresholds for Tarnished Plant Bug"
midsouth | plantbug-bloom-sheet | 3 per 5 row ft in bloom | 2007
midsouth | plantbug-bloom-sweep | 12-15 per 100 sweeps in bloom | 2007
midsouth | plantbug-bloom-visual | 9-15 per 100 plants in bloom | 2007
louisiana | plantbug-bloom-sheet | 3 per 5 row ft in bloom | 2007
louisiana | plantbug-bloom-sweep | 12-15 per 100 sweeps in bloom | 2007
louisiana | plantbug-bloom-visual | 9-15 per 100 plants in bloom | 2007
mississippi | plantbug-bloom-sheet | 3 per 5 row ft in bloom | 2007
mississippi | plantbug-bloom-sweep | 12-15 per 100 sweeps in bloom | 2007
mississippi | plantbug-bloom-visual | 9-15 per 100 plants in bloom | 2007
tennessee | plantbug-bloom-sheet | 3 per 5 row ft in bloom | 2007
tennessee | plantbug-bloom-sweep | 12-15 per 100 sweeps in bloom | 2007
tennessee | plantbug-bloom-visual | 9-15 per 100 plants in bloom | 2007
# Southeast Farm Press, "Cotton growers get ready for plant bugs"
midsouth | plantbug-squaring-1-2-sweep | 8 per 100 sweeps in squaring 1, squaring 2; or below 80 | no year
# G. Lorenz, University of Arkansas, quoted in July 2021
midsouth | plantbug-squaring-sweep | 8 per 100 sweeps in squaring | 2021
# UT Extension, "Monitoring square retention is a valuable tool", 2014
tennessee | plantbug-squaring-1-2-sweep | 8 per 100 sweeps in squaring 1, squaring 2; halve at_most 80 | 2014
tennessee | plantbug-squaring-3-on-sweep | 15 per 100 sweeps in squaring 3+; halve at_most 80 | 2014
# UT Extension, "Cotton fleahoppers in cotton", 2012
tennessee | fleahopper-squaring-1-2-sweep | 16 per 100 sweeps in squaring 1, squaring 2 | 2012
# S. Brown, LSU AgCenter, quoted on 13 June 2019
louisiana | fleahopper-squaring-sweep | 2.5-6 per 25 sweeps in squaring | 2019
# LSU AgCenter, "Scouting and Control for Tarnished Plant Bug in Cotton", 2023
louisiana | plantbug-squaring-sweep | 8 per 100 sweeps in squaring; and at_most 80 | 2023
# Delta Farm Press, "Louisiana insect management decisions"
louisiana | stinkbug-sheet | 1 per 6 row ft in any stage | no year
louisiana | bollhurt | 15-20 per 100 bolls in any stage | no year
# P. Roberts, University of Georgia, 2024
southeast | plantbug-squaring-1-2-sweep | 8 per 100 sweeps in squaring 1, squaring 2; or below 80 | 2024
southeast | plantbug-squaring-3-on-sweep | 15 per 100 sweeps in squaring 3+; or below 80 | 2024
# Alabama Extension, "Alabama cotton insect situation", week of 12 July 2021
alabama | plantbug-squaring-sweep | 2 per 25 sweeps in squaring; or below 80 | 2021
alabama | plantbug-bloom-sheet | 3 per 5 row ft in bloom | 2021
southeast | plantbug-bloom-sheet | 3 per 5 row ft in bloom | 2021
# Alabama Extension, stink bugs, July 2020: hurt bolls by week of bloom
alabama | bollhurt-bloom-1 | 50 per 100 bolls in bloom 1 | 2020
alabama | bollhurt-bloom-2 | 30 per 100 bolls in bloom 2 | 2020
alabama | bollhurt-bloom-3-6 | 10 per 100 bolls in bloom 3, bloom 4, bloom 5, bloom 6 | 2020
alabama | bollhurt-bloom-7 | 20 per 100 bolls in bloom 7 | 2020
alabama | bollhurt-bloom-8 | 50 per 100 bolls in bloom 8 | 2020
southeast | bollhurt-bloom-1 | 50 per 100 bolls in bloom 1 | 2020
southeast | bollhurt-bloom-2 | 30 per 100 bolls in bloom 2 | 2020
southeast | bollhurt-bloom-3-6 | 10 per 100 bolls in bloom 3, bloom 4, bloom 5, bloom 6 | 2020
southeast | bollhurt-bloom-7 | 20 per 100 bolls in bloom 7 | 2020
southeast | bollhurt-bloom-8 | 50 per 100 bolls in bloom 8 | 2020
# NC State, "Scouting tarnished plant bug: how not to miss a spray", 2019; J. Bacheler, 2012 (bolls)
north-carolina | plantbug-squaring-sweep | 8 per 100 sweeps in squaring; and below 80 | 2019
north-carolina | plantbug-bloom-sheet | 2-3 per 5 row ft in bloom | 2019
north-carolina | bollhurt-bloom-3-5 | 10 per 100 bolls in bloom 3, bloom 4, bloom 5 | 2012
# Virginia Tech, Ag Pest Advisory
virginia | plantbug-squaring-sweep | 8 per 100 sweeps in squaring; and below 80 | no year
virginia | plantbug-bloom-sheet | 3 per 5 row ft in bloom | no year
# Clemson, July 2018
south-carolina | plantbug-squaring-sweep | 8 per 100 sweeps in squaring | 2018
# J. Greene, Southeast Farm Press, "Cotton in critical stage for stink bug damage"
south-carolina | stinkbug-sheet | 1 per 6 row ft in any stage | no year
southeast | stinkbug-sheet | 1 per 6 row ft in any stage | no year
# AgriLife Glasscock County, Scouting Report of 5 July 2019: square set under 90, 85, 75 %
texas-plains | fleahopper-squaring-1-visual | 25-30 per 100 terminals in squaring 1; and below 90 | 2019
texas-plains | fleahopper-squaring-2-visual | 25-30 per 100 terminals in squaring 2; and below 85 | 2019
texas-plains | fleahopper-squaring-3-on-visual | 25-30 per 100 terminals in squaring 3+; and below 75 | 2019
# B. Reed, AgriLife, "Fleahoppers and Lygus populations", Hale and Swisher counties, 2013
texas-plains | lygus-bloom-sheet | 1 per 2 row ft in bloom | 2013
# AgriLife, "Texas High Plains cotton: stink bug", 2020
texas-plains | stinkbug-sheet | 1 per 6 row ft in any stage | 2020
texas-plains | bollhurt-bloom-3-5 | 10-15 per 100 bolls in bloom 3, bloom 4, bloom 5 | 2020
texas-plains | bollhurt-bloom-6-on | 20-30 per 100 bolls in bloom 6+ | 2020
# AgriLife Mid-Coast IPM, 2017 and 2018; its page on cotton bugs (bolls)
texas-coast | fleahopper-squaring-visual | 15 per 100 plants in squaring, bloom 1 | 2018
texas-coast | bollhurt-bloom | 20 per 100 bolls in bloom, cutout | no year
# K. Crumley, AgriLife, Upper Coast, 2018 (lygus); Wharton County, 2021 (fleahopper)
texas-upper-coast | lygus-squaring-sheet | 2-3 per 6 row ft in squaring; and at_most 75 | 2018
texas-coast | lygus-squaring-sheet | 2-3 per 6 row ft in squaring; and at_most 75 | 2018
texas-upper-coast | fleahopper-squaring-visual | 15-25 per 100 plants in squaring | 2021
# AgriLife Blacklands, June 2019
texas-blacklands | fleahopper-squaring-visual | 10-15 per 100 terminals in squaring | 2019
# T. Pitts, OSU, "Watch for fleahoppers"
oklahoma | fleahopper-squaring-1-3-visual | 30-45 per 100 terminals in squaring 1, squaring 2, squaring 3 \
| no year
# K-State Entomology, "Cotton Insects: Fleahopper"
kansas | fleahopper-squaring-1-3-visual | 25-40 per 100 terminals in squaring 1, squaring 2, squaring 3; \
and below 75 | no year
kansas | fleahopper-squaring-1-3-sweep | 1-1.5 per 10 sweeps in squaring 1, squaring 2, squaring 3; \
and below 75 | no year
# Ellsworth & Barkley, University of Arizona, "Cost-Effective Lygus Management", 2001
arizona | lygus-bloom-sweep | 15 per 100 sweeps in bloom | 2001
# J. Econ. Entomol., "Investigation of the pest status of Lygus hesperus in cotton in central California"
california | lygus-sweep | 10 per 50 sweeps in any stage | no year
"""
"""Book, id, figure and year of rows read at their source, which is named above them."""

WAITING = """
# from memory: 10 % dirty squares in bloom (Mississippi, Tennessee, Arkansas)
midsouth | dirtysquares-bloom | 10 per 100 squares in bloom | no year
mississippi | dirtysquares-bloom | 10 per 100 squares in bloom | no year
tennessee | dirtysquares-bloom | 10 per 100 squares in bloom | no year
# from memory: Mississippi before bloom, as Tennessee; "per cloth" taken as 5 row feet
mississippi | plantbug-squaring-1-2-sweep | 8 per 100 sweeps in squaring 1, squaring 2; halve at_most 80 | no year
mississippi | plantbug-squaring-1-2-sheet | 1 per 5 row ft in squaring 1, squaring 2; halve at_most 80 | no year
mississippi | plantbug-squaring-3-on-sweep | 15 per 100 sweeps in squaring 3+; halve at_most 80 | no year
mississippi | plantbug-squaring-3-on-sheet | 2 per 5 row ft in squaring 3+; halve at_most 80 | no year
# UT Extension 2014, 1 and 2 "per shake"; "Looking ahead to cutout", from 3 to 5 "per drop cloth": as 5 row feet
tennessee | plantbug-squaring-1-2-sheet | 1 per 5 row ft in squaring 1, squaring 2; halve at_most 80 | 2014
tennessee | plantbug-squaring-3-on-sheet | 2 per 5 row ft in squaring 3+; halve at_most 80 | 2014
tennessee | plantbug-cutout-sheet | 5 per 5 row ft in cutout | no year
# Delta Farm Press, "Louisiana insect management decisions": 2.5 times the level past cutout (2.5 x 3; 12-15; 9-15)
louisiana | plantbug-cutout-sheet | 7.5 per 5 row ft in cutout | no year
louisiana | plantbug-cutout-sweep | 30-37.5 per 100 sweeps in cutout | no year
louisiana | plantbug-cutout-visual | 22.5-37.5 per 100 plants in cutout | no year
# the same: stink bugs, prints 5 %
louisiana | stinkbug-sweep | 5 per 100 sweeps in any stage | no year
# K-State Entomology: from 1 per 3 row feet to 1 per 1 row foot
kansas | fleahopper-squaring-1-3-sheet | 1-3 per 3 row ft in squaring 1, squaring 2, squaring 3; \
and below 75 | no year
# AgriLife, Lower Rio Grande Valley, May 2019: with squares being lost, whose marks were cut off
texas-coast | fleahopper-squaring-1-3-visual | 15-25 per 100 terminals in squaring 1, squaring 2, squaring 3 | 2019
# B. Reed, AgriLife, Hale and Swisher counties, 2013: at match-head square, with square drop
texas-plains | terminals-squaring | 25-35 per 100 terminals in squaring | 2013
texas-plains | lygus-squaring-sheet | 1 per 3.5 row ft in squaring | 2013
# from memory: AgriLife ENTO-075 (2018), statewide
texas-coast | lygus-squaring-1-2-sheet | 1-2 per 6 row ft in squaring 1, squaring 2 | 2018
texas-coast | lygus-squaring-1-2-sweep | 8 per 100 sweeps in squaring 1, squaring 2 | 2018
texas-coast | lygus-squaring-3-on-sheet | 2 per 6 row ft in squaring 3+ | 2018
texas-coast | lygus-squaring-3-on-sweep | 15 per 100 sweeps in squaring 3+ | 2018
texas-plains | lygus-squaring-1-2-sheet | 1-2 per 6 row ft in squaring 1, squaring 2 | 2018
texas-plains | lygus-squaring-1-2-sweep | 8 per 100 sweeps in squaring 1, squaring 2 | 2018
texas-plains | lygus-squaring-3-on-sheet | 2 per 6 row ft in squaring 3+ | 2018
texas-plains | lygus-squaring-3-on-sweep | 15 per 100 sweeps in squaring 3+ | 2018
"""
"""The same of rows recalled, or brought into a form that the source does not have."""


def row_of(book: str, row_id: str) -> Table:
    """Give the row of a book that has an id."""
    found: Table = next(row for row in BOOKS[book]["level"] if row["id"] == row_id)
    return found


def figure(row: Table) -> str:
    """Spell the figure of a row: its number or range, per what, when, and how retention bears on it."""
    number = f"{row['low']}" if row["low"] == row["high"] else f"{row['low']}-{row['high']}"
    spelled = f"{number} per {row['per']} in {', '.join(row['stage']) or 'any stage'}"
    retention = dict(row.get("retention", {}))
    how = retention.pop("how", None)
    return "".join([spelled, *(f"; {how} {side} {mark}" for side, mark in retention.items())])


def lines_of(table: str) -> list[list[str]]:
    """Split a table of figures into its lines of book, id, figure and year."""
    return [line.split(" | ") for line in table.split("\n") if line and not line.startswith("#")]


@pytest.mark.parametrize(("book", "row_id", "published", "year"), lines_of(PUBLISHED))
def test_a_row_says_what_its_source_says(book: str, row_id: str, published: str, year: str) -> None:
    row = row_of(book, row_id)
    assert figure(row) == published
    assert str(row.get("year", "no year")) == year
    assert row["verified"]


@pytest.mark.parametrize(("book", "row_id", "brought", "year"), lines_of(WAITING))
def test_a_row_recalled_or_converted_waits(book: str, row_id: str, brought: str, year: str) -> None:
    row = row_of(book, row_id)
    assert figure(row) == brought
    assert str(row.get("year", "no year")) == year
    assert not row["verified"]


def test_every_row_of_every_book_is_held_against_its_source_once() -> None:
    held = [(book, row_id) for book, row_id, *_ in lines_of(PUBLISHED) + lines_of(WAITING)]
    assert sorted(held) == sorted((name, row["id"]) for name, book in BOOKS.items() for row in book["level"])


@pytest.mark.parametrize("book", ["alabama", "southeast"])
def test_alabama_has_a_share_of_hurt_bolls_for_each_of_eight_weeks_of_bloom(book: str) -> None:
    # Alabama Extension, July 2020, weeks 1 to 8
    shares = {
        week: row["high"]
        for row in BOOKS[book]["level"]
        if row.get("share") == "bollhurt"
        for week in range(1, 12)
        if any(span.covers(Stage(Phase.BLOOM, week)) for span in spans(row))
    }
    assert shares == {1: 50, 2: 30, 3: 10, 4: 10, 5: 10, 6: 10, 7: 20, 8: 50}


def test_arizona_asks_for_nymphs_among_the_bugs() -> None:
    # Ellsworth & Barkley 2001: 15 in all and at least 4 nymphs
    also = {"count": {"nymph": 1}, "at_least": 4, "per": "100 sweeps"}
    assert row_of("arizona", "lygus-bloom-sweep")["also"] == also


WEIGHED = [
    # Alabama Extension 2021: adults alone in the net; a clouded plant bug is 1.5 on the sheet
    ("alabama", "plantbug-squaring-sweep", 1, None, {}),
    ("alabama", "plantbug-bloom-sheet", 1, 1, {"cloudedbug": Decimal("1.5")}),
    # UT Extension 2012: a fleahopper counts as half a plant bug
    ("tennessee", "plantbug-squaring-1-2-sweep", 1, 1, {"fleahopper": Decimal("0.5")}),
    # J. Econ. Entomol., pest status of L. hesperus in central California: a nymph counts as two adults
    ("california", "lygus-sweep", 1, 2, {}),
    ("southeast", "plantbug-bloom-sheet", 1, 1, {"cloudedbug": Decimal("1.5")}),
]
"""Rows whose source weighs bugs, or leaves some out, with their weights."""


@pytest.mark.parametrize(("book", "row_id", "adult", "nymph", "others"), WEIGHED)
def test_bugs_are_weighed_as_the_source_weighs_them(
    book: str, row_id: str, adult: int, nymph: int | None, others: Table
) -> None:
    row = row_of(book, row_id)
    assert (row["count"].get("adult"), row["count"].get("nymph")) == (adult, nymph)
    assert row.get("with", {}) == others


def test_all_other_rows_count_every_bug_of_their_target_as_one() -> None:
    weighed = {(book, row_id) for book, row_id, *_ in WEIGHED}
    for name, book in BOOKS.items():
        for row in book["level"]:
            if "target" in row and (name, row["id"]) not in weighed:
                assert row["count"] == dict.fromkeys(TARGETS[row["target"]], 1), (name, row["id"])
                assert "with" not in row


@pytest.mark.parametrize(
    ("book", "target", "method", "stage", "governs"),
    [
        ("midsouth", "lygus", Method.SWEEP_NET, Stage(Phase.SQUARING, 2), "plantbug-squaring-1-2-sweep"),
        ("midsouth", "lygus", Method.SWEEP_NET, Stage(Phase.SQUARING, 3), "plantbug-squaring-sweep"),
        ("midsouth", "lygus", Method.BEAT_SHEET, Stage(Phase.BLOOM, 2), "plantbug-bloom-sheet"),
        ("tennessee", "lygus", Method.SWEEP_NET, Stage(Phase.SQUARING, 3), "plantbug-squaring-3-on-sweep"),
        ("tennessee", "lygus", Method.BEAT_SHEET, Stage(Phase.BLOOM, 5), "plantbug-bloom-sheet"),
        ("tennessee", "lygus", Method.BEAT_SHEET, Stage(Phase.CUTOUT), None),
        ("texas-plains", "fleahopper", Method.VISUAL, Stage(Phase.BLOOM, 1), None),
        ("texas-coast", "fleahopper", Method.VISUAL, Stage(Phase.BLOOM, 1), "fleahopper-squaring-visual"),
        ("texas-coast", "fleahopper", Method.VISUAL, Stage(Phase.BLOOM, 2), None),
        ("louisiana", "stinkbug", Method.BEAT_SHEET, Stage(Phase.CUTOUT), "stinkbug-sheet"),
    ],
)
def test_rows_read_at_their_source_govern_by_themselves(
    book: str, target: str, method: Method, stage: Stage, governs: str | None
) -> None:
    rows = [level(row) for row in BOOKS[book]["level"] if "target" in row and row["verified"]]
    row = governing_row(rows, target, method, stage)
    assert (row.id if isinstance(row, Level) else row) == governs
