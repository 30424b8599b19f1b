"""Many texts through the whole road: a season of its own, people of every kind, days that pass."""

import logging
import random
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

from bot.rules import PersonKey
from storage import phone_state
from tests.studies.any_texts import text_for_the_road
from tests.studies.broken import Broken
from tests.studies.road_laws import ADVICE, WORDS_TO_SEND, Heard, Listener, broken
from tests.talk import ZONE, Talk, talking

STRANGERS = ("+12705550198", "+12705550199")
OPTED_OUT = "ramon"
CAST = {
    "luis": 34,
    "ana": 20,
    "beto": 12,
    "june": 12,
    "opal": 8,
    OPTED_OUT: 7,
    STRANGERS[0]: 4,
    STRANGERS[1]: 3,
}
"""How often each sends: scouts, leader, supervisor, growers, one who opted out at the start, strangers."""

BEGINS = datetime(2027, 7, 6, 5, 30, tzinfo=ZONE)
STRIKES_EVERY = 15
LEAPS = (timedelta(hours=1), timedelta(hours=3), timedelta(hours=14), timedelta(days=1))
IN_TRAINING = ('name = "Luis Vega"', 'name = "Luis Vega"\ntrainee = true')
"""In every third season Luis, who sends most, is in training."""

WAKES_AGAIN = 0.4
"""How often a phone that opted out by chance sends START next: else the season would fall silent."""


class Faults(logging.Handler):
    """Keeps the exceptions that the rounds log when a text or the clock's work fails."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.seen: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        """Keep a record's sentence with its exception's place."""
        fault = record.exc_info[1] if record.exc_info else None
        place = fault.__traceback__ if fault is not None else None
        while place is not None and place.tb_next is not None:
            place = place.tb_next
        line = f" at {Path(place.tb_frame.f_code.co_filename).name}:{place.tb_lineno}" if place else ""
        self.seen.append(f"{record.getMessage()}: {fault!r}{line}")

    def taken(self) -> list[str]:
        """Give what was kept, once; a text that is tried again fails in the same way."""
        seen, self.seen = list(dict.fromkeys(self.seen)), []
        return seen


@contextmanager
def listening() -> Iterator[Faults]:
    """Hear of every exception that is caught at the rounds' edge, and keep it off the terminal."""
    log, faults = logging.getLogger("bot.rounds"), Faults()
    before = log.propagate
    log.addHandler(faults)
    log.propagate = False
    try:
        yield faults
    finally:
        log.removeHandler(faults)
        log.propagate = before


@dataclass(slots=True)
class Road:
    """A season that is talked to at random."""

    talk: Talk
    chance: random.Random
    faults: Faults
    listener: Listener = field(default_factory=Listener)
    now: datetime = BEGINS

    def phone(self, who: str) -> str:
        """Give the phone of a person of the cast."""
        person = self.talk.hand.season.people.get(PersonKey(who))
        return person.phone or "" if person is not None else who

    def silent(self) -> frozenset[str]:
        """Give the phones of the cast that have opted out."""
        phones = [self.phone(who) for who in CAST]

        with self.talk.store.read() as session:
            return frozenset(one for one in phones if phone_state(session, one).opted_out_at is not None)

    def says(self, who: str, words: str, where: str) -> Iterator[Broken]:
        """Send a text; give every law that is broken by it."""
        self.listener.hear(words)
        phone, before = self.phone(who), self.silent()
        sent = None
        if self.chance.random() < 0.2:
            sent = (self.now - timedelta(seconds=self.chance.uniform(1, 900))).isoformat()
        try:
            caused = self.talk.hand.take(phone, words, self.now.isoformat(), sent, None)
        except Exception as fault:  # noqa: BLE001  that none is raised is the first law
            yield Broken("the road raises nothing", words, f"{where}, {who}", repr(fault))
            return
        heard = Heard(phone, words, who not in STRANGERS, phone in before, before & self.silent())
        raised = [("the road raises nothing", fault) for fault in self.faults.taken()]
        kept = self.listener.after_a_text(heard, caused, self.now.date().isoformat())
        yield from broken(heard, f"{where}, {who} {self.now:%d %H:%M:%S}", iter(raised))
        yield from broken(heard, f"{where}, {who} {self.now:%d %H:%M:%S}", kept)

    def strikes(self, where: str) -> Iterator[Broken]:
        """Let the clock strike; give every law that its texts break."""
        caused = self.talk.hand.strike(self.now)
        heard = Heard(
            "the clock",
            f"strike at {self.now:%d %H:%M:%S}",
            known=True,
            silent_before=False,
            silent=frozenset(),
        )
        yield from broken(
            heard, where, (("the clock raises nothing", fault) for fault in self.faults.taken())
        )
        yield from broken(heard, where, self.listener.of_any_texts(caused))

    def passes(self) -> None:
        """Let time pass: seconds or minutes, now and then hours."""
        leap = self.chance.random() < 0.01
        self.now += self.chance.choice(LEAPS) if leap else timedelta(seconds=self.chance.uniform(2, 240))


def play(seed: int, season: int, texts: int) -> Iterator[Sequence[Broken]]:
    """Send texts to one season; give for each text what it broke. The same seed sends the same texts.

    In every second season nobody uses the words of advice, so that none can be an echo.
    """
    chance = random.Random(f"{seed}:{season}")  # noqa: S311  texts to try with, no secret
    plain_spoken = season % 2 == 0
    training = [IN_TRAINING] if season % 3 == 2 else []
    with (
        tempfile.TemporaryDirectory() as folder,
        talking(Path(folder), "talk.toml", *training) as talk,
        listening() as faults,
    ):
        road = Road(talk, chance, faults)
        yield list(road.says(OPTED_OUT, "STOP", f"season {season}, text 0"))
        restless: str | None = None
        for place in range(1, texts):
            road.passes()
            who = restless or chance.choices(list(CAST), weights=list(CAST.values()))[0]
            words = "START" if restless else text_for_the_road(chance)
            while plain_spoken and ADVICE.search(WORDS_TO_SEND.sub(" ", words)):
                words = text_for_the_road(chance)
            found = list(road.says(who, words, f"season {season}, text {place}"))
            asleep = who != OPTED_OUT and road.phone(who) in road.silent()
            restless = who if asleep and chance.random() < WAKES_AGAIN else None
            if place % STRIKES_EVERY == 0:
                found += road.strikes(f"season {season}, text {place}")
            yield found
