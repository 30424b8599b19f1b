"""One wrong key: no closing is lost by it, none is made by it, and no cry for help either way."""

import pytest

from parsing import (
    CrewAsked,
    HandOver,
    OpenUp,
    PlanAsked,
    Send,
    Sos,
    Tell,
    Temp,
    TodayAsked,
    Treated,
    Unreadable,
    Wait,
    read,
    shipped_words,
)
from tests.studies.slips import slips_of
from tests.test_reading import CORPUS, GROUNDS, Line, read_line

WORDS = shipped_words()
LARKSPUR = GROUNDS["larkspur"]
OF_THE_DAY = (PlanAsked, TodayAsked, CrewAsked, Tell, Temp, Sos, HandOver, Send, Wait, Treated, OpenUp)
FILES_OF_COUNTS = ("coded", "numbers", "several", "marks", "totals", "shares")

CLOSES = [
    f"{number} {word}{hours}"
    for word, concept in sorted(WORDS.after_number.items())
    if concept in ("sprayed", "spraying", "keep_out")
    for number, hours in ((12, ""), (14, " 24"), (121, " 48 HRS"))
]


@pytest.mark.parametrize("text", CLOSES)
def test_no_slip_of_a_key_loses_a_closing(text: str) -> None:
    lost = []
    for slip in slips_of(text):
        reading = read(slip.text, LARKSPUR)
        closes = isinstance(reading, Treated) or (isinstance(reading, Unreadable) and reading.treated)
        if not closes:
            lost.append(slip.text)

    assert lost == []


@pytest.mark.parametrize("line", [line for line in CORPUS if line.file in FILES_OF_COUNTS], ids=str)
def test_no_slip_of_a_key_makes_another_form_of_counts(line: Line) -> None:
    if not line.text.isascii() or isinstance(read_line(line), OF_THE_DAY):
        return
    ground = GROUNDS[line.where]

    made = [slip.text for slip in slips_of(line.text) if isinstance(read(slip.text, ground), OF_THE_DAY)]

    assert made == []


@pytest.mark.parametrize("cry", ["EMERGENCY", "EMERGENCIA", "AUXILIO"])
@pytest.mark.parametrize("number", ["", "121 "])
def test_no_slip_of_a_key_in_a_long_cry_for_help_hides_it(number: str, cry: str) -> None:
    for slip in slips_of(cry):
        assert isinstance(read(f"{number}{slip.text} ana", LARKSPUR), Sos), slip.text
