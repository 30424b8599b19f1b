"""A table of the record: its columns with what each means, and how its cells are written as CSV.

CSV as RFC 4180 (October 2005) has it: commas, CRLF, a header line, quotes around cells that need them and doubled
inside; in UTF-8 without a byte order mark.
"""

import csv
import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import Enum
from fractions import Fraction
from typing import Any, Generic, TypeVar
from zoneinfo import ZoneInfo

Row = TypeVar("Row")

Cell = str | int | float | Fraction | date | datetime | None


class Kind(Enum):
    """What the cells of a column are; only those of TEXT hold words that somebody else chose."""

    NUMBER = "number"
    DAY = "day"
    TIME = "time"
    YES_NO = "yes or no"
    WORD = "word"
    TEXT = "text"


@dataclass(frozen=True, slots=True)
class Column(Generic[Row]):
    """A column: its name, what its cells are and mean, how a row gives its cell, what an empty cell means."""

    name: str
    kind: Kind
    meaning: str
    give: Callable[[Row], Cell]
    empty: str = "never"
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Table(Generic[Row]):
    """A file of the record: its name without ending, what its rows are, their order, columns and rows."""

    name: str
    about: str
    columns: tuple[Column[Row], ...]
    rows: Sequence[Row] = field(default=())

    @property
    def file(self) -> str:
        return f"{self.name}.csv"


RISKY = ("=", "+", "-", "@", "\t", "\r", "\n")
"""First characters that make a spreadsheet read a cell as a formula (OWASP, CSV Injection; from memory)."""

GUARD = "'"
"""What is put before such a cell; cells that begin with it get one too, so that it can be taken off again."""


def defused(words: str) -> str:
    """Give words as no spreadsheet takes them for a formula: one apostrophe before those that begin like one."""
    return GUARD + words if words.startswith((*RISKY, GUARD)) else words


def as_written(words: str) -> str:
    """Give defused words as they were."""
    return words.removeprefix(GUARD)


def csv_text(table: Table[Any], zone: ZoneInfo) -> str:
    """Give a table as the text of a CSV file, times in a zone."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([column.name for column in table.columns])
    for row in table.rows:
        writer.writerow([cell_text(column.kind, column.give(row), zone) for column in table.columns])
    return out.getvalue()


def cell_text(kind: Kind, cell: Cell, zone: ZoneInfo) -> str:
    """Give a cell as it is written; numbers stay numbers, words that somebody chose are defused."""
    match cell:
        case None:
            return ""
        case bool():
            return "yes" if cell else "no"
        case datetime():
            return cell.astimezone(zone).isoformat(timespec="seconds")
        case date():
            return cell.isoformat()
        case int() | float() | Fraction():
            return number_text(cell)
        case str():
            return defused(cell) if kind is Kind.TEXT else str(cell)


def number_text(number: float | Fraction) -> str:
    """Give a number with a point: exact where it has an end, else to the last digit that a float holds."""
    if isinstance(number, float):
        return repr(int(number) if number.is_integer() else number)
    exact = Fraction(number)
    places = next((n for n in range(MOST_PLACES + 1) if (exact * 10**n).denominator == 1), None)
    if places is None:
        return repr(float(exact))
    digits = f"{abs(int(exact * 10**places)):0{places + 1}d}"
    whole, part = (digits, "") if places == 0 else (digits[:-places], f".{digits[-places:]}")
    return f"{'-' if exact < 0 else ''}{whole}{part}"


MOST_PLACES = 12
