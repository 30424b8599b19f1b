"""Texts about closed fields read back: keep out, stay off that side, call him, hours over, the morning's plan."""

import re
from dataclasses import dataclass
from datetime import date, datetime

from bot.whole_season.happening import Caused

MONTHS = {
    name: number
    for number, names in enumerate(
        ("jan ene", "feb", "mar", "apr abr", "may", "jun", "jul", "aug ago", "sep", "oct", "nov", "dec dic"),
        1,
    )
    for name in names.split()
}
DAY = r"(?:[A-Za-z]{3} )?(?:(?P<m1>[A-Z][a-z]{2}) (?P<d1>\d+)|(?P<d2>\d+) (?P<m2>[a-z]{3}))"
WHEN = DAY + r"(?: (?P<h>\d+):(?P<min>\d\d) (?P<ap>[APap])[Mm])?"
UNTIL = r"(?:(?:at least until|por lo menos hasta) (?P<until>[\w: ]+?[APap][Mm])|hours not known|no se saben las horas)"
KINDS = (
    (
        "keep out",
        "keepout",
        r"^(?:KEEP OUT of|NO ENTRE al) (?P<number>\d+)[^,]*? (?:from now|desde ahora),? (?:y )?" + UNTIL,
    ),
    ("beside", "keepout", r"^(?P<beside>\d+) next to your (?P<number>\d+) is being treated"),
    ("beside", "keepout", r"^Al lado de su (?P<number>\d+) [^(]*\((?P<beside>\d+)\)"),
    (
        "hours asked",
        "keepout",
        r"^(?P<number>\d+)[^:]*: (?P<who>.+?) (?:says it is treated or posted|dice que aplicaron)",
    ),
    (
        "shut",
        "notice",
        r"^(?P<number>\d+)[^:]*: (?:KEEP OUT|NO ENTRE), "
        + UNTIL
        + r"\. (?:From|De) (?P<who>[^,]+),.*?(?:(?:Told|Avisados): (?P<told>[^.]+)\.)?"
        r"(?: (?:For the hours|Por las horas) .*)?$",
    ),
    (
        "over",
        "notice",
        r"^(?P<number>\d+)[^:]*: (?:the|ya pasaron las) (?P<hours>\d+) h "
        r".*?(?:Recheck is due|Toca volver a revisar)(?: el)? (?P<recheck>[\w ]+)\.$",
    ),
    (
        "call",
        "notice",
        r"^(?:CALL|LLAME a) (?P<who>[^,]+), [\d-]+: (?:no OK yet|no hay OK).*?(?P<number>\d+)[^\d]*$",
    ),
    (
        "call",
        "notice",
        r"^(?:CALL|LLAME a) (?P<who>[^,]+), [\d-]+: (?:no text can|a ese telefono no) .*?"
        r"(?:KEEP OUT of|NO ENTRE al|next to|junto al) (?P<number>\d+)",
    ),
    ("opened", "notice", r"^(?P<number>\d+)[^:]*: (?P<who>\S+) (?:ended the KEEP OUT|quito el NO ENTRE)"),
    (
        "by hand",
        "notice",
        r"^(?P<who>.+?) (?:texted|escribio): .* (?:could not take it|no pudo con eso).*?(?P<number>)$",
    ),
    ("counted in", "notice", r"^(?P<who>.+?) (?:texted counts from|mando conteos del) (?P<number>\d+)"),
)
READERS = [(kind, purpose, re.compile(expression)) for kind, purpose, expression in KINDS]


@dataclass(frozen=True, slots=True)
class Word:
    """A text about keeping out: to whom, which kind, of which field, and what it says."""

    to: str
    kind: str
    field: int
    says: str


def read_keeping_out(caused: Caused, year: int) -> Word | None:
    """Read a text about keeping out; None where it is none."""
    for kind, purpose, expression in READERS:
        found = expression.search(caused.text) if purpose == caused.purpose else None
        if found is None:
            continue
        said = found.groupdict()
        parts = [
            moment(said["until"], year)
            if said.get("until")
            else "hours not known"
            if "until" in said
            else "",
            said.get("beside") or "",
            said.get("who") or "",
            f"told {', '.join(sorted(re.split(', | and | y ', said['told'])))}" if said.get("told") else "",
            f"{said['hours']} h" if said.get("hours") else "",
            moment(said["recheck"], year) if said.get("recheck") else "",
        ]
        return Word(caused.to, kind, int(said["number"] or 0), "; ".join(part for part in parts if part))
    return None


def moment(said: str, year: int) -> str:
    """Give a day, with a time where one is said, in the recount's own form."""
    found = re.search(WHEN, said)
    assert found is not None, said
    month = MONTHS[(found["m1"] or found["m2"]).lower()]
    day = date(year, month, int(found["d1"] or found["d2"]))
    if found["h"] is None:
        return day.isoformat()
    hour = int(found["h"]) % 12 + (12 if found["ap"].lower() == "p" else 0)
    return f"{day.isoformat()} {hour:02}:{found['min']}"


def until_said(until: datetime | str | None) -> str:
    """Say an end in the recount's own form."""
    return until.strftime("%Y-%m-%d %H:%M") if isinstance(until, datetime) else "hours not known"


@dataclass(frozen=True, slots=True)
class Morning:
    """A morning's plan: sites due, sites to recheck, closed fields and until when; rechecks past their last day."""

    due: frozenset[int]
    recheck: frozenset[int]
    shut: frozenset[tuple[int, str]]
    late: frozenset[int] = frozenset()


def is_morning(text: str) -> bool:
    """Say whether a text is the beginning of a morning's plan."""
    return re.match(r"^[A-Z][a-z]{2} [\w ]+, (?:as of|a las) ", text) is not None


def read_morning(texts: list[str], year: int) -> Morning:
    """Read the texts of one person's plan."""
    whole = " ".join(re.sub(r"^\d/\d\. |, \d/\d(?=\.)", "", text) for text in texts)
    shut: set[tuple[int, str]] = set()
    due: set[int] = set()
    recheck: set[int] = set()
    for sentence in re.split(r"\.\s+|\.$", whole):
        if found := re.match(r"(?:KEEP OUT|NO ENTRE): (.*)", sentence):
            for item in found[1].split("; "):
                number, _, rest = item.partition(" ")
                end = re.sub(r"^(to|hasta) ", "", rest)
                shut.add((int(number), moment(end, year) if end != rest else "hours not known"))
            continue
        found = re.match(r"(?:(?:[^\W\d]+(?:, [^\W\d]+)*): )?((?:\d+ )+|\d+:)", sentence)
        if found is None or re.match(r"(Done|Listos?|Hechos?|Handed)", sentence):
            continue
        numbers = {int(one) for one in re.findall(r"\d+", found[1])}
        due |= numbers
        if re.search(r"recheck|volver a revisar", sentence):
            recheck |= numbers
    return Morning(frozenset(due), frozenset(recheck), frozenset(shut))
