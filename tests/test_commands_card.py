"""`rowfoot card`: a plan's card to print, its stop table the one that visits stop by."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from bot.__main__ import main
from tests.talk import SEASONS


def run(*words: str) -> Result:
    return CliRunner().invoke(main, list(words))


@pytest.fixture
def season(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ROWFOOT_DATABASE", f"sqlite:///{tmp_path / 'card.db'}")
    assert run("load", str(SEASONS / "figures.toml")).exit_code == 0


@pytest.mark.usefixtures("season")
def test_a_card_holds_the_codes_in_their_order_and_the_stop_table() -> None:
    lines = run("card", "stops").output.splitlines()
    assert lines[0] == "stops: Sheet, 3 row ft a sample"
    assert "  2  LN  lygus nymph" in lines
    assert "Add up LA+LN over all samples. From 4 on, 10 at most:" in lines
    assert "        6           0-2     3-17               18+" in lines
    assert "       10  stop, whatever the sum" in lines
    assert max(map(len, lines)) <= 60


@pytest.mark.usefixtures("season")
def test_a_card_says_the_same_sums_as_figure_stops() -> None:
    card = json.loads(run("card", "stops", "--json").output)
    # 2 and 4 per 5 row ft are 1.2 and 2.4 on a sheet of 3 row ft
    words = "figure stops --family nb --low 1.2 --high 2.4 --k 1.2 --alpha .1 --beta .1 --rows 10 --json"
    figure = json.loads(run(*words.split()).output)
    assert card["stop"]["rows"] == figure["rows"][3:]


@pytest.mark.usefixtures("season")
def test_a_fixed_plan_has_no_stop_table_on_its_card() -> None:
    assert "Take 10 samples." in run("card", "sheets").output
    assert json.loads(run("card", "sheets", "--json").output)["stop"] is None


@pytest.mark.usefixtures("season")
def test_a_card_is_printed_in_the_scouts_language() -> None:
    said = run("card", "scattered", "--language", "es").output
    assert "  1  LA  lygus adulto" in said
    assert "Sume LA+LN de todas. Desde 3, a lo mas 10:" in said


@pytest.mark.usefixtures("season")
def test_a_plan_that_is_not_there_is_a_sentence() -> None:
    said = run("card", "nets")
    assert said.exit_code == 1
    assert "There is no plan nets; the season has sheets, stops, scattered." in said.output


def test_without_a_season_there_is_no_card(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ROWFOOT_DATABASE", f"sqlite:///{tmp_path / 'none.db'}")
    said = run("card", "stops")
    assert said.exit_code == 1
    assert "Traceback" not in said.output
