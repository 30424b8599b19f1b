"""How a database comes to its form, from nothing and from the forms before, with all that it holds."""

import os
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Mapping
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext

from storage import (
    InboxText,
    SampleRow,
    Session,
    ShareRow,
    Store,
    keep_season,
    newest_season,
    share_on,
    shares_on,
    standing_samples,
    visit_on,
)
from storage.tables import Table

ROOT = Path(__file__).resolve().parent.parent
NOON = datetime(2027, 7, 6, 17, tzinfo=UTC)
DAY = date(2027, 7, 6)


def alembic(database_url: str, *arguments: str) -> None:
    """Run the alembic command on a database."""
    ran = subprocess.run(
        [sys.executable, "-m", "alembic", *arguments],
        cwd=ROOT,
        env={**os.environ, "ROWFOOT_DATABASE": database_url},
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr


@pytest.mark.usefixtures("store")
def test_the_migrations_make_the_tables_as_the_programme_has_them(database_url: str) -> None:
    engine = sa.create_engine(database_url)
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"render_as_batch": True})
        assert compare_metadata(context, Table.metadata) == []
        assert set(sa.inspect(connection).get_table_names()) == {*Table.metadata.tables, "alembic_version"}
    engine.dispose()


def test_a_database_is_opened_again_with_all_that_it_held(store: Store, database_url: str) -> None:
    store.write(lambda session: keep_season(session, "Larkspur", "season", "book", NOON))
    store.close()
    reopened = Store(database_url)
    with reopened.read() as session:
        assert newest_season(session).name == "Larkspur"
    reopened.close()


def test_the_alembic_command_makes_the_database_that_the_store_opens_and_takes_it_down(
    database_url: str,
) -> None:
    alembic(database_url, "upgrade", "head")
    store = Store(database_url)
    store.write(lambda session: keep_season(session, "Larkspur", "season", "book", NOON))
    store.close()
    alembic(database_url, "downgrade", "base")
    engine = sa.create_engine(database_url)
    with engine.connect() as connection:
        assert sa.inspect(connection).get_table_names() == ["alembic_version"]
    engine.dispose()


def test_processes_that_open_a_fresh_database_together_all_find_it_ready(database_url: str) -> None:
    opener = "import sys; from storage import Store; Store(sys.argv[1]).close()"
    processes = [
        subprocess.Popen(
            [sys.executable, "-c", opener, database_url], cwd=ROOT, stderr=subprocess.PIPE, text=True
        )
        for _ in range(2)
    ]
    assert [process.communicate(timeout=30)[1] for process in processes] == [""] * 2
    assert [process.returncode for process in processes] == [0] * 2


@pytest.mark.parametrize("database_url", ["sqlite"], indirect=True)
def test_a_fresh_database_that_another_process_is_writing_is_waited_for(
    database_url: str, tmp_path: Path
) -> None:
    other = sqlite3.connect(tmp_path / "rowfoot.db", isolation_level=None, check_same_thread=False)
    other.execute("BEGIN IMMEDIATE")
    release = threading.Timer(0.2, other.execute, ["COMMIT"])
    release.start()
    Store(database_url).close()
    release.join()
    other.close()


# From the first form on


AT_FIRST: Mapping[str, Mapping[str, Any]] = {
    "inbox": {
        "id": 1,
        "gateway": "oma",
        "gateway_id": "m-1",
        "sender": "+12705550111",
        "recipient": "+12705550100",
        "body": "121 1 FA2 SQ 88 100",
        "received_at": NOON,
        "state": "read",
        "tries": 1,
        "needs_person": False,
    },
    "outbox": {
        "id": 1,
        "key": "reply:1",
        "recipient": "+12705550111",
        "purpose": "reply",
        "body": "121 1 FA2.",
        "created_at": NOON,
        "due_at": NOON,
        "cause": 1,
        "state": "left",
        "tries": 1,
    },
    "rounds": {"id": 1, "field": 12, "first_day": DAY, "plan": {}, "levels": []},
    "visits": {
        "id": 1,
        "round_id": 1,
        "site": 121,
        "field": 12,
        "day": DAY,
        "plan": {},
        "levels": [],
        "state": "open",
        "person": "ana",
        "begun_at": NOON,
    },
    "samples": {
        "id": 1,
        "visit_id": 1,
        "number": 1,
        "form": "coded",
        "counts": {"FA": 2, "FN": None},
        "extras": {},
        "lost": False,
        "effort": "3",
        "person": "ana",
        "assigned": True,
        "text_id": 1,
        "counted_at": NOON,
    },
    "shares": {
        "id": 1,
        "number": 121,
        "field": 12,
        "day": DAY,
        "code": "SQ",
        "n": 88,
        "of": 100,
        "asked": False,
        "person": "ana",
        "text_id": 1,
        "counted_at": NOON,
    },
}
"""A row of each table that refers to another, as the first form has them."""


def fill_first_form(database_url: str) -> None:
    """Bring an empty database to the first form and put rows into it."""
    alembic(database_url, "upgrade", "0001")
    engine = sa.create_engine(database_url)
    form = sa.MetaData()
    with engine.begin() as connection:
        form.reflect(connection)
        for table, row in AT_FIRST.items():
            connection.execute(form.tables[table].insert(), row)
        if connection.dialect.name == "postgresql":
            # rows were put down with their ids, which the sequences know nothing of
            for table in AT_FIRST:
                connection.execute(sa.text(f"SELECT setval('{table}_id_seq', 1)"))
    engine.dispose()


def test_a_database_of_the_first_form_keeps_all_that_it_held(database_url: str) -> None:
    fill_first_form(database_url)
    store = Store(database_url)
    with store.read() as session:
        text = session.get_one(InboxText, 1)
        assert (text.body, text.received_at, text.repeats) == ("121 1 FA2 SQ 88 100", NOON, None)
        assert text.perhaps_cut is False
        visit = visit_on(session, 121, DAY)
        assert visit is not None
        (sample,) = standing_samples(visit)
        assert (sample.number, sample.covers, sample.counts) == (1, 0, {"FA": 2, "FN": None})
        share = share_on(session, 121, "SQ", DAY)
        assert share is not None
        assert (share.n, share.of, share.sample) == (88, 100, None)
    engine = sa.create_engine(database_url)
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"render_as_batch": True})
        assert compare_metadata(context, Table.metadata) == []
    engine.dispose()
    store.close()


def test_a_database_of_the_first_form_takes_what_is_new_beside_what_it_held(database_url: str) -> None:
    fill_first_form(database_url)
    store = Store(database_url)

    def add(session: Session) -> None:
        text = InboxText(
            gateway="oma",
            gateway_id="m-2",
            sender="+12705550111",
            recipient="",
            body="121 TOTAL 9 LA4",
            received_at=NOON,
            repeats=1,
        )
        session.add(text)
        session.flush()
        said: dict[str, Any] = {"person": "ana", "text_id": text.id, "counted_at": NOON}
        sums = SampleRow(
            visit_id=1, number=0, covers=9, form="totals", counts={"LA": 4}, extras={}, effort="3", **said
        )
        stop = ShareRow(number=121, field=12, day=DAY, code="SQ", sample=1, n=4, of=5, **said)
        session.add_all([sums, stop])

    store.write(add)
    with store.read() as session:
        visit = visit_on(session, 121, DAY)
        assert visit is not None
        assert [(row.number, row.covers) for row in standing_samples(visit)] == [(0, 9), (1, 0)]
        assert [(row.sample, row.n) for row in shares_on(session, 121, DAY)] == [(None, 88), (1, 4)]
    with pytest.raises(sa.exc.IntegrityError):
        store.write(lambda session: setattr(session.get_one(InboxText, 1), "repeats", 77))
    store.close()
    alembic(database_url, "downgrade", "0001")
    engine = sa.create_engine(database_url)
    with engine.connect() as connection:
        assert connection.scalar(sa.text("SELECT count(*) FROM inbox")) == 2
    engine.dispose()
