"""The numbers of fields and sites, kept so far apart that no text is read as about another field."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations, count

from bot.rules import Field
from bot.season_file.draft import Draft
from bot.season_file.faults import Fault
from parsing import one_key_apart

NEVER = (911, 112, 999)
"""Emergency numbers: neither a field's nor a site's."""

SITE_STEP = 10
"""A site of several is its field's number and one digit."""

LARGEST_WITH_SITES = 999


@dataclass(frozen=True, slots=True)
class Numbered:
    """A number that may begin a text: its place in the file, the field it leads to, and its key path."""

    place: int
    number: int
    field: int
    path: str

    def __str__(self) -> str:
        return f"{self.number} ({self.path})"


def site_numbers(field: int, last_digits: Iterable[int]) -> tuple[int, ...]:
    """Give the site numbers of a field: its own where no last digits are given (12; 121, 123, 125)."""
    return tuple(field * SITE_STEP + digit for digit in last_digits) or (field,)


def number_faults(draft: Draft) -> Iterator[Fault]:
    """Give the clashes among field and site numbers, naming both places."""
    numbers = list(_numbers(draft))
    for field, entry in draft.fields.items():
        if entry.form.sites and field > LARGEST_WITH_SITES:
            yield Fault(f"fields.{field}.sites", "The number of a field of several sites has 2 or 3 digits.")
    for one in numbers:
        if one.number in NEVER:
            yield Fault(one.path, f"{one.number} is an emergency number, never a field's or a site's.")
    yield from _sample_faults(draft, numbers)
    yield from _clashes(numbers)


def _clashes(numbers: list[Numbered]) -> Iterator[Fault]:
    """Give the numbers that are twice or begin another, each at the later of its two places."""
    holders: dict[str, list[Numbered]] = defaultdict(list)
    for one in numbers:
        holders[str(one.number)].append(one)
    told: set[frozenset[int]] = set()
    for one in numbers:
        digits = str(one.number)
        for other in holders[digits]:
            if other.place < one.place and other.field != one.field:
                yield Fault(one.path, f"{digits} is twice: {other.path} has it too.")
        for short in (short for end in range(2, len(digits)) for short in holders.get(digits[:end], ())):
            fields = frozenset((short.field, one.field))
            # One telling is enough for two fields: their sites are bound to clash as they do.
            if len(fields) == 2 and fields not in told:
                told.add(fields)
                later = max(short, one, key=lambda numbered: numbered.place)
                yield Fault(later.path, f"No number may begin another: {short} begins {one}.")


def _numbers(draft: Draft) -> Iterator[Numbered]:
    place = count()
    for field, entry in draft.fields.items():
        yield Numbered(next(place), field, field, f"fields.{field}")
        if entry.form.sites:
            for number in site_numbers(field, entry.form.sites):
                yield Numbered(next(place), number, field, f"fields.{field}.sites")


def _sample_faults(draft: Draft, numbers: list[Numbered]) -> Iterator[Fault]:
    samples = {key: plan.form.samples for key, plan in draft.plans.items() if plan.form.samples is not None}
    if not samples:
        return
    longest = max(samples, key=lambda key: samples[key])
    for one in numbers:
        if one.number <= samples[longest]:
            yield Fault(
                one.path,
                f"{one.number} is not larger than {samples[longest]}, the largest sample number "
                f"(plans.{longest}.samples).",
            )


def near_numbers(fields: Iterable[Field]) -> list[tuple[int, int]]:
    """Give the pairs of site numbers of different fields that one wrong key makes of each other."""
    sites = [(site, field.number) for field in fields for site in field.sites]
    return [
        (one, other)
        for (one, field), (other, its) in combinations(sites, 2)
        if field != its and one_key_apart(str(one), str(other))
    ]
