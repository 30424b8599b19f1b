"""The season as the rules see it: people, targets, plans, fields. Values only, made by `season_file`."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import time
from enum import StrEnum
from fractions import Fraction
from typing import NewType

from bot.rules.heat import HeatMethod, StopTime
from bot.rules.levels import Level
from bot.rules.methods import Effort, Method
from bot.rules.stages import Phase, Stage, StageMark, StageSpan

PersonKey = NewType("PersonKey", str)
"""A person's key in the season file; it outlives phones and roles."""

LIFE_STAGES = ("adult", "nymph", "any")


class Role(StrEnum):
    """What a person does in the programme."""

    SCOUT = "scout"
    LEADER = "leader"
    SUPERVISOR = "supervisor"
    GROWER = "grower"


COUNTING_ROLES = frozenset({Role.SCOUT, Role.LEADER, Role.SUPERVISOR})


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody of the programme. `phone` is in E.164, `language` "en" or "es".

    `email` is where the end-of-day digest goes as well, of a supervisor or leader.
    """

    key: PersonKey
    name: str
    phone: str | None
    roles: frozenset[Role]
    language: str = "en"
    crew: tuple[PersonKey, ...] = ()
    visual: bool = False
    trainee: bool = False
    active: bool = True
    email: str | None = None

    @property
    def first_name(self) -> str:
        return self.name.split()[0]

    @property
    def may_count(self) -> bool:
        """Whether counts from this person are taken."""
        return bool(self.roles & COUNTING_ROLES)


@dataclass(frozen=True, slots=True)
class Column:
    """One place on the card: a code, and the target and life stage ("adult", "nymph", "any") it counts."""

    code: str
    target: str
    life_stage: str


@dataclass(frozen=True, slots=True)
class Target:
    """What is counted: its key, its name, its columns."""

    key: str
    name: str
    columns: tuple[Column, ...]


@dataclass(frozen=True, slots=True)
class Share:
    """A figure that is n of m looked at. `said` is what n counts: hurt, dirty, infested, still on."""

    key: str
    name: str
    code: str
    of: str
    said: str
    look: int


@dataclass(frozen=True, slots=True)
class SequentialStop:
    """Stop lines of a sequential plan, as the season file gives them; `low` and `high` per `per`."""

    target: str
    low: Fraction
    high: Fraction
    per: Effort
    alpha: Fraction
    beta: Fraction
    at_least: int
    k: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """How a site is sampled. `stop` is None for a fixed number of samples."""

    key: str
    method: Method
    samples: int
    each: Effort
    card: tuple[Column, ...]
    ask_above: int
    least: int
    every_days: int
    recheck_days: tuple[int, ...] = (3, 5)
    stop: SequentialStop | None = None
    level_wanted: bool = True
    hours: tuple[time, time] | None = None
    hoop_in: Fraction | None = None
    sheet: str | None = None
    bucket_qt: Fraction | None = None

    @property
    def codes(self) -> tuple[str, ...]:
        """The card's codes in card order."""
        return tuple(column.code for column in self.card)


@dataclass(frozen=True, slots=True)
class Field:
    """A grower's field. `sites` are whole site numbers; a field of one site has its own number as site.

    `stop_time` are the heat units after cutout that a supervisor wants to hear of, None where he names none.
    `untreated_check` is the number of the field that a treatment of this one is set against.
    """

    number: int
    name: str
    sites: tuple[int, ...]
    growers: tuple[PersonKey, ...]
    scouts: tuple[PersonKey, ...]
    supervisors: tuple[PersonKey, ...]
    row_spacing_in: Fraction
    plans: tuple[tuple[StageSpan | None, str], ...]
    stage_dates: tuple[StageMark, ...] = ()
    where: str | None = None
    beside: tuple[int, ...] = ()
    stop_time: StopTime | None = None
    untreated_check: int | None = None

    @property
    def several(self) -> bool:
        """Whether the field has several sites."""
        return len(self.sites) > 1

    def plan_for(self, stage: Stage | None) -> str | None:
        """Give the key of the plan for a stage, None where it turns on a stage that is not known.

        A stage not named keeps the plan named last before it, else the first (season order).
        """
        if len({key for _, key in self.plans}) == 1:
            return self.plans[0][1]
        if stage is None:
            return None
        chosen = self.plans[0][1]
        for span, key in self.plans:
            if span is None or _begins(span) <= (stage.phase, stage.week or 0):
                chosen = key
        return chosen


def _begins(span: StageSpan) -> tuple[Phase, int]:
    return span.phase, span.week or 0


@dataclass(frozen=True, slots=True)
class Season:
    """One programme's set-up for one year. Times of day are local to `timezone` (IANA name).

    `cutout_nawf` are the nodes above white flower at and under which cutout is proposed.
    """

    name: str
    timezone: str
    country: str
    contact: str
    book: str
    people: Mapping[PersonKey, Person]
    fields: Mapping[int, Field]
    plans: Mapping[str, Plan]
    targets: Mapping[str, Target]
    shares: Mapping[str, Share]
    levels: tuple[Level, ...]
    emergency: str = "911"
    day_ends: time = time(18, 30)
    quiet: tuple[time, time] = (time(21), time(8))
    reviewed: bool = False
    reminder_hours: Fraction = Fraction(2)
    silence_minutes: int = 90
    morning: time | None = None
    poison_line: str | None = None
    heat_method: HeatMethod = HeatMethod.MEAN
    cutout_nawf: Fraction = Fraction(5)

    @property
    def contact_number(self) -> str:
        """The phone number in the contact, the whole contact where it has none."""
        found = re.search(r"[+(]?[0-9][0-9 ().-]{5,}[0-9]", self.contact)
        return found[0] if found else self.contact

    def person_with(self, phone: str) -> Person | None:
        """Give the active person who has a phone (E.164)."""
        return next((p for p in self.people.values() if p.active and p.phone == phone), None)

    def field_of(self, number: int) -> Field | None:
        """Give the field that has a number, or that a site with that number lies in."""
        if number in self.fields:
            return self.fields[number]
        return next((field for field in self.fields.values() if number in field.sites), None)

    def column(self, code: str) -> Column | None:
        """Give the column that a code stands for anywhere in the season."""
        columns = (column for target in self.targets.values() for column in target.columns)
        return next((column for column in columns if column.code == code), None)

    def share(self, code: str) -> Share | None:
        """Give the share that a code stands for."""
        return next((share for share in self.shares.values() if share.code == code), None)

    def with_role(self, role: Role) -> tuple[Person, ...]:
        """Give the active people of a role, in the file's order."""
        return tuple(p for p in self.people.values() if p.active and role in p.roles)

    def leaders_of(self, scout: PersonKey) -> tuple[Person, ...]:
        """Give the leaders in whose crew somebody is."""
        return tuple(p for p in self.with_role(Role.LEADER) if scout in p.crew)

    def supervisors_of(self, field: Field) -> tuple[Person, ...]:
        """Give the active supervisors of a field."""
        return tuple(p for p in self.with_role(Role.SUPERVISOR) if p.key in field.supervisors)
