"""The time of a season at one moment: its local days, the day of a text, the quiet hours."""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from bot.rules import Season

LATEST_SENT = timedelta(days=7)


class LocalTime:
    """A season's own time, and the moment now, which is never asked again."""

    def __init__(self, season: Season, now: datetime) -> None:
        self.season = season
        self.now = now
        self.zone = ZoneInfo(season.timezone)

    @property
    def today(self) -> date:
        """The local day now."""
        return self.local(self.now).date()

    def local(self, moment: datetime) -> datetime:
        """Give a moment in the season's own time."""
        return moment.astimezone(self.zone)

    def at(self, day: date, clock: time) -> datetime:
        """Give the moment of a local day and time of day."""
        return datetime.combine(day, clock, self.zone)

    def text_day(self, sent_at: datetime | None, received_at: datetime) -> date:
        """Give the day that a text belongs to: sent, unless that lies ahead or over 7 days back; else received."""
        if sent_at is not None and received_at - LATEST_SENT <= sent_at <= received_at:
            return self.local(sent_at).date()
        return self.local(received_at).date()

    def quiet_until(self, moment: datetime) -> datetime:
        """Give the moment from which the machine may start a text: now, or the end of the quiet hours."""
        begins, ends = self.season.quiet
        local = self.local(moment)
        clock = local.time()
        if begins <= ends:
            return self.at(local.date(), ends) if begins <= clock < ends else moment
        if clock >= begins:
            return self.at(local.date() + timedelta(days=1), ends)
        return self.at(local.date(), ends) if clock < ends else moment

    def next_quiet(self, moment: datetime) -> datetime:
        """Give the moment at which the quiet hours next begin."""
        begins, _ = self.season.quiet
        local = self.local(moment)
        today = self.at(local.date(), begins)
        return today if today > moment else self.at(local.date() + timedelta(days=1), begins)
