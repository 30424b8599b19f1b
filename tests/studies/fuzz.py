"""Very many texts: through the reader alone, and through the whole road with people of every kind.

    python -m tests.studies.fuzz --texts 1000000 --road 20000
    python -m tests.studies.fuzz --seed 7 --texts 0 --road 20000 --season 3     one season of a run again

The laws are in `reading_laws` and `road_laws`. Each batch of texts and each season draws from the seed and
its own number, so a run says the same again however many workers there are. A law that is broken is printed
with its shortest texts and the seed, and ends the run with status 1.
"""

import os
import random
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass
from multiprocessing import get_context

import click
from rich.console import Console
from rich.markup import escape
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

from tests.studies.any_texts import any_text
from tests.studies.broken import Gathered
from tests.studies.reading_laws import broken_by
from tests.studies.road import play
from tests.test_reading import GROUNDS

BATCH = 2000
SEASON = 250
"""Texts to one season of the road: a day or two of a busy crew."""


@dataclass(frozen=True, slots=True)
class Task:
    """A share of a run that one worker does: a batch of texts to read, or a season of the road."""

    do: Callable[[int, int, int], Gathered]
    seed: int
    number: int
    texts: int

    def done(self) -> Gathered:
        """Do it; gives what was broken."""
        return self.do(self.seed, self.number, self.texts)


def read_batch(seed: int, number: int, texts: int) -> Gathered:
    """Read a batch of texts of every kind; gives what they broke."""
    chance = random.Random(f"{seed}:batch {number}")  # noqa: S311  texts to try with, no secret
    gathered = Gathered()
    for _ in range(texts):
        said = any_text(chance)
        gathered.add(broken_by(said.text, said.where, GROUNDS[said.where]))
    return gathered


def play_season(seed: int, number: int, texts: int) -> Gathered:
    """Send texts to one season by the whole road; gives what they broke."""
    gathered = Gathered()
    for found in play(seed, number, texts):
        gathered.add(found)
    return gathered


def tasks(seed: int, texts: int, road: int, season: int | None = None) -> Iterator[Task]:
    """Part a run into tasks, the long ones first."""
    for number, size in _shares(road, SEASON):
        if season is None or number == season:
            yield Task(play_season, seed, number, size)
    for number, size in _shares(texts, BATCH):
        yield Task(read_batch, seed, number, size)


def _shares(texts: int, size: int) -> Iterator[tuple[int, int]]:
    for number, start in enumerate(range(0, texts, size)):
        yield number, min(size, texts - start)


def run(todo: list[Task], workers: int, console: Console) -> Gathered:
    """Do tasks, a worker a core, with a bar where somebody watches; gives all that was broken."""
    gathered = Gathered()
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    # Spawned, not forked: a forked worker would inherit the locks of whatever threads run here.
    context = get_context("spawn")
    with Progress(*columns, console=console) as bar, ProcessPoolExecutor(workers, context) as pool:
        shown = bar.add_task("texts", total=sum(task.texts for task in todo))
        for future in as_completed(running := {pool.submit(task.done): task for task in todo}):
            found = future.result()
            for law in found.times.keys() - gathered.times.keys():
                # at once, so that a long run that is ended early has said it
                console.print(
                    f"first broken: {escape(law)}: {escape(repr(found.shortest[law][0]))}", soft_wrap=True
                )
            gathered.merge(found)
            laws = len(gathered.times)
            bar.update(shown, advance=running[future].texts, description=f"texts, {laws} laws broken")
    return gathered


def tell(gathered: Gathered, seed: int, console: Console) -> None:
    """Print each law that was broken: how often, by which texts, and what came instead."""
    for law, times in sorted(gathered.times.items()):
        console.print(
            f"[bold red]broken:[/] {escape(law)}, {times} times, with --seed {seed}", soft_wrap=True
        )
        for one in gathered.shortest[law]:
            console.print(escape(f"  {one.text!r} ({one.where})\n      {one.came}"), soft_wrap=True)


@click.command()
@click.option("--texts", default=100_000, show_default=True, help="Texts for the reader alone.")
@click.option("--road", default=2_000, show_default=True, help="Texts for the whole road.")
@click.option("--seed", default=1, show_default=True, help="The same seed makes the same texts.")
@click.option("--season", type=int, help="Of the road, this season alone.")
@click.option("--workers", default=os.cpu_count() or 1, show_default=True)
def main(*, texts: int, road: int, seed: int, season: int | None, workers: int) -> None:
    """Send random and mishandled texts and hold what comes of them against the laws."""
    console = Console(stderr=True)
    todo = list(tasks(seed, texts, road, season))
    gathered = run(todo, workers, console)
    if gathered.times:
        tell(gathered, seed, console)
        sys.exit(1)
    console.print(f"{sum(task.texts for task in todo)} texts, every law kept, with --seed {seed}")


if __name__ == "__main__":
    main()
