"""The whole invented season: the same seed is the same season, everything occurs in it, and it plays again alike."""

import re
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from bot.__main__ import main
from bot.field_book import FieldBook, SeasonShelf, show
from bot.whole_season import (
    CameBack,
    Counted,
    Counts,
    Fixed,
    Moved,
    OptedOut,
    Player,
    Says,
    TakenBack,
)
from parsing import TEXT_SEPTETS, fits, septets
from storage import Store
from tests.test_replies import FORBIDDEN
from tests.whole_season_events import OCCURS, Season, played

FIRST_FORTNIGHT = 350
"""Happenings that take the play past its first week."""

TOLD_OF = re.compile(
    r"\d+ (SPRAYED|FUMIGADO)|in (SPRAYED|FUMIGADO)\.|\bis (being )?treated|it is treated|estan aplicando|en FUMIGADO"
)
"""Ways to tell of a treatment that was or is made, and the form to send: none of them tells anybody to make one."""


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    opened = Store(f"sqlite:///{tmp_path_factory.mktemp('season') / 'season.db'}", lasting=False)
    try:
        yield opened
    finally:
        opened.close()


@pytest.fixture(scope="module")
def season(store: Store) -> Season:
    return played(store, 1)


def beginning(folder: Path, name: str, seed: int) -> Season:
    store = Store(f"sqlite:///{folder / name}", lasting=False)
    try:
        return played(store, seed, FIRST_FORTNIGHT)
    finally:
        store.close()


def test_every_text_is_taken_as_its_sender_expected(season: Season) -> None:
    assert not season.surprises


def test_what_the_texts_mean_is_what_is_stored(season: Season, store: Store) -> None:
    meant = samples_meant(season)
    with store.read() as session:
        now = datetime(2027, 8, 9, 12, tzinfo=UTC)
        book = FieldBook(session, SeasonShelf().season(session), now)
        for (site, day), samples in meant.items():
            shown = show(book, site, day)
            assert shown is not None
            found = {int(number): counts for number, counts in shown["samples"].items()}
            for number, extras in shown["extras"].items():
                found[int(number)] |= extras
            lost = dict.fromkeys(shown["lost"])
            assert found | lost == samples, (site, day)


def samples_meant(season: Season) -> dict[tuple[int, date], dict[int, Counts | None]]:
    """Give what is in at every site and day by what the texts mean, and by nothing else."""
    meant: dict[tuple[int, date], dict[int, Counts | None]] = {}
    came: dict[str, tuple[tuple[int, date], tuple[int, ...]]] = {}
    for says, _ in season.said:
        for meaning in says.means:
            match meaning:
                case Counted(site=site, day=day, samples=samples):
                    meant.setdefault((site, day), {}).update(samples)
                    came[says.id] = (site, day), tuple(samples)
                case Fixed(site=site, day=day, sample=number, counts=counts):
                    meant[site, day][number] = counts
                case Moved(site=site, to=to, day=day, samples=numbers):
                    for number in numbers:
                        meant.setdefault((to, day), {})[number] = meant[site, day].pop(number)
                case TakenBack(text=text):
                    visit, numbers = came[text]
                    for number in numbers:
                        del meant[visit][number]
                case _:
                    pass
    return meant


def test_the_same_seed_is_the_same_season_and_another_is_another(tmp_path: Path, season: Season) -> None:
    again = beginning(tmp_path, "again.db", 1)
    assert again.happened == season.happened[:FIRST_FORTNIGHT]
    other = beginning(tmp_path, "other.db", 2)
    assert [says.text for says, _ in other.said] != [says.text for says, _ in again.said]


def test_what_happened_can_be_played_again_and_causes_the_same(tmp_path: Path, season: Season) -> None:
    store = Store(f"sqlite:///{tmp_path / 'once_more.db'}", lasting=False)
    try:
        player = Player(store)
        for happening, caused in season.happened[:FIRST_FORTNIGHT]:
            assert player.do(happening) == caused
    finally:
        store.close()


@pytest.mark.parametrize("kind", OCCURS)
def test_everything_that_a_season_brings_occurs(season: Season, kind: str) -> None:
    least, found = OCCURS[kind]
    assert found(season) >= least


def test_every_text_that_the_machine_sends_fits_one(season: Season) -> None:
    for _, caused in season.happened:
        for one in caused:
            assert fits(one.text), one
            assert septets(one.text) <= TEXT_SEPTETS, one


def test_no_grower_is_told_to_treat_a_field(season: Season) -> None:
    for says, caused in season.happened:
        for one in caused:
            if one.to in season.growers:
                told = TOLD_OF.sub("", one.text)
                if isinstance(says, Says):
                    told = told.replace(says.text, "")  # his own words, said back
                assert not FORBIDDEN.search(told), one


def test_every_known_phone_gets_one_answer_to_every_text_of_its_own(season: Season) -> None:
    out: set[str] = set()
    seen: set[str] = set()
    for says, caused in season.said:
        if says.id in seen:
            assert not caused
            continue
        seen.add(says.id)
        replies = [one for one in caused if one.purpose == "reply"]
        assert len(replies) <= 1
        if any(isinstance(one, CameBack) for one in says.means):
            out.discard(says.who)
        if says.who not in out and not says.who.startswith("+"):
            assert len(replies) == 1, says
        if any(isinstance(one, OptedOut) for one in says.means):
            out.add(says.who)


def test_no_season_is_written_over_a_file_that_is_there(tmp_path: Path) -> None:
    file = tmp_path / "rowfoot-season.db"
    file.write_text("mine", encoding="utf-8")
    ran = CliRunner().invoke(main, ["demo", "--season", "--file", str(file)])
    assert ran.exit_code == 2
    assert "is here already" in ran.output
    assert file.read_text(encoding="utf-8") == "mine"


def test_a_season_that_cannot_be_written_says_so(tmp_path: Path) -> None:
    ran = CliRunner().invoke(main, ["demo", "--season", "--file", str(tmp_path / "nowhere" / "season.db")])
    assert ran.exit_code == 1
    assert "could not be written" in " ".join(ran.output.split())
