"""What a text has stored, read from the tables themselves, and whether its reply lets the sender see it.

Nothing here asks the reader or the replies what they meant: rows are compared with rows, and a reply is
searched for the counts as a person would read them.
"""

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any

from storage import InboxText, Session

_MACHINERY = frozenset(
    {"season_versions", "inbox", "outbox", "questions", "ledger", "crossings", "alerts", "rounds"}
)
"""Tables of what the machine did, or of what follows from counts; all other tables hold what somebody said."""

_NOT_SAID = frozenset(
    {"id", "text_id", "replaces", "ended_at", "ended_by", "visit_id", "round_id", "field", "plan", "levels"}
    | {"form", "assigned", "asked", "begun_at", "counted_at", "said_at", "opted_out_at", "paused_at"}
)
"""Columns that name other rows, say when, or follow from the rest."""

_PLACES = ("site", "number", "field")


@dataclass(frozen=True, slots=True)
class Row:
    """What stands in one row: its table, site or field, day, person, sample number, and all else by column."""

    table: str
    place: int
    day: date | None
    person: str | None
    sample: int | None
    said: tuple[tuple[str, Any], ...]

    def __getitem__(self, column: str) -> Any:
        return dict(self.said).get(column)


@dataclass(frozen=True, slots=True)
class Change:
    """What a text added to what stands and what it took away."""

    added: tuple[Row, ...]
    removed: tuple[Row, ...]

    def __bool__(self) -> bool:
        return bool(self.added or self.removed)

    def of(self, *tables: str) -> tuple[Row, ...]:
        """Give the rows of some tables that were added."""
        return tuple(row for row in self.added if row.table in tables)

    def is_part_of(self, whole: "Change") -> bool:
        """Tell whether all of it is in another change, which has more."""
        return (
            self != whole
            and not Counter(self.added) - Counter(whole.added)
            and not Counter(self.removed) - Counter(whole.removed)
        )


def standing(session: Session) -> Counter[Row]:
    """Give all that stands in the tables, with everything left out that only says when and by which text."""
    tables = InboxText.metadata.tables
    visits = {row["id"]: row for row in _rows(session, tables["visits"])}
    found: Counter[Row] = Counter()
    for name, table in tables.items():
        if name in _MACHINERY:
            continue
        rows = visits.values() if name == "visits" else _rows(session, table)
        found.update(_row(name, row, visits) for row in rows if _stands(name, row))
    return found


def _stands(table: str, row: Mapping[str, Any]) -> bool:
    """Leave out what counts no more, and phones of which nothing is noted but that they were heard of."""
    if table == "phones":
        return any(value is not None for key, value in row.items() if key != "phone")
    return row.get("ended_at") is None


def _rows(session: Session, table: Any) -> list[dict[str, Any]]:
    return [dict(row) for row in session.execute(table.select()).mappings()]


def change(before: Counter[Row], after: Counter[Row]) -> Change:
    """Give what came and what went between two states."""
    return Change(_sorted(after - before), _sorted(before - after))


def _sorted(rows: Counter[Row]) -> tuple[Row, ...]:
    return tuple(sorted(rows.elements(), key=repr))


def _row(table: str, row: Mapping[str, Any], visits: Mapping[int, Mapping[str, Any]]) -> Row:
    visit = visits[row["visit_id"]] if "visit_id" in row else row
    in_number = table in ("samples", "checks")
    place = next((visit[one] for one in _PLACES if one in visit), 0)
    said = [(key, _frozen(key, value)) for key, value in row.items() if key not in _NOT_SAID]
    if table == "phones":
        # that, not when, a phone wants no texts or is paused
        said += [(key, row[key] is not None) for key in ("opted_out_at", "paused_at")]
    return Row(
        table,
        place,
        visit.get("day"),
        row.get("person"),
        row["number"] if in_number else row.get("sample"),
        tuple((key, value) for key, value in said if key not in ("site", "day", "person")),
    )


def _frozen(key: str, value: Any) -> Any:
    if isinstance(value, dict):
        pairs = tuple(value.items())
        return tuple(sorted(pairs)) if key == "extras" else pairs
    return tuple(value) if isinstance(value, list) else value


class Seen(StrEnum):
    """How far a reply shows what was stored."""

    IN_ECHO = "in the echo"
    AS_SUMS = "as sums"
    NOT = "silent"


def how_seen(stored: Change, reply: str, sender: str, today: date) -> Seen:
    """Tell how far a reply shows all that a text stored and took away."""
    echo = _Echo(reply)
    seen = [_added_seen(row, echo, sender, today) for row in stored.added]
    again = {(row.table, row.place, row.sample) for row in stored.added}
    for row in stored.removed:
        if (row.table, row.place, row.sample) not in again and row.table not in ("visits", "phones"):
            named = row.sample if row.table == "samples" else row["n"]
            seen.append(Seen.IN_ECHO if echo.names(row.place, named) else Seen.NOT)
    if Seen.NOT in seen:
        return Seen.NOT
    return Seen.AS_SUMS if Seen.AS_SUMS in seen else Seen.IN_ECHO


def _added_seen(row: Row, echo: "_Echo", sender: str, today: date) -> Seen:
    if row.table == "phones":
        return (
            Seen.IN_ECHO
        )  # every such change is confirmed in words, or is the pause behind a text that went to a person
    if not echo.names(row.place):
        return Seen.NOT
    if row.day is not None and row.day != today and not echo.says_day(row.day):
        return Seen.NOT
    if row.table != "visits" and row.person not in (None, sender) and not echo.holds(str(row.person)):
        return Seen.NOT
    match row.table:
        case "samples" | "checks":
            return echo.shows_sample(row)
        case "shares":
            shown = echo.shows_share(row)
        case "visits":
            shown = row["state"] == "open" or row["reason"] is None or echo.holds(row["reason"])
        case "nawf":
            shown = echo.names(*row["plants"])
        case "efforts":
            shown = echo.names(row["amount"])
        case "remarks":
            shown = echo.holds(row["words"] or _WORDS[row["about"]])
        case "stage_texts":
            shown = echo.holds(_WORDS[row["phase"]]) and (row["phase"] == "cutout" or echo.names(row["week"]))
        case _:
            raise AssertionError(f"the study does not know how a reply shows a row of {row.table}")
    return Seen.IN_ECHO if shown else Seen.NOT


_WORDS = {
    "wet": "wet|mojado",
    "wind": "wind|viento",
    "squaring": "squaring|cuadreo",
    "bloom": "bloom|flor",
    "cutout": "cutout",
}
"""What a reply may call what has no words of the sender's own."""

_MONTHS = {6: "jun", 7: "jul"}
_BETWEEN = r"(?: is now| queda)? "
"""What may stand between a sample's number and its counts: a correction says more."""


class _Echo:
    """A reply, searched as its reader would: what it names, and which sample it says was what."""

    def __init__(self, reply: str) -> None:
        self.reply = reply.lower()
        # what stood before, and how to bring it back, is said in brackets; figures follow after the echo
        self.head = " ".join(re.split(r"(?<=[.])\s", re.sub(r"\([^)]*\)", "", self.reply))[:4])

    def names(self, *numbers: object) -> bool:
        """Tell whether numbers stand in the reply, each whole and in this order."""
        pattern = ".*?".join(rf"(?<![\d.]){re.escape(str(number))}(?!\d|\.\d)" for number in numbers)
        return re.search(pattern, self.reply, re.DOTALL) is not None

    def holds(self, words: str) -> bool:
        """Tell whether one of some words (parted by |) stands in the reply, blanks and capitals aside."""
        plain = " ".join(self.reply.split())
        return any(" ".join(word.lower().split()) in plain for word in words.split("|"))

    def says_day(self, day: date) -> bool:
        """Tell whether a date stands in the reply, in English or Spanish."""
        month = _MONTHS.get(day.month, "?")
        return self.holds(f"{month} {day.day}|{day.day} {month}")

    def shows_sample(self, row: Row) -> Seen:
        """Tell how the reply shows a sample: its counts as sent or packed, or their sum."""
        number = rf"(?:total|todo) {row['covers']}" if row["covers"] else str(row.sample)
        for said in _ways_to_say(row):
            if re.search(rf"(?<![^\s/]){number}{_BETWEEN}{re.escape(said)}(?![^\s.,/;:)]|\.\d)", self.head):
                return Seen.IN_ECHO
        if not row["lost"] and not _found(row) and self._in_a_range(row.sample or 0):
            return Seen.IN_ECHO
        total = sum(count or 0 for _, count in (*row["counts"], *row["extras"]))
        summed = re.search(rf"(?:sums|sumas) (?:\d+ \d+, )*{row.sample} {total}(?!\d)", self.reply)
        return Seen.AS_SUMS if summed else Seen.NOT

    def shows_share(self, row: Row) -> bool:
        """Tell whether the reply shows n of m under a share's code, beside the number of its stop where it has one."""
        code = "sq|cuadros" if row["code"] == "SQ" else str(row["code"]).lower()
        stop = "" if row.sample is None else rf"(?<![^\s/]){row.sample} (?:[^/.]*? )?"
        return re.search(rf"{stop}(?:{code}):? {row['n']} (?:\D+ )?{row['of']}(?!\d)", self.head) is not None

    def _in_a_range(self, sample: int) -> bool:
        for found in re.finditer(r"(?<!\S)((?:\d+(?:-\d+)?, ?)*\d+-\d+) 0(?!\d)", self.head):
            for part in found[1].split(","):
                ends = [int(end) for end in part.strip().split("-")]
                if ends[0] <= sample <= ends[-1]:
                    return True
        return False


def _found(row: Row) -> list[tuple[str, int | None]]:
    return [(code, count) for code, count in (*row["counts"], *row["extras"]) if count != 0]


def _ways_to_say(row: Row) -> Iterator[str]:
    """Give the ways in which a reply may say what was counted in a sample, in small letters."""
    if row["lost"]:
        yield "x"
        return
    counts = ["x" if count is None else str(count) for _, count in row["counts"]]
    yield " ".join(f"{code}{'X' if count is None else count}" for code, count in _found(row)).lower() or "0"
    if not row["extras"]:
        yield " ".join(counts)
        yield "".join(counts)
