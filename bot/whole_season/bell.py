"""When the clock strikes: at fixed hours, and wherever something may have become due.

The service's clock strikes every two seconds; in the play nearly all of those would find nothing. So the bell is rung
where it can find something: a keep-out without OK after ten minutes, an alert without OK after two
hours, a scout silent for an hour and a half, a question that lapses, hours that are over.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from bot.whole_season.happening import AskedFor, Caused, Happening, Says, Shut, Strikes
from bot.whole_season.town import Town, minutes

HOURS = ((6, 3), (8, 2), (13, 3), (18, 31), (21, 3))
GRID = 5
"""Minutes; strikes that fall together are one."""

MOST_QUIET = timedelta(hours=11)


@dataclass(slots=True)
class Bell:
    """Rings."""

    town: Town
    planned: set[datetime] = field(default_factory=set)
    last_text: dict[str, datetime] = field(default_factory=dict)

    def put_day(self, day: date) -> None:
        """Put down the strikes of fixed hours."""
        for hour, minute in HOURS:
            moment = self.town.at(day, hour, minute)
            self.planned.add(moment)
            self.town.put(moment, lambda moment=moment: Strikes(moment))  # type: ignore[misc]

    def hears(self, happening: Happening, caused: Sequence[Caused]) -> None:
        """Ring where what happened, or what it caused, may become due."""
        now = self.town.now
        purposes = {one.purpose for one in caused}
        if "keepout" in purposes:
            self._ring(now + minutes(11))
        if "alert" in purposes:
            self._ring(self._read_by(now, minutes(121)))
            self._ring(self._read_by(now, minutes(242)))
        if not isinstance(happening, Says):
            return
        self.last_text[happening.who] = now
        self._ring(now + minutes(91), happening.who)
        for meaning in happening.means:
            if isinstance(meaning, AskedFor):
                self._ring(now + minutes(121), happening.who)
            elif isinstance(meaning, Shut) and meaning.hours is not None:
                self._ring(now + timedelta(hours=meaning.hours, minutes=1))

    def _read_by(self, since: datetime, wait: timedelta) -> datetime:
        """Give when somebody has had some time to read, quiet hours left out."""
        ends = self.town.at(since.astimezone(self.town.zone).date(), 21)
        at = since + wait
        return at if at < ends else at + MOST_QUIET

    def _ring(self, at: datetime, who: str | None = None) -> None:
        """Ring at a moment; of somebody's silence only if he has texted nothing since."""
        late = timedelta(minutes=-(at.astimezone(self.town.zone).minute % GRID) % GRID)
        moment = (at + late).replace(second=0, microsecond=0)
        since = self.town.now

        def ring() -> Strikes | None:
            if moment in self.planned or (who is not None and self.last_text[who] > since):
                return None
            local = moment.astimezone(self.town.zone)
            if not 6 <= local.hour < 22:
                return None
            self.planned.add(moment)
            return Strikes(moment)

        self.town.put(moment, ring)
