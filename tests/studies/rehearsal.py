"""The rehearsal study: what sequential plans, their most number of samples and certain fields do, all by the rules.

    python -m tests.studies.rehearsal [--rounds N] [--seed S] [--processes P]

Three parts. (a) Single sites walked by sequential plans with no most: both errors and the samples, exact, through
the rules, and against the smallest fixed plan with the same errors. (b) What a most costs. (c) Fixed plans that end
once the field is certain: calls that differ, samples saved. It ends with 1 where a promise is broken. 10,000
fields a density take some minutes.

A fixed plan of n samples judges the sum of its counts: that of n negative binomials of one mean and k is a
negative binomial of k n (the chances are scipy's).
"""

import math
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import click
import numpy as np
from numpy.typing import NDArray
from scipy.stats import nbinom

from bot.rehearsal import (
    At,
    CannotRehearse,
    Growth,
    Rehearsal,
    Spread,
    Tally,
    Walked,
    Walker,
    Wanted,
    Way,
    draw_counts,
    draw_field_sites,
    run,
)
from bot.rules import Column, Effort, Level, Method, Plan, SequentialStop, Standing, Unit
from bot.statistics import Course, NegativeBinomial, SequentialPlan, exact_course, stop_lines
from tests.studies.keypad import table

CHANCE = 0.1
"""The alpha and beta of every plan here."""

Counts = NDArray[np.int64]

NO_MOST = 600
"""A most that no site of these plans comes near."""

MOST_PART = 0.6
"""The part of the fixed plan's samples that a sequential one may take, the mean of half and double its high."""

MOSTS = (10, 15, 20, 30)
DENSITIES = tuple(
    Fraction(one) for one in ("0.25", "0.5", "0.67", "0.8", "0.9", "1", "1.25", "1.5", "2", "3")
)
GROWTH = Growth(Fraction(1, 4), Fraction(7), 7)
FOOT, FIVE = Effort(Fraction(3), Unit.ROW_FT), Effort(Fraction(5), Unit.ROW_FT)
COLUMN = Column("IN", "insects", "any")


@dataclass(frozen=True, slots=True)
class Lines:
    """What a sequential plan tells apart, as means of one sample's count, its k, and the level, such a mean too."""

    low: Fraction
    high: Fraction
    k: Fraction
    level: Fraction

    @property
    def plan(self) -> SequentialPlan:
        return SequentialPlan(
            NegativeBinomial(float(self.k)), float(self.low), float(self.high), CHANCE, CHANCE
        )

    def exact(self, mean: Fraction) -> Course:
        """Give the free plan's course at a true mean, count by count."""
        return exact_course(self.plan, float(mean))

    def __str__(self) -> str:
        return f"{float(self.low):g} / {float(self.high):g}, k {float(self.k):g}, level {float(self.level):g}"


PLANS = (
    Lines(Fraction("1.2"), Fraction("2.4"), Fraction("1.2"), Fraction("1.8")),  # 2, 4 and 3 per 5 row ft
    Lines(Fraction("0.5"), Fraction(1), Fraction(1), Fraction("0.7")),  # section 1.4 of the statistics page
    Lines(Fraction("0.10"), Fraction("0.25"), Fraction("0.5"), Fraction("0.16")),  # the same
)


def fixed_as_good(lines: Lines) -> tuple[int, int]:
    """Give the fewest samples of a fixed plan, and its cut-off on the sum, with both errors at most CHANCE."""
    n = 0
    while True:
        n += 1
        shape = n * float(lines.k)
        at_low, at_high = (
            nbinom(shape, shape / (shape + n * float(mean))) for mean in (lines.low, lines.high)
        )
        cut = int(at_low.isf(CHANCE)) + 1
        if at_low.sf(cut - 1) <= CHANCE and at_high.cdf(cut - 1) <= CHANCE:
            return n, cut


def standard_error(chance: float, sites: int) -> float:
    """Give the standard error of a chance that so many sites show."""
    return math.sqrt(chance * (1 - chance) / sites)


def one_site(lines: Lines, most: int, at_least: int = 1) -> Rehearsal:
    """Give a single site walked by a sequential plan."""
    level = _level(lines.level, FOOT)
    chance = Fraction(1, 10)
    stop = SequentialStop(COLUMN.target, lines.low, lines.high, FOOT, chance, chance, at_least, lines.k)
    return Rehearsal(1, _plan(most), _plan(most, stop), level, None, Spread(float(lines.k), float("inf")))


def field(*, sample_by_sample: bool) -> Rehearsal:
    """Give a field of three sites of ten samples, with the level of 3 per 5 row ft."""
    return Rehearsal(
        3, _plan(10), None, _level(Fraction(3), FIVE), None, Spread(1.2, 4), sample_by_sample=sample_by_sample
    )


def _level(mark: Fraction, per: Effort) -> Level:
    return Level(
        id="study",
        target=COLUMN.target,
        share=None,
        method=Method.BEAT_SHEET,
        count={"any": Fraction(1)},
        stages=(),
        low=mark,
        high=mark,
        per=per,
        source="",
        year=None,
        verified=True,
        others={},
    )


def _plan(samples: int, stop: SequentialStop | None = None) -> Plan:
    return Plan("study", Method.BEAT_SHEET, samples, FOOT, (COLUMN,), 10**9, 1, 7, stop=stop)


def walked_at(rehearsal: Rehearsal, mean: Fraction, rounds: int, seed: int, processes: int) -> Tally:
    """Walk a single site at a true mean of one sample's count, through the rules."""
    times = mean / rehearsal.level.high
    wanted = Wanted((times,), rounds, 0, GROWTH, seed)
    return run(rehearsal, wanted, processes, ways=[Way.SEQUENTIAL]).at[0].ways[Way.SEQUENTIAL]


def free_rows(rounds: int, seed: int, processes: int) -> Iterator[tuple[list[str], bool]]:
    """Give part (a): a row a plan, and whether the plan keeps its promise."""
    for lines in PLANS:
        n, cut = fixed_as_good(lines)
        low, high, double = (lines.exact(mean) for mean in (lines.low, lines.high, 2 * lines.high))
        half = lines.exact(lines.high / 2)
        rehearsal = one_site(lines, NO_MOST)
        seen = {
            mean: walked_at(rehearsal, mean, rounds, seed, processes)
            for mean in (lines.low, lines.high, lines.high / 2, 2 * lines.high)
        }
        exact_part = (half.n + double.n) / 2 / n
        seen_part = (seen[lines.high / 2].mean_samples + seen[2 * lines.high].mean_samples) / 2 / n
        alpha, beta = seen[lines.low].share_above, 1 - seen[lines.high].share_above
        errors = ((low.high, alpha), (high.low, beta))
        near = all(abs(error - shown) <= 4 * standard_error(error, rounds) for error, shown in errors)
        kept = near and max(low.high, high.low) <= CHANCE and max(exact_part, seen_part) <= MOST_PART
        yield (
            [
                str(lines),
                f"{low.high:.3f} · {alpha:.3f}",
                f"{high.low:.3f} · {beta:.3f}",
                f"{half.n:.1f} · {seen[lines.high / 2].mean_samples:.1f}",
                f"{double.n:.1f} · {seen[2 * lines.high].mean_samples:.1f}",
                f"{n} (sum {cut} on)",
                f"{exact_part:.0%} · {seen_part:.0%}",
            ],
            kept,
        )


def most_rows(rounds: int, seed: int, processes: int) -> Iterator[list[str]]:
    """Give part (b): the first plan with no stop before sample 4 and an end at a most."""
    lines = PLANS[0]
    ends = (lines.low, lines.high)
    at_slope = replace(lines, level=Fraction(stop_lines(lines.plan).slope).limit_denominator(1000))
    for most in MOSTS:
        exact = [exact_course(lines.plan, float(mean), 4, most) for mean in ends]
        likelier, real = (
            [walked_at(one_site(plan, most, 4), mean, rounds, seed, processes) for mean in ends]
            for plan in (at_slope, lines)
        )
        yield [
            str(most),
            f"{exact[0].called_high:.3f} · {likelier[0].share_above:.3f} · {real[0].share_above:.3f}",
            f"{exact[1].called_low:.3f} · {1 - likelier[1].share_above:.3f} · {1 - real[1].share_above:.3f}",
            f"{exact[0].undecided:.2f}",
            f"{exact[1].undecided:.2f}",
            f"{exact[0].n:.1f} · {likelier[0].mean_samples:.1f} · {real[0].mean_samples:.1f}",
            f"{exact[1].n:.1f} · {likelier[1].mean_samples:.1f} · {real[1].mean_samples:.1f}",
        ]
    free = [lines.exact(mean) for mean in ends]
    yield [
        "none, looked at from 1 on",
        f"{free[0].called_high:.3f}",
        f"{free[1].called_low:.3f}",
        "0",
        "0",
        *(f"{one.n:.1f}" for one in free),
    ]


def certain_at(rounds: int, seed: int, processes: int, *, sample_by_sample: bool = True) -> Sequence[At]:
    """Walk fields by a fixed plan to its end and until it is certain, at every density."""
    rehearsal = field(sample_by_sample=sample_by_sample)
    return run(rehearsal, Wanted(DENSITIES, rounds, 0, GROWTH, seed), processes).at


def certain_rows(at: Sequence[At]) -> Iterator[list[str]]:
    """Give part (c): a row a density."""
    for one in at:
        tally = one.ways[Way.CERTAIN]
        fixed = one.ways[Way.FIXED]
        yield [
            f"{float(one.times):g}",
            f"{tally.fields:,}",
            f"{fixed.above:,}",
            f"{tally.otherwise}",
            f"{fixed.mean_samples:.1f}",
            f"{tally.mean_samples:.2f}",
            f"{one.saved(Way.CERTAIN):.1%}",
        ]


def walked_plainly(of: Rehearsal, way: Way, counts: Counts) -> Walked:
    """Walk a field by asking the rules after every single sample, and nothing else."""
    walker = Walker(of, way)
    most = walker.plan.samples
    taken = [next(n for n in range(1, most + 1) if walker.visit(1, row, n).finished) for row in counts]
    for n in range(1, sum(taken) + 1):
        if walker.told_after(counts, taken, n) is Standing.ABOVE:
            return Walked(Standing.ABOVE, n, n)
    return Walked(walker.told_after(counts, taken, sum(taken)), sum(taken), None)


def walked_otherwise(of: Rehearsal, way: Way, fields: int, seed: int) -> int:
    """Count the fields, over all densities, of which asking after every sample makes something else."""
    source = np.random.default_rng(seed)
    walker, otherwise = Walker(of, way), 0
    for times in DENSITIES:
        sites = draw_field_sites(source, of.spread, fields, of.sites)
        for counts in draw_counts(source, of.spread, sites * of.mean_at(times), walker.plan.samples):
            otherwise += walker.walk(counts) != walked_plainly(of, way, counts)
    return otherwise


def keeps_all_calls(at: Sequence[At]) -> bool:
    """Tell whether certain fields were all called as the fixed plan calls them, and samples saved above the level."""
    ways = [one.ways for one in at]
    same = all(
        not way[Way.CERTAIN].otherwise and way[Way.CERTAIN].above == way[Way.FIXED].above for way in ways
    )
    return same and all(one.saved(Way.CERTAIN) > 0 for one in at if one.is_above)


@click.command()
@click.option("--rounds", default=10_000, show_default=True, help="Sites or fields at each density.")
@click.option("--seed", default=1, show_default=True)
@click.option("--processes", default=2, show_default=True)
def main(rounds: int, seed: int, processes: int) -> None:
    """Print the study; end with 1 where a promise is broken."""
    try:
        kept = _told(rounds, seed, processes)
    except CannotRehearse as refusal:
        raise click.ClickException(str(refusal)) from refusal
    if not kept:
        sys.exit(1)


def _told(rounds: int, seed: int, processes: int) -> bool:
    click.echo(
        f"{rounds:,} sites or fields at each density, seed {seed}. Pairs are: exact · through the rules.\n"
    )
    click.echo("## One site, sequential, with no most\n")
    rows = list(free_rows(rounds, seed, processes))
    heads = ["means low / high of a sample", "error at low", "error at high", "samples at half high"]
    heads += ["at double high", "fixed, as good", "mean of both, of the fixed"]
    click.echo(table(heads, (row for row, _ in rows)) + "\n")
    click.echo("## What a most costs one site\n")
    click.echo(
        "The first plan, not stopped before sample 4. Exact, where no line is met, the likelier of low and high is "
        "said; then through the rules with the level at the slope of the lines, which says the same; then with the "
        "plan's own level. By the rules a site also ends once it is above for sure.\n"
    )
    heads = [
        "most",
        "error at low",
        "error at high",
        "no line met at low",
        "at high",
        "samples at low",
        "at high",
    ]
    click.echo(table(heads, most_rows(rounds, seed, processes)) + "\n")
    click.echo("## Fields that end once they are certain\n")
    begun = time.monotonic()
    at = certain_at(rounds, seed, processes)
    took = time.monotonic() - begun
    heads = ["x level", "fields", "above", "called otherwise", "samples, fixed", "certain", "saved"]
    click.echo(table(heads, certain_rows(at)) + "\n")
    fields = sum(one.ways[Way.CERTAIN].fields for one in at)
    otherwise = sum(one.ways[Way.CERTAIN].otherwise for one in at)
    click.echo(f"{fields:,} fields, {otherwise} called otherwise; {took:.0f} s with {processes} processes.")
    plainly = max(rounds // 50, 1)
    unlike = walked_otherwise(field(sample_by_sample=False), Way.CERTAIN, plainly, seed)
    click.echo(
        f"{plainly * len(DENSITIES):,} more fields, of which the rules were asked after every single sample: "
        f"{unlike} walked otherwise."
    )
    return all(kept for _, kept in rows) and keeps_all_calls(at) and not unlike


if __name__ == "__main__":
    main()
