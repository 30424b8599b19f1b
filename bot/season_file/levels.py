"""The action levels of a season: which rows of its level book are in force, and the season's own."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations

from bot.rules import Also, Level, Retention
from bot.season_file.book_forms import AlsoForm, LevelForm, RetentionForm
from bot.season_file.catalogue import columns_of
from bot.season_file.draft import Draft, Row
from bot.season_file.entries import given
from bot.season_file.faults import Fault, listed, no_such

FOR_TARGETS = ("method", "count", "with", "also")
"""Keys that have no meaning in a share's level."""


@dataclass(frozen=True, slots=True)
class InForce:
    """A level that the season goes by, and the key path of its row."""

    path: str
    level: Level


def level_faults(draft: Draft) -> Iterator[Fault]:
    """Give what is wrong with levels beside their own tables: ids, targets, life stages, two rows alike."""
    for rows in ([row for row in draft.rows if row.own], [row for row in draft.rows if not row.own]):
        yield from _id_faults(rows)
    for row in _rows_by_id(draft):
        yield from _subject_faults(draft, row)
    for one, other in combinations(levels_in_force(draft), 2):
        if _alike(one.level, other.level):
            yield Fault(
                f"{other.path}.stage",
                f"{other.level.id} is like {one.level.id} ({one.path}): the same count in the same stage.",
            )
    if draft.book is not None:
        ids = [row.entry.form.id for row in draft.rows if row.entry.form.id is not None]
        for name in draft.season.form.accept_unverified:
            if name not in ids:
                yield no_such("season.accept_unverified", "level", name, ids)


def levels_in_force(draft: Draft) -> tuple[InForce, ...]:
    """Give the levels that govern: rows verified or accepted by the season, and the season's own.

    A row of the season replaces the row of the book that has its id, in its place. Rows with faults are
    left out.
    """
    accepted = set(draft.season.form.accept_unverified)
    return tuple(
        InForce(row.path, _level(row.entry.form))
        for row in _rows_by_id(draft)
        if (row.own or row.entry.form.verified or row.entry.form.id in accepted) and not _faulty(draft, row)
    )


def written_levels(draft: Draft, *, own: bool) -> tuple[Level, ...]:
    """Give the levels that the season file (`own`) or its book writes, in force or not, of a draft without faults."""
    return tuple(_level(row.entry.form) for row in draft.rows if row.own is own)


def all_rows_sound(draft: Draft) -> bool:
    """Tell whether there is a book and every row could be read, so that a missing level is truly missing."""
    return draft.book is not None and not any(_faulty(draft, row) for row in draft.rows)


def _rows_by_id(draft: Draft) -> Iterable[Row]:
    """Give the rows of the book, each replaced by the season's of the same id, then the season's others."""
    rows: dict[str, Row] = {}
    for row in draft.rows:
        rows[row.entry.form.id or row.path] = row
    return rows.values()


def _faulty(draft: Draft, row: Row) -> bool:
    return bool(row.entry.faulty) or any(_subject_faults(draft, row))


def _id_faults(rows: Iterable[Row]) -> Iterator[Fault]:
    first: dict[str, str] = {}
    for row in rows:
        name = row.entry.form.id
        if name in first:
            yield Fault(f"{row.path}.id", f"The id {name} is twice: {first[name]} has it too.")
        elif name is not None:
            first[name] = row.path


def _subject_faults(draft: Draft, row: Row) -> Iterator[Fault]:
    form, faulty = row.entry.form, row.entry.faulty
    if not {"target", "share"} & faulty:
        if (form.target is None) == (form.share is None):
            yield Fault(f"{row.path}.target", "A level has either a target or a share.")
        elif form.share is not None:
            yield from _share_faults(draft, form, row.path)
        elif form.target is not None:
            yield from _target_faults(draft, form, faulty, row.path)


def _share_faults(draft: Draft, form: LevelForm, path: str) -> Iterator[Fault]:
    for key in FOR_TARGETS:
        if getattr(form, "others" if key == "with" else key) is not None:
            yield Fault(f"{path}.{key}", f"A share's level has no {key}.")
    share = draft.shares.get(form.share or "")
    if share is None:
        yield no_such(f"{path}.share", "share", form.share, draft.shares)
    elif form.per is not None and share.form.of is not None and form.per.unit != share.form.of:
        yield Fault(f"{path}.per", f"The share {form.share} is of {share.form.of}, not of {form.per.unit}.")


def _target_faults(draft: Draft, form: LevelForm, faulty: frozenset[str], path: str) -> Iterator[Fault]:
    for key, value in (("method", form.method), ("count", form.count)):
        if value is None and key not in faulty:
            yield Fault(f"{path}.{key}", "This key is required in a target's level.")
    for target in form.others or {}:
        if target not in draft.targets:
            yield no_such(f"{path}.with.{target}", "target", target, draft.targets)
    target = form.target or ""
    if target not in draft.targets:
        yield no_such(f"{path}.target", "target", target, draft.targets)
        return
    stages = [column.life_stage for column in columns_of(draft, target)]
    counts = {"count": form.count, "also.count": form.also.count if form.also else None}
    for where, count in counts.items():
        for stage in count or {}:
            if stages and stage not in stages:
                yield Fault(f"{path}.{where}.{stage}", f"{target} has codes for {listed(stages)} only.")


def _alike(one: Level, other: Level) -> bool:
    """Tell whether two rows claim the same count in some stage with the same right: by week, phase or any."""
    if (one.target, one.method, one.share) != (other.target, other.method, other.share):
        return False
    if not one.stages or not other.stages:
        return one.stages == other.stages
    return any((a.week is None) == (b.week is None) and a.meets(b) for a in one.stages for b in other.stages)


def _level(form: LevelForm) -> Level:
    low = given(form.low)
    return Level(
        id=given(form.id),
        target=form.target,
        share=form.share,
        method=form.method,
        count=dict(form.count or {}),
        stages=tuple(given(form.stage)),
        low=low,
        high=low if form.high is None else form.high,
        per=given(form.per),
        source=given(form.source),
        year=form.year,
        verified=given(form.verified),
        others=dict(form.others or {}),
        also=_also(form.also),
        retention=_retention(form.retention),
    )


def _also(form: AlsoForm | None) -> Also | None:
    return None if form is None else Also(dict(form.count), form.at_least, form.per)


def _retention(form: RetentionForm | None) -> Retention | None:
    if form is None:
        return None
    return Retention(given(form.below or form.at_most), inclusive=form.below is None, rule=form.how)
