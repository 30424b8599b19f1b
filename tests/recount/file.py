"""The season file and its level book, read for the recount: people, fields, plans, columns and level rows."""

import re
import tomllib
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

ODD = {1: (), 2: (1, 3), 3: (1, 3, 5), 4: (1, 3, 5, 7), 5: (1, 3, 5, 7, 9)}
UNITS = {"sweeps": "sweeps", "row ft": "row_ft", "plants": "plants", "terminals": "terminals"}
SHIPPED = {
    "fleahopper": {"FA": "adult", "FN": "nymph"},
    "lygus": {"LA": "adult", "LN": "nymph"},
    "piratebug": {"MP": "any"},
    "bigeyedbug": {"BE": "any"},
    "ladybeetle": {"HC": "any"},
    "spider": {"AR": "any"},
    "armyworm": {"BW": "any"},
    "stinkbug": {"SB": "any"},
    "cloudedbug": {"CB": "any"},
    "unknown": {"UK": "any"},
}
SHIPPED_SHARES = {
    "squares": ("SQ", "squares"),
    "bollhurt": ("BH", "bolls"),
    "dirtysquares": ("DS", "squares"),
    "dirtyblooms": ("DW", "blooms"),
    "terminals": ("TP", "terminals"),
    "eggs": ("EG", "plants"),
}
BOOKS = Path(__file__).parent.parent.parent / "bot" / "levels"


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody of the season: phone in E.164 or None, roles, language, crew."""

    key: str
    name: str
    phone: str | None
    roles: frozenset[str]
    language: str
    crew: tuple[str, ...]
    trainee: bool
    active: bool

    @property
    def called(self) -> str:
        """Give the first name as texts can print it."""
        return in_gsm(self.name.split()[0])


@dataclass(frozen=True, slots=True)
class Plan:
    """A method with its samples, effort, card and rhythm."""

    key: str
    method: str
    samples: int
    each: dict[str, Fraction]
    card: tuple[str, ...]
    every_days: int
    least: int
    ask_above: int
    recheck: tuple[int, ...]
    wants_level: bool
    stop: dict[str, Any] | None


@dataclass(frozen=True, slots=True)
class Field:
    """A field with its sites, people, dates and plans."""

    number: int
    name: str
    sites: tuple[int, ...]
    growers: tuple[str, ...]
    scouts: tuple[str, ...]
    supervisors: tuple[str, ...]
    beside: tuple[int, ...]
    dates: dict[str, date]
    plan: dict[str, str]


@dataclass(frozen=True, slots=True)
class Level:
    """One row of a level book; `per` is a quantity and a unit."""

    id: str
    target: str
    is_share: bool
    count: dict[str, Fraction]
    with_: dict[str, Fraction]
    method: str | None
    stages: tuple[str, ...]
    low: Fraction
    high: Fraction
    per: Fraction
    unit: str
    also: tuple[dict[str, Fraction], Fraction, Fraction] | None
    mark: tuple[str, Fraction, str] | None
    per_said: str


@dataclass(frozen=True, slots=True)
class SeasonPage:
    """All that the season file says, as far as the recount needs it."""

    zone: ZoneInfo
    contact: str
    day_ends: time
    quiet: tuple[time, time]
    reviewed: bool
    reminder_hours: Fraction
    silence_minutes: int
    morning: time | None
    people: dict[str, Person]
    fields: dict[int, Field]
    plans: dict[str, Plan]
    targets: dict[str, dict[str, str]]
    shares: dict[str, tuple[str, str]]
    levels: tuple[Level, ...]

    def field_of(self, number: int) -> Field | None:
        """Give the field that a field's or a site's number belongs to."""
        if number in self.fields:
            return self.fields[number]
        return next((field for field in self.fields.values() if number in field.sites), None)

    def by_phone(self, phone: str) -> Person | None:
        """Give who has this phone."""
        return next((person for person in self.people.values() if person.phone == phone), None)

    def with_role(self, role: str) -> list[Person]:
        """Give the people of one role who are active, in the order of the file."""
        return [person for person in self.people.values() if role in person.roles and person.active]

    def supervisors_of(self, field: Field) -> list[Person]:
        """Give a field's supervisors: those it names, else all."""
        return [
            one
            for one in self.with_role("supervisor")
            if not field.supervisors or one.key in field.supervisors
        ]


def read_page(text: str, folder: Path | None = None) -> SeasonPage:
    """Read a season file; its level book ships, or lies in `folder`."""
    raw = tomllib.loads(text, parse_float=Decimal)
    season = raw["season"]
    targets = SHIPPED | {key: dict(one["columns"]) for key, one in raw.get("targets", {}).items()}
    shares = SHIPPED_SHARES | {key: (one["code"], one["of"]) for key, one in raw.get("shares", {}).items()}
    book = season["level_book"]
    path = (folder or Path()) / book if book.endswith(".toml") else BOOKS / f"{book}.toml"
    rows = {row["id"]: row for row in tomllib.loads(path.read_text(), parse_float=Decimal).get("level", [])}
    rows |= {row["id"]: row for row in raw.get("level", [])}
    accepted = season.get("accept_unverified", [])
    quiet = season.get("quiet", ["21:00", "08:00"])
    return SeasonPage(
        zone=ZoneInfo(season["timezone"]),
        contact=season["contact"],
        day_ends=_time(season.get("day_ends", "18:30")),
        quiet=(_time(quiet[0]), _time(quiet[1])),
        reviewed=season.get("alerts", "automatic") == "reviewed",
        reminder_hours=Fraction(season.get("reminder_hours", 2)),
        silence_minutes=int(season.get("silence_minutes", 90)),
        morning=_time(season["morning"]) if "morning" in season else None,
        people={key: _person(key, one) for key, one in raw.get("people", {}).items()},
        fields={int(key): _field(int(key), one) for key, one in raw.get("fields", {}).items()},
        plans={key: _plan(key, one) for key, one in raw.get("plans", {}).items()},
        targets=targets,
        shares=shares,
        levels=tuple(
            _level(row) for row in rows.values() if row.get("verified", True) or row["id"] in accepted
        ),
    )


def in_gsm(words: str) -> str:
    """Drop the accents that a text cannot carry; ñ and é stay."""
    return words.translate(str.maketrans("áíóúÁÍÓÚ", "aiouAIOU"))


def _time(said: Any) -> time:
    return said if isinstance(said, time) else time.fromisoformat(str(said))


def _person(key: str, raw: dict[str, Any]) -> Person:
    phone = re.sub(r"[^\d+]", "", raw["phone"]) if raw.get("phone") else None
    if phone is not None and not phone.startswith("+"):
        phone = f"+1{phone}"
    return Person(
        key=key,
        name=raw["name"],
        phone=phone,
        roles=frozenset(raw["roles"]),
        language=raw.get("language", "en"),
        crew=tuple(raw.get("crew", ())),
        trainee=raw.get("trainee", False),
        active=raw.get("active", True),
    )


def _field(number: int, raw: dict[str, Any]) -> Field:
    said = raw.get("sites", 1)
    if isinstance(said, list):
        ends: tuple[int, ...] = tuple(said)
    else:
        ends = () if said == 1 else tuple(range(1, 2 * said, 2)) if said <= 5 else tuple(range(1, said + 1))
    dates = {key: raw[key] for key in ("first_square", "first_bloom", "cutout") if key in raw}
    plan = raw["plan"]
    return Field(
        number=number,
        name=raw["name"],
        sites=tuple(number * 10 + end for end in ends) or (number,),
        growers=tuple(raw.get("growers", ())),
        scouts=tuple(raw.get("scouts", ())),
        supervisors=() if raw.get("supervisors", "all") == "all" else tuple(raw["supervisors"]),
        beside=tuple(int(one) for one in raw.get("beside", ())),
        dates={key: day.date() if isinstance(day, datetime) else day for key, day in dates.items()},
        plan={"": plan} if isinstance(plan, str) else dict(plan),
    )


def _plan(key: str, raw: dict[str, Any]) -> Plan:
    samples = int(raw["samples"])
    stop = raw.get("stop", "fixed")
    return Plan(
        key=key,
        method=raw["method"],
        samples=samples,
        each={unit: Fraction(one) for unit, one in raw["each"].items()},
        card=tuple(raw["card"]),
        every_days=int(raw.get("every_days", 7)),
        least=int(raw.get("least", -(-samples // 2))),
        ask_above=int(raw.get("ask_above", 40)),
        recheck=tuple(raw.get("recheck_days", (3, 5))),
        wants_level=raw.get("level") != "none",
        stop=stop if isinstance(stop, dict) else None,
    )


def _per(said: str) -> tuple[Fraction, str]:
    amount, unit = said.split(" ", 1)
    return Fraction(amount), unit


def _level(raw: dict[str, Any]) -> Level:
    per, unit = _per(raw["per"])
    also = raw.get("also")
    mark = raw.get("retention")
    stages = raw.get("stage", [])
    return Level(
        id=raw["id"],
        target=raw.get("share") or raw["target"],
        is_share="share" in raw,
        count={stage: Fraction(weight) for stage, weight in raw.get("count", {}).items()},
        with_={target: Fraction(weight) for target, weight in raw.get("with", {}).items()},
        method=raw.get("method"),
        stages=(stages,) if isinstance(stages, str) else tuple(stages),
        low=Fraction(raw["low"]),
        high=Fraction(raw["high"]),
        per=per,
        unit=unit,
        also=None
        if also is None
        else (
            {one: Fraction(weight) for one, weight in also["count"].items()},
            Fraction(also["at_least"]),
            _per(also["per"])[0],
        ),
        mark=None
        if mark is None
        else (
            "below" if "below" in mark else "at_most",
            Fraction(mark.get("below", mark.get("at_most"))),
            mark["how"],
        ),
        per_said=raw["per"],
    )
