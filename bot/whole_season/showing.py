"""`rowfoot demo --season`: a whole season played into a database file, its progress, and what it came to."""

import gc
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

from rich.box import SIMPLE
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn
from rich.table import Table

from bot.whole_season.happening import (
    Caused,
    Counted,
    Fixed,
    Happening,
    Moved,
    Says,
    Shut,
    TakenBack,
)
from bot.whole_season.playing import play
from bot.whole_season.script import Script
from bot.whole_season.world import FIRST_DAY, LAST_DAY
from storage import StorageError, Store

DEFAULT_FILE = Path("rowfoot-season.db")
WEEKS = ((LAST_DAY - FIRST_DAY).days + 1) // 7

TAKEN_BACK = re.compile(r"^(CORRECTED|CORREGIDO) ")
NEWS = re.compile(r"\b(ABOVE|ARRIBA)\b")
NO_NEWS = re.compile(r"has no OK|no tiene OK|back BELOW|otra vez ABAJO")
FIELD = re.compile(r"\b[0-9]{2}\b")


@dataclass(slots=True)
class Week:
    """What a week of the season came to."""

    fields: set[int] = field(default_factory=set)
    visits: set[tuple[int, date]] = field(default_factory=set)
    texts: int = 0
    answers: int = 0
    alerts: int = 0
    closed: set[tuple[int, date]] = field(default_factory=set)
    corrections: int = 0
    withdrawn: int = 0


@dataclass(slots=True)
class Tally:
    """The season so far, week by week."""

    script: Script
    weeks: list[Week] = field(default_factory=lambda: [Week() for _ in range(WEEKS)])
    last_above: tuple[int, date] | None = None

    def add(self, happening: Happening, caused: tuple[Caused, ...]) -> None:
        """Count what happened and what it caused."""
        day = self.script.day_of(happening.at)
        week = self.weeks[min(max((day - FIRST_DAY).days // 7, 0), WEEKS - 1)]
        week.answers += len(caused)
        for one in caused:
            self._add_caused(one, week, day)
        if not isinstance(happening, Says):
            return
        week.texts += 1
        for meaning in happening.means:
            match meaning:
                case Counted(site=site, day=counted):
                    week.fields.add(self.script.field_of(site))
                    week.visits.add((site, counted))
                case Fixed() | Moved() | TakenBack():
                    week.corrections += 1
                case Shut(field=number):
                    week.closed.add((number, day))
                case _:
                    pass

    def treated_in(self, week: int) -> list[tuple[int, date]]:
        """Give the fields that were treated in a week, with the day, whether or not anybody said so."""
        return [one for one in self.script.treated if (one[1] - FIRST_DAY).days // 7 == week]

    def _add_caused(self, one: Caused, week: Week, day: date) -> None:
        if one.purpose != "alert":
            return
        if TAKEN_BACK.search(one.text):
            week.withdrawn += 1
        elif NEWS.search(one.text) and not NO_NEWS.search(one.text):
            week.alerts += 1
            if (found := FIELD.search(one.text)) is not None:
                self.last_above = int(found[0]), day


def run_whole_season(file: Path, seed: int) -> int:
    """Play a season into a new database file; give the exit status."""
    console = Console(highlight=False)
    if file.exists():
        console.print(
            f"[red]{file} is here already, and nothing is written over it.[/red] Move it away, or name another file: "
            "rowfoot demo --season --file OTHER.db"
        )
        return 2
    unfinished = file.with_name(f"{file.name}.part")
    script = Script(seed)
    season = script.season
    sites = sum(len(one.sites) for one in season.fields.values())
    console.print(
        f"[bold]{season.name}[/bold], an invented season: {WEEKS} weeks, {len(season.fields)} fields, {sites} sites, "
        f"{len(season.people)} people. Seed {seed}."
    )
    tally = Tally(script)
    try:
        _remove(unfinished)
        _fill(console, unfinished, tally)
        unfinished.rename(file)
    except KeyboardInterrupt:
        console.print("\nThe season was left unfinished; nothing of it is kept.")
        return 1
    except (OSError, StorageError) as fault:
        console.print(f"[red]{file} could not be written: {fault}.[/red]")
        return 1
    finally:
        _remove(unfinished)
    console.print(_table(tally))
    _say_what_next(console, file, tally)
    return 0


def _fill(console: Console, file: Path, tally: Tally) -> None:
    store = Store(f"sqlite:///{file}", lasting=False)
    columns = (
        TextColumn("[bold]week {task.fields[week]}[/bold] of {task.fields[weeks]}"),
        BarColumn(),
        TextColumn("{task.fields[texts]} texts in, {task.fields[answers]} out"),
        TextColumn("{task.fields[alerts]} alerts, {task.fields[closed]} closures"),
        TimeElapsedColumn(),
    )
    try:
        with Progress(*columns, console=console) as progress, _rarely_collected():
            task = progress.add_task(
                "", total=WEEKS * 7, week=1, weeks=WEEKS, texts=0, answers=0, alerts=0, closed=0
            )
            for happening, caused in play(tally.script, store):
                tally.add(happening, caused)
                done = (tally.script.day_of(happening.at) - FIRST_DAY).days
                progress.update(
                    task,
                    completed=done + 1,
                    week=min(done // 7 + 1, WEEKS),
                    texts=sum(week.texts for week in tally.weeks),
                    answers=sum(week.answers for week in tally.weeks),
                    alerts=sum(week.alerts for week in tally.weeks),
                    closed=sum(len(week.closed) for week in tally.weeks),
                )
    finally:
        store.close()


@contextmanager
def _rarely_collected() -> Iterator[None]:
    """Let the collector of cycles look less often: in a short play it costs a tenth of the time and finds little."""
    before = gc.get_threshold()
    gc.freeze()
    gc.set_threshold(50_000, 50, 1000)
    try:
        yield
    finally:
        gc.set_threshold(*before)
        gc.unfreeze()


def _remove(file: Path) -> None:
    for end in ("", "-wal", "-shm"):
        file.with_name(f"{file.name}{end}").unlink(missing_ok=True)


def _table(tally: Tally) -> Table:
    """Give the season week by week."""
    table = Table(
        title="The season, week by week", title_justify="left", show_footer=True, box=SIMPLE, pad_edge=False
    )
    weeks = tally.weeks
    table.add_column("week of", footer="all")
    columns = {
        "texts in": [week.texts for week in weeks],
        "out": [week.answers for week in weeks],
        "fields": [len(week.fields) for week in weeks],
        "visits": [len(week.visits) for week in weeks],
        "alerts": [week.alerts for week in weeks],
        "treated": [len(tally.treated_in(number)) for number in range(WEEKS)],
        "counts put right": [week.corrections for week in weeks],
        "alerts taken back": [week.withdrawn for week in weeks],
    }
    for name, figures in columns.items():
        footer = (
            str(len(set().union(*(week.fields for week in weeks)))) if name == "fields" else str(sum(figures))
        )
        widest = max(map(len, name.split()))
        table.add_column(name, justify="right", footer=footer, min_width=widest)
    for number in range(WEEKS):
        first = FIRST_DAY + timedelta(days=7 * number)
        table.add_row(f"{first:%b} {first.day}", *(str(figures[number]) for figures in columns.values()))
    return table


def _say_what_next(console: Console, file: Path, tally: Tally) -> None:
    number, day = tally.last_above or (next(iter(tally.script.season.fields)), LAST_DAY)
    console.print(f"\nThe season is in [bold]{file}[/bold]. Go on with it:\n")
    console.print(f"  export ROWFOOT_DATABASE=sqlite:///{file}")
    for command, what in (
        (f"rowfoot show {number} --day {day}", "the field that crossed last, on that day"),
        (f"rowfoot crop {number}", "its stages, squares and nodes"),
        ("rowfoot compare", "people against the checks of the same samples"),
        ("rowfoot export FOLDER", "the whole record as CSV"),
        (f'rowfoot text "+1 270 555 0120" TODAY --at {LAST_DAY}T17:00', "ask as a supervisor does"),
        (
            f'rowfoot text "+1 270 555 0101" PLAN --at {LAST_DAY + timedelta(days=1)}T07:00',
            "ask as a scout does",
        ),
    ):
        console.print(f"  {command}   [dim]{what}[/dim]", soft_wrap=True)
