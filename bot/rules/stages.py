"""Crop stages: what a field's stage is on a day, and which stretches of the season a rule covers."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import IntEnum

DAYS_A_WEEK = 7


class Phase(IntEnum):
    """The four phases of the crop that plans and levels speak of, in their order."""

    PRESQUARE = 0
    SQUARING = 1
    BLOOM = 2
    CUTOUT = 3

    @property
    def word(self) -> str:
        """The phase as season files and levels spell it."""
        return self.name.lower()

    @property
    def has_weeks(self) -> bool:
        """Whether weeks are counted in this phase."""
        return self in (Phase.SQUARING, Phase.BLOOM)


@dataclass(frozen=True, slots=True)
class Stage:
    """A field's stage on a day: the phase, and the week (1 the first seven days) where weeks are counted."""

    phase: Phase
    week: int | None = None

    def __str__(self) -> str:
        """Spell the stage as `show` prints it: "bloom 2", "cutout"."""
        return self.phase.word if self.week is None else f"{self.phase.word} {self.week}"


@dataclass(frozen=True, slots=True)
class StageSpan:
    """A stretch of the season as a level or a plan names it: "bloom", "squaring 1", "bloom 6+"."""

    phase: Phase
    week: int | None = None
    onward: bool = False

    def __str__(self) -> str:
        if self.week is None:
            return self.phase.word
        return f"{self.phase.word} {self.week}{'+' if self.onward else ''}"

    def covers(self, stage: Stage) -> bool:
        """Tell whether a stage lies in this stretch."""
        if stage.phase is not self.phase:
            return False
        if self.week is None:
            return True
        if stage.week is None:
            return False
        return stage.week >= self.week if self.onward else stage.week == self.week

    def meets(self, other: "StageSpan") -> bool:
        """Tell whether some stage lies in both stretches."""
        if self.phase is not other.phase:
            return False
        if self.week is None or other.week is None:
            return True
        early, late = sorted((self, other), key=lambda span: span.week or 0)
        return early.week == late.week or early.onward


_SPAN = re.compile(r"(presquare|squaring|bloom|cutout)(?: ([1-9][0-9]?)(\+)?)?")


def parse_span(text: str) -> StageSpan | None:
    """Read a stretch as the season file spells it, None where it is none."""
    found = _SPAN.fullmatch(text)
    if found is None:
        return None
    phase = Phase[found[1].upper()]
    if found[2] is None:
        return StageSpan(phase)
    return StageSpan(phase, int(found[2]), onward=bool(found[3])) if phase.has_weeks else None


@dataclass(frozen=True, slots=True)
class StageMark:
    """Something that says a field's stage from a day on: a date of the season file, or a STAGE text.

    `proposal` is a stage that nobody with a say in it has confirmed.
    """

    since: date
    phase: Phase
    week: int = 1
    proposal: bool = False

    def on(self, day: date) -> Stage:
        """Count the weeks on: N = whole days since // 7, plus the week that it began with."""
        if not self.phase.has_weeks:
            return Stage(self.phase)
        return Stage(self.phase, self.week + (day - self.since).days // DAYS_A_WEEK)


def governing_mark(marks: Iterable[StageMark], day: date) -> StageMark | None:
    """Give the mark that says the stage of a day: the newest up to it; None where nothing is known.

    Marks come in the order in which they were made, so of two of one day the later made governs. A
    proposal holds only where nothing else is known. Before the first dated phase (and knowing one is
    to come) a field is presquare.
    """
    known = list(marks)
    confirmed = [mark for mark in known if not mark.proposal]
    for among in (confirmed, [mark for mark in known if mark.proposal]):
        past = [mark for mark in among if mark.since <= day]
        if past:
            newest = max(mark.since for mark in past)
            return [mark for mark in past if mark.since == newest][-1]
        if any(mark.phase is Phase.SQUARING for mark in among):
            return StageMark(day, Phase.PRESQUARE)
    return None
