"""A season's first weeks on PostgreSQL, with two clocks and processes that are killed."""

from datetime import timedelta
from itertools import takewhile
from pathlib import Path

import pytest

from bot.whole_season import Happening, Player, Script, play
from tests.conftest import Cluster
from tests.restarts.outcome import outcome_of
from tests.restarts.playing import faults_over_restarts
from tests.restarts.worker import opened

SEED = 2
DAYS = 16
RESTARTS = 50


def first_weeks(folder: Path) -> list[Happening]:
    """Give what happens in a season's first days."""
    with opened(f"sqlite:///{folder / 'once.db'}") as store:
        going = play(Script(SEED), store)
        first, _ = next(going)
        ends = first.at + timedelta(days=DAYS)
        return [first, *(one for one, _ in takewhile(lambda happened: happened[0].at < ends, going))]


@pytest.mark.postgres
def test_no_alert_twice_and_none_lost_over_restarts_on_postgres(cluster: Cluster, tmp_path: Path) -> None:
    happenings = first_weeks(tmp_path)
    with opened(f"sqlite:///{tmp_path / 'undisturbed.db'}") as store:
        player = Player(store)
        for happening in happenings:
            player.do(happening)
        wanted = outcome_of(store)
    url = cluster.fresh_database()
    assert faults_over_restarts(url, tmp_path / "carrier.jsonl", happenings, wanted, RESTARTS, SEED) == []
