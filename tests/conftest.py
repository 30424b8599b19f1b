"""What the tests share: two databases to try on, the Larkspur season, and what is done where a machine lacks a part.

Each test that asks for `database_url` or `store` runs on SQLite and on PostgreSQL. PostgreSQL is a
throw-away cluster of this run; Chromium is the system's. Tests of what is missing are left out, and the
last lines say so; with ROWFOOT_TESTS_NEED_ALL=1 nothing may be missing.
"""

import json
import os
import pwd
import resource
import shutil
import signal
import socket
import subprocess
import tempfile
import threading
import time
from collections.abc import Callable, Generator, Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from click.testing import CliRunner, Result
from hypothesis import settings as search_settings

from bot.__main__ import main
from bot.rules import Season
from bot.season_file import read_season, read_texts
from storage import Store, keep_season

# A run says the same of the same tree; ROWFOOT_SEARCH=wide looks for new failures instead.
search_settings.register_profile("steady", derandomize=True, deadline=None)
search_settings.register_profile("wide", max_examples=2000, deadline=None)
search_settings.load_profile(os.environ.get("ROWFOOT_SEARCH", "steady"))

ROOT = Path(__file__).resolve().parent.parent
LARKSPUR = ROOT / "fixtures" / "seasons" / "larkspur.toml"
CHROMIUM = Path("/usr/bin/chromium")
NEED_ALL = "ROWFOOT_TESTS_NEED_ALL"
CLUSTER_USER = "postgres"
"""Whom the cluster runs as where the tests run as root: PostgreSQL refuses root."""

OWNER = DATABASE = "rowfoot"
DISCONNECT_ALL = """
    SELECT pg_terminate_backend(pid, 5000) FROM pg_stat_activity WHERE datname = 'rowfoot'
"""
SETTINGS = {
    "listen_addresses": "127.0.0.1",
    "timezone": "America/Chicago",  # not UTC, so that a zone that is lost is seen
    # Nothing of it needs to outlive the run.
    "fsync": "off",
    "full_page_writes": "off",
    "synchronous_commit": "off",
    "autovacuum": "off",
}

PATIENCE_S = 20.0

LONGEST = {
    name: place
    for place, name in enumerate(
        (
            "test_whole_season.py",
            "test_replies_gallery.py",
            "test_whole_season_script.py",
            "test_whole_season_restarts.py",
        )
    )
}
"""The files that take longest, by their place in a run."""


# What a machine may lack


def _programs() -> Path | None:
    """Give the folder of PostgreSQL's server programs, the newest version's where there are several."""
    found = [path.parent for path in Path("/usr/lib/postgresql").glob("*/bin/initdb")]
    if found:
        return max(found, key=lambda path: [int(part) for part in path.parent.name.split(".")])
    on_path = shutil.which("initdb")
    return Path(on_path).resolve().parent if on_path else None


@cache
def _lack_of_postgres() -> str | None:
    if _programs() is None:
        return "PostgreSQL's initdb is neither in /usr/lib/postgresql nor on the PATH"
    if os.geteuid() == 0 and CLUSTER_USER not in {entry.pw_name for entry in pwd.getpwall()}:
        return f"PostgreSQL does not run as root, and there is no user {CLUSTER_USER} to run it as"
    return None


def _lack_of_browser() -> str | None:
    return None if CHROMIUM.exists() else f"there is no {CHROMIUM}"


LACKS: Mapping[str, Callable[[], str | None]] = {"postgres": _lack_of_postgres, "browser": _lack_of_browser}
"""For each marker, what says why its tests cannot run here; None where they can."""


def pytest_configure() -> None:
    """Refuse to begin where nothing may be missing and something is."""
    lacking = [why for lack in LACKS.values() if (why := lack()) is not None]
    if lacking and os.environ.get(NEED_ALL) == "1":
        raise pytest.UsageError(f"{NEED_ALL}=1, but something is missing: {'; '.join(lacking)}")


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with the files that take longest: beside them the others find time on the other cores."""
    items.sort(key=lambda item: LONGEST.get(item.path.name, len(LONGEST)))


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Leave out what cannot run here."""
    for marker, lack in LACKS.items():
        if item.get_closest_marker(marker) and (why := lack()) is not None:
            pytest.skip(why)


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> Generator[None]:
    """Say at the end, after the list of skipped tests, what was left out and why, on however many processes it ran."""
    yield
    skipped = terminalreporter.getreports("skipped")
    sentences = []
    for marker, lack in LACKS.items():
        count = sum(marker in report.keywords for report in skipped)
        if count and (why := lack()) is not None:
            sentences.append(f"{'1 test' if count == 1 else f'{count} tests'} marked {marker}: {why}.")
    if sentences:
        terminalreporter.section("left out on this machine", yellow=True)
        for sentence in sentences:
            terminalreporter.line(sentence)
        terminalreporter.line(f"{NEED_ALL}=1 makes a missing part a failure.")


@pytest.fixture(autouse=True)
def _no_thread_is_left() -> Iterator[None]:
    """Fails a test that leaves a thread behind which would keep the process from ending."""
    before = set(threading.enumerate())
    yield
    left = [one.name for one in set(threading.enumerate()) - before if one.is_alive() and not one.daemon]
    assert not left, f"threads are left running: {left}"


# Databases


@dataclass(frozen=True, slots=True)
class Cluster:
    """A running PostgreSQL of this test run alone, with one database for the tests."""

    port: int

    def url(self, database: str) -> str:
        return f"postgresql+psycopg://{OWNER}@127.0.0.1:{self.port}/{database}"

    def fresh_database(self) -> str:
        """Empty the tests' database; gives its URL. To create one for each test takes five times as long."""
        self.disconnect_all()
        self.command(f"DROP SCHEMA public CASCADE; CREATE SCHEMA public AUTHORIZATION {OWNER}", DATABASE)
        return self.url(DATABASE)

    def disconnect_all(self) -> None:
        """End every connection to the tests' database."""
        self.command(DISCONNECT_ALL)

    def command(self, statement: str, database: str = "postgres") -> None:
        """Run a statement as the cluster's owner, outside any transaction."""
        engine = sa.create_engine(
            self.url(database), isolation_level="AUTOCOMMIT", poolclass=sa.pool.NullPool
        )
        with engine.connect() as connection:
            connection.exec_driver_sql(statement)

    def wait(self, process: subprocess.Popen[bytes], log: Path) -> None:
        """Wait until the cluster answers."""
        give_up_at = time.monotonic() + PATIENCE_S
        while True:
            try:
                self.command("SELECT 1")
            except sa.exc.OperationalError:
                said = log.read_text(encoding="utf-8", errors="replace")
                assert process.poll() is None, f"PostgreSQL ended at once: {said}"
                assert time.monotonic() < give_up_at, f"PostgreSQL did not answer in time: {said}"
                time.sleep(0.02)
            else:
                return


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


@pytest.fixture(scope="session")
def cluster() -> Iterator[Cluster]:
    """A PostgreSQL cluster in a folder of its own, on 127.0.0.1 and a free port; gone after the run."""
    programs = _programs()
    assert programs is not None
    user = CLUSTER_USER if os.geteuid() == 0 else None
    group = pwd.getpwnam(user).pw_gid if user else None
    # Not under pytest's own folder, which only its owner may enter.
    with tempfile.TemporaryDirectory(prefix="rowfoot-pg-") as name:
        folder, log = Path(name), Path(name) / "log"
        if user is not None:
            shutil.chown(folder, user)
        initdb = [str(programs / "initdb"), "-D", f"{folder}/data", "-U", OWNER, "-A", "trust"]
        made = subprocess.run(
            [*initdb, "--no-sync", "--encoding=UTF8", "--locale=C"],
            user=user,
            group=group,
            extra_groups=None if user is None else [],
            cwd=folder,
            capture_output=True,
            text=True,
            check=False,
        )
        assert made.returncode == 0, made.stderr
        running = Cluster(_free_port())
        settings = {**SETTINGS, "port": str(running.port), "unix_socket_directories": name}
        with log.open("wb") as said:
            options = [part for key, value in settings.items() for part in ("-c", f"{key}={value}")]
            process = subprocess.Popen(
                [str(programs / "postgres"), "-D", f"{folder}/data", *options],
                user=user,
                group=group,
                extra_groups=None if user is None else [],
                cwd=folder,
                stdout=said,
                stderr=subprocess.STDOUT,
            )
        try:
            running.wait(process, log)
            running.command(f"CREATE DATABASE {DATABASE}")
            yield running
        finally:
            process.send_signal(signal.SIGINT)  # "fast shutdown" in PostgreSQL's manual
            process.wait(timeout=PATIENCE_S)


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The URL of an empty database of the test's own."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'rowfoot.db'}"
    running: Cluster = request.getfixturevalue("cluster")
    return running.fresh_database()


@pytest.fixture
def store(database_url: str) -> Iterator[Store]:
    """An open store on an empty database."""
    opened = Store(database_url)
    yield opened
    opened.close()


@pytest.fixture
def no_writing(
    request: pytest.FixtureRequest, database_url: str
) -> Callable[[], AbstractContextManager[None]]:
    """A way to make the test's database unable to keep anything for a while: its disk full, or its server gone."""

    @contextmanager
    def disk_full() -> Iterator[None]:
        soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
        resource.setrlimit(resource.RLIMIT_FSIZE, (1, hard))
        try:
            yield
        finally:
            resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))

    @contextmanager
    def server_gone() -> Iterator[None]:
        running: Cluster = request.getfixturevalue("cluster")
        running.command(f"ALTER DATABASE {DATABASE} ALLOW_CONNECTIONS false")
        running.disconnect_all()
        try:
            yield
        finally:
            running.command(f"ALTER DATABASE {DATABASE} ALLOW_CONNECTIONS true")

    return disk_full if database_url.startswith("sqlite") else server_gone


@pytest.fixture
def larkspur(store: Store) -> Season:
    """The season of Larkspur County, loaded into the test's store."""
    texts = read_texts(LARKSPUR)
    season = read_season(texts)
    assert isinstance(season, Season)
    loaded_at = datetime(2027, 6, 1, 12, tzinfo=UTC)
    store.write(lambda session: keep_season(session, season.name, texts.season, texts.book, loaded_at))
    return season


# The command


@dataclass(frozen=True, slots=True)
class Rowfoot:
    """The command `rowfoot` with a database of the test's own, SQLite where nothing else is said."""

    folder: Path
    database: str
    clock: str | None = None

    def run(self, *words: str, status: int = 0) -> Result:
        """Run the command, which must end with a status and never with a traceback."""
        env = {"ROWFOOT_DATABASE": self.database, "ROWFOOT_CLOCK": self.clock}
        ended = CliRunner(env=env).invoke(main, words)
        if not isinstance(ended.exception, SystemExit | None):
            raise ended.exception
        assert ended.exit_code == status, ended.output
        return ended

    def json(self, *words: str) -> Any:
        """Run a command with --json; gives what it printed."""
        return json.loads(self.run(*words, "--json").stdout)

    def refusal(self, *words: str) -> str:
        """Run what must be refused with status 1; gives the one line of why."""
        ended = self.run(*words, status=1)
        assert ended.stdout == ""
        (line,) = ended.stderr.splitlines()
        return line


@pytest.fixture
def rowfoot(tmp_path: Path) -> Rowfoot:
    """The command on a database that does not exist yet."""
    return Rowfoot(tmp_path, f"sqlite:///{tmp_path / 'by-hand.db'}")


@pytest.fixture(scope="session")
def larkspur_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An SQLite database with the Larkspur season and nothing else, to be copied."""
    folder = tmp_path_factory.mktemp("larkspur")
    path = folder / "larkspur.db"
    Rowfoot(folder, f"sqlite:///{path}").run("load", str(LARKSPUR))
    return path


@pytest.fixture
def in_season(rowfoot: Rowfoot, larkspur_file: Path) -> Rowfoot:
    """The command with the Larkspur season loaded."""
    shutil.copyfile(larkspur_file, rowfoot.folder / "by-hand.db")
    return rowfoot
