"""The season file and the level book that it names, as texts from the disk.

Errors, where the world failed:

    SeasonFileError
    └── SeasonFileUnreadable   a file is not there, may not be read, or is no UTF-8
"""

import tomllib
from dataclasses import dataclass
from importlib import resources
from pathlib import Path

from bot.season_file.faults import did_you_mean

_BOOKS = resources.files("bot") / "levels"


class SeasonFileError(Exception):
    """Something that keeps a season file from being read at all."""


class SeasonFileUnreadable(SeasonFileError):  # noqa: N818 - its base says that it is an error
    """A file could not be read; the message is a sentence that names it."""


@dataclass(frozen=True, slots=True)
class SeasonText:
    """A season file and the level book that it names, both verbatim: this pair is what is kept.

    `book` is empty where the season names no book that can be found; reading the season tells it as a
    fault among the others.
    """

    season: str
    book: str


def shipped_books() -> tuple[str, ...]:
    """Give the names of the level books that ship, in order."""
    if not _BOOKS.is_dir():
        return ()
    names = [file.name for file in _BOOKS.iterdir()]
    return tuple(sorted(name.removesuffix(".toml") for name in names if name.endswith(".toml")))


def read_texts(path: Path) -> SeasonText:
    """Read a season file and its level book: one that ships, or a file by path from the season file.

    Raises SeasonFileUnreadable.
    """
    season = _text_of(path)
    name = _book_named_in(season)
    if name in shipped_books():
        return SeasonText(season, read_book_text(name))
    book = path.parent / name
    return SeasonText(season, _text_of(book) if name and _is_file(book) else "")


def read_book_text(name: str) -> str:
    """Read a level book: one that ships by its name, or a file by its path.

    Raises SeasonFileUnreadable.
    """
    if name in shipped_books():
        return (_BOOKS / f"{name}.toml").read_text(encoding="utf-8")
    if not _is_file(Path(name)):
        raise SeasonFileUnreadable(no_such_book(name))
    return _text_of(Path(name))


def no_such_book(name: str) -> str:
    """Say that there is no level book of a name, and which there are, with the nearest."""
    ships = ", ".join(shipped_books()) or "none"
    near = did_you_mean(name, shipped_books())
    return f"There is no level book {name}; the books that ship are {ships}.{near}"


def _text_of(path: Path) -> str:
    try:
        return path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise SeasonFileUnreadable(f"{path} cannot be read: {error.strerror}.") from error
    except UnicodeDecodeError as error:
        raise SeasonFileUnreadable(f"{path} is not UTF-8 text: byte {error.start + 1} is none.") from error


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):  # a name that is too long, or holds a NUL
        return False


def _book_named_in(season: str) -> str:
    """Give the level book that a season file names, "" where it cannot be told."""
    try:
        named = tomllib.loads(season)["season"]["level_book"]
    except (ValueError, KeyError, TypeError, RecursionError):
        return ""
    return named.strip() if isinstance(named, str) else ""
