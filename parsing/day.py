"""What a text can mean for the day of a crew and its season: what is on, who is told, where help is needed."""

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class PlanAsked:
    """`PLAN`: the sender's sites of today."""


@dataclass(frozen=True, slots=True)
class TodayAsked:
    """`TODAY`: the digest as of now."""


@dataclass(frozen=True, slots=True)
class CrewAsked:
    """`CREW`: where everybody is, and how far."""


@dataclass(frozen=True, slots=True)
class Tell:
    """`TELL storm coming`: words for the crew, as sent."""

    words: str


@dataclass(frozen=True, slots=True)
class Temp:
    """`TEMP 97 71`: yesterday's high and low in degrees Fahrenheit, to one decimal."""

    high: Decimal
    low: Decimal


@dataclass(frozen=True, slots=True)
class Sos:
    """`SOS`, `121 SOS bitten`, `911`: somebody is in danger.

    `words` is the whole text as sent; `number` the site or field before the word, or alone behind it.
    """

    words: str
    number: int | None = None


@dataclass(frozen=True, slots=True)
class HandOver:
    """`121 TO LUIS`: the site's next visit is his; `who` in capitals without accents."""

    number: int
    who: str


@dataclass(frozen=True, slots=True)
class Send:
    """`12 SEND`: an alert that waits for a person may go."""

    number: int


@dataclass(frozen=True, slots=True)
class Wait:
    """`12 WAIT`: an alert that waits for a person is kept back."""

    number: int
