"""The command `rowfoot crop`: how a field's crop stands over the season, and its heat units since cutout."""

import json
from collections import defaultdict
from datetime import date, timedelta
from fractions import Fraction
from typing import Any

import click
from rich.console import Console
from rich.table import Table

from bot.by_hand import ByHand
from bot.field_book import SQUARES, FieldBook, heat_since, in_cutout_since
from bot.opening import day_said, opened, settings
from bot.replies import figure_number
from bot.rules import Field
from bot.settings import clock_from
from storage import nawf_of_field, shares_of_field, stage_texts

__all__ = ["crop"]

MOST_DAYS = 366
"""Days back that heat units are summed: a season and more."""


@click.command()
@click.argument("field", type=int)
@click.option("--since", metavar="DATE", help="Sum heat units from this day on, not from the field's cutout.")
@click.option("--at", metavar="ISO", help="The moment; now if not said.")
@click.option("--json", "as_json", is_flag=True, help="Print it all as JSON.")
def crop(field: int, since: str | None, at: str | None, as_json: bool) -> None:
    """Show a FIELD's stages, square retention, nodes above white flower, and heat units since cutout."""
    with opened() as store:
        hand = ByHand(store, clock_from(settings().clock_file))
        found = hand.season.field_of(field)
        if found is None:
            raise click.ClickException(f"{field} is neither a site nor a field of {hand.season.name}")
        with store.read() as session:
            book = FieldBook(session, hand.season, hand.moment(at))
            shown = crop_of(book, found, _since(since, book.today))
    if as_json:
        click.echo(json.dumps(shown, ensure_ascii=False, indent=1, allow_nan=False))
    else:
        _print(shown)


def _since(said: str | None, today: date) -> date | None:
    if said is None:
        return None
    day = day_said(said)
    if day >= today:
        raise click.ClickException(f"{day} is not over yet; heat units are of days that are")
    if (today - day).days > MOST_DAYS:
        raise click.ClickException(f"{day} is more than {MOST_DAYS} days ago")
    return day


def crop_of(book: FieldBook, field: Field, since: date | None = None) -> dict[str, Any]:
    """Give a field's crop as JSON has it: marks of its stage, squares and nodes by day, heat units.

    `heat` is null for a field that is not in cutout where no day is given.
    """
    stage = book.stage_on(field, book.today)
    return {
        "field": field.number,
        "name": field.name,
        "day": book.today.isoformat(),
        "stage": str(stage) if stage else "unknown",
        "stages": _stages(book, field),
        "squares": _squares(book, field),
        "nawf": _nawf(book, field),
        "heat": _heat(book, field, since),
    }


def _stages(book: FieldBook, field: Field) -> list[dict[str, Any]]:
    """Give what says the field's stage, by day: dates of the file, then what was texted."""
    marks = [
        {"since": mark.since.isoformat(), "stage": str(mark.on(mark.since)), "by": None, "proposal": False}
        for mark in field.stage_dates
    ]
    texted = stage_texts(book.session, field.number)
    for row, mark in zip(texted, book.marks(field)[len(marks) :], strict=True):
        stage = str(mark.on(mark.since))
        marks.append(
            {"since": row.day.isoformat(), "stage": stage, "by": row.person, "proposal": row.proposal}
        )
    return sorted(marks, key=lambda mark: str(mark["since"]))


def _squares(book: FieldBook, field: Field) -> list[dict[str, Any]]:
    """Give squares still on of those looked at, pooled over the field by day."""
    days: dict[date, list[tuple[int, int]]] = defaultdict(list)
    tomorrow = book.today + timedelta(days=1)
    for row in shares_of_field(book.session, field.number, SQUARES, date.min, tomorrow):
        days[row.day].append((row.n, row.of))
    return [
        {"day": day.isoformat(), "n": sum(n for n, _ in seen), "of": sum(of for _, of in seen)}
        for day, seen in sorted(days.items())
    ]


def _nawf(book: FieldBook, field: Field) -> list[dict[str, Any]]:
    return [
        {
            "day": row.day.isoformat(),
            "number": row.number,
            "mean": float(sum(map(Fraction, row.plants), Fraction(0)) / len(row.plants)),
            "plants": [float(plant) for plant in row.plants],
        }
        for row in nawf_of_field(book.session, field.number)
        if row.day <= book.today
    ]


def _heat(book: FieldBook, field: Field, since: date | None) -> dict[str, Any] | None:
    cutout = in_cutout_since(book, field)
    first = since or cutout
    if first is None:
        return None
    heat = heat_since(book, first)
    stop = field.stop_time
    total = Fraction(0)
    days = []
    for one in heat.days:
        total += one.units
        days.append(
            {
                "day": one.day.isoformat(),
                "high": float(one.temperatures.high),
                "low": float(one.temperatures.low),
                "units": float(one.units),
                "sum": float(total),
            }
        )
    return {
        "method": str(book.season.heat_method),
        "cutout": cutout.isoformat() if cutout else None,
        "since": first.isoformat(),
        "by": heat.by.isoformat(),
        "total": float(heat.total),
        "missing": [day.isoformat() for day in heat.missing],
        "days": days,
        "stop": None
        if stop is None
        else {
            "id": stop.id,
            "pest": stop.pest,
            "units": stop.units,
            "source": stop.source,
            "year": stop.year,
            # a mark is of the sum since cutout: of another sum it says nothing
            "reached": heat.total >= stop.units if first == cutout else None,
        },
    }


def _print(shown: dict[str, Any]) -> None:
    console = Console(highlight=False, markup=False)
    head = f"field {shown['field']} {shown['name']}, {shown['day']}, stage {shown['stage']}"
    console.print(head, style="bold", soft_wrap=True)
    if shown["stages"]:
        table = Table("stage", "from", "said by")
        for mark in shown["stages"]:
            by = mark["by"] or "season file"
            table.add_row(mark["stage"], mark["since"], f"{by}, a proposal" if mark["proposal"] else by)
        console.print(table)
    if shown["squares"]:
        table = Table("squares", "on", "of", "%")
        for one in shown["squares"]:
            table.add_row(one["day"], str(one["n"]), str(one["of"]), f"{100 * one['n'] / one['of']:.0f}")
        console.print(table)
    if shown["nawf"]:
        table = Table("NAWF", "at", "mean", "plants")
        for one in shown["nawf"]:
            plants = " ".join(f"{plant:g}" for plant in one["plants"])
            table.add_row(one["day"], str(one["number"]), f"{one['mean']:.2f}", plants)
        console.print(table)
    _print_heat(console, shown["heat"])


def _print_heat(console: Console, heat: dict[str, Any] | None) -> None:
    if heat is None:
        console.print("Not in cutout: no heat units are summed. --since DATE sums them from a day.")
        return
    table = Table("heat units", "high", "low", "DD60", "sum")
    rows = {one["day"]: one for one in heat["days"]}
    for day in sorted([*rows, *heat["missing"]]):
        if day in rows:
            figures = (f"{rows[day][key]:g}" for key in ("high", "low", "units", "sum"))
            table.add_row(day, *figures)
        else:
            table.add_row(day, "-", "-", "missing", "-")
    console.print(table)
    stop = heat["stop"]
    total = figure_number(Fraction(heat["total"]), (Fraction(stop["units"]) if stop else None,))
    missing = len(heat["missing"])
    least = "at least " if missing else ""
    days = {0: "", 1: ", 1 day missing"}.get(missing, f", {missing} days missing")
    of_cutout = "cutout on " if heat["since"] == heat["cutout"] else ""
    said = f"{least}{total} heat units ({heat['method']}) since {of_cutout}{heat['since']}{days}"
    console.print(said, soft_wrap=True)
    _print_stop(console, stop)


def _print_stop(console: Console, stop: dict[str, Any] | None) -> None:
    if stop is None:
        return
    source = stop["source"] or "the season file"
    source = f"{source} {stop['year']}" if stop["year"] else source
    pest = f", {stop['pest']}" if stop["pest"] else ""
    state = {True: "reached: yours to judge", False: "not reached", None: "counted since cutout only"}
    console.print(f"{stop['units']} of {source}{pest}: {state[stop['reached']]}", soft_wrap=True)
