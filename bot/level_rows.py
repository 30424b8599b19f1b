"""A row of a level book in words and as JSON, every figure as it was given."""

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any

from bot.rules import Effort, Level, Retention, RetentionRule, StageSpan

__all__ = ["NOT_READ", "conditions", "counted", "in_full", "marks", "row_json", "source", "stages"]

NOT_READ = "not read at its source, or converted"
"""What unverified means."""


def in_full(level: Level, names: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """Give all that a row says, as (what, sentence); `names` are those of targets and shares by key."""
    yield ("share" if level.share else "target"), _named(level.target or level.share or "", names)
    if level.count:
        yield "counted", _life_stages(level.count)
    if level.others:
        others = ", ".join(f"{_named(key, names)} x {_plain(weight)}" for key, weight in level.others.items())
        yield "with", f"{others}, as far as the card has it"
    if level.method is not None:
        yield "method", level.method.value
    yield "stages", stages(level)
    yield "level", f"{marks(level)}: {_standings(level.low, level.high)}"
    if level.also is not None:
        yield "also", f"{_also(level)}, else below whatever the count"
    if level.retention is not None:
        yield "retention", _retention_in_full(level, level.retention)
    yield "source", source(level) if level.year else f"{level.source}, no year given"
    yield "verified", "yes" if level.verified else f"no: {NOT_READ}"


def _named(key: str, names: Mapping[str, str]) -> str:
    name = names.get(key, key)
    return name if key in name else f"{name} ({key})"


def counted(level: Level) -> str:
    """Say what a row counts, by its keys: "lygus: adult, nymph x 2; cloudedbug x 1.5"."""
    if level.target is None:
        return level.share or ""
    own = level.target if set(level.count) == {"any"} else f"{level.target}: {_life_stages(level.count)}"
    return "; ".join([own, *(f"{key} x {_plain(weight)}" for key, weight in level.others.items())])


def _life_stages(count: Mapping[str, Fraction]) -> str:
    """Say the life stages that count, and that one of two counts alone."""
    return _weights(count) + (" only" if len(count) == 1 and "any" not in count else "")


def _weights(count: Mapping[str, Fraction]) -> str:
    names = {"any": "every life stage"}
    weighed = [
        names.get(stage, stage) + (f" x {_plain(weight)}" if weight != 1 else "")
        for stage, weight in count.items()
    ]
    return ", ".join(weighed)


def stages(level: Level) -> str:
    """Say in which stages a row holds, weeks in a row as one: "squaring 1-3", "squaring, bloom 1"."""
    runs: list[list[StageSpan]] = []
    for span in level.stages:
        if runs and _follows(runs[-1][-1], span):
            runs[-1].append(span)
        else:
            runs.append([span])
    said = [f"{run[0]}-{run[-1].week}" if len(run) > 1 else f"{run[0]}" for run in runs]
    return ", ".join(said) or "any stage"


def _follows(one: StageSpan, other: StageSpan) -> bool:
    return (
        one.phase is other.phase
        and one.week is not None
        and other.week == one.week + 1
        and not (one.onward or other.onward)
    )


def marks(level: Level) -> str:
    """Say a row's level: "12-15 per 100 sweeps"."""
    return f"{_range(level.low, level.high)} per {_effort(level.per)}"


def _range(low: Fraction, high: Fraction) -> str:
    return _plain(low) if low == high else f"{_plain(low)}-{_plain(high)}"


def _standings(low: Fraction, high: Fraction) -> str:
    between = "" if low == high else f"from {_plain(low)} in range, "
    return f"under {_plain(low)} below, {between}from {_plain(high)} on above"


def conditions(level: Level) -> Iterator[str]:
    """Say what else a row asks for, in a few words each."""
    if level.also is not None:
        yield f"and {_also(level)}"
    if level.retention is not None:
        poor = _poor(level.retention)
        match level.retention.rule:
            case RetentionRule.AND:
                yield f"and {poor}"
            case RetentionRule.OR:
                yield f"or any bug with {poor}"
            case RetentionRule.HALVE:
                yield f"halved with {poor}"


def _also(level: Level) -> str:
    if level.also is None:
        return ""
    return (
        f"{_weights(level.also.count)}: {_plain(level.also.at_least)} or more per {_effort(level.also.per)}"
    )


def _poor(retention: Retention) -> str:
    mark = f"{_plain(retention.mark)} %"
    return f"{'at most' if retention.inclusive else 'under'} {mark} of squares on"


def _retention_in_full(level: Level, retention: Retention) -> str:
    poor = _poor(retention)
    match retention.rule:
        case RetentionRule.AND:
            said = f"in range or above only with {poor}; not known while no squares were looked at"
        case RetentionRule.OR:
            said = f"with {poor} and a bug found, above whatever the count"
        case RetentionRule.HALVE:
            half = _range(level.low / 2, level.high / 2)
            said = f"with {poor}, half the level: {half} per {_effort(level.per)}"
    return said


def source(level: Level) -> str:
    """Say where a row comes from, with its year where it has one."""
    return f"{level.source}, {level.year}" if level.year else level.source


def _effort(effort: Effort) -> str:
    return f"{_plain(effort.amount)} {effort.unit}"


def _plain(number: Fraction) -> str:
    """Spell a number in full: those of a book have six decimals at most, half of one seven."""
    return str(number) if number.denominator == 1 else f"{float(number):.7f}".rstrip("0")


def _number(value: Fraction) -> int | float:
    """Give a whole number as one, any other as a float."""
    return value.numerator if value.denominator == 1 else float(value)


# The keys of a row as a level book spells them


def row_json(level: Level) -> dict[str, Any]:
    """Give a row as JSON: the keys of a level book, all of them, null where the row has none."""
    return {
        "id": level.id,
        "target": level.target,
        "share": level.share,
        "method": level.method.value if level.method else None,
        "count": _weights_json(level.count) if level.target else None,
        "with": _weights_json(level.others) or None,
        "stage": [str(span) for span in level.stages],
        "low": _number(level.low),
        "high": _number(level.high),
        "per": _effort(level.per),
        "also": {
            "count": _weights_json(level.also.count),
            "at_least": _number(level.also.at_least),
            "per": _effort(level.also.per),
        }
        if level.also
        else None,
        "retention": {
            "at_most" if level.retention.inclusive else "below": _number(level.retention.mark),
            "how": level.retention.rule.value,
        }
        if level.retention
        else None,
        "source": level.source,
        "year": level.year,
        "verified": level.verified,
    }


def _weights_json(weights: Mapping[str, Fraction]) -> dict[str, int | float]:
    return {key: _number(weight) for key, weight in weights.items()}
