"""The texts of the misread study: by plan and form, with what was said before they come.

Each file of `fixtures/studies/misread` but the season is one state of a day and the texts that are true in
it. `control` holds texts of the form with their control total; `asked` forms are such as the language asks
about at all times.
"""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bot.season_file import SeasonText, read_texts

FOLDER = Path(__file__).resolve().parent.parent.parent / "fixtures" / "studies" / "misread"
SEASON = FOLDER / "season.toml"


@dataclass(frozen=True, slots=True)
class Said:
    """Something that was said before: by whom (a key of the season), at what time of the day."""

    by: str
    at: str
    text: str


@dataclass(frozen=True, slots=True)
class TrueText:
    """A text as its sender meant it: its form, who sends it, whether a control total ends it, whether it is asked."""

    form: str
    sender: str
    text: str
    control: bool
    asked: bool


@dataclass(frozen=True, slots=True)
class Scene:
    """A state of a day under one plan, and the texts that come in it."""

    plan: str
    before: tuple[Said, ...]
    texts: tuple[TrueText, ...]


def season() -> SeasonText:
    """Give the season that the texts are about."""
    return read_texts(SEASON)


def scenes(most: int | None = None, longest: int | None = None) -> tuple[Scene, ...]:
    """Give every scene with its texts; at most so many texts in all, spread evenly over scenes and forms.

    Texts of more characters than `longest` are left out first.
    """
    read = tuple(_scene(path, longest) for path in sorted(FOLDER.glob("*.toml")) if path != SEASON)
    total = sum(len(scene.texts) for scene in read)
    if most is None or most >= total:
        return read
    taken = {place * total // most for place in range(most)}
    chosen, begin = [], 0
    for scene in read:
        texts = tuple(text for place, text in enumerate(scene.texts, begin) if place in taken)
        begin += len(scene.texts)
        if texts:
            chosen.append(Scene(scene.plan, scene.before, texts))
    return tuple(chosen)


def _scene(path: Path, longest: int | None) -> Scene:
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    before = tuple(Said(**said) for said in data["before"])
    texts = [text for form in data["form"] for text in _texts(form, data["sender"])]
    short = tuple(text for text in texts if longest is None or len(text.text) <= longest)
    return Scene(data["plan"], before, short)


def _texts(form: dict[str, Any], sender: str) -> Sequence[TrueText]:
    who, asked = form.get("sender", sender), form.get("asked", False)
    plain = [TrueText(form["name"], who, text, control=False, asked=asked) for text in form.get("texts", ())]
    total = [TrueText(form["name"], who, text, control=True, asked=asked) for text in form.get("control", ())]
    return plain + total
