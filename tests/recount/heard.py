"""The machine's own texts read back into values, by small expressions in both languages."""

import re
from dataclasses import dataclass
from fractions import Fraction

from bot.whole_season.happening import Caused

TARGETS = {
    "lygus": "lygus",
    "la+ln": "lygus",
    "fleahopper": "fleahopper",
    "fa+fn": "fleahopper",
    "pulga saltona": "fleahopper",
    "hurt-boll rate": "bollhurt",
    "daño en bellotas": "bollhurt",
    "dirty-square rate": "dirtysquares",
}
UNITS_SAID = r"[\w. ]+?"
LEAST = r"(?:at least |al menos |por lo menos )?"
FIGURE = LEAST + r"(?P<density>[\d.]+)(?: (?:per|por) " + UNITS_SAID + r")?"
LEVEL = r"(?:, (?:level|umbral) (?P<level>[\d.]+(?:-[\d.]+)?))?"
SQUARES = r"(?:, (?:squares (?P<sq>[\d.]+) % on|cuadros (?P<cu>[\d.]+) %))?"
HEAD = r"^(?P<number>\d+)(?: (?P<name>[^,:]+?))?"
DATE = r", (?P<date>[A-Z][a-z]{2} \d+|\d+ [a-z]{3}): "
TARGET = r"(?P<target>[^\d:,+.]+?|[A-Z+]+)"
MORE = r"(?P<more>(?:\. \+ [^+]+? (?:ABOVE|ARRIBA))*)"
ABOVE = r"(?:ABOVE|ARRIBA(?: DEL UMBRAL)?)"
BELOW = r"(?:BELOW|ABAJO(?: DEL UMBRAL)?)"
RANGE = r"(?:IN RANGE|EN EL RANGO)"
TOLD = r"\.(?: Told: (?P<told>[^.]+)\.)?(?: NOT told, call: (?P<call>[^.]+)\.)?"

KINDS = (
    ("above", "alert", HEAD + DATE + TARGET + " " + FIGURE + LEVEL + ": " + ABOVE + SQUARES + MORE + r"\."),
    (
        "sure above",
        "alert",
        HEAD
        + DATE
        + TARGET
        + " "
        + ABOVE
        + r" (?:level |umbral )?(?P<level>[\d.]+(?:-[\d.]+)?)(?: (?:per|por) "
        + UNITS_SAID
        + ")?"
        + SQUARES
        + r"(?:, (?:sure after|seguro con) [^.]+)?"
        + MORE
        + r"\.",
    ),
    (
        "still above",
        "alert",
        HEAD + DATE + TARGET + " " + FIGURE + LEVEL + ": (?:still|sigue) " + ABOVE + SQUARES + MORE + r"\.",
    ),
    ("in range", "alert", HEAD + DATE + TARGET + " " + FIGURE + LEVEL + ": " + RANGE + r"[^.]*\. .*OK = "),
    (
        "back below",
        "alert",
        HEAD
        + DATE
        + TARGET
        + " "
        + FIGURE
        + LEVEL
        + r": (?:back|otra vez) "
        + BELOW
        + r" \((?P<was>[\d.]+) (?:on|el) [^)]+\)",
    ),
    (
        "corrected",
        "alert",
        r"^(?:CORRECTED|CORREGIDO) "
        + HEAD[1:]
        + DATE
        + TARGET
        + r" (?:(?:is|es) )?(?:(?P<gone>not final now|ya no es final|not known now|ya no se sabe)|"
        + FIGURE
        + LEVEL
        + ": (?:ahora )?(?P<now>"
        + BELOW
        + "|"
        + RANGE
        + "|"
        + ABOVE
        + "))",
    ),
    (
        "reminder",
        "alert",
        HEAD
        + DATE
        + r"(?:the text of|el texto de) [\d:]+ (?:[AP]M|[ap]m) \("
        + TARGET
        + r" (?:(?P<gone>is not final|ya no es final)|(?P<density>[\d.]+)"
        + LEVEL
        + r"[^)]*)\) (?:has no OK yet|no tiene OK)",
    ),
    (
        "told above",
        "notice",
        HEAD + DATE + TARGET + " " + FIGURE + LEVEL + SQUARES + ": ABOVE, (?P<how>final|certain)" + TOLD,
    ),
    ("told still", "notice", HEAD + DATE + TARGET + " " + FIGURE + LEVEL + SQUARES + ": still ABOVE" + TOLD),
    ("told back", "notice", HEAD + DATE + TARGET + " " + FIGURE + LEVEL + SQUARES + ": back BELOW" + TOLD),
    (
        "told range",
        "notice",
        HEAD + DATE + TARGET + " " + FIGURE + LEVEL + SQUARES + r": IN RANGE\. Yours to decide",
    ),
    (
        "told corrected",
        "notice",
        HEAD
        + DATE
        + TARGET
        + r" (?:is )?(?:(?P<gone>not final now|not known now)|"
        + FIGURE
        + LEVEL
        + SQUARES
        + r": (?P<now>BELOW|IN RANGE|ABOVE)(?: now)?)[,;] (?:it )?was (?:ABOVE|IN RANGE)(?: at [\d.]+)?"
        + TOLD,
    ),
    (
        "waits",
        "notice",
        HEAD
        + " (?:ABOVE|IN RANGE), "
        + TARGET
        + r" "
        + LEAST
        + r"(?P<density>[\d.]+)"
        + LEVEL
        + SQUARES
        + ": WAITS for you",
    ),
    (
        "unread",
        "notice",
        r"^(?P<who>[^\d:]+?) (?:has not read the|no ha leido) (?:alert of|text on|la alerta del|el texto de) "
        r"(?P<number>\d+)[^,]*?,? (?:that )?"
        + TARGET
        + r" (?:(?P<gone>is not final|ya no es final)|(?P<density>[\d.]+)"
        + LEVEL
        + ")",
    ),
    (
        "kept back",
        "notice",
        r"^(?P<who>[^\d:]+?) keeps back the alert of (?P<number>\d+)[^:]*: "
        + TARGET
        + r" "
        + LEAST
        + r"(?P<density>[\d.]+)"
        + LEVEL,
    ),
    (
        "let go",
        "notice",
        r"^(?P<who>[^\d:]+?) let it go to the growers?: (?P<number>\d+)[^,]*, "
        + TARGET
        + r" "
        + LEAST
        + r"(?P<density>[\d.]+)"
        + LEVEL,
    ),
)
READERS = [(kind, purpose, re.compile(expression)) for kind, purpose, expression in KINDS]


@dataclass(frozen=True, slots=True)
class Heard:
    """What a text says of one target: to whom, which kind, which field, which printed figures."""

    to: str
    kind: str
    field: int
    target: str
    density: str | None
    level: str | None
    names: tuple[str, ...]
    text: str


def read_standing(caused: Caused) -> list[Heard] | None:
    """Read a text about a standing; None where it is none."""
    for kind, purpose, expression in READERS:
        found = expression.search(caused.text) if purpose == caused.purpose else None
        if found is None:
            continue
        said = found.groupdict()
        target = TARGETS.get(said["target"].strip().lower())
        if target is None:
            continue
        who = said.get("who") or "; ".join(each for each in (said.get("told"), said.get("call")) if each)
        heard = [
            Heard(
                caused.to,
                "above" if kind == "sure above" else kind,
                int(said["number"]),
                target,
                said.get("density"),
                said.get("level"),
                tuple(name for name in re.split(r", | and |; ", who) if name),
                caused.text,
            )
        ]
        for more in re.findall(
            r"\+ ([^\d.,]+?) (?:[\d.]+, \w+ [\d.-]+: )?(?:ABOVE|ARRIBA)", said.get("more") or ""
        ):
            heard.append(
                Heard(
                    caused.to,
                    heard[0].kind,
                    heard[0].field,
                    TARGETS[more.lower()],
                    None,
                    None,
                    (),
                    caused.text,
                )
            )
        return heard
    return None


def fits(printed: str | None, exact: Fraction | None) -> bool:
    """Say whether a printed figure is the exact one, rounded to what it shows."""
    if printed is None or exact is None:
        return True
    places = len(printed.partition(".")[2])
    return abs(Fraction(printed) - exact) <= Fraction(1, 2 * 10 ** max(places, 2))


def level_said(low: Fraction, high: Fraction) -> str:
    """Say a level as texts do."""
    return _plain(low) if low == high else f"{_plain(low)}-{_plain(high)}"


def _plain(value: Fraction) -> str:
    return f"{float(value):g}"
