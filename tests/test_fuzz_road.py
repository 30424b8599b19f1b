"""A small, seeded share of the long fuzz run, and that its laws see what they are there for."""

import random
from collections.abc import Sequence

import pytest

from parsing import Counts, Reading, read
from parsing.tokens import tokenize
from tests.studies.any_texts import any_text, text_for_the_road
from tests.studies.broken import MOST_SHOWN, Broken, Gathered
from tests.studies.fuzz import BATCH, SEASON, play_season, read_batch, tasks
from tests.studies.reading_laws import broken_by, uncovered
from tests.studies.road_laws import Heard, Listener, Out, replies_due, too_long
from tests.test_reading import GROUNDS

SEED = 20270706
TEXTS = 4000
ON_THE_ROAD = 60
ANA, JUNE, STRANGER = "+12705550111", "+12705550120", "+12705550199"


def told(gathered: Gathered) -> list[str]:
    return [
        f"{one.law}: {one.text!r} ({one.where}) {one.came}"
        for law in gathered.shortest.values()
        for one in law
    ]


def test_any_text_is_read_as_the_laws_of_reading_say() -> None:
    assert told(read_batch(SEED, 0, TEXTS)) == []


@pytest.mark.parametrize("season", [0, 1, 2])
def test_any_text_is_answered_as_the_laws_of_the_road_say(season: int) -> None:
    assert told(play_season(SEED, season, ON_THE_ROAD)) == []


def test_a_seed_makes_the_same_texts_again_and_another_makes_others() -> None:
    first, again, other = map(random.Random, (SEED, SEED, SEED + 1))

    assert [any_text(first) for _ in range(200)] == [any_text(again) for _ in range(200)]
    assert [text_for_the_road(first) for _ in range(50)] != [text_for_the_road(other) for _ in range(50)]


def test_a_run_is_parted_into_tasks_that_hold_every_text_once() -> None:
    parted = list(tasks(SEED, texts=2 * BATCH + 1, road=SEASON + 5))

    assert sum(task.texts for task in parted) == 2 * BATCH + 1 + SEASON + 5
    assert len({(task.do, task.number) for task in parted}) == len(parted)
    assert [task.texts for task in tasks(SEED, texts=0, road=SEASON + 5, season=1)] == [5]


@pytest.mark.parametrize(
    ("text", "missed"),
    [
        ("121 3 FA2", []),
        ("\N{BUG} 121, 3: FA2!", []),
        ("121 3 \N{SUPERSCRIPT TWO}", []),
        ("121 3 FA\N{COMBINING ACUTE ACCENT}2", []),
        ("121\r\n3 FA2", []),
    ],
)
def test_a_separator_is_what_can_mean_nothing(text: str, missed: list[int]) -> None:
    assert list(uncovered(text, tokenize(text))) == missed


def test_a_number_or_a_letter_outside_every_token_is_seen() -> None:
    text = "121 3 FA2"
    tokens = tokenize(text)

    assert [text[place] for place in uncovered(text, tokens[:-1])] == ["F", "A", "2"]
    assert [text[place] for place in uncovered(text, tokens[1:])] == ["1", "2", "1"]


def test_a_text_that_breaks_no_law_has_no_finding() -> None:
    reading: Reading = read("121 3 FA2 FN1", GROUNDS["larkspur"])

    assert isinstance(reading, Counts)
    assert list(broken_by("121 3 FA2 FN1", "larkspur", GROUNDS["larkspur"])) == []


@pytest.mark.parametrize(
    ("words", "silent", "due"),
    [
        ("121 3 FA2", False, (1,)),
        ("STOP", False, (1,)),
        ("121 3 FA2", True, (0,)),
        ("STOP", True, (0,)),
        ("HELP", True, (1,)),
        ("ayuda", True, (1,)),
        ("EMPIEZA", True, (1,)),
        (" yes ", True, (1,)),
    ],
)
def test_who_has_opted_out_is_answered_to_help_and_start_alone(
    words: str, silent: bool, due: Sequence[int]
) -> None:
    assert replies_due(Heard(ANA, words, True, silent, frozenset())) == due


def out(text: str, purpose: str = "reply", to: str = ANA) -> Out:
    return {"to": to, "purpose": purpose, "text": text}


def laws(caused: Sequence[Out], words: str = "121", phone: str = ANA, *, silent: bool = False) -> list[str]:
    listener = Listener()
    listener.hear(words)
    heard = Heard(phone, words, phone != STRANGER, silent, frozenset({phone} if silent else ()))
    return [law for law, _ in listener.after_a_text(heard, caused, "2027-07-06")]


ONE_REPLY = "a known phone gets one reply, one that opted out none"
SILENCE = "a phone that opted out gets nothing"
ONE_TEXT = "a text out is one GSM-7 text"
ADVICE = "no text out gives advice"
OPT_OUT = "no text that the machine starts holds an opt-out word"
CREW = "no words to the crew hold an opt-out word"
DIGEST = "a digest is at most three texts"


@pytest.mark.parametrize(
    ("caused", "broken"),
    [
        ([out("121 3 FA2.")], []),
        ([], [ONE_REPLY]),
        ([out("121"), out("121")], [ONE_REPLY]),
        ([out("121"), out("12 ABOVE", "alert", JUNE)], []),
        ([out("a" * 161)], [ONE_TEXT]),
        ([out("€" * 81)], [ONE_TEXT]),
        ([out("Ram\N{LATIN SMALL LETTER O WITH ACUTE}n")], [ONE_TEXT]),
        ([out("You should spray.")], [ADVICE]),
        ([out("Send 14 SPRAYED and the hours.")], []),
        ([out("121"), out("The end", "notice", JUNE)], [OPT_OUT]),
        (
            [out("121"), *[out(f"{page}/4.", "digest", JUNE) for page in ("Tue Jul 6 1", "2", "3", "4")]],
            [DIGEST],
        ),
        ([out("121"), *[out(f"{page}/3.", "digest", JUNE) for page in ("Tue Jul 6 1", "2", "3")]], []),
    ],
)
def test_each_law_of_the_road_is_seen_where_it_is_broken(caused: list[Out], broken: list[str]) -> None:
    assert laws(caused) == broken


def test_what_a_person_said_may_be_said_back() -> None:
    assert laws([out("121 NOTE: they should spray")], "121 note they should spray") == []


def test_to_the_crew_no_opt_out_word_is_sent_on_though_a_person_said_it() -> None:
    told = out("From June to the whole crew: no more today. Answer OK.", "keepout")
    assert laws([out("Sent."), told], "TELL no more today") == [CREW]
    well = out("From June to the whole crew: enough for today. Answer OK.", "keepout")
    assert laws([out("Sent."), well], "TELL enough for today") == []


def test_a_phone_that_opted_out_gets_no_warning_either() -> None:
    assert laws([out("KEEP OUT of 14", "keepout")], silent=True) == [SILENCE]
    assert laws([out("call 911")], "HELP", silent=True) == []


def test_a_stranger_is_answered_once_a_day_and_an_opt_out_apart() -> None:
    listener = Listener()
    days = ["2027-07-06", "2027-07-06", "2027-07-07"]
    heard = Heard(STRANGER, "hello", False, False, frozenset())
    found = [list(listener.after_a_text(heard, [out("Hi.", to=STRANGER)], day)) for day in days]

    assert [len(one) for one in found] == [0, 1, 0]
    stopped = Heard(STRANGER, "STOP", False, False, frozenset())
    assert list(listener.after_a_text(stopped, [out("No more texts.", to=STRANGER)], days[0])) == []


def test_a_text_of_160_septets_is_one_text() -> None:
    assert too_long("ñ" * 160) is None
    assert too_long("{" * 80) is None


def test_findings_keep_the_shortest_texts_of_each_law_and_count_them_all() -> None:
    one, other = Gathered(), Gathered()
    one.add(Broken("law", "a" * size, "here", "") for size in range(9, 0, -1))
    other.add([Broken("law", "", "there", ""), Broken("another", "b", "there", "")])
    one.merge(other)

    assert one.times == {"law": 10, "another": 1}
    assert [len(broken.text) for broken in one.shortest["law"]] == list(range(MOST_SHOWN))
