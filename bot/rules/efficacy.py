"""Before and after a treatment: what the counts bear out, against an untreated check where one holds.

Henderson-Tilton where field and check were counted before and after; Abbott, which takes it that both began alike,
where one of them was not counted before; else the plain fall, which also holds what would have changed in any case.
Where none were found before there is nothing to fall, and a check without any says nothing: neither is a case for
Abbott, as such fields are known not to have begun alike.

Fewer or more is claimed only where the 80 % interval of the ratio does not hold 1. It is made of the intervals of
the visits, so nothing is claimed of sums, of weighted counts or of fewer than three samples. It is of these sites by
these samples: how other sites and fields went it cannot tell. Shares are left out, as a boll once hurt stays hurt.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from bot.rules.levels import Level
from bot.rules.seen_twice import Seen, Visits, count_alike, fit, rows_of, seen_twice
from bot.rules.ways import Fewer, Way, before_and_after, by_abbott, by_henderson_tilton


class Finding(StrEnum):
    """What the counts bear out, or why they bear out nothing.

    NO_INTERVAL: there are sums, weights or too few samples. OTHER_COUNT: another method, unit or way to count
    between. FEW_SITES: fewer than half of the field's sites were counted both times.
    """

    FEWER = "fewer"
    MORE = "more"
    NO_DIFFERENCE = "no difference"
    NONE_BEFORE = "none before"
    NOT_COUNTED = "not counted before"
    NO_INTERVAL = "no interval"
    OTHER_COUNT = "other method"
    FEW_SITES = "too few sites"


class NoCheck(StrEnum):
    """Why an untreated check that the season names is left out."""

    SHUT = "shut then"
    NOT_COUNTED = "not counted then"
    OTHER_COUNT = "other method"
    NONE_THERE = "none there"


@dataclass(frozen=True, slots=True)
class CheckField:
    """An untreated check: its sites and their visits; `left_out` where it may have been treated itself."""

    sites: tuple[int, ...]
    before: Visits
    after: Visits
    left_out: NoCheck | None = None


@dataclass(frozen=True, slots=True)
class Effect:
    """One target before and after a treatment, in the unit of its level.

    `fewer` goes by `way`, both None where there is no percent; `plain` by before and after alone. `no_check` where
    the season names a check and it is left out.
    """

    target: str
    level: Level
    finding: Finding
    before: Seen | None = None
    after: Seen | None = None
    check_before: Seen | None = None
    check_after: Seen | None = None
    way: Way | None = None
    fewer: Fewer | None = None
    plain: Fewer | None = None
    no_check: NoCheck | None = None


def effects(
    sites: Sequence[int], before: Visits, after: Visits, check: CheckField | None
) -> tuple[Effect, ...]:
    """Give every target that has a level before and after a treatment, from the visits of a field's sites.

    The level row is that of the counts after it; of a target that has none in that stage, that of those before it.
    """
    if not after:
        return ()
    rows_after, rows_before = rows_of(after), rows_of(before)
    return tuple(
        _effect(
            target,
            [rows[target] for rows in (rows_after, rows_before) if target in rows],
            sites,
            before,
            after,
            check,
        )
        for target in dict.fromkeys([*rows_after, *rows_before])
    )


def _effect(
    target: str,
    rows: Sequence[Level],
    sites: Sequence[int],
    before: Visits,
    after: Visits,
    check: CheckField | None,
) -> Effect:
    level = rows[0]
    if not all(count_alike(one, level) for one in rows) or not fit(
        [*before.values(), *after.values()], level
    ):
        return Effect(target, level, Finding.OTHER_COUNT)
    was, left = seen_twice(sites, before, after, level)
    if left is None:
        return Effect(target, level, Finding.FEW_SITES)
    check_was, check_left, no_check = _in_check(check, after, level)
    one = Effect(
        target,
        level,
        Finding.NOT_COUNTED,
        was,
        left,
        check_was,
        check_left,
        plain=before_and_after(was, left) if was is not None else None,
        no_check=no_check,
    )
    if was is not None and not was.density:
        return replace(one, finding=Finding.NONE_BEFORE)
    way, fewer = _judged(one, left)
    if fewer is None:
        return one
    return replace(one, finding=_finding(fewer), way=way, fewer=fewer)


def _in_check(
    check: CheckField | None, treated: Visits, level: Level
) -> tuple[Seen | None, Seen | None, NoCheck | None]:
    """Give a target in the untreated check before and after, or why the check is left out."""
    if check is None:
        return None, None, None
    if check.left_out is not None:
        return None, None, check.left_out
    if not check.after:
        return None, None, NoCheck.NOT_COUNTED
    if not fit([*treated.values(), *check.before.values(), *check.after.values()], level):
        return None, None, NoCheck.OTHER_COUNT
    was, left = seen_twice(check.sites, check.before, check.after, level)
    if left is None:
        was, left = seen_twice(check.sites, {}, check.after, level)
    if left is None:
        return None, None, NoCheck.NOT_COUNTED
    none = not left.density or (was is not None and not was.density)
    return was, left, NoCheck.NONE_THERE if none else None


def _judged(one: Effect, left: Seen) -> tuple[Way | None, Fewer | None]:
    """Set what is left against what would have been, by the way that the counts allow."""
    if one.check_after is not None and one.no_check is None:
        if one.before is not None and one.check_before is not None:
            return Way.HENDERSON_TILTON, by_henderson_tilton(
                one.before, left, one.check_before, one.check_after
            )
        return Way.ABBOTT, by_abbott(left, one.check_after)
    return Way.BEFORE_AFTER, one.plain


def _finding(fewer: Fewer) -> Finding:
    if not fewer.has_interval:
        return Finding.NO_INTERVAL
    if fewer.is_fewer:
        return Finding.FEWER
    return Finding.MORE if fewer.is_more else Finding.NO_DIFFERENCE
