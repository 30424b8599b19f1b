"""Sampling methods and the units in which their effort is measured."""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction


class Unit(StrEnum):
    """What effort, or the base of a share, is counted in; spelt as a level's `per` spells it."""

    SWEEPS = "sweeps"
    ROW_FT = "row ft"
    PLANTS = "plants"
    TERMINALS = "terminals"
    BOLLS = "bolls"
    SQUARES = "squares"


class Method(StrEnum):
    """How a sample is taken."""

    SWEEP_NET = "sweep net"
    BEAT_SHEET = "beat sheet"
    BEAT_BUCKET = "beat bucket"
    VISUAL = "visual"

    @property
    def units(self) -> tuple[Unit, ...]:
        """The units in which this method's effort can be given (common practice)."""
        match self:
            case Method.SWEEP_NET:
                return (Unit.SWEEPS,)
            case Method.BEAT_SHEET:
                return (Unit.ROW_FT,)
            case Method.BEAT_BUCKET:
                return (Unit.PLANTS,)
            case Method.VISUAL:
                return (Unit.PLANTS, Unit.TERMINALS)


@dataclass(frozen=True, slots=True)
class Effort:
    """How much was sampled: an exact amount and its unit, as 3 row ft or 25 sweeps."""

    amount: Fraction
    unit: Unit


SQUARE_FEET_AN_ACRE = 43_560
"""43,560 square feet an acre (definition of the acre)."""


def row_feet_an_acre(row_spacing_in: Fraction) -> Fraction:
    """Give the row feet in an acre at a row spacing in inches: 43,560 / (spacing in feet).

    40-in rows have 13,068 row feet an acre (common practice).
    """
    return SQUARE_FEET_AN_ACRE / (row_spacing_in / 12)
