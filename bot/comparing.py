"""The command `rowfoot compare`: how people's counts stand to the checks of the same samples."""

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from datetime import date
from fractions import Fraction
from typing import Any

import click
from rich.console import Console
from rich.table import Table

from bot.by_hand import ByHand
from bot.field_book import plan_of
from bot.opening import day_said, opened, person_said, settings
from bot.rules import Season
from bot.settings import clock_from
from bot.statistics import (
    NoInterval,
    RatioInterval,
    could_differ,
    exact_ratio,
    ratio_between_samples,
    ratio_of_counts,
)
from storage import CheckRow, SampleRow, Session, checks_between, samples_beside

__all__ = ["compare"]

CONFIDENCES = (0.8, 0.95)
"""Of the exact interval; the first is also that between samples, and the one that the words go by."""


@dataclass(frozen=True, slots=True)
class Pair:
    """A sample that two people counted: whose it is, who checked it, and both counts by code."""

    person: str
    checker: str
    counts: dict[str, int | None]
    checked: dict[str, int | None]


@dataclass(slots=True)
class Compared:
    """All of one person's samples that were checked. `left_out` were counted with another effort or plan."""

    person: str
    trainee: bool
    pairs: list[Pair] = field(default_factory=list)
    left_out: int = 0


@dataclass(frozen=True, slots=True)
class ColumnFigures:
    """One column of one person: both sums over the samples in which both counted it, and what they say.

    Ratios are his count for one of the check's; an interval is [low, high], high None where it has no end.
    """

    code: str
    target: str
    life_stage: str
    samples: int
    sum: int
    checked: int
    ratio: float | None
    exact_80: tuple[float, float | None] | None
    exact_95: tuple[float, float | None] | None
    between_samples_80: tuple[float, float | None] | None
    between_samples_why_not: str | None
    words: str


def pairs_of(session: Session, first: date | None, last: date | None) -> list[Compared]:
    """Set every sample that counts or waits on some days against the newest check of it by somebody else."""
    rows = checks_between(session, first, last)
    checks = [row for row in rows if not row.trainee and not row.lost]
    counted: list[SampleRow | CheckRow] = [row for row in rows if row.trainee and not row.lost]
    counted += [row for row in samples_beside(session, checks) if not row.lost and not row.covers]
    by_place: dict[tuple[int, date, int], list[CheckRow]] = {}
    for check in checks:
        by_place.setdefault((check.site, check.day, check.number), []).append(check)
    people: dict[str, Compared] = {}
    for row in counted:
        site, day, plan = _place(row)
        others = [one for one in by_place.get((site, day, row.number), ()) if one.person != row.person]
        if not others:
            continue
        check = others[-1]
        one = people.setdefault(row.person, Compared(row.person, trainee=False))
        one.trainee |= isinstance(row, CheckRow)
        if Fraction(check.effort) != Fraction(row.effort) or check.plan not in (None, plan):
            one.left_out += 1
            continue
        one.pairs.append(Pair(row.person, check.person, row.counts, check.counts))
    return sorted(people.values(), key=lambda one: one.person)


def _place(row: SampleRow | CheckRow) -> tuple[int, date, str | None]:
    if isinstance(row, CheckRow):
        return row.site, row.day, row.plan
    return row.visit.site, row.visit.day, plan_of(row.visit.plan).key


def columns_of(season: Season, one: Compared) -> list[ColumnFigures]:
    """Give the figures of each column that both counted in some sample, in the season's order of columns."""
    codes = [column.code for target in season.targets.values() for column in target.columns]
    found = []
    for code in codes:
        counts = [
            (ours, theirs)
            for pair in one.pairs
            if (ours := pair.counts.get(code)) is not None and (theirs := pair.checked.get(code)) is not None
        ]
        if counts:
            found.append(_figures(season, code, counts))
    return found


def _figures(season: Season, code: str, counts: Sequence[tuple[int, int]]) -> ColumnFigures:
    column = season.column(code)
    target, life_stage = (column.target, column.life_stage) if column is not None else (code, "any")
    ours, theirs = sum(one for one, _ in counts), sum(other for _, other in counts)
    exact, wide = (exact_ratio(ours, theirs, confidence) for confidence in CONFIDENCES)
    between = ratio_between_samples(counts, CONFIDENCES[0])
    return ColumnFigures(
        code=code,
        target=target,
        life_stage=life_stage,
        samples=len(counts),
        sum=ours,
        checked=theirs,
        ratio=ratio_of_counts(ours, theirs),
        exact_80=_ends(exact),
        exact_95=_ends(wide),
        between_samples_80=_ends(between),
        between_samples_why_not=between.why if isinstance(between, NoInterval) else None,
        words=in_words(life_stage, ours, theirs, between),
    )


def _ends(found: RatioInterval | NoInterval | None) -> tuple[float, float | None] | None:
    return (found.low, found.high) if isinstance(found, RatioInterval) else None


INSECTS = {"adult": "adults", "nymph": "nymphs", "any": "insects"}
"""What a column counts, by its life stage."""


def in_words(life_stage: str, ours: int, theirs: int, between: RatioInterval | NoInterval) -> str:
    """Say in plain words whether somebody counts otherwise than the check, at 80 %.

    A difference is claimed where the exact interval shows it; that the samples themselves differ as much is added
    where the interval between samples does not show it.
    """
    exact = exact_ratio(ours, theirs, CONFIDENCES[0])
    if exact is None or not could_differ(ours + theirs, CONFIDENCES[0]):
        return "too few to say"
    if exact.holds(1):
        return "no difference that the counts could show"
    more = "more" if ours > theirs else "fewer"
    said = f"counts {more} {INSECTS.get(life_stage, INSECTS['any'])} than the check"
    if isinstance(between, RatioInterval) and not between.holds(1):
        return said
    return f"{said}, though samples may differ as much by themselves"


@click.command()
@click.argument("person", required=False)
@click.option("--day", metavar="DATE", help="Only the checks of this day, as 2027-07-06.")
@click.option("--since", metavar="DATE", help="Only the checks of this day and later.")
@click.option("--json", "as_json", is_flag=True, help="Print all figures in full, as JSON.")
def compare(person: str | None, day: str | None, since: str | None, as_json: bool) -> None:
    """Compare the counts of every PERSON who was checked with the checks: by target and life stage."""
    if day is not None and since is not None:
        raise click.ClickException("--day and --since do not go together; say one of them")
    only = day_said(day) if day is not None else None
    first = day_said(since) if since is not None else only
    with opened() as store:
        season = ByHand(store, clock_from(settings().clock_file)).season
        whose = person_said(season, person) if person is not None else None
        with store.read() as session:
            found = [
                one for one in pairs_of(session, first, only) if whose is None or one.person == whose.key
            ]
    when = f" on {only}" if only else f" since {first}" if first else ""
    if not found:
        who = f"no sample of {whose.name}" if whose is not None else "no sample"
        raise click.ClickException(f"{who} was checked{when}")
    if as_json:
        shown = {
            "day": only.isoformat() if only else None,
            "since": first.isoformat() if first and not only else None,
            "people": [_as_json(season, one) for one in found],
        }
        click.echo(json.dumps(shown, ensure_ascii=False, indent=1, allow_nan=False))
        return
    for one in found:
        _print_person(season, one)


def _as_json(season: Season, one: Compared) -> dict[str, Any]:
    return {
        "person": one.person,
        "name": _name(season, one.person),
        "trainee": _in_training(season, one),
        "checkers": sorted({pair.checker for pair in one.pairs}),
        "samples": len(one.pairs),
        "left_out": one.left_out,
        "columns": [asdict(column) for column in columns_of(season, one)],
    }


def _name(season: Season, key: str) -> str:
    return next((one.name for one in season.people.values() if one.key == key), key)


def _in_training(season: Season, one: Compared) -> bool:
    return one.trainee or any(known.trainee for known in season.people.values() if known.key == one.person)


def _print_person(season: Season, one: Compared) -> None:
    console = Console(highlight=False)
    checkers = ", ".join(_name(season, key) for key in sorted({pair.checker for pair in one.pairs}))
    training = ", in training" if _in_training(season, one) else ""
    samples = "1 sample" if len(one.pairs) == 1 else f"{len(one.pairs)} samples"
    by = f" checked by {checkers}" if checkers else " to compare"
    left = f"; {one.left_out} left out, of another effort or plan" if one.left_out else ""
    console.print(f"[bold]{_name(season, one.person)}[/bold]{training}: {samples}{by}{left}")
    table = Table("column", "n", "sum", "check", "ratio", "80 % exact", "80 % between samples")
    figures = columns_of(season, one)
    for column in figures:
        table.add_row(
            column.code,
            str(column.samples),
            str(column.sum),
            str(column.checked),
            "-" if column.ratio is None else f"{column.ratio:.2f}",
            _from_to(column.exact_80),
            _from_to(column.between_samples_80),
        )
    if figures:
        console.print(table)
    for column in figures:
        target = season.targets[column.target].name if column.target in season.targets else column.target
        console.print(f"  {column.code}, {target}: {column.words}", soft_wrap=True)


def _from_to(ends: tuple[float, float | None] | None) -> str:
    if ends is None:
        return "-"
    low, high = ends
    return f"over {low:.2f}" if high is None else f"{low:.2f} to {high:.2f}"
