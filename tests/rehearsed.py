"""Rehearsals as the tests about them need them: one column, samples of 3 row ft, a level per 5 row ft."""

from dataclasses import replace
from fractions import Fraction

from bot.rehearsal import Growth, Rehearsal, Spread, Wanted
from bot.rules import Column, Effort, Level, Method, Plan, SequentialStop, Unit

SAMPLE, FIVE_FEET = Effort(Fraction(3), Unit.ROW_FT), Effort(Fraction(5), Unit.ROW_FT)
COLUMN = Column("LN", "lygus", "nymph")
LEVEL = Level(
    id="lygus-sheet",
    target="lygus",
    share=None,
    method=Method.BEAT_SHEET,
    count={"adult": Fraction(1), "nymph": Fraction(1)},
    stages=(),
    low=Fraction(3),
    high=Fraction(3),
    per=FIVE_FEET,
    source="invented",
    year=None,
    verified=True,
    others={},
)
RANGE = replace(LEVEL, low=Fraction(2))
WEEKLY = Growth(Fraction(1, 4), Fraction(7), 7)


def plan(samples: int = 10, each: Effort = SAMPLE) -> Plan:
    return Plan("sheets", Method.BEAT_SHEET, samples, each, (COLUMN,), 40, 5, 7)


def sequential(samples: int = 10, at_least: int = 4, each: Effort = SAMPLE) -> Plan:
    """Give a plan with lines between 2 and 4 per 5 row ft, k 1.2, alpha and beta 0.1."""
    tenth = Fraction(1, 10)
    stop = SequentialStop(
        "lygus", Fraction(2), Fraction(4), FIVE_FEET, tenth, tenth, at_least, Fraction("1.2")
    )
    return replace(plan(samples, each), stop=stop)


def rehearsal(
    sites: int = 3,
    *,
    level: Level = LEVEL,
    walked: Plan | None = None,
    stopped: Plan | None = None,
    k: float = 1.2,
    k_sites: float = 4.0,
    sample_by_sample: bool = False,
) -> Rehearsal:
    return Rehearsal(
        sites, walked or plan(), stopped or sequential(), level, None, Spread(k, k_sites), sample_by_sample
    )


def wanted(*at: str, rounds: int = 100, seasons: int = 0, seed: int = 1, growth: Growth = WEEKLY) -> Wanted:
    return Wanted(tuple(Fraction(one) for one in at), rounds, seasons, growth, seed)
