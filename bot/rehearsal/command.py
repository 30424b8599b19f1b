"""The command `rowfoot rehearse`."""

import json
import os
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path

import click
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

from bot.figures import refusals_said
from bot.rehearsal.asked import parse_effort, parse_times, prepare_by_hand, prepare_by_plan
from bot.rehearsal.options import Asked
from bot.rehearsal.plot import picture
from bot.rehearsal.running import Wanted, run
from bot.rehearsal.seasons import Growth
from bot.rehearsal.shown import as_json
from bot.rehearsal.table import print_rehearsal
from bot.rehearsal.values import CannotRehearse
from bot.rules import Effort, Season
from bot.season_file import SeasonFileError, SeasonText, read_season, read_texts
from storage import newest_season

WRITTEN = re.compile(r"-?([0-9]{1,6}(\.[0-9]{0,6})?|\.[0-9]{1,6})")
"""Numbers as people write them: no exponent, no stroke."""

AT = "0.25,0.5,0.67,0.8,0.9,1,1.1,1.25,1.5,2,3"


class Refused(click.ClickException):
    """A refusal: a sentence, and status 2 as for a wrong option."""

    exit_code = 2


class Exactly(click.ParamType[Fraction]):
    """A number on the command line, kept exact."""

    name = "number"

    def convert(
        self, value: str | Fraction, param: click.Parameter | None, ctx: click.Context | None
    ) -> Fraction:
        """Give the number; an exponent or a fraction stroke is none that people write."""
        if isinstance(value, Fraction):
            return value
        if not WRITTEN.fullmatch(value):
            self.fail(f"{value!r} is no number as 2.5", param, ctx)
        return Fraction(value)


class AnEffort(click.ParamType[Effort]):
    """An effort on the command line, as 5 row ft."""

    name = "effort"

    def convert(
        self, value: str | Effort, param: click.Parameter | None, ctx: click.Context | None
    ) -> Effort:
        """Give the effort."""
        if isinstance(value, Effort):
            return value
        try:
            return parse_effort(value)
        except CannotRehearse as refusal:
            self.fail(str(refusal), param, ctx)


EXACT, EFFORT = Exactly(), AnEffort()


@click.command(context_settings={"ignore_unknown_options": False, "max_content_width": 100})
@click.option(
    "--plan", "key", metavar="KEY", help="A plan of the loaded season; what is given beside it governs."
)
@click.option(
    "--season",
    "file",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="A season file to take the plan from, in the loaded season's stead.",
)
@click.option("--target", metavar="KEY", help="Which target of the plan's card; its stop's if not said.")
@click.option("--stage", metavar="STAGE", help="The stage whose level counts, as 'bloom 2'.")
@click.option("--sites", type=int, help="Sites of the field; the plan's largest field, by hand 3.")
@click.option("--samples", type=int, help="Samples of a site; the plan's, by hand 10.")
@click.option("--most", type=int, help="The most samples of a site under the sequential plan; as --samples.")
@click.option("--each", type=EFFORT, help="The effort of one sample; the plan's, by hand '3 row ft'.")
@click.option("--level", type=EXACT, help="The level; the plan's row.")
@click.option(
    "--per", type=EFFORT, help="The effort that the level, low and high are per; by hand '5 row ft'."
)
@click.option("--low", type=EXACT, help="Stop lines: the density that is low.")
@click.option("--high", type=EXACT, help="Stop lines: the density that is high.")
@click.option("--alpha", type=EXACT, help="Stop lines: chance of calling low high; the plan's, by hand 0.1.")
@click.option("--beta", type=EXACT, help="Stop lines: chance of calling high low; the plan's, by hand 0.1.")
@click.option(
    "--at-least", type=int, help="Stop lines: no stop before so many samples; the plan's, by hand 4."
)
@click.option("--k", type=float, help="How clumped counts within a site truly are; inf is not at all.")
@click.option("--k-sites", type=float, help="How clumped the sites' means are; inf is all alike.")
@click.option(
    "--k-lines", type=float, help="The k that the stop lines take; the plan's, by hand that of --k."
)
@click.option("--at", "at", default=AT, show_default=True, help="True densities, as times the level.")
@click.option("--rounds", type=int, default=2000, show_default=True, help="Fields at each true density.")
@click.option(
    "--seasons", type=int, default=500, show_default=True, help="Seasons of a field that grows; 0: none."
)
@click.option(
    "--start",
    type=EXACT,
    default="0.25",
    show_default=True,
    help="A season's first density, as times the level.",
)
@click.option(
    "--doubling",
    type=EXACT,
    default="7",
    show_default=True,
    help="Days in which the field's density doubles.",
)
@click.option("--every", type=int, help="Days from round to round; the plan's, by hand 7.")
@click.option("--seed", type=int, default=1, show_default=True, help="The same seed gives the same figures.")
@click.option(
    "--processes", type=click.IntRange(1, 256), help="Processes that share the work; one for each core."
)
@click.option(
    "--sample-by-sample",
    is_flag=True,
    help="Hand the rules every sample, not a site's sums: the same figures, some five times slower.",
)
@click.option(
    "--plot", type=click.Path(dir_okay=False, path_type=Path), help="Draw the curves into an SVG file."
)
@click.option("--json", "wants_json", is_flag=True, help="Print all figures in full, as JSON.")
def rehearse(
    key: str | None,
    file: Path | None,
    at: str,
    rounds: int,
    seasons: int,
    start: Fraction,
    doubling: Fraction,
    every: int | None,
    seed: int,
    processes: int | None,
    plot: Path | None,
    wants_json: bool,
    **options: object,
) -> None:
    """Rehearse scouting by the real rules on fields drawn by chance, to choose between plans.

    Three ways to walk the same fields: the fixed plan; the same, ended once the field is above for
    sure; and a sequential plan, if it has stop lines. For each true density: how many fields are called
    wrong, how many samples that takes, how soon the alert goes.
    """
    asked = Asked(**options)  # type: ignore[arg-type]  # click gives each option the type that stands above
    with refusals_said(), _refusals_said():
        prepared = prepare_by_hand(asked) if key is None else prepare_by_plan(asked, _season(file), key)
        growth = Growth(start, doubling, prepared.rehearsal.plan.every_days if every is None else every)
        wanted = Wanted(tuple(parse_times(at)), rounds, seasons, growth, seed)
        if key is None and file is not None:
            raise CannotRehearse("A season file is of use with --plan: say which of its plans.")
        if plot is not None and plot.suffix.lower() != ".svg":
            raise CannotRehearse(f"The picture is drawn as SVG; {plot.name} does not end in .svg.")
        with _progress() as tick:
            found = run(prepared.rehearsal, wanted, processes or os.cpu_count() or 1, tick=tick)
        drawn = "" if plot is None else picture(prepared.rehearsal, wanted, found)
    if plot is not None:
        try:
            plot.write_text(drawn, encoding="utf-8")
        except OSError as fault:
            raise click.ClickException(f"{plot} cannot be written: {fault.strerror}") from fault
    if wants_json:
        click.echo(
            json.dumps(as_json(prepared, wanted, found), ensure_ascii=False, allow_nan=False, indent=1)
        )
    else:
        print_rehearsal(prepared, wanted, found)


@contextmanager
def _refusals_said() -> Iterator[None]:
    try:
        yield
    except CannotRehearse as refusal:
        raise Refused(str(refusal)) from refusal


@contextmanager
def _progress() -> Iterator[Callable[[int, int], None]]:
    """Give what moves a bar on standard error; no bar where nobody looks."""
    console = Console(stderr=True)
    columns = (TextColumn("rehearsing"), BarColumn(), TimeRemainingColumn(compact=True))
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task("rehearsing", total=None)
        yield lambda done, of: bar.update(task, completed=done, total=of)


def _season(file: Path | None) -> Season:
    """Read the season from a file, else the one that is loaded."""
    try:
        texts = _loaded_texts() if file is None else read_texts(file)
    except SeasonFileError as fault:
        raise click.ClickException(str(fault)) from fault
    season = read_season(texts)
    if not isinstance(season, Season):
        raise CannotRehearse(f"The season file has faults; `rowfoot load` names them. The first: {season[0]}")
    return season


def _loaded_texts() -> SeasonText:
    # Loaded when it is asked for: the processes that share the work have no use for it.
    from bot.opening import opened

    with opened() as store, store.read() as session:
        row = newest_season(session)
        return SeasonText(season=row.season_text, book=row.book_text)
