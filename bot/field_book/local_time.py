"""The time of a season at one moment: its local days, the day of a text, the quiet hours.

Moments are handed on in UTC: two local times of one zone are compared and subtracted by their faces, and are an hour
off where the clocks were changed between them.
"""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from bot.rules import Season

LATEST_SENT = timedelta(days=7)


class LocalTime:
    """A season's own time, and the moment now, which is never asked again."""

    def __init__(self, season: Season, now: datetime) -> None:
        self.season = season
        self.now = now.astimezone(UTC)
        self.zone = ZoneInfo(season.timezone)

    @property
    def today(self) -> date:
        """The local day now."""
        return self.local(self.now).date()

    def local(self, moment: datetime) -> datetime:
        """Give a moment in the season's own time."""
        return moment.astimezone(self.zone)

    def at(self, day: date, clock: time) -> datetime:
        """Give the moment of a local day and time of day.

        A time that the clocks skip is an hour later; of one that comes twice it is the first.
        """
        return datetime.combine(day, clock, self.zone).astimezone(UTC)

    def text_day(self, sent_at: datetime | None, received_at: datetime) -> date:
        """Give the day that a text belongs to: sent, unless that lies ahead or over 7 days back; else received."""
        if sent_at is not None and received_at - LATEST_SENT <= sent_at <= received_at:
            return self.local(sent_at).date()
        return self.local(received_at).date()

    def quiet_until(self, moment: datetime) -> datetime:
        """Give the moment from which the machine may start a text: now, or the end of the quiet hours."""
        return next((ends for begins, ends in self._quiet_around(moment) if begins <= moment < ends), moment)

    def next_quiet(self, moment: datetime) -> datetime:
        """Give the moment at which the quiet hours next begin."""
        return next(begins for begins, _ in self._quiet_around(moment) if begins > moment)

    def _quiet_around(self, moment: datetime) -> Iterator[tuple[datetime, datetime]]:
        """Give the quiet hours that begin yesterday to the day after tomorrow, each as its first moment and its end."""
        begins, ends = self.season.quiet
        today = self.local(moment).date()
        for day in (today + timedelta(days=n) for n in (-1, 0, 1, 2)):
            until = day if begins <= ends else day + timedelta(days=1)
            yield self.at(day, begins), self.at(until, ends)
