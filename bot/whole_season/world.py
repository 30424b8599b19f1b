"""The fields as they really are: the insects in them from day to day, and what a treatment leaves of them."""

import math
from dataclasses import dataclass, field
from datetime import date
from random import Random

from bot.rules import Method, Phase, Plan, Stage
from bot.whole_season.courses import COURSES

FIRST_DAY = date(2027, 6, 7)
LAST_DAY = date(2027, 8, 8)

SPREAD = 1.4
"""The k of the counts: insects stand in groups."""

COMES_BACK_IN = 16.0
"""Days in which what a treatment took is made up to about two thirds."""

LEVELS: dict[tuple[str, Method], float] = {
    ("fleahopper", Method.SWEEP_NET): 6 / 25,
    ("fleahopper", Method.BEAT_SHEET): 0.12,
    ("fleahopper", Method.BEAT_BUCKET): 6 / 10,
    ("lygus", Method.SWEEP_NET): 8 / 100,
    ("lygus", Method.BEAT_SHEET): 3 / 5,
    ("lygus", Method.BEAT_BUCKET): 5 / 10,
    ("lygus", Method.VISUAL): 12 / 100,
    ("cloudedbug", Method.VISUAL): 0.02,
    ("piratebug", Method.SWEEP_NET): 0.05,
    ("piratebug", Method.BEAT_SHEET): 0.3,
    ("piratebug", Method.VISUAL): 0.06,
}
"""Insects per one unit of effort (a sweep, a foot of row, a plant) that are about the level there."""

FAILS = 3
"""The treatment of the season, counted from one, that fails."""


@dataclass(slots=True)
class World:
    """The insects of every field. What is drawn turns on the seed and on who asks in which order, on nothing else."""

    seed: int
    treated: dict[int, list[tuple[date, float]]] = field(default_factory=dict)
    treatments: int = 0

    def treat(self, number: int, day: date, draw: Random) -> float:
        """Treat a field; give the part of its insects that is gone."""
        self.treatments += 1
        gone = draw.uniform(0.1, 0.3) if self.treatments == FAILS else draw.uniform(0.4, 0.95)
        self.treated.setdefault(number, []).append((day, gone))
        return gone

    def pressure(self, number: int, target: str, day: date) -> float:
        """Give how a field's insects stand to their level on a day, 1 being at it."""
        course = COURSES[number]
        weeks = course.fleahopper if target == "fleahopper" else course.lygus
        now = _between(weeks, day) if target in ("fleahopper", "lygus") else 1.0
        if target in ("fleahopper", "lygus"):
            now *= math.exp(Random(f"{self.seed} {number} {target}").gauss(0, 0.18))  # noqa: S311  a game
        for when, gone in self.treated.get(number, []):
            if day >= when:
                now *= 1 - gone * math.exp(-(day - when).days / COMES_BACK_IN)
        return now

    def squares(self, number: int, day: date, draw: Random) -> int:
        """Give how many of 100 squares are still on."""
        return max(40, min(100, round(_between(COURSES[number].squares, day) + draw.gauss(0, 2.5))))

    def hurt_bolls(self, number: int, day: date, draw: Random) -> int:
        """Give how many of 25 bolls are hurt."""
        part = min(0.4, 0.13 * self.pressure(number, "lygus", day))
        return sum(draw.random() < part for _ in range(25))

    def sample(self, number: int, plan: Plan, stage: Stage | None, day: date, draw: Random) -> dict[str, int]:
        """Draw the counts of one sample, by all codes of the card."""
        nymphs = 0.6 if stage is not None and stage.phase >= Phase.BLOOM else 0.25
        counts: dict[str, int] = {}
        for target in dict.fromkeys(column.target for column in plan.card):
            mean = LEVELS.get((target, plan.method), 0.02) * float(plan.each.amount)
            found = clumped(draw, mean * self.pressure(number, target, day), SPREAD)
            codes = [column.code for column in plan.card if column.target == target]
            for code in codes:
                counts[code] = 0
            for _ in range(found):
                counts[codes[-1] if draw.random() < nymphs else codes[0]] += 1
        return {code: counts[code] for code in plan.codes}


def week_of(day: date) -> int:
    """Give the week of the season, from 1."""
    return (day - FIRST_DAY).days // 7 + 1


def clumped(draw: Random, mean: float, k: float) -> int:
    """Draw a negative binomial count."""
    if mean <= 0:
        return 0
    return poisson(draw, draw.gammavariate(k, mean / k))


def poisson(draw: Random, mean: float) -> int:
    """Draw a Poisson count, by Knuth's product of uniform numbers."""
    end, product, count = math.exp(-mean), draw.random(), 0
    while product > end:
        product *= draw.random()
        count += 1
    return count


def _between(weeks: tuple[float, ...] | tuple[int, ...], day: date) -> float:
    """Give a figure of a day between those of two weeks; each week's stands at its first day."""
    place = max(0.0, (day - FIRST_DAY).days / 7)
    before = min(int(place), len(weeks) - 1)
    after = min(before + 1, len(weeks) - 1)
    return weeks[before] + (weeks[after] - weeks[before]) * (place - int(place))
