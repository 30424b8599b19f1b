"""The words that are understood, both languages together, read from one data file a language.

Spellings are folded as `tokens.fold` folds a text: capitals without accents. What a word means turns on
where it stands, so each concept is looked up by its place.
"""

import tomllib
from dataclasses import dataclass, field
from functools import cache
from importlib import resources

LANGUAGES = ("en", "es")


@dataclass(frozen=True, slots=True)
class Words:
    """Spelling to concept, by the place where a word may stand."""

    after_number: dict[str, str] = field(default_factory=dict)
    alone: dict[str, str] = field(default_factory=dict)
    opt_out: frozenset[str] = frozenset()
    greetings: frozenset[str] = frozenset()
    thanks: frozenset[str] = frozenset()
    inside: dict[str, str] = field(default_factory=dict)
    stages: dict[str, str] = field(default_factory=dict)
    prefixes: dict[str, str] = field(default_factory=dict)
    days: dict[str, str] = field(default_factory=dict)
    no_emergency: frozenset[str] = frozenset()
    hours: dict[str, str] = field(default_factory=dict)
    treated: dict[str, str] = field(default_factory=dict)
    languages: dict[str, str] = field(default_factory=dict)

    def beside_codes(self) -> frozenset[str]:
        """Give the single words that can stand where a code stands: after a site or sample number."""
        cries = (word for word, concept in self.alone.items() if concept == "emergency")
        return frozenset(word for word in (*self.after_number, *self.inside, *cries) if " " not in word)


def language_data(language: str) -> dict[str, dict[str, list[str]]]:
    """Give a language's data as its file has it: {section: {concept: [spellings]}}."""
    file = resources.files("parsing") / "languages" / f"{language}.toml"
    return tomllib.loads(file.read_text(encoding="utf-8"))


@cache
def shipped_words() -> Words:
    """Give the words of all languages that ship; all are understood from everybody."""
    data = {language: language_data(language) for language in LANGUAGES}

    def spelt(section: str) -> dict[str, str]:
        return {
            spelling: concept
            for sections in data.values()
            for concept, spellings in sections[section].items()
            for spelling in spellings
        }

    alone = {word: concept for word, concept in spelt("alone").items() if concept != "language"}
    return Words(
        after_number=spelt("after_number"),
        alone=alone,
        opt_out=frozenset(spelt("opt_out")),
        greetings=frozenset(word for word, concept in spelt("courtesy").items() if concept == "greeting"),
        thanks=frozenset(word for word, concept in spelt("courtesy").items() if concept == "thanks"),
        inside=spelt("inside"),
        stages=spelt("stage"),
        prefixes=spelt("prefix"),
        days=spelt("day"),
        no_emergency=frozenset(spelt("emergency")),
        hours=spelt("hours"),
        treated=spelt("treated"),
        languages={
            word: language for language, sections in data.items() for word in sections["alone"]["language"]
        },
    )


def spoken_in(words: str) -> str | None:
    """Give the one language that has these words (folded) among those that stand alone, None where it is unsure."""
    having = [
        language
        for language in LANGUAGES
        for section in ("alone", "opt_out")
        if any(words in spellings for spellings in language_data(language)[section].values())
    ]
    return having[0] if len(set(having)) == 1 else None
