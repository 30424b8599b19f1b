"""What is sure to happen once or twice in every season, on its day: a stranger, an SOS, a new phone, a new scout."""

from datetime import date

from bot.rules import Phase
from bot.whole_season.growers import Growers
from bot.whole_season.happening import Happening, Reloads, Staged, Unreadable
from bot.whole_season.leaders import Leaders
from bot.whole_season.rota import Rota
from bot.whole_season.season_text import read_changed
from bot.whole_season.supervisors import Supervisors
from bot.whole_season.town import Expect, Say, Town, Walk, minutes

STRANGER = "+12705550190"

GIL_LEAVES = date(2027, 7, 5)
BEATRIZ_BUYS_A_PHONE = date(2027, 7, 19)

SAGE = """[people.sage]
name = "Sage Whitt"
phone = "+1 270 555 0107"
roles = ["scout"]

[people.lark]"""
"""The scout who comes for Gil: his phone stays with the programme."""


def with_sage(season: str) -> str:
    """Give the season file as it is after Gil has left: Sage has his phone and his fields."""
    changed = season.replace(
        'name = "Gil Tarver"\nphone = "+1 270 555 0107"\nroles = ["scout"]\n',
        'name = "Gil Tarver"\nphone = "+1 270 555 0107"\nroles = ["scout"]\nactive = false\n',
    )
    changed = changed.replace("[people.lark]", SAGE).replace('scouts = ["gil"]', 'scouts = ["sage"]')
    return changed.replace('"pru", "gil", "lark"]', '"pru", "sage", "lark"]')


def with_new_phone(season: str) -> str:
    """Give the season file as it is after Beatriz has bought a phone."""
    return season.replace('"+1 270 555 0131"', '"+1 270 555 0139"')


class Stories:
    """The season's single events."""

    def __init__(
        self, town: Town, rota: Rota, growers: Growers, supervisors: Supervisors, leaders: Leaders, text: str
    ) -> None:
        """Put every one of them down for its day; `text` is the season file."""
        self.town, self.rota, self.text = town, rota, text
        at = town.at
        town.put(at(GIL_LEAVES, 5, 10), lambda: self._reload(with_sage(self.text)))
        town.put(at(BEATRIZ_BUYS_A_PHONE, 5, 10), lambda: self._reload(with_new_phone(self.text)))
        town.walk(
            at(date(2027, 6, 9), 6, 5),
            self._proposes("gil", 78, Phase.SQUARING, "STAGE SQUARING", holds=True),
        )
        town.walk(
            at(date(2027, 6, 29), 6, 10), self._proposes("tomas", 27, Phase.BLOOM, "ETAPA FLOR", holds=False)
        )
        town.walk(at(date(2027, 6, 29), 12), growers.opts_out())
        town.walk(at(date(2027, 7, 8), 9), growers.comes_back())
        town.walk(at(date(2027, 6, 14), 19), growers.wrong_language("hollis"))
        town.walk(
            at(date(2027, 6, 30), 14),
            supervisors.tells("delia", "lightning near the river, get to the trucks"),
        )
        town.walk(
            at(date(2027, 7, 21), 13), supervisors.tells("marnie", "meet at the gin at 3, bring your cards")
        )
        town.walk(at(date(2027, 7, 14), 11, 5), self._sos("corrine"))
        for day in (date(2027, 6, 10), date(2027, 7, 15)):
            town.walk(at(day, 16), leaders.checks("marnie", 431))
            town.walk(at(day, 9, 30), self._trainee("lark", 431))
        town.walk(at(date(2027, 6, 17), 12), self._stranger())
        town.walk(at(date(2027, 7, 22), 12), self._not_yours("tomas", 27))

    def _reload(self, text: str) -> Happening:
        self.text = text
        self.town.season = self.rota.season = read_changed(text)
        self.town.count("season file changed")
        return Reloads(self.town.now, text)

    def _proposes(self, who: str, number: int, phase: Phase, words: str, *, holds: bool) -> Walk:
        """Say a field's stage as a scout sees it: a proposal."""
        self.town.count("stage proposed")
        if holds:
            self.rota.say_stage(number, self.town.today, phase, proposal=True)
        means = (Staged(number, self.town.today, who, phase.name.lower(), None),)
        yield Say(who, f"{number} {words}", means, Expect.TAKEN)

    def _sos(self, who: str) -> Walk:
        self.town.count("SOS")
        yield Say(who, "SOS", ())

    def _trainee(self, who: str, site: int) -> Walk:
        self.town.count("counts in training")
        yield Say(who, f"PRACTICE {site} 1 FA2", ())
        yield minutes(3)
        for number in (1, 2):
            yield Say(who, f"{site} {number} FA1 LA1", ())
            yield minutes(4)

    def _stranger(self) -> Walk:
        self.town.count("stranger")
        yield Say(STRANGER, "211 3 FA2", ())
        yield minutes(3)
        yield Say(STRANGER, "hello who is this", (Unreadable(STRANGER),))

    def _not_yours(self, who: str, number: int) -> Walk:
        self.town.count("OPEN refused")
        yield Say(who, f"{number} OPEN", ())
