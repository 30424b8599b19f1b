"""Plans and levels as JSON and back, exactly: what is kept with a visit that was made under them.

Fractions are strings ("3/5", "3"), times "06:30:00", so that nothing passes through a float.
"""

from typing import Any

from pydantic import TypeAdapter

from bot.rules import Level, Plan

_PLAN = TypeAdapter(Plan)
_LEVEL = TypeAdapter(Level)


def plan_to_json(plan: Plan) -> dict[str, Any]:
    """Give a plan as a dict that JSON can carry."""
    return dict(_PLAN.dump_python(plan, mode="json"))


def plan_from_json(data: dict[str, Any]) -> Plan:
    """Give back the plan that `plan_to_json` wrote, equal to the one that was put in."""
    return _PLAN.validate_python(data)


def level_to_json(level: Level) -> dict[str, Any]:
    """Give a level as a dict that JSON can carry."""
    return dict(_LEVEL.dump_python(level, mode="json"))


def level_from_json(data: dict[str, Any]) -> Level:
    """Give back the level that `level_to_json` wrote, equal to the one that was put in."""
    return _LEVEL.validate_python(data)
