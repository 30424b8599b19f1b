"""What is said of a season file that has no faults: settings not acted on yet, numbers near each other."""

from collections.abc import Iterator

from bot.rules import Season
from bot.season_file.numbers import near_numbers

MOST_NAMED = 5
"""Pairs of numbers that a remark names."""


def remarks_on(season: Season) -> tuple[str, ...]:
    """Give what a supervisor should know of his season file, a sentence each."""
    return (*_not_yet(season), *_near(season))


def _not_yet(season: Season) -> Iterator[str]:
    """Say which settings of a season file this version keeps but does not act on."""
    for plan in season.plans.values():
        if plan.stop is not None:
            yield f"plans.{plan.key}.stop: stop lines are not worked out yet; it runs to {plan.samples} samples."
        if plan.hours is not None:
            yield f"plans.{plan.key}.hours: the hours of a method are not watched yet."
    for person in season.people.values():
        if person.trainee:
            yield f"people.{person.key}.trainee: a trainee's counts are not kept apart yet; they count."
    if season.morning is not None:
        yield "season.morning: no morning text is sent yet."


def _near(season: Season) -> Iterator[str]:
    """Say which site numbers a wrong key can make of each other: they stand, and others would be safer."""
    near = near_numbers(season.fields.values())
    if near:
        named = ", ".join(f"{one} and {other}" for one, other in near[:MOST_NAMED])
        more = f" and {len(near) - MOST_NAMED} pairs more" if len(near) > MOST_NAMED else ""
        yield f"site numbers one wrong key apart: {named}{more}. Numbers further apart are safer."
