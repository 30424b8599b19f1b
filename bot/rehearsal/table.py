"""A rehearsal as a supervisor reads it, 100 columns wide: what it says in short, then the tables."""

import math
from collections.abc import Iterator, Sequence
from textwrap import fill

from rich.console import Console
from rich.markup import escape

from bot.rehearsal.asked import Prepared
from bot.rehearsal.grid import Group, grid
from bot.rehearsal.one_site import OneSite
from bot.rehearsal.running import Figures, Wanted
from bot.rehearsal.said import NOT_CLAIMED, heading, in_short, in_short_one_site, mean, number
from bot.rehearsal.seasons import SeasonTally
from bot.rehearsal.tally import At
from bot.rehearsal.values import Rehearsal, Way, said_effort

WIDTH = 100


def print_rehearsal(prepared: Prepared, wanted: Wanted, found: Figures) -> None:
    """Print all of a rehearsal on standard output."""
    console = Console(highlight=False, width=WIDTH)
    for line in lines_of(prepared, wanted, found):
        console.print(line)


def lines_of(prepared: Prepared, wanted: Wanted, found: Figures) -> Iterator[str]:
    """Give the printed rehearsal line by line, a paragraph a line, with marks for bold."""
    of = prepared.rehearsal
    yield f"[bold]Rehearsal of {escape(prepared.name)}[/bold]"
    yield from heading(of, wanted)
    for assumed in prepared.assumed:
        yield f"Assumed: {escape(assumed)}"
    yield "\n[bold]In short[/bold]"
    for line in (*in_short(of, wanted, found), *in_short_one_site(of, found)):
        yield fill(line, WIDTH, initial_indent="- ", subsequent_indent="  ")
    yield ""
    yield from _densities(of, found.at)
    yield from _reading(of, wanted)
    if found.seasons:
        yield ""
        yield from _seasons(wanted, found)
    if found.one_site is not None:
        yield ""
        yield from _one_site(of, found.one_site)
    if of.sites > 1 and of.sequential is not None:
        yield f"\n[bold]Not claimed:[/bold] {NOT_CLAIMED}"


def _densities(of: Rehearsal, at: Sequence[At]) -> Iterator[str]:
    ways: list[Way] = list(at[0].ways)
    calling = [way for way in ways if way is not Way.CERTAIN]
    rows: list[Sequence[str]] = []
    for place, one in enumerate(at):
        if place and one.is_above and not at[place - 1].is_above:
            rows.append(())
        row = [
            number(one.times),
            f"{float(one.times * of.level.high):.3g}",
            "below" if one.is_above else "above",
        ]
        row += [_percent(one.wrong(way)) for way in calling]
        row += [_figure(one.ways[way].mean_samples) for way in ways]
        row += [_figure(one.ways[way].mean_until_alert) for way in ways[1:]]
        rows.append(row)
    groups: list[Group] = [
        ("true density", ["x level", f"per {said_effort(of.level.per)}"]),
        ("wrong", ["is"]),
        ("wrong of 100", calling),
        ("samples a field", ways),
        ("alert after samples", ways[1:]),
    ]
    yield from grid(groups, rows)


def _reading(of: Rehearsal, wanted: Wanted) -> Iterator[str]:
    chance = 100 * 2 * math.sqrt(0.25 / wanted.rounds)
    yield (
        f"Wrong: called above under the level, or not above from it on (certain calls as fixed does); chance alone "
        f"moves it by {chance:.1f} of 100 at most, 19 times in 20. Alert after: samples in when the alert may go, of "
        f"fields called above; under fixed always {of.sites * of.plan.samples}."
    )


def _seasons(wanted: Wanted, found: Figures) -> Iterator[str]:
    growth = wanted.growth
    yield (
        f"[bold]{wanted.seasons:,} seasons[/bold] from {number(growth.start)}x the level, doubling every "
        f"{number(growth.doubling_days)} days, a round every {growth.every_days} days"
    )
    soonest = sorted(found.soonest)
    nine = soonest[math.ceil(0.9 * len(soonest)) - 1]
    rows = [["never wrong", "0.0", _figure(mean(soonest)), f"{nine:.1f}", "0.00", "-"]]
    rows += [[way, *_season(season)] for way, season in found.seasons.items()]
    groups = [
        ("", ["plan"]),
        ("too early", ["of 100"]),
        ("days from level to alert", ["mean", "9 in 10 by"]),
        ("rounds", ["missed"]),
        ("samples", ["till alert"]),
    ]
    yield from grid(groups, rows)
    unheard = sum(end.days is None for season in found.seasons.values() for end in season.ends)
    if unheard:
        yield f"In {unheard:,} seasons no alert came at all."
    yield "Too early: the alert went before the level was crossed; days and rounds missed are of the others."


def _season(season: SeasonTally) -> Sequence[str]:
    days = [_figure(season.mean_late), _figure(season.nine_in_ten)]
    return [_percent(season.early), *days, f"{season.mean_missed:.2f}", f"{season.mean_samples:.0f}"]


def _one_site(of: Rehearsal, one: OneSite) -> Iterator[str]:
    most = of.sequential.samples if of.sequential is not None else of.plan.samples
    yield f"[bold]One site of the sequential plan alone[/bold]: what the most of {most} samples costs"
    exact = one.exact
    low = (exact.free_at_low.called_high, exact.capped_at_low.called_high) if exact else (None, None)
    high = (exact.free_at_high.called_low, exact.capped_at_high.called_low) if exact else (None, None)
    free = (exact.free_at_low.n, exact.free_at_high.n) if exact else (None, None)
    groups = [
        ("true density", ["", f"per {said_effort(of.level.per)}"]),
        ("wrong", ["is"]),
        ("wrong of 100 sites", ["no most", f"most {most}", "rehearsed"]),
        ("samples a site", ["no most", "rehearsed"]),
    ]
    ends = [
        ("low", one.low, "above", (*low, one.alpha), (free[0], one.at_low.mean_samples)),
        ("high", one.high, "below", (*high, one.beta), (free[1], one.at_high.mean_samples)),
    ]
    rows = [
        [name, f"{float(times * of.level.high):.3g}", called, *map(_percent, wrong), *map(_figure, samples)]
        for name, times, called, wrong, samples in ends
    ]
    yield from grid(groups, rows)
    if exact is None:
        yield "No exact figures: counts are spread otherwise than the lines take them, or the lines lie too far apart."
    else:
        yield (
            f"No most, most {most}: exact; where no line is met, the likelier of low and high is said. Rehearsed: by "
            "the rules, where then the level decides, and counting ends once the site is above for sure."
        )


def _figure(figure: float | None) -> str:
    return "-" if figure is None else f"{figure:.1f}"


def _percent(part: float | None) -> str:
    return "-" if part is None else f"{100 * part:.1f}"
