"""Plans, levels and stages as they were kept with a visit."""

import json
from functools import lru_cache
from typing import Any

from bot.rules import (
    Level,
    Phase,
    Plan,
    Stage,
)
from bot.season_file import level_from_json, plan_from_json


def stage_of(said: str | None) -> Stage | None:
    if said is None:
        return None
    phase, _, week = said.partition(" ")
    return Stage(Phase[phase.upper()], int(week) if week else None)


def plan_of(data: dict[str, Any]) -> Plan:
    """Give the plan of a snapshot."""
    return _plan(json.dumps(data, sort_keys=True))


def level_of(data: dict[str, Any]) -> Level:
    """Give the level row of a snapshot."""
    return _level(json.dumps(data, sort_keys=True))


@lru_cache(maxsize=256)
def _plan(text: str) -> Plan:
    return plan_from_json(json.loads(text))


@lru_cache(maxsize=1024)
def _level(text: str) -> Level:
    return level_from_json(json.loads(text))
