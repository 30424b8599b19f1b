"""What is asked for, by hand or of a plan in a season, made into a rehearsal; what is taken for granted is named."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from bot.rehearsal.options import Asked, k_asked, k_sites_asked, neutral_squares, sequential_asked
from bot.rehearsal.values import CannotRehearse, Rehearsal, Spread, said_effort
from bot.rules import (
    Column,
    Effort,
    Level,
    Method,
    Plan,
    Season,
    SequentialStop,
    Stage,
    StageNeeded,
    Unit,
    parse_span,
    rows_by_target,
)

DEFAULT_SITES = 3
DEFAULT_SAMPLES = 10
BY_HAND = "by hand"
NEVER_ASKED = 10**9
"""No count is asked about here."""

METHODS = {
    Unit.SWEEPS: Method.SWEEP_NET,
    Unit.ROW_FT: Method.BEAT_SHEET,
    Unit.PLANTS: Method.VISUAL,
    Unit.TERMINALS: Method.VISUAL,
}
"""A method for each unit of effort; by hand nothing turns on which it is."""


@dataclass(frozen=True, slots=True)
class Prepared:
    """A rehearsal that can be played, what it is called, and what was taken for granted, a sentence each."""

    rehearsal: Rehearsal
    name: str
    assumed: tuple[str, ...]


def parse_effort(text: str) -> Effort:
    """Read an effort as a season file spells it, as 5 row ft.

    Raises:
        CannotRehearse: it is none.
    """
    found = re.fullmatch(r"\s*([0-9]{1,6}(?:\.[0-9]{1,4})?)\s+([a-z]+(?: [a-z]+)?)\s*", text)
    if found is None or found[2] not in METHODS or Fraction(found[1]) <= 0:
        units = ", ".join(METHODS)
        raise CannotRehearse(f"{text!r} is no effort as 5 row ft: a number over 0 and one of {units}.")
    return Effort(Fraction(found[1]), Unit(found[2]))


def prepare_by_hand(asked: Asked) -> Prepared:
    """Make a rehearsal of figures given by hand.

    Raises:
        CannotRehearse: they do not go together, or one that is needed is missing.
        OutOfRange: the stop lines are none.
    """
    each = asked.each or Effort(Fraction(3), Unit.ROW_FT)
    if asked.target is not None or asked.stage is not None:
        raise CannotRehearse("A target or stage is of a plan in a season: say which plan, with --plan.")
    if asked.level is None:
        raise CannotRehearse(
            "Say the level, as --level 3 --per '5 row ft', or a plan of the season, as --plan sheets."
        )
    column = Column("IN", "insects", "any")
    row = Level(
        id=BY_HAND,
        target=column.target,
        share=None,
        method=METHODS[each.unit],
        count={"any": Fraction(1)},
        stages=(),
        low=asked.level,
        high=asked.level,
        per=asked.per or Effort(Fraction(5), each.unit),
        source=BY_HAND,
        year=None,
        verified=True,
        others={},
    )
    samples = DEFAULT_SAMPLES if asked.samples is None else asked.samples
    plan = Plan(
        key=BY_HAND,
        method=METHODS[each.unit],
        samples=samples,
        each=each,
        card=(column,),
        ask_above=NEVER_ASKED,
        least=(samples + 1) // 2,
        every_days=7,
    )
    return _prepared(asked, plan, row, None, "a plan given by hand")


def prepare_by_plan(asked: Asked, season: Season, key: str) -> Prepared:
    """Make a rehearsal of a plan in a season; options given beside it take the place of its figures.

    Raises:
        CannotRehearse: there is no such plan, no level for what it counts, or figures do not go together.
        OutOfRange: the stop lines are none.
    """
    plan = season.plans.get(key)
    if plan is None:
        raise CannotRehearse(f"{season.name} has no plan {key!r}; it has {', '.join(season.plans)}.")
    row = _row(asked, plan, season)
    if asked.level is not None:
        row = replace(row, low=asked.level, high=asked.level)
    if asked.per is not None:
        if asked.level is None:
            raise CannotRehearse("--per says what --level is per: give both, or neither with --plan.")
        row = replace(row, per=asked.per)
    column = _column(plan, row)
    row = replace(row, stages=(), others={}, count=dict(row.count))
    samples = plan.samples if asked.samples is None else asked.samples
    walked = replace(plan, samples=samples, each=asked.each or plan.each, card=(column,), stop=None)
    if asked.sites is None:
        fields = [f for f in season.fields.values() if any(plan_key == key for _, plan_key in f.plans)]
        asked = replace(asked, sites=max((len(f.sites) for f in fields), default=DEFAULT_SITES))
    return _prepared(asked, walked, row, plan.stop, f"{season.name}, plan {key}, level {row.id}")


def _row(asked: Asked, plan: Plan, season: Season) -> Level:
    """Find the row that governs what a plan counts."""
    stage = _stage(asked.stage)
    rows = rows_by_target(plan, season.levels, stage)
    target = asked.target or (plan.stop.target if plan.stop else None)
    if target is None and len(rows) == 1:
        target = next(iter(rows))
    if target is None:
        among = ", ".join(rows)
        raise CannotRehearse(
            f"Plan {plan.key} counts several targets with a level; say which, as --target {next(iter(rows))}: {among}."
            if rows
            else f"No target of plan {plan.key} has a level{_in_stage(stage)}."
        )
    row = rows.get(target)
    if row is None:
        raise CannotRehearse(f"Plan {plan.key} has no level for {target}{_in_stage(stage)}.")
    if isinstance(row, Level):
        return row
    return _only_row(row, target)


def _only_row(needed: StageNeeded, target: str) -> Level:
    if len(needed.rows) == 1:
        return needed.rows[0]
    spans = ", ".join(str(span) for row in needed.rows for span in row.stages)
    raise CannotRehearse(
        f"The level of {target} turns on the stage ({spans}); say one, as --stage '{needed.rows[0].stages[0]}'."
        if needed.rows[0].stages
        else f"The level of {target} turns on the stage ({spans}); say one with --stage."
    )


def _stage(said: str | None) -> Stage | None:
    if said is None:
        return None
    span = parse_span(said)
    if span is None:
        raise CannotRehearse(f"{said!r} is no stage as bloom 2.")
    return Stage(span.phase, span.week)


def _in_stage(stage: Stage | None) -> str:
    return "" if stage is None else f" in {stage}"


def _column(plan: Plan, row: Level) -> Column:
    """Choose the column for all that is found: one that a second count counts too, of weight 1 where there is one."""
    fitting = [one for one in plan.card if one.target == row.target and row.count.get(one.life_stage, 0) > 0]
    if not fitting:
        raise CannotRehearse(f"The card of plan {plan.key} counts nothing that level {row.id} counts.")
    return min(
        fitting,
        key=lambda one: (
            row.also is not None and one.life_stage not in row.also.count,
            row.count[one.life_stage] != 1,
        ),
    )


def _prepared(asked: Asked, plan: Plan, row: Level, stop: SequentialStop | None, name: str) -> Prepared:
    if row.per.unit is not plan.each.unit:
        raise CannotRehearse(
            f"A level per {said_effort(row.per)} cannot be set against samples of {said_effort(plan.each)}."
        )
    assumed: list[str] = []
    sites = DEFAULT_SITES if asked.sites is None else asked.sites
    sequential = sequential_asked(asked, plan, row, stop)
    spread = Spread(k_asked(asked, sequential, stop, assumed), k_sites_asked(asked, sites, assumed))
    if row.retention is not None:
        assumed.append("squares such that the count alone decides.")
    return Prepared(
        Rehearsal(sites, plan, sequential, row, neutral_squares(row), spread, asked.sample_by_sample),
        name,
        tuple(assumed),
    )


def parse_times(said: str) -> Sequence[Fraction]:
    """Read true densities as times the level, as 0.5,1,2, and give them in rising order, each once.

    Raises:
        CannotRehearse: one is no number from 0 to 100.
    """
    found = [one.strip() for one in said.split(",")]
    if not all(re.fullmatch(r"[0-9]{1,3}(\.[0-9]{1,4})?|\.[0-9]{1,4}", one) for one in found):
        raise CannotRehearse(f"{said!r} are no true densities as times the level, as 0.5,1,2.")
    times = sorted({Fraction(one) for one in found})
    if times[-1] > 100:
        raise CannotRehearse("True densities are at most 100 times the level.")
    return times
