"""Codes ranked by their presses: what each that ships costs, and the cheapest that could stand in its place."""

import string
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib import resources
from itertools import product

from parsing import keys, shipped_words
from tests.studies.presses import Presses, Way, presses

NOT_COUNTED = "X"
PAUSE_IN_RANKING = 1
"""A pause takes at least as long as a press; for the order alone it is counted as one."""


@dataclass(frozen=True, slots=True)
class Ranked:
    """A code that ships, what it counts, and the cheapest codes that keep the distances in its place.

    `alike` begins with the same letter, so that it can still be learnt; None where none is cheaper.
    """

    code: str
    counts: str
    cost: Presses
    cheaper: str | None
    alike: str | None


def shipped_codes() -> dict[str, str]:
    """Give the codes of the targets and shares that ship, with what each counts."""
    file = resources.files("bot.season_file") / "shipped.toml"
    shipped = tomllib.loads(file.read_text(encoding="utf-8"))
    codes = {
        code: f"{target['name']}, {stage}" if stage != "any" else target["name"]
        for target in shipped["targets"].values()
        for code, stage in target["columns"].items()
    }
    return codes | {share["code"]: f"share: {share['name']}" for share in shipped["shares"].values()}


def letters_cost(code: str) -> Presses:
    """Give the presses of a code's letters in letter mode."""
    cost = presses(code, Way.HELD)
    assert cost is not None, "letter mode types every code"
    return cost


def weight(code: str) -> int:
    """Give the presses of a code, a pause counted as one, for the order of codes."""
    cost = letters_cost(code)
    return cost.keys + PAUSE_IN_RANKING * cost.pauses


@cache
def ranked() -> tuple[Ranked, ...]:
    """Rank the codes that ship, dearest first, each as if it alone were chosen anew beside the others."""
    shipped = shipped_codes()
    order = sorted(shipped, key=lambda code: (-weight(code), code))
    return tuple(_ranked(code, shipped[code], sorted(set(shipped) - {code})) for code in order)


def _ranked(code: str, counts: str, others: list[str]) -> Ranked:
    free = [one for one in codes_apart_from(others) if weight(one) < weight(code)]
    alike = [one for one in free if one[0] == code[0]]
    return Ranked(code, counts, letters_cost(code), _cheapest(free), _cheapest(alike))


def _cheapest(codes: list[str]) -> str | None:
    return min(codes, key=lambda code: (weight(code), code), default=None)


def codes_apart_from(others: list[str]) -> Iterator[str]:
    """Give every code of two letters that keeps the distances of texts.md, section 4, to codes and words."""
    words = shipped_words()
    # One press apart is a case of the same keys, and so is the same code.
    taken = {keys(near) for near in (*others, *words.beside_codes(), *words.opt_out)}
    for one, two in product(string.ascii_uppercase, repeat=2):
        code = one + two
        made_of_digits = set(code) <= set("OIL")
        if not made_of_digits and NOT_COUNTED not in code and keys(code) not in taken:
            yield code
