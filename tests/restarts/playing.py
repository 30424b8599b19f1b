"""Plays a season once more, this time to processes that are killed under it."""

import json
import multiprocessing
import random
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from multiprocessing.context import ForkServerProcess
from pathlib import Path

import sqlalchemy as sa

from bot.whole_season import Happening, Player, Reloads, Says, Strikes
from storage import Arrived, InboxState, InboxText, OutboxState, OutboxText, Session, Store, keep
from storage.outbox import TEXTS
from tests.restarts.outcome import Outcome, left_of, lost_and_twice, outcome_of
from tests.restarts.worker import FIRST_DONE, MOVED, NOW, STRIKE_AT, opened, work

WORKERS = 2
PATIENCE_S = 60.0
LOOK_EVERY_S = 0.0005
LONGEST_LIFE_S = 0.02
"""What is killed has had up to so long since the clock moved: nothing done, half of it, all of it."""

PAUSE = TEXTS.lease + timedelta(seconds=5)

FORKS = multiprocessing.get_context("forkserver")
FORKS.set_forkserver_preload(["tests.restarts.worker"])


class Crew:
    """Two workers on one database, each with a clock, and the hand that kills them."""

    def __init__(self, url: str, carrier: Path) -> None:
        self.url, self.carrier = url, carrier
        self.board = FORKS.RawArray("d", FIRST_DONE + WORKERS)
        self.workers = [self._begin(place) for place in range(WORKERS)]
        self.killed = 0

    def _begin(self, place: int) -> ForkServerProcess:
        worker = FORKS.Process(
            target=work, args=(self.url, self.carrier, self.board, FIRST_DONE + place), daemon=True
        )
        worker.start()
        return worker

    def kill(self, place: int) -> None:
        """Kill one with SIGKILL, wherever it is, and start another in its place."""
        self.workers[place].kill()
        self.workers[place].join()
        self.killed += 1
        self.workers[place] = self._begin(place)

    def move(self, now: datetime, *, strike: bool) -> None:
        """Let both clocks show a time, and strike if it is time."""
        self.board[NOW] = now.timestamp()
        if strike:
            self.board[STRIKE_AT] = now.timestamp()
        self.board[MOVED] += 1

    @property
    def is_through(self) -> bool:
        """Tell whether both are through with all that was to be done at this time, who was killed once he is back."""
        return all(done == self.board[MOVED] for done in self.board[FIRST_DONE:])

    def end(self) -> None:
        """End both."""
        for worker in self.workers:
            worker.kill()
            worker.join()


@contextmanager
def crew(url: str, carrier: Path) -> Iterator[Crew]:
    """Let two workers work for a while."""
    working = Crew(url, carrier)
    try:
        yield working
    finally:
        working.end()


def faults_over_restarts(
    url: str, carrier: Path, happenings: Sequence[Happening], wanted: Outcome, restarts: int, seed: int
) -> list[str]:
    """Play what happened to a fresh database under workers that are killed; give what came otherwise than wanted."""
    with opened(url) as store, crew(url, carrier) as working:
        play_and_kill(store, working, happenings, restarts, seed)
        came, left = outcome_of(store), left_of(store)
    faults = lost_and_twice(came.told, wanted.told)
    for what in ("crossings", "samples", "read"):
        if getattr(came, what) != getattr(wanted, what):
            faults.append(f"other {what}")
    if working.killed != restarts:
        faults.append(f"{working.killed} restarts, not {restarts}")
    sent = [tuple(json.loads(line)) for line in carrier.read_text(encoding="utf-8").splitlines()]
    # what was sent and not settled is sent again under the same correlator, in the same words
    faults += [f"the carrier has no {key}, or another" for key, *_ in left - set(sent)]
    faults += [f"the carrier has {key} that did not leave" for key, *_ in set(sent) - left]
    return faults


def play_and_kill(
    store: Store, working: Crew, happenings: Sequence[Happening], restarts: int, seed: int
) -> None:
    """Play what happens, in order, each once all before it is done; kill a worker at so many of its moments.

    What a killed worker held is free again when its lease is over: the clock is moved there, and it is killed only
    where nothing else happens before.
    """
    player = Player(store)
    chance = random.Random(seed)  # noqa: S311  the same kills are wanted again, not secret ones
    fatal = set(chance.sample(followed_by_a_pause(happenings), restarts))
    for place, happening in enumerate(happenings):
        now = happening.at.astimezone(UTC)
        match happening:
            case Says():
                keep_twice(store, happening, player.phone_of(happening), now)
            case Reloads():
                player.do(happening)
            case Strikes():
                pass
        working.move(now, strike=isinstance(happening, Strikes))
        if place in fatal:
            time.sleep(chance.uniform(0, LONGEST_LIFE_S))
            working.kill(chance.randrange(WORKERS))
        settle(store, working, now)


def followed_by_a_pause(happenings: Sequence[Happening]) -> list[int]:
    """Give the places of what happens where nothing else happens before any lease is over."""
    ends = happenings[-1].at + timedelta(days=1)
    nexts = [*(one.at for one in happenings[1:]), ends]
    return [place for place, one in enumerate(happenings) if nexts[place] - one.at > PAUSE]


def keep_twice(store: Store, says: Says, phone: str, now: datetime) -> None:
    """Keep a text as the hook does, and once more as a carrier does that did not see the answer."""
    arrived = Arrived("carrier", says.id, phone, "", says.text, says.sent, now)
    for _ in range(2):
        store.write(lambda session: keep(session, arrived) is not None)


def settle(store: Store, working: Crew, now: datetime) -> None:
    """Wait until all that can be done by now is done, and what a killed worker held as well."""
    give_up_at = time.monotonic() + PATIENCE_S
    while time.monotonic() < give_up_at:
        with store.read() as session:
            at_rest, held_until = _at_rest(session, now)
        if at_rest and working.is_through:
            if held_until is None:
                return
            now = held_until + timedelta(milliseconds=1)
            working.move(now, strike=False)
        time.sleep(LOOK_EVERY_S)
    raise AssertionError("the workers did not come to rest")


def _at_rest(session: Session, now: datetime) -> tuple[bool, datetime | None]:
    """Tell whether nothing waits that could be done now, and until when a dead worker holds something."""
    unread = session.scalar(
        sa.select(sa.func.count(InboxText.id)).where(InboxText.state == InboxState.UNREAD)
    )
    waiting = session.scalars(
        sa.select(OutboxText.claimed_until).where(
            OutboxText.state == OutboxState.WAITING, OutboxText.due_at <= now
        )
    ).all()
    held = [until for until in waiting if until is not None and until > now]
    return not unread and len(held) == len(waiting), max(held, default=None)
