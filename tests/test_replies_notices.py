"""Alerts, what takes them back, reminders and notices: one text each, and what never gives way in them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.replies import (
    Crossed,
    Speech,
    alert_text,
    back_below_text,
    corrected_text,
    crossing_notice,
    density_number,
    level_words,
    reminder_text,
    speech,
    target_words,
    waits_notice,
)
from bot.rules import (
    Effort,
    Field,
    FieldFigures,
    FieldState,
    Judgement,
    Method,
    SquaresOn,
    Standing,
    Unit,
    judge,
    marks_in_force,
)
from tests.test_replies import (
    LARKSPUR,
    WORDS,
    columns_known,
    languages,
    levels_for,
    many,
    names,
    one_text,
)

TODAY, BEFORE = date(2027, 9, 28), date(2027, 9, 21)
CONTACT = "270-555-0100"


@dataclass(frozen=True, slots=True)
class Told:
    """Targets of one field that crossed with one text, and the language in which it is told."""

    speech: Speech
    crossed: tuple[Crossed, ...]

    @property
    def first(self) -> Crossed:
        return self.crossed[0]


@st.composite
def told(draw: st.DrawFn) -> Told:
    """Draw a field with any name, of 1 to 9 sites, and one to three targets that stand above."""
    several = draw(st.booleans())
    number = draw(st.integers(31, 999 if several else 9999))
    last = draw(st.integers(2, 9)) if several else 0
    sites = tuple(number * 10 + digit for digit in range(1, last + 1)) or (number,)
    field = Field(
        number=number,
        name=draw(names),
        sites=sites,
        growers=(),
        scouts=(),
        supervisors=(),
        row_spacing_in=Fraction(38),
        plans=((None, "plan"),),
    )
    squares = draw(st.none() | st.integers(0, 101).map(lambda on: SquaresOn(on, 101)))
    state = draw(st.sampled_from([FieldState.FINAL, FieldState.CERTAIN]))
    keys = draw(st.lists(st.sampled_from(list(LARKSPUR.targets)), min_size=1, max_size=3, unique=True))
    method = draw(st.sampled_from(Method))
    crossed = []
    for key in keys:
        level = draw(levels_for(key, columns_known, method))
        low, high = marks_in_force(level, squares)
        density = high * Fraction(draw(st.integers(1000, 20_000)), 1000)
        judged = Judgement(Standing.ABOVE, None, low, high)
        sites_in = draw(st.integers(0, len(sites)))
        figures = FieldFigures(
            level, key, method, sites_in, len(sites), density, level.per, judged, certain=True
        )
        crossed.append(Crossed(LARKSPUR, field, TODAY, figures, state, squares, 9, 30))
    return Told(draw(languages), tuple(crossed))


def names_its_target(text: str, said: Speech, crossed: Crossed) -> bool:
    """Tell whether a text says a target by its name or its codes."""
    key = crossed.figures.target
    return any(target_words(said, LARKSPUR, key, codes=codes) in text for codes in (False, True))


@many
@given(case=told(), kind=st.sampled_from(["above", "still_above"]))
def test_an_alert_is_one_text_with_all_that_it_must_hold(case: Told, kind: str) -> None:
    said, first = case.speech, case.first
    text = alert_text(said, case.crossed, kind)
    one_text(text)
    assert text.startswith(str(first.field.number))
    assert said.short_date(TODAY) in text
    assert WORDS[said.language][Standing.ABOVE] in text
    assert level_words(first.figures.judged) in text
    if kind == "still_above" or first.state is FieldState.FINAL:
        assert f" {density_number(first.figures)} " in text
    assert all(names_its_target(text, said, one) for one in case.crossed)
    promised = {
        "en": ["Your call with your adviser; label and local rules first.", "OK = I read it"],
        "es": ["Usted y su asesor deciden; etiqueta y regla local primero.", "OK = leido"],
    }
    assert all(words in text for words in promised[said.language])


@many
@given(case=told())
def test_back_below_is_one_text_that_says_nothing_of_entering(case: Told) -> None:
    text = back_below_text(case.speech, case.first, "1234.56", BEFORE)
    one_text(text)
    assert text.startswith(str(case.first.field.number))
    for words in (WORDS[case.speech.language][Standing.BELOW], "1234.56", case.speech.short_date(BEFORE)):
        assert words in text
    assert density_number(case.first.figures) in text


@many
@given(case=told(), known=st.booleans(), why=st.sampled_from(["count", "later"]))
def test_a_corrected_alert_is_one_text_with_a_number_to_call(case: Told, *, known: bool, why: str) -> None:
    text = corrected_text(case.speech, case.first, "1234.56", CONTACT, known=known, why=why)
    one_text(text)
    first = {"en": "CORRECTED", "es": "CORREGIDO"}[case.speech.language]
    assert text.startswith(f"{first} {case.first.field.number}")
    assert CONTACT in text
    assert "1234.56" in text or (known and why == "later")
    assert density_number(case.first.figures) in text or not known
    assert (WORDS[case.speech.language][Standing.ABOVE] in text) is known


@many
@given(case=told())
def test_a_reminder_is_one_text_with_what_the_alert_said(case: Told) -> None:
    said, first = case.speech, case.first
    figure, level = density_number(first.figures), level_words(first.figures.judged)
    target = target_words(said, LARKSPUR, first.figures.target, codes=False)
    standing = said.say("standing.above")
    text = reminder_text(said, first.field, TODAY, "11:52 AM", figure, level, standing, target, CONTACT)
    one_text(text)
    for words in (str(first.field.number), "11:52 AM", target, figure, level, standing, CONTACT, "OK"):
        assert words in text


@many
@given(case=told(), growers=st.lists(names, max_size=3))
def test_a_notice_of_a_crossing_is_one_text(case: Told, growers: list[str]) -> None:
    said, first = case.speech, case.first
    firsts = [name.split()[0] for name in growers]
    who = said.say("notice.told", names=said.names(firsts)) if firsts else said.say("notice.told_nobody")
    words = WORDS[said.language]
    stands = {
        "above": Standing.ABOVE,
        "still_above": Standing.ABOVE,
        "in_range": Standing.IN_RANGE,
        "back_below": Standing.BELOW,
    }
    for kind, standing in stands.items():
        text = crossing_notice(said, first, kind, who, said.say("site.state_certain"))
        one_text(text)
        assert text.startswith(str(first.field.number))
        assert words[standing] in text
        assert density_number(first.figures) in text


@many
@given(case=told(), growers=st.lists(names, min_size=1, max_size=3), scout=names)
def test_a_notice_that_an_alert_waits_is_one_text_with_its_first_reason(
    case: Told, growers: list[str], scout: str
) -> None:
    said, first = case.speech, case.first
    reasons = [
        said.say("notice.reason_over", what="LN1052, 1234 29", limit=40),
        said.say("notice.reason_assigned", name=scout.split()[0]),
        said.say("notice.reason_left_out", sites="1231 1233 1235"),
        said.say("notice.reason_reviewed"),
        said.say("notice.reason_question"),
    ]
    text = waits_notice(said, first, reasons, said.names(growers))
    one_text(text)
    waits = {"en": "WAITS", "es": "ESPERA"}[said.language]
    for words in (str(first.field.number), WORDS[said.language][Standing.ABOVE], waits, "LN1052, 1234 29"):
        assert words in text


# The examples of replies.md, from the same counts: 3.22 is 58 bugs on three sites of 30 row feet

GIN_ROAD = LARKSPUR.fields[12]
PUMP_HOUSE = LARKSPUR.fields[14]
JUL_6, JUL_12 = date(2027, 7, 6), date(2027, 7, 12)


def lygus(
    field: Field, bugs: Sequence[int], day: date = JUL_6, *, certain_after: int | None = None
) -> Crossed:
    """Give a field at 3 lygus per 5 row feet, from the bugs on each of its sites of ten sheets."""
    level = next(level for level in LARKSPUR.levels if level.id == "plantbug-bloom-sheet")
    density = Fraction(sum(bugs) * 5, 30 * len(bugs))
    judged = judge(level, density, None, None)
    sites = len(field.sites)
    sites_in = 0 if certain_after else sites
    state = FieldState.CERTAIN if certain_after else FieldState.FINAL
    figures = FieldFigures(
        level,
        "lygus",
        Method.BEAT_SHEET,
        sites_in,
        sites,
        density,
        level.per,
        judged,
        certain=True,
        least=density,
    )
    return Crossed(LARKSPUR, field, day, figures, state, None, certain_after or 10, 10)


def holds(text: str, *facts: str) -> None:
    one_text(text)
    assert [fact for fact in facts if fact not in text] == [], text


@pytest.mark.parametrize(
    ("language", "facts"),
    [
        ("en", "12 Gin Road West|Jul 6|lygus 3.22 per 5 row ft, level 3: ABOVE|3 of 3 sites|OK = I read it"),
        ("es", "12 Gin Road West|6 jul|lygus 3.22 por 5 pies|umbral 3: ARRIBA|3/3 sitios|OK = leido"),
    ],
)
def test_example_21_alert_to_a_grower(language: str, facts: str) -> None:
    holds(alert_text(speech(language), [lygus(GIN_ROAD, [20, 19, 19])], "above"), *facts.split("|"))


@pytest.mark.parametrize(
    ("language", "facts"),
    [
        (
            "en",
            "14 Pump House, Jul 6|lygus ABOVE level 3 per 5 row ft|sure after 6 of 10|adviser|OK = I read it",
        ),
        (
            "es",
            "14 Pump House, 6 jul|lygus ARRIBA DEL UMBRAL 3 por 5 pies|seguro con 6 de 10|asesor|OK = leido",
        ),
    ],
)
def test_example_21b_alert_that_is_certain_with_one_site(language: str, facts: str) -> None:
    crossed = lygus(PUMP_HOUSE, [18], certain_after=6)
    holds(alert_text(speech(language), [crossed], "above"), *facts.split("|"))


@pytest.mark.parametrize(
    ("language", "facts"),
    [
        (
            "en",
            "CORRECTED 12 Gin Road West, Jul 6|lygus is 2.56 per 5|level 3: BELOW, not 3.22|270-555-0100|OK = I read",
        ),
        (
            "es",
            "CORREGIDO 12 Gin Road West, 6 jul|lygus es 2.56 por 5|umbral 3: ABAJO|no 3.22|270-555-0100|OK = leido",
        ),
    ],
)
def test_example_22_corrected_alert(language: str, facts: str) -> None:
    crossed = lygus(GIN_ROAD, [16, 15, 15])
    holds(
        corrected_text(speech(language), crossed, "3.22", CONTACT, known=True, why="count"), *facts.split("|")
    )


@pytest.mark.parametrize(
    ("language", "facts"),
    [
        (
            "en",
            "12 Gin Road West, Jul 12|lygus 1.44 per 5 row ft, level 3|back BELOW (3.22 on Jul 6)|entering",
        ),
        ("es", "12 Gin Road West, 12 jul|lygus 1.44 por 5 pies|umbral 3|otra vez ABAJO|3.22 el 6 jul|entrar"),
    ],
)
def test_example_23_back_below(language: str, facts: str) -> None:
    crossed = lygus(GIN_ROAD, [9, 9, 8], JUL_12)
    holds(back_below_text(speech(language), crossed, "3.22", JUL_6), *facts.split("|"))


@pytest.mark.parametrize(
    ("language", "clock", "facts"),
    [
        (
            "en",
            "11:52 AM",
            "12 Gin Road West, Jul 6|11:52 AM|lygus 3.22, level 3: ABOVE|no OK yet|270-555-0100",
        ),
        ("es", "11:52 am", "12 Gin Road West, 6 jul|11:52 am|lygus 3.22, umbral 3: ARRIBA|OK|270-555-0100"),
    ],
)
def test_example_24_reminder(language: str, clock: str, facts: str) -> None:
    said = speech(language)
    standing = said.say("standing.above")
    text = reminder_text(said, GIN_ROAD, JUL_6, clock, "3.22", "3", standing, "lygus", CONTACT)
    holds(text, *facts.split("|"))


def test_a_second_target_goes_along_in_full_or_by_its_name_alone() -> None:
    flea = lygus(PUMP_HOUSE, [24])
    both = [lygus(PUMP_HOUSE, [20]), Crossed(LARKSPUR, PUMP_HOUSE, JUL_6, flea.figures, flea.state, None)]
    text = alert_text(speech("en"), both, "above")
    holds(text, "14", "3.33", "level 3: ABOVE", "+ lygus")


@pytest.mark.parametrize(
    ("language", "one", "ten"),
    [("en", "1 plant", "10 plants"), ("es", "1 planta", "10 plantas")],
)
def test_one_plant_is_one_plant(language: str, one: str, ten: str) -> None:
    said = speech(language)
    assert said.effort(Effort(Fraction(1), Unit.PLANTS)) == one
    assert said.effort(Effort(Fraction(10), Unit.PLANTS)) == ten
