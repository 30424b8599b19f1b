"""The supervisors: what waits is let go or kept, stages are named, keep-outs ended, the heat is written down."""

import re
from dataclasses import dataclass, field
from datetime import date, timedelta

from bot.rules import Cause, Phase
from bot.whole_season.growers import Growers
from bot.whole_season.happening import AskedFor, Caused, HeldBack, Opened, SentOn, Staged
from bot.whole_season.rota import Rota
from bot.whole_season.town import Expect, Say, Town, Walk, minutes

WAITS = re.compile(r"^(\d{2})\b.*WAITS for you")
IN_RANGE = re.compile(r"^(\d{2})\b.*IN RANGE\. Yours to decide")
CUTOUT = re.compile(r"Yours to set: (\d{2}) STAGE CUTOUT")
CALL_VERNON = re.compile(r"^47\b.*\bABOVE\b")


@dataclass(slots=True)
class Supervisors:
    """Both supervisors, who share the fields."""

    town: Town
    rota: Rota
    growers: Growers
    handled: set[str] = field(default_factory=set)

    def looks_after(self, number: int) -> str:
        """Give the supervisor who answers for a field."""
        who = [str(key) for key in self.town.season.fields[number].supervisors]
        return who[number % len(who)]

    def hears(self, who: str, caused: Caused) -> None:
        """Answer what waits."""
        if caused.purpose != "notice":
            return
        draw = self.town.stream("supervisor", who)
        if (found := WAITS.search(caused.text)) is not None:
            number = int(found[1])
            if self.looks_after(number) == who:
                at = self.growers.awake(self.town.now + minutes(draw.uniform(6, 45)))
                self.town.walk(at, self._decide(who, number, sends=self.town.count("decision") % 3 != 2))
        elif (found := CUTOUT.search(caused.text)) is not None:
            number = int(found[1])
            if self.looks_after(number) == who and f"cutout {number}" not in self.handled:
                self.handled.add(f"cutout {number}")
                at = self.growers.awake(self.town.now + minutes(draw.uniform(30, 600)))
                self.town.walk(at, self._cutout(number))
        elif CALL_VERNON.search(caused.text) and who == "delia":
            # he has no phone: she calls at his house
            self.growers.decide("vernon", 47)
        elif (found := IN_RANGE.search(caused.text)) is not None:
            number = int(found[1])
            if self.looks_after(number) == who and draw.random() < 0.4:
                at = self.growers.awake(self.town.now + minutes(draw.uniform(6, 45)))
                self.town.walk(at, self._decide(who, number, sends=True))

    def _decide(self, who: str, number: int, *, sends: bool) -> Walk:
        self.town.count("SEND" if sends else "WAIT")
        if sends:
            yield Say(who, f"{number} SEND", (SentOn(number, who),))
        else:
            yield Say(who, f"{number} WAIT", (HeldBack(number, who),))

    def name_stage(self, who: str, number: int, phase: Phase, week: int | None = None) -> Walk:
        """Name a field's stage."""
        word = phase.name if week is None else f"{phase.name} {week}"
        self.rota.say_stage(number, self.town.today, phase, week)
        means = (Staged(number, self.town.today, who, phase.name.lower(), week),)
        self.town.count("STAGE")
        yield Say(who, f"{number} STAGE {word}", means, Expect.TAKEN)

    def morning(self, day: date) -> None:
        """Begin the day: stages that are known by then, keep-outs whose hours nobody gave, yesterday's heat."""
        town = self.town
        for number, when, phase, week in STAGES:
            if when == day:
                town.walk(town.at(day, 6, 2), self.name_stage(self.looks_after(number), number, phase, week))
        for number in town.season.fields:
            town.walk(town.at(day, 10) + minutes(number / 4), self._look_at_signs(number))
        if day >= HEAT_FROM:
            town.walk(town.at(day, 7, 40), self._heat())
        draw = town.stream("curious", day)
        if draw.random() < 0.3:
            who = draw.choice(("delia", "omar"))
            town.walk(town.at(day, 14) + minutes(draw.uniform(0, 90)), self._asks(who, "TODAY"))

    def _asks(self, who: str, word: str) -> Walk:
        self.town.count(word)
        yield Say(who, word, ())

    def _heat(self) -> Walk:
        draw = self.town.stream("heat")
        self.town.count("TEMP")
        yield Say("omar", f"TEMP {draw.randint(90, 99)} {draw.randint(69, 76)}", ())

    def _look_at_signs(self, number: int) -> Walk:
        """Go and see a field of which nobody gave the hours: end the keep-out, or give them."""
        town = self.town
        missing = town.missing_hours(number)
        if not missing or town.now - max(one.since for one in missing) < timedelta(hours=20):
            return
        who, draw = self.looks_after(number), town.stream("opens", number)
        treated = [one for one in missing if one.cause in (Cause.SPRAYED, Cause.WORDS)]
        gone = max((town.now - one.since for one in treated), default=None)
        hours = 48 if gone is not None and gone < timedelta(hours=40) and draw.random() < 0.5 else None
        text = f"{number} OPEN" if hours is None else f"{number} OPEN {hours}"
        yield Say(who, text, (AskedFor(number, who),), Expect.ASKED)
        yield minutes(draw.uniform(1, 4))
        if hours is None and draw.random() < 0.15:
            yield Say(who, "2", ())
            return
        town.open(number, hours)
        town.count("OPEN" if hours is None else "OPEN with hours")
        yield Say(who, "1", (Opened(number, who, hours),), Expect.TAKEN)

    def _cutout(self, number: int) -> Walk:
        yield from self.name_stage(self.looks_after(number), number, Phase.CUTOUT)

    def tells(self, who: str, words: str) -> Walk:
        """Send words to the crew."""
        yield Say(who, f"TELL {words}", (), Expect.ASKED)
        yield minutes(0.5)
        self.town.count("TELL")
        yield Say(who, "1", (), Expect.TAKEN)


HEAT_FROM = date(2027, 7, 12)

STAGES: tuple[tuple[int, date, Phase, int | None], ...] = (
    (78, date(2027, 6, 16), Phase.SQUARING, 2),
    (39, date(2027, 7, 1), Phase.BLOOM, None),
    (27, date(2027, 7, 2), Phase.BLOOM, 1),
    (78, date(2027, 7, 6), Phase.BLOOM, None),
)
"""Stages that no date of the season file gives."""
