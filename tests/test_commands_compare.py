"""The command that sets people's counts against the checks of the same samples."""

from pathlib import Path
from typing import Any

import pytest
from scipy import stats

from bot.comparing import in_words
from bot.statistics import NoInterval, ratio_between_samples
from tests.conftest import LARKSPUR, Rowfoot

ANA, LUIS, BETO, JUNE = "+12705550111", "+12705550112", "+12705550115", "+12705550120"
DAY, THE_DAY_AFTER = "2027-07-06", "2027-07-07"


@pytest.fixture
def checked(in_season: Rowfoot) -> Rowfoot:
    """Ana's five samples at 121 on one day, four of them checked by June, and two of the day after."""
    texts = (
        (ANA, "121 1 FA1 LN2 / 2 LN1 / 3 FNX LN2 / 4 LN1 / 5 LN4", "09:00", DAY),
        (JUNE, "CHECK 121 1 FA1 LN6 / 2 LN5 / 3 FN3 LN6 / 4 FN1 LN5", "09:30", DAY),
        (ANA, "123 1 LN2 / 2 LN9", "09:00", THE_DAY_AFTER),
        (JUNE, "CHECK 123 1 LN2 / 3 LN9", "09:30", THE_DAY_AFTER),
    )
    for phone, text, at, day in texts:
        in_season.run("text", phone, text, "--at", f"{day}T{at}")
    return in_season


def columns(shown: Any, person: str = "ana") -> dict[str, Any]:
    """Give the columns of one person by code."""
    (one,) = [one for one in shown["people"] if one["person"] == person]
    return {column["code"]: column for column in one["columns"]}


def test_only_what_both_counted_of_one_site_day_and_number_is_compared(checked: Rowfoot) -> None:
    shown = checked.json("compare", "--day", DAY)
    assert (shown["day"], shown["since"]) == (DAY, None)
    (ana,) = shown["people"]
    assert (ana["person"], ana["name"], ana["trainee"]) == ("ana", "Ana Prado", False)
    assert (ana["checkers"], ana["samples"], ana["left_out"]) == (["june"], 4, 0)
    nymphs = columns(shown)["LN"]
    assert (nymphs["target"], nymphs["life_stage"]) == ("lygus", "nymph")
    # samples 1 to 4; 5 was not checked
    assert (nymphs["samples"], nymphs["sum"], nymphs["checked"]) == (4, 6, 22)
    assert nymphs["ratio"] == pytest.approx(6 / 22)


def test_a_column_that_one_did_not_count_is_left_out_of_that_sample_alone(checked: Rowfoot) -> None:
    found = columns(checked.json("compare", "ana", "--day", DAY))
    # Ana did not count FN in sample 3, of which June has 3
    assert (found["FN"]["samples"], found["FN"]["sum"], found["FN"]["checked"]) == (3, 0, 1)
    assert found["LN"]["samples"] == 4


def test_the_intervals_are_those_of_the_sums_and_of_the_samples(checked: Rowfoot) -> None:
    nymphs = columns(checked.json("compare", "Ana", "--day", DAY))["LN"]
    for key, confidence in (("exact_80", 0.8), ("exact_95", 0.95)):
        share = stats.binomtest(6, 28).proportion_ci(confidence, method="exact")
        assert nymphs[key] == pytest.approx([share.low / (1 - share.low), share.high / (1 - share.high)])
    between = ratio_between_samples([(2, 6), (1, 5), (2, 6), (1, 5)], 0.8)
    assert not isinstance(between, NoInterval)
    assert nymphs["between_samples_80"] == [between.low, between.high]
    assert nymphs["between_samples_why_not"] is None
    assert nymphs["words"] == "counts fewer nymphs than the check"


def test_where_nothing_was_found_there_is_null_and_never_nan(checked: Rowfoot) -> None:
    predators = columns(checked.json("compare", "ana", "--day", DAY))["MP"]
    assert (predators["sum"], predators["checked"], predators["ratio"]) == (0, 0, None)
    assert predators["exact_80"] is None
    assert predators["between_samples_80"] is None
    assert predators["between_samples_why_not"] == "The other counted none, so there is no ratio."
    assert predators["words"] == "too few to say"
    assert "NaN" not in checked.run("compare", "--json").stdout


def test_days_are_chosen_by_one_or_from_one_on(checked: Rowfoot) -> None:
    assert columns(checked.json("compare"))["LN"]["samples"] == 5
    assert columns(checked.json("compare", "--since", DAY))["LN"]["samples"] == 5
    later = checked.json("compare", "--since", THE_DAY_AFTER)
    assert (later["day"], later["since"]) == (None, THE_DAY_AFTER)
    one = columns(later)["LN"]
    assert (one["samples"], one["sum"], one["checked"]) == (1, 2, 2)
    assert one["between_samples_why_not"] == "How samples differ shows from 3 on; there is 1."
    assert one["words"] == "no difference that the counts could show"


def test_a_sample_checked_twice_is_set_against_the_newest_check(checked: Rowfoot) -> None:
    checked.run("text", BETO, "CHECK 121 1 FA1 LN2", "--at", f"{DAY}T11:00")
    shown = checked.json("compare", "ana", "--day", DAY)
    assert columns(shown)["LN"]["checked"] == 18
    assert shown["people"][0]["checkers"] == ["beto", "june"]


def test_nobody_is_compared_with_himself(checked: Rowfoot) -> None:
    checked.run("text", ANA, "REVISA 121 1 FA1 LN9", "--at", f"{DAY}T11:00")
    assert columns(checked.json("compare", "ana", "--day", DAY))["LN"]["checked"] == 22
    assert "no sample of June Abbot was checked" in checked.refusal("compare", "june")


def test_a_sample_of_another_effort_is_left_out_and_counted_as_such(checked: Rowfoot) -> None:
    checked.run("text", ANA, "121 CADA 2", "--at", f"{DAY}T11:00")
    checked.run("text", ANA, "121 CAMBIA 1 FA1 LN2", "--at", f"{DAY}T11:01")
    checked.run("text", ANA, "121 CAMBIA 1 FA1 LN3", "--at", f"{DAY}T11:02")
    shown = checked.json("compare", "ana", "--day", DAY)
    assert (shown["people"][0]["samples"], shown["people"][0]["left_out"]) == (3, 1)
    assert columns(shown)["LN"]["samples"] == 3


def test_a_table_and_a_line_of_plain_words_are_printed(checked: Rowfoot) -> None:
    printed = checked.run("compare", "--day", DAY).stdout
    assert "Ana Prado: 4 samples checked by June Abbot" in printed
    assert "  LN, plant bug (lygus): counts fewer nymphs than the check\n" in printed
    assert "  MP, minute pirate bug: too few to say\n" in printed


def test_somebody_in_training_is_compared_before_and_after_his_counts_stand(
    rowfoot: Rowfoot, tmp_path: Path
) -> None:
    season = LARKSPUR.read_text(encoding="utf-8")
    file = tmp_path / "training.toml"
    file.write_text(season.replace('name = "Luis Vega"', 'name = "Luis Vega"\ntrainee = true'), "utf-8")
    rowfoot.run("load", str(file))
    rowfoot.run("text", LUIS, "121 1 LN4 / 2 LN5 / 3 LN4", "--at", f"{DAY}T09:00")
    rowfoot.run("text", JUNE, "CHECK 121 1 LN4 / 2 LN3", "--at", f"{DAY}T09:30")
    (before,) = rowfoot.json("compare")["people"]
    assert (before["person"], before["trainee"], before["samples"]) == ("luis", True, 2)
    rowfoot.run("text", JUNE, "CHECK 121 3 LN4", "--at", f"{DAY}T09:31")
    assert rowfoot.json("show", "121", "--day", DAY)["samples_in"] == 3
    (after,) = rowfoot.json("compare")["people"]
    assert (after["trainee"], after["samples"]) == (True, 3)
    assert "Luis Vega, in training: 3 samples checked by June Abbot" in rowfoot.run("compare").stdout


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("compare", "nobody"), "'nobody' is nobody in Larkspur County cotton 2027"),
        (("compare", "--day", "Tuesday"), "'Tuesday' is no date as 2027-07-06"),
        (("compare", "--since", "2027-13-01"), "'2027-13-01' is no date as 2027-07-06"),
        (("compare", "--since", DAY, "--day", DAY), "--day and --since do not go together; say one of them"),
        (("compare",), "no sample was checked"),
        (("compare", "ana", "--since", DAY), f"no sample of Ana Prado was checked since {DAY}"),
        (("compare", "Ana Prado", "--day", DAY), f"no sample of Ana Prado was checked on {DAY}"),
    ],
)
def test_what_cannot_be_compared_is_refused_in_a_sentence(
    in_season: Rowfoot, words: tuple[str, ...], why: str
) -> None:
    assert in_season.refusal(*words) == f"Error: {why}"


@pytest.mark.parametrize(
    ("pairs", "words"),
    [
        ([(1, 2)], "too few to say"),
        ([(0, 3)], "too few to say"),
        ([(0, 4)], "counts fewer nymphs than the check, though samples may differ as much by themselves"),
        ([(5, 6), (7, 5)], "no difference that the counts could show"),
        ([(9, 4), (8, 4), (9, 5)], "counts more nymphs than the check"),
        ([(2, 6), (1, 5), (2, 6)], "counts fewer nymphs than the check"),
        (
            [(20, 1), (1, 2), (0, 1), (1, 1)],
            "counts more nymphs than the check, though samples may differ as much by themselves",
        ),
    ],
)
def test_the_words_claim_what_the_intervals_show(pairs: list[tuple[int, int]], words: str) -> None:
    ours, theirs = sum(one for one, _ in pairs), sum(other for _, other in pairs)
    assert in_words("nymph", ours, theirs, ratio_between_samples(pairs, 0.8)) == words
