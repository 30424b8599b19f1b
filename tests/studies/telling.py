"""The cases of the gallery, told: their texts sent by the real road in a season of one language."""

import re
import tempfile
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

from bot.season_file import read_texts
from parsing import LANGUAGES
from storage import Store
from tests.talk import SEASONS, Talk, talking

GALLERY = Path(__file__).parent.parent.parent / "fixtures" / "replies"
DATABASE = "talk.db"
"""The file that a talk keeps its database in."""

TUESDAY = "2027-07-06"
"""The day of a time that says no other; the day of `tests.talk`."""

NINE = f"{TUESDAY}T09:00"
A_MINUTE = timedelta(minutes=1)
SILENCE = timedelta(hours=2, minutes=1)
"""Just longer than a question waits for its answer."""

ANSWERS = {
    "en": ("Yes", "No", "Another text instead", "No answer for two hours"),
    "es": ("Si", "No", "Otro texto en vez de contestar", "Dos horas sin contestar"),
}


@dataclass(frozen=True, slots=True)
class Step:
    """Something that happens: a text in either language, or the clock striking where nobody texts."""

    at: str
    who: str | None = None
    text: Mapping[str, str] | None = None
    sent: str | None = None


@dataclass(frozen=True, slots=True)
class Case:
    """A case of the gallery.

    `before` is done and not shown, `says` is shown with all that comes of it. With `other` the last text is a
    question, told on four times: yes, no, this text instead, silence and then this text. `wording` is the key
    of the sentence that must come.
    """

    title: Mapping[str, str]
    why: str
    season: str
    replace: tuple[tuple[str, str], ...]
    before: tuple[Step, ...]
    says: tuple[Step, ...]
    other: Step | None
    wording: str | None


@dataclass(frozen=True, slots=True)
class Happened:
    """A step and the texts that it caused, each as (to, purpose, text)."""

    step: Step
    caused: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class Telling:
    """A case told in one language: parts with a heading each, the first with none."""

    case: Case
    parts: tuple[tuple[str, tuple[Happened, ...]], ...]
    names: Mapping[str, str]

    @property
    def texts(self) -> list[tuple[str, str]]:
        """Every text that left, as (purpose, text)."""
        return [
            (purpose, text)
            for _, happened in self.parts
            for one in happened
            for _, purpose, text in one.caused
        ]


def groups_in(folder: str) -> list[tuple[Mapping[str, str], list[Case]]]:
    """Give the groups of a folder of the gallery in the order of their files, each with its title."""
    groups = []
    for file in sorted((GALLERY / folder).glob("*.toml")):
        data = tomllib.loads(file.read_text(encoding="utf-8"))
        groups.append((data["title"], [_case(data, one) for one in data["case"]]))
    return groups


def _case(group: Mapping[str, Any], said: Mapping[str, Any]) -> Case:
    wording = said.get("wording")
    last = NINE
    before, last = _steps(said.get("before", []), last)
    says, last = _steps(said["says"], last)
    other, _ = _steps([said["other"]] if "other" in said else [], last)
    return Case(
        {language: said.get(language, wording) for language in LANGUAGES},
        said["why"],
        said.get("season", group.get("season", "talk.toml")),
        tuple((old, new) for old, new in said.get("replace", ())),
        before,
        says,
        next(iter(other), None),
        wording,
    )


def _steps(said: Sequence[Mapping[str, str]], last: str) -> tuple[tuple[Step, ...], str]:
    """Give the steps of a list; one without a time comes a minute after the one before it."""
    steps = []
    for one in said:
        last = _whole(one["at"]) if "at" in one else _later(last, A_MINUTE)
        text = {language: one.get(language, one.get("text", "")) for language in LANGUAGES}
        sent = _whole(one["sent"]) if "sent" in one else None
        steps.append(Step(last, one.get("who"), text if "who" in one else None, sent))
    return tuple(steps), last


def _whole(at: str) -> str:
    return at if "T" in at else f"{TUESDAY}T{at}"


def _later(at: str, by: timedelta) -> str:
    return (datetime.fromisoformat(at) + by).isoformat(timespec="minutes")


def told(case: Case, language: str) -> Telling:
    """Give a case told in one language: all its people have it, and text in it."""
    if case.other is None:
        happened, names, _ = _run(case, language, case.says)
        return Telling(case, (("", happened),), names)
    *_, asked = case.says
    other, who = case.other, asked.who
    assert who is not None
    soon, late = _later(asked.at, A_MINUTE), _later(asked.at, SILENCE)
    yes, no = (Step(soon, who, dict.fromkeys(LANGUAGES, answer)) for answer in "12")
    ways = ((yes,), (no,), (other,), (Step(late), Step(_later(late, A_MINUTE), other.who, other.text)))
    happened, names, at_the_question = _run(case, language, case.says)
    parts = [("", happened)]
    for heading, steps in zip(ANSWERS[language], ways, strict=True):
        happened, _, _ = _run(case, language, steps, at_the_question)
        parts.append((heading, happened))
    return Telling(case, tuple(parts), names)


def _run(
    case: Case, language: str, steps: Sequence[Step], goes_on: bytes | None = None
) -> tuple[tuple[Happened, ...], Mapping[str, str], bytes]:
    """Send the texts of a case; give what came of each step, the names by phone, and the database after them.

    Begins in a fresh database with what comes before, or in one in which something was said already.
    """
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / DATABASE
        file.write_bytes(_fresh_database() if goes_on is None else goes_on)
        with talking(Path(folder), case.season, *case.replace, *_in_language(case, language)) as talk:
            for step in case.before if goes_on is None else ():
                _do(talk, step, language)
            happened = tuple(Happened(step, _do(talk, step, language)) for step in steps)
            names = {one.phone: one.first_name for one in talk.hand.season.people.values() if one.phone}
        return happened, names, file.read_bytes()


@cache
def _fresh_database() -> bytes:
    """Give a database without a season: it takes longer to make one than to tell a case in it."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / DATABASE
        Store(f"sqlite:///{file}").close()
        return file.read_bytes()


def _in_language(case: Case, language: str) -> Iterator[tuple[str, str]]:
    """Give the replacement that makes one language everybody's: the whole season, told anew."""
    season = read_texts(SEASONS / case.season).season
    for old, new in case.replace:
        assert old in season, old
        season = season.replace(old, new)
    anew = re.sub(r"(?m)^language = .*\n", "", season)
    yield season, re.sub(r"(?m)^roles = .*$", rf'\g<0>\nlanguage = "{language}"', anew)


def _do(talk: Talk, step: Step, language: str) -> tuple[tuple[str, str, str], ...]:
    if step.who is None or step.text is None:
        caused = talk.strikes(step.at)
    else:
        caused = talk.says(step.who, step.at, step.text[language], sent=step.sent)
    return tuple((one["to"], one["purpose"], one["text"]) for one in caused)
