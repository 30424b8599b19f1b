"""Which level rows govern a visit: one for each target of its card, one for each share that was looked at."""

from collections.abc import Iterable, Sequence

from bot.rules.levels import Level, StageNeeded, governing_row, governing_share_row
from bot.rules.plan import Plan
from bot.rules.stages import Stage

Rows = dict[str, Level | StageNeeded]
"""The governing row, or that the stage is needed, by the key of a target or share."""


def rows_by_target(plan: Plan, rows: Sequence[Level], stage: Stage | None) -> Rows:
    """Give the governing row, or that the stage is needed, for each target of a card that has rows."""
    targets = dict.fromkeys(column.target for column in plan.card)
    fitting = [row for row in rows if row.per.unit is plan.each.unit]
    found = {target: governing_row(fitting, target, plan.method, stage) for target in targets}
    return {target: row for target, row in found.items() if row is not None}


def rows_by_share(shares: Iterable[str], rows: Sequence[Level], stage: Stage | None) -> Rows:
    """Give the governing row, or that the stage is needed, for each share (by key) that has rows."""
    found = {share: governing_share_row(rows, share, stage) for share in dict.fromkeys(shares)}
    return {share: row for share, row in found.items() if row is not None}
