"""Every verified row of every level book that ships, applied by the real rules: under, at and over its level."""

import math
import tomllib
from collections.abc import Iterable, Mapping
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
    RetentionRule,
    SampleFacts,
    Season,
    SiteFigures,
    SquaresOn,
    Stage,
    Standing,
    VisitFacts,
    governing_row,
    judge,
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


def season_with(name: str) -> Season:
    """Read a season that goes by a book that ships."""
    season = read_season(SeasonText(SEASON.format(book=name), book_text(name)))
    assert isinstance(season, Season), "\n".join(map(str, season))
    return season


SEASONS = {name: season_with(name) for name in shipped_books()}
ROWS = {f"{name}:{level.id}": level for name, season in SEASONS.items() for level in season.levels}
COUNTS = {key: level for key, level in ROWS.items() if level.target is not None}
SHARES = {key: level for key, level in ROWS.items() if level.share is not None}


def each_of(rows: Mapping[str, Level]) -> pytest.MarkDecorator:
    """Run a test once for each row, named by book and row."""
    return pytest.mark.parametrize(("key", "level"), rows.items(), ids=rows)


def stages_of(key: str, level: Level) -> list[Stage]:
    """Give the stages in which a row governs its target and method in its book."""
    rows = SEASONS[key.split(":")[0]].levels
    method = level.method
    assert level.target is not None
    assert method is not None
    return [stage for stage in STAGES if governing_row(rows, level.target, method, stage) is level]


@dataclass(frozen=True, slots=True)
class Site:
    """A site sampled by a row's method in a stage, its effort even over its samples, its bugs in the first."""

    key: str
    stage: Stage
    samples: int
    each: Fraction

    def stands(self, bugs: Mapping[str, int], squares: SquaresOn | None = None) -> SiteFigures:
        """Give its figures for the row's target with so many bugs by code."""
        level, season = COUNTS[self.key], SEASONS[self.key.split(":")[0]]
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


def card_of(season: Season, targets: Iterable[str]) -> tuple[Column, ...]:
    return tuple(column for target in targets for column in season.targets[target].columns)


def weighed(level: Level) -> dict[str, Fraction]:
    """Give a row's weights by code, the other targets that count in among them."""
    columns = card_of(next(iter(SEASONS.values())), [level.target or "", *level.others])
    own = {one.code: level.count[one.life_stage] for one in columns if one.life_stage in level.count}
    return own | {one.code: level.others[one.target] for one in columns if one.target in level.others}


def exact_site(key: str, level: Level, weight: Fraction) -> tuple[Site, int]:
    """Give a site where a whole number of bugs of a weight is at every mark, halved too; and its units.

    The site's effort is so many times the row's `per`.
    """
    halves = [mark / weight / 2 for mark in (level.low, level.high)]
    units = 4 * math.lcm(*(mark.denominator for mark in halves))
    return Site(key, stages_of(key, level)[0], 4, level.per.amount * units / 4), units


def by_count(found: Fraction, low: Fraction, high: Fraction) -> Standing:
    """Give what standing.md says of a count alone, in its own words: >= high, low <= density < high, < low."""
    return ABOVE if found >= high else IN_RANGE if low <= found < high else BELOW


def around(level: Level) -> tuple[SquaresOn | None, SquaresOn | None]:
    """Give square retention just poor and just good enough by a row's mark, in thousandths; None without one."""
    if level.retention is None:
        return None, None
    mark = int(level.retention.mark * 10)
    poor = mark if level.retention.inclusive else mark - 1
    return SquaresOn(poor, 1000), SquaresOn(poor + 1, 1000)


def expected(level: Level, found: Fraction, squares: SquaresOn | None, *, poor: bool) -> Standing:
    """Give the standing that standing.md calls for, the second count holding."""
    alone = by_count(found, level.low, level.high)
    match level.retention.rule if level.retention else None:
        case RetentionRule.AND if squares is None:
            return BELOW if alone is BELOW else UNKNOWN
        case RetentionRule.AND:
            return alone if poor else BELOW
        case RetentionRule.OR if poor:
            return ABOVE if found > 0 else BELOW
        case RetentionRule.HALVE if poor:
            return by_count(found, level.low / 2, level.high / 2)
        case _:
            return alone


@pytest.mark.parametrize("name", shipped_books())
def test_a_season_goes_by_every_verified_row_of_its_book(name: str) -> None:
    rows = tomllib.loads(book_text(name))["level"]
    assert [level.id for level in SEASONS[name].levels] == [row["id"] for row in rows if row["verified"]]


@each_of(COUNTS)
def test_a_verified_row_governs_in_some_stage(key: str, level: Level) -> None:
    assert stages_of(key, level)


@each_of(COUNTS)
def test_a_count_stands_as_the_row_says_under_at_and_over_each_of_its_marks(key: str, level: Level) -> None:
    also = level.also.count if level.also else level.count
    codes = {
        column.code: level.count[column.life_stage]
        for column in card_of(SEASONS[key.split(":")[0]], [level.target or ""])
        if column.life_stage in level.count and column.life_stage in also
    }
    poor, good = around(level)
    for (code, weight), squares in product(codes.items(), {poor, good, None}):
        site, units = exact_site(key, level, weight)
        halved = level.retention is not None and level.retention.rule is RetentionRule.HALVE
        for mark, divisor, more in product((level.low, level.high), (1, 2) if halved else (1,), (-1, 0, 1)):
            bugs = mark * units / divisor / weight
            assert bugs.denominator == 1
            found = (bugs + more) * weight / units
            figures = site.stands({code: int(bugs) + more}, squares)
            assert figures.level is level
            assert figures.density == found
            wants = expected(level, found, squares, poor=squares is not None and squares == poor)
            assert figures.standing is wants, f"{code} {found} per {level.per}, squares {squares}"


@each_of(COUNTS)
def test_bugs_of_every_weight_count_alike_to_the_mark(key: str, level: Level) -> None:
    for code, weight in weighed(level).items():
        site, units = exact_site(key, level, weight)
        bugs = level.high * units / weight
        assert site.stands({code: int(bugs)}).density == level.high


@each_of({key: level for key, level in COUNTS.items() if level.also})
def test_a_second_count_that_does_not_hold_keeps_a_row_below(key: str, level: Level) -> None:
    assert level.also is not None
    outside = [
        column.code
        for column in card_of(SEASONS[key.split(":")[0]], [level.target or ""])
        if column.life_stage in level.count and column.life_stage not in level.also.count
    ]
    site, units = exact_site(key, level, Fraction(1))
    figures = site.stands({outside[0]: int(level.high * units * 2)})
    assert (figures.standing, figures.judged.also_failed) == (BELOW, True)


@each_of({key: level for key, level in COUNTS.items() if level.retention})
def test_poor_retention_without_a_bug_is_below(key: str, level: Level) -> None:
    poor, _ = around(level)
    site, _ = exact_site(key, level, Fraction(1))
    assert site.stands({}, poor).standing is BELOW


@each_of(SHARES)
def test_a_share_stands_as_the_row_says_under_at_and_over_each_of_its_marks(key: str, level: Level) -> None:
    looked = 1000
    for mark, more in product((level.low, level.high), (-1, 0, 1)):
        n = mark * looked / level.per.amount + more
        found = n * level.per.amount / looked
        assert n.denominator == 1, key
        assert judge(level, found, None, None).standing is by_count(found, level.low, level.high)


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
    level = SHARES[key]
    assert judge(level, Fraction(hurt, of) * level.per.amount, None, None).standing is standing


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
