"""The keypad study: what the text language promises of presses and texts, and that its cost model is the standard's."""

from pathlib import Path

import pytest

from bot.rules import Season
from bot.season_file import SeasonText, read_season, read_texts
from tests.studies.card_codes import Ranked, codes_apart_from, ranked, shipped_codes
from tests.studies.keypad import (
    MOST_DIGITS,
    MOST_EMPTY,
    MOST_PACKED,
    batched,
    broken_by_presses,
    broken_by_texts,
    dearest_sample,
    presses_table,
)
from tests.studies.presses import Presses, Way, in_number_mode, presses
from tests.studies.sent_forms import Said, every_form

TALK = Path(__file__).resolve().parent.parent / "fixtures" / "seasons" / "talk.toml"


# Counted by hand from standards.md, section 7, which has 22 presses for `12 3 5` in letter mode.
@pytest.mark.parametrize(
    ("text", "way", "keys", "pauses"),
    [
        ("12 3 5", Way.TAPPED, 22, 0),
        ("12 3 5", Way.HELD, 6, 0),
        ("p 12", Way.TAPPED, 14, 0),
        ("plot 12", Way.TAPPED, 21, 0),
        ("corn", Way.TAPPED, 11, 0),
        ("maiz", Way.TAPPED, 9, 0),
        ("stop", Way.TAPPED, 9, 0),
        ("alto", Way.TAPPED, 8, 0),
        ("ayuda", Way.TAPPED, 8, 0),
        ("help", Way.TAPPED, 8, 0),
        ("yes", Way.TAPPED, 9, 0),
        ("si", Way.TAPPED, 7, 0),
        ("FA2", Way.TAPPED, 8, 1),
        ("FA2", Way.HELD, 5, 0),
        ("FA2", Way.SWITCHED, 7, 0),
        ("121 3 FA2", Way.SWITCHED, 15, 0),
        ("121 3 21004", Way.NUMBERS, 11, 0),
        ("121.3", Way.HELD, 5, 0),
        ("1-4", Way.HELD, 5, 0),
        ("1=4", Way.HELD, 5, 0),
    ],
)
def test_a_text_costs_the_presses_of_the_standard(text: str, way: Way, keys: int, pauses: int) -> None:
    assert presses(text, way) == Presses(keys, pauses)


@pytest.mark.parametrize("text", ["121 3 FA2", "121 4-7 0", "121 3 0 =3", "121?"])
def test_number_mode_types_no_letters_and_no_marks_but_two(text: str) -> None:
    assert presses(text, Way.NUMBERS) is None


def test_number_mode_has_a_star_for_a_blank_and_a_hash_for_a_break() -> None:
    assert in_number_mode("121 1 21004 / 2 0") == "121*1*21004#2*0"


@pytest.mark.parametrize(
    ("said", "most"), [("98765", MOST_PACKED), ("9 8 7 6 5", MOST_DIGITS), ("0", MOST_EMPTY)]
)
def test_a_sample_costs_no_more_presses_than_is_promised(said: str, most: int) -> None:
    assert dearest_sample(said) == most


def test_no_promise_of_presses_is_broken() -> None:
    assert list(broken_by_presses()) == []


@pytest.mark.parametrize("said", batched(), ids=lambda said: said.form)
def test_a_finished_site_takes_two_texts_each_way_at_most(said: Said) -> None:
    assert list(broken_by_texts([said])) == []


def test_a_broken_promise_of_texts_is_said() -> None:
    one_by_one = next(said for said in every_form() if said.form == "empty: 0, a text each")
    unfinished = Said("half", ("14 1-5 0",))

    assert list(broken_by_texts([one_by_one])) != []
    assert any("5 of 10 samples" in sentence for sentence in broken_by_texts([unfinished]))


def test_packed_is_the_cheapest_form_of_a_sheet_that_is_not_empty_and_a_range_of_empty_ones() -> None:
    cost = {said.form: said.cost(Way.HELD) for said in every_form()}
    whole = {form: found.keys for form, found in cost.items() if found is not None}

    for kind in ("found", "full"):
        said = [form for form in whole if form.startswith(f"{kind}: ") and not form.endswith("sum")]
        assert min(said, key=whole.__getitem__) == f"{kind}: packed"
    assert whole["empty: range with A"] < whole["empty: pairs"]


def test_the_table_has_a_row_for_every_form() -> None:
    assert len(presses_table(every_form()).splitlines()) == len(every_form()) + 2


def test_every_code_that_ships_keeps_its_distances_from_the_others() -> None:
    codes = set(shipped_codes())

    # SQ is the word for squares too, and stands where that word stands.
    for code in codes - {"SQ"}:
        assert code in set(codes_apart_from(sorted(codes - {code}))), code


# Targets with one code, which a season file may give another.
ONE_CODE = {"BE": "bigeyedbug", "HC": "ladybeetle", "AR": "spider", "SB": "stinkbug", "CB": "cloudedbug"}


def loads(code: str, target: str) -> bool:
    """Tell whether the season loader takes a code for a target."""
    texts = read_texts(TALK)
    written = f'{texts.season}\n[targets.{target}]\nname = "{target}"\ncolumns = {{ {code} = "any" }}\n'
    return isinstance(read_season(SeasonText(written, texts.book)), Season)


@pytest.mark.parametrize("row", [row for row in ranked() if row.code in ONE_CODE], ids=lambda row: row.code)
def test_a_cheaper_code_that_is_named_is_one_that_the_season_loader_takes(row: Ranked) -> None:
    for code in (row.alike, row.cheaper):
        assert code is None or loads(code, ONE_CODE[row.code])


def test_the_study_and_the_season_loader_refuse_the_same_codes() -> None:
    free = set(codes_apart_from(sorted(set(shipped_codes()) - {"SB"})))

    for letter in "ABCDEFGHIJKLMNOPQRSTUVWYZ":
        assert loads(f"S{letter}", "stinkbug") is (f"S{letter}" in free), f"S{letter}"
