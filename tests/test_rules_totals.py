"""Sums, effort and density of a visit made by hand; the makers of rows and visits serve the other tests of rules."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.rules import (
    Also,
    Column,
    Effort,
    Level,
    Method,
    Phase,
    Plan,
    Retention,
    SampleFacts,
    SquaresOn,
    Stage,
    StageSpan,
    Unit,
    VisitEnd,
    VisitFacts,
    column_sums,
    density,
    parse_span,
    pooled,
    row_feet_an_acre,
    weights_on,
)
from parsing import TOTALS

Counts = Mapping[str, int | None]

CODES = {
    "FA": ("fleahopper", "adult"),
    "FN": ("fleahopper", "nymph"),
    "LA": ("lygus", "adult"),
    "LN": ("lygus", "nymph"),
    "MP": ("piratebug", "any"),
    "CB": ("cloudedbug", "any"),
}
UNIT_OF = {
    Method.BEAT_SHEET: Unit.ROW_FT,
    Method.SWEEP_NET: Unit.SWEEPS,
    Method.BEAT_BUCKET: Unit.PLANTS,
    Method.VISUAL: Unit.TERMINALS,
}
BLOOM_2 = Stage(Phase.BLOOM, 2)
BOTH_SIZES = {"adult": Fraction(1), "nymph": Fraction(1)}


def card_of(*codes: str) -> tuple[Column, ...]:
    """Give a card of codes that ship."""
    return tuple(Column(code, *CODES[code]) for code in codes)


def make_plan(
    codes: str = "LA LN",
    *,
    samples: int = 10,
    each: Fraction | int = 3,
    method: Method = Method.BEAT_SHEET,
    least: int | None = None,
) -> Plan:
    """Give a plan: ten sheets of 3 row feet, unless said otherwise; `least` is half of them, rounded up."""
    return Plan(
        key="plan",
        method=method,
        samples=samples,
        each=Effort(Fraction(each), UNIT_OF[method]),
        card=card_of(*codes.split()),
        ask_above=40,
        least=-(-samples // 2) if least is None else least,
        every_days=7,
    )


def make_level(
    id_: str = "row",
    *,
    target: str = "lygus",
    method: Method = Method.BEAT_SHEET,
    count: Mapping[str, Fraction] = BOTH_SIZES,
    stages: Sequence[str] = (),
    low: Fraction | int = 3,
    high: Fraction | int | None = None,
    per: int = 5,
    others: Mapping[str, Fraction] | None = None,
    also: Also | None = None,
    retention: Retention | None = None,
) -> Level:
    """Give a row of a level book: 3 per 5 row feet, unless said otherwise."""
    spans: list[StageSpan] = []
    for text in stages:
        span = parse_span(text)
        assert span is not None
        spans.append(span)
    return Level(
        id=id_,
        target=target,
        share=None,
        method=method,
        count=count,
        stages=tuple(spans),
        low=Fraction(low),
        high=Fraction(low if high is None else high),
        per=Effort(Fraction(per), UNIT_OF[method]),
        source="made up",
        year=None,
        verified=True,
        others=others or {},
        also=also,
        retention=retention,
    )


def make_visit(
    counts: Sequence[Counts],
    *rows: Level,
    plan: Plan | None = None,
    site: int = 12,
    short: bool = False,
    skipped: bool = False,
    stage: Stage | None = BLOOM_2,
    each: Fraction | None = None,
    lost: Sequence[int] = (),
    each_now: Fraction | int | None = None,
) -> VisitFacts:
    """Give a visit with a sample for each of some counts (codes left out are 0), numbered from 1.

    `each` is the effort of the samples that are in, `each_now` of those to come, where they are not the plan's.
    """
    under = plan or make_plan()
    nothing = dict.fromkeys(under.codes, 0)
    samples = tuple(
        SampleFacts(number, {**nothing, **found}, each or under.each.amount, lost=number in lost)
        for number, found in enumerate(counts, start=1)
    )
    return VisitFacts(
        site=site,
        day=date(2027, 7, 6),
        plan=under,
        stage=stage,
        rows=rows,
        samples=samples,
        short=short,
        skipped=skipped,
        each=None if each_now is None else Fraction(each_now),
    )


def make_sums(
    covers: int,
    found: Counts,
    *rows: Level,
    plan: Plan | None = None,
    each: Fraction | int | None = None,
    each_now: Fraction | int | None = None,
) -> VisitFacts:
    """Give a visit of which the sums over some samples are in, each of the plan's effort or of another."""
    under = plan or make_plan()
    effort = under.each.amount if each is None else Fraction(each)
    counts = {**dict.fromkeys(under.codes, 0), **found}
    sums = SampleFacts(TOTALS, counts, effort, covers=covers)
    return replace(make_visit([], *rows, plan=under, each_now=each_now), samples=(sums,))


LYGUS = {"LA": Fraction(1), "LN": Fraction(1)}
PER_5 = Effort(Fraction(5), Unit.ROW_FT)


@pytest.mark.parametrize(
    ("spacing_in", "row_feet"),
    # 43,560 / (spacing in ft). 30 in: 17,424 and 36 in: 14,520 exactly; 38 in: 13,756 to the nearest foot
    # (levels.md section 5, its S85 and computed); 40 in: 13,068 (common practice).
    [(30, 17_424), (36, 14_520), (38, 13_756), (40, 13_068)],
)
def test_an_acre_has_so_many_row_feet(spacing_in: int, row_feet: int) -> None:
    assert round(row_feet_an_acre(Fraction(spacing_in))) == row_feet


def test_three_bugs_in_5_row_feet_of_38_inch_rows_are_8253_an_acre() -> None:
    # levels.md section 5, computed: 0.6 x 13,756 = 8,253 bugs an acre
    assert int(Fraction(3, 5) * row_feet_an_acre(Fraction(38))) == 8253


def test_ten_sheets_of_3_row_feet_are_30_row_feet() -> None:
    # Common practice: 18 in of row on each side, so 3 row feet a sheet; 10 sheets a site
    visit = make_visit([{}] * 10)
    assert density(visit, LYGUS).effort == 30


def test_18_bugs_in_30_row_feet_are_exactly_3_in_5() -> None:
    visit = make_visit([{"LA": 1}] * 8 + [{"LN": 5}] * 2)
    assert density(visit, LYGUS).per(PER_5) == 3


def test_the_design_s_own_example_is_two_and_seven_ninths() -> None:
    # season.md, `show 121 --json`: 5 bugs in 9 row feet are 2.777... in 5
    found = density(make_visit([{"LN": 1}, {}, {"LA": 1, "LN": 3}]), LYGUS)
    assert [found.total, found.effort, found.per(PER_5)] == [5, 9, Fraction(25, 9)]


def test_a_column_not_counted_takes_its_sample_s_effort_out() -> None:
    found = density(make_visit([{"LA": 2}, {"LA": 9, "LN": None}, {"LN": 1}]), LYGUS)
    assert [found.total, found.effort] == [3, 6]


def test_an_x_in_another_target_s_column_takes_nothing_out() -> None:
    visit = make_visit([{"LA": 2, "FN": None}], plan=make_plan("FA FN LA LN"))
    assert density(visit, LYGUS).effort == 3
    assert density(visit, {"FA": Fraction(1)}).effort == 3
    assert density(visit, {"FN": Fraction(1)}).effort == 0


def test_nothing_counted_is_no_density() -> None:
    assert density(make_visit([]), LYGUS).per(PER_5) is None
    assert density(make_visit([{"LA": None}, {"LN": None}]), LYGUS).per(PER_5) is None


def test_a_lost_sample_is_not_in() -> None:
    visit = make_visit([{"LA": 2}, {"LA": 40}], lost=[2])
    assert [density(visit, LYGUS).total, density(visit, LYGUS).effort] == [2, 3]
    assert visit.samples_in == 1
    assert visit.missing == tuple(range(2, 11))


def test_each_sample_keeps_its_own_effort() -> None:
    plan = make_plan()
    samples = (
        SampleFacts(1, {"LA": 2, "LN": 0}, Fraction(3)),
        SampleFacts(2, {"LA": 1, "LN": 1}, Fraction(2)),
    )
    visit = VisitFacts(12, date(2027, 7, 6), plan, None, (), samples)
    assert density(visit, LYGUS).per(PER_5) == 4


def test_weights_follow_the_life_stages_and_the_targets_that_the_card_has() -> None:
    count = {"adult": Fraction(1), "nymph": Fraction(2)}
    others = {"cloudedbug": Fraction(3, 2), "fleahopper": Fraction(1, 2)}
    card = card_of("FA", "LA", "LN", "MP", "CB")
    assert weights_on(card, "lygus", count, others) == {
        "FA": Fraction(1, 2),
        "LA": Fraction(1),
        "LN": Fraction(2),
        "CB": Fraction(3, 2),
    }
    assert weights_on(card_of("LA", "LN"), "lygus", count, others) == {"LA": 1, "LN": 2}
    assert weights_on(card, "lygus", {"nymph": Fraction(1)}, {}) == {"LN": 1}


def test_another_target_not_counted_takes_the_effort_out_where_it_counts_in() -> None:
    plan = make_plan("LA LN CB")
    weights = weights_on(plan.card, "lygus", BOTH_SIZES, {"cloudedbug": Fraction(3, 2)})
    found = density(make_visit([{"LA": 1, "CB": 2}, {"LA": 1, "CB": None}], plan=plan), weights)
    assert [found.total, found.effort] == [4, 3]


def test_what_is_to_come_is_the_rest_of_the_plan() -> None:
    """A visit that was ended short may go on: "that site's planned effort" is the plan's (standing.md, A field)."""
    assert density(make_visit([{}] * 4), LYGUS).to_come == 18
    assert density(make_visit([{}] * 10), LYGUS).to_come == 0
    assert density(make_visit([{}] * 5, short=True), LYGUS).to_come == 15
    assert density(make_visit([{"LN": None}, {}]), LYGUS).to_come == 24


@pytest.mark.parametrize(
    ("samples", "short", "skipped", "end", "too_short"),
    [
        (0, False, True, VisitEnd.SKIPPED, False),
        (9, False, False, VisitEnd.OPEN, False),
        (10, False, False, VisitEnd.DONE, False),
        (10, True, False, VisitEnd.DONE, False),
        (5, True, False, VisitEnd.SHORT, False),  # least is half of ten
        (4, True, False, VisitEnd.SHORT, True),
    ],
)
def test_a_visit_is_done_short_skipped_or_open(
    samples: int, *, short: bool, skipped: bool, end: VisitEnd, too_short: bool
) -> None:
    visit = make_visit([{}] * samples, short=short, skipped=skipped)
    assert (visit.end, visit.too_short) == (end, too_short)


# Sums over several samples, and another effort of one


def test_sums_count_as_the_samples_that_they_cover() -> None:
    # texts.md, 121 TOTAL 10 FA31 FN12: 43 fleahoppers on ten sheets of 3 row feet are 43 x 5 / 30 = 7 1/6 in 5
    visit = make_sums(10, {"FA": 31, "FN": 12}, plan=make_plan("FA FN LA LN MP"))
    assert density(visit, {"FA": Fraction(1), "FN": Fraction(1)}).per(PER_5) == Fraction(43, 6)
    assert density(visit, LYGUS).per(PER_5) == 0
    assert (visit.samples_in, visit.end, visit.missing) == (10, VisitEnd.DONE, ())
    assert column_sums(visit) == {"FA": 31, "FN": 12, "LA": 0, "LN": 0, "MP": 0}


def test_sums_over_part_of_the_plan_leave_the_rest_to_come() -> None:
    # 6 x 3 row feet are in, 4 x 3 to come; which numbers are missing nobody said
    visit = make_sums(6, {"LA": 9})
    found = density(visit, LYGUS)
    assert [found.total, found.effort, found.to_come] == [9, 18, 12]
    assert (visit.samples_in, visit.end, visit.missing) == (6, VisitEnd.OPEN, ())


def test_sums_may_stand_beside_samples() -> None:
    # 18 + 2 x 3 row feet with 9 + 3 bugs: 12 x 5 / 24 = 5/2
    sums = make_sums(6, {"LA": 9}).samples
    visit = replace(
        make_visit([{"LA": 1}, {"LN": 2}]), samples=(*sums, *make_visit([{"LA": 1}, {"LN": 2}]).samples)
    )
    assert (visit.samples_in, visit.missing) == (8, ())
    assert density(visit, LYGUS).per(PER_5) == Fraction(5, 2)


def test_a_column_not_counted_takes_the_effort_of_all_covered_samples_out() -> None:
    found = density(make_sums(6, {"LA": 9, "LN": None}), LYGUS)
    assert [found.total, found.effort, found.to_come] == [0, 0, 12]


@pytest.mark.parametrize("covers", [1, 10])
def test_with_sums_in_no_spread_is_known(covers: int) -> None:
    assert not make_sums(covers, {"LA": 1}).spread_known
    assert make_visit([{"LA": 1}] * covers).spread_known
    assert make_visit([]).spread_known


def test_sums_over_fewer_samples_than_the_least_are_too_short() -> None:
    assert replace(make_sums(4, {}), short=True).too_short  # least is half of ten
    assert not replace(make_sums(5, {}), short=True).too_short


@given(
    counts=st.lists(st.fixed_dictionaries({"LA": st.integers(0, 99), "LN": st.integers(0, 99)}), min_size=1)
)
def test_a_visit_has_the_density_of_its_sums(counts: list[Counts]) -> None:
    plan = make_plan(samples=len(counts) + 2)
    one_by_one = make_visit(counts, plan=plan)
    together = make_sums(len(counts), column_sums(one_by_one), plan=plan)
    assert density(together, LYGUS) == density(one_by_one, LYGUS)
    assert (together.samples_in, together.end) == (one_by_one.samples_in, one_by_one.end)


def test_what_is_to_come_is_at_today_s_effort_and_what_is_in_keeps_its_own() -> None:
    # standing.md, Certain: 4 sheets of 3 row feet are in; the other 6 are beaten at 2 row feet: 12 and 12
    found = density(make_visit([{"LA": 1}] * 4, each_now=2), LYGUS)
    assert [found.effort, found.to_come] == [12, 12]
    assert found.per(PER_5) == Fraction(5, 3)  # 4 x 5 / 12
    assert found.at_least_per(PER_5) == Fraction(5, 6)  # 4 x 5 / 24


def test_sums_sent_after_another_effort_was_said_have_that_effort() -> None:
    # 10 x 2 row feet: 8 x 5 / 20
    assert density(make_sums(10, {"LA": 8}, each=2, each_now=2), LYGUS).per(PER_5) == 2


def test_without_another_effort_said_the_plan_s_holds() -> None:
    assert make_visit([]).effort_now == 3
    assert make_visit([], each_now=Fraction(5, 2)).effort_now == Fraction(5, 2)


counts_of_a_sample = st.fixed_dictionaries(
    {"LA": st.none() | st.integers(0, 9999), "LN": st.none() | st.integers(0, 9999)}
)


@given(counts=st.lists(counts_of_a_sample, min_size=1, max_size=30))
def test_a_density_is_its_bugs_over_the_feet_where_all_its_columns_were_counted(counts: list[Counts]) -> None:
    found = density(make_visit(counts, plan=make_plan(samples=30)), LYGUS)
    whole = [one for one in counts if None not in one.values()]
    bugs = sum((one["LA"] or 0) + (one["LN"] or 0) for one in whole)
    assert found.per(PER_5) == (Fraction(bugs * 5, 3 * len(whole)) if whole else None)
    assert found.effort + found.to_come == 90 - 3 * (len(counts) - len(whole))
    least = found.at_least_per(PER_5)
    density_now = found.per(PER_5)
    assert least is None or density_now is None or least <= density_now


@given(counts=st.lists(counts_of_a_sample, max_size=30))
def test_a_column_sums_over_the_samples_in_which_it_was_counted(counts: list[Counts]) -> None:
    sums = column_sums(make_visit(counts, plan=make_plan("LA LN MP", samples=30)))
    assert sums == {
        "LA": sum(one["LA"] or 0 for one in counts),
        "LN": sum(one["LN"] or 0 for one in counts),
        "MP": 0,
    }


def test_squares_are_pooled_over_sites_not_averaged() -> None:
    assert pooled([]) is None
    assert pooled([SquaresOn(10, 10), SquaresOn(60, 90)]) == SquaresOn(70, 100)
    assert SquaresOn(1, 3).share == Fraction(1, 3)
