"""The times of day of a season, where two of them are at odds."""

from collections.abc import Iterator
from datetime import time

from bot.season_file.draft import Draft
from bot.season_file.faults import Fault


def time_faults(draft: Draft) -> Iterator[Fault]:
    """Give a fault where the day ends in quiet hours, as the digest would wait, or before the morning text is due."""
    season = draft.season
    if not {"day_ends", "morning"} & season.faulty:
        yield from _morning_faults(season.form.morning, season.form.day_ends)
    if {"day_ends", "quiet"} & season.faulty:
        return
    begins, ends = season.form.quiet
    if within(season.form.day_ends, begins, ends):
        yield Fault(
            "season.day_ends",
            f"The day ends at {season.form.day_ends:%H:%M}, inside the quiet hours from {begins:%H:%M} "
            f"to {ends:%H:%M} (season.quiet).",
        )


def _morning_faults(morning: time | None, day_ends: time) -> Iterator[Fault]:
    if morning is not None and morning >= day_ends:
        yield Fault(
            "season.morning",
            f"The morning text is due at {morning:%H:%M}, when the day has ended at {day_ends:%H:%M} "
            "(season.day_ends).",
        )


def within(moment: time, begins: time, ends: time) -> bool:
    """Tell whether a time lies in quiet hours, which may go over midnight; two equal times are no hours."""
    if begins <= ends:
        return begins <= moment < ends
    return moment >= begins or moment < ends
