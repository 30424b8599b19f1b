"""Bad days: the service is killed in the middle of a digest, or two of it run with a clock each. Real processes."""

import time
from collections import Counter
from contextlib import ExitStack
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from bot.by_hand import ByHand
from bot.field_book import SeasonShelf
from bot.rounds import strike
from bot.schedule import TICK_S
from bot.season_file import SeasonText, read_texts
from storage import Store, outbox_beginning
from storage.outbox import TEXTS
from tests.served import Served, a_carrier, eventually, serve
from tests.talk import SEASONS, ZONE, Talk

EVENING = datetime(2027, 7, 6, 18, 31, tzinfo=ZONE)
MORE_FIELDS = "".join(
    f'[fields.{number}]\nname = "Bottom {number}"\nscouts = ["luis"]\nsites = [1, 4, 7]\nrow_spacing_in = 38\n'
    f'first_bloom = 2027-06-30\nplan = "sheets"\n\n'
    for number in (43, 57, 68, 76, 85)
)
SECOND_SUPERVISOR = '[people.kay]\nname = "Kay Moss"\nphone = "+1 270 555 0121"\nroles = ["supervisor"]\n\n'
DIGESTS = {
    *(f"digest:{who}:2027-07-06:{part}" for who in ("june", "kay") for part in (1, 2, 3)),
    "digest:beto:2027-07-06:1",
}


@pytest.fixture
def database(database_url: str) -> str:
    """A database of a season with two supervisors, whose digests are full, and a leader."""
    texts = read_texts(SEASONS / "talk.toml")
    season = texts.season.replace("[people.opal]", f"{SECOND_SUPERVISOR}[people.opal]")
    season = season.replace("[plans.sweeps]", f"{MORE_FIELDS}[plans.sweeps]")
    store = Store(database_url)
    Talk(store, SeasonText(season=season, book=texts.book))
    store.close()
    return database_url


def test_a_digest_that_a_kill_interrupts_comes_whole_and_each_part_of_it_once(
    tmp_path: Path, database: str
) -> None:
    """Killed while a part is being handed over; that part is handed over again under the same correlator."""
    put_down(database)
    fatal = {3}
    running: list[Served] = []

    def kill_at(number: int) -> None:
        if number in fatal:
            running[-1].kill()

    with ExitStack() as ends, a_carrier(before_answering=kill_at) as carrier:
        moment = EVENING
        for _ in range(len(fatal) + 1):
            running.append(serve(tmp_path, "clock", database, carrier, moment))
            ends.callback(running[-1].close)
            eventually(
                lambda: is_dead(running[-1]) or set(carrier.correlators()) == DIGESTS, "a kill, or all"
            )
            # what the killed one held is free when its lease is over
            moment += TEXTS.lease + timedelta(seconds=1)
        assert not is_dead(running[-1])
        eventually(lambda: all_have_left(database), "all are settled")
        handed = carrier.handed
    counts = Counter(one.correlator for one in handed)
    assert set(counts) == DIGESTS
    assert sorted(counts.values()) == [1] * (len(DIGESTS) - len(fatal)) + [2] * len(fatal)
    assert len({(one.correlator, one.to, one.text) for one in handed}) == len(DIGESTS)


def put_down(database: str) -> None:
    """Let the clock strike, so that the services begin with handing over."""
    store = Store(database)
    try:
        strike(store, SeasonShelf(), EVENING)
    finally:
        store.close()


def is_dead(served: Served) -> bool:
    return served.process.poll() is not None


def all_have_left(database: str) -> bool:
    store = Store(database)
    try:
        with store.read() as session:
            return all(row.left_at is not None for row in outbox_beginning(session, "digest:"))
    finally:
        store.close()


def test_two_services_with_clocks_that_differ_do_everything_once(tmp_path: Path, database: str) -> None:
    """One clock is 20 seconds ahead of the other; the carrier takes its time, so that both are always at it."""
    before_it(database)
    expected = {
        *DIGESTS,
        *(f"alert:reminder:{number}:{who}" for number, who in alerts(database)),
        *(f"keepout:call:2:{who}" for who in ("june", "kay")),
        *(f"notice:hours-over:1:{who}" for who in ("ana", "june", "kay")),
    }
    with ExitStack() as ends, a_carrier(takes_s=0.1) as carrier:
        for name, ahead in (("first", 20), ("second", 0)):
            one = serve(tmp_path, name, database, carrier, EVENING + timedelta(seconds=ahead))
            ends.callback(one.close)
        eventually(lambda: expected <= set(carrier.correlators()), "all are handed over")
        wait_for_a_tick()
        handed = carrier.correlators()
    assert Counter(handed) == Counter(expected)


def before_it(database: str) -> None:
    """What happened by hand that day: an alert without OK, hours that end, a KEEP OUT without OK."""
    store = Store(database)
    try:
        hand = ByHand(store, lambda: EVENING)
        for phone, at, words in (
            ("+12705550131", "2027-07-05T06:30", "16 SPRAYED 36"),
            ("+12705550112", "2027-07-06T15:00", "14 1 LN9 / 2 LN9 / 3 LN9"),
            ("+12705550130", "2027-07-06T18:15", "31 SPRAYED 24"),
        ):
            hand.take(phone, words, at, None, None)
    finally:
        store.close()


def alerts(database: str) -> list[tuple[int, str]]:
    store = Store(database)
    try:
        with store.read() as session:
            return [(row.id, row.person or "") for row in outbox_beginning(session, "alert:")]
    finally:
        store.close()


def wait_for_a_tick() -> None:
    """Wait for one more tick of both clocks, which finds nothing to do."""
    time.sleep(TICK_S + 0.3)
