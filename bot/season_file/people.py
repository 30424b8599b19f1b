"""The people of a season: their phones, roles and crews."""

from collections.abc import Iterator

from bot.rules import Person, PersonKey, Role
from bot.season_file.draft import Draft
from bot.season_file.entries import Entry, given
from bot.season_file.faults import Fault, no_such
from bot.season_file.forms import PersonForm
from bot.season_file.phones import normal_phone


def people_faults(draft: Draft) -> Iterator[Fault]:
    """Give what is wrong with people beside their own tables: phones and crews."""
    holders: dict[str, str] = {}
    for key, person in draft.people.items():
        path = f"people.{key}"
        yield from _phone_faults(draft, path, person)
        phone = _phone(draft, person)
        # A number may pass from somebody who has left to somebody else.
        if phone is not None and person.form.active and "active" not in person.faulty:
            if phone in holders:
                yield Fault(f"{path}.phone", f"{phone} is used twice: it is at {holders[phone]}.phone too.")
            holders.setdefault(phone, path)
        yield from unknown_people(draft, person.form.crew, f"{path}.crew")


def build_people(draft: Draft) -> dict[PersonKey, Person]:
    """Give the people of a draft without faults, in the file's order."""
    return {PersonKey(key): _person(draft, PersonKey(key), person) for key, person in draft.people.items()}


def unknown_people(draft: Draft, keys: list[str], path: str) -> Iterator[Fault]:
    """Give a fault at a path for every key that is nobody's."""
    for key in keys:
        if key not in draft.people:
            yield no_such(path, "person", key, draft.people)


def _phone_faults(draft: Draft, path: str, person: Entry[PersonForm]) -> Iterator[Fault]:
    roles, written = person.form.roles, person.form.phone
    if "phone" in person.faulty:
        return
    if written is None:
        if roles is not None and set(roles) != {Role.GROWER}:
            yield Fault(f"{path}.phone", "This key is required: only a grower may be without a phone.")
    elif _country(draft, written) is not None and _phone(draft, person) is None:
        yield Fault(f"{path}.phone", f"{written} is no valid phone number.")


def _phone(draft: Draft, person: Entry[PersonForm]) -> str | None:
    written = person.form.phone
    country = written and _country(draft, written)
    return normal_phone(written, country) if written and country else None


def _country(draft: Draft, written: str) -> str | None:
    """Give the country by which a phone is read; with a + any will do, else None where it is faulty."""
    return draft.season.form.country or ("US" if written.startswith("+") else None)


def _person(draft: Draft, key: PersonKey, entry: Entry[PersonForm]) -> Person:
    form = entry.form
    return Person(
        key=key,
        name=given(form.name),
        phone=_phone(draft, entry),
        roles=frozenset(given(form.roles)),
        language=form.language,
        crew=tuple(PersonKey(name) for name in dict.fromkeys(form.crew)),
        visual=form.visual,
        trainee=form.trainee,
        active=form.active,
        email=form.email,
    )
