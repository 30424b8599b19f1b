"""The leaders: who has what, sites handed to another scout, counts entered for a dead phone, a check."""

from dataclasses import dataclass
from datetime import date

from bot.whole_season.happening import HandedOver
from bot.whole_season.rota import Rota
from bot.whole_season.town import Expect, Say, Town, Walk, minutes

CREWS = {"rhett": ("nadia", "tomas", "elio"), "marnie": ("wade", "corrine", "pru")}


@dataclass(slots=True)
class Leaders:
    """Both leaders."""

    town: Town
    rota: Rota

    def morning(self, day: date) -> None:
        """Begin the day: hand sites over where somebody has too much, ask how far everybody is."""
        town = self.town
        for who in CREWS:
            draw = town.stream("leader", who)
            if draw.random() < 0.4:
                town.walk(
                    town.at(day, 10) + minutes(draw.uniform(0, 60)),
                    self._asks(who, draw.choice(("CREW", "CREW", "PLAN"))),
                )
            if draw.random() < 0.15:
                self._hand_over(who, day)

    def _asks(self, who: str, word: str) -> Walk:
        self.town.count(word)
        word = {"CREW": "GENTE"}.get(word, word) if self.town.spanish(who) else word
        yield Say(who, word, ())

    def _hand_over(self, who: str, day: date) -> None:
        """Hand the sites that one of the crew has today to another of it."""
        crew = CREWS[who]
        loads = {one: self._load(one, day) for one in crew}
        giver = max(crew, key=lambda one: len(loads[one]))
        taker = min(crew, key=lambda one: len(loads[one]))
        sites = [site for site in loads[giver] if site not in self.rota.handed][-1:]
        if len(loads[giver]) < 2 or giver == taker or not sites:
            return
        (site,) = sites
        plan = self.rota.plan(self.town.field_of(site).number, day)
        if plan is None or (plan.method == "visual" and not self.town.person(taker).visual):
            return
        self.rota.handed[site] = taker
        self.town.walk(self.town.at(day, 5, 45), self._gives(who, site, taker))

    def _gives(self, who: str, site: int, taker: str) -> Walk:
        word = "A" if self.town.spanish(who) else "TO"
        name = self.town.person(taker).first_name.upper()
        self.town.count("TO")
        yield Say(who, f"{site} {word} {name}", (HandedOver((site,), who, taker),), Expect.TAKEN)

    def _load(self, who: str, day: date) -> list[int]:
        return [
            site
            for number, field_ in self.town.season.fields.items()
            if who in field_.scouts and not self.town.is_shut(number)
            for site in self.rota.due(field_, day)
        ]

    def checks(self, who: str, site: int) -> Walk:
        """Count a sample of somebody else once more, beside."""
        self.town.count("CHECK")
        yield Say(who, f"CHECK {site} 1 LA1", ())
