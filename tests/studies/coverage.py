"""The coverage study: in how many visits of ten samples the interval of the mean holds the true mean.

    python -m tests.studies.coverage [--samples N] [--seed S]

Counts are drawn from negative binomials (and one Poisson) with the means and k of section 6 of the design's
statistics, and the 80 % and 95 % intervals are made of them as for a finished visit. A coverage of more than
4 points under its name says beside itself where the misses come from. 4,000 visits a point take
half a minute to a minute.
"""

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

import click
import numpy as np

from bot.statistics import Interval, IntervalMethod, mean_interval
from tests.studies.keypad import table

SAMPLES_A_VISIT = 10
CONFIDENCES = (0.8, 0.95)
MOST_UNDER = 0.04
"""How far under its name a coverage may lie without a reason."""

GRID = (
    (0.3, 0.5),
    (0.5, 1.0),
    (1.0, 0.5),
    (1.0, 1.0),
    (1.0, 2.0),
    (2.0, 1.0),
    (5.0, 1.0),
    (5.0, 3.0),
    (1.0, math.inf),
)
"""True means and k of section 6; an infinite k is a Poisson."""

WHY = {
    IntervalMethod.ZEROS_BOUND: "all ten samples empty: the bound knows no clumping, and says so",
    IntervalMethod.POISSON_EXACT: "counts that came out no more spread than a Poisson's, taken as such",
    IntervalMethod.NB_PROFILE: "the profile itself",
}


@dataclass(frozen=True, slots=True)
class Coverage:
    """How often intervals of a confidence held one true mean, and by which method they missed it."""

    mean: float
    k: float
    confidence: float
    visits: int
    missed: Counter[IntervalMethod]

    @property
    def held(self) -> float:
        """The part of visits, from 0 to 1, whose interval held the true mean."""
        return 1 - self.missed.total() / self.visits

    @property
    def is_short(self) -> bool:
        """Say whether more than MOST_UNDER is missing."""
        return self.held < self.confidence - MOST_UNDER

    @property
    def why(self) -> str:
        """The methods that missed, the worst first, where the coverage is short; else empty."""
        if not self.is_short:
            return ""
        return "; ".join(
            f"{100 * missed / self.visits:.1f} %: {WHY[method]}"
            for method, missed in self.missed.most_common()
        )


@cache
def interval_of(counts: tuple[int, ...], confidence: float) -> Interval:
    """Give the interval of counts in rising order, which low means draw again and again."""
    return mean_interval(counts, confidence)


def drawn(mean: float, k: float, visits: int, seed: int) -> Iterator[tuple[int, ...]]:
    """Give the counts of visits in rising order, always the same for a seed."""
    draw, size = np.random.default_rng(seed), (visits, SAMPLES_A_VISIT)
    counts = draw.poisson(mean, size) if math.isinf(k) else draw.negative_binomial(k, k / (k + mean), size)
    return (tuple(visit) for visit in np.sort(counts).tolist())


def coverage(mean: float, k: float, visits: int, seed: int) -> list[Coverage]:
    """Give the coverage at one point of the grid, one for each confidence."""
    missed: dict[float, Counter[IntervalMethod]] = {confidence: Counter() for confidence in CONFIDENCES}
    for counts in drawn(mean, k, visits, seed):
        for confidence in CONFIDENCES:
            interval = interval_of(counts, confidence)
            if not interval.holds(mean):
                missed[confidence][interval.method] += 1
    return [Coverage(mean, k, confidence, visits, missed[confidence]) for confidence in CONFIDENCES]


def report(points: Sequence[Coverage]) -> str:
    """Give the whole study as a table in Markdown."""
    head = ["true mean", "k", "nominal", "held", "missed under it because"]
    rows = (
        [
            f"{point.mean:g}",
            "Poisson" if math.isinf(point.k) else f"{point.k:g}",
            f"{point.confidence:.0%}",
            f"{point.held:.1%}",
            point.why or "-",
        ]
        for point in points
    )
    return table(head, rows)


@click.command()
@click.option("--samples", "visits", default=4000, show_default=True, help="Visits drawn at each point.")
@click.option("--seed", default=1, show_default=True)
def main(visits: int, seed: int) -> None:
    """Print how often the intervals of ten counts hold the true mean."""
    points = [point for mean, k in GRID for point in coverage(mean, k, visits, seed)]
    click.echo(f"{visits} visits of {SAMPLES_A_VISIT} samples a point, seed {seed}\n\n{report(points)}")


if __name__ == "__main__":
    main()
