"""Whose a site is: the field's scouts', or whose it was handed to, until that visit or its round is over."""

from dataclasses import dataclass, field
from datetime import date, timedelta

from tests.recount.rounds import FieldRecord


@dataclass(frozen=True, slots=True)
class Handover:
    """A site given to another person on a day."""

    site: int
    to: str
    day: date


@dataclass(slots=True)
class Handovers:
    """All hand-overs of a season."""

    all: list[Handover] = field(default_factory=list)

    def hands(self, record: FieldRecord, site: int) -> list[str]:
        """Give who has a site as of the record's day."""
        ours = [one for one in self.all if one.site == site and one.day <= record.day]
        if ours and not self._is_over(record, ours[-1]):
            return [ours[-1].to]
        return list(record.of.scouts)

    def was_assigned(self, record: FieldRecord, site: int, person: str) -> bool:
        """Say whether somebody is, or was by a hand-over, to sample a site."""
        return person in record.of.scouts or any(one.site == site and one.to == person for one in self.all)

    def _is_over(self, record: FieldRecord, one: Handover) -> bool:
        done = any(
            visit.site == one.site and one.day <= visit.day < record.day and record.ended(each, visit)
            for each in record.rounds
            for visit in each.visits
        )
        newest = record.rounds[-1] if record.rounds else None
        ran = any(
            each.first <= one.day < each.first + timedelta(each.plan.every_days)
            for each in record.rounds[:-1]
        )
        return done or (newest is not None and newest.first > one.day and ran)
