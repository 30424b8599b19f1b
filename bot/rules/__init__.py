"""The rules of the trade: pure values and functions, no clock, no storage, no words to people."""

from bot.rules.levels import Also, Level, Retention, RetentionRule, StageNeeded, governing_row
from bot.rules.methods import Effort, Method, Unit, row_feet_an_acre
from bot.rules.plan import (
    LIFE_STAGES,
    Column,
    Field,
    Person,
    PersonKey,
    Plan,
    Role,
    Season,
    SequentialStop,
    Share,
    Target,
)
from bot.rules.stages import Phase, Stage, StageMark, StageSpan, governing_mark, parse_span

__all__ = [
    "LIFE_STAGES",
    "Also",
    "Column",
    "Effort",
    "Field",
    "Level",
    "Method",
    "Person",
    "PersonKey",
    "Phase",
    "Plan",
    "Retention",
    "RetentionRule",
    "Role",
    "Season",
    "SequentialStop",
    "Share",
    "Stage",
    "StageMark",
    "StageNeeded",
    "StageSpan",
    "Target",
    "Unit",
    "governing_mark",
    "governing_row",
    "parse_span",
    "row_feet_an_acre",
]
