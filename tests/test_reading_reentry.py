"""Words that keep people out: hours only where nothing else can be meant, no closing lost, nothing opened."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from parsing import (
    Counts,
    Doubtful,
    Fix,
    Given,
    Ground,
    OpenUp,
    Status,
    Treated,
    Treatment,
    Unknown,
    Unreadable,
    may_mean_treated,
    read,
    shipped_words,
)
from tests.test_reading import CORPUS, GROUNDS, Line, read_line

WORDS = shipped_words()
LARKSPUR: Ground = GROUNDS["larkspur"]

KINDS = {
    "sprayed": Treatment.SPRAYED,
    "spraying": Treatment.SPRAYING,
    "keep_out": Treatment.SIGN,
}
CLOSES = sorted(word for word, concept in WORDS.after_number.items() if concept in KINDS)
OPENS = sorted(word for word, concept in WORDS.after_number.items() if concept == "open")
UNITS = sorted(word for word, what in WORDS.hours.items() if what == "unit")
HOURS = sorted(word for word, what in WORDS.hours.items() if what == "hour")
DAYS = sorted(word for word, what in WORDS.hours.items() if what == "day")
UNSURE = sorted(word for word, what in WORDS.hours.items() if what == "unsure")

# standing.md, "Hours": what makes a number no hours, to the letter.
UNITS_OF_THE_DESIGN = ["OZ", "LB", "PT", "QT", "GAL", "GPA", "AC", "ACRES", "ML", "L", "PCT", "AM", "PM", "D"]
HOURS_OF_THE_DESIGN = ["H", "HR", "HRS", "HOURS", "HORAS"]


def hours_of(text: str) -> Given | Doubtful | Unknown:
    """Give the hours of a text that closes a field."""
    reading = read(text, LARKSPUR)
    assert isinstance(reading, Treated), reading
    return reading.hours


def asked_or_given(hours: int) -> Given | Doubtful | Unknown:
    """Give what a whole number of hours must be taken for, written apart from the reader."""
    if hours < 4:
        return Unknown()
    return Given(hours) if hours % 12 == 0 else Doubtful(hours)


@pytest.mark.parametrize("word", CLOSES)
@pytest.mark.parametrize("number", [12, 121, 14])
def test_every_word_that_keeps_people_out_closes_the_field_in_front(word: str, number: int) -> None:
    kind = KINDS[WORDS.after_number[word]]

    assert read(f"{number} {word}", LARKSPUR) == Treated(kind, number, Unknown(), (), word)
    assert read(f"{number} {word.lower()} 24", LARKSPUR) == Treated(
        kind, number, Given(24), (24,), f"{word.lower()} 24"
    )


@pytest.mark.parametrize("hours", [*range(50), 60, 72, 96, 100, 120, 999])
def test_a_whole_number_right_after_the_word_is_taken_as_the_design_says(hours: int) -> None:
    wanted = asked_or_given(hours)

    assert hours_of(f"12 SPRAYED {hours}") == wanted
    opened = read(f"12 OPEN {hours}", LARKSPUR)
    if isinstance(wanted, Unknown):
        assert isinstance(opened, Unreadable)
    else:
        assert opened == OpenUp(12, wanted)


@pytest.mark.parametrize("unit", sorted({*HOURS, *HOURS_OF_THE_DESIGN}))
@pytest.mark.parametrize("hours", [3, 4, 8, 12, 24, 30, 48])
def test_hours_may_be_named_behind_the_number_or_glued_to_it(unit: str, hours: int) -> None:
    assert hours_of(f"12 SPRAYED {hours} {unit}") == asked_or_given(hours)
    assert hours_of(f"12 SPRAYED {hours}{unit}") == asked_or_given(hours)


@pytest.mark.parametrize("unit", DAYS)
@pytest.mark.parametrize("days", [1, 2, 4, 7, 12])
def test_days_are_24_hours_each_and_are_always_asked(unit: str, days: int) -> None:
    assert hours_of(f"12 SPRAYED {days} {unit}") == Doubtful(24 * days)
    assert hours_of(f"12 SPRAYED {days}{unit}") == Doubtful(24 * days)


@pytest.mark.parametrize("unit", sorted({*UNITS, *UNITS_OF_THE_DESIGN, *"ABCDEFGIJKLMNOPQRSTUVWXYZ"}))
@pytest.mark.parametrize("number", [12, 24, 48])
def test_a_unit_or_a_letter_behind_a_number_makes_it_no_hours(unit: str, number: int) -> None:
    assert hours_of(f"12 SPRAYED {number} {unit}") == Unknown()
    assert hours_of(f"12 SPRAYED {number}{unit}") == Unknown()
    assert hours_of(f"14 fumigado {number} {unit.lower()} por acre") == Unknown()


@pytest.mark.parametrize(
    "mark", ["%", "?", "/", "-", "=", "@", "$", ".5", ",5", ":30", "/7", "-48", " 8", "½", " ½"]
)
def test_a_mark_or_a_second_number_behind_a_number_makes_it_no_hours(mark: str) -> None:
    assert hours_of(f"12 SPRAYED 24{mark} left") == Unknown()


@pytest.mark.parametrize("word", UNSURE)
def test_a_word_of_doubt_of_the_past_or_of_what_is_to_come_makes_hours_unknown(word: str) -> None:
    assert hours_of(f"12 SPRAYED 24 HRS {word}") == Unknown()
    assert hours_of(f"12 SPRAYED 2 DAYS {word}") == Unknown()


@given(st.sampled_from(CLOSES), st.text(max_size=60))
def test_whatever_follows_a_word_that_keeps_people_out_the_field_closes(word: str, behind: str) -> None:
    text = f"12 {word} {behind}"

    reading = read(text, LARKSPUR)

    if reading == Treated(KINDS[WORDS.after_number[word]], 12, Unknown(), (), word):
        return
    assert isinstance(reading, Treated)
    assert (reading.number, reading.kind) == (12, KINDS[WORDS.after_number[word]])


@given(
    st.sampled_from(CLOSES),
    st.lists(st.integers(0, 9999), max_size=6),
    st.sampled_from([" ", ", ", "/", "\n", "-", " oz "]),
)
def test_every_number_behind_the_word_is_kept_for_other_fields(
    word: str, numbers: list[int], between: str
) -> None:
    text = f"12 {word} {between.join(map(str, numbers))}"

    reading = read(text, LARKSPUR)

    assert isinstance(reading, Treated)
    assert list(reading.numbers) == numbers


@pytest.mark.parametrize("line", [line for line in CORPUS if line.file == "treated"], ids=str)
def test_the_words_of_a_closing_are_kept_as_they_were_sent(line: Line) -> None:
    reading = read_line(line)
    if not isinstance(reading, Treated):
        return
    whole = " ".join(line.text.split())

    assert whole.endswith(reading.said)
    assert (reading.said == whole) is (line.prefixes.day is not None or line.prefixes.check)


@pytest.mark.parametrize("before", ["TUE", "ayer", "MAR", "CHECK", "REVISA", "CHECK TUE", "PRACTICE YEST"])
@pytest.mark.parametrize("word", CLOSES)
def test_a_day_or_check_before_a_closing_loses_its_hours_and_never_the_closing(
    before: str, word: str
) -> None:
    text = f"{before} 14 {word} 24"

    reading = read(text, LARKSPUR)

    assert reading == Treated(KINDS[WORDS.after_number[word]], 14, Unknown(), (24,), text)


@pytest.mark.parametrize(
    "behind", ["gate", "?", "24 oz", "2", "24 48", "tomorrow", "24.5", "bolls 30", "48 north", "no", "24-48"]
)
@pytest.mark.parametrize("word", OPENS)
def test_nothing_is_opened_by_half_a_sentence(word: str, behind: str) -> None:
    assert isinstance(read(f"12 {word} {behind}", LARKSPUR), Unreadable)


@pytest.mark.parametrize("line", [line for line in CORPUS if line.file not in ("treated", "day")], ids=str)
def test_no_text_of_counts_closes_or_opens_a_field(line: Line) -> None:
    reading = read_line(line)

    assert not isinstance(reading, Treated | OpenUp)
    if isinstance(reading, Counts | Fix | Status):
        assert not may_mean_treated(line.text, WORDS)


# Beginnings that may mean a treated field: standing.md, "Re-entry", and what is said in the field (common practice).
SAID_OF_TREATING = [
    *(
        "spray",
        "sprayed",
        "sprayer",
        "treat",
        "treated",
        "treating",
        "fumig",
        "fumigaron",
        "fumigue",
        "fumigo",
    ),
    *(
        "aplic",
        "aplico",
        "aplicaron",
        "flying",
        "rociado",
        "rociaron",
        "echaron",
        "veneno",
        "posted",
        "no entren",
    ),
    *(
        "spryed",
        "sprayd",
        "srayed",
        "sparyed",
        "sprayied",
        "sprqyed",
        "fumgado",
        "fumigdo",
        "fumiagdo",
        "aplcado",
    ),
    *(
        "applicado",
        "apliado",
        "tretaed",
        "treted",
        "traeted",
        "rosiado",
        "aplied",
        "pestisida",
        "keep-out",
        "SPRAYED24",
    ),
]
LOOKS_SO = [
    *(
        "stray",
        "strayed",
        "created",
        "greater",
        "threatening",
        "venenosa",
        "rocio",
        "retreated",
        "prayer",
        "fumar",
    ),
    *("supplied", "replied", "duplicado", "fecha", "hecho", "social", "flooded", "rained", "play", "drip"),
]


@pytest.mark.parametrize("word", SAID_OF_TREATING)
def test_a_word_that_may_mean_a_treated_field_is_never_missed(word: str) -> None:
    for text in (word, f"they {word} there", f"12 {word}", f"NOTA: {word}!", word.upper()):
        assert may_mean_treated(text, WORDS), text


@pytest.mark.parametrize("word", LOOKS_SO)
def test_a_word_that_only_looks_so_keeps_nobody_out(word: str) -> None:
    assert not may_mean_treated(f"12 {word} there", WORDS)


@pytest.mark.parametrize(
    "text", ["121 TO BE SPRAYED", "12 CANCEL spraying", "12 CARD sprayed", "14 A FUMIGAR", "12 OPEN treated"]
)
def test_a_form_with_words_of_a_treated_field_among_it_is_read_as_those_words(text: str) -> None:
    reading = read(text, LARKSPUR)

    assert isinstance(reading, Unreadable)
    assert reading.treated
