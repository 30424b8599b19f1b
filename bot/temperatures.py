"""The command `rowfoot temperatures`: highs and lows by day from a file, all of it or nothing."""

import csv
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from pathlib import Path

import click

from bot.by_hand import ByHand
from bot.field_book import FieldBook, temperatures_of
from bot.opening import opened, settings
from bot.rules import HeatMethod, Temperatures, heat_units
from bot.settings import clock_from
from storage import Session, TemperatureRow, temperature_on

__all__ = ["temperatures"]

COLUMNS = ["day", "high", "low"]
LEAST_DEGREES, MOST_DEGREES = -40, 150
COLDEST_HIGH = 50
"""Where no high reaches it the file may be in degrees Celsius."""

_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_DEGREES = re.compile(r"-?[0-9]{1,3}(?:\.[0-9]{1,2})?")


@dataclass(frozen=True, slots=True)
class Line:
    """A day's high and low as the file writes them, and where."""

    number: int
    day: date
    high: str
    low: str

    @property
    def temperatures(self) -> Temperatures:
        return Temperatures(Fraction(self.high), Fraction(self.low))


@click.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--at", metavar="ISO", help="The moment; now if not said.")
def temperatures(file: Path, at: str | None) -> None:
    """Load highs and lows in F by day from a CSV FILE with the columns day, high and low; say what changed.

    All faults are said in one go, and nothing is stored where there is one.
    """
    try:
        text = file.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        raise click.ClickException(f"{file} is not UTF-8") from fault
    except OSError as fault:
        raise click.ClickException(f"{file} cannot be read: {fault.strerror}") from fault
    with opened() as store:
        hand = ByHand(store, clock_from(settings().clock_file))
        now = hand.moment(at)
        with store.read() as session:
            today = FieldBook(session, hand.season, now).today
        lines, faults = read_lines(text, today)
        if faults:
            said = "1 fault" if len(faults) == 1 else f"{len(faults)} faults"
            raise click.ClickException(
                f"{file}: {said}, nothing stored.\n" + "\n".join(f"  {one}" for one in faults)
            )

        def step(session: Session) -> list[str | None]:
            return [_kept(session, line, hand.season.heat_method, now) for line in lines]

        changes = store.write(step)
    for change in changes:
        if change is not None:
            click.echo(change)
    same = changes.count(None)
    days = "1 day" if len(lines) == 1 else f"{len(lines)} days"
    click.echo(f"{days} read, {len(lines) - same} changed, {same} as before.")


def _kept(session: Session, line: Line, method: HeatMethod, now: datetime) -> str | None:
    """Keep a day and say what it is and was; None where it says what is known already."""
    before = temperature_on(session, line.day)
    if before is not None and temperatures_of(before) == line.temperatures:
        return None
    session.add(
        TemperatureRow(day=line.day, high=line.high, low=line.low, person=None, text_id=None, noted_at=now)
    )
    session.flush()
    was = f" (was {before.high} and {before.low})" if before is not None else ""
    units = float(heat_units(line.temperatures, method))
    return f"{line.day}: high {line.high}, low {line.low} F, {units:.2f} heat units{was}"


def read_lines(text: str, today: date) -> tuple[list[Line], list[str]]:
    """Read the days of a file and everything that is wrong with it, each fault with its line."""
    faults: list[str] = []
    lines: list[Line] = []
    try:
        rows = list(_rows(text))
    except csv.Error as fault:
        return [], [f"it cannot be read as CSV: {fault}"]
    if not rows:
        return [], ["it is empty; its first line must be day,high,low"]
    (first, header), *others = rows
    columns = [cell.strip().lower() for cell in header]
    if sorted(columns) != sorted(COLUMNS):
        return [], [f"line {first}: the header must be day,high,low in any order, not {','.join(header)}"]
    if not others:
        return [], ["no day follows its header"]
    seen: dict[date, int] = {}
    for number, cells in others:
        found = _line(number, columns, cells, today)
        if isinstance(found, Line) and found.day in seen:
            found = [f"line {number}: {found.day} is in line {seen[found.day]} already"]
        if isinstance(found, Line):
            seen[found.day] = number
            lines.append(found)
        else:
            faults += found
    if not faults and all(line.temperatures.high < COLDEST_HIGH for line in lines):
        faults.append(f"no high reaches {COLDEST_HIGH} F: the file may be in Celsius")
    return lines, faults


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(text.splitlines(keepends=True), strict=True)
    for cells in reader:
        if any(cell.strip() for cell in cells):
            yield reader.line_num, cells


def _line(number: int, columns: Sequence[str], cells: Sequence[str], today: date) -> Line | list[str]:
    """Read one line of the file, or give all that is wrong with it."""
    if len(cells) != len(columns):
        return [f"line {number}: there are {len(cells)} values, the header has {len(columns)}"]
    said = dict(zip(columns, (cell.strip() for cell in cells), strict=True))
    faults = []
    day = _day(said["day"])
    if day is None:
        faults.append(f"line {number}: day {said['day']!r} is no date as 2027-08-04")
    elif day >= today:
        faults.append(f"line {number}: {day} is not over yet")
    degrees = {}
    for column in ("high", "low"):
        value = Fraction(said[column]) if _DEGREES.fullmatch(said[column]) else None
        if value is None:
            faults.append(f"line {number}: {column} {said[column]!r} is no number of degrees")
        elif not LEAST_DEGREES <= value <= MOST_DEGREES:
            faults.append(
                f"line {number}: {column} {said[column]} is not between {LEAST_DEGREES} and {MOST_DEGREES} F"
            )
        else:
            degrees[column] = value
    if len(degrees) == 2 and degrees["high"] < degrees["low"]:
        faults.append(f"line {number}: the high {said['high']} is under the low {said['low']}")
    if faults or day is None:
        return faults
    return Line(number, day, said["high"], said["low"])


def _day(said: str) -> date | None:
    try:
        return date.fromisoformat(said) if _DAY.fullmatch(said) else None
    except ValueError:
        return None
