"""One source of each number: a reply, an alert, a notice, the digest, `show` and `figure` say the same."""

import json
import random
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from bot.__main__ import main
from tests.talk import Talk, talking, to

SHEETS_TO_LEVEL = 5 / 3
"""A level's 5 row ft are so many sheets of 3."""


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path, "figures.toml") as opened:
        yield opened


def figure(*words: str) -> dict[str, Any]:
    said = CliRunner().invoke(main, ["figure", *words, "--json"])
    assert said.exit_code == 0, said.output
    return dict(json.loads(said.output))


def counts_of(seed: int, most: int) -> list[int]:
    draw = random.Random(seed)  # noqa: S311  counts, not secrets
    return [draw.randint(0, most) for _ in range(10)]


def in_one_text(site: int, counts: list[int]) -> str:
    return f"{site} " + " / ".join(f"{number} LN{count}" for number, count in enumerate(counts, start=1))


def numbers_after(word: str, text: str) -> set[str]:
    """The numbers that follow a word in a text: lygus 3.67."""
    return set(re.findall(rf"(?i){word} (?:at least )?([0-9.]*[0-9])", text))


@pytest.mark.parametrize("seed", range(12))
def test_a_site_is_the_same_figure_everywhere(talk: Talk, seed: int) -> None:
    counts = counts_of(seed, 2 + seed)
    caused = talk.says("luis", "09:00", in_one_text(64, counts))
    (lygus,) = talk.show(64)["levels"]
    mean = figure("mean", *map(str, counts), "--confidence", ".8")
    assert lygus["density"] == pytest.approx(mean["mean"] * SHEETS_TO_LEVEL, abs=1e-12)
    assert lygus["interval"] == [end * SHEETS_TO_LEVEL for end in mean["interval"]]
    printed = {f"{round(lygus['density'], 2):g}"}
    said = [one["text"] for one in caused] + [one["text"] for one in talk.strikes("18:30")]
    for text in said:
        assert numbers_after("lygus", text) <= printed | {
            f"{lygus['density'] / 3:.2f}".rstrip("0").rstrip(".")
        }, text
    assert numbers_after("lygus", said[0]) == printed
    assert all(numbers_after("lygus", text) == printed for _, text in to(caused, "alert"))


@pytest.mark.parametrize("seed", range(4))
def test_a_field_is_the_same_figure_everywhere(talk: Talk, seed: int) -> None:
    sites = {number: counts_of(10 * seed + number, 5 + seed) for number in (521, 523, 525)}
    caused = [talk.says("luis", "09:00", in_one_text(number, counts)) for number, counts in sites.items()][-1]
    (lygus,) = talk.show(52)["levels"]
    field = figure("field", *(",".join(map(str, counts)) for counts in sites.values()))
    assert lygus["density"] == pytest.approx(field["mean"] * SHEETS_TO_LEVEL, abs=1e-12)
    assert lygus["se"] == pytest.approx(field["se"] * SHEETS_TO_LEVEL, rel=1e-12)
    printed = {f"{round(lygus['density'], 2):g}"}
    assert numbers_after("lygus", talk.reply("june", "10:00", "52")) == printed
    for _, text in to(caused, "alert") + to(caused, "notice"):
        assert numbers_after("lygus", text) == printed


def test_a_share_is_the_same_figure_everywhere(talk: Talk) -> None:
    talk.says("luis", "09:00", "64 1-10 0")
    caused = talk.says("luis", "09:01", "64 BH 4 30")
    (share,) = [one for one in talk.show(64)["levels"] if "share" in one]
    assert share["density"] == pytest.approx(100 * 4 / 30, abs=1e-12)
    assert "13.33 %" in caused[0]["text"]
    ((_, alert),) = to(caused, "alert")
    assert numbers_after("rate", alert) == {"13.33"}
    assert numbers_after("rate", " ".join(one["text"] for one in talk.strikes("18:30"))) == {"13.33", "1.33"}
