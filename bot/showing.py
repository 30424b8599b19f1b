"""The command `rowfoot show`: a site or field as it stands, for people and as the fixed JSON."""

import json
from collections.abc import Sequence
from typing import Any

import click
from rich.console import Console
from rich.table import Table

from bot.by_hand import ByHand
from bot.field_book import FieldBook
from bot.field_book import show as shown_of
from bot.opening import day_said, opened, settings
from bot.settings import clock_from

__all__ = ["show"]


@click.command(name="show")
@click.argument("number", type=int)
@click.option("--day", metavar="DATE", help="Another day than today, as 2027-07-06.")
@click.option("--json", "as_json", is_flag=True, help="Print the fixed JSON form.")
def show(number: int, day: str | None, as_json: bool) -> None:
    """Show a site or field as it stands."""
    with opened() as store:
        hand = ByHand(store, clock_from(settings().clock_file))
        now = hand.clock()
        with store.read() as session:
            book = FieldBook(session, hand.season, now)
            chosen = day_said(day) if day else book.today
            shown = shown_of(book, number, chosen)
    if shown is None:
        raise click.ClickException(f"{number} is neither a site nor a field of {hand.season.name}")
    if as_json:
        click.echo(json.dumps(shown, ensure_ascii=False, indent=1))
    else:
        _print_shown(shown)


def _print_shown(shown: dict[str, Any]) -> None:
    """Print a site or field as a person reads it."""
    console = Console(highlight=False)
    number = shown.get("site", shown["field"])
    kind = "site" if "site" in shown else "field"
    console.print(
        f"[bold]{kind} {number}[/bold], {shown['day']}, stage {shown['stage']}, state {shown['state']}"
    )
    if kind == "site":
        console.print(
            f"{shown['method'] or 'no plan'}, {shown['samples_in']} of {shown['samples_planned']} samples in"
        )
        if shown["samples"]:
            table = Table("sample", *next(iter(shown["samples"].values())))
            for sample, counts in shown["samples"].items():
                table.add_row(sample, *("X" if count is None else str(count) for count in counts.values()))
            console.print(table)
    table = Table("target", "density", "80 %", "per", "level", "standing", "row of the book")
    for one in shown["levels"]:
        table.add_row(*_level_row(one))
    if shown["levels"]:
        console.print(table)
    _print_treatments(console, shown.get("treatments", []))
    for site in shown.get("sites", []):
        _print_shown(site)


def _print_treatments(console: Console, treatments: Sequence[dict[str, Any]]) -> None:
    """Print what was counted before and after each treatment of a field; it is never about entering it."""
    for one in treatments:
        days = one["recheck_days"]
        said = (
            f"recheck {one['recheck']}"
            if days is None
            else f"recheck {days[0]} to {days[1]}, {one['recheck']}"
        )
        console.print(f"treated {one['over'][:16].replace('T', ' ')}, {said}")
        table = Table(
            "target", "before", "after", "check", "per", "fewer by", "80 %", "by", "counts bear out"
        )
        for target in one["targets"]:
            table.add_row(*_target_row(target, one["untreated_check"]))
        if one["targets"]:
            console.print(table)
    if treatments:
        console.print("Only counts: they say nothing about entering the field.")


def _target_row(one: dict[str, Any], check: int | None) -> list[str]:
    def seen(which: str) -> str:
        return "-" if one[which] is None else f"{one[which]['density']:.2f}"

    beside = "none" if check is None else f"{check}: {seen('check_before')} to {seen('check_after')}"
    if one["check_left_out"] is not None:
        beside = f"{check}: {one['check_left_out']}"
    # a percent that the counts do not bear out is no figure to read off: its ends are
    percent = f"{one['percent']:.0f} %" if one["finding"] in ("fewer", "more") else "-"
    ends = one["interval"]
    spread = "-" if ends is None else f"{'no end' if ends[0] is None else f'{ends[0]:.0f}'} to {ends[1]:.0f}"
    return [
        one["target"],
        seen("before"),
        seen("after"),
        beside,
        one["per"],
        percent,
        spread,
        one["by"] or "-",
        one["finding"],
    ]


def _level_row(one: dict[str, Any]) -> list[str]:
    """Give a figure as a line of the table: density, its interval at a site or its error in a field, its level."""
    density = "-" if one["density"] is None else f"{one['density']:.2f}"
    level = f"{one['low']}" if one["low"] == one["high"] else f"{one['low']}-{one['high']}"
    standing = one["standing"] if one["needs"] is None else f"{one['standing']} (needs {one['needs']})"
    if one.get("close_call"):
        standing += ", close call"
    spread = "-"
    if one.get("interval"):
        spread = "{:.2f}-{:.2f}".format(*one["interval"])
    elif one.get("se") is not None:
        spread = f"se {one['se']:.2f}"
    return [one.get("target") or one["share"], density, spread, one["per"], level, standing, one["id"] or "-"]
