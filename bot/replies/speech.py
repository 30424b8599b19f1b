"""One language's wording: templates read from its data file, filled in; dates, times and numbers as it says them."""

import tomllib
from collections.abc import Sequence
from datetime import date, datetime, time
from fractions import Fraction
from functools import cache
from importlib import resources
from typing import Any

from bot.rules import Effort, Season, Stage
from parsing import LANGUAGES, TEXT_SEPTETS, TOTALS, Sample

TOTAL = "TOTAL"
"""What sums over several samples are called in both languages."""


class Speech:
    """Says things in one language. `key` is "section.name" of the wording file; `room` septets a reply has."""

    def __init__(self, language: str, wording: dict[str, dict[str, Any]], room: int = TEXT_SEPTETS) -> None:
        self.language = language
        self.room = room
        self._wording = wording

    def within(self, room: int) -> "Speech":
        """Give the same speech for replies that have less room, as something is said before them."""
        return Speech(self.language, self._wording, room)

    def written(self) -> "Speech":
        """Give the same speech where letters cost nothing: what stands under [written] in place of the shorter."""
        wording = {section: dict(said) for section, said in self._wording.items()}
        for key, template in self._wording["written"].items():
            section, name = key.split(".", 1)
            wording[section][name] = template
        return Speech(self.language, wording, self.room)

    def say(self, key: str, **values: object) -> str:
        """Give a template filled in.

        Raises:
            KeyError: the wording has no such template, or it needs a value that is not given.
        """
        section, name = key.split(".", 1)
        template: str = self._wording[section][name]
        return template.format(**values)

    def has(self, key: str) -> bool:
        """Tell whether the wording has a template."""
        section, name = key.split(".", 1)
        return name in self._wording.get(section, {})

    def short_date(self, day: date) -> str:
        """Give a date with the month in letters: Jul 6."""
        months = self._wording["calendar"]["months"]
        return self.say("calendar.date", day=day.day, month=months[day.month - 1])

    def weekday_date(self, day: date) -> str:
        """Give a date with its weekday: Tue Jul 6."""
        calendar = self._wording["calendar"]
        weekday = calendar["days"][day.weekday()]
        return self.say(
            "calendar.weekday_date", weekday=weekday, day=day.day, month=calendar["months"][day.month - 1]
        )

    def whole_date(self, day: date) -> str:
        """Give a date in whole words: Tuesday, July 6, 2027."""
        mail = self._wording["mail"]
        weekday, month = mail["days"][day.weekday()], mail["months"][day.month - 1]
        return self.say("mail.date", weekday=weekday, day=day.day, month=month, year=day.year)

    @property
    def day_words(self) -> list[str]:
        """The words by which the days of the week are sent, Monday first."""
        words: list[str] = self._wording["calendar"]["day_words"]
        return words

    def clock(self, moment: datetime) -> str:
        """Give a local time with its half of the day: 11:52 AM."""
        half = self.say("calendar.am" if moment.hour < 12 else "calendar.pm")
        return f"{moment.hour % 12 or 12}:{moment.minute:02} {half}"

    def hour(self, moment: datetime) -> str:
        """Give a local time of today without its half of the day: 10:12."""
        return f"{moment.hour}:{moment.minute:02}"

    def span(self, begins: time, ends: time) -> str:
        """Give the hours between two times of day: 6:30 to 11:00 AM."""
        halves = [self.say("calendar.am" if one.hour < 12 else "calendar.pm") for one in (begins, ends)]
        first, last = (f"{one.hour % 12 or 12}:{one.minute:02}" for one in (begins, ends))
        first = first if halves[0] == halves[1] else f"{first} {halves[0]}"
        return self.say("calendar.span", begins=first, ends=f"{last} {halves[1]}")

    def target(self, season: Season, key: str) -> str:
        """Give the name of a target, or of a share, as it stands inside a sentence."""
        if self.has(f"targets.{key}"):
            return self.say(f"targets.{key}")
        if key in season.targets:
            return season.targets[key].name
        return self.say(f"share_names.{key}") if self.has(f"share_names.{key}") else season.shares[key].name

    def stage(self, stage: Stage) -> str:
        """Give a stage in the words of a language: bloom week 2."""
        word = self.say(f"stages.{stage.phase.word}")
        return word if stage.week is None else self.say("stages.week", stage=word, week=stage.week)

    def effort(self, effort: Effort, *, short: bool = False) -> str:
        """Give an effort with its unit: 5 row ft, 1 plant."""
        units = "units_short" if short else "units_one" if effort.amount == 1 else "units"
        unit = self.say(f"{units}.{effort.unit.value}")
        return f"{plain_number(effort.amount)} {unit}"

    def names(self, names: list[str]) -> str:
        """Give names in a row: Ana, Luis and June."""
        if len(names) < 2:
            return "".join(names)
        return f"{', '.join(names[:-1])} {self.say('words.and')} {names[-1]}"

    def reason(self, reason: str | None) -> str:
        """Give a reason after a colon, empty where there is none."""
        return self.say("words.reason", reason=reason) if reason else ""


@cache
def speech(language: str) -> Speech:
    """Give the wording of a language that ships; English for any other."""
    chosen = language if language in LANGUAGES else "en"
    file = resources.files("bot") / "wording" / f"{chosen}.toml"
    return Speech(chosen, tomllib.loads(file.read_text(encoding="utf-8")))


def capital(text: str) -> str:
    """Give a text with its first letter large."""
    return text[:1].upper() + text[1:]


def plain_number(value: Fraction) -> str:
    """Give a number as short as it is exact to two places: 3, 2.5, 0.17."""
    return _trimmed(value, 2)


def exact_number(value: Fraction) -> str:
    """Give a number that people wrote, whole or with all its decimals: 3, 2.5, 2.83334."""
    for places in range(2, 9):
        said = _trimmed(value, places)
        if Fraction(said) == value:
            return said
    return _trimmed(value, 9)


def figure_number(value: Fraction, marks: tuple[Fraction | None, ...] = ()) -> str:
    """Give a figure to two places, or to as many as keep it on its own side of every mark.

    2.996 under a level of 3 prints as 2.996, never as 3: a printed figure never contradicts its standing.
    """
    for places in range(2, 12):
        said = _trimmed(value, places)
        printed = Fraction(said)
        if all(mark is None or (printed >= mark) == (value >= mark) for mark in marks):
            return said
    return _trimmed(value, 12)


def _trimmed(value: Fraction, places: int) -> str:
    scaled = round(value * 10**places)
    whole, part = divmod(abs(scaled), 10**places)
    digits = f"{part:0{places}}".rstrip("0")
    sign = "-" if scaled < 0 else ""
    return f"{sign}{whole}.{digits}" if digits else f"{sign}{whole}"


def number_list(numbers: list[int]) -> str:
    """Give sample numbers with runs drawn together: 1-4 6 8-10; sums over several samples are TOTAL."""
    runs: list[list[int]] = []
    for number in sorted(number for number in numbers if number != TOTALS):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    said = [f"{run[0]}-{run[-1]}" if len(run) > 2 else " ".join(map(str, run)) for run in runs]
    return " ".join([TOTAL, *said] if TOTALS in numbers else said)


def sample_label(sample: Sample) -> str:
    """Give what a sample is called: its number, or TOTAL and how many samples it covers."""
    return f"{TOTAL} {sample.covers}" if sample.covers else str(sample.number)


def sums_words(speech: Speech, samples: Sequence[Sample]) -> str:
    """Give samples with the sum of each in place of its counts: sums 1 14, 2 9."""
    sums = ", ".join(f"{sample_label(one)} {'X' if one.lost else one.insects}" for one in samples)
    return speech.say("counts.sums", sums=sums)


def one_sum_words(speech: Speech, samples: Sequence[Sample]) -> str:
    """Give samples by number, with one sum for them all: samples 1-3 6, sum 23."""
    numbers = number_list([one.number or 0 for one in samples])
    return speech.say("counts.one_sum", numbers=numbers, sum=sum(one.insects for one in samples))


def percent_words(share: Fraction) -> str:
    """Give a share in percent to two places, as densities are given: 12, 13.33."""
    return f"{float(round(share * 100, 2)):g}"


def phone_words(phone: str | None) -> str:
    """Give a phone number as people of its country write it: 270-555-0130; others in full."""
    if phone is None:
        return "-"
    if phone.startswith("+1") and len(phone) == 12:
        return f"{phone[2:5]}-{phone[5:8]}-{phone[8:]}"
    return phone
