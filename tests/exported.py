"""A season's record as its files are read elsewhere: CSV by the standard library, the archive by a reader of others."""

import csv
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from click.testing import CliRunner, Result
from dwca.read import DwCAReader

from bot.__main__ import main
from bot.settings import tell_clock
from tests.talk import ZONE

Row = dict[str, str]

AT = datetime(2027, 7, 20, 12, tzinfo=ZONE)
"""When the record is written: two weeks after the day of the tests' talk."""


def export(database: str, folder: Path, *options: str) -> Result:
    """Run the command on a database; gives how it ended, which is never a traceback."""
    clock = folder.parent / "clock.json"
    tell_clock(clock, AT)
    env = {"ROWFOOT_DATABASE": database, "ROWFOOT_CLOCK": str(clock)}
    ended = CliRunner(env=env).invoke(main, ["export", str(folder), *options])
    if not isinstance(ended.exception, SystemExit | None):
        raise ended.exception
    return ended


def read_csv(path: Path) -> list[Row]:
    """Give the rows of a CSV file by column."""
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines, strict=True))


class Exported:
    """The files of a season's record."""

    def __init__(self, database: str, folder: Path, *options: str) -> None:
        self.folder, self.zip = folder / "record", folder / "record.zip"
        ended = export(database, self.folder, "--archive", str(self.zip), *options)
        assert ended.exit_code == 0, ended.output
        self.said = ended.output

    def rows(self, name: str, **where: str) -> list[Row]:
        """Give the rows of a file, or those with these cells."""
        found = read_csv(self.folder / f"{name}.csv")
        return [row for row in found if all(row[column] == cell for column, cell in where.items())]

    @contextmanager
    def archive(self) -> Iterator[DwCAReader]:
        """Open the archive with a reader of others."""
        with DwCAReader(str(self.zip)) as reader:
            yield reader

    def inside(self, name: str) -> str:
        """Give a file of the archive as it stands."""
        with zipfile.ZipFile(self.zip) as archive:
            return archive.read(name).decode()
