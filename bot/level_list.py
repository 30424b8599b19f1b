"""What `rowfoot levels` prints: the rows of a level book, those that a season goes by, the books that ship."""

import difflib
import json
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

import click
from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from bot.level_rows import NOT_READ, conditions, counted, in_full, marks, row_json, source, stages
from bot.rules import Level
from bot.season_file import (
    LevelBook,
    Origin,
    RowInForce,
    SeasonFileUnreadable,
    SeasonLevels,
    SeasonText,
    read_book,
    read_book_text,
    season_levels,
    shipped_books,
)

__all__ = ["print_levels"]

Kept = Callable[[], SeasonText | None]
"""Gives the loaded season, None where there is none; asked only where it is needed."""

FOR_OTHER_COLUMNS = 84
"""Characters that the counts and the level of a row take at most, where there is room."""

LEAST_FOR_A_SOURCE = 28

UNVERIFIED = Text("unverified", "yellow")

IN_FORCE = {
    Origin.BOOK: ("of the book", "dim"),
    Origin.ACCEPTED: ("of the book, unverified, accepted", "yellow"),
    Origin.SEASON: ("the season's own", "green"),
    Origin.INSTEAD: ("the season's, in place of the book's", "green"),
}
"""Why a row is in force, in words, and how these are coloured."""


@dataclass(frozen=True, slots=True)
class _Row:
    """A row to be printed: its mark in a list, and whether and why it is in force where a season says so."""

    level: Level
    mark: Text | None = None
    force: str | None = None


def print_levels(name: str | None, ids: Sequence[str], kept: Kept, *, as_json: bool) -> None:
    """Print a book by its name or path; without one the rows of the loaded season, else the books that ship.

    With ids, print these rows in full.
    """
    if name is not None:
        _print_book(_book_of(name, kept), ids, as_json=as_json)
    elif (texts := kept()) is not None:
        _print_season(_season_of(texts), ids, as_json=as_json)
    elif ids:
        raise click.ClickException("No season is loaded: name the book too, rowfoot levels BOOK --id ID.")
    else:
        _print_shipped(as_json=as_json)


def _book_of(name: str, kept: Kept) -> LevelBook:
    try:
        text = read_book_text(name)
    except SeasonFileUnreadable as unreadable:
        raise click.ClickException(str(unreadable)) from unreadable
    book = read_book(text)
    # A book may count what only the season that names it knows.
    if not isinstance(book, LevelBook) and (texts := kept()) is not None:
        book = read_book(text, texts.season)
    if isinstance(book, LevelBook):
        return book
    click.echo(f"{name}: {'1 fault' if len(book) == 1 else f'{len(book)} faults'}.", err=True)
    for fault in book:
        click.echo(f"  {fault}", err=True)
    sys.exit(2)


def _season_of(texts: SeasonText) -> SeasonLevels:
    levels = season_levels(texts)
    if not isinstance(levels, SeasonLevels):
        raise click.ClickException(f"the season in the database has faults now: {levels[0]}")
    return levels


# A book by itself


def _print_book(book: LevelBook, ids: Sequence[str], *, as_json: bool) -> None:
    rows = [_Row(level, None if level.verified else UNVERIFIED) for level in book.rows]
    chosen = _chosen(rows, ids, f"the level book {book.name}")
    if as_json:
        stop_times = {"stop_times": [asdict(one) for one in book.stop_times]} if not ids else {}
        _print_json({**_book_json(book), "levels": [row_json(row.level) for row in chosen], **stop_times})
        return
    console = _console()
    if ids:
        _print_in_full(console, book, chosen)
        return
    _print_heading(console, f"Level book {book.name}", f", {book.region}: {_how_many(book.rows)}")
    _print_table(console, chosen)
    if not all(row.level.verified for row in chosen):
        console.print(f"Unverified: {NOT_READ}. A season goes by such a row only where it accepts it.")
    _print_stop_times(console, book)


def _print_stop_times(console: Console, book: LevelBook) -> None:
    """Print the heat units after cutout that a season may name, a line each."""
    if not book.stop_times:
        return
    _print_heading(console, "After cutout", ": heat units that stop_heat_units may name in the season file")
    for one in book.stop_times:
        pest = book.names.get(one.pest or "", one.pest)
        year = f" {one.year}" if one.year else ""
        console.print(f"  {one.id}: {one.units}, {pest}, {one.source}{year}", soft_wrap=True)


# The loaded season


def _print_season(levels: SeasonLevels, ids: Sequence[str], *, as_json: bool) -> None:
    in_force = [_row_in_force(one) for one in levels.in_force]
    waiting = [_Row(level, None, "no, as it is unverified and not accepted") for level in levels.waiting]
    chosen = _chosen([*in_force, *waiting], ids, f"{levels.season} or its level book {levels.book.name}")
    if as_json:
        _print_json(_season_json(levels, {row.level.id for row in chosen}))
        return
    console = _console()
    if ids:
        _print_in_full(console, levels.book, chosen)
    else:
        book = f"level book {levels.book.name}, {levels.book.region}"
        _print_heading(console, levels.season, f", {book}: {_rows(len(in_force))} in force")
        _print_table(console, in_force)
        if waiting:
            _print_heading(console, "Not in force", f": {_rows(len(waiting))} of the book, {NOT_READ}")
            _print_table(console, waiting)
        _print_stop_times(console, levels.book)
    if to_accept := [row.level.id for row in chosen if row in waiting]:
        _print_how_to_accept(console, levels.accepted, to_accept[0])


def _row_in_force(one: RowInForce) -> _Row:
    said, style = IN_FORCE[one.origin]
    instead_of = f": {marks(one.replaces)}, {source(one.replaces)}" if one.replaces else ""
    return _Row(one.level, Text(said, style), f"yes, {said}{instead_of}")


def _print_how_to_accept(console: Console, accepted: Sequence[str], name: str) -> None:
    console.print("To accept one, read its source, then name it in the season file, under [season]:")
    line = f"accept_unverified = {json.dumps([*accepted, name], ensure_ascii=False)}"
    console.print(f"  {line}", style="bold", soft_wrap=True)
    console.print("and load the file again: rowfoot load FILE")


# The books that ship


def _print_shipped(*, as_json: bool) -> None:
    books = [_book_of(name, lambda: None) for name in shipped_books()]
    unverified = {book.name: sum(not level.verified for level in book.rows) for book in books}
    if as_json:
        _print_json(
            {
                "books": [
                    {**_book_json(book), "rows": len(book.rows), "unverified": unverified[book.name]}
                    for book in books
                ]
            }
        )
        return
    console = _console()
    table = Table("book", "region", box=box.SIMPLE_HEAD)
    table.add_column("rows", justify="right")
    table.add_column("unverified", justify="right")
    for book in books:
        table.add_row(book.name, book.region, str(len(book.rows)), str(unverified[book.name] or "-"))
    console.print("No season is loaded. The level books that ship:")
    console.print(table)
    console.print("The rows of one: rowfoot levels BOOK. One row in full: rowfoot levels BOOK --id ID.")


# Rows as people read them


def _console() -> Console:
    return Console(highlight=False, markup=False, emoji=False)


def _print_heading(console: Console, name: str, more: str) -> None:
    console.print(Text.assemble((name, "bold"), more))


def _print_table(console: Console, rows: Sequence[_Row]) -> None:
    """Print rows in three columns of a few lines each, so that 80 characters are enough; no id is ever cut."""
    names = [_name(row) for row in rows]
    longest_id = max((len(row.level.id) for row in rows), default=0)
    longest_line = max((len(line) for name in names for line in name.plain.split("\n")), default=0)
    table = Table(box=box.SIMPLE_HEAD, leading=1, pad_edge=False)
    room = max(LEAST_FOR_A_SOURCE, console.width - FOR_OTHER_COLUMNS)
    table.add_column("id, source", width=max(longest_id, min(longest_line, room)))
    table.add_column("count, stage")
    table.add_column("level")
    for name, row in zip(names, rows, strict=True):
        level = row.level
        what = [counted(level), *([level.method.value] if level.method else []), stages(level)]
        table.add_row(name, "\n".join(what), "\n".join([marks(level), *conditions(level)]))
    console.print(table)


def _name(row: _Row) -> Text:
    name = Text.assemble((row.level.id, "bold"), "\n", (source(row.level), "dim"))
    return name if row.mark is None else name.append("\n").append_text(row.mark)


def _print_in_full(console: Console, book: LevelBook, rows: Iterable[_Row]) -> None:
    for row in rows:
        table = Table(show_header=False, box=None)
        table.add_column(style="dim", no_wrap=True)
        table.add_column()
        table.add_row("id", Text(row.level.id, "bold"))
        table.add_row("book", f"{book.name}, {book.region}")
        if row.force is not None:
            table.add_row("in force", row.force)
        for what, said in in_full(row.level, book.names):
            table.add_row(what, said)
        console.print(table)
        console.print()


def _how_many(rows: Sequence[Level]) -> str:
    unverified = sum(not level.verified for level in rows)
    return f"{_rows(len(rows))}, {unverified} unverified" if unverified else _rows(len(rows))


def _rows(count: int) -> str:
    return "1 row" if count == 1 else f"{count} rows"


# Rows by their ids


def _chosen(rows: Sequence[_Row], ids: Sequence[str], where: str) -> Sequence[_Row]:
    """Give the rows of some ids in their order, all rows where none is named."""
    by_id = {row.level.id: row for row in rows}
    for name in ids:
        if name not in by_id:
            near = difflib.get_close_matches(name, by_id, n=1)
            hint = f" Did you mean {near[0]}?" if near else ""
            raise click.ClickException(f"There is no row {name} in {where}.{hint}")
    return [by_id[name] for name in dict.fromkeys(ids)] if ids else rows


# JSON: the keys of a row as a level book spells them


def _print_json(value: Mapping[str, Any]) -> None:
    click.echo(json.dumps(value, ensure_ascii=False, indent=1, allow_nan=False))


def _book_json(book: LevelBook) -> dict[str, Any]:
    return {"book": book.name, "region": book.region}


def _season_json(levels: SeasonLevels, chosen: set[str]) -> dict[str, Any]:
    return {
        "season": levels.season,
        **_book_json(levels.book),
        "in_force": [
            {
                **row_json(one.level),
                "from": "book" if one.origin in (Origin.BOOK, Origin.ACCEPTED) else "season",
                "accepted": one.origin is Origin.ACCEPTED,
                "replaces": row_json(one.replaces) if one.replaces else None,
            }
            for one in levels.in_force
            if one.level.id in chosen
        ],
        "not_in_force": [row_json(level) for level in levels.waiting if level.id in chosen],
    }
