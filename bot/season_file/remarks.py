"""What is said of a season file that has no faults: times that wait, fields of nobody, numbers near each other."""

from collections.abc import Iterator

from bot.rules import Role, Season
from bot.season_file.numbers import near_numbers
from bot.season_file.times import within

MOST_NAMED = 5
"""Pairs of numbers that a remark names."""


def remarks_on(season: Season) -> tuple[str, ...]:
    """Give what a supervisor should know of his season file, a sentence each."""
    return (*_waits(season), *_nobodys(season), *_near(season))


def _waits(season: Season) -> Iterator[str]:
    """Say where a morning text cannot leave at its time, as it is quiet then."""
    begins, ends = season.quiet
    if season.morning is not None and within(season.morning, begins, ends):
        yield (
            f"season.morning: at {season.morning:%H:%M} it is quiet (season.quiet); the morning text waits "
            f"until {ends:%H:%M}."
        )


def _nobodys(season: Season) -> Iterator[str]:
    """Say where nobody decides, and where nobody goes: both are allowed, and seldom meant."""
    if not season.with_role(Role.SUPERVISOR):
        yield "there is no active supervisor: what waits for one is told to a leader, or to nobody."
    alone = [
        str(field.number)
        for field in season.fields.values()
        if not any(season.people[key].active for key in field.scouts)
    ]
    if alone:
        said = "field " + alone[0] + " has" if len(alone) == 1 else "fields " + ", ".join(alone) + " have"
        yield f"{said} no active scout: the digest says of visits that are due that they are nobody's."


def _near(season: Season) -> Iterator[str]:
    """Say which site numbers a wrong key can make of each other: they stand, and others would be safer."""
    near = near_numbers(season.fields.values())
    if near:
        named = ", ".join(f"{one} and {other}" for one, other in near[:MOST_NAMED])
        more = f" and {len(near) - MOST_NAMED} pairs more" if len(near) > MOST_NAMED else ""
        yield f"site numbers one wrong key apart: {named}{more}. Numbers further apart are safer."
