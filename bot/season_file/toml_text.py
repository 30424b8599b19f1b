"""TOML texts read with exact numbers; what is no TOML is a fault that names its line."""

import ast
import re
import tomllib
from decimal import Decimal
from typing import Any

from bot.season_file.faults import Fault, listed

_AT_LINE = re.compile(r" \(at line (\d+), column \d+\)$")
_TWICE = re.compile(r"Cannot declare (\(.*\)) twice")


def read_toml(text: str, where: str, faults: list[Fault]) -> dict[str, Any] | None:
    """Give the tables of a TOML text, numbers with a point as Decimal; None and one fault where it is none.

    `where` goes before the line in the fault's path: "" for the season file, "book " for its level book.
    """
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except RecursionError:
        faults.append(Fault(f"{where}text", "This is no TOML that can be read: it nests too deep."))
    except (ValueError, ArithmeticError) as error:
        # beside TOMLDecodeError: integers of thousands of digits, exponents beyond Decimal's
        faults.append(_syntax_fault(text, where, str(error)))
    return None


def _syntax_fault(text: str, where: str, message: str) -> Fault:
    at_line = _AT_LINE.search(message)
    what = _AT_LINE.sub("", message)
    path = f"{where}line {at_line[1]}" if at_line else f"{where}text"
    twice = _TWICE.fullmatch(what)
    if twice and at_line:
        keys: tuple[str, ...] = ast.literal_eval(twice[1])
        lines = [str(n) for n, line in enumerate(text.splitlines(), 1) if _heads(line, keys)]
        return Fault(where + ".".join(keys), f"This is written twice: lines {listed(lines or [at_line[1]])}.")
    return Fault(path, f"This is no TOML: {what}.")


def _heads(line: str, keys: tuple[str, ...]) -> bool:
    name = r"\s*\.\s*".join(rf"[\"']?{re.escape(key)}[\"']?" for key in keys)
    return re.match(rf"\s*\[\s*{name}\s*\]", line) is not None
