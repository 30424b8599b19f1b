"""The demo's day as data: the texts in their order, and what was really counted, written down apart."""

import tomllib
from dataclasses import dataclass
from datetime import date, datetime, time
from importlib import resources
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from bot.rules import Season
from bot.season_file import read_season, read_texts

SEASON_FILE = "season.toml"


@dataclass(frozen=True, slots=True)
class Line:
    """One text of the day: when (local), from whom (a key of the season), and what it says."""

    at: time
    who: str
    says: str


@dataclass(frozen=True, slots=True)
class Counted:
    """What was really found at a site, plant bugs by sample, and what was first sent where that was wrong."""

    number: int
    field: int
    scout: str
    plant_bugs: tuple[int, ...]
    sent: tuple[int, ...]
    short: bool


@dataclass(frozen=True, slots=True)
class Judged:
    """The level that some fields are judged by: so many per so much effort; effort and number of samples."""

    fields: tuple[int, ...]
    level: int
    per: int
    each: int
    samples: int


@dataclass(frozen=True, slots=True)
class Day:
    """The whole day."""

    day: date
    lines: tuple[Line, ...]
    sites: tuple[Counted, ...]
    judged: tuple[Judged, ...]

    def moment(self, season: Season, at: time) -> datetime:
        """Give the moment of a local time of the day."""
        return datetime.combine(self.day, at, ZoneInfo(season.timezone))


def read_day() -> Day:
    """Give the day that ships."""
    data: dict[str, Any] = tomllib.loads(
        (resources.files("bot.demo") / "day.toml").read_text(encoding="utf-8")
    )
    return Day(
        data["day"],
        tuple(Line(**one) for one in data["text"]),
        tuple(
            Counted(
                one["number"],
                one["field"],
                one["scout"],
                tuple(one["plant_bugs"]),
                tuple(one.get("sent", one["plant_bugs"])),
                one.get("short", False),
            )
            for one in data["site"]
        ),
        tuple(
            Judged(tuple(one["fields"]), one["level"], one["per"], one["each"], one["samples"])
            for one in data["judged"]
        ),
    )


def season_path() -> Path:
    """Give the season file that ships."""
    return Path(str(resources.files("bot.demo") / SEASON_FILE))


def read_demo_season() -> Season:
    """Give the demo's season, which has no faults."""
    season = read_season(read_texts(season_path()))
    if not isinstance(season, Season):
        raise TypeError(f"the demo's own season has faults: {season}")
    return season
