"""The command `rehearse`, as somebody types it."""

import json
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from click.testing import CliRunner, Result

from bot.__main__ import main

ROOT = Path(__file__).resolve().parent.parent
LARKSPUR = ROOT / "fixtures" / "seasons" / "larkspur.toml"
HAND = "--level 3 --low 2 --high 4 --k 1.2 --k-sites 4"
FEW = "--rounds 30 --seasons 10 --processes 1"
SVG = "{http://www.w3.org/2000/svg}"


def run(*words: str) -> Result:
    result = CliRunner().invoke(main, ["rehearse", *words])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def answered(words: str) -> dict[str, Any]:
    result = run(*words.split(), *FEW.split(), "--json")
    assert result.exit_code == 0, result.output
    read: dict[str, Any] = json.loads(result.stdout)
    return read


def test_a_rehearsal_is_said_in_its_fixed_form() -> None:
    said = answered(HAND)
    assert list(said) == [
        "name",
        "assumed",
        "not_claimed",
        "field",
        "rounds",
        "seed",
        "at",
        "seasons",
        "one_site",
    ]
    assert said["field"]["stop"] | {"most": 10} == said["field"]["stop"]
    assert [one["times"] for one in said["at"]] == [0.25, 0.5, 0.67, 0.8, 0.9, 1, 1.1, 1.25, 1.5, 2, 3]
    assert [one["truth"] for one in said["at"]] == ["below"] * 5 + ["above"] * 6
    assert list(said["at"][0]["ways"]) == ["fixed", "certain", "sequential"]
    assert list(said["at"][0]["ways"]["fixed"]) == [
        "called_above",
        "wrong",
        "samples",
        "saved",
        "alert_after",
        "called_otherwise",
    ]
    assert list(said["seasons"]["ways"]) == ["fixed", "certain", "sequential"]
    assert said["one_site"]["exact"]["most"] == 10
    assert said["assumed"] == []


def test_a_rehearsal_is_read_at_a_hundred_columns() -> None:
    result = run(*HAND.split(), *FEW.split())
    assert result.exit_code == 0, result.output
    lines = result.stdout.splitlines()
    assert max(map(len, lines)) <= 100
    rows = [line.split() for line in lines if line.strip().startswith(("0.25 ", "3 "))]
    assert [len(row) for row in rows] == [10, 10]
    assert "Not claimed: an error rate of the sequential plan for a field of several sites" in result.stdout
    assert "calls every one of the 330 fields as fixed does" in " ".join(result.stdout.split())
    assert result.stderr == ""


def test_a_k_that_nobody_gave_is_named_as_assumed() -> None:
    assumed = answered("--level 3 --low 2 --high 4 --at 1")["assumed"]
    assert [one.split(";")[0].split(":")[0] for one in assumed] == [
        "k = 1 within a site",
        "k = 4 between sites",
    ]
    assert "no k for these insects was found in print" in assumed[0]


def test_a_k_of_the_lines_that_is_not_that_of_the_counts_is_said() -> None:
    said = answered("--level 3 --low 2 --high 4 --k 0.6 --k-lines 1.2 --k-sites 4 --at 1")
    assert said["assumed"] == ["counts truly of k = 0.6, though the stop lines take k = 1.2."]
    assert said["one_site"]["exact"] is None
    assert said["field"]["stop"]["k"] == 1.2


def test_without_stop_lines_only_the_fixed_plan_is_rehearsed() -> None:
    said = answered("--level 3 --k 1 --k-sites 4 --at 0.5,1")
    assert [list(one["ways"]) for one in said["at"]] == [["fixed", "certain"]] * 2
    assert said["one_site"] is None
    assert said["not_claimed"] is None


def test_a_plan_of_a_season_file_is_rehearsed_with_its_own_level_and_lines() -> None:
    said = answered(f"--season {LARKSPUR} --plan sequential --sites 3 --at 1")
    assert said["name"] == "Larkspur County cotton 2027, plan sequential, level plantbug-bloom-sheet"
    assert said["field"] == {
        "sites": 3,
        "samples": 10,
        "each": "3 row ft",
        "level": 3,
        "per": "5 row ft",
        "k": 1.2,
        "k_sites": 4,
        "stop": {
            "low": 2,
            "high": 4,
            "per": "5 row ft",
            "k": 1.2,
            "alpha": 0.1,
            "beta": 0.1,
            "at_least": 4,
            "most": 10,
        },
    }
    assert said["assumed"][0].startswith("counts truly of k = 1.2 within a site, as the stop lines take it")


def test_a_plan_has_the_sites_of_its_largest_field() -> None:
    sites = [
        answered(f"--season {LARKSPUR} --plan {key} --at 1")["field"]["sites"]
        for key in ("sheets", "sequential")
    ]
    assert sites == [3, 1]


def test_what_is_given_beside_a_plan_governs() -> None:
    said = answered(
        f"--season {LARKSPUR} --plan sequential --most 20 --at-least 6 --k 0.8 --k-sites 2 --sites 2 --at 1"
    )
    assert said["field"]["stop"] | {"at_least": 6, "most": 20, "k": 1.2} == said["field"]["stop"]
    assert (said["field"]["samples"], said["field"]["k"], said["field"]["k_sites"]) == (10, 0.8, 2)


def test_the_stage_chooses_the_level() -> None:
    said = answered(
        f"--season {LARKSPUR} --plan sweeps --target lygus --stage squaring --at 1".replace("'", "")
    )
    assert (said["field"]["level"], said["field"]["per"]) == (8, "100 sweeps")


def test_the_loaded_season_is_rehearsed(tmp_path: Path) -> None:
    database = {"ROWFOOT_DATABASE": f"sqlite:///{tmp_path / 'r.db'}"}
    words = ["rehearse", "--plan", "sequential", "--at", "1", *FEW.split(), "--json"]
    early = CliRunner(env=database).invoke(main, words)
    assert early.exit_code == 1
    assert "no season is loaded" in early.stderr
    assert CliRunner(env=database).invoke(main, ["load", str(LARKSPUR)]).exit_code == 0
    result = CliRunner(env=database).invoke(main, words)
    assert result.exit_code == 0, result.output
    assert json.loads(result.stdout)["field"]["samples"] == 10


def test_the_curves_of_all_plans_are_drawn(tmp_path: Path) -> None:
    file = tmp_path / "plans.svg"
    result = run(*HAND.split(), *FEW.split(), "--plot", str(file))
    assert result.exit_code == 0, result.output
    picture = ET.parse(file).getroot()  # noqa: S314  our own file
    assert len(picture.findall(f".//{SVG}polyline")) == 9
    said = {text.text for text in picture.iter(f"{SVG}text")}
    assert {
        "Fields called above",
        "Samples counted in a field",
        "fixed",
        "certain",
        "sequential",
        "level",
    } <= said


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ("--level 3 --low 4 --high 2", "low must be under high; 4 is not under 2."),
        ("--level 3 --low 3 --high 3", "low must be under high; 3 is not under 3."),
        ("--level 3 --low 2", "Stop lines need both --low and --high"),
        ("--level 3 --low 0 --high 4", "low must be over 0, not 0."),
        ("--level 3 --k 0", "k must be over 0, not 0"),
        ("--level 3 --k nan", "k must be over 0, not nan"),
        ("--level 3 --k-sites -1", "k-sites must be over 0, not -1"),
        ("--level 3 --low 2 --high 4 --k-lines 0", "k must be over 0, not 0"),
        ("--level 3 --low 2 --high 4 --alpha 0.6 --beta 0.5", "alpha and beta together must be under 1"),
        (
            "--level 3 --low 2 --high 4 --at-least 20",
            "The least number of samples, 20, must be from 1 to the most",
        ),
        ("--level 3 --samples 0", "A site has 1 to 5000 samples here, not 0."),
        ("--level 3 --sites 0", "A field has 1 to 100 sites here, not 0."),
        ("--level 3 --sites 1 --k-sites 2", "A field of one site is its site"),
        ("--level 3 --rounds 0", "At least one round is played at each density, not 0."),
        ("--level 3 --seasons -1", "Seasons are 0 or more, not -1."),
        ("--level 3 --seed -1", "A seed is 0 or more, not -1."),
        ("--level 0", "A level must be over 0, not 0."),
        ("--level 1e5", "'1e5' is no number as 2.5"),
        ("--level 999999 --at 100", "No sample holds"),
        ("--level 3 --at 1,x", "'1,x' are no true densities as times the level, as 0.5,1,2."),
        ("--level 3 --each x", "'x' is no effort as 5 row ft"),
        ("--level 3 --per 100-sweeps", "'100-sweeps' is no effort as 5 row ft"),
        ("--level 3 --start 1", "A season starts over 0 and under the level, not at 1 times it."),
        ("--level 3 --doubling 0", "Insects double in 1 to 60 days here, not in 0."),
        ("--level 3 --every 0", "A round is due every day at most, not every 0 days."),
        ("--level 3 --target lygus", "A target or stage is of a plan in a season"),
        ("--level 3 --plot plans.png", "plans.png does not end in .svg."),
        ("--level 3 --season FILE", "A season file is of use with --plan"),
        ("--season FILE --plan none", "has no plan 'none'; it has sweeps, sheets, looks, sequential."),
        ("--season FILE --plan sheets --target piratebug", "Plan sheets has no level for piratebug."),
        (
            "--season FILE --plan sequential --stage cutout",
            "Plan sequential has no level for lygus in cutout.",
        ),
        ("--season FILE --plan sequential --stage soon", "'soon' is no stage as bloom 2."),
        ("--season FILE --plan sweeps --target lygus", "turns on the stage"),
        ("", "Say the level, as --level 3 --per '5 row ft', or a plan of the season, as --plan sheets."),
    ],
)
def test_bad_input_is_answered_with_a_sentence(words: str, sentence: str) -> None:
    result = run(*words.replace("FILE", str(LARKSPUR)).split())
    assert result.exit_code == 2
    assert sentence in " ".join(result.stderr.split())
    assert result.stdout == ""


def test_curves_that_do_not_exist_are_not_drawn(tmp_path: Path) -> None:
    result = run("--level", "3", "--at", "0", *FEW.split(), "--plot", str(tmp_path / "plans.svg"))
    assert result.exit_code == 2
    assert "No field was called above: there is no curve to draw." in result.stderr


def test_a_picture_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    result = run(*HAND.split(), "--at", "1", *FEW.split(), "--plot", str(tmp_path / "nowhere" / "plans.svg"))
    assert result.exit_code == 1
    assert "cannot be written" in result.stderr
