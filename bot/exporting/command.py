"""`rowfoot export FOLDER`: the season's record as CSV files, and as a Darwin Core archive."""

import os
import tempfile
from pathlib import Path
from typing import Any

import click

from bot.exporting.archive import archive_bytes
from bot.exporting.crop import efforts_table, nawf_table, remarks_table, shares_table, stages_table
from bot.exporting.dictionary import DICTIONARY, dictionary
from bot.exporting.field_rounds import fields_table
from bot.exporting.programme import closures_table, hand_overs_table, oks_table, temperatures_table
from bot.exporting.record import Record
from bot.exporting.samples import samples_table
from bot.exporting.standings import sites_not_stood, standings_table
from bot.exporting.table import Table, csv_text
from bot.exporting.texts import texts_in_table, texts_out_table
from bot.exporting.told import alerts_table, crossings_table
from bot.exporting.treated import treatments_table
from bot.exporting.visits import visits_table
from bot.field_book import FieldBook, SeasonShelf
from bot.opening import opened, settings
from bot.settings import clock_from


def tables_of(record: Record) -> list[Table[Any]]:
    """Give all tables of a record, in the order in which its dictionary names them."""
    return [
        samples_table(record),
        visits_table(record),
        standings_table(record),
        fields_table(record),
        shares_table(record),
        nawf_table(record),
        remarks_table(record),
        stages_table(record),
        efforts_table(record),
        crossings_table(record),
        alerts_table(record),
        texts_in_table(record),
        texts_out_table(record),
        closures_table(record),
        treatments_table(record),
        oks_table(record),
        hand_overs_table(record),
        temperatures_table(record),
    ]


@click.command("export")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--archive",
    metavar="FILE.zip",
    type=click.Path(path_type=Path),
    help="Write a Darwin Core archive of sampling events too.",
)
@click.option("--phones", is_flag=True, help="Keep phone numbers in; they are left out else.")
@click.option("--overwrite", is_flag=True, help="Replace files of these names; others stay as they are.")
def export(folder: Path, archive: Path | None, *, phones: bool, overwrite: bool) -> None:
    """Write the season's record into FOLDER: a CSV file for each kind of thing, and dictionary.md on them all."""
    _refuse_what_is_there(folder, archive, overwrite=overwrite)
    with opened() as store, store.read() as session:
        book = FieldBook(session, SeasonShelf().season(session), clock_from(settings().clock_file)())
        record = Record(book, phones=phones)
        tables = tables_of(record)
        files = {table.file: csv_text(table, book.zone).encode() for table in tables}
        files[DICTIONARY] = dictionary(record, tables).encode()
        zipped = archive_bytes(record) if archive is not None else b""
        not_stood = sites_not_stood(record)
    _write(folder, files)
    rows = {table.file: len(table.rows) for table in tables}
    click.echo(f"{record.season.name}: {len(files)} files in {folder}.")
    click.echo("  " + ", ".join(f"{file} {count}" for file, count in rows.items()))
    if archive is not None:
        _write(archive.parent, {archive.name: zipped})
        click.echo(f"Darwin Core archive: {archive}.")
    if not_stood:
        sites = " ".join(map(str, not_stood))
        click.echo(
            f"Note: the season no longer has the sites {sites}: their counts are there, no standings.",
            err=True,
        )


def _refuse_what_is_there(folder: Path, archive: Path | None, *, overwrite: bool) -> None:
    """End the command where something would be written over, before anything is read."""
    try:
        if folder.exists() and not folder.is_dir():
            raise click.ClickException(f"{folder} is a file; name a folder")
        if not overwrite and folder.is_dir() and any(folder.iterdir()):
            raise click.ClickException(f"{folder} has files in it; name an empty folder, or say --overwrite")
        if archive is None:
            return
        if archive.is_dir():
            raise click.ClickException(f"{archive} is a folder; name a file for the archive")
        if not overwrite and archive.exists():
            raise click.ClickException(f"{archive} is there already; name another file, or say --overwrite")
    except OSError as fault:
        raise click.ClickException(f"{folder} cannot be looked into ({fault.strerror})") from fault


def _write(folder: Path, files: dict[str, bytes]) -> None:
    """Write files whole or not at all, each in the place of one of its name."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            handle, made = tempfile.mkstemp(prefix=".", suffix=".part", dir=folder)
            try:
                with os.fdopen(handle, "wb") as out:
                    out.write(content)
                Path(made).chmod(READABLE)
                Path(made).replace(folder / name)
            finally:
                Path(made).unlink(missing_ok=True)
    except OSError as fault:
        raise click.ClickException(f"{folder} cannot be written ({fault.strerror})") from fault


READABLE = 0o644
