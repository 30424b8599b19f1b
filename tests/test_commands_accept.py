"""The command by which a supervisor lets counts of somebody in training stand without a check."""

from pathlib import Path

import pytest

from tests.conftest import LARKSPUR, Rowfoot

ANA, LUIS, JUNE = "+12705550111", "+12705550112", "+12705550120"
DAY = "2027-07-06"
AT = ("--day", DAY, "--at", f"{DAY}T11:00")


@pytest.fixture
def training(rowfoot: Rowfoot, tmp_path: Path) -> Rowfoot:
    """The command with Luis in training: ten sheets of his at 14, of which Ana has number 4 in."""
    season = LARKSPUR.read_text(encoding="utf-8")
    file = tmp_path / "training.toml"
    file.write_text(season.replace('name = "Luis Vega"', 'name = "Luis Vega"\ntrainee = true'), "utf-8")
    rowfoot.run("load", str(file))
    rowfoot.run("text", ANA, "14 4 LN1", "--at", f"{DAY}T08:50")
    ten = " / ".join(f"{number} LN5" for number in range(1, 11))
    rowfoot.run("text", LUIS, f"14 {ten}", "--at", f"{DAY}T09:00")
    return rowfoot


def test_what_a_supervisor_accepts_stands_and_its_alert_leaves(training: Rowfoot) -> None:
    done = training.json("accept", "14", "--by", "june", *AT)
    assert (done["site"], done["day"], done["by"]) == (14, DAY, "june")
    assert done["accepted"] == {"luis": [1, 2, 3, 5, 6, 7, 8, 9, 10]}
    assert done["left"] == {"luis": [4]}
    # 46 nymphs on 30 row feet, 7.67 per 5 against a level of 3
    assert {text["purpose"] for text in done["texts"]} == {"alert", "notice"}
    of_luis = "14: June accepted your samples 1-3 5-10. They count now."
    assert [one["text"] for one in done["texts"] if one["to"] == LUIS] == [of_luis]
    assert all("7.67" in one["text"] for one in done["texts"] if one["to"] != LUIS)
    shown = training.json("show", "14", "--day", DAY)
    assert (shown["state"], shown["samples_in"]) == ("done", 10)
    assert shown["samples"]["4"]["LN"] == 1
    assert list(shown["trainees"]["luis"]) == ["4"]


def test_it_says_what_it_did_in_plain_words(training: Rowfoot) -> None:
    printed = training.run("accept", "14", "--by", "June", "--person", "luis", *AT).stdout.splitlines()
    assert printed[0] == (
        f"luis at 14 on {DAY}: samples 1, 2, 3, 5, 6, 7, 8, 9, 10 count now; 4 stay beside, as they are in already."
    )
    assert all(line.startswith("  -> +1") for line in printed[1:])


def test_accepting_again_finds_only_what_stayed_beside(training: Rowfoot) -> None:
    training.run("accept", "14", "--by", "june", *AT)
    again = training.json("accept", "14", "--by", "june", *AT)
    assert (again["accepted"], again["left"], again["texts"]) == ({"luis": []}, {"luis": [4]}, [])


def test_a_sample_may_be_followed_to_its_text_and_a_scout_may_still_correct_it(training: Rowfoot) -> None:
    training.run("accept", "14", "--by", "june", *AT)
    reply = training.run("text", JUNE, "14 FIX 1 LN0", "--at", f"{DAY}T11:30").stdout
    assert "was LN5" in reply
    assert training.json("show", "14", "--day", DAY)["samples"]["1"]["LN"] == 0


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("15", "--by", "june"), "15 is no site of Larkspur County cotton 2027"),
        (("12", "--by", "june"), "12 is no site of Larkspur County cotton 2027"),
        (("14", "--by", "ana"), "Ana Prado is no supervisor of field 14; only one accepts counts"),
        (("14", "--by", "nobody"), "'nobody' is nobody in Larkspur County cotton 2027"),
        (
            ("14", "--by", "june", "--person", "ana"),
            f"at 14 on {DAY} no 'ana' in training has counts that wait",
        ),
        (("121", "--by", "june"), f"at 121 on {DAY} nobody in training has counts that wait"),
    ],
)
def test_what_cannot_be_accepted_is_refused_in_a_sentence(
    training: Rowfoot, words: tuple[str, ...], why: str
) -> None:
    assert training.refusal("accept", *words, *AT) == f"Error: {why}"
    assert training.json("show", "14", "--day", DAY)["samples_in"] == 1


def test_a_day_that_is_none_is_refused(training: Rowfoot) -> None:
    assert "'soon' is no date" in training.refusal("accept", "14", "--by", "june", "--day", "soon")
