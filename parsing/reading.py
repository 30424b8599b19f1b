"""What a text can mean: frozen values, one class a form, and problems where it means nothing sure."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum, auto

from parsing.day import CrewAsked, HandOver, PlanAsked, Send, Sos, Tell, Temp, TodayAsked, Wait
from parsing.problems import Problem
from parsing.reentry import OpenUp, Treated
from parsing.samples import Card, Sample
from parsing.words import Words


@dataclass(frozen=True, slots=True)
class Ground:
    """What a text is read against: the season's numbers and codes as they stand for its sender and day.

    `cards` has every site; None where the plan turns on a stage that is not known. `fields` has the
    fields of several sites. `here` is the sender's one open site. `codes` are all codes of the season,
    `shares` those of its shares. Every site number is larger than `largest_sample`.
    """

    words: Words
    cards: Mapping[int, Card | None]
    fields: Mapping[int, tuple[int, ...]]
    codes: frozenset[str]
    shares: frozenset[str]
    largest_sample: int
    here: int | None = None


@dataclass(frozen=True, slots=True)
class Status:
    """`121`: how a site or field stands."""

    number: int


@dataclass(frozen=True, slots=True)
class Counts:
    """Samples of one site.

    `problems` are parts that could not be taken; the samples beside them stand. `fatal` problems take
    the whole text. `rival` is the other reading where two fit; `control` the control total; `site_said`
    is false where the site is the sender's open one and must be asked.
    """

    site: int
    samples: tuple[Sample, ...]
    problems: tuple[Problem, ...] = ()
    rival: tuple[Sample, ...] = ()
    control: int | None = None
    site_said: bool = True


@dataclass(frozen=True, slots=True)
class Fix:
    """`121 FIX 3 FA1`: samples that replace those in, whole."""

    site: int
    samples: tuple[Sample, ...]
    problems: tuple[Problem, ...] = ()
    control: int | None = None


@dataclass(frozen=True, slots=True)
class Undo:
    """`121 UNDO`, or `UNDO` alone; `doubtful` where the word was CANCEL, or TODO on the same keys: asked."""

    number: int | None
    doubtful: bool = False


@dataclass(frozen=True, slots=True)
class Move:
    """`121 MOVE 123`: the sender's own samples of today belong to the other site."""

    number: int
    to: int


@dataclass(frozen=True, slots=True)
class Each:
    """`121 EACH 20`: the effort of one sample here from now on, in the plan's unit."""

    number: int
    amount: int


@dataclass(frozen=True, slots=True)
class AllNothing:
    """`121 TODO 0`: nothing found in all samples of the plan; asked."""

    number: int


@dataclass(frozen=True, slots=True)
class Short:
    """`121 SHORT rain`: the visit ends with what is in."""

    number: int
    reason: str | None


@dataclass(frozen=True, slots=True)
class Done:
    """`121 DONE`, `121 STOP rain`: the standing, asked if unfinished."""

    number: int
    reason: str | None


@dataclass(frozen=True, slots=True)
class Skip:
    """`121 SKIP gate locked`: not sampled today."""

    number: int
    reason: str | None


class Remark(StrEnum):
    """What free words about a site are about."""

    NOTE = auto()
    WET = auto()
    WIND = auto()


@dataclass(frozen=True, slots=True)
class Note:
    """`121 NOTE hail on north end`, `121 WET`, `121 WIND`; `site` where the words are nothing but one's number."""

    number: int
    about: Remark
    words: str | None = None
    site: int | None = None


@dataclass(frozen=True, slots=True)
class Close:
    """`121 CLOSE`: the visit or the field, by who says it."""

    number: int
    reason: str | None


@dataclass(frozen=True, slots=True)
class Where:
    """`WHERE 16`: the field's directions."""

    number: int


@dataclass(frozen=True, slots=True)
class Nawf:
    """`121 NAWF 6 5 5 7`: nodes above white flower, plant by plant, to one decimal."""

    number: int
    plants: tuple[Decimal, ...]


@dataclass(frozen=True, slots=True)
class ShareSaid:
    """`121 SQ 88 100`: n of m looked at, under a share's code."""

    number: int
    code: str
    n: int
    of: int


@dataclass(frozen=True, slots=True)
class StageSaid:
    """`12 STAGE BLOOM 2`: the phase (squaring, bloom, cutout), and the week where one was said."""

    number: int
    phase: str
    week: int | None


@dataclass(frozen=True, slots=True)
class MarkRead:
    """`OK`, `12 OK`, a thumbs-up: what was sent to this person has been read."""

    number: int | None


@dataclass(frozen=True, slots=True)
class Answer:
    """`1` or `2` to an open question."""

    yes: bool


@dataclass(frozen=True, slots=True)
class ShowCard:
    """`CARD`, `121 CARD`: the codes in card order."""

    number: int | None


@dataclass(frozen=True, slots=True)
class Help:
    """`HELP`."""


@dataclass(frozen=True, slots=True)
class OptOut:
    """An opt-out word as the whole text."""

    word: str


@dataclass(frozen=True, slots=True)
class OptIn:
    """`START`."""


@dataclass(frozen=True, slots=True)
class ChooseLanguage:
    """`ESPANOL`, `ENGLISH`."""

    language: str


@dataclass(frozen=True, slots=True)
class Courtesy:
    """Kind words and nothing else."""

    thanks: bool


@dataclass(frozen=True, slots=True)
class Unreadable:
    """A text of which nothing can be taken. `number` is the site or field in front, if any.

    `treated` where its words may mean that a field was treated; `opt_out_inside` where an opt-out word
    stands among others.
    """

    problems: tuple[Problem, ...]
    number: int | None = None
    treated: bool = False
    opt_out_inside: bool = False


@dataclass(frozen=True, slots=True)
class Prefixes:
    """What stands before a text: `PRACTICE`, `BY ANA`, `CHECK`, a day.

    `by` is the name said, `day` the weekday ("mon" … "sun") or "yesterday"; `end` the place where the
    text itself begins.
    """

    practice: bool = False
    by: str | None = None
    check: bool = False
    day: str | None = None
    end: int = 0


Reading = (
    Status
    | Counts
    | Fix
    | Undo
    | Move
    | Each
    | AllNothing
    | Short
    | Done
    | Skip
    | Note
    | Close
    | Where
    | Nawf
    | ShareSaid
    | StageSaid
    | MarkRead
    | Answer
    | ShowCard
    | Help
    | OptOut
    | OptIn
    | ChooseLanguage
    | Courtesy
    | PlanAsked
    | TodayAsked
    | CrewAsked
    | Tell
    | Temp
    | Sos
    | HandOver
    | Send
    | Wait
    | Treated
    | OpenUp
    | Unreadable
)
