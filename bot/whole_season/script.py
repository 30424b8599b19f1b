"""The season's script: gives what happens next, and hears what it caused, so that people answer what they get."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from bot.rules import Season
from bot.whole_season.bell import Bell
from bot.whole_season.fieldwork import Fieldwork
from bot.whole_season.growers import Growers
from bot.whole_season.happening import Caused, Happening, Says
from bot.whole_season.leaders import Leaders
from bot.whole_season.mending import Mending
from bot.whole_season.rota import Rota
from bot.whole_season.scouts import HABITS, Scouts
from bot.whole_season.season_text import read_whole_season, season_texts
from bot.whole_season.slips import Slips
from bot.whole_season.stories import Stories
from bot.whole_season.supervisors import Supervisors
from bot.whole_season.town import Town
from bot.whole_season.visits import Counting
from bot.whole_season.world import FIRST_DAY, LAST_DAY

SATURDAY = 5


class Script:
    """An invented season that is played as its people react; the same seed and the same texts give the same season."""

    def __init__(self, seed: int) -> None:
        """Begin before the first morning."""
        texts = season_texts()
        season = read_whole_season(texts)
        begin = datetime.combine(FIRST_DAY, datetime.min.time(), ZoneInfo(season.timezone))
        self.town = Town(seed, season, begin)
        rota = Rota(season)
        counting = Counting(self.town, rota)
        self.growers = Growers(self.town, rota)
        work = Fieldwork(self.town, rota, counting, Slips(counting), self.growers, Mending(counting))
        self.scouts = Scouts(self.town, rota, work, self.growers)
        self.supervisors = Supervisors(self.town, rota, self.growers)
        self.leaders = Leaders(self.town, rota)
        Stories(self.town, rota, self.growers, self.supervisors, self.leaders, texts.season)
        self.bell = Bell(self.town)
        day = FIRST_DAY
        while day <= LAST_DAY:
            self._put_day(day)
            day += timedelta(days=1)

    @property
    def surprises(self) -> list[str]:
        """Give the texts that were not taken as those who sent them expected."""
        return self.town.surprises

    @property
    def season(self) -> Season:
        """Give the season as it is loaded by now."""
        return self.town.season

    @property
    def treated(self) -> list[tuple[int, date]]:
        """Give the fields that were really treated by now, each with its day."""
        treated = self.town.world.treated
        return [(number, day) for number in sorted(treated) for day, _ in treated[number]]

    def day_of(self, moment: datetime) -> date:
        """Give the local day of a moment."""
        return moment.astimezone(self.town.zone).date()

    def field_of(self, site: int) -> int:
        """Give the number of the field that a site lies in."""
        return self.town.field_of(site).number

    def next(self) -> Happening | None:
        """Give what happens next, None at the season's end."""
        return self.town.next()

    def hears(self, happening: Happening, caused: Sequence[Caused]) -> None:
        """Hear what a happening caused."""
        if isinstance(happening, Says):
            self.town.hears(happening, caused)
        self.bell.hears(happening, caused)
        for one in caused:
            who = self.town.whose_phone(one.to)
            if who is None:
                continue
            if who in HABITS:
                self.scouts.hears(who, one)
            roles = {role.value for role in self.town.person(who).roles}
            if "grower" in roles:
                self.growers.hears(who, one)
            if "supervisor" in roles:
                self.supervisors.hears(who, one)

    def _put_day(self, day: date) -> None:
        works = day.weekday() < SATURDAY
        if works:
            self.town.put(self.town.at(day, 5, 30), lambda: self._morning(day))
        self.bell.put_day(day)

    def _morning(self, day: date) -> None:
        self.supervisors.morning(day)
        self.leaders.morning(day)
        self.scouts.morning(day)
