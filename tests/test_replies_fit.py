"""Replies fit by construction: any plan, any names, any counts, by the real road, in both languages."""

import json
import re
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from bot.rules import Method
from parsing import TEXT_SEPTETS, fits, septets
from tests.talk import SEASONS, Talk, talking
from tests.test_replies import runs_in
from tests.test_rules_totals import UNIT_OF

SHIPPED = ("FA", "FN", "LA", "LN", "MP", "BE", "HC", "AR", "BW", "SB", "CB", "UK")
LYGUS = {"LA", "LN"}
OWN = ("AJ", "BM", "DT")
"""Codes of targets that the season itself names."""

MOST_COLUMNS, MOST_SAMPLES = 12, 40
SITES = (511, 513, 515, 62)
"""Field 51 has three sites, field 62 is one; every number is larger than any sample's."""

TEXTS = 10
"""Texts of one example: enough for questions, corrections and answers to meet counts that are in."""

STANDING_WORDS = {
    "en": {"above": "ABOVE", "below": "BELOW", "in range": "IN RANGE"},
    "es": {"above": "ARRIBA", "below": "ABAJO", "in range": "EN EL RANGO"},
}

road = settings(
    max_examples=25,
    # to make a failure smaller takes minutes here, and its message shows the text that failed
    phases=[Phase.explicit, Phase.generate],
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.large_base_example],
)

letters = st.text(alphabet="abcdeghilmnorstuy ABENÑñáéíóúüçőшй漢😀'-{}[]~€", min_size=1, max_size=60)
names = letters.map(lambda said: " ".join(said.split())).filter(
    lambda said: bool(re.match(r"[A-Za-z]", said))
)


@dataclass(frozen=True, slots=True)
class Programme:
    """A season, and what its people need to know of it to send texts."""

    season: str
    card: tuple[str, ...]
    samples: int


@st.composite
def programmes(draw: st.DrawFn, language: str) -> Programme:
    """Draw a season: any method and effort, 1-12 columns, 1-40 samples, names up to 60 letters of any script."""
    method = draw(st.sampled_from(Method))
    card = draw(st.lists(st.sampled_from(SHIPPED + OWN), min_size=1, max_size=MOST_COLUMNS, unique=True))
    if len(LYGUS & set(card)) == 1:
        # the book's level counts both, and a season is refused where the card has one of them
        card = [code for code in card if code not in LYGUS] or sorted(LYGUS)
    samples = draw(st.integers(1, MOST_SAMPLES))
    each = draw(st.sampled_from(["1", "3", "25", "2.5", "12.75", "999"]))
    own = [code for code in OWN if code in card]
    lygus = method is not Method.BEAT_BUCKET and set(card) >= LYGUS
    wanted = "" if own or lygus else 'level = "none"\n'
    named = {one: draw(names) for one in ("ana", "luis", "june", "opal", "51", "62", "season", *own)}
    said = {key: json.dumps(name, ensure_ascii=False) for key, name in named.items()}
    people = (
        ("ana", "scout", 111),
        ("luis", "scout", 112),
        ("june", "supervisor", 120),
        ("opal", "grower", 130),
    )
    in_training = json.dumps(draw(st.booleans()))
    blocks = [
        f'[season]\nname = {said["season"]}\ntimezone = "America/Chicago"\ncountry = "US"\n'
        'contact = "Larkspur Extension, 270-555-0100"\nlevel_book = "midsouth"',
        *(
            f'[people.{key}]\nname = {said[key]}\nphone = "+1 270 555 0{line}"\nroles = ["{role}"]\n'
            f'language = "{language}"\nvisual = true'
            + (f"\ntrainee = {in_training}" if key == "luis" else "")
            for key, role, line in people
        ),
        *(
            f'[fields.{number}]\nname = {said[number]}\ngrowers = ["opal"]\nscouts = ["ana", "luis"]\n{sites}'
            'row_spacing_in = 38\nfirst_bloom = 2027-06-28\nplan = "only"'
            for number, sites in (("51", "sites = 3\n"), ("62", ""))
        ),
        f'[plans.only]\nmethod = "{method}"\nsamples = {samples}\n'
        f"each = {{ {UNIT_OF[method].name.lower()} = {each} }}\n"
        f"card = {json.dumps(card)}\n{wanted}ask_above = {draw(st.sampled_from([1, 40, 9999]))}",
        *(
            f'[targets.own{code.lower()}]\nname = {said[code]}\ncolumns = {{ {code} = "any" }}'
            for code in own
        ),
        *(_level(draw, code, method) for code in own),
    ]
    return Programme("\n\n".join(blocks), tuple(card), samples)


def _level(draw: st.DrawFn, code: str, method: Method) -> str:
    low = draw(st.sampled_from(["0.1", "3", "2.83334", "400"]))
    high = draw(st.sampled_from([low, "401"]))
    per = draw(st.sampled_from(["1", "5", "100"]))
    return (
        f'[[level]]\nid = "{code}"\ntarget = "own{code.lower()}"\ncount = {{ any = 1 }}\nmethod = "{method}"\n'
        f'stage = []\nlow = {low}\nhigh = {high}\nper = "{per} {UNIT_OF[method]}"\nsource = "an office note"\n'
        "verified = true"
    )


counts = st.sampled_from([0, 0, 0, 1, 2, 9, 10, 41, 123, 4567, 9999])


@st.composite
def samples_said(draw: st.DrawFn, card: Sequence[str], numbers: Sequence[int]) -> str:
    """Draw samples in one form, as people send them: with codes, in digits, packed, nothing found, lost."""
    form = draw(st.sampled_from(["coded", "digits", "packed", "nothing", "shares"]))
    said = []
    for number in numbers:
        match form:
            case "digits":
                said.append(f"{number} " + " ".join(str(draw(counts)) for _ in card))
            case "packed":
                said.append(f"{number} " + "".join(str(draw(st.integers(0, 9))) for _ in card))
            case "nothing":
                said.append(f"{number} {draw(st.sampled_from('0X'))}")
            case "shares":
                said.append(f"{number} BH {draw(st.integers(0, 5))} 5 {card[0]}{draw(counts)}")
            case _:
                found = draw(st.lists(st.sampled_from(card), min_size=1, max_size=len(card), unique=True))
                said.append(f"{number} " + " ".join(f"{code}{draw(counts)}" for code in found))
    return " / ".join(said)


@st.composite
def numbers_said(draw: st.DrawFn, samples: int) -> list[int]:
    """Draw the numbers of a batch: a run of any length, now and then with one that the plan lacks."""
    first = draw(st.integers(1, samples))
    run = list(range(first, draw(st.integers(first, samples)) + 1))
    return [*run, samples + 1] if draw(st.integers(0, 9)) == 9 else run


PREFIXES = {
    "en": ("", "", "", "CHECK ", "MON ", "PRACTICE ", "BY ANA ", "PRACTICE BY LUIS MON "),
    "es": ("", "", "", "REVISA ", "LUN ", "PRUEBA ", "POR ANA ", "PRUEBA POR LUIS LUN "),
}
AFTER = {
    "en": "UNDO;SHORT {words};DONE {words};SKIP {words};NOTE {words};EACH 2;CARD;MOVE 513;NAWF 5.5 6;SQ 12 100;"
    "SQ 88 100;BH 3 25;EG 30 20;TP 5;CLOSE {words};STAGE BLOOM 2;CANCEL;ALL 0;TODO;OK;WET;{words};",
    "es": "BORRA;CORTA {words};LISTO {words};NO PUDE {words};NOTA {words};CADA 2;TARJETA;MUEVE 513;NAFB 5,5 6;"
    "CU 12 100;CUADROS 88 100;BH 3 25;EG 30 20;TP 5;CIERRA {words};ETAPA FLOR 2;CANCELA;TODO 0;TODO;OK;MOJADO;"
    "{words};",
}
ALONE = {
    "en": "1;2;1;OK;CARD;HELP;UNDO;thanks;WHERE 51;{words}",
    "es": "1;2;1;OK;TARJETA;AYUDA;BORRA;hola;DONDE 51;{words}",
}


@st.composite
def texts_of(draw: st.DrawFn, programme: Programme, language: str) -> str:
    """Draw a text that somebody could send: mostly counts, some of them wrong; orders, words, answers."""
    site = draw(st.sampled_from((*SITES, 511, 511, 511, 51)))
    prefix = draw(st.sampled_from(PREFIXES[language]))
    words = draw(
        st.sampled_from(["", "rain", "the pivot came on over the rows that were left " * 3, "Ж" * 70])
    )
    samples = draw(samples_said(programme.card, draw(numbers_said(programme.samples))))
    kind = draw(
        st.sampled_from(["counts"] * 6 + ["fix", "totals", "after", "after", "alone", "no site", "second"])
    )
    match kind:
        case "counts":
            said = f"{prefix}{site} {samples}" + draw(st.sampled_from(["", "", "", " =7"]))
        case "fix":
            said = f"{prefix}{site} {'FIX' if language == 'en' else 'CAMBIA'} {samples}"
        case "totals":
            sums = " ".join(f"{code}{draw(counts)}" for code in programme.card)
            said = f"{prefix}{site} {'TOTAL' if language == 'en' else 'TODO'} {programme.samples} {sums}"
        case "after":
            said = f"{prefix}{site} {draw(st.sampled_from(AFTER[language].split(';')))}".format(words=words)
        case "alone":
            said = draw(st.sampled_from(ALONE[language].split(";"))).format(words=words)
        case "no site":
            said = samples
        case _:
            said = f"{site} {samples} / 513 {samples} / {samples}"
    return said or "?"


def samples_in(talk: Talk) -> dict[int, dict[str, object]]:
    """Give what stands at every site today: counts, shares and lost samples by number."""
    return {site: talk.show(site)["samples"] for site in SITES}


def beside_in(talk: Talk) -> dict[int, dict[str, object]]:
    """Give what somebody in training has beside at every site today, by number."""
    return {site: talk.show(site)["trainees"].get("luis", {}) for site in SITES}


def numbers_of(text: str) -> set[int]:
    """Give every number that a text names, runs drawn out."""
    return {int(one) for one in re.findall(r"(?<![A-Z0-9.])[0-9]+(?![0-9.]*[0-9])", text)} | runs_in(text)


def holds_what_was_stored(
    reply: str, before: dict[int, dict[str, object]], after: dict[int, dict[str, object]]
) -> list[int]:
    """Hold a reply to naming the site and every sample that its text stored or changed there; give those sites."""
    sites = []
    for site, samples in after.items():
        changed = {int(number) for number, one in samples.items() if before[site].get(number) != one}
        if changed:
            assert str(site) in reply, reply
            assert changed <= numbers_of(reply), (reply, changed)
            sites.append(site)
    return sites


def holds_the_standings(talk: Talk, language: str, reply: str, site: int) -> None:
    """Hold a reply to counts to the standing of every figure of their site."""
    shown = talk.show(site)
    words = STANDING_WORDS[language]
    for level in shown["levels"]:
        if level["standing"] in words and level["density"] is not None:
            assert words[level["standing"]] in reply, (reply, level)


def one_text_each(caused: Sequence[dict[str, str]], text: str) -> str:
    """Hold everything that a text caused to one text each, and give its one reply."""
    for one in caused:
        said = one["text"]
        assert fits(said), (text, said)
        assert septets(said) <= TEXT_SEPTETS, (text, septets(said), said)
        assert said == said.strip(), (text, said)
    replies = [one["text"] for one in caused if one["purpose"] == "reply"]
    assert len(replies) == 1, (text, caused)
    return replies[0]


@road
@given(data=st.data(), language=st.sampled_from(["en", "es"]))
def test_whatever_is_sent_in_whatever_season_is_answered_in_one_text(
    data: st.DataObject, language: str
) -> None:
    programme = data.draw(programmes(language))
    whole = (SEASONS / "talk.toml").read_text(encoding="utf-8")
    with (
        tempfile.TemporaryDirectory() as folder,
        talking(Path(folder), "talk.toml", (whole, programme.season)) as talk,
    ):
        after, after_beside = samples_in(talk), beside_in(talk)
        for minute in range(TEXTS):
            who = data.draw(st.sampled_from(["luis", "luis", "luis", "ana", "june"]))
            text = data.draw(texts_of(programme, language))
            before, before_beside = after, after_beside
            reply = one_text_each(talk.says(who, f"09:{minute:02}", text), text)
            after, after_beside = samples_in(talk), beside_in(talk)
            changed = holds_what_was_stored(reply, before, after)
            holds_what_was_stored(reply, before_beside, after_beside)
            if len(changed) == 1:
                holds_the_standings(talk, language, reply, changed[0])
