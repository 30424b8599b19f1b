"""One scouting day through the front door: real processes, real HTTP, and a recount that knows no rule of ours.

The counts of the day are drawn at random (seeded) and sent in every form, with corrections. The test keeps
its own tally of the raw counts and says from it alone what every total, standing, alert, correction and
digest must be: 3 plant bugs per 5 row ft on sheets of 3 row ft, ten a site (MSU Extension P2561, 2007;
ten sheets are 30 row feet, common practice).
"""

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from fractions import Fraction
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from bot.demo.stage import Stage, set_up

SEASON = Path(__file__).parent.parent / "fixtures" / "seasons" / "story.toml"
ZONE = ZoneInfo("America/Chicago")
BEGINS = datetime(2027, 7, 6, 8, 5, tzinfo=ZONE)
DIGEST = datetime(2027, 7, 6, 18, 31, tzinfo=ZONE)
CODES = ("FA", "FN", "LA", "LN", "MP")
SHEETS, SHEET_ROW_FT, LEVEL, PER_ROW_FT = 10, 3, 3, 5
FIELDS = {12: (121, 123, 125), 14: (14,), 16: (162, 165)}
SCOUT = {12: "+12705550111", 14: "+12705550112", 16: "+12705550112"}
GROWERS = {12: ("+12705550130",), 14: ("+12705550131",), 16: ("+12705550130", "+12705550131")}
NAMES = {12: "Gin Road West", 14: "Pump House", 16: "Levee"}
JUNE = "+12705550120"
HEAVY = {14, 125, 162}
"""Sites where plant bugs are many."""


@dataclass
class Tally:
    """The test's own account: the counts on each sheet, and what each grower must have heard."""

    sheets: dict[int, dict[int, tuple[int, ...]]] = field(
        default_factory=lambda: {site: {} for sites in FIELDS.values() for site in sites}
    )
    heard: dict[tuple[int, str], list[str]] = field(default_factory=dict)
    above: set[int] = field(default_factory=set)

    def bugs(self, site: int) -> int:
        return sum(sheet[2] + sheet[3] for sheet in self.sheets[site].values())

    def density(self, site: int) -> Fraction | None:
        effort = len(self.sheets[site]) * SHEET_ROW_FT
        return Fraction(self.bugs(site) * PER_ROW_FT, effort) if effort else None

    def is_above(self, number: int) -> bool:
        """Above for certain: if every sheet still to come were empty, the mean would be at the level all the same."""
        whole = SHEETS * SHEET_ROW_FT
        mean = sum(Fraction(self.bugs(site) * PER_ROW_FT, whole) for site in FIELDS[number]) / len(
            FIELDS[number]
        )
        return mean >= LEVEL

    def note(self, number: int) -> None:
        """Note what growers must hear after a text: an alert when the field crosses, else a correction."""
        now = self.is_above(number)
        if now == (number in self.above):
            return
        for grower in GROWERS[number]:
            self.heard.setdefault((number, grower), []).append("alert" if now else "corrected")
        (self.above.add if now else self.above.discard)(number)


def drawn_sheet(draw: random.Random, site: int) -> tuple[int, ...]:
    """Draw one sheet: mostly small counts, plant bugs many where the site is heavy."""
    most = 7 if site in HEAVY else 2
    return (
        draw.randint(0, 2),
        draw.randint(0, 1),
        draw.randint(0, 1),
        draw.randint(0, most),
        draw.randint(0, 3),
    )


def said(draw: random.Random, site: int, sheets: dict[int, tuple[int, ...]]) -> str:
    """Say some sheets in one of the forms of the text language."""
    form = draw.choice(["coded", "digits", "packed"])
    groups = []
    for number, counts in sheets.items():
        if not any(counts):
            groups.append(f"{number} 0")
        elif form == "coded":
            groups.append(f"{number} " + " ".join(f"{c}{n}" for c, n in zip(CODES, counts, strict=True) if n))
        elif form == "digits":
            groups.append(f"{number} " + " ".join(map(str, counts)))
        else:
            groups.append(f"{number} " + "".join(map(str, counts)))
    return f"{site} " + draw.choice([" / ", "\n", ";"]).join(groups)


def texts_of_the_day(draw: random.Random) -> Iterator[tuple[int, int, str, dict[int, tuple[int, ...]]]]:
    """Give the day's texts: field, site, words, and the sheets that they set; some correct one sent before."""
    for number, sites in FIELDS.items():
        for site in sites:
            sent: dict[int, tuple[int, ...]] = {}
            while len(sent) < SHEETS:
                batch = range(len(sent) + 1, min(SHEETS, len(sent) + draw.randint(1, 4)) + 1)
                sheets = {sheet: drawn_sheet(draw, site) for sheet in batch}
                yield number, site, said(draw, site, sheets), sheets
                sent |= sheets
                if draw.random() < 0.3:
                    wrong = draw.choice(list(sent))
                    right = drawn_sheet(draw, site)
                    if right != sent[wrong] and any(right):
                        words = " ".join(f"{c}{n}" for c, n in zip(CODES, right, strict=True) if n)
                        yield number, site, f"{site} FIX {wrong} {words}", {wrong: right}
                        sent[wrong] = right
    # the heavy field of one site turns out to have been counted wrong from the third sheet on
    for sheet in range(3, SHEETS + 1):
        yield 14, 14, f"14 FIX {sheet} 0", {sheet: (0, 0, 0, 0, 0)}


def received(stage: Stage, phone: str) -> list[str]:
    return [line["text"] for line in stage.conversation(phone) if line["direction"] == "in"]


@pytest.fixture(scope="module")
def played() -> Iterator[tuple[Stage, Tally, int]]:
    """Play the day once; the tests below look at what is there."""
    draw = random.Random(20270706)  # noqa: S311  seeded counts, no secret
    tally = Tally()
    moment = BEGINS
    with set_up(BEGINS, SEASON) as stage:
        count = 0
        for number, site, words, sheets in texts_of_the_day(draw):
            moment += timedelta(minutes=2)
            count += 1
            stage.set_clock(moment)
            stage.press(SCOUT[number], words, moment)
            stage.settled(count)
            tally.sheets[site] |= sheets
            tally.note(number)
            if tally.heard.get((number, GROWERS[number][0])):
                for grower in GROWERS[number]:
                    count += 1
                    stage.press(grower, "OK", moment + timedelta(seconds=30))
                stage.settled(count)
        stage.set_clock(DIGEST)
        stage.until_sent(JUNE, len(received(stage, JUNE)) + 1)
        stage.settled(count)
        yield stage, tally, count


def test_the_day_is_one_worth_telling(played: tuple[Stage, Tally, int]) -> None:
    """The drawn day has what the other tests need: fields above and below, an alert taken back."""
    _, tally, count = played
    assert count > 60
    assert ["alert", "corrected"] in [heard[-2:] for heard in tally.heard.values()]
    assert 0 < len(tally.above) < len(FIELDS)


def test_every_count_is_on_the_board_as_it_was_on_the_sheet(played: tuple[Stage, Tally, int]) -> None:
    stage, tally, _ = played
    shown = {site["site"]: site for each in stage.board()["fields"] for site in each["sites"]}
    for site, sheets in tally.sheets.items():
        counts = {
            int(number): tuple(sample[code] for code in CODES)
            for number, sample in shown[site]["samples"].items()
        }
        assert counts == sheets
        assert (shown[site]["state"], shown[site]["samples_in"]) == ("done", SHEETS)


def test_every_site_stands_where_its_sheets_put_it(played: tuple[Stage, Tally, int]) -> None:
    stage, tally, _ = played
    shown = {site["site"]: site for each in stage.board()["fields"] for site in each["sites"]}
    for site in tally.sheets:
        (level,) = shown[site]["levels"]
        density = tally.density(site)
        assert density is not None
        assert (level["total"], level["effort"]) == (tally.bugs(site), SHEETS * SHEET_ROW_FT)
        assert level["density"] == pytest.approx(float(density), abs=1e-12)
        assert level["standing"] == ("above" if density >= LEVEL else "below")


def test_every_field_stands_at_the_mean_of_its_sites(played: tuple[Stage, Tally, int]) -> None:
    stage, tally, _ = played
    for each in stage.board()["fields"]:
        number = each["number"]
        densities = [tally.density(site) or Fraction(0) for site in FIELDS[number]]
        mean = sum(densities) / len(densities)
        (level,) = each["field"]["levels"]
        assert level["density"] == pytest.approx(float(mean), abs=1e-12)
        assert level["standing"] == ("above" if mean >= LEVEL else "below")


def test_each_grower_heard_each_crossing_once_and_each_correction(played: tuple[Stage, Tally, int]) -> None:
    stage, tally, _ = played
    for number, growers in GROWERS.items():
        for grower in growers:
            about = [text for text in received(stage, grower) if f"{number} {NAMES[number]}" in text]
            told = ["corrected" if text.startswith(("CORRECTED", "CORREGIDO")) else "alert" for text in about]
            assert told == tally.heard.get((number, grower), [])


def test_every_text_got_exactly_one_reply(played: tuple[Stage, Tally, int]) -> None:
    stage, _, _ = played
    for phone in sorted(set(SCOUT.values())):
        lines = stage.conversation(phone)
        assert [line["direction"] for line in lines] == ["out", "in"] * (len(lines) // 2)


def test_the_supervisor_has_one_digest_that_names_the_fields_above(played: tuple[Stage, Tally, int]) -> None:
    stage, tally, _ = played
    texts = received(stage, JUNE)
    begins = [place for place, text in enumerate(texts) if text.startswith("Tue Jul 6")]
    assert len(begins) == 1
    digest = " ".join(texts[begins[0] :])
    for number in FIELDS:
        assert (f" {number} lygus" in digest.split("CLOSE CALL")[0].split("NOT DONE")[0]) == (
            number in tally.above
        )
    assert "Sites done 6 of 6, samples 60 of 60." in digest
