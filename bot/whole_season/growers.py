"""The growers: who reads when, in which words, who treats, and how the hours become known."""

import re
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from bot.rules import Cause
from bot.whole_season.happening import (
    AskedFor,
    CameBack,
    Caused,
    HoursAreAll,
    Meaning,
    OptedOut,
    SaidOk,
    Shut,
    Unreadable,
)
from bot.whole_season.rota import Rota
from bot.whole_season.town import Expect, Say, Town, Walk, minutes

ABOVE = re.compile(r"\b(ABOVE|ARRIBA DEL UMBRAL)\b")
NOT_NEWS = re.compile(r"CORRECTED|CORREGIDO|back BELOW|otra vez ABAJO|has no OK|no tiene OK")
NUMBER = re.compile(r"\b(\d{2})\b")
ASKS_HOURS = re.compile(r"\b(\d{2}) (?:SPRAYED|FUMIGADO)\b")

SHOUTS = "macario"
"""The grower whose words name no field."""

SLEEPS = "quint"
"""The grower who answers hours later, and never gives the hours that somebody asks him for."""

OPTS_OUT = "tess"
CALLS = "ione"
"""The grower who once answers an alert in words of her own."""


REST = timedelta(days=8)
"""How long nobody treats a field again."""


@dataclass(frozen=True, slots=True)
class Habit:
    """How a grower reads: minutes until he answers, his words, how often he treats, the hours of his labels."""

    reads_in: tuple[float, float]
    words: tuple[str, ...]
    treats: float
    hours: tuple[int, ...]


HABITS = {
    "hollis": Habit((4, 50), ("OK", "ok"), 0.9, (24, 48)),
    "beatriz": Habit((10, 90), ("gracias", "OK", "Muchas gracias"), 0.85, (48,)),
    "amos": Habit((30, 115), ("READ", "OK"), 0.8, (24,)),
    "lupe": Habit((5, 60), ("LEIDO", "ok gracias"), 0.9, (12, 24)),
    "ione": Habit((5, 100), ("thanks", "OK"), 0.8, (24, 72)),
    "macario": Habit((15, 80), ("OK", "LEIDO"), 0.9, (48,)),
    "tess": Habit((10, 100), ("ok thanks", "OK"), 0.7, (24,)),
    "quint": Habit((290, 420), ("OK",), 0.9, (72, 24)),
    "rosalba": Habit((5, 45), ("\N{THUMBS UP SIGN}", "ok"), 0.9, (24, 48)),
}

WITHOUT_PHONE = {"vernon": "delia"}
"""Growers without a phone, and the supervisor who texts what he says on the doorstep."""

WAYS = ("hours", "bare", "spraying", "words", "sign", "hours")
"""How it becomes known that a field is treated, one after the other."""


@dataclass(slots=True)
class Growers:
    """All growers."""

    town: Town
    rota: Rota
    treating: dict[int, datetime] = field(default_factory=dict)
    signs: set[int] = field(default_factory=set)

    def hears(self, who: str, caused: Caused) -> None:
        """Read a text: answer it, and treat the field where that seems right to the grower."""
        habit = HABITS[who]
        draw = self.town.stream("grower", who)
        if caused.purpose == "keepout" and (asked := ASKS_HOURS.search(caused.text)) is not None:
            if who != SLEEPS:
                at = self.awake(self.town.now + minutes(draw.uniform(20, 200)))
                self.town.walk(at, self._asked_hours(who, int(asked[1])))
        elif caused.purpose == "alert":
            if "OK" in caused.text and not NOT_NEWS.search(caused.text):
                at = self.awake(self.town.now + minutes(draw.uniform(*habit.reads_in)))
                self.town.walk(at, self._reads(who, draw.choice(habit.words)))
            elif "OK = " in caused.text:
                at = self.awake(self.town.now + minutes(draw.uniform(5, 60)))
                self.town.walk(at, self._reads(who, "OK"))
            if ABOVE.search(caused.text) and not NOT_NEWS.search(caused.text):
                found = NUMBER.search(caused.text)
                if found is not None:
                    self.decide(who, int(found[1]))

    def decide(self, who: str, number: int) -> None:
        """Treat a field in the days to come, or let it be."""
        draw = self.town.stream("treats", number)
        last = self.treating.get(number)
        if draw.random() > HABITS[who if who in HABITS else "hollis"].treats:
            return
        if last is not None and self.town.now - last < REST:
            return
        self.treating[number] = self.town.now
        at = self.town.now + minutes(draw.uniform(50, 300))
        late = at.astimezone(self.town.zone).hour >= 20
        if late or draw.random() < 0.7:
            day = self.town.today + timedelta(days=draw.choice((1, 1, 2)))
            at = self.town.at(day, *draw.choice(((5, 40), (6, 30), (7, 50), (9, 20), (17, 30), (19, 10))))
        way = WAYS[self.town.count("treatment") % len(WAYS)]
        self.town.walk(at, self.treat(who, number, way))

    def treat(self, who: str, number: int, way: str) -> Walk:
        """Treat a field, and let it be known in one of the ways."""
        town = self.town
        draw = town.stream("treats", number)
        if town.is_shut(number) or self.has_sign(number):
            return
        town.world.treat(number, town.today, draw)
        self.rota.treated[number] = town.today
        writer = WITHOUT_PHONE.get(who, who)
        spanish = town.spanish(writer)
        hours = draw.choice(HABITS[who].hours) if who in HABITS else 48
        town.count(f"treated: {way}")
        match way:
            case "bare":
                yield from self.sprayed(writer, number, None)
                yield minutes(draw.uniform(90, 500))
                yield from self.sprayed(writer, number, hours)
            case "spraying":
                text = f"{number} {'FUMIGANDO' if spanish else 'SPRAYING'}"
                town.shut(number, Cause.SPRAYING, None)
                yield Say(writer, text, (Shut(number, writer, "spraying", None),))
                yield minutes(draw.uniform(50, 150))
                yield from self.sprayed(writer, number, hours)
            case "words":
                fields = [number]
                text = f"the plane is flying {number} now"
                if spanish:
                    text = f"anda la avioneta en el {number}"
                if who == SHOUTS:
                    text = "FUMIGADO"
                    fields = [one for one, field_ in town.season.fields.items() if who in field_.growers]
                for one in fields:
                    town.shut(one, Cause.WORDS, None)
                yield Say(writer, text, tuple(Shut(one, writer, "words", None) for one in fields))
                if draw.random() < 0.6:
                    yield minutes(draw.uniform(60, 400))
                    yield from self.sprayed(writer, number, hours)
            case "sign":
                # nobody says a word: whoever comes to the field finds the sign
                self.signs.add(number)
                yield timedelta(days=6)
                self.signs.discard(number)
            case _:
                yield from self.sprayed(writer, number, hours)

    def has_sign(self, number: int) -> bool:
        """Tell whether a sign stands at a field of which nobody has texted."""
        return number in self.signs

    def seen(self, number: int) -> None:
        """Remember that a sign was texted."""
        self.signs.discard(number)

    def sprayed(self, who: str, number: int, hours: int | None) -> Walk:
        """Say that a field was treated, with the hours or without; say yes where hours were missing before."""
        town = self.town
        word = "FUMIGADO" if town.spanish(who) else "SPRAYED"
        missing = [one for one in town.missing_hours(number) if one.cause in (Cause.SPRAYED, Cause.WORDS)]
        asked = bool(missing) and hours is not None
        means: tuple[Meaning, ...] = (Shut(number, who, "sprayed", hours),)
        if asked:
            means = (*means, AskedFor(number, who))
        town.shut(number, Cause.SPRAYED, hours)
        text = f"{number} {word}" if hours is None else f"{number} {word} {hours}"
        yield Say(who, text, means, Expect.ASKED if asked else Expect.TAKEN)
        if asked:
            yield minutes(town.stream("treats", number).uniform(1, 8))
            town.count("hours given later")
            town.all_hours(number)
            yield Say(who, "1", (HoursAreAll(number, who),), Expect.TAKEN)

    def _asked_hours(self, who: str, number: int) -> Walk:
        """Give the hours that somebody who saw a sign made Rowfoot ask for."""
        if self.town.is_shut(number):
            hours = self.town.stream("treats", number).choice(HABITS[who].hours)
            yield from self.sprayed(who, number, hours)

    def awake(self, at: datetime) -> datetime:
        """Put a moment into the hours in which people answer."""
        local = at.astimezone(self.town.zone)
        if local.hour >= 21 or local.hour < 7:
            day = local.date() + timedelta(days=1 if local.hour >= 21 else 0)
            return self.town.at(day, 7, 20) + minutes(self.town.stream("awake").uniform(0, 60))
        return at

    def _reads(self, who: str, words: str) -> Walk:
        self.town.count("OK to an alert")
        means: tuple[Meaning, ...] = (SaidOk(who),)
        if who == CALLS and self.town.count("alert to the one who calls") == 2:
            words, means = "what does that mean, call me", (Unreadable(who), SaidOk(who))
            self.town.count("free words")
        yield Say(who, words, means)

    def opts_out(self) -> Walk:
        """Want no more texts."""
        self.town.count("STOP")
        yield Say(OPTS_OUT, "STOP", (OptedOut(OPTS_OUT),))

    def comes_back(self) -> Walk:
        """Want texts again."""
        self.town.count("START")
        yield Say(OPTS_OUT, "START", (CameBack(OPTS_OUT),))

    def wrong_language(self, who: str) -> Walk:
        """Switch the language and switch it back."""
        yield Say(who, "ESPANOL", ())
        yield minutes(2)
        yield Say(who, "ENGLISH", ())
