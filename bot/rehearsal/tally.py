"""Sums over many fields that add up to the same whatever the order."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from bot.rehearsal.values import Way
from bot.rehearsal.walking import Walked


@dataclass(frozen=True, slots=True)
class Tally:
    """Many fields of one true density, walked one way.

    `above` were called above, `otherwise` called otherwise than the fixed plan called them. `samples` were
    counted in all, `until_alert` those before an alert might go, over the fields called above.
    """

    fields: int = 0
    above: int = 0
    samples: int = 0
    until_alert: int = 0
    otherwise: int = 0

    def __add__(self, other: "Tally") -> "Tally":
        return Tally(
            self.fields + other.fields,
            self.above + other.above,
            self.samples + other.samples,
            self.until_alert + other.until_alert,
            self.otherwise + other.otherwise,
        )

    def with_field(self, walked: Walked, fixed: Walked | None) -> "Tally":
        """Give the tally with one field more; `fixed` is the same field walked by the fixed plan."""
        return self + Tally(
            1,
            int(walked.above),
            walked.samples,
            walked.alert or 0,
            int(fixed is not None and fixed.told is not walked.told),
        )

    @property
    def share_above(self) -> float:
        """The part of fields called above, from 0 to 1."""
        return self.above / self.fields

    @property
    def mean_samples(self) -> float:
        """The mean number of samples counted in a field."""
        return self.samples / self.fields

    @property
    def mean_until_alert(self) -> float | None:
        """The mean number of samples in when the alert might go; None where no field was called above."""
        return self.until_alert / self.above if self.above else None


@dataclass(frozen=True, slots=True)
class At:
    """A true density, as times the level, and what each way made of it."""

    times: Fraction
    ways: Mapping[Way, Tally]

    @property
    def is_above(self) -> bool:
        """Whether the true density is at or over the level; a level is met exactly at its mark."""
        return self.times >= 1

    def wrong(self, way: Way) -> float:
        """Give the part of fields that a way calls on the wrong side."""
        share = self.ways[way].share_above
        return 1 - share if self.is_above else share

    def saved(self, way: Way) -> float:
        """Give the part of the fixed plan's samples that a way saves."""
        return 1 - self.ways[way].samples / self.ways[Way.FIXED].samples
