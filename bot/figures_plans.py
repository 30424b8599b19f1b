"""The commands `rowfoot figure stops` and `figure needed`: what a plan promises before anybody counts."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from pathlib import Path

import click
from rich.console import Console
from rich.table import Column, Table

from bot.figures import figure, refusals_said
from bot.figures_plot import Curve, Panel, svg
from bot.statistics import (
    Binomial,
    CapCost,
    Family,
    Meaning,
    NegativeBinomial,
    OutOfRange,
    Poisson,
    Precision,
    SequentialPlan,
    StopLines,
    StopRow,
    Taylor,
    TooLong,
    cap_cost,
    exact_course,
    samples_needed,
    stop_lines,
    wald_at,
)

__all__ = ["figure"]

PLOTTED = 80
"""Steps of a plotted curve."""

FAMILIES = click.Choice(["nb", "poisson", "binomial"])


class _SeveralMeans(click.Command):
    """A command whose --at takes all the numbers that follow it."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Repeat --at before each number after its first, as the parser expects it."""
        spread: list[str] = []
        follows = False
        for place, arg in enumerate(args):
            if arg.startswith("--"):
                follows = arg == "--at" or arg.startswith("--at=")
            elif follows and args[place - 1] != "--at":
                spread.append("--at")
            spread.append(arg)
        return super().parse_args(ctx, spread)


@figure.command(cls=_SeveralMeans)
@click.option("--family", type=FAMILIES, required=True, help="How counts are spread.")
@click.option("--low", type=float, required=True, help="The mean of one sample that is low.")
@click.option("--high", type=float, required=True, help="The mean of one sample that is high.")
@click.option("--k", type=float, help="The k of the negative binomial, of one sample.")
@click.option(
    "--alpha", type=float, default=0.1, show_default=True, help="Chance of calling a true low high."
)
@click.option("--beta", type=float, default=0.1, show_default=True, help="Chance of calling a true high low.")
@click.option("--at", "means", type=float, multiple=True, metavar="MEAN …", help="True means to look at.")
@click.option("--rows", type=click.IntRange(0, 10_000), default=40, show_default=True, help="Samples tabled.")
@click.option("--least", type=click.IntRange(1), default=1, help="No stop before this many samples.")
@click.option("--most", type=click.IntRange(1), help="The end after this many samples.")
@click.option(
    "--plot", type=click.Path(dir_okay=False, path_type=Path), help="Draw both curves into an SVG file."
)
@click.option("--json", "as_json", is_flag=True, help="Print the fixed JSON form.")
def stops(
    family: str,
    low: float,
    high: float,
    k: float | None,
    alpha: float,
    beta: float,
    means: tuple[float, ...],
    rows: int,
    least: int,
    most: int | None,
    plot: Path | None,
    as_json: bool,
) -> None:
    """Work out the stop lines of a sequential plan, and what they lead to at true means.

    A sum of counts after n samples stops low at slope × n - h0 or less, high at slope × n + h1 or more.
    Wald's figures leave out by how much a count steps over a line; the exact ones follow every count.
    """
    with refusals_said():
        plan = SequentialPlan(_family(family, k), low, high, alpha, beta)
        at = [_at(plan, mean) for mean in means]
        capped = cap_cost(plan, least, most) if least > 1 or most is not None else None
        if plot is not None:
            _plot(plan, plot)
    lines = stop_lines(plan)
    table = list(lines.rows(rows))
    if as_json:
        click.echo(json.dumps(_stops_json(lines, table, at, capped), allow_nan=False, indent=1))
    else:
        _print_stops(lines, table, at, capped)


@figure.command()
@click.option("--mean", type=float, required=True, help="The mean of one sample that is expected.")
@click.option("--family", type=FAMILIES, default="nb", show_default=True, help="How counts are spread.")
@click.option("--k", type=float, help="The k of the negative binomial, of one sample.")
@click.option("--taylor-a", type=float, help="The a of Taylor's power law, in the family's stead.")
@click.option("--taylor-b", type=float, help="The b of Taylor's power law.")
@click.option("--precision", type=float, required=True, help="The precision wanted, as a part of the mean.")
@click.option(
    "--meaning",
    type=click.Choice([meaning.value for meaning in Meaning]),
    default=Meaning.SE.value,
    show_default=True,
    help="What the precision is: SE/mean, or half the width of a 95 % interval/mean.",
)
@click.option("--json", "as_json", is_flag=True, help="Print {n, n_exact}.")
def needed(
    mean: float,
    family: str,
    k: float | None,
    taylor_a: float | None,
    taylor_b: float | None,
    precision: float,
    meaning: str,
    as_json: bool,
) -> None:
    """Work out how many samples a wanted precision takes, by k or by Taylor's power law."""
    with refusals_said():
        spread = _spread(family, k, taylor_a, taylor_b)
        wanted = Precision(precision, Meaning(meaning))
        samples = samples_needed(spread, mean, wanted)
    if as_json:
        click.echo(json.dumps({"n": samples.n, "n_exact": samples.exact}, allow_nan=False, indent=1))
        return
    match wanted.meaning:
        case Meaning.SE:
            said = f"SE/mean of {precision:g}"
        case Meaning.HALF_WIDTH:
            said = f"half-width/mean of {precision:g} (95 %, z = {wanted.z:g})"
    name = "sample" if samples.n == 1 else "samples"
    click.echo(f"{samples.n} {name} ({samples.exact:.2f}) for {said} at a mean of {mean:g} a sample.")


def _family(family: str, k: float | None) -> Family:
    if family == "nb":
        if k is None:
            raise OutOfRange("A negative binomial needs --k; no value of k fits every insect and method.")
        return NegativeBinomial(k)
    if k is not None:
        raise OutOfRange(f"--k belongs to the negative binomial; the {family} has none.")
    return Poisson() if family == "poisson" else Binomial()


def _spread(family: str, k: float | None, a: float | None, b: float | None) -> Family | Taylor:
    if a is None and b is None:
        return _family(family, k)
    if a is None or b is None:
        raise OutOfRange("Taylor's power law needs both --taylor-a and --taylor-b.")
    if k is not None:
        raise OutOfRange("Say --k or Taylor's a and b, not both.")
    return Taylor(a, b)


def _at(plan: SequentialPlan, mean: float) -> dict[str, float | None]:
    """Give a true mean's figures; the exact ones are None, with a note, where they take too long."""
    wald = wald_at(plan, mean)
    figures: dict[str, float | None] = {"mean": mean, "wald_low": wald.low, "wald_n": wald.n}
    try:
        exact = exact_course(plan, mean)
    except TooLong as refusal:
        click.echo(f"Note: {refusal}", err=True)
        return figures | {"exact_low": None, "exact_n": None}
    return figures | {"exact_low": exact.low, "exact_n": exact.n}


def _stops_json(
    lines: StopLines, rows: Sequence[StopRow], at: Sequence[dict[str, float | None]], capped: CapCost | None
) -> dict[str, object]:
    figures: dict[str, object] = {"slope": lines.slope, "h0": lines.h0, "h1": lines.h1}
    figures |= {"rows": [asdict(row) for row in rows], "at": at}
    if capped is None:
        return figures
    more = {"alpha_more": capped.alpha_more, "beta_more": capped.beta_more}
    return figures | {"capped": asdict(capped) | more}


def _print_stops(
    lines: StopLines, rows: Sequence[StopRow], at: Sequence[dict[str, float | None]], capped: CapCost | None
) -> None:
    console = Console(highlight=False, soft_wrap=True)
    console.print(
        f"After n samples stop low at a sum of {lines.slope:.4f} n - {lines.h0:.4f} or less, "
        f"high at {lines.slope:.4f} n + {lines.h1:.4f} or more."
    )
    if rows:
        said = [(row.n, row.low_at_most, row.high_at_least) for row in rows]
        _print_table(console, ("samples", "low at most", "high at least"), said)
    if at:
        console.print("Chance of saying low, and mean number of samples, by Wald's approximation and exact:")
        figures = [(f"{one['mean']:g}", *map(_short, list(one.values())[1:])) for one in at]
        _print_table(console, ("true mean", "low, Wald", "samples", "low, exact", "samples"), figures)
    if capped is not None:
        _print_capped(console, capped)


def _print_capped(console: Console, cost: CapCost) -> None:
    bounds = [f"no stop before sample {cost.least}"] if cost.least > 1 else []
    bounds += [] if cost.most is None else [f"the end at sample {cost.most}"]
    console.print(f"Exact chances of each end, free and capped ({', '.join(bounds)}):")
    courses = [
        ("free", cost.free_at_low),
        ("free", cost.free_at_high),
        ("capped", cost.capped_at_low),
        ("capped", cost.capped_at_high),
    ]
    ends = [
        (name, f"{one.mean:g}", *map(_short, (one.low, one.high, one.undecided, one.leans_high, one.n)))
        for name, one in courses
    ]
    heads = ("plan", "true mean", "low", "high", "neither", "leans high", "samples")
    _print_table(console, heads, ends)
    console.print(
        "Where neither line is met and the likelier is said, the cap adds "
        f"{cost.alpha_more:+.4f} to alpha and {cost.beta_more:+.4f} to beta."
    )


def _print_table(console: Console, heads: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    table = Table(*(Column(head, justify="right") for head in heads))
    for row in rows:
        table.add_row(*("-" if cell is None else str(cell) for cell in row))
    console.print(table)


def _short(figure_: float | None) -> str | None:
    return None if figure_ is None else f"{figure_:.4f}" if figure_ < 1 else f"{figure_:.2f}"


def _plot(plan: SequentialPlan, file: Path) -> None:
    """Draw both curves of a plan from a mean of 0 to twice its high."""
    most = min(2 * plan.high, 1.0) if isinstance(plan.family, Binomial) else 2 * plan.high
    means = [most * step / PLOTTED for step in range(PLOTTED + 1)]
    courses = [exact_course(plan, mean) for mean in means]
    walds = [wald_at(plan, mean) for mean in means]
    chances = [
        Curve("exact", [(one.mean, one.low) for one in courses]),
        Curve("Wald", [(one.mean, one.low) for one in walds]),
    ]
    samples = [
        Curve("exact", [(one.mean, one.n) for one in courses]),
        Curve("Wald", [(one.mean, one.n) for one in walds]),
    ]
    x_label = "true mean of one sample"
    panels = [
        Panel("Chance of saying low (OC)", x_label, "chance", chances),
        Panel("Samples needed (ASN)", x_label, "mean number of samples", samples),
    ]
    title = f"Sequential plan: low {plan.low:g}, high {plan.high:g}, alpha {plan.alpha:g}, beta {plan.beta:g}"
    try:
        file.write_text(svg(title, panels), encoding="utf-8")
    except OSError as fault:
        raise click.ClickException(f"{file} cannot be written: {fault.strerror}") from fault
