"""A field's stage on a day, by the season file's dates and by what was texted."""

from datetime import date, datetime

from bot.field_book.keeping import Kept, is_kept
from bot.field_book.local_time import LocalTime
from bot.rules import Field, Phase, Season, Stage, StageMark, governing_mark
from storage import Session, stage_texts


class Stages(LocalTime):
    """The stages of one moment's book, which keeps what it has worked out."""

    def __init__(self, session: Session, season: Season, now: datetime) -> None:
        super().__init__(season, now)
        self.session = session
        self.kept = Kept(session)

    @is_kept
    def marks(self, field: Field, by: date | None = None) -> list[StageMark]:
        """Give what says a field's stage: the file's dates, then the texts up to a day as they came."""
        texted = [
            StageMark(row.day, Phase[row.phase.upper()], row.week, row.proposal)
            for row in stage_texts(self.session, field.number)
            if by is None or row.day <= by
        ]
        return [*field.stage_dates, *texted]

    @is_kept
    def mark_on(self, field: Field, day: date) -> StageMark | None:
        """Give what says a field's stage on a day."""
        return governing_mark(self.marks(field, day), day)

    def stage_on(self, field: Field, day: date) -> Stage | None:
        """Give a field's stage on a day, None where it is not known."""
        mark = self.mark_on(field, day)
        return mark.on(day) if mark else None
