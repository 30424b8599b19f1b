"""JSON from outside, read so that nothing in it can hurt later.

Every fault is a `MalformedNotice`: bytes that are no text, no JSON, nesting without end, numbers without
end, NaN, and a name given twice in one object (two readers would see two different texts).
"""

import json
import math
import re
from collections.abc import Mapping

from bot.gateways.errors import MalformedNotice

_UNSTORABLE = re.compile("[\0\ud800-\udfff]")
"""NUL, which PostgreSQL refuses, and lone surrogates, which UTF-8 cannot write."""


def clean(text: str) -> str:
    """Give the text with a replacement character for each one that could not be stored."""
    return _UNSTORABLE.sub("\ufffd", text)


def read_json(body: bytes) -> object:
    """Give the JSON value in the body; raises `MalformedNotice` where there is none to be had."""
    try:
        return json.loads(
            body, parse_constant=_no_constant, parse_float=_finite, object_pairs_hook=_each_name_once
        )
    except RecursionError as error:
        raise MalformedNotice("nested too deep") from error
    except ValueError as error:
        # The decoder's message may quote the body, so it is kept as the cause only.
        raise MalformedNotice("not JSON") from error


def write_json(value: object) -> str:
    """Give a value that `read_json` gave as JSON again, in ASCII.

    Raises `MalformedNotice` where reading just bore the nesting and writing does not.
    """
    try:
        return json.dumps(value)
    except RecursionError as error:
        raise MalformedNotice("nested too deep") from error


def mapping_at(value: object, name: str) -> Mapping[str, object]:
    """Give the object that stands in `value` under `name`; raises `MalformedNotice` if there is none."""
    inner = value.get(name) if isinstance(value, dict) else None
    if not isinstance(inner, dict):
        raise MalformedNotice(f"no object {name}")
    return inner


def mappings_at(value: Mapping[str, object], name: str) -> tuple[Mapping[str, object], ...]:
    """Give the objects under `name`, where one object may stand for an array of one.

    Raises `MalformedNotice` where the name is absent or holds anything else.
    """
    inner = value.get(name)
    several = inner if isinstance(inner, list) else [inner]
    found = tuple(one for one in several if isinstance(one, dict))
    if len(found) != len(several):
        raise MalformedNotice(f"{name} is neither an object nor an array of objects")
    return found


def text_at(value: Mapping[str, object], name: str) -> str:
    """Give the string under `name`, fit to store; raises `MalformedNotice` for anything else."""
    inner = value.get(name)
    if not isinstance(inner, str):
        raise MalformedNotice(f"{name} is not a string")
    return clean(inner)


def label_at(value: Mapping[str, object], name: str) -> str | None:
    """Give the id under `name`, None where it is absent, null or empty.

    Ids are strings in the standard; a whole number is taken as its digits. Raises `MalformedNotice` for
    anything else.
    """
    match value.get(name):
        case None | "":
            return None
        case str(label):
            return clean(label)
        case int(number) if not isinstance(number, bool):
            return str(number)
        case _:
            raise MalformedNotice(f"{name} is not an id")


def _no_constant(name: str) -> object:
    raise ValueError(f"{name} is not JSON")


def _finite(digits: str) -> float:
    number = float(digits)
    if not math.isfinite(number):
        raise ValueError("a number beyond any measure")
    return number


def _each_name_once(pairs: list[tuple[str, object]]) -> dict[str, object]:
    value = dict(pairs)
    if len(value) != len(pairs):
        raise ValueError("a name stands twice in one object")
    return value
