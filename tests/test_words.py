"""The words of both languages: the same concepts in each, and none so near another that a slip is a wish to stop."""

import tomllib
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path

import pytest

from parsing import (
    LANGUAGES,
    ChooseLanguage,
    Ground,
    OptIn,
    OptOut,
    Unreadable,
    one_letter_apart,
    one_press_apart,
    read,
    same_keys,
    shipped_words,
)
from parsing.tokens import fold
from parsing.words import language_data

SHIPPED = Path(__file__).resolve().parent.parent / "bot" / "season_file" / "shipped.toml"
WORDS = shipped_words()
DATA = {language: language_data(language) for language in LANGUAGES}
BARE = Ground(WORDS, cards={}, fields={}, codes=frozenset(), shares=frozenset(), largest_sample=10)

# texts.md, 4: with a number in front these are never an opt-out. CANCELA and END are the same words as
# CANCEL and STOP in the other spelling.
HELD_APART_BY_RULE = {"SEND", "FIX", "CANCEL", "FIN", "STOP", "CANCELA", "END"}

# standards.md, 5.3 has ALTO to stop and ALTA to start again; texts.md, 4 takes both lists whole.
START_WORD_BESIDE_STOP_WORD = {("ALTA", "ALTO")}

# standards.md, 5.3, folded as it says: no accents, no marks.
OPT_OUT = {
    "en": "STOP, STOPALL, STOP ALL, END, QUIT, CANCEL, UNSUBSCRIBE, REVOKE, OPT OUT, OPTOUT, REMOVE, REMOVE ME, "
    "PLEASE STOP, NO MORE, PLEASE OPT ME OUT",
    "es": "ALTO, PARAR, PARE, DETENER, DETENGAN, CANCELAR, CANCELA, BAJA, DAR DE BAJA, TERMINAR, FIN, SALIR, NO MAS, "
    "NO MAS MENSAJES, BASTA",
}
START = {"en": "START, UNSTOP", "es": "EMPIEZA, INICIO, COMENZAR, ALTA"}

# texts.md, 3 and 4: what each concept is called in Spanish.
SPANISH = {
    "fix": "CAMBIA",
    "undo": "BORRA",
    "move": "MUEVE",
    "short": "CORTA",
    "skip": "NO PUDE",
    "note": "NOTA",
    "wet": "MOJADO",
    "wind": "VIENTO",
    "squares": "CU, CUADROS",
    "nawf": "NAFB",
    "stage": "ETAPA",
    "each": "CADA",
    "check": "REVISA",
    "sprayed": "FUMIGADO, APLICADO",
    "spraying": "FUMIGANDO",
    "keep_out": "LETRERO, NO ENTRE",
    "open": "ABRE",
    "send": "MANDA",
    "wait": "ESPERA",
    "to": "A",
    "card": "TARJETA",
    "read": "LEIDO",
    "all": "TODO",
    "done": "LISTO, FIN",
}

# texts.md, 3 and 4: the prefixes.
PREFIXES = {
    "en": {"practice": "PRACTICE", "by": "BY", "check": "CHECK"},
    "es": {"practice": "PRUEBA, PRACTICA", "by": "POR", "check": "REVISA"},
}

# The names of the days, written out and by their first three letters (the calendar of each language).
DAY_NAMES = {
    "en": "MONDAY, TUESDAY, WEDNESDAY, THURSDAY, FRIDAY, SATURDAY, SUNDAY",
    "es": "LUNES, MARTES, MIERCOLES, JUEVES, VIERNES, SABADO, DOMINGO",
}
YESTERDAY = {"en": "YEST, YESTERDAY", "es": "AYER"}
DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def spellings() -> Iterator[tuple[str, str, str, str]]:
    """Give every spelling with its language, section and concept."""
    for language, sections in DATA.items():
        for section, concepts in sections.items():
            for concept, spelt in concepts.items():
                for spelling in spelt:
                    yield language, section, concept, spelling


def season_codes() -> dict[str, str]:
    """Give every code that ships and the target or share that it is of."""
    shipped = tomllib.loads(SHIPPED.read_text(encoding="utf-8"))
    columns = {code: key for key, target in shipped["targets"].items() for code in target["columns"]}
    return columns | {share["code"]: key for key, share in shipped["shares"].items()}


CODES = season_codes()


def test_both_languages_have_the_same_concepts_in_the_same_places() -> None:
    concepts = {
        language: {(section, concept) for section, concepts in sections.items() for concept in concepts}
        for language, sections in DATA.items()
    }

    assert concepts["en"] == concepts["es"]


def test_no_concept_is_without_a_word_and_none_has_a_word_twice() -> None:
    for language, sections in DATA.items():
        for section, concepts in sections.items():
            said = [spelling for spelt in concepts.values() for spelling in spelt]
            assert all(concepts.values()), (language, section)
            assert len(said) == len(set(said)), (language, section)


def test_every_spelling_is_folded_as_a_text_is() -> None:
    loose = [spelling for *_, spelling in spellings() if spelling != " ".join(fold(spelling).split())]

    assert loose == []


def test_a_word_means_the_same_in_both_languages_where_both_have_it() -> None:
    meant: dict[tuple[str, str], set[str]] = {}
    for _, section, concept, spelling in spellings():
        # the language chosen is told by the file that names it
        meant.setdefault((section, spelling), set()).add(concept)

    assert {word: concepts for word, concepts in meant.items() if len(concepts) > 1} == {}


@pytest.mark.parametrize("concept", SPANISH)
def test_the_spanish_words_are_those_of_the_text_language(concept: str) -> None:
    assert set(SPANISH[concept].split(", ")) <= set(DATA["es"]["after_number"][concept])


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_prefixes_are_those_of_the_text_language(language: str) -> None:
    spelt = {concept: ", ".join(words) for concept, words in DATA[language]["prefix"].items()}

    assert spelt == PREFIXES[language]


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_day_has_its_name_and_its_first_three_letters(language: str) -> None:
    known = DATA[language]["day"]

    assert set(known) == {*DAYS, "yesterday"}
    for day, name in zip(DAYS, DAY_NAMES[language].split(", "), strict=True):
        assert {name, name[:3]} <= set(known[day])
        assert all(name.startswith(spelling) for spelling in known[day])
    assert set(known["yesterday"]) == set(YESTERDAY[language].split(", "))


# What may stand before a text, and what it means there.
BEFORE_A_TEXT = sorted((WORDS.prefixes | WORDS.days).items())


@pytest.mark.parametrize(("one", "other"), list(combinations(BEFORE_A_TEXT, 2)), ids=str)
def test_prefixes_and_days_that_mean_different_things_have_keys_of_their_own(
    one: tuple[str, str], other: tuple[str, str]
) -> None:
    (word, meant), (beside, meant_beside) = one, other

    assert meant == meant_beside or not same_keys(word, beside)


def test_no_word_is_both_a_prefix_and_a_day() -> None:
    assert set(WORDS.prefixes) & set(WORDS.days) == set()


@pytest.mark.parametrize("word", sorted({*WORDS.prefixes, *WORDS.days}))
def test_no_prefix_and_no_day_stands_alone_or_is_a_kind_word(word: str) -> None:
    assert word not in {*WORDS.alone, *WORDS.languages, *WORDS.greetings, *WORDS.thanks}
    assert WORDS.after_number.get(word) in (None, "check")


@pytest.mark.parametrize("word", sorted({*WORDS.prefixes, *WORDS.days}))
def test_no_prefix_and_no_day_is_an_opt_out_word_or_has_its_keys(word: str) -> None:
    assert [stop for stop in WORDS.opt_out if word == stop or same_keys(word, stop)] == []


@pytest.mark.parametrize("code", sorted(CODES))
def test_a_code_that_ships_is_no_prefix_and_no_day(code: str) -> None:
    assert code not in {*WORDS.prefixes, *WORDS.days}


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_opt_out_word_as_a_whole_text_stops(language: str) -> None:
    words = OPT_OUT[language].split(", ")

    assert set(DATA[language]["opt_out"]["stop"]) == set(words)
    for word in words:
        for text in (word, word.lower(), f" {word.title()}! ", word.replace(" ", "-"), f"{word}.\n"):
            assert read(text, BARE) == OptOut(word), text


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_start_word_as_a_whole_text_starts_again(language: str) -> None:
    for word in START[language].split(", "):
        assert read(word.lower(), BARE) == OptIn()


@pytest.mark.parametrize(("word", "language"), [("English", "en"), ("Español", "es"), ("ESPANOL", "es")])
def test_a_language_is_chosen_by_its_own_name(word: str, language: str) -> None:
    assert read(word, BARE) == ChooseLanguage(language)


@pytest.mark.parametrize("word", sorted({*WORDS.after_number, *WORDS.inside} - HELD_APART_BY_RULE))
def test_no_word_after_a_number_is_an_opt_out_word_or_has_its_keys(word: str) -> None:
    assert [stop for stop in WORDS.opt_out if word == stop or same_keys(word, stop)] == []


@pytest.mark.parametrize(
    "word",
    sorted(
        {*WORDS.after_number, *WORDS.alone, *WORDS.languages, *WORDS.prefixes, *WORDS.days}
        - HELD_APART_BY_RULE
    ),
)
def test_no_word_becomes_an_opt_out_word_by_one_letter(word: str) -> None:
    near = [
        stop
        for stop in WORDS.opt_out
        if (one_letter_apart(word, stop) or one_press_apart(word, stop))
        and (word, stop) not in START_WORD_BESIDE_STOP_WORD
    ]

    assert near == []


def test_what_is_held_apart_by_rule_is_so_only_after_a_number() -> None:
    assert set(WORDS.alone) & HELD_APART_BY_RULE == set()
    assert set(WORDS.inside) & HELD_APART_BY_RULE == set()


@pytest.mark.parametrize("code", sorted(CODES))
def test_a_code_that_ships_has_the_keys_of_no_word_that_can_stand_beside_it(code: str) -> None:
    # SQ is the word for squares and the code of the share that they are
    beside = {word for word in WORDS.beside_codes() if WORDS.after_number.get(word) != CODES[code]}

    assert [word for word in beside | WORDS.opt_out if same_keys(code, word)] == []


@pytest.mark.parametrize("code", sorted(set(CODES) - {"FN"}))
def test_a_code_that_ships_is_no_letter_from_an_opt_out_word(code: str) -> None:
    # FN is held apart from FIN because a code never stands alone (texts.md, 4)
    assert [word for word in WORDS.opt_out if one_letter_apart(code, word)] == []


@pytest.mark.parametrize(("one", "other"), list(combinations(sorted(CODES), 2)))
def test_codes_that_ship_have_keys_of_their_own(one: str, other: str) -> None:
    assert not same_keys(one, other)
    assert not one_press_apart(one, other)


@pytest.mark.parametrize("code", sorted(CODES))
def test_a_code_that_ships_can_be_read_neither_as_a_number_nor_as_x(code: str) -> None:
    assert not set(code) <= set("OIL")
    assert not any(other + "X" == code for other in CODES)


KEEPS_PEOPLE_OUT = sorted(
    word for word, concept in WORDS.after_number.items() if concept in ("sprayed", "spraying", "keep_out")
)


@pytest.mark.parametrize("word", KEEPS_PEOPLE_OUT)
def test_a_word_that_keeps_people_out_is_never_lost_among_free_words(word: str) -> None:
    reading = read(f"Luis says {word.lower()} there", BARE)

    assert isinstance(reading, Unreadable)
    assert reading.treated
