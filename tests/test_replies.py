"""Replies that fit one text by construction, whatever the names, counts and levels; and what never gives way."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from fractions import Fraction
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.replies import (
    Ahead,
    CountsAnswer,
    Fixed,
    NotStored,
    Speech,
    Stands,
    Waiting,
    counts_reply,
    dropped_note,
    elsewhere_question,
    first_fitting,
    fix_lead,
    part_refused,
    rival_question,
    site_question,
    speech,
    waiting_question,
    way_to_send,
)
from bot.rules import (
    LIFE_STAGES,
    Column,
    Effort,
    Field,
    Level,
    Method,
    Needs,
    Plan,
    Retention,
    RetentionRule,
    SampleFacts,
    Season,
    SquaresOn,
    Standing,
    VisitFacts,
    site_standing,
)
from bot.season_file import read_season, read_texts
from parsing import TEXT_SEPTETS, Form, Kind, Problem, Sample, ShareFound, counts_in_codes, fits, septets
from tests.test_rules_totals import BLOOM_2, UNIT_OF, make_level

SEASONS = Path(__file__).parent.parent / "fixtures" / "seasons"


def larkspur() -> Season:
    season = read_season(read_texts(SEASONS / "larkspur.toml"))
    assert isinstance(season, Season)
    return season


LARKSPUR = larkspur()
"""The season of the examples; its targets are those that ship, and the boll weevil."""

MORNING = datetime(2027, 7, 6, 10, 12, tzinfo=UTC)

WORDS = {
    "en": {
        Standing.ABOVE: "ABOVE",
        Standing.BELOW: "BELOW",
        Standing.IN_RANGE: "IN RANGE",
        Standing.UNKNOWN: "not known",
    },
    "es": {
        Standing.ABOVE: "ARRIBA",
        Standing.BELOW: "ABAJO",
        Standing.IN_RANGE: "EN EL RANGO",
        Standing.UNKNOWN: "no se sabe",
    },
}
"""The fixed words of a standing: texts.md section 5."""

KNOWN = (Standing.ABOVE, Standing.BELOW, Standing.IN_RANGE)

FORBIDDEN = re.compile(
    r"\b(spray\w*|treat\w*|recommend\w*|should|safe|clear|fumig\w*|apli[cq]\w*|recom[ie]+nd\w*|deberia)\b",
    re.IGNORECASE,
)
"""No text tells the reader to spray or treat, recommends, or says of a field that it is safe or clear."""

languages = st.sampled_from(["en", "es"]).map(speech)
names = (
    st.text(alphabet="abcdegiloruyáéíóúñüçABENÁÉÑ'- ", min_size=1, max_size=60)
    .map(lambda name: " ".join(name.split()))
    .filter(bool)
)
columns_known = [column for target in LARKSPUR.targets.values() for column in target.columns]


def one_text(text: str) -> None:
    """Hold a reply to what all of them must be."""
    assert text.strip() == text
    assert text
    assert septets(text) <= TEXT_SEPTETS, f"{septets(text)} septets: {text}"
    assert fits(text)
    assert not FORBIDDEN.search(text), text


@dataclass(frozen=True, slots=True)
class Case:
    """A site after a text: what was stored by it, and how the site stands."""

    speech: Speech
    stands: Stands
    stored: tuple[Sample, ...]


counts_digits = st.integers(0, 9) | st.integers(0, 9999)


@st.composite
def samples_of(draw: st.DrawFn, codes: Sequence[str], numbers: Sequence[int]) -> tuple[Sample, ...]:
    """Draw samples of some numbers in any forms, extras beside the card among them."""
    others = [column.code for column in columns_known if column.code not in codes]
    drawn = []
    for number in numbers:
        form: Form = draw(st.sampled_from(Form))
        if form is Form.PACKED and len(codes) < 3:
            form = Form.DIGITS
        match form:
            case Form.NOTHING:
                drawn.append(Sample(number, form, tuple((code, 0) for code in codes)))
            case Form.LOST:
                drawn.append(Sample(number, form))
            case Form.PACKED:
                drawn.append(Sample(number, form, tuple((code, draw(st.integers(0, 9))) for code in codes)))
            case Form.DIGITS:
                counts = tuple((code, draw(st.none() | counts_digits)) for code in codes)
                drawn.append(Sample(number, form, counts))
            case Form.CODED:
                counts = tuple((code, draw(st.none() | counts_digits)) for code in codes)
                extra = draw(st.lists(st.sampled_from(others), max_size=2, unique=True))
                extras = tuple((code, draw(counts_digits)) for code in extra)
                drawn.append(Sample(number, form, counts, extras))
            case Form.SHARES:
                n, of = sorted((draw(st.integers(0, 9999)), draw(st.integers(1, 9999))))
                drawn.append(Sample(number, form, shares=(ShareFound("BH", n, of),)))
    return tuple(drawn)


@st.composite
def numbers_up_to(draw: st.DrawFn, planned: int, *, scattered: bool) -> list[int]:
    """Draw the numbers of the samples of a text: any of the plan's, or a run as a batch has them."""
    if scattered:
        some = st.lists(st.integers(1, planned), min_size=1, max_size=planned, unique=True)
        return sorted(draw(some))
    first = draw(st.integers(1, planned))
    return list(range(first, draw(st.integers(first, planned)) + 1))


@st.composite
def levels_for(draw: st.DrawFn, target: str, columns: Sequence[Column], method: Method) -> Level:
    """Draw a row for a target: a number or a range, with or without a retention rule."""
    low = Fraction(draw(st.integers(1, 400)), draw(st.sampled_from([1, 2, 4, 10])))
    high = low + draw(st.sampled_from([0, 0, 1, 5]))
    rule = draw(st.none() | st.sampled_from(RetentionRule))
    stages = {column.life_stage for column in columns if column.target == target}
    return make_level(
        f"{target}-row",
        target=target,
        method=method,
        count={stage: Fraction(1) for stage in LIFE_STAGES if stage in stages},
        stages=draw(st.sampled_from([(), ("bloom",)])),
        low=low,
        high=high,
        per=draw(st.sampled_from([1, 5, 100])),
        retention=Retention(Fraction(80), inclusive=False, rule=rule) if rule else None,
    )


@st.composite
def cases(draw: st.DrawFn, *, most_levels: int = 3, scattered: bool = True) -> Case:
    """Draw a site after a text: any card of 1 to 8 columns, up to 30 samples, any counts, up to three levels."""
    columns = draw(st.lists(st.sampled_from(columns_known), min_size=1, max_size=8, unique=True))
    codes = [column.code for column in columns]
    method = draw(st.sampled_from(Method))
    planned = draw(st.integers(1, 30))
    plan = Plan(
        key="plan",
        method=method,
        samples=planned,
        each=Effort(Fraction(draw(st.sampled_from([1, 3, 25]))), UNIT_OF[method]),
        card=tuple(columns),
        ask_above=9999,
        least=-(-planned // 2),
        every_days=7,
        hoop_in=Fraction(15) if method is Method.SWEEP_NET else None,
        sheet="black" if method is Method.BEAT_SHEET else None,
    )
    number = draw(st.integers(31, 999))
    several = draw(st.booleans())
    sites = tuple(number * 10 + last for last in (1, 3, 5)) if several else (number,)
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
    numbers = draw(numbers_up_to(planned, scattered=scattered))
    stored = draw(samples_of(codes, numbers))
    before = draw(st.booleans())
    facts = [
        SampleFacts(sample.number or 0, dict(sample.counts), plan.each.amount, lost=sample.lost)
        for sample in stored
    ]
    facts += [
        SampleFacts(one, dict.fromkeys(codes, 7), plan.each.amount)
        for one in range(1, planned + 1)
        if before and one not in numbers
    ]
    targets = list(dict.fromkeys(column.target for column in columns))[:most_levels]
    rows = tuple(draw(levels_for(target, columns, method)) for target in targets)
    visit = VisitFacts(
        site=sites[0],
        day=date(2027, 7, 6),
        plan=plan,
        stage=draw(st.sampled_from([None, BLOOM_2])),
        rows=rows,
        samples=tuple(facts),
        short=draw(st.booleans()),
    )
    squares = draw(st.none() | st.integers(0, 100).map(lambda on: SquaresOn(on, 100)))
    figures = site_standing(visit, squares, alone=not several)
    return Case(draw(languages), Stands(LARKSPUR, field, sites[0], visit, figures), stored)


def runs_in(text: str) -> set[int]:
    """Give the numbers of every run that a text draws together: 8-10."""
    runs = re.findall(r"([0-9]+)-([0-9]+)", text)
    return {number for first, last in runs for number in range(int(first), int(last) + 1)}


def numbers_in(text: str, site: int) -> set[int]:
    """Give every number of the reply's first sentence, runs drawn out, after the site."""
    assert text.startswith(f"{site} "), text
    said = text[len(str(site)) + 1 : text.index(".")]
    return {int(one) for one in re.findall(r"(?<![A-Z0-9])[0-9]+(?![0-9])", said)} | runs_in(said)


def says_its_standings(text: str, case: Case) -> None:
    """Hold a reply to the standings of its figures, and to no other standing's word."""
    words = WORDS[case.speech.language]
    visit, figures = case.stands.visit, case.stands.figures
    if visit.too_short and all(one.judged.needs is Needs.SAMPLES for one in figures):
        return
    stands = {one.standing for one in figures if one.density is not None}
    assert {one for one in KNOWN if words[one] in text} == stands - {Standing.UNKNOWN}, text
    assert Standing.UNKNOWN not in stands or words[Standing.UNKNOWN] in text, text


many = settings(
    max_examples=100,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.large_base_example],
)


@many
@given(case=cases(), first=st.booleans(), next_site=st.none() | st.integers(31, 9999))
def test_a_reply_to_counts_is_one_text_with_its_samples_and_its_standings(
    case: Case, *, first: bool, next_site: int | None
) -> None:
    rest = case.stands.field.sites[1:]
    answer = CountsAnswer(case.stored, first=first, ahead=Ahead(rest, next_site))
    text = counts_reply(case.speech, case.stands, answer)
    one_text(text)
    assert {sample.number for sample in case.stored} <= numbers_in(text, case.stands.site)
    says_its_standings(text, case)


@many
@given(case=cases(scattered=False), data=st.data())
def test_what_else_a_reply_says_finds_room_beside_the_counts(case: Case, data: st.DataObject) -> None:
    said, site = case.speech, case.stands.site
    supervisor = data.draw(names).split()[0]
    tail = tuple(
        said.say(f"counts.not_assigned{short}", site=site, supervisor=supervisor) for short in ("", "_short")
    )
    columns = len(case.stands.visit.plan.codes)
    dropped = dropped_note(said, site, [31, 32])
    second_site = Problem(Kind.SECOND_SITE, (0, 1), "123 1 FA2 LN10 / 2 FA3 LN12 / 3 FA22 / 4 LN33")
    numbers = data.draw(st.lists(st.integers(31, 60), min_size=1, max_size=20, unique=True))
    unread = [Problem(Kind.UNKNOWN_CODE, (0, 1), "ZZ", sample=number) for number in numbers]
    refused = [
        NotStored(problem.sample, part_refused(said, problem, columns)) for problem in (second_site, *unread)
    ]
    answers = [
        CountsAnswer(case.stored, first=True, tail=tail, notes=(dropped,)),
        CountsAnswer(case.stored, not_stored=tuple(refused[:1])),
        CountsAnswer(case.stored, not_stored=tuple(refused[1:])),
    ]
    for answer in answers:
        text = counts_reply(said, case.stands, answer)
        one_text(text)
        assert {sample.number for sample in case.stored} <= numbers_in(text, site)
        says_its_standings(text, case)
        if answer.notes or answer.not_stored:
            assert said.say("refused.part", sample="").strip(" .") in text


@many
@given(case=cases(scattered=False), data=st.data())
def test_samples_that_are_in_from_another_find_room_however_many(case: Case, data: st.DataObject) -> None:
    said, site = case.speech, case.stands.site
    name = data.draw(names).split()[0]
    refused = []
    for sample in case.stored:
        old = counts_in_codes(sample)
        values = {
            "number": site,
            "sample": sample.number,
            "name": name,
            "time": "10:12",
            "old": old,
            "new": old,
        }
        keys = ("taken_by_other", "taken_by_other_full", "taken_by_other_short")
        wordings = tuple(said.say(f"refused.{key}", free=30, **values) for key in keys)
        refused.append(NotStored(sample.number, wordings))
    answer = CountsAnswer((), lead=(f"{site}:",), not_stored=tuple(refused))
    text = counts_reply(said, case.stands, answer)
    one_text(text)
    says_its_standings(text, case)


@many
@given(case=cases(most_levels=2, scattered=False), data=st.data())
def test_a_question_beside_the_counts_shows_which_samples_wait(case: Case, data: st.DataObject) -> None:
    codes = case.stands.visit.plan.codes
    numbers = sorted(data.draw(st.lists(st.integers(31, 60), min_size=1, max_size=3, unique=True)))
    waiting = [Waiting(sample, over=((codes[0], 9999),)) for sample in data.draw(samples_of(codes, numbers))]
    question = waiting_question(case.speech, LARKSPUR, case.stands.site, waiting, 40)
    answer = CountsAnswer(case.stored[:10], question=question)
    text = counts_reply(case.speech, case.stands, answer)
    one_text(text)
    assert {sample.number for sample in answer.stored} <= numbers_in(text, case.stands.site)
    assert set(numbers) <= {int(one) for one in re.findall(r"[0-9]+", text)} | runs_in(text)
    says_its_standings(text, case)


@many
@given(case=cases(), data=st.data())
def test_a_question_is_one_text_with_the_numbers_of_its_samples(case: Case, data: st.DataObject) -> None:
    said, site, stored = case.speech, case.stands.site, case.stored
    texted = f"{site} " + way_to_send(site, stored)
    old = Sample(1, Form.CODED, tuple((code, 3) for code in case.stands.visit.plan.codes))
    doubts = [
        Waiting(sample, over=((case.stands.visit.plan.codes[0], 9999),))
        if data.draw(st.booleans())
        else Waiting(sample, replaces=old, replaced_at=MORNING)
        for sample in stored
    ]
    for question in (
        waiting_question(said, LARKSPUR, site, doubts, 40),
        site_question(said, site, stored),
        elsewhere_question(said, site, case.stands.field.name, stored, 9995, 12, 30),
        rival_question(said, site, texted, stored),
    ):
        text = first_fitting(*question)
        one_text(text)
        assert re.search(r"1[ :]|1 yes|1 si", text)
        assert {one.number for one in stored} <= {int(one) for one in re.findall(r"[0-9]+", text)} | runs_in(
            text
        )


@many
@given(case=cases(), data=st.data())
def test_a_correction_is_one_text_with_the_numbers_of_its_samples(case: Case, data: st.DataObject) -> None:
    codes = case.stands.visit.plan.codes
    before = data.draw(samples_of(codes, [sample.number or 0 for sample in case.stored]))
    fixed = [Fixed(now, was) for now, was in zip(case.stored[:10], before, strict=False)]
    lead = fix_lead(case.speech, case.stands.site, fixed)
    text = counts_reply(case.speech, case.stands, CountsAnswer((), lead=lead))
    one_text(text)
    assert {one.now.number for one in fixed} <= {int(one) for one in re.findall(r"[0-9]+", text)} | runs_in(
        text
    )
    says_its_standings(text, case)
