"""A reading as the text that we would have liked to get: `read(echo(r)) == r`."""

from collections.abc import Sequence
from itertools import pairwise

from parsing.day import HandOver, Send, Temp, Wait
from parsing.reading import Counts, Fix
from parsing.reentry import Doubtful, Given, OpenUp
from parsing.samples import Form, Sample

BREAK = " / "
TOTAL = "TOTAL"


def echo_samples(samples: Sequence[Sample], *, packed: bool = False) -> str:
    """Give samples as they were sent, or packed where every count has one digit.

    Samples in numbers need no breaks; coded ones do, and one coded sample parts all.
    """
    said = [_packed(sample) if packed else _as_sent(sample) for sample in samples]
    forms = {_form(sample, packed=packed) for sample in samples}
    if len(samples) > 1 and forms == {Form.NOTHING} and not any(sample.shares for sample in samples):
        return _range(samples) or BREAK.join(said)
    parted = (Form.CODED, Form.LOST, Form.SHARES)
    coded = any(one in parted for one in forms) or len(forms - {Form.NOTHING}) > 1
    coded = coded or any(sample.shares for sample in samples)
    digits_and_zero = forms == {Form.DIGITS, Form.NOTHING}
    rising = all((a.number or 0) < (b.number or 0) for a, b in pairwise(samples))
    return (BREAK if coded or digits_and_zero or not rising else " ").join(said)


def _range(samples: Sequence[Sample]) -> str | None:
    numbers = [sample.number for sample in samples]
    if None in numbers or numbers != list(range(numbers[0] or 0, (numbers[0] or 0) + len(numbers))):
        return None
    return f"{numbers[0]}-{numbers[-1]} 0"


def _form(sample: Sample, *, packed: bool) -> Form:
    if not packed or sample.lost or sample.form is Form.NOTHING:
        return sample.form
    return Form.PACKED if can_pack(sample) else Form.CODED


def can_pack(sample: Sample) -> bool:
    """Tell whether a sample can be said packed: three columns or more, one digit each, nothing beside."""
    return (
        not sample.lost
        and sample.number is not None
        and not (sample.extras or sample.shares or sample.covers)
        and len(sample.counts) >= 3
        and all(count is not None and count <= 9 for _, count in sample.counts)
    )


def _packed(sample: Sample) -> str:
    if sample.form is Form.NOTHING or not can_pack(sample):
        return _as_sent(sample)
    return _numbered(sample, "".join(str(count) for _, count in sample.counts))


def _as_sent(sample: Sample) -> str:
    shares = " ".join(f"{one.code} {one.n} {one.of}" for one in sample.shares)
    if sample.form is Form.SHARES:
        return _numbered(sample, shares)
    return f"{_counts_as_sent(sample)} {shares}".rstrip()


def _counts_as_sent(sample: Sample) -> str:
    match sample.form:
        case Form.NOTHING:
            return _numbered(sample, "0")
        case Form.LOST:
            return _numbered(sample, "X")
        case Form.PACKED:
            return _numbered(sample, "".join(str(count) for _, count in sample.counts))
        case Form.DIGITS:
            return _numbered(
                sample, " ".join("X" if count is None else str(count) for _, count in sample.counts)
            )
        case Form.CODED | Form.SHARES:
            return _numbered(sample, counts_in_codes(sample))


def _numbered(sample: Sample, said: str) -> str:
    if sample.covers:
        return f"{TOTAL} {sample.covers} {said}"
    return said if sample.number is None else f"{sample.number} {said}"


def counts_in_codes(sample: Sample) -> str:
    """Give what a sample counted as codes: FA2 LNX; nothing found is 0, a lost sample X."""
    if sample.lost:
        return "X"
    found = [f"{code}{'X' if count is None else count}" for code, count in sample.counts if count != 0]
    found += [f"{code}{count}" for code, count in sample.extras]
    return " ".join(found) or "0"


def echo(said: Counts | Fix | Temp | HandOver | Send | Wait | OpenUp) -> str:
    """Give a reading as the text that would have been liked best."""
    match said:
        case Counts(site, samples):
            return f"{site} {echo_samples(samples)}"
        case Fix(site, samples):
            return f"{site} FIX {echo_samples(samples)}"
        case Temp(high, low):
            return f"TEMP {high} {low}"
        case HandOver(number, who):
            return f"{number} TO {who}"
        case Send(number):
            return f"{number} SEND"
        case Wait(number):
            return f"{number} WAIT"
        case OpenUp(number, hours):
            return f"{number} OPEN {_hours(hours)}".rstrip()


def _hours(hours: Given | Doubtful | None) -> str:
    """Give hours as they are asked or taken: what is a multiple of 12 and yet doubtful was said in days."""
    match hours:
        case None:
            return ""
        case Doubtful(asked) if asked % 24 == 0:
            return f"{asked // 24} DAYS"
        case _:
            return str(hours.hours)
