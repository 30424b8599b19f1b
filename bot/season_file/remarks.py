"""What is said of a season file that has no faults: times that wait, numbers near each other."""

from collections.abc import Iterator

from bot.rules import Season
from bot.season_file.numbers import near_numbers
from bot.season_file.times import within

MOST_NAMED = 5
"""Pairs of numbers that a remark names."""


def remarks_on(season: Season) -> tuple[str, ...]:
    """Give what a supervisor should know of his season file, a sentence each."""
    return (*_waits(season), *_near(season))


def _waits(season: Season) -> Iterator[str]:
    """Say where a morning text cannot leave at its time, as it is quiet then."""
    begins, ends = season.quiet
    if season.morning is not None and within(season.morning, begins, ends):
        yield (
            f"season.morning: at {season.morning:%H:%M} it is quiet (season.quiet); the morning text waits "
            f"until {ends:%H:%M}."
        )


def _near(season: Season) -> Iterator[str]:
    """Say which site numbers a wrong key can make of each other: they stand, and others would be safer."""
    near = near_numbers(season.fields.values())
    if near:
        named = ", ".join(f"{one} and {other}" for one, other in near[:MOST_NAMED])
        more = f" and {len(near) - MOST_NAMED} pairs more" if len(near) > MOST_NAMED else ""
        yield f"site numbers one wrong key apart: {named}{more}. Numbers further apart are safer."
