"""How people key what they counted: packed, digits or codes, one sample a text or several."""

from collections.abc import Mapping, Sequence
from enum import StrEnum

Sheet = Mapping[str, int | None]


class Keyed(StrEnum):
    """The way in which somebody keys a sample."""

    PACKED = "packed"
    DIGITS = "digits"
    CODES = "codes"


def sample_text(number: int, counts: Sheet, keyed: Keyed) -> str:
    """Key one sample after its site number: `3 21004`, `3 2 1 0 0 4`, `3 FA2 FN1`, or `3 0`."""
    found = {code: count for code, count in counts.items() if count != 0}
    if not found:
        return f"{number} 0"
    if keyed is Keyed.CODES or any(count is None for count in found.values()):
        said = " ".join(f"{code}{'X' if count is None else count}" for code, count in found.items())
        return f"{number} {said}"
    if keyed is Keyed.PACKED and len(counts) >= 3 and all((count or 0) < 10 for count in counts.values()):
        return f"{number} {''.join(str(count) for count in counts.values())}"
    return f"{number} {' '.join(str(count) for count in counts.values())}"


def samples_text(samples: Mapping[int, Sheet], keyed: Keyed) -> str:
    """Key several samples: with breaks, and a run of empty ones as a range."""
    parts: list[str] = []
    run: list[int] = []
    for number, counts in samples.items():
        if all(count == 0 for count in counts.values()):
            run.append(number)
            continue
        parts += _empty(run)
        run = []
        parts.append(sample_text(number, counts, keyed))
    parts += _empty(run)
    return " / ".join(parts)


def _empty(run: Sequence[int]) -> list[str]:
    if len(run) > 2 and run[-1] - run[0] == len(run) - 1:
        return [f"{run[0]}-{run[-1]} 0"]
    return [f"{number} 0" for number in run]


def unbroken_text(samples: Mapping[int, Sheet], keyed: Keyed) -> str | None:
    """Key several samples without breaks where only one reading fits; None where they need breaks."""
    full = [counts for counts in samples.values() if any(counts.values())]
    if not full or any(count is None for counts in samples.values() for count in counts.values()):
        return None
    if keyed is Keyed.PACKED and all((count or 0) < 10 for counts in full for count in counts.values()):
        texts = [sample_text(number, counts, keyed) for number, counts in samples.items()]
        # a pair of a number and 0 beside a packed sample can be read in one way only
        return " ".join(texts) if any(max(map(len, text.split())) > 2 for text in texts) else None
    if keyed is Keyed.DIGITS and len(samples) > 1:
        return " ".join(
            f"{number} {' '.join(str(count) for count in counts.values())}"
            for number, counts in samples.items()
        )
    return None
