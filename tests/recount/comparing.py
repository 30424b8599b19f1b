"""Expected values against shown ones: every difference becomes a line that a person can read."""

from collections.abc import Mapping, Sequence
from math import isclose
from typing import Any

UNBEGUN = ("low", "high")


def differences(expected: Any, shown: Any, path: str = "") -> list[str]:
    """Give the differences between what the recount has and what `show` says, by path; more keys are welcome."""
    if isinstance(expected, Mapping):
        if not isinstance(shown, Mapping):
            return [f"{path}: recount {expected!r}, shown {shown!r}"]
        return [
            line
            for key, value in expected.items()
            for line in (
                differences(value, shown[key], f"{path}.{key}" if path else key)
                if key in shown
                else [f"{path}.{key}: recount {value!r}, not shown"]
            )
        ]
    if isinstance(expected, Sequence) and not isinstance(expected, str):
        if not isinstance(shown, Sequence) or len(shown) != len(expected):
            return [f"{path}: recount {_short(expected)}, shown {_short(shown)}"]
        return [
            line
            for place, (one, other) in enumerate(zip(expected, shown, strict=True))
            for line in differences(one, other, f"{path}[{place}]")
        ]
    return [] if _same(expected, shown) else [f"{path}: recount {expected!r}, shown {shown!r}"]


def _same(expected: Any, shown: Any) -> bool:
    if isinstance(expected, bool) or isinstance(shown, bool) or expected is None or shown is None:
        return expected is shown
    if isinstance(expected, (int, float)) and isinstance(shown, (int, float)):
        return isclose(expected, shown, rel_tol=1e-12, abs_tol=0.0) or expected == shown
    return bool(expected == shown)


def _short(value: Any) -> str:
    if isinstance(value, Sequence) and not isinstance(value, str) and value and isinstance(value[0], Mapping):
        return str([one.get("id", one) for one in value])
    return repr(value)
