"""The database: one engine, one writer, transactions that hold all of a step or none of it.

Errors of this room::

    StorageError
    ├── DatabaseUnavailable   the database cannot be reached or written now; try again
    └── DatabaseNotReady      there is no database of this programme's form yet, or no season in it
"""

# ruff: noqa: N818  the leaves are named for what happened; their parent says Error

import queue
import sqlite3
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, TypeVar

import sqlalchemy as sa
from alembic import command
from alembic.config import Config
from sqlalchemy.exc import DBAPIError, SQLAlchemyError
from sqlalchemy.orm import Session

T = TypeVar("T")

MOST_IN_ONE_COMMIT = 64
LOCK_WAIT_S = 30
LOOK_AGAIN_S = 0.01
POSTGRES_WRITER_LOCK = 7_233_683
"""An arbitrary key of this programme's own for PostgreSQL's advisory lock."""


class StorageError(Exception):
    """Something about the database failed."""


class DatabaseUnavailable(StorageError):
    """The database cannot be reached or written now."""


class DatabaseNotReady(StorageError):
    """There is nothing to work with in the database yet."""


@dataclass(slots=True)
class _Job:
    step: Callable[[Session], Any]
    done: "Future[Any]"


class Store:
    """The database behind a URL, migrated to this programme's form.

    `write` runs a step in a transaction and gives its result once the commit that holds it is done.
    Steps that wait together share one commit, each in a savepoint of its own: a step that raises takes
    back only itself. One writer at a time, on every database: SQLite has it by nature (BEGIN IMMEDIATE),
    PostgreSQL by an advisory lock.
    """

    def __init__(self, url: str, *, lasting: bool = True) -> None:
        """Open the database. One that is not `lasting` can be made anew: SQLite then does not wait for the disk.

        Raises:
            DatabaseUnavailable: it cannot be opened or migrated.
        """
        with _mapped():
            self._engine = _engine(url, lasting=lasting)
            migrate(self._engine)
        self._jobs: queue.SimpleQueue[_Job | None] = queue.SimpleQueue()
        self._writer: threading.Thread | None = None
        self._turn = threading.Lock()

    def start_writer(self) -> None:
        """Let one thread do all writing from here on, so that steps that wait share commits."""
        self._writer = threading.Thread(target=self._write_on, name="writer", daemon=True)
        self._writer.start()

    def write(self, step: Callable[[Session], T]) -> T:
        """Run a step in a transaction; its result comes once the commit that holds it is done.

        Raises:
            DatabaseUnavailable: nothing of the step was kept.
        """
        job = _Job(step, Future())
        self._put([job])
        result: T = job.done.result()
        return result

    def write_together(self, steps: Sequence[Callable[[Session], object]]) -> list[Exception | None]:
        """Run steps in their order, each in a savepoint of its own; give what each raised, None where it is kept.

        Raises:
            DatabaseUnavailable: nothing of some step was kept.
        """
        jobs = [_Job(step, Future()) for step in steps]
        self._put(jobs)
        raised = [job.done.exception() for job in jobs]
        for fault in raised:
            if fault is not None and (isinstance(fault, StorageError) or not isinstance(fault, Exception)):
                raise fault
        return [fault for fault in raised if fault is None or isinstance(fault, Exception)]

    def _put(self, jobs: Sequence[_Job]) -> None:
        """Have jobs done now, or by the writer where there is one."""
        if self._writer is None:
            with self._turn:
                self._commit_together(jobs)
        else:
            for job in jobs:
                self._jobs.put(job)

    @contextmanager
    def read(self) -> Iterator[Session]:
        """Give a session that reads one state of the database; what it changes is not kept."""
        with _mapped(), Session(self._engine) as session:
            yield session

    def close(self) -> None:
        """Finish what waits and let go of the database."""
        if self._writer is not None:
            self._jobs.put(None)
            self._writer.join()
            self._writer = None
        self._engine.dispose()

    def _write_on(self) -> None:
        going = True
        while going:
            jobs = [self._jobs.get()]
            while len(jobs) < MOST_IN_ONE_COMMIT and not self._jobs.empty():
                jobs.append(self._jobs.get())
            going = None not in jobs
            if waiting := [job for job in jobs if job is not None]:
                self._commit_together(waiting)

    def _commit_together(self, jobs: Sequence[_Job]) -> None:
        """Run steps in one transaction; answer each only after the commit."""
        outcomes: list[tuple[_Job, Any, BaseException | None]] = []
        try:
            with _mapped(), Session(self._engine.execution_options(writing=True)) as session, session.begin():
                if session.get_bind().dialect.name == "postgresql":
                    session.execute(sa.select(sa.func.pg_advisory_xact_lock(POSTGRES_WRITER_LOCK)))
                for job in jobs:
                    try:
                        with session.begin_nested():
                            result = job.step(session)
                        # Only now has the database taken it: what a step leaves to the end is flushed there.
                        outcomes.append((job, result, None))
                    except DBAPIError as fault:
                        if fault.connection_invalidated or not isinstance(fault.orig, _constraint(fault)):
                            raise
                        outcomes.append((job, None, fault))
                    except Exception as fault:  # noqa: BLE001  a step's own fault is handed back to its caller
                        outcomes.append((job, None, fault))
        except StorageError as fault:
            for job in jobs:
                job.done.set_exception(fault)
            return
        for job, result, raised in outcomes:
            if raised is None:
                job.done.set_result(result)
            else:
                job.done.set_exception(raised)


def _constraint(fault: DBAPIError) -> type[BaseException]:
    """Give the driver's own class of broken constraints: a step's fault, not the database's."""
    driver = type(fault.orig).__mro__ if fault.orig else ()
    return next((kind for kind in driver if kind.__name__ == "IntegrityError"), SQLAlchemyError)


def migrate(engine: sa.Engine) -> None:
    """Bring a database to the form of this programme's newest migration; one process at a time."""
    config = Config()
    config.set_main_option("script_location", "storage:migrations")
    with engine.execution_options(writing=True).begin() as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(sa.select(sa.func.pg_advisory_xact_lock(POSTGRES_WRITER_LOCK)))
        config.attributes["connection"] = connection
        command.upgrade(config, "head")


def _engine(url: str, *, lasting: bool) -> sa.Engine:
    try:
        engine = sa.create_engine(url, **({} if url.startswith("sqlite") else {"pool_pre_ping": True}))
    except ImportError as fault:
        raise DatabaseUnavailable(f"the database's driver is not installed ({fault.name})") from fault
    if engine.dialect.name == "sqlite":
        _take_over_sqlite(engine, lasting=lasting)
    return engine


def _take_over_sqlite(engine: sa.Engine, *, lasting: bool) -> None:
    """Turn the driver's own transaction handling off: it begins too late and loses updates in silence."""

    @sa.event.listens_for(engine, "connect")
    def connect(connection: Any, _record: Any) -> None:
        connection.isolation_level = None
        cursor = connection.cursor()
        cursor.execute(f"PRAGMA busy_timeout = {LOCK_WAIT_S * 1000}")
        _switch_to_wal(cursor)
        cursor.execute(f"PRAGMA synchronous = {'FULL' if lasting else 'OFF'}")
        cursor.execute("PRAGMA foreign_keys = ON")
        cursor.close()

    @sa.event.listens_for(engine, "begin")
    def begin(connection: sa.Connection) -> None:
        writing = connection.get_execution_options().get("writing", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")


def _switch_to_wal(cursor: sqlite3.Cursor) -> None:
    """Switch a fresh database to WAL, waiting while another process does: here SQLite heeds no busy_timeout."""
    give_up_at = time.monotonic() + LOCK_WAIT_S
    while True:
        try:
            cursor.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError as fault:
            if fault.sqlite_errorcode != sqlite3.SQLITE_BUSY or time.monotonic() > give_up_at:
                raise
            time.sleep(LOOK_AGAIN_S)
        else:
            return


@contextmanager
def _mapped() -> Iterator[None]:
    """Map the library's errors of connection and locking to this room's own."""
    try:
        yield
    except SQLAlchemyError as fault:
        raise DatabaseUnavailable(f"the database cannot be used now ({type(fault).__name__})") from fault


@contextmanager
def tried(session: Session) -> Iterator[None]:
    """Let something be tried and undone: nothing that it wrote, changed or loaded stays in the session."""
    session.flush()
    known = set(session.identity_map.keys())
    trial = session.begin_nested()
    try:
        yield
    finally:
        trial.rollback()
        for key in set(session.identity_map.keys()) - known:
            session.expunge(session.identity_map[key])
