"""What a season counts: the targets and shares that ship, changed and added to by its file."""

from collections.abc import Iterator

from bot.rules import Column, Share, Target
from bot.season_file.draft import Draft
from bot.season_file.entries import given
from bot.season_file.faults import Fault


def target_faults(draft: Draft) -> Iterator[Fault]:
    """Give the targets whose columns leave open what a code counts."""
    for key, entry in draft.targets.items():
        stages = list((entry.form.columns or {}).values())
        path = f"targets.{key}.columns"
        for stage in dict.fromkeys(stages):
            if stages.count(stage) > 1:
                yield Fault(path, f"Two codes count the life stage {stage}; each has one code.")
        if "any" in stages and set(stages) != {"any"}:
            yield Fault(path, 'A target has one code for "any" life stage, or codes for adult and nymph.')


def columns_of(draft: Draft, target: str) -> tuple[Column, ...]:
    """Give a target's columns; none where there is no such target or its columns are faulty."""
    entry = draft.targets.get(target)
    columns = entry.form.columns if entry else None
    return tuple(Column(code, target, stage) for code, stage in (columns or {}).items())


def all_columns(draft: Draft) -> dict[str, Column]:
    """Give the column of every code that the season knows."""
    return {column.code: column for key in draft.targets for column in columns_of(draft, key)}


def build_targets(draft: Draft) -> dict[str, Target]:
    """Give the targets of a draft without faults, those that ship first."""
    return {
        key: Target(key, given(entry.form.name), columns_of(draft, key))
        for key, entry in draft.targets.items()
    }


def build_shares(draft: Draft) -> dict[str, Share]:
    """Give the shares of a draft without faults, those that ship first."""
    return {
        key: Share(
            key=key,
            name=given(entry.form.name),
            code=given(entry.form.code),
            of=given(entry.form.of),
            said=given(entry.form.said),
            look=given(entry.form.look),
        )
        for key, entry in draft.shares.items()
    }
