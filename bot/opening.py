"""How a command comes to its settings, its database, a day and a person; what is wrong with them is one line."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date

import click

from bot.by_hand import UnreadableSaying
from bot.rules import Person, Season
from bot.settings import Settings, SettingsError, read_settings
from storage import StorageError, Store

__all__ = ["day_said", "opened", "person_said", "settings"]


def settings() -> Settings:
    """Give the settings of the environment; a fault in them ends the command."""
    try:
        return read_settings(os.environ)
    except SettingsError as fault:
        raise click.ClickException(str(fault)) from fault


@contextmanager
def opened() -> Iterator[Store]:
    """Give the database; its faults become one line."""
    store: Store | None = None
    try:
        store = Store(settings().database)
        yield store
    except (StorageError, UnreadableSaying) as fault:
        raise click.ClickException(str(fault)) from fault
    finally:
        if store is not None:
            store.close()


def day_said(said: str) -> date:
    """Read a day as 2027-07-06; anything else ends the command."""
    try:
        return date.fromisoformat(said)
    except ValueError as fault:
        raise click.ClickException(f"{said!r} is no date as 2027-07-06") from fault


def person_said(season: Season, said: str) -> Person:
    """Give the person whom a key, a first name or a whole name means; nobody, or several, ends the command."""
    wanted = said.strip().casefold()
    people = season.people.values()
    keyed = [one for one in people if one.key.casefold() == wanted]
    named = keyed or [one for one in people if wanted in (one.first_name.casefold(), one.name.casefold())]
    match named:
        case [one]:
            return one
        case []:
            raise click.ClickException(f"{said!r} is nobody in {season.name}")
        case several:
            keys = ", ".join(f"{one.key} ({one.name})" for one in several)
            raise click.ClickException(f"{said!r} is more than one person; say the key: {keys}")
