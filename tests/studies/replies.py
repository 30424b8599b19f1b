"""The gallery: every reply as it is sent, told in English and in Spanish, on pages that can be read aloud.

`python -m tests.studies.replies` sends the cases of `fixtures/replies` by the real road and writes the pages
beside them: `en.md` and `es.md`, and with every problem `errors_en.md` and `errors_es.md`. It names on the
terminal the problems and wordings that no case shows yet, and ends with status 1 where there are any.
"""

import sys
import tomllib
from collections.abc import Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import cache
from itertools import chain, islice, repeat
from multiprocessing import get_context
from pathlib import Path
from string import Formatter

from parsing import LANGUAGES, Kind, fold, septets
from tests.studies.telling import GALLERY, TUESDAY, Step, Telling, groups_in, told

WORDING = Path(__file__).parent.parent.parent / "bot" / "wording"

CATALOGUED = ("refused", "parts")
"""The sections of the wording of which every sentence has a case."""

TITLES = {
    "en": ("What people are told", "What is wrong with a text"),
    "es": ("Lo que se le dice a la gente", "Lo que esta mal en un texto"),
}
ABOUT = {
    "en": "Made by `python -m tests.studies.replies` from `{folder}/`; change those files, not this page. "
    "What was texted stands first, what came of it below it: to whom, and its length in septets (160 is one text).",
    "es": "La hace `python -m tests.studies.replies` con lo de `{folder}/`; cambie eso, no esta pagina. "
    "Primero lo que se mando, abajo lo que resulto: a quien, y su largo en letras (160 es un texto).",
}
SAID = {
    "en": {
        "before": "Before",
        "strike": "the clock strikes",
        "silent": "nothing is sent",
        "not_yet": "NOT YET",
    },
    "es": {"before": "Antes", "strike": "da la hora", "silent": "no se manda nada", "not_yet": "TODAVIA NO"},
}


@cache
def tellings(folder: str, language: str) -> list[tuple[str, list[Telling]]]:
    """Give every case of a folder told in one language, by the titles of their groups; on every core there is."""
    groups = groups_in(folder)
    every = [case for _, cases in groups for case in cases]
    with ProcessPoolExecutor(mp_context=get_context("spawn")) as pool:
        told_ = iter(list(pool.map(told, every, repeat(language), chunksize=8)))
    return [(title[language], list(islice(told_, len(cases)))) for title, cases in groups]


def comes(telling: Telling, language: str) -> bool:
    """Tell whether the sentence that a case is there for stands in a text that it causes."""
    key = telling.case.wording
    pieces = None if key is None else _pieces(language, key)
    return key is None or (pieces is not None and any(_in_order(pieces, text) for _, text in telling.texts))


def _pieces(language: str, key: str) -> list[str] | None:
    """Give what a sentence of the wording always says, between what fills it; None where there is none."""
    section, name = key.split(".", 1)
    template = wording_of(language).get(section, {}).get(name)
    if template is None:
        return None
    return [_without_blanks(fold(literal)) for literal, *_ in Formatter().parse(template)]


def _in_order(pieces: Sequence[str], text: str) -> bool:
    text, begin = _without_blanks(text), 0
    for piece in pieces:
        found = text.find(piece, begin)
        if found < 0:
            return False
        begin = found + len(piece)
    return True


def _without_blanks(text: str) -> str:
    """Give a text without blanks: where a value is empty, a reply has one fewer than its wording."""
    return "".join(text.split())


@cache
def wording_of(language: str) -> dict[str, dict[str, str]]:
    """Give the wording of a language as its file has it."""
    return tomllib.loads((WORDING / f"{language}.toml").read_text(encoding="utf-8"))


def without_a_case() -> list[str]:
    """Give the problems and the catalogued wordings that no case of the errors is there for."""
    have = {case.wording for _, cases in groups_in("errors") for case in cases}
    wordings = [f"{section}.{name}" for section in CATALOGUED for name in wording_of("en")[section]]
    kinds = [f"refused.{kind.value}" for kind in Kind]
    return [key for key in dict.fromkeys((*kinds, *wordings)) if key not in have]


def not_yet(language: str) -> list[str]:
    """Give the cases of which the sentence does not come."""
    told_ = chain.from_iterable(one for _, one in tellings("errors", language))
    return [one.case.wording or "" for one in told_ if not comes(one, language)]


def page(folder: str, language: str) -> str:
    """Give a page of the gallery."""
    title = TITLES[language][folder == "errors"]
    lines = [f"# {title}", "", ABOUT[language].format(folder=folder), ""]
    for heading, told_ in tellings(folder, language):
        lines += [f"## {heading}", ""]
        for one in told_:
            lines += _as_lines(one, language)
    return "\n".join(lines).rstrip() + "\n"


def _as_lines(telling: Telling, language: str) -> list[str]:
    case, said = telling.case, SAID[language]
    lines = [f"### {case.title[language]}", ""]
    if language == "en":
        lines += [case.why, ""]
    if not comes(telling, language):
        lines += [f"**{said['not_yet']}: {case.wording}**", ""]
    if case.before:
        before = "; ".join(_step_words(step, telling.names, language) for step in case.before)
        lines += [f"{said['before']}: {before}", ""]
    for heading, happened in telling.parts:
        for one in happened:
            if one.step.text is None and not one.caused:
                continue
            said_first = f"{heading}. " if heading else ""
            lines.append(f"- {said_first}{_step_words(one.step, telling.names, language)}")
            lines += [f"  - {_text_words(sent, telling.names)}" for sent in one.caused]
            if not one.caused:
                lines.append(f"  - {said['silent']}")
    return [*lines, ""]


def _text_words(sent: tuple[str, str, str], names: Mapping[str, str]) -> str:
    """Give a text that was sent in words: Luis (67): `121 1 0. …`."""
    recipient, _, text = sent
    return f"{names.get(recipient, recipient)} ({septets(text)}): `{text}`"


def _step_words(step: Step, names: Mapping[str, str], language: str) -> str:
    """Give a step in words: Luis, 9:01: `121 1 FA2`."""
    day, at = step.at.split("T")
    when = f"{int(at[:2])}:{at[3:5]}" + ("" if day == TUESDAY else f" ({day})")
    if step.who is None or step.text is None:
        return f"{when}: {SAID[language]['strike']}"
    words = step.text[language].replace("\n", " / ")
    return f"{names.get(step.who, step.who.capitalize())}, {when}: `{words}`"


PAGES = {
    f"{prefix}{language}.md": (folder, language)
    for folder, prefix in (("cases", ""), ("errors", "errors_"))
    for language in LANGUAGES
}
"""The pages by the names of their files, each made from a folder in a language."""


def main() -> int:
    """Write the pages anew and name what is still missing; gives the status to end with."""
    for name, (folder, language) in PAGES.items():
        (GALLERY / name).write_text(page(folder, language), encoding="utf-8")
    missing = [f"no case: {key}" for key in without_a_case()]
    missing += [f"not said yet ({language}): {key}" for language in LANGUAGES for key in not_yet(language)]
    sys.stdout.write("".join(f"{line}\n" for line in missing))
    return 1 if missing else 0


if __name__ == "__main__":
    sys.exit(main())
