"""Samples as they are read: counts in card order, shares, sums over several."""

from dataclasses import dataclass
from enum import StrEnum, auto


@dataclass(frozen=True, slots=True)
class Card:
    """The card at a site on a day: codes in order, the plan's number of samples, the limit that is asked."""

    codes: tuple[str, ...]
    samples: int
    ask_above: int


TOTALS = 0
"""The number under which sums over several samples stand."""


class Form(StrEnum):
    """The form in which a sample was sent, and is echoed."""

    CODED = auto()
    DIGITS = auto()
    PACKED = auto()
    NOTHING = auto()
    LOST = auto()
    SHARES = auto()


@dataclass(frozen=True, slots=True)
class Guess:
    """An unknown code and the code that it is taken for if the sender says so."""

    said: str
    code: str


@dataclass(frozen=True, slots=True)
class ShareFound:
    """n of m looked at, under a share's code."""

    code: str
    n: int
    of: int


@dataclass(frozen=True, slots=True)
class Sample:
    """One sample as read. `counts` has every column of the card in order; None: not counted.

    `number` None is the next sample. `extras` are counts of codes beside the card. A lost sample has
    no counts, and neither has a stop at which shares alone were looked at (`Form.SHARES`). Sums over
    several samples say how many they `cover`; they have the number `TOTALS`.
    """

    number: int | None
    form: Form
    counts: tuple[tuple[str, int | None], ...] = ()
    extras: tuple[tuple[str, int], ...] = ()
    guesses: tuple[Guess, ...] = ()
    shares: tuple[ShareFound, ...] = ()
    covers: int = 0

    @property
    def lost(self) -> bool:
        return self.form is Form.LOST

    @property
    def insects(self) -> int:
        """The sum of every insect count, extras too."""
        return sum(count or 0 for _, count in self.counts) + sum(count for _, count in self.extras)
