"""What became of a text with a slip, held against what the true text did from the same state."""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from tests.studies.corpus import TrueText
from tests.studies.slips import Slip, Slipped
from tests.studies.stored import Change, Row, Seen, how_seen
from tests.studies.trial import Heard
from tests.talk import DAY


class Outcome(StrEnum):
    """What became of a text with a slip."""

    REFUSED = "refused with help"
    ASKED = "asked"
    SAME = "taken and the same"
    PART = "taken in part, as meant"
    ECHOED = "taken, different, in the echo"
    SUMS = "taken, different, echo as sums"
    SILENT = "taken, different, SILENT"
    COMMAND = "other command, nothing stored"
    BROKE = "could not be heard"


class Kind(StrEnum):
    """What is wrong with what was taken and is different."""

    SITE = "wrong site"
    SAMPLE = "wrong sample"
    COLUMN = "wrong column"
    COUNT = "wrong count"
    FIGURE = "wrong share, nodes or effort"
    WORDS = "wrong words, reason or stage"
    DAY = "wrong day or person"
    COMMAND = "another command"
    UNASKED = "not asked, as the true text is"


class Law(StrEnum):
    """What must hold for every text and every slip."""

    SILENT = "nothing different is stored in silence"
    CONTROL = "with a control total a wrong digit in a count is never taken"
    LETTER = "a letter one press off never ends in another column"


DIFFERENT = (Outcome.ECHOED, Outcome.SUMS, Outcome.SILENT)
_SAYS_COUNTS = ("samples", "checks")
_HOLDS_NUMBERS = ("shares", "nawf", "efforts")
_STORES = frozenset({"Counts", "Fix", "ShareSaid", "Nawf", "Each", "Unreadable"})
"""What a text may be understood as and still be refused: forms that store, and what is no form at all."""


@dataclass(frozen=True, slots=True)
class Judged:
    """One slip of one true text: what became of it, the kind of difference where there is one, the laws it breaks."""

    plan: str
    true: TrueText
    slipped: Slipped
    outcome: Outcome
    kind: Kind | None
    understood: str
    reply: str
    breaks: tuple[Law, ...] = ()


def judge(plan: str, true: TrueText, meant: Heard, slipped: Slipped, heard: Heard) -> Judged:
    """Say what became of a text with a slip beside the text that was meant."""
    outcome = _outcome(true, meant, heard)
    kind = _kind(meant, heard) if outcome in DIFFERENT else None
    breaks = tuple(_broken(true, meant, slipped, heard, outcome))
    return Judged(
        plan, true, slipped, outcome, kind, heard.understood, heard.reply or heard.broke or "", breaks
    )


def is_valid(true: TrueText, meant: Heard) -> bool:
    """Tell whether a true text is taken whole; one that is always asked, whether it is asked."""
    if meant.broke is not None:
        return False
    if true.asked:
        return meant.asked and not meant.change
    return bool(meant.change) and not meant.asked


def _outcome(true: TrueText, meant: Heard, heard: Heard) -> Outcome:
    if heard.broke is not None:
        return Outcome.BROKE
    if heard.change and heard.change == meant.change:
        return Outcome.SAME
    if not heard.change:
        if heard.asked:
            return Outcome.ASKED
        refused = heard.understood == meant.understood or heard.understood in _STORES
        return Outcome.REFUSED if refused else Outcome.COMMAND
    seen = how_seen(heard.change, heard.reply, true.sender, DAY)
    if seen is not Seen.NOT and heard.change.is_part_of(meant.change):
        return Outcome.PART
    match seen:
        case Seen.IN_ECHO:
            return Outcome.ECHOED
        case Seen.AS_SUMS:
            return Outcome.SUMS
        case Seen.NOT:
            return Outcome.SILENT


def _kind(meant: Heard, heard: Heard) -> Kind:
    if meant.asked:
        return Kind.UNASKED
    if heard.understood != meant.understood:
        return Kind.COMMAND
    if _of(meant.change, lambda row: row.place) != _of(heard.change, lambda row: row.place):
        return Kind.SITE
    whose_day = [_of(one.change, lambda row: (row.day, row.person)) for one in (meant, heard)]
    if whose_day[0] != whose_day[1]:
        return Kind.DAY
    which = [_of(one.change, lambda row: (row.sample, row["covers"])) for one in (meant, heard)]
    if which[0] != which[1]:
        return Kind.SAMPLE
    if heard.change.of(*_SAYS_COUNTS) != meant.change.of(*_SAYS_COUNTS):
        moved = _found(meant.change) == _found(heard.change)
        return Kind.COLUMN if moved else Kind.COUNT
    if heard.change.of(*_HOLDS_NUMBERS) != meant.change.of(*_HOLDS_NUMBERS):
        return Kind.FIGURE
    return Kind.WORDS


def _broken(true: TrueText, meant: Heard, slipped: Slipped, heard: Heard, outcome: Outcome) -> list[Law]:
    broken = []
    if outcome is Outcome.SILENT:
        broken.append(Law.SILENT)
    if outcome not in DIFFERENT or true.asked:
        return broken
    if true.control and slipped.slip is Slip.NEIGHBOUR and _counted(meant.change) != _counted(heard.change):
        broken.append(Law.CONTROL)
    if slipped.slip is Slip.ONE_PRESS and _codes(heard.change) - _codes(meant.change):
        broken.append(Law.LETTER)
    return broken


def _of(change: Change, what: Callable[[Row], Any]) -> set[Any]:
    return {what(row) for row in (*change.added, *change.removed)}


def _counted(change: Change) -> Counter[Any]:
    """Give what was counted in every sample, whichever number or site it has."""
    return Counter((row["counts"], row["extras"]) for row in change.of(*_SAYS_COUNTS))


def _found(change: Change) -> Counter[Any]:
    """Give the numbers that were found in every sample, whichever column they stand in."""
    return Counter(
        (row.sample, *sorted(str(count) for _, count in (*row["counts"], *row["extras"]) if count != 0))
        for row in change.of(*_SAYS_COUNTS)
    )


def _codes(change: Change) -> set[str]:
    """Give the codes under which anything was found, or which were said not to be counted."""
    rows = change.of(*_SAYS_COUNTS)
    return {code for row in rows for code, count in (*row["counts"], *row["extras"]) if count != 0}
