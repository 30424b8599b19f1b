"""`rowfoot export`: where it writes, and the plain sentence where it may not."""

import os
from pathlib import Path

import pytest

from tests.conftest import Rowfoot
from tests.exported import read_csv

LUIS = "+12705550112"


def test_an_empty_season_gives_every_file_with_its_header(in_season: Rowfoot) -> None:
    folder = in_season.folder / "new" / "record"
    said = in_season.run("export", str(folder)).stdout
    assert said.startswith(f"Larkspur County cotton 2027: 19 files in {folder}.")
    files = sorted(path.name for path in folder.iterdir())
    assert len(files) == 19
    assert "dictionary.md" in files
    for path in folder.glob("*.csv"):
        assert read_csv(path) == []
        assert path.read_bytes().endswith(b"\r\n")
        assert path.read_bytes().count(b"\r\n") == 1


def test_a_folder_with_files_is_left_alone_unless_told_to_overwrite(in_season: Rowfoot) -> None:
    folder = in_season.folder / "record"
    folder.mkdir()
    (folder / "mine.txt").write_text("mine")
    (folder / "visits.csv").write_text("old")
    line = in_season.refusal("export", str(folder))
    assert line == f"Error: {folder} has files in it; name an empty folder, or say --overwrite"
    assert sorted(path.name for path in folder.iterdir()) == ["mine.txt", "visits.csv"]
    in_season.run("export", str(folder), "--overwrite")
    assert (folder / "mine.txt").read_text() == "mine"
    assert (folder / "visits.csv").read_text().startswith("visit,")


def test_an_archive_that_is_there_is_left_alone_and_nothing_else_is_written(in_season: Rowfoot) -> None:
    folder, archive = in_season.folder / "record", in_season.folder / "a.zip"
    archive.write_bytes(b"mine")
    line = in_season.refusal("export", str(folder), "--archive", str(archive))
    assert line == f"Error: {archive} is there already; name another file, or say --overwrite"
    assert archive.read_bytes() == b"mine"
    assert not folder.exists()


@pytest.mark.parametrize("which", ["folder", "archive"])
def test_a_file_for_a_folder_and_a_folder_for_a_file_are_refused(in_season: Rowfoot, which: str) -> None:
    file, folder = in_season.folder / "file", in_season.folder / "folder"
    file.write_text("x")
    folder.mkdir()
    words = [str(file)] if which == "folder" else [str(folder), "--archive", str(folder)]
    said = "is a file; name a folder" if which == "folder" else "is a folder; name a file for the archive"
    assert said in in_season.refusal("export", *words)


def test_a_place_that_cannot_be_written_is_said_in_a_sentence(in_season: Rowfoot) -> None:
    file = in_season.folder / "file"
    file.write_text("x")
    below = file / "record"
    assert in_season.refusal("export", str(below)).endswith("cannot be written (Not a directory)")
    if os.geteuid() != 0:
        shut = in_season.folder / "shut"
        shut.mkdir(mode=0o500)
        line = in_season.refusal("export", str(shut / "record"))
        assert line.endswith("cannot be written (Permission denied)")


def test_without_a_season_nothing_is_written(rowfoot: Rowfoot) -> None:
    folder = rowfoot.folder / "record"
    line = rowfoot.refusal("export", str(folder))
    assert line == "Error: no season is loaded in this database: rowfoot load FILE"
    assert not folder.exists()


def test_the_command_says_how_many_rows_each_file_has(in_season: Rowfoot) -> None:
    in_season.run("text", LUIS, "121 1 LN2", "--at", "2027-07-06T09:00")
    archive = in_season.folder / "a.zip"
    said = in_season.run("export", str(in_season.folder / "record"), "--archive", str(archive)).stdout
    assert "samples.csv 5, visits.csv 1, standings.csv 1, fields.csv 1" in said
    assert said.endswith(f"Darwin Core archive: {archive}.\n")


def test_no_half_written_file_is_left_behind(in_season: Rowfoot) -> None:
    folder = in_season.folder / "record"
    (folder / "visits.csv").mkdir(parents=True)
    line = in_season.refusal("export", str(folder), "--overwrite")
    assert line.startswith(f"Error: {folder} cannot be written (")
    assert not [path for path in folder.iterdir() if path.name.startswith(".")]


def test_the_files_may_be_read_by_others(in_season: Rowfoot) -> None:
    folder = in_season.folder / "record"
    in_season.run("export", str(folder))
    assert {oct(Path(path).stat().st_mode & 0o777) for path in folder.iterdir()} == {"0o644"}
