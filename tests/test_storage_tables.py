"""What the database itself enforces, and how it comes to its form."""

import os
import subprocess
import sys
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext

from storage import (
    Arrived,
    PhoneState,
    Question,
    QuestionState,
    Round,
    SampleRow,
    Session,
    Store,
    Visit,
    close_question,
    end_sample,
    keep,
    keep_season,
    newest_season,
    open_question,
    phone_state,
    standing_samples,
    visit_on,
)
from storage.tables import Table

ROOT = Path(__file__).resolve().parent.parent
NOON = datetime(2027, 7, 6, 17, tzinfo=UTC)
DAY = date(2027, 7, 6)
ANA, LUIS = "+12705550111", "+12705550112"


@pytest.fixture
def text_id(store: Store) -> int:
    """The id of a text that was kept: what rows refer to as their cause."""

    def step(session: Session) -> int:
        row = keep(session, Arrived("oma", "m-1", ANA, "", "121 1 FA2", None, NOON))
        assert row is not None
        return row.id

    return store.write(step)


def asked(text_id: int, phone: str = ANA) -> Question:
    return Question(
        phone=phone, person="ana", field=12, kind="samples", waits={}, asked_at=NOON, text_id=text_id
    )


def test_a_phone_has_one_question_open(store: Store, text_id: int) -> None:
    store.write(lambda session: session.add(asked(text_id)))
    with pytest.raises(sa.exc.IntegrityError):
        store.write(lambda session: session.add(asked(text_id)))
    store.write(lambda session: session.add(asked(text_id, LUIS)))


def test_a_phone_may_be_asked_again_once_its_question_is_closed(store: Store, text_id: int) -> None:
    store.write(lambda session: session.add(asked(text_id)))

    def ask_again(session: Session) -> None:
        question = open_question(session, ANA)
        assert question is not None
        close_question(session, question, QuestionState.LAPSED, NOON)
        session.add(asked(text_id))

    for _ in range(3):
        store.write(ask_again)
    with store.read() as session:
        rows = session.scalars(sa.select(Question).order_by(Question.id)).all()
    assert [row.state for row in rows] == ["lapsed", "lapsed", "lapsed", "open"]


def begin_visit(session: Session) -> Visit:
    began = Round(field=12, first_day=DAY, plan={}, levels=[])
    visit = Visit(
        round=began, site=121, field=12, day=DAY, plan={}, levels=[], stage=None, person="ana", begun_at=NOON
    )
    session.add(visit)
    session.flush()
    return visit


def sample(visit: Visit, number: int, text_id: int) -> SampleRow:
    return SampleRow(
        visit_id=visit.id,
        number=number,
        form="coded",
        counts={"FA": 2, "FN": None},
        extras={},
        effort="3",
        person="ana",
        text_id=text_id,
        counted_at=NOON,
    )


def with_visit(what: Callable[[Session, Visit], object]) -> Callable[[Session], None]:
    def step(session: Session) -> None:
        visit = visit_on(session, 121, DAY) or begin_visit(session)
        what(session, visit)

    return step


def test_a_visit_has_one_standing_sample_of_each_number(store: Store, text_id: int) -> None:
    store.write(with_visit(lambda session, visit: session.add(sample(visit, 1, text_id))))
    with pytest.raises(sa.exc.IntegrityError):
        store.write(with_visit(lambda session, visit: session.add(sample(visit, 1, text_id))))
    store.write(with_visit(lambda session, visit: session.add(sample(visit, 2, text_id))))


def test_a_sample_that_was_replaced_stays_on_record_beside_the_new_one(store: Store, text_id: int) -> None:
    store.write(with_visit(lambda session, visit: session.add(sample(visit, 1, text_id))))

    def replace(session: Session, visit: Visit) -> None:
        (old,) = standing_samples(visit)
        end_sample(session, old, text_id, NOON)
        session.add(sample(visit, 1, text_id))

    for _ in range(2):
        store.write(with_visit(replace))
    with store.read() as session:
        visit = visit_on(session, 121, DAY)
        assert visit is not None
        assert len(visit.samples) == 3
        (standing,) = standing_samples(visit)
        assert standing.counts == {"FA": 2, "FN": None}


def test_a_site_has_one_visit_a_day(store: Store) -> None:
    store.write(lambda session: begin_visit(session).id)
    with pytest.raises(sa.exc.IntegrityError):
        store.write(lambda session: begin_visit(session).id)


def test_a_row_whose_cause_is_no_text_is_refused(store: Store) -> None:
    with pytest.raises(sa.exc.IntegrityError):
        store.write(lambda session: session.add(asked(text_id=77)))


def test_what_a_phone_chose_is_kept(store: Store) -> None:
    def choose(session: Session) -> None:
        phone_state(session, ANA).language = "en"

    store.write(choose)
    store.write(lambda session: phone_state(session, LUIS).language)
    with store.read() as session:
        rows = {row.phone: row.language for row in session.scalars(sa.select(PhoneState))}
    assert rows == {ANA: "en", LUIS: None}


def test_a_season_is_kept_letter_by_letter_and_the_newest_governs(store: Store) -> None:
    def load(season_text: str) -> bool:
        return store.write(lambda session: keep_season(session, "Larkspur", season_text, "book", NOON))

    assert [load(text) for text in ("a", "a", "a ", "a")] == [True, False, True, True]
    with store.read() as session:
        newest = newest_season(session)
    assert (newest.id, newest.season_text, newest.loaded_at) == (3, "a", NOON)


# How a database comes to its form


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
    def alembic(*arguments: str) -> None:
        ran = subprocess.run(
            [sys.executable, "-m", "alembic", *arguments],
            cwd=ROOT,
            env={**os.environ, "ROWFOOT_DATABASE": database_url},
            capture_output=True,
            text=True,
            check=False,
        )
        assert ran.returncode == 0, ran.stderr

    alembic("upgrade", "head")
    store = Store(database_url)
    store.write(lambda session: keep_season(session, "Larkspur", "season", "book", NOON))
    store.close()
    alembic("downgrade", "base")
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
