"""dictionary.md: what stands in every file and column, made from the columns that write them."""

from collections.abc import Sequence
from typing import Any

from bot.exporting.record import Record
from bot.exporting.table import Kind, Table

DICTIONARY = "dictionary.md"

KINDS = {
    Kind.NUMBER: "a number with a point, exact where it has an end",
    Kind.DAY: "a day, as 2027-07-06",
    Kind.TIME: "a time with its offset, as 2027-07-06T09:30:00-05:00, seconds cut off",
    Kind.YES_NO: "yes or no",
    Kind.WORD: "one of Rowfoot's own words or codes",
    Kind.TEXT: "words that somebody chose, defused (below)",
}


def dictionary(record: Record, tables: Sequence[Table[Any]]) -> str:
    """Give the data dictionary of some tables."""
    season = record.season
    now = record.book.local(record.book.now).isoformat(timespec="seconds")
    phones = (
        "Phone numbers are in the columns `phone` and in words as they were texted."
        if record.phones
        else "Phone numbers are left out. In words, [phone] stands for one that the season or a text knows, and for "
        "what is written as only a phone number is (+1 270 555 0111, 270-555-0111); another number, written as plain "
        "digits, cannot be told from counts and stays."
    )
    lines = [
        f"# {_plain(season.name)}: the record",
        "",
        f"As of {now}. Times and days are of {season.timezone}. Where a count stands is said, never what to do: local "
        "extension guidance and the label come first.",
        "",
        "Every file is CSV as RFC 4180 has it: commas, CRLF, one header line, quotes where a cell needs them; in UTF-8 "
        "without a byte order mark. A file without rows has its header. Rows stand in the order that is said; rows "
        "that were replaced or taken back stay, marked in `status`.",
        "",
        "What a cell is:",
        "",
        *(f"- {kind.value}: {meaning}" for kind, meaning in KINDS.items()),
        "",
        "Defused: words that begin with = + - @ a tab, a line break or ' have one ' put before them, so that no "
        "spreadsheet takes them for a formula. Take one ' away from text cells that begin with it and you have the "
        "words as they were. Other cells are never changed.",
        "",
        phones,
        "Words of texts that hold a code to sign in are left out always.",
        "",
    ]
    for table in tables:
        lines += [f"## {table.file}", "", table.about, ""]
        lines += ["| column | what it is | meaning | unit | empty means |", "|---|---|---|---|---|"]
        lines += [
            f"| {column.name} | {column.kind.value} | {column.meaning} | {column.unit or '-'} | {column.empty} |"
            for column in table.columns
        ]
        lines.append("")
    return "\n".join(lines)


def _plain(words: str) -> str:
    """Give words on one line, without what Markdown or HTML would read in them."""
    return "".join(f"\\{sign}" if sign in "\\`*_{}[]<>()#+-.!|" else sign for sign in " ".join(words.split()))
