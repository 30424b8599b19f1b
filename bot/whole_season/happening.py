"""What happens in the invented season, and what each text of it is meant to do.

A text carries its meaning beside its words, so that whoever recounts the season need not read texts: the
words go to Rowfoot alone, the meaning to the recount alone.

A text that raises a question has `AskedFor`, with a site's number or, where the question is about keeping people out,
the field's; the answer holds what a yes stores. Of several samples in one text the good ones are `Counted` beside it.
`Shut.cause` is also "words", of free words that may mean a treated field. `HoursAreAll` was added to what was agreed:
the yes to the question whether the hours given are all there are. Crop figures (NAWF), temperatures, notes, EACH,
practice, checks, and counts of somebody in training are `Nothing`: they change no standing by themselves; EACH shows in
`Counted.each`. A gateway id that comes again is a `Says` with the id of an earlier one.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

Counts = Mapping[str, int | None]
"""Counts by code of the card or of an extra column; None where a column was not counted."""


@dataclass(frozen=True, slots=True)
class Counted:
    """Samples come in at a site; None for a sample that is lost. `each` is their effort where it is not the plan's."""

    site: int
    day: date
    by: str
    samples: Mapping[int, Counts | None]
    each: int | None = None


@dataclass(frozen=True, slots=True)
class Fixed:
    """A sample that is in becomes another; columns of the card that are not said become 0."""

    site: int
    day: date
    sample: int
    counts: Counts


@dataclass(frozen=True, slots=True)
class Moved:
    """Samples that went to the wrong site go to the right one, under their numbers."""

    site: int
    to: int
    day: date
    samples: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class TakenBack:
    """What an earlier text of the season (its id) put in is taken out again."""

    text: str


@dataclass(frozen=True, slots=True)
class Shared:
    """A share of a whole site: `n` of `of` looked at."""

    site: int
    day: date
    code: str
    n: int
    of: int


@dataclass(frozen=True, slots=True)
class LeftShort:
    """A site is left unfinished, for a reason."""

    site: int
    day: date
    reason: str


@dataclass(frozen=True, slots=True)
class Skipped:
    """A site is not sampled in this round, for a reason."""

    site: int
    day: date
    reason: str


@dataclass(frozen=True, slots=True)
class Staged:
    """Somebody names a field's stage from a day on; `by` decides whether it holds."""

    field: int
    day: date
    by: str
    stage: str
    week: int | None


@dataclass(frozen=True, slots=True)
class Shut:
    """A field is closed: `cause` is sprayed, spraying, posted or words; hours of re-entry where they can be read."""

    field: int
    by: str
    cause: str
    hours: int | None


@dataclass(frozen=True, slots=True)
class HoursAreAll:
    """The hours given are all there are: treatments of a field whose hours were never given end with them."""

    field: int
    by: str


@dataclass(frozen=True, slots=True)
class Opened:
    """A supervisor's OPEN is confirmed: the field opens, or gets these hours from the last SPRAYED."""

    field: int
    by: str
    hours: int | None


@dataclass(frozen=True, slots=True)
class SaidOk:
    """A person answers OK, thanks or the like: to the keep-out, the alert or the correction that waits for it."""

    by: str


@dataclass(frozen=True, slots=True)
class SentOn:
    """A supervisor lets a waiting alert go, or sends on what is in range."""

    field: int
    by: str


@dataclass(frozen=True, slots=True)
class HeldBack:
    """A supervisor keeps a waiting alert."""

    field: int
    by: str


@dataclass(frozen=True, slots=True)
class AskedFor:
    """The text makes Rowfoot ask about this site: until the next text of this phone a question is open there."""

    site: int
    by: str


@dataclass(frozen=True, slots=True)
class OptedOut:
    """A phone wants no more texts."""

    by: str


@dataclass(frozen=True, slots=True)
class CameBack:
    """A phone that had opted out wants texts again."""

    by: str


@dataclass(frozen=True, slots=True)
class HandedOver:
    """Sites go to another scout for the round."""

    sites: tuple[int, ...]
    by: str
    to: str


@dataclass(frozen=True, slots=True)
class Unreadable:
    """Nobody can read this text: nothing is stored, and it may go to a person."""

    by: str


@dataclass(frozen=True, slots=True)
class Nothing:
    """The text changes nothing: PLAN, a site's number, a refused text, an answer that keeps what is there."""

    by: str


Meaning = (
    Counted
    | Fixed
    | Moved
    | TakenBack
    | Shared
    | LeftShort
    | Skipped
    | Staged
    | Shut
    | HoursAreAll
    | Opened
    | SaidOk
    | SentOn
    | HeldBack
    | AskedFor
    | OptedOut
    | CameBack
    | HandedOver
    | Unreadable
    | Nothing
)


@dataclass(frozen=True, slots=True)
class Says:
    """A text: its id, when it arrives and was sent, who sends it (a key, or a phone), its words and meaning."""

    id: str
    at: datetime
    sent: datetime | None
    who: str
    text: str
    means: tuple[Meaning, ...]


@dataclass(frozen=True, slots=True)
class Strikes:
    """The clock strikes."""

    at: datetime


@dataclass(frozen=True, slots=True)
class Reloads:
    """A changed season file is loaded: people come, go and change their phones."""

    at: datetime
    season: str


Happening = Says | Strikes | Reloads


@dataclass(frozen=True, slots=True)
class Caused:
    """A text that a happening caused: to which phone (E.164), for what purpose, in what words."""

    to: str
    purpose: str
    text: str
