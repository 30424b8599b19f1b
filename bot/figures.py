"""The commands `rowfoot figure …`: the statistics by hand, without a database."""

import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import asdict

import click
from rich.console import Console
from rich.table import Table

from bot.statistics import (
    MOST_COUNT,
    Change,
    FieldMean,
    Fits,
    Interval,
    IntervalMethod,
    StatisticsError,
    abbott,
    before_after,
    counts_from_frequencies,
    every_k,
    field_mean,
    henderson_tilton,
    mean,
    mean_interval,
    standard_error,
    variance,
)

__all__ = ["figure", "figures_printed", "readable", "refusals_said"]


class Refused(click.ClickException):
    """A refusal of the statistics as a command ends with it: a sentence, and status 2 as for a wrong option."""

    exit_code = 2


@click.group()
def figure() -> None:
    """Work out the statistics of counts by hand; no database is needed."""


@contextmanager
def refusals_said() -> Iterator[None]:
    """Let a refusal of the statistics become one sentence on standard error and exit status 2."""
    try:
        yield
    except StatisticsError as refusal:
        raise Refused(str(refusal)) from refusal


def figures_printed(figures: Mapping[str, object], rows: Sequence[tuple[str, str]], *, as_json: bool) -> None:
    """Print figures: all of them in full as JSON, or rows of a name and what a person reads."""
    if as_json:
        click.echo(json.dumps(figures, ensure_ascii=False, indent=1, allow_nan=False))
        return
    table = Table(show_header=False, box=None)
    for row in rows:
        table.add_row(*row)
    Console(highlight=False).print(table)


def readable(value: float | None) -> str:
    """Give a figure with three digits that mean something, a dash for one that there is not."""
    if value is None:
        return "-"
    return f"{value:.0f}" if abs(value) >= 100 else f"{value:.3g}"


MADE_BY = {
    IntervalMethod.NB_PROFILE: "negative binomial, k fitted anew",
    IntervalMethod.POISSON_EXACT: "Poisson, exact, as the counts are not clumped",
    IntervalMethod.ZEROS_BOUND: "all counts are 0; too short if the insects are clumped",
    IntervalMethod.BINOMIAL_EXACT: "binomial, exact",
}
"""How an interval was made, as a person reads it."""

NUMBERS_BELOW_0_TOO = {"ignore_unknown_options": True}
"""Lets -1 through to the statistics, which say better than "no such option" what is wrong with it."""

confidence_option = click.option(
    "--confidence", type=float, default=0.95, show_default=True, help="How sure the interval is."
)
json_option = click.option("--json", "as_json", is_flag=True, help="Print all figures in full, as JSON.")


@figure.command(name="mean", context_settings=NUMBERS_BELOW_0_TOO)
@click.argument("counts", nargs=-1, required=True, type=int)
@confidence_option
@json_option
def mean_(counts: tuple[int, ...], confidence: float, as_json: bool) -> None:
    """Give the mean of counts, how sure it is, and how clumped they are, from the COUNTS of each sample."""
    with refusals_said():
        _say_counts(counts, confidence, as_json=as_json)


@figure.command(context_settings=NUMBERS_BELOW_0_TOO)
@click.argument("samples", nargs=-1, required=True, type=int)
@confidence_option
@json_option
def frequencies(samples: tuple[int, ...], confidence: float, as_json: bool) -> None:
    """Give what `mean` gives, from how many SAMPLES had 0, 1, 2 … insects."""
    with refusals_said():
        _say_counts(counts_from_frequencies(samples), confidence, as_json=as_json)


def _say_counts(counts: Sequence[int], confidence: float, *, as_json: bool) -> None:
    fit, interval = every_k(counts), mean_interval(counts, confidence)
    figures = {
        "n": len(counts),
        "mean": mean(counts),
        "variance": variance(counts),
        "se": standard_error(counts),
        "k_moment": fit.k_moment,
        "k_ml": fit.k_ml,
        "k_zero": fit.k_zero,
        "loglik": fit.loglik,
        "interval": [interval.low, interval.high],
        "interval_method": interval.method,
    }
    rows = [
        ("samples", str(len(counts))),
        ("mean", readable(mean(counts))),
        ("variance", readable(variance(counts))),
        ("standard error of the mean", readable(standard_error(counts))),
        *_clumping_rows(fit, is_zero=not any(counts)),
        (f"interval, {100 * confidence:.12g} %", f"{_from_to(interval)} ({MADE_BY[interval.method]})"),
    ]
    figures_printed(figures, rows, as_json=as_json)


def _clumping_rows(fit: Fits, *, is_zero: bool) -> Sequence[tuple[str, str]]:
    if is_zero:
        return [("k", "none: all counts are 0")]
    if fit.k_moment is None:
        return [("k", "none: the counts are no more spread than chance alone makes them (Poisson)")]
    return [
        ("k by moments", readable(fit.k_moment)),
        ("k by likelihood", readable(fit.k_ml)),
        ("k by zeros", readable(fit.k_zero)),
        ("log-likelihood", f"{fit.loglik:.2f}"),
    ]


def _from_to(interval: Interval) -> str:
    if interval.high >= MOST_COUNT:
        return f"over {readable(interval.low)}, no upper end"
    return f"{readable(interval.low)} to {readable(interval.high)}"


class Site(click.ParamType[list[float]]):
    """The samples of one site on the command line: numbers with commas between."""

    name = "site"

    def convert(
        self, value: str | list[float], param: click.Parameter | None, ctx: click.Context | None
    ) -> list[float]:
        """Give the numbers of a site."""
        if isinstance(value, list):
            return value
        try:
            return [float(number) for number in value.split(",")]
        except ValueError:
            self.fail(f"{value!r} is not the samples of a site, as 7,5,3", param, ctx)


@figure.command(context_settings=NUMBERS_BELOW_0_TOO)
@click.argument("sites", nargs=-1, required=True, type=Site())
@click.option(
    "--sites-in-all", type=int, metavar="N", help="Sites that the field could have; many if not said."
)
@click.option(
    "--samples-in-all", type=int, metavar="M", help="Samples that a site could have; many if not said."
)
@json_option
def field(
    sites: tuple[list[float], ...], sites_in_all: int | None, samples_in_all: int | None, as_json: bool
) -> None:
    """Give the mean of a field and its error, from SITES with the values of their samples, as 7,5,3 4,2,3."""
    with refusals_said():
        of = field_mean(sites, sites_in_all=sites_in_all, samples_in_all=samples_in_all)
    if of.within_ms is None and (sites_in_all is not None or samples_in_all is not None):
        click.echo(f"Note: {NO_PART_IN_IT}", err=True)
    figures_printed(asdict(of), _field_rows(of, len(sites)), as_json=as_json)


NO_PART_IN_IT = (
    "Sites in all and samples in all count only where every site has the same number of samples, 2 or more."
)
"""Why what was said of a finite field does not lower its error."""


def _field_rows(of: FieldMean, sites: int) -> Sequence[tuple[str, str]]:
    by = "between its sites" if sites > 1 else "within its one site"
    rows = [("mean", readable(of.mean)), (f"standard error, {by}", readable(of.se))]
    if of.between_component is not None:
        rows.append(("variance between sites", readable(of.between_component)))
    if of.within_component is not None:
        rows.append(("variance within a site", readable(of.within_component)))
    if sites > 1:
        rows.append(("error if all samples were pooled (wrong)", readable(of.naive_se)))
    return rows


@figure.command(context_settings=NUMBERS_BELOW_0_TOO)
@click.option(
    "--treated", nargs=2, type=float, required=True, metavar="BEFORE AFTER", help="The sprayed field."
)
@click.option(
    "--check", nargs=2, type=float, metavar="BEFORE AFTER", help="An untreated check, if there is one."
)
@json_option
def spray(treated: tuple[float, float], check: tuple[float, float] | None, as_json: bool) -> None:
    """Give by how many percent there are fewer insects after a spray, against an untreated check if there is one."""
    with refusals_said():
        sprayed = Change(*treated)
        unsprayed = Change(*check) if check else None
        figures = {
            "abbott": abbott(sprayed, unsprayed) if unsprayed else None,
            "henderson_tilton": henderson_tilton(sprayed, unsprayed) if unsprayed else None,
            "before_after": before_after(sprayed),
        }
    names = (
        "fewer than in the check (Abbott)",
        "against the check's change (Henderson-Tilton)",
        "before to after",
    )
    rows = [
        (name, "-" if percent is None else f"{percent:.0f} %")
        for name, percent in zip(names, figures.values(), strict=True)
    ]
    figures_printed(figures, rows, as_json=as_json)
