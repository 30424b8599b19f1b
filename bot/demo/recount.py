"""What the phones must have received, counted anew from the sheets and nets themselves.

Nothing here asks the rules, the replies or the database: sums, a mean and a comparison, from the day's own
record of what was found and from the levels as their sources print them.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from bot.demo.script import Day, Judged
from bot.rules import Person, Role, Season

ABOVE = {"en": "ABOVE", "es": "ARRIBA"}
BELOW = {"en": "BELOW", "es": "ABAJO"}
CORRECTED = {"en": "CORRECTED", "es": "CORREGIDO"}
MOST_SEPTETS = 160
MOST_DIGEST_TEXTS = 3


@dataclass(frozen=True, slots=True)
class Phone:
    """A person and all texts that his phone received, oldest first."""

    person: Person
    received: tuple[str, ...]
    sent: int

    def with_word(self, *words: str) -> list[str]:
        """Give the texts that hold every one of some words."""
        return [text for text in self.received if all(word in text for word in words)]


def faults_of(season: Season, day: Day, phones: Sequence[Phone]) -> list[str]:
    """Give every way in which the phones did not receive what the counts demand; empty when all is right."""
    by_key: dict[str, Phone] = {phone.person.key: phone for phone in phones}
    return [
        *_lengths(phones),
        *_site_faults(day, by_key),
        *_grower_faults(season, day, by_key),
        *_digest_faults(season, day, by_key),
    ]


def _lengths(phones: Sequence[Phone]) -> Iterator[str]:
    for phone in phones:
        for text in phone.received:
            septets = sum(2 if char in "^{}\\[~]|€" else 1 for char in text)
            if septets > MOST_SEPTETS:
                yield f"{phone.person.name} got a text of {septets} septets: {text}"


def judged_by(day: Day, field: int) -> Judged:
    """Give the level that a field is judged by."""
    return next(one for one in day.judged if field in one.fields)


def density(level: Judged, bugs: Sequence[int]) -> Fraction:
    """Give a site's density in the level's unit: bugs over the effort of the samples in."""
    return Fraction(sum(bugs) * level.per, len(bugs) * level.each)


def printed(figure: Fraction, level: int) -> str:
    """Print a figure to two places, or to as many as keep it on its side of the level."""
    for places in range(2, 9):
        said = f"{float(figure):.{places}f}".rstrip("0").rstrip(".")
        if (Fraction(said) >= level) == (figure >= level):
            return said
    return str(float(figure))


def _site_faults(day: Day, phones: dict[str, Phone]) -> Iterator[str]:
    """Each site's last figure and standing must have come to its scout."""
    for site in day.sites:
        if site.short:
            continue
        level = judged_by(day, site.field)
        found = density(level, site.plant_bugs)
        phone = phones[site.scout]
        language = phone.person.language
        word = (ABOVE if found >= level.level else BELOW)[language]
        about = [text for text in phone.received if text.startswith(f"{site.number} ")]
        figure = f"ygus {printed(found, level.level)} "
        if not any(figure in text and word in text for text in about[-2:]):
            yield f"{site.number} stands at {figure.strip()}, {word}; {phone.person.name} was not told so"


def field_above(day: Day, field: int, *, mended: bool) -> bool:
    """Tell whether a field is at its level: by the mean of its sites, all effort not spent counting as empty."""
    level = judged_by(day, field)
    sites = [site for site in day.sites if site.field == field]
    if any(site.short for site in sites):
        return False
    densities = [
        Fraction(sum(site.plant_bugs if mended else site.sent) * level.per, level.samples * level.each)
        for site in sites
    ]
    return sum(densities) / len(densities) >= level.level


def _grower_faults(season: Season, day: Day, phones: dict[str, Phone]) -> Iterator[str]:
    """A grower hears when a field crosses, hears again if the count was wrong, and else hears nothing."""
    for field in {site.field for site in day.sites}:
        first, last = (field_above(day, field, mended=mended) for mended in (False, True))
        for key in season.fields[field].growers:
            phone = phones[key]
            language = phone.person.language
            alerts = [
                text
                for text in phone.with_word(f"{field} {season.fields[field].name}", ABOVE[language])
                if not text.startswith(CORRECTED[language])
            ]
            corrected = phone.with_word(f"{CORRECTED[language]} {field} ", BELOW[language])
            if len(alerts) != int(first):
                yield f"{phone.person.name} should have {int(first)} alert of field {field}, has {len(alerts)}"
            if len(corrected) != int(first and not last):
                yield f"{phone.person.name} should have {int(first and not last)} correction of field {field}"


def _digest_faults(season: Season, day: Day, phones: dict[str, Phone]) -> Iterator[str]:
    """Every supervisor and leader has one digest, which names the field above and the site left short."""
    above = [field for field in {site.field for site in day.sites} if field_above(day, field, mended=True)]
    short = [site.number for site in day.sites if site.short]
    for person in season.people.values():
        if not person.roles & {Role.SUPERVISOR, Role.LEADER}:
            continue
        phone = phones[person.key]
        begins = [index for index, text in enumerate(phone.received) if text.startswith("Wed Jul 7")]
        if len(begins) != 1:
            yield f"{person.name} should have one digest, has {len(begins)}"
            continue
        digest = phone.received[begins[0] :]
        if len(digest) > MOST_DIGEST_TEXTS:
            yield f"{person.name} has a digest of {len(digest)} texts"
        whole = " ".join(digest)
        for field in above:
            if f"ABOVE: {field} lygus" not in whole:
                yield f"the digest of {person.name} does not say that {field} is above"
        for site in short:
            counted = next(one for one in day.sites if one.number == site)
            if f"{site} {len(counted.plant_bugs)} of 10" not in whole:
                yield f"the digest of {person.name} does not say that {site} was left short"
