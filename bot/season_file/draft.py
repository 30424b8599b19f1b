"""A season file table by table, as far as it could be read: what the checks look at."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from bot.season_file.book_forms import BookForm, LevelForm, StopTimeForm
from bot.season_file.entries import Entry, FormT, read_entry
from bot.season_file.faults import Fault, did_you_mean
from bot.season_file.forms import (
    FieldForm,
    PersonForm,
    PlanForm,
    SeasonForm,
    ShareForm,
    TargetForm,
)
from bot.season_file.reading import SeasonText, no_such_book
from bot.season_file.toml_text import read_toml

SECTIONS = ("season", "people", "fields", "plans", "targets", "shares", "level", "stop_time")
LISTS = ("level", "stop_time")
NEEDED_SECTIONS = ("season", "people", "fields", "plans")

OWN_ROW = {"source": "season file", "verified": True}
"""What a [[level]] of the season file may leave out: whoever writes it there vouches for it."""

OWN_STOP_TIME = {"source": "season file"}
"""What a [[stop_time]] of the season file may leave out."""


@dataclass(frozen=True, slots=True)
class Row:
    """A [[level]] as it is written: in the season file itself (`own`) or in its level book."""

    path: str
    entry: Entry[LevelForm]
    own: bool


@dataclass(frozen=True, slots=True)
class StopTimeRow:
    """A [[stop_time]] as it is written: in the season file itself (`own`) or in its level book."""

    path: str
    entry: Entry[StopTimeForm]
    own: bool


@dataclass(frozen=True, slots=True)
class Draft:
    """The tables of a season file and of its level book, by their keys.

    `targets` and `shares` hold those that ship too, first; `written` has the paths of those that the
    season file writes ("targets.weevil"), `tables` the paths of everything that it writes, in its order.
    `book` is None where there is no level book to be read.
    """

    season: Entry[SeasonForm]
    people: Mapping[str, Entry[PersonForm]]
    fields: Mapping[int, Entry[FieldForm]]
    plans: Mapping[str, Entry[PlanForm]]
    targets: Mapping[str, Entry[TargetForm]]
    shares: Mapping[str, Entry[ShareForm]]
    written: frozenset[str]
    book: Entry[BookForm] | None
    rows: tuple[Row, ...]
    stop_times: tuple[StopTimeRow, ...]
    tables: tuple[str, ...]


@cache
def shipped_tables() -> dict[str, dict[str, dict[str, Any]]]:
    """Give the targets and shares that ship, as their file has them."""
    file = resources.files("bot.season_file") / "shipped.toml"
    faults: list[Fault] = []
    tables = read_toml(file.read_text(encoding="utf-8"), "", faults)
    if tables is None:
        raise AssertionError(str(faults[0]))
    return tables


def read_draft(texts: SeasonText, faults: list[Fault]) -> Draft | None:
    """Read the tables of a season file and add their faults in the file's order; None where it is no TOML."""
    raw = read_toml(texts.season, "", faults)
    if raw is None:
        return None
    faults.extend(_section_faults(raw))
    # A table that is not there is one fault, not one for each of its keys.
    told = faults if "season" in raw else []
    season = read_entry(SeasonForm, raw.get("season", {}), "season", told)
    book, book_rows, book_stops = _read_book(texts.book, season, faults)
    shipped = shipped_tables()
    return Draft(
        season=season,
        people=_read_section(PersonForm, _tables(raw, "people"), "people", faults),
        fields=_read_fields(_tables(raw, "fields"), faults),
        plans=_read_section(PlanForm, _tables(raw, "plans"), "plans", faults),
        targets=_read_section(TargetForm, _changed(shipped, raw, "targets"), "targets", faults),
        shares=_read_section(ShareForm, _changed(shipped, raw, "shares"), "shares", faults),
        written=frozenset(f"{name}.{key}" for name in ("targets", "shares") for key in _tables(raw, name)),
        book=book,
        rows=(*book_rows, *_read_own_rows(raw.get("level", []), faults)),
        stop_times=(*book_stops, *_read_stop_times(raw.get("stop_time", []), "", OWN_STOP_TIME, faults)),
        tables=tuple(_paths(raw)),
    )


def _paths(raw: Mapping[str, Any]) -> Iterator[str]:
    for name, section in raw.items():
        yield name
        if isinstance(section, dict | list):
            keys = section if isinstance(section, dict) else range(1, len(section) + 1)
            yield from (f"{name}.{key}" for key in keys)


def _section_faults(raw: Mapping[str, Any]) -> Iterator[Fault]:
    for name, section in raw.items():
        if name not in SECTIONS:
            yield Fault(name, f"There is no such table.{did_you_mean(name, SECTIONS)}")
        elif name != "season" and name not in LISTS and not isinstance(section, dict):
            yield Fault(name, "This must be a table of tables.")
    for name in NEEDED_SECTIONS:
        if name not in raw:
            yield Fault(name, "This table is required.")


def _tables(raw: Mapping[str, Any], section: str) -> dict[str, Any]:
    tables = raw.get(section)
    return tables if isinstance(tables, dict) else {}


def _read_section(
    form: type[FormT], tables: Mapping[str, Any], section: str, faults: list[Fault]
) -> dict[str, Entry[FormT]]:
    return {key: read_entry(form, raw, f"{section}.{key}", faults) for key, raw in tables.items()}


def _changed(shipped: Mapping[str, dict[str, Any]], raw: Mapping[str, Any], section: str) -> dict[str, Any]:
    """Lay what the season writes over what ships, key by key."""
    tables = dict(shipped[section])
    for key, table in _tables(raw, section).items():
        tables[key] = {**tables.get(key, {}), **table} if isinstance(table, dict) else table
    return tables


def _read_fields(tables: Mapping[str, Any], faults: list[Fault]) -> dict[int, Entry[FieldForm]]:
    fields = {}
    for key, raw in tables.items():
        path = f"fields.{key}"
        if not re.fullmatch(r"[1-9][0-9]{1,3}", key):
            faults.append(Fault(path, "A field's key is its number: 2 to 4 digits, the first not 0."))
        entry = read_entry(FieldForm, raw, path, faults)
        if re.fullmatch(r"[1-9][0-9]{0,8}", key):
            # one of too many or too few digits is looked at all the same: all its faults are said in one go
            fields[int(key)] = entry
    return fields


def _read_own_rows(raw: object, faults: list[Fault]) -> Iterator[Row]:
    if not isinstance(raw, list):
        faults.append(Fault("level", "Levels are written as [[level]]."))
        return
    for number, table in enumerate(raw, 1):
        path = f"level.{number}"
        filled = {**OWN_ROW, **table} if isinstance(table, dict) else table
        yield Row(path, read_entry(LevelForm, filled, path, faults), own=True)


def _read_book(
    text: str, season: Entry[SeasonForm], faults: list[Fault]
) -> tuple[Entry[BookForm] | None, list[Row], list[StopTimeRow]]:
    name = season.form.level_book
    if not text:
        if name is not None:
            faults.append(Fault("season.level_book", no_such_book(name)))
        return None, [], []
    raw = read_toml(text, "book ", faults)
    if raw is None:
        return None, [], []
    for key in (key for key in raw if key != "book" and key not in LISTS):
        faults.append(
            Fault(f"book {key}", "A level book holds [book], [[level]] and [[stop_time]], and nothing else.")
        )
    book = read_entry(BookForm, raw.get("book", {}), "book book", faults)
    stops = list(_read_stop_times(raw.get("stop_time", []), "book ", {}, faults))
    tables = raw.get("level", [])
    if not isinstance(tables, list):
        faults.append(Fault("book level", "Levels are written as [[level]]."))
        return book, [], stops
    paths = [_book_path("level", number, table) for number, table in enumerate(tables, 1)]
    entries = [read_entry(LevelForm, table, path, faults) for path, table in zip(paths, tables, strict=True)]
    return book, [Row(path, entry, own=False) for path, entry in zip(paths, entries, strict=True)], stops


def _read_stop_times(
    raw: object, of: str, filled_in: Mapping[str, str], faults: list[Fault]
) -> Iterator[StopTimeRow]:
    if not isinstance(raw, list):
        faults.append(Fault(f"{of}stop_time", "Stop times are written as [[stop_time]]."))
        return
    for number, table in enumerate(raw, 1):
        path = _book_path("stop_time", number, table) if of else f"stop_time.{number}"
        filled = {**filled_in, **table} if isinstance(table, dict) else table
        yield StopTimeRow(path, read_entry(StopTimeForm, filled, path, faults), own=not of)


def _book_path(kind: str, number: int, table: object) -> str:
    """Name a row of a book by its id, by its place where it has none."""
    name = table.get("id") if isinstance(table, dict) else None
    return f"book {kind} {name if isinstance(name, str) and name.strip() else number}"
