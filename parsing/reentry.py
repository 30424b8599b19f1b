"""What a text can mean that keeps people out of a field, or lets a supervisor end that."""

from dataclasses import dataclass
from enum import StrEnum, auto


class Treatment(StrEnum):
    """Why people are to keep out: the field was treated, is being treated, or has a sign up."""

    SPRAYED = auto()
    SPRAYING = auto()
    SIGN = auto()


@dataclass(frozen=True, slots=True)
class Given:
    """Re-entry hours that cannot mean anything else: 12 or more, and a multiple of 12."""

    hours: int


@dataclass(frozen=True, slots=True)
class Doubtful:
    """A number that may be re-entry hours and must be asked: under 12, no multiple of 12, or said in days."""

    hours: int


@dataclass(frozen=True, slots=True)
class Unknown:
    """No re-entry hours can be read."""


Hours = Given | Doubtful | Unknown


@dataclass(frozen=True, slots=True)
class Treated:
    """`12 SPRAYED 24`, `12 SPRAYING`, `12 KEEPOUT`: nobody is to go into the field of this number.

    `numbers` are all of four digits or less behind the first, the hours among them: one that is another
    field of the sender closes that field too, and makes the hours unknown. `said` are the words as sent,
    with what stood before the number where that made the hours unknown.
    """

    kind: Treatment
    number: int
    hours: Hours
    numbers: tuple[int, ...]
    said: str


@dataclass(frozen=True, slots=True)
class OpenUp:
    """`12 OPEN`, `12 OPEN 48`: a supervisor ends what keeps people out, or sets its hours; always asked."""

    number: int
    hours: Given | Doubtful | None = None
