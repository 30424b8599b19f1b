"""Every row of every level book that ships, applied by the real rules: under, at and over each of its marks.

A row that was not read at its source is applied in a season that accepts it, and it alone.
"""

import math
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from importlib.resources import files
from itertools import product

import pytest

from bot.rules import (
    Column,
    Effort,
    Level,
    Method,
    Phase,
    Plan,
    Retention,
    RetentionRule,
    SampleFacts,
    Season,
    ShareFacts,
    SiteFigures,
    SquaresOn,
    Stage,
    Standing,
    VisitFacts,
    governing_row,
    rows_by_share,
    site_standing,
)
from bot.season_file import SeasonText, read_season, shipped_books

ABOVE, IN_RANGE, BELOW, UNKNOWN = Standing.ABOVE, Standing.IN_RANGE, Standing.BELOW, Standing.UNKNOWN

STAGES = [Stage(phase, week) for phase in Phase for week in (range(1, 13) if phase.has_weeks else (None,))]

SEASON = """
[season]
name = "Larkspur County cotton 2027"
timezone = "America/Chicago"
country = "US"
contact = "Larkspur Extension, 270-555-0100"
level_book = "{book}"
accept_unverified = [{accepted}]

[people.june]
name = "June Abbot"
phone = "+1 270 555 0120"
roles = ["supervisor"]

[fields.14]
name = "Pump House"
row_spacing_in = 38
plan = "sheets"

[plans.sheets]
method = "beat sheet"
samples = 10
each = {{ row_ft = 3 }}
card = ["LA", "LN"]
level = "none"
"""


def book_text(name: str) -> str:
    return (files("bot") / "levels" / f"{name}.toml").read_text(encoding="utf-8")


def season_with(name: str, *accepted: str) -> Season:
    """Read a season that goes by a book that ships, and accepts some of its unverified rows."""
    ids = ", ".join(f'"{row_id}"' for row_id in accepted)
    season = read_season(SeasonText(SEASON.format(book=name, accepted=ids), book_text(name)))
    assert isinstance(season, Season), "\n".join(map(str, season))
    return season


def row_in(season: Season, row_id: str) -> Level:
    return next(level for level in season.levels if level.id == row_id)


WRITTEN = {name: tomllib.loads(book_text(name))["level"] for name in shipped_books()}
SEASONS = {name: season_with(name) for name in shipped_books()}
SEASON_OF = {
    f"{name}:{row['id']}": SEASONS[name] if row["verified"] else season_with(name, row["id"])
    for name, rows in WRITTEN.items()
    for row in rows
}
"""The season in which a row is applied, by book and row."""

ROWS = {key: row_in(season, key.split(":")[1]) for key, season in SEASON_OF.items()}
COUNTS = {key: level for key, level in ROWS.items() if level.target is not None}
SHARES = {key: level for key, level in ROWS.items() if level.share is not None}

JUST = {-1: "just under", 0: "at", 1: "just over"}
"""Where a count is to a mark, by how many bugs more than it takes."""


def each_of(rows: Mapping[str, Level]) -> pytest.MarkDecorator:
    """Run a test once for each row, named by book and row."""
    return pytest.mark.parametrize(("key", "level"), rows.items(), ids=rows)


def marks_of(level: Level) -> dict[str, Fraction]:
    """Give a row's marks by name: its low and its high, and half of each where poor retention halves them."""
    marks = {"level": level.low} if level.low == level.high else {"low": level.low, "high": level.high}
    if level.retention is not None and level.retention.rule is RetentionRule.HALVE:
        marks |= {f"half {name}": mark / 2 for name, mark in marks.items()}
    return marks


def around_each_mark(rows: Mapping[str, Level]) -> pytest.MarkDecorator:
    """Run a test just under, at and just over each mark of each row, named so."""
    cases = [
        pytest.param(key, level, mark, more, id=f"{key} {JUST[more]} its {name}")
        for key, level in rows.items()
        for name, mark in marks_of(level).items()
        for more in JUST
    ]
    return pytest.mark.parametrize(("key", "level", "mark", "more"), cases)


def stages_of(key: str, level: Level) -> list[Stage]:
    """Give the stages in which a row governs its target and method, or its share, in its season."""
    rows = SEASON_OF[key].levels
    if level.share is not None:
        return [
            stage for stage in STAGES if rows_by_share([level.share], rows, stage).get(level.share) is level
        ]
    target, method = level.target, level.method
    assert target is not None
    assert method is not None
    return [stage for stage in STAGES if governing_row(rows, target, method, stage) is level]


@dataclass(frozen=True, slots=True)
class Site:
    """A site sampled by a row's method in a stage, its effort even over its samples, its bugs in the first."""

    key: str
    stage: Stage
    samples: int
    each: Fraction

    def stands(self, bugs: Mapping[str, int], squares: SquaresOn | None = None) -> SiteFigures:
        """Give its figures for the row's target with so many bugs by code."""
        level, season = COUNTS[self.key], SEASON_OF[self.key]
        assert level.method is not None
        plan = Plan(
            key="plan",
            method=level.method,
            samples=self.samples,
            each=Effort(self.each, level.per.unit),
            card=card_of(season, [level.target or "", *level.others]),
            ask_above=9999,
            least=1,
            every_days=7,
        )
        nothing = dict.fromkeys(plan.codes, 0)
        samples = tuple(
            SampleFacts(number, {**nothing, **bugs} if number == 1 else nothing, self.each)
            for number in range(1, self.samples + 1)
        )
        visit = VisitFacts(14, date(2027, 7, 6), plan, self.stage, season.levels, samples)
        return next(one for one in site_standing(visit, squares, alone=True) if one.target == level.target)


def looked_at(key: str, n: int, of: int) -> SiteFigures:
    """Give the figures of a row's share where n of so many were found, in the first stage in which it governs."""
    level, season = SHARES[key], SEASON_OF[key]
    stage = stages_of(key, level)[0]
    seen = (ShareFacts(level.share or "", n, of, look=of),)
    visit = VisitFacts(14, date(2027, 7, 6), season.plans["sheets"], stage, season.levels, (), shares=seen)
    return next(one for one in site_standing(visit, None, alone=True) if one.share is not None)


def card_of(season: Season, targets: Iterable[str]) -> tuple[Column, ...]:
    return tuple(column for target in targets for column in season.targets[target].columns)


def weighed(level: Level) -> dict[str, Fraction]:
    """Give a row's weights by code, the other targets that count in among them."""
    columns = card_of(next(iter(SEASONS.values())), [level.target or "", *level.others])
    own = {
        one.code: level.count[one.life_stage]
        for one in columns
        if one.target == level.target and one.life_stage in level.count
    }
    return own | {one.code: level.others[one.target] for one in columns if one.target in level.others}


def codes_of(level: Level, life_stages: Iterable[str]) -> list[str]:
    """Give the codes of a row's own target that count some life stages."""
    columns = card_of(next(iter(SEASONS.values())), [level.target or ""])
    return [one.code for one in columns if one.life_stage in life_stages]


def exact_site(key: str, level: Level, weight: Fraction) -> tuple[Site, int]:
    """Give a site where a whole number of bugs of a weight is at every mark, halved too; and its units.

    The site's effort is so many times the row's `per`: one bug is a hundredth of it, or less.
    """
    halves = [mark / weight / 2 for mark in (level.low, level.high)]
    units = 100 * math.lcm(*(mark.denominator for mark in halves))
    return Site(key, stages_of(key, level)[0], 4, level.per.amount * units / 4), units


def by_count(found: Fraction, low: Fraction, high: Fraction) -> Standing:
    """Give what standing.md says of a count alone, in its own words: >= high, low <= density < high, < low."""
    return ABOVE if found >= high else IN_RANGE if low <= found < high else BELOW


def squares_near(mark: Retention, more: int) -> SquaresOn:
    """Give squares on just under (-1), at (0) or just over (1) a mark of retention, in thousandths."""
    assert (mark.mark * 10).denominator == 1
    return SquaresOn(int(mark.mark * 10) + more, 1000)


def is_poor(mark: Retention, more: int) -> bool:
    """Tell what standing.md says of squares near a mark: `below = 80` is under 80, `at_most = 80` 80 or under."""
    return more < 0 or (mark.inclusive and more == 0)


def expected(level: Level, found: Fraction, poor: bool | None) -> Standing:
    """Give the standing that standing.md calls for, the second count holding; `poor` None: squares not known."""
    alone = by_count(found, level.low, level.high)
    match level.retention.rule if level.retention else None:
        case RetentionRule.AND if poor is None:
            return BELOW if alone is BELOW else UNKNOWN
        case RetentionRule.AND:
            return alone if poor else BELOW
        case RetentionRule.OR if poor:
            return ABOVE if found > 0 else BELOW
        case RetentionRule.HALVE if poor:
            return by_count(found, level.low / 2, level.high / 2)
        case _:
            return alone


def retentions(level: Level) -> Iterator[tuple[SquaresOn | None, bool | None]]:
    """Give squares not known, and squares about the mark of a row, each with whether they are poor."""
    yield None, None
    if level.retention is not None:
        for more in JUST:
            yield squares_near(level.retention, more), is_poor(level.retention, more)


@pytest.mark.parametrize("name", shipped_books())
def test_a_season_goes_by_every_verified_row_of_its_book(name: str) -> None:
    assert [level.id for level in SEASONS[name].levels] == [
        row["id"] for row in WRITTEN[name] if row["verified"]
    ]


@pytest.mark.parametrize("name", shipped_books())
def test_a_season_goes_by_all_rows_of_its_book_where_it_accepts_them(name: str) -> None:
    waiting = [row["id"] for row in WRITTEN[name] if not row["verified"]]
    assert [level.id for level in season_with(name, *waiting).levels] == [row["id"] for row in WRITTEN[name]]


@each_of(ROWS)
def test_a_row_governs_in_some_stage(key: str, level: Level) -> None:
    assert stages_of(key, level)


@around_each_mark(COUNTS)
def test_a_count_stands_as_the_row_says(key: str, level: Level, mark: Fraction, more: int) -> None:
    codes = weighed(level)
    if level.also is not None:
        codes = {code: codes[code] for code in codes_of(level, level.also.count)}
    assert codes
    for (code, weight), (squares, poor) in product(codes.items(), retentions(level)):
        site, units = exact_site(key, level, weight)
        bugs = mark * units / weight + more
        assert bugs.denominator == 1
        found = bugs * weight / units
        figures = site.stands({code: int(bugs)}, squares)
        assert figures.level is level
        assert figures.density == found
        assert figures.standing is expected(level, found, poor), f"{code} {found} per {level.per}, {squares}"


@pytest.mark.parametrize(
    ("key", "more"),
    [
        pytest.param(key, more, id=f"{key} {JUST[more]} its retention mark")
        for key, level in COUNTS.items()
        if level.retention
        for more in JUST
    ],
)
def test_retention_bears_on_a_row_on_its_poor_side_alone(key: str, more: int) -> None:
    level = COUNTS[key]
    mark = level.retention
    assert mark is not None
    code, weight = next(iter(weighed(level).items()))
    site, units = exact_site(key, level, weight)
    # a count that is above under poor retention only: at the high, at half of it, a single bug
    bugs = {
        RetentionRule.AND: level.high * units / weight,
        RetentionRule.HALVE: level.high * units / weight / 2,
        RetentionRule.OR: Fraction(1),
    }[mark.rule]
    assert mark.rule is not RetentionRule.HALVE or level.high / 2 < level.low
    figures = site.stands({code: int(bugs)}, squares_near(mark, more))
    assert figures.standing is (ABOVE if is_poor(mark, more) else BELOW)


@pytest.mark.parametrize(
    ("key", "more"),
    [
        pytest.param(key, more, id=f"{key} {JUST[more]} its second count")
        for key, level in COUNTS.items()
        if level.also
        for more in JUST
    ],
)
def test_a_second_count_must_hold_too(key: str, more: int) -> None:
    level = COUNTS[key]
    also = level.also
    assert also is not None
    (inside,), outside = codes_of(level, also.count), codes_of(level, level.count.keys() - also.count.keys())
    site, units = exact_site(key, level, Fraction(1))
    second = also.at_least * units * level.per.amount / also.per.amount
    assert second.denominator == 1
    whole = level.high * units
    figures = site.stands({inside: int(second) + more, outside[0]: int(whole - second) - more})
    assert figures.density == level.high
    assert (figures.standing, figures.judged.also_failed) == ((BELOW, True) if more < 0 else (ABOVE, False))


@each_of(COUNTS)
def test_bugs_of_every_weight_count_alike_to_the_mark(key: str, level: Level) -> None:
    for code, weight in weighed(level).items():
        site, units = exact_site(key, level, weight)
        bugs = level.high * units / weight
        assert site.stands({code: int(bugs)}).density == level.high


@each_of({key: level for key, level in COUNTS.items() if level.also})
def test_a_second_count_that_does_not_hold_keeps_a_row_below(key: str, level: Level) -> None:
    assert level.also is not None
    outside = codes_of(level, level.count.keys() - level.also.count.keys())
    site, units = exact_site(key, level, Fraction(1))
    figures = site.stands({outside[0]: int(level.high * units * 2)})
    assert (figures.standing, figures.judged.also_failed) == (BELOW, True)


@each_of({key: level for key, level in COUNTS.items() if level.retention})
def test_poor_retention_without_a_bug_is_below(key: str, level: Level) -> None:
    assert level.retention is not None
    site, _ = exact_site(key, level, Fraction(1))
    assert site.stands({}, squares_near(level.retention, -1)).standing is BELOW


@around_each_mark(SHARES)
def test_a_share_stands_as_the_row_says(key: str, level: Level, mark: Fraction, more: int) -> None:
    looked = 1000
    n = mark * looked / level.per.amount + more
    assert n.denominator == 1
    figures = looked_at(key, int(n), looked)
    assert figures.level is level
    assert figures.density == n * level.per.amount / looked
    assert figures.standing is by_count(n * level.per.amount / looked, level.low, level.high)


# By hand: literal counts, and the source of each


@pytest.mark.parametrize(
    ("key", "stage", "samples", "each", "bugs", "squares", "standing"),
    [
        # MSU Extension P2561, trial of 2006-07: 3 per 5 row ft in bloom. Ten sheets of 3 row ft: 18 bugs.
        ("midsouth:plantbug-bloom-sheet", "bloom 2", 10, 3, {"LA": 4, "LN": 13}, None, BELOW),
        ("midsouth:plantbug-bloom-sheet", "bloom 2", 10, 3, {"LA": 4, "LN": 14}, None, ABOVE),
        ("midsouth:plantbug-bloom-sheet", "bloom 2", 10, 3, {"LA": 5, "LN": 14}, None, ABOVE),
        # The same: 12-15 per 100 sweeps in bloom
        ("midsouth:plantbug-bloom-sweep", "bloom 1", 4, 25, {"LA": 11}, None, BELOW),
        ("midsouth:plantbug-bloom-sweep", "bloom 1", 4, 25, {"LA": 12}, None, IN_RANGE),
        ("midsouth:plantbug-bloom-sweep", "bloom 1", 4, 25, {"LA": 14}, None, IN_RANGE),
        ("midsouth:plantbug-bloom-sweep", "bloom 1", 4, 25, {"LA": 15}, None, ABOVE),
        # Southeast Farm Press: 8 per 100 sweeps OR under 80 % of squares on with bugs present, weeks 1-2
        ("midsouth:plantbug-squaring-1-2-sweep", "squaring 2", 4, 25, {"LA": 1}, (79, 100), ABOVE),
        ("midsouth:plantbug-squaring-1-2-sweep", "squaring 2", 4, 25, {"LA": 7}, (80, 100), BELOW),
        ("midsouth:plantbug-squaring-1-2-sweep", "squaring 2", 4, 25, {"LA": 8}, (95, 100), ABOVE),
        # UT Extension, June 2014: 8 per 100 sweeps in weeks 1-2, halved where 80 % or fewer squares are on;
        # June 2012: a fleahopper is half a plant bug
        ("tennessee:plantbug-squaring-1-2-sweep", "squaring 1", 4, 25, {"LA": 7}, (90, 100), BELOW),
        ("tennessee:plantbug-squaring-1-2-sweep", "squaring 1", 4, 25, {"LA": 8}, (90, 100), ABOVE),
        ("tennessee:plantbug-squaring-1-2-sweep", "squaring 2", 4, 25, {"LA": 3}, (80, 100), BELOW),
        ("tennessee:plantbug-squaring-1-2-sweep", "squaring 2", 4, 25, {"LA": 4}, (80, 100), ABOVE),
        ("tennessee:plantbug-squaring-1-2-sweep", "squaring 2", 4, 25, {"LA": 4}, (81, 100), BELOW),
        ("tennessee:plantbug-squaring-1-2-sweep", "squaring 1", 4, 25, {"FA": 15}, None, BELOW),
        ("tennessee:plantbug-squaring-1-2-sweep", "squaring 1", 4, 25, {"FA": 10, "FN": 6}, None, ABOVE),
        # UT Extension, June 2014: 15 per 100 sweeps from week 3
        ("tennessee:plantbug-squaring-3-on-sweep", "squaring 3", 4, 25, {"LA": 14}, None, BELOW),
        ("tennessee:plantbug-squaring-3-on-sweep", "squaring 3", 4, 25, {"LA": 15}, None, ABOVE),
        # Ellsworth & Barkley 2001, Univ. of Arizona: 15 in all AND at least 4 nymphs per 100 sweeps
        ("arizona:lygus-bloom-sweep", "bloom 3", 4, 25, {"LA": 11, "LN": 4}, None, ABOVE),
        ("arizona:lygus-bloom-sweep", "bloom 3", 4, 25, {"LA": 12, "LN": 3}, None, BELOW),
        ("arizona:lygus-bloom-sweep", "bloom 3", 4, 25, {"LA": 10, "LN": 4}, None, BELOW),
        # Glasscock Co., July 2019: 25-30 per 100 terminals AND square set under 90 % in week 1
        ("texas-plains:fleahopper-squaring-1-visual", "squaring 1", 100, 1, {"FA": 24}, (89, 100), BELOW),
        ("texas-plains:fleahopper-squaring-1-visual", "squaring 1", 100, 1, {"FA": 25}, (89, 100), IN_RANGE),
        ("texas-plains:fleahopper-squaring-1-visual", "squaring 1", 100, 1, {"FN": 29}, (89, 100), IN_RANGE),
        ("texas-plains:fleahopper-squaring-1-visual", "squaring 1", 100, 1, {"FN": 30}, (89, 100), ABOVE),
        ("texas-plains:fleahopper-squaring-1-visual", "squaring 1", 100, 1, {"FN": 30}, (90, 100), BELOW),
        ("texas-plains:fleahopper-squaring-1-visual", "squaring 1", 100, 1, {"FN": 30}, None, UNKNOWN),
        # the same, week 3 to first bloom: under 75 %
        ("texas-plains:fleahopper-squaring-3-on-visual", "squaring 4", 100, 1, {"FA": 30}, (75, 100), BELOW),
        ("texas-plains:fleahopper-squaring-3-on-visual", "squaring 4", 100, 1, {"FA": 30}, (74, 100), ABOVE),
        # Alabama Extension 2021: 3 per 5 row ft in bloom, a clouded plant bug counting 1.5
        ("alabama:plantbug-bloom-sheet", "bloom 4", 10, 3, {"LN": 3, "CB": 10}, None, ABOVE),
        ("alabama:plantbug-bloom-sheet", "bloom 4", 10, 3, {"LN": 2, "CB": 10}, None, BELOW),
        # UT, "Looking ahead to cutout": from 3 to 5 per drop cloth at cutout, taken as 5 row feet
        ("tennessee:plantbug-cutout-sheet", "cutout", 10, 3, {"LA": 9, "LN": 20}, None, BELOW),
        ("tennessee:plantbug-cutout-sheet", "cutout", 10, 3, {"LA": 10, "LN": 20}, None, ABOVE),
        # Delta Farm Press, Louisiana: 2.5 times the level past cutout, 7.5 per 5 row ft
        ("louisiana:plantbug-cutout-sheet", "cutout", 10, 3, {"LA": 14, "LN": 30}, None, BELOW),
        ("louisiana:plantbug-cutout-sheet", "cutout", 10, 3, {"LA": 15, "LN": 30}, None, ABOVE),
        # Stink bugs, High Plains 2020: 1 per 6 row ft, in any stage
        ("texas-plains:stinkbug-sheet", "cutout", 10, 3, {"SB": 5}, None, ABOVE),
        ("texas-plains:stinkbug-sheet", "cutout", 10, 3, {"SB": 4}, None, BELOW),
    ],
)
def test_published_levels_worked_by_hand(
    key: str,
    stage: str,
    samples: int,
    each: int,
    bugs: dict[str, int],
    squares: tuple[int, int] | None,
    standing: Standing,
) -> None:
    at = next(one for one in STAGES if str(one) == stage)
    site = Site(key, at, samples, Fraction(each))
    figures = site.stands(bugs, SquaresOn(*squares) if squares else None)
    assert figures.level is COUNTS[key]
    assert figures.standing is standing


@pytest.mark.parametrize(
    ("key", "hurt", "of", "standing"),
    [
        # High Plains 2020, weeks 3-5 of bloom: 10-15 % of bolls hurt inside
        ("texas-plains:bollhurt-bloom-3-5", 9, 100, BELOW),
        ("texas-plains:bollhurt-bloom-3-5", 2, 20, IN_RANGE),
        ("texas-plains:bollhurt-bloom-3-5", 3, 20, ABOVE),
        # from week 6: 20-30 %
        ("texas-plains:bollhurt-bloom-6-on", 3, 20, BELOW),
        ("texas-plains:bollhurt-bloom-6-on", 5, 20, IN_RANGE),
        ("texas-plains:bollhurt-bloom-6-on", 6, 20, ABOVE),
    ],
)
def test_published_shares_worked_by_hand(key: str, hurt: int, of: int, standing: Standing) -> None:
    assert looked_at(key, hurt, of).standing is standing


def test_three_methods_of_one_bug_have_each_their_own_level() -> None:
    # MSU Extension P2561: counts are never converted from one method to another
    rows = SEASONS["midsouth"].levels
    bloom = Stage(Phase.BLOOM, 2)
    found = {method: governing_row(rows, "lygus", method, bloom) for method in Method}
    marks = {method: (row.low, row.high) for method, row in found.items() if isinstance(row, Level)}
    assert marks == {
        Method.BEAT_SHEET: (Fraction(3), Fraction(3)),
        Method.SWEEP_NET: (Fraction(12), Fraction(15)),
        Method.VISUAL: (Fraction(9), Fraction(15)),
    }
