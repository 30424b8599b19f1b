"""The examples of replies.md from the same counts: their figures, standings and next steps, in both languages."""

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest

from bot.replies import (
    Ahead,
    Around,
    CountsAnswer,
    Fixed,
    Stands,
    Waiting,
    counts_reply,
    first_fitting,
    fix_lead,
    refusal,
    speech,
    waiting_question,
)
from bot.rules import Field, Level, Method, Plan, SampleFacts, Stage, VisitFacts, site_standing
from parsing import Card, Form, Kind, Problem, Sample
from tests.test_replies import LARKSPUR, MORNING, one_text
from tests.test_rules_totals import BLOOM_2, make_level, make_plan

CODES = ("FA", "FN", "LA", "LN", "MP")
SHEETS = LARKSPUR.plans["sheets"]
GIN_ROAD, PUMP_HOUSE = LARKSPUR.fields[12], LARKSPUR.fields[14]
BOTH = pytest.mark.parametrize("language", ["en", "es"])


def coded(number: int, **found: int) -> Sample:
    """Give a sample sent with codes; what was not named is 0."""
    return Sample(number, Form.CODED, tuple((code, found.get(code, 0)) for code in CODES))


def packed(number: int, digits: str) -> Sample:
    """Give a sample sent packed, or as a lone 0."""
    form = Form.NOTHING if digits == "0" else Form.PACKED
    return Sample(number, form, tuple(zip(CODES, map(int, digits.zfill(5)), strict=True)))


def stands_with(
    field: Field,
    site: int,
    samples: list[Sample],
    *,
    plan: Plan = SHEETS,
    rows: tuple[Level, ...] = LARKSPUR.levels,
    stage: Stage = BLOOM_2,
) -> Stands:
    """Stand a site by all its samples, by the rows of the season."""
    facts = tuple(SampleFacts(one.number or 0, dict(one.counts), plan.each.amount) for one in samples)
    visit = VisitFacts(site, date(2027, 7, 6), plan, stage, rows, facts)
    return Stands(LARKSPUR, field, site, visit, site_standing(visit, None, alone=not field.several))


def holds(text: str, facts: dict[str, str], language: str) -> None:
    """Hold a reply to the facts of an example in its language, parted by bars."""
    one_text(text)
    assert [fact for fact in facts[language].split("|") if fact not in text] == [], text


@BOTH
def test_example_1a_first_sheet_of_a_visit(language: str) -> None:
    sample = coded(1, FA=2)
    answer = CountsAnswer((sample,), first=True)
    text = counts_reply(speech(language), stands_with(GIN_ROAD, 121, [sample]), answer)
    facts = {
        "en": "121 1 FA2.|Sheet, 3 row ft, black|1 of 10 in|Lygus 0 per 5 row ft, level 3: BELOW SO FAR",
        "es": "121 1 FA2.|Manta|negra|3 pies|Va 1 de 10|Lygus 0 por 5 pies|umbral 3: ABAJO|HASTA AHORA",
    }
    holds(text, facts, language)


@BOTH
def test_example_1_one_sheet(language: str) -> None:
    sample = coded(3, LA=1, LN=3)
    stands = stands_with(GIN_ROAD, 121, [coded(1, LN=1), coded(2), sample])
    text = counts_reply(speech(language), stands, CountsAnswer((sample,)))
    facts = {
        "en": "121 3 LA1 LN3.|3 of 10 in|Lygus 2.78 per 5 row ft, level 3: BELOW SO FAR",
        "es": "121 3 LA1 LN3.|Van 3 de 10|Lygus 2.78 por 5 pies|umbral 3: ABAJO|HASTA AHORA",
    }
    holds(text, facts, language)


@BOTH
def test_example_2_batch_of_ten_packed(language: str) -> None:
    digits = ["20010", "01004", "00130", "0", "10102", "0", "00120", "0", "00011", "00110"]
    batch = tuple(packed(number, said) for number, said in enumerate(digits, start=1))
    answer = CountsAnswer(batch, ahead=Ahead(next_site=123))
    text = counts_reply(speech(language), stands_with(GIN_ROAD, 121, list(batch)), answer)
    echo = "121 1 20010 2 01004 3 00130 4 0 5 10102 6 0 7 00120 8 0 9 00011 10 00110."
    facts = {
        "en": f"{echo}|DONE|10 of 10|Lygus 2 per 5 row ft, level 3: BELOW, a CLOSE CALL.",
        "es": f"{echo}|LISTO|10 de 10|Lygus 2 por 5 pies|umbral 3: ABAJO|MUY CERCA.",
    }
    holds(text, facts, language)


@BOTH
def test_example_3_finished_below(language: str) -> None:
    last = coded(10, LA=1, LN=1)
    stands = stands_with(GIN_ROAD, 121, [coded(1, LN=10), *map(coded, range(2, 10)), last])
    text = counts_reply(speech(language), stands, CountsAnswer((last,), ahead=Ahead(next_site=123)))
    facts = {
        "en": "121 10 LA1 LN1.|DONE, 10 of 10|Lygus 2 per 5 row ft, level 3: BELOW, a CLOSE CALL.|Next: 123",
        "es": "121 10 LA1 LN1.|LISTO, 10 de 10|Lygus 2 por 5 pies|umbral 3: ABAJO|MUY CERCA.|Sigue: 123",
    }
    holds(text, facts, language)


@BOTH
def test_example_4_finished_above(language: str) -> None:
    last = coded(10, LA=2, LN=3)
    stands = stands_with(GIN_ROAD, 123, [coded(1, LN=17), *map(coded, range(2, 10)), last])
    answer = CountsAnswer((last,), ahead=Ahead((125,), 125))
    text = counts_reply(speech(language), stands, answer)
    facts = {
        "en": "123 10 LA2 LN3.|DONE, 10 of 10|Lygus 3.67 per 5|ABOVE, a CLOSE CALL.|Field 12 needs 125|Next: 125",
        "es": "123 10 LA2 LN3.|LISTO, 10 de 10|Lygus 3.67 por 5 pies|umbral 3: ARRIBA|lote 12|Sigue: 125",
    }
    holds(text, facts, language)


@BOTH
def test_example_5a_certain_in_a_field_of_one_site(language: str) -> None:
    last = coded(6, LA=1, LN=4)
    stands = stands_with(PUMP_HOUSE, 14, [coded(1, LN=13), *map(coded, range(2, 6)), last])
    text = counts_reply(speech(language), stands, CountsAnswer((last,), ahead=Ahead(next_site=16)))
    facts = {
        "en": "14 6 LA1 LN4.|6 of 10 in|Lygus 5 per 5 row ft, level 3: ABOVE FOR SURE|You may go on to 16",
        "es": "14 6 LA1 LN4.|Van 6 de 10|Lygus 5 por 5 pies|umbral 3: ARRIBA|YA SEGURO|Puede seguir al 16",
    }
    holds(text, facts, language)


@BOTH
def test_example_5b_certain_in_a_field_of_several_sites(language: str) -> None:
    last = coded(6, LA=1, LN=4)
    stands = stands_with(GIN_ROAD, 125, [coded(1, LN=13), *map(coded, range(2, 6)), last])
    text = counts_reply(speech(language), stands, CountsAnswer((last,), ahead=Ahead(next_site=16)))
    facts = {
        "en": "125 6 LA1 LN4.|6 of 10 in|Lygus 5 per 5|level 3: ABOVE FOR SURE|Finish the 10|field 12|3 sites",
        "es": "125 6 LA1 LN4.|Van 6 de 10|Lygus 5 por 5|umbral 3: ARRIBA|YA SEGURO|las 10|lote 12|3 sitios",
    }
    holds(text, facts, language)
    assert "go on" not in text
    assert "seguir" not in text


AROUND = Around(121, 12, GIN_ROAD.sites, Card(CODES, 10, 40))


@BOTH
def test_example_7_wrong_number_of_counts(language: str) -> None:
    text = refusal(speech(language), Problem(Kind.WRONG_QUANTITY, (0, 1), "4", sample=4), AROUND)
    facts = {
        "en": "121 4: 4 counts came|5: FA FN LA LN MP|Nothing stored|121 4 and 5 counts|code",
        "es": "121 4: llegaron 4 numeros|5: FA FN LA LN MP|No se guardo nada|121 4 y 5 numeros|clave",
    }
    holds(text, facts, language)


@BOTH
def test_example_9_ambiguous(language: str) -> None:
    problem = Problem(Kind.COUNT_FIRST, (0, 1), "3 2 FA 1 FN", "3 FA2 FN1", 3)
    text = refusal(speech(language), problem, AROUND)
    facts = {
        "en": "121 3 2 FA 1 FN can be read two ways|Nothing stored|letters first|121 3 FA2 FN1",
        "es": "121 3 2 FA 1 FN se puede leer de dos modos|No se guardo nada|primero las letras|121 3 FA2 FN1",
    }
    holds(text, facts, language)


@BOTH
def test_example_10_a_sample_of_one_s_own_is_in_already(language: str) -> None:
    waiting = Waiting(coded(3, FA=2), replaces=coded(3, LA=1, LN=3), replaced_at=MORNING)
    text = first_fitting(*waiting_question(speech(language), LARKSPUR, 121, [waiting], 40))
    facts = {
        "en": "121 3 is in already|LA1 LN3 at 10:12|FA2|1 yes, 2 no|LA1 LN3 stays",
        "es": "121 3 ya estaba|LA1 LN3 a las 10:12|FA2|1 si, 2 no|queda LA1 LN3",
    }
    holds(text, facts, language)


@BOTH
def test_example_11_a_count_over_the_limit(language: str) -> None:
    waiting = Waiting(coded(4, LN=52), over=(("LN", 52),))
    text = first_fitting(*waiting_question(speech(language), LARKSPUR, 121, [waiting], 40))
    facts = {
        "en": "121 4 LN52|52 is more than 40|1 yes, 2 no|Not stored until you answer",
        "es": "121 4 LN52|52 pasa de 40|1 si, 2 no|No se guarda hasta que conteste",
    }
    holds(text, facts, language)


@BOTH
def test_example_30_in_range(language: str) -> None:
    # 25-30 per 100 terminals, Texas A&M AgriLife, Glasscock Co., 2019
    flea = make_level(target="fleahopper", method=Method.VISUAL, low=25, high=30, per=100)
    plan = replace(make_plan("FA FN LA LN MP", method=Method.VISUAL, each=Fraction(10)), sheet=None)
    last = coded(10, FA=3)
    field = replace(PUMP_HOUSE, number=35, sites=(35,))
    samples = [coded(1, FA=24), *map(coded, range(2, 10)), last]
    stands = stands_with(field, 35, samples, plan=plan, rows=(flea,))
    text = counts_reply(speech(language), stands, CountsAnswer((last,), ahead=Ahead(next_site=33)))
    facts = {
        "en": "35 10 FA3.|DONE, 10 of 10|Fleahopper 27 per 100 terminals, level 25-30: IN RANGE|Next: 33",
        "es": "35 10 FA3.|LISTO, 10 de 10|Pulga saltona 27 por 100 terminales, umbral 25-30: EN EL RANGO|Sigue: 33",
    }
    holds(text, facts, language)


@BOTH
def test_example_36_fix_done(language: str) -> None:
    now, was = coded(3, FA=1), coded(3, FA=2, LN=3)
    lead = fix_lead(speech(language), 121, [Fixed(now, was)])
    stands = stands_with(GIN_ROAD, 121, [coded(1, LN=1), coded(2), now])
    text = counts_reply(speech(language), stands, CountsAnswer((), lead=lead))
    facts = {
        "en": "121 3 is now FA1|was FA2 LN3|LN is 0|121 FIX 3 FA1 LN3|3 of 10 in|Lygus 0.56|level 3: BELOW SO FAR",
        "es": "121 3 queda FA1|era FA2 LN3|LN queda en 0|121 CAMBIA 3 FA1 LN3|Van 3 de 10|Lygus 0.56|umbral 3: ABAJO",
    }
    holds(text, facts, language)


@pytest.mark.parametrize(
    ("now", "gone"),
    [
        (packed(4, "10102"), "so LN is 0 now"),
        (coded(4), "so FA LN MP is 0 now"),
        (coded(4, FA=2, LN=1), "so MP"),
    ],
)
def test_a_correction_says_which_counts_went_to_0(now: Sample, gone: str) -> None:
    was = coded(4, FA=2, LN=3, MP=1)
    assert gone in fix_lead(speech("en"), 121, [Fixed(now, was)])[0]


@BOTH
def test_counts_too_large_to_pack_are_said_by_their_sums_in_the_end(language: str) -> None:
    batch = tuple(coded(number, FA=1000, FN=1000, LA=1000, LN=1000, MP=number) for number in range(1, 11))
    stands = stands_with(GIN_ROAD, 121, list(batch))
    text = counts_reply(speech(language), stands, CountsAnswer(batch))
    sums = ", ".join(f"{number} {4000 + number}" for number in range(1, 11))
    holds(text, {"en": f"121 sums {sums}.|ABOVE", "es": f"121 sumas {sums}.|ARRIBA"}, language)
