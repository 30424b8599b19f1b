"""A season file's texts made into a season, or into everything that is wrong with them."""

from collections.abc import Callable, Iterable

from bot.rules import Season
from bot.season_file.catalogue import build_shares, build_targets, target_faults
from bot.season_file.codes import code_faults
from bot.season_file.coverage import coverage_faults
from bot.season_file.draft import Draft, read_draft
from bot.season_file.entries import given
from bot.season_file.faults import Fault
from bot.season_file.fields import build_fields, field_faults
from bot.season_file.levels import level_faults, levels_in_force
from bot.season_file.numbers import number_faults
from bot.season_file.people import build_people, people_faults
from bot.season_file.plans import build_plans, plan_faults
from bot.season_file.reading import SeasonText
from bot.season_file.stop_times import stop_time_faults
from bot.season_file.times import time_faults

CHECKS: tuple[Callable[[Draft], Iterable[Fault]], ...] = (
    time_faults,
    people_faults,
    number_faults,
    field_faults,
    plan_faults,
    target_faults,
    code_faults,
    level_faults,
    stop_time_faults,
    coverage_faults,
)
"""What takes more than one key or table to tell; each gives all that it finds, whatever the others found."""


def read_season(texts: SeasonText) -> Season | tuple[Fault, ...]:
    """Give the season that a file and its level book describe, or all their faults, in the file's order.

    Never raises for what the texts hold. The season's levels are the rows in force: those verified or
    accepted, and the season's own.
    """
    faults: list[Fault] = []
    draft = read_draft(texts, faults)
    if draft is None:
        return tuple(faults)
    for check in CHECKS:
        faults.extend(check(draft))
    return tuple(_in_file_order(draft.tables, faults)) if faults else _build(draft)


def _build(draft: Draft) -> Season:
    form = draft.season.form
    return Season(
        name=given(form.name),
        timezone=given(form.timezone),
        country=given(form.country),
        contact=given(form.contact),
        book=given(given(draft.book).form.name),
        people=build_people(draft),
        fields=build_fields(draft),
        plans=build_plans(draft),
        targets=build_targets(draft),
        shares=build_shares(draft),
        levels=tuple(in_force.level for in_force in levels_in_force(draft)),
        emergency=form.emergency,
        day_ends=form.day_ends,
        quiet=(form.quiet[0], form.quiet[1]),
        reviewed=form.alerts == "reviewed",
        reminder_hours=form.reminder_hours,
        silence_minutes=form.silence_minutes,
        morning=form.morning,
        poison_line=form.poison_line,
        heat_method=form.heat_method,
        cutout_nawf=form.cutout_nawf,
    )


def _in_file_order(tables: Iterable[str], faults: Iterable[Fault]) -> list[Fault]:
    """Sort faults by the place of their tables in the file; the book's come last. Each is told once."""
    places = {path: place for place, path in enumerate(tables)}

    def place(fault: Fault) -> int:
        steps = fault.path.split(".")
        paths = (".".join(steps[:length]) for length in range(len(steps), 0, -1))
        return next((places[path] for path in paths if path in places), len(places))

    return sorted(dict.fromkeys(faults), key=place)
