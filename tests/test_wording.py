"""What the replies say in both languages: the same templates, letters of one septet, fixed words."""

import re
import tomllib
from collections.abc import Callable, Iterable
from pathlib import Path
from string import Formatter

import pytest

from bot.rules import LIFE_STAGES, Method, Phase, Standing, Unit
from parsing import LANGUAGES, TEXT_SEPTETS, fits, fold, septets, shipped_words

BOT = Path(__file__).resolve().parent.parent / "bot"

Said = str | list[str]
Wording = dict[str, dict[str, Said]]


def wording_of(language: str) -> Wording:
    file = BOT / "wording" / f"{language}.toml"
    return tomllib.loads(file.read_text(encoding="utf-8"))


WORDINGS = {language: wording_of(language) for language in LANGUAGES}
ENGLISH, SPANISH = WORDINGS["en"], WORDINGS["es"]

WRITTEN = ("written", "mail")
"""What goes by e-mail, where a letter costs nothing and may be any letter."""

TEXTED = [section for section in ENGLISH if section not in WRITTEN]

MAY_BE_EMPTY = {("en", "standing_short")}
"""English says its standings short enough."""

THE_WORD_SHORT = {"site.status_short"}
"""A visit that SHORT ended, not a wording for little room."""

STARTED_BY_THE_MACHINE = ("notice", "alert", "digest", "plan", "hand_over")
FILLED_INTO_THEM = (
    "calendar",
    "targets",
    "units",
    "units_short",
    "standing",
    "standing_short",
    "stages",
    "words",
)
NAMES_A_STANDING = ("standing", "standing_short", *STARTED_BY_THE_MACHINE, "site", *WRITTEN)

# texts.md, What comes back: nobody is told to spray or treat, nothing is recommended.
ADVICE = {
    "en": re.compile(r"\b(spray|treat|recommend\w*|should)\b", re.IGNORECASE),
    "es": re.compile(
        r"\b(recom[ie]+nd\w*|debe\w*|deberi\w*|fumig(ue|uen|ar)|apli(que|quen|car))\b", re.IGNORECASE
    ),
}
# The same place: no field is said to be safe, clear or open, nobody is said to be free to enter.
CLEARANCE = {
    "en": re.compile(r"\b(safe\w*|clear\w*|(may|can) (enter|go in))\b", re.IGNORECASE),
    "es": re.compile(
        r"\b(a salvo|sin (peligro|riesgo)|despejad\w*|lote (seguro|libre|abierto)|pued\w* entrar)\b",
        re.IGNORECASE,
    ),
}
# Spanish "seguro" is both "certain" and "safe": it stands only where a count is certain.
CERTAIN_IN_SPANISH = {
    "standing.above_sure",
    "standing_short.above_sure",
    "site.state_certain",
    "alert.sure_after",
}
STANDING_WORDS = {
    "en": re.compile(r"\b(above|below|in range)\b", re.IGNORECASE),
    "es": re.compile(r"\b(arriba|abajo|en el rango)\b", re.IGNORECASE),
}


class Usual(dict[str, str]):
    """What usually stands in a place of a template; six letters where nothing is known of it."""

    def __missing__(self, place: str) -> str:
        return "abcdef"


USUAL = Usual(
    all="3", also="", before="3.22", before_day="Jul 6", code="SQ", codes="FA FN LA LN MP", columns="5",
    contact="270-555-0100", control="7", count="52", day="Jul 6", density="3.22", echo="121 3 FA2 LN3",
    emergency="911", field="12", field_name=" Gin Road West", free="7", growers="Opal Greer",
    hint="3 FA2 FN1", least="5", level="3", limit="40", n="6", name=" Gin Road", new="FA2", number="121",
    numbers="4", of="100", old="LA1 LN3", other="14", per="5 row ft", percent="12", phone="270-555-0111",
    planned="10", reasons="LN52 on 125: more than 40", sample="3", samples="64", samples_planned="84",
    season="Larkspur cotton", site="121", sites="3 of 3 sites.", sites_in="3", sites_planned="9", squares="",
    state="final", sum="12", told="Opal Greer", time="11:52 AM", was="", zeroed="",
)  # fmt: skip


def each_text(wording: Wording) -> list[tuple[str, str, str]]:
    """Every text of a language as (section, name, text); the months and days one by one."""
    return [
        (section, name, text)
        for section, said in wording.items()
        for name, one in said.items()
        for text in ([one] if isinstance(one, str) else one)
    ]


either_language = pytest.mark.parametrize("language", LANGUAGES)


def texts_where(
    language: str, holds: Callable[[str], object], sections: Iterable[str] | None = None
) -> set[str]:
    """The texts of a language, of some sections or of all, for which something holds: {"counts.done"}."""
    among = set(WORDINGS[language] if sections is None else sections)
    return {
        f"{section}.{name}"
        for section, name, text in each_text(WORDINGS[language])
        if section in among and holds(text)
    }


def text_at(language: str, key: str) -> str | None:
    """The template of a key, None where there is none."""
    section, name = key.split(".", 1)
    said = WORDINGS[language][section].get(name)
    return said if isinstance(said, str) else None


def places(text: str) -> set[str]:
    """What a template is filled with."""
    return {place for _, place, _, _ in Formatter().parse(text) if place is not None}


def bare(text: str, filling: str = "") -> str:
    """A template without its places."""
    return "".join(
        said + (filling if place is not None else "") for said, place, _, _ in Formatter().parse(text)
    )


def filled(text: str, **values: str) -> str:
    """A template as it is usually filled, folded as it will be sent."""
    return fold(text.format_map(Usual(USUAL | values)))


def spelt(text: str) -> str:
    """A text as a list of capital words between blanks, as opt-out words are compared."""
    return f" {' '.join(re.findall('[A-ZÑÜÉ0-9]+', fold(text).upper()))} "


def test_both_languages_have_the_same_sections_in_the_same_order() -> None:
    assert list(SPANISH) == list(ENGLISH)


@pytest.mark.parametrize("section", ENGLISH)
def test_both_languages_have_the_same_templates_in_a_section(section: str) -> None:
    names = {language: set(wording[section]) for language, wording in WORDINGS.items()}
    spoken = [said for language, said in names.items() if said or (language, section) not in MAY_BE_EMPTY]

    assert all(said == spoken[0] for said in spoken)


def test_every_short_standing_has_its_long_one_and_is_no_longer() -> None:
    for wording in WORDINGS.values():
        for name, short in wording["standing_short"].items():
            assert len(short) <= len(wording["standing"][name])
    assert set(SPANISH["standing_short"]) == set(SPANISH["standing"])


@pytest.mark.parametrize(
    ("section", "name"), [(section, name) for section, said in ENGLISH.items() for name in said]
)
def test_a_template_is_filled_with_the_same_in_both_languages(section: str, name: str) -> None:
    english, spanish = ENGLISH[section][name], SPANISH[section][name]

    if isinstance(english, str) and isinstance(spanish, str):
        assert places(spanish) == places(english)
    else:
        assert len(spanish) == len(english)


@either_language
def test_a_place_is_a_plain_name(language: str) -> None:
    def odd(text: str) -> bool:
        return any(
            place is not None and (not place.isidentifier() or form or conversion)
            for _, place, form, conversion in Formatter().parse(text)
        )

    assert not texts_where(language, odd)


@either_language
def test_every_letter_is_in_the_alphabet_of_a_text_as_it_stands(language: str) -> None:
    assert not texts_where(language, lambda text: fold(bare(text)) != bare(text), TEXTED)


@either_language
def test_every_template_leaves_room_in_one_text(language: str) -> None:
    assert not texts_where(language, lambda text: septets(bare(text)) >= TEXT_SEPTETS, TEXTED)


@either_language
def test_a_wording_with_nothing_shorter_fits_one_text_as_it_is_usually_filled(language: str) -> None:
    too_long = texts_where(language, lambda text: not fits(filled(text)), TEXTED)

    # What the machine starts cuts the field's name and leaves out who was told.
    barest = {"name": "", "told": "", "sites": ""}
    gives_way = texts_where(language, lambda text: fits(filled(text, **barest)), STARTED_BY_THE_MACHINE)
    has_a_shorter = {one for one in too_long if text_at(language, f"{one}_short")}
    assert not too_long - gives_way - has_a_shorter


@either_language
def test_a_short_wording_is_shorter_than_the_full_one(language: str) -> None:
    for section, name, text in each_text(WORDINGS[language]):
        if f"{section}.{name}_short" in THE_WORD_SHORT:
            continue
        short = text_at(language, f"{section}.{name}_short")
        assert short is None or len(filled(short)) < len(filled(text)), f"{section}.{name}_short"


@either_language
def test_what_the_machine_starts_holds_no_word_that_would_end_the_texts(language: str) -> None:
    def ends(text: str) -> bool:
        return any(f" {word} " in spelt(bare(text, " 0 ")) for word in shipped_words().opt_out)

    assert not texts_where(language, ends, STARTED_BY_THE_MACHINE + FILLED_INTO_THEM)


@either_language
def test_nobody_is_told_to_treat_a_field(language: str) -> None:
    assert not texts_where(language, ADVICE[language].search)


@either_language
def test_no_field_is_said_to_be_free_to_enter(language: str) -> None:
    assert not texts_where(language, CLEARANCE[language].search)


def test_in_spanish_only_a_count_is_certain() -> None:
    assert texts_where("es", re.compile("(?i)segur[oa]").search) == CERTAIN_IN_SPANISH


@either_language
def test_the_words_of_a_standing_stand_only_where_they_are_one(language: str) -> None:
    elsewhere = [section for section in WORDINGS[language] if section not in NAMES_A_STANDING]

    assert not texts_where(language, STANDING_WORDS[language].search, elsewhere)


# texts.md, What comes back: the words that stand fast.
@pytest.mark.parametrize(
    ("name", "english", "spanish", "spanish_short"),
    [
        ("above", "ABOVE", "ARRIBA DEL UMBRAL", "ARRIBA"),
        ("below", "BELOW", "ABAJO DEL UMBRAL", "ABAJO"),
        ("in range", "IN RANGE", "EN EL RANGO", "EN EL RANGO"),
        ("above_so_far", "ABOVE SO FAR", "ARRIBA DEL UMBRAL HASTA AHORA", "ARRIBA HASTA AHORA"),
        ("below_so_far", "BELOW SO FAR", "ABAJO DEL UMBRAL HASTA AHORA", "ABAJO HASTA AHORA"),
        ("in range_so_far", "IN RANGE SO FAR", "EN EL RANGO HASTA AHORA", "EN EL RANGO HASTA AHORA"),
        ("above_sure", "ABOVE FOR SURE", "ARRIBA DEL UMBRAL, YA SEGURO", "ARRIBA YA SEGURO"),
    ],
)
def test_a_standing_is_said_in_its_fixed_words(
    name: str, english: str, spanish: str, spanish_short: str
) -> None:
    assert ENGLISH["standing"][name] == english
    assert SPANISH["standing"][name] == spanish
    assert SPANISH["standing_short"][name] == spanish_short


@pytest.mark.parametrize(
    ("language", "section", "name", "words"),
    [
        ("en", "counts", "done", "DONE"),
        ("es", "counts", "done", "LISTO"),
        ("en", "counts", "send_squares", "SEND SQUARES"),
        ("es", "counts", "send_squares", "MANDE CUADROS"),
        ("en", "counts", "send_squares_short", "SEND SQUARES"),
        ("es", "counts", "send_squares_short", "MANDE CUADROS"),
        ("en", "counts", "send_stage", "SEND STAGE"),
        ("es", "counts", "send_stage", "MANDE ETAPA"),
        ("en", "counts", "send_stage_short", "SEND STAGE"),
        ("es", "counts", "send_stage_short", "MANDE ETAPA"),
        ("en", "phone", "stopped", "KEEP OUT"),
        ("es", "phone", "stopped", "NO ENTRE"),
        ("en", "phone", "stopped_short", "KEEP OUT"),
        ("es", "phone", "stopped_short", "NO ENTRE"),
        ("en", "notice", "opted_out", "KEEP OUT"),
        ("es", "notice", "opted_out", "NO ENTRE"),
    ],
)
def test_a_reply_holds_its_fixed_words(language: str, section: str, name: str, words: str) -> None:
    assert words in WORDINGS[language][section][name]


REFUSES = {
    "en": re.compile("(?i)nothing (is )?(stored|changed)|not (stored|changed)|neither is stored"),
    "es": re.compile("(?i)no (se guard|cambia)"),
}
REFUSES_NOTHING = {"refused.came_one", "refused.came_many", "refused.may_not_see"}


@either_language
def test_every_refusal_says_that_nothing_is_stored(language: str) -> None:
    silent = texts_where(language, lambda text: not REFUSES[language].search(text), ["refused"])

    assert silent == REFUSES_NOTHING


@either_language
def test_every_shipped_target_has_a_name_inside_a_sentence(language: str) -> None:
    shipped = tomllib.loads((BOT / "season_file" / "shipped.toml").read_text(encoding="utf-8"))
    names = WORDINGS[language]["targets"]

    for target in shipped["targets"]:
        name = names[target]
        assert isinstance(name, str)
        assert name == name.lower()


@either_language
def test_everything_that_the_rules_name_can_be_said(language: str) -> None:
    said = WORDINGS[language]

    assert set(Method) <= set(said["methods"])
    assert set(Unit) == set(said["units"]) == set(said["units_short"])
    assert set(LIFE_STAGES) == set(said["life_stages"])
    assert {phase.word for phase in Phase} <= set(said["stages"])
    for standing in Standing:
        assert {standing.value, f"{standing.value}_so_far"} <= set(said["standing"])


@either_language
def test_a_year_has_twelve_months_and_a_week_seven_days_each_its_own(language: str) -> None:
    calendar = WORDINGS[language]["calendar"]

    assert len(set(calendar["months"])) == 12
    assert len(set(calendar["days"])) == 7
