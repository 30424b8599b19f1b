"""The stage of a field on a day, from dates and texts; the plan and the level rows that go with it."""

from dataclasses import dataclass, replace
from datetime import date, datetime

from tests.recount.file import Field, Level, Plan, SeasonPage

ORDER = ("presquare", "squaring", "bloom", "cutout")
STARTS = {"first_square": "squaring", "first_bloom": "bloom", "cutout": "cutout"}


@dataclass(frozen=True, slots=True)
class Stage:
    """A stage with its week where it has weeks; `proposed` where nobody but a scout said it."""

    name: str
    week: int | None = None
    proposed: bool = False

    @property
    def said(self) -> str:
        """Say it as `show` does."""
        return self.name if self.week is None else f"{self.name} {self.week}"

    @property
    def place(self) -> tuple[int, int]:
        """Give its place in the season; no week stands before week 1."""
        return (ORDER.index(self.name) if self.name in ORDER else -1, self.week or 0)


@dataclass(frozen=True, slots=True)
class StageSaid:
    """A STAGE text that holds: from a day on, with a week or without."""

    field: int
    day: date
    stage: str
    week: int | None
    proposed: bool
    at: datetime


@dataclass(frozen=True, slots=True)
class Named:
    """A stage as it was named, by a date or a text."""

    stage: str
    week: int | None
    proposed: bool


UNKNOWN = Stage("unknown")


def stage_on(field: Field, said: list[StageSaid], day: date) -> Stage:
    """Give the stage: the newest of dates and texts up to the day governs."""
    known = [(start, 0, Named(STARTS[key], 1, False)) for key, start in field.dates.items() if start <= day]
    known += [
        (one.day, place, Named(one.stage, one.week, one.proposed))
        for place, one in enumerate(said, 1)
        if one.field == field.number and one.day <= day
    ]
    if not known:
        return Stage("presquare") if "first_square" in field.dates else UNKNOWN
    start, _, newest = max(known, key=lambda each: each[:2])
    if newest.stage in ("cutout", "presquare"):
        return Stage(newest.stage, None, newest.proposed)
    week = newest.week
    if week is None:
        date_key = next(key for key, stage in STARTS.items() if stage == newest.stage)
        dated = field.dates.get(date_key)
        if dated is not None and dated <= day:
            start, week = dated, 1
        else:
            week = 1
    return Stage(newest.stage, week + (day - start).days // 7, newest.proposed)


def plan_on(season: SeasonPage, field: Field, stage: Stage) -> Plan | None:
    """Give the field's plan for a stage; None where the stage is unknown and there are several."""
    if len(set(field.plan.values())) == 1:
        return season.plans[next(iter(field.plan.values()))]
    if stage.name == "unknown":
        return None
    if stage.said in field.plan:
        return season.plans[field.plan[stage.said]]
    named = sorted((_place(key), key) for key in field.plan)
    before = [key for place, key in named if place <= stage.place]
    return season.plans[field.plan[before[-1] if before else named[0][1]]]


def rows_on(season: SeasonPage, plan: Plan, stage: Stage) -> list[Level]:
    """Give the level rows of a plan's targets in a stage: a named week before a stage, a stage before any."""
    on_card = [key for key, columns in season.targets.items() if set(columns) & set(plan.card)]
    chosen: dict[tuple[bool, str], tuple[int, Level]] = {}
    for row in season.levels:
        if not row.is_share and (row.method != plan.method or row.target not in on_card):
            continue
        rank = _rank(row, stage)
        key = (row.is_share, row.target)
        if rank and (key not in chosen or rank > chosen[key][0]):
            chosen[key] = (rank, row)
    rows = [row for _, row in chosen.values()]
    if stage.name == "unknown":
        rows += _unplaced(season, plan, {row.target for row in rows})
    first = {target: place for place, target in enumerate(_card_order(season, plan))}
    return sorted(rows, key=lambda row: (row.is_share, first.get(row.target, 99)))


def _card_order(season: SeasonPage, plan: Plan) -> list[str]:
    owner = {code: key for key, columns in season.targets.items() for code in columns}
    return list(dict.fromkeys(owner[code] for code in plan.card))


def _place(key: str) -> tuple[int, int]:
    name, _, week = key.partition(" ")
    return (ORDER.index(name), int(week) if week else 0)


def _rank(row: Level, stage: Stage) -> int:
    if not row.stages:
        return 1
    if stage.name == "unknown":
        return 0
    best = 0
    for said in row.stages:
        name, _, week = said.partition(" ")
        if name != stage.name:
            continue
        if not week:
            best = max(best, 2)
        elif stage.week is not None and (
            stage.week >= int(week[:-1]) if week.endswith("+") else stage.week == int(week)
        ):
            best = 3
    return best


def _unplaced(season: SeasonPage, plan: Plan, placed: set[str]) -> list[Level]:
    """Give one row without a name for each target whose level hangs on a stage that nobody knows."""
    rows: dict[str, Level] = {}
    for row in season.levels:
        on_card = row.target in season.targets and set(season.targets[row.target]) & set(plan.card)
        if not row.is_share and row.method == plan.method and row.target not in placed and on_card:
            rows.setdefault(row.target, replace(row, id="", mark=None, also=None))
    return list(rows.values())


def stage_of_first(field: Field, said: list[StageSaid], day: date, first: datetime) -> Stage:
    """Give the stage of a first sample: what was known when it came, else what became known for that day."""
    then = stage_on(field, [one for one in said if one.at <= first], day)
    return then if then != UNKNOWN else stage_on(field, said, day)
