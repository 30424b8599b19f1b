"""The scouts' days: who goes where, how he texts, and what he does when he is told to keep out."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from bot.rules import Cause
from bot.whole_season.fieldwork import COVERED, Fieldwork, Habit
from bot.whole_season.growers import Growers
from bot.whole_season.happening import Caused, SaidOk, Shut, Skipped
from bot.whole_season.keying import Keyed
from bot.whole_season.rota import Rota
from bot.whole_season.town import Expect, Say, Town, Walk, minutes
from bot.whole_season.world import week_of

WHY_NOT = ("gate locked", "water over the road", "truck stuck")
POR_QUE_NO = ("puerta cerrada", "agua en el camino", "troca atascada")

MOST_SITES = 6
"""Sites that somebody does on one day; the rest is left for tomorrow."""

HABITS = {
    "nadia": Habit((Keyed.PACKED, Keyed.DIGITS), 0.45, (2.5, 5), 0.5),
    "tomas": Habit((Keyed.CODES,), 0.4, (3, 6), 0.6),
    "elio": Habit((Keyed.PACKED,), 0.6, (2, 4), 0.4),
    "wade": Habit((Keyed.DIGITS, Keyed.CODES), 0.5, (2.5, 5), 0.5),
    "corrine": Habit((Keyed.PACKED, Keyed.CODES), 0.5, (2, 4.5), 0.5),
    "pru": Habit((Keyed.CODES, Keyed.PACKED), 0.35, (3, 6), 0.4),
    "gil": Habit((Keyed.PACKED,), 0.6, (1.5, 3), 0.5),
    "sage": Habit((Keyed.DIGITS, Keyed.PACKED), 0.6, (2, 4), 0.5),
}

OUT_OF_REACH = "elio"
"""The scout in whose fields there is no signal: on some days his texts arrive hours after they were sent."""

NEVER_OK = "wade"
"""The scout who does not answer OK to the first keep-outs."""

ROUTINE = {37: 5, 58: 3, 43: 7}
"""Fields that are treated for something else on the morning of a visit, with the week; the scout stands in them."""

DEAD_PHONE = {("nadia", 3), ("wade", 6)}
"""Scouts whose phone is dead for a day of a week: their leader enters what they counted."""

LEADERS = {"nadia": "rhett", "wade": "marnie"}


@dataclass(slots=True)
class Scouts:
    """All scouts."""

    town: Town
    rota: Rota
    work: Fieldwork
    growers: Growers
    kept_out: dict[str, int] = field(default_factory=dict)

    def morning(self, day: date) -> None:
        """Send everybody out who has something due."""
        for person in self.town.season.people.values():
            if not person.active or person.key not in HABITS:
                continue
            sites = self.sites_of(str(person.key), day)
            if sites:
                begin = self.town.at(day, 6, 20) + minutes(
                    self.town.stream("begin", person.key).uniform(0, 70)
                )
                self.town.walk(begin, self.day(str(person.key), sites[:MOST_SITES], day))

    def sites_of(self, who: str, day: date) -> list[int]:
        """Give where a scout is to go today."""
        return [
            site
            for number, field_ in self.town.season.fields.items()
            for site in self.rota.due(field_, day)
            if self._counts_there(who, number, site, day) and self.rota.plan(number, day) is not None
        ]

    def _counts_there(self, who: str, number: int, site: int, day: date) -> bool:
        if site in self.rota.handed:
            return self.rota.handed[site] == who
        week, other = COVERED.get(number, (0, ""))
        if week == week_of(day):
            return who == other
        return who in self.town.season.fields[number].scouts

    def day(self, who: str, sites: Sequence[int], day: date) -> Walk:
        """Go from site to site."""
        draw, habit = self.town.stream("days", who), HABITS[who]
        late = self._late(who, day)
        dead = (who, week_of(day)) in DEAD_PHONE and self.work.first_time(f"dead {who}")
        if draw.random() < 0.2 and late is None and not dead:
            word = draw.choice(("PLAN", "PLAN", "CARD", f"WHERE {sites[0]}", f"{sites[0]}", "HELP"))
            self.town.count(word.split()[0] if not word.isdigit() else "a site's number")
            yield Say(who, word, ())
            yield minutes(draw.uniform(2, 6))
        for site in sites:
            field_ = self.town.field_of(site)
            if self.town.is_shut(field_.number):
                continue
            if self.growers.has_sign(field_.number) and not dead:
                yield from self._sees_sign(who, field_.number)
                yield minutes(draw.uniform(8, 20))
                continue
            if late is None and not dead and draw.random() < 0.06 and who in field_.scouts:
                yield from self._skips(who, site, day)
                yield minutes(draw.uniform(5, 15))
                continue
            if not dead and who not in field_.scouts and site not in self.rota.handed:
                self.town.count("counts of somebody not on the list")
            self.rota.handed.pop(site, None)
            visit = self.work.counting.visit(who, site, day, draw.choice(habit.forms), late)
            visit.sender = LEADERS[who] if dead else who
            if ROUTINE.get(field_.number) == week_of(day) and self.work.first_time(
                f"routine {field_.number}"
            ):
                grower = str(field_.growers[0])
                self.town.walk(
                    self.town.now + minutes(14), self.growers.treat(grower, field_.number, "hours")
                )
            yield from self.work.visit(visit, habit)
            yield minutes(draw.uniform(8, 25))

    def _skips(self, who: str, site: int, day: date) -> Walk:
        spanish = self.town.spanish(who)
        reason = self.town.stream("days", who).choice(POR_QUE_NO if spanish else WHY_NOT)
        self.town.count("SKIP")
        self.rota.skip(self.town.field_of(site).number, site, day)
        yield Say(who, f"{site} {'NO PUDE' if spanish else 'SKIP'} {reason}", (Skipped(site, day, reason),))

    def _sees_sign(self, who: str, number: int) -> Walk:
        """Text that a field is posted, and stay out of it."""
        self.growers.seen(number)
        self.town.shut(number, Cause.SIGN, None)
        self.town.count("sign seen")
        word = "LETRERO" if self.town.spanish(who) else "POSTED"
        yield Say(who, f"{number} {word}", (Shut(number, who, "posted", None),), Expect.TAKEN)

    def _late(self, who: str, day: date) -> timedelta | None:
        """Give how long the network keeps a scout's texts of a day; None where they go at once."""
        if who != OUT_OF_REACH:
            return None
        draw = self.town.stream("signal", who, day)
        if draw.random() < 0.45:
            return None
        hours = draw.choice((2, 3, 5, 8, 12, 16.4))
        return timedelta(hours=hours)

    def hears(self, who: str, caused: Caused) -> None:
        """Answer OK to what keeps somebody out."""
        if caused.purpose != "keepout":
            return
        if "OK" in caused.text:
            self.kept_out[who] = self.kept_out.get(who, 0) + 1
            if who == NEVER_OK and self.kept_out[who] <= 3:
                return
            draw = self.town.stream("ok", who)
            at = self.town.now + minutes(draw.uniform(1, 7))
            self.town.walk(at, self._ok(who, draw.choice(("OK", "OK", "ok", "Ok gracias", "READ"))))

    def _ok(self, who: str, words: str) -> Walk:
        self.town.count("OK to a keep-out")
        yield Say(who, "OK" if "gracias" in words else words, (SaidOk(who),))
