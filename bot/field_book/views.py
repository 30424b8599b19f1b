"""A site and a field as they are seen at one moment."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from bot.rules import (
    Field,
    FieldStanding,
    SiteFigures,
    SquaresOn,
    Standing,
    VisitFacts,
)


@dataclass(frozen=True, slots=True)
class SiteView:
    """A site on a day: its visit if there is one, and its figures by target."""

    site: int
    field: Field
    day: date
    visit: VisitFacts | None
    figures: tuple[SiteFigures, ...]
    squares: SquaresOn | None
    plan_samples: int

    @property
    def is_enough(self) -> bool:
        """Whether it need not be finished: it is the one site of its field, and above for sure."""
        sure = any(
            one.certain and one.standing is Standing.ABOVE for one in self.figures if one.share is None
        )
        return sure and not self.field.several

    @property
    def is_over(self) -> bool:
        """Whether nobody need go there again that day: finished, skipped, or enough."""
        visit = self.visit
        return visit is not None and (visit.finished or visit.skipped or self.is_enough)


@dataclass(frozen=True, slots=True)
class FieldView:
    """A field's newest round, as of a day: None where it has none."""

    field: Field
    round_id: int | None
    first_day: date | None
    last_day: date | None
    standing: FieldStanding
    visits: Mapping[int, VisitFacts]
    squares: SquaresOn | None
    on_proposal: bool

    @property
    def last_seen(self) -> date | None:
        """The day of its newest visit."""
        return max((visit.day for visit in self.visits.values()), default=None)
