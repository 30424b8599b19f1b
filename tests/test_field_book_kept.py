"""A book keeps what it has worked out, and never for longer than it is true."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest
import sqlalchemy as sa

from bot.field_book import FieldBook
from bot.rules import SquaresOn
from storage import Draft, SampleRow, Session, ShareRow, end_sample, put
from tests.talk import DAY, ZONE, Talk, talking

NOON = datetime(2027, 7, 6, 12, tzinfo=ZONE)


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path) as open_talk:
        open_talk.says("luis", "09:00", "14 1 LN4 / 2 LN2")
        yield open_talk


def book_in(talk: Talk, session: Session) -> FieldBook:
    return FieldBook(session, talk.hand.season, NOON)


def total(book: FieldBook) -> int:
    visit = book.site_view(14, DAY).visit
    assert visit is not None
    return sum(sample.counts["LN"] or 0 for sample in visit.counted)


def test_what_is_said_to_people_changes_no_figure(talk: Talk) -> None:
    def step(session: Session) -> None:
        book = book_in(talk, session)
        view = book.site_view(14, DAY)
        put(session, Draft("notice:1", "+12705550120", "notice", "x", NOON), NOON)
        assert book.site_view(14, DAY) is view

    talk.store.write(step)


def test_a_sample_taken_back_is_seen_at_once_written_or_not(talk: Talk) -> None:
    def step(session: Session) -> None:
        book = book_in(talk, session)
        assert total(book) == 6
        row = session.scalars(sa.select(SampleRow).where(SampleRow.number == 2)).one()
        row.ended_at = NOON
        assert total(book) == 4
        assert book.field_view(talk.hand.season.fields[14]).visits[14].samples_in == 1

    talk.store.write(step)


def test_what_is_rolled_back_is_gone_from_the_figures_too(talk: Talk) -> None:
    def step(session: Session) -> None:
        book = book_in(talk, session)
        row = session.scalars(sa.select(SampleRow).where(SampleRow.number == 1)).one()
        savepoint = session.begin_nested()
        end_sample(session, row, 1, NOON)
        assert total(book) == 2
        savepoint.rollback()
        assert total(book) == 6

    talk.store.write(step)


def test_a_share_and_a_statement_that_changes_rows_are_seen(talk: Talk) -> None:
    def step(session: Session) -> None:
        book = book_in(talk, session)
        assert book.site_view(14, DAY).squares is None
        share = ShareRow(
            number=14, field=14, day=DAY, code="SQ", n=88, of=100, person="luis", text_id=1, counted_at=NOON
        )
        session.add(share)
        assert book.site_view(14, DAY).squares == SquaresOn(88, 100)
        session.execute(sa.update(SampleRow).where(SampleRow.number == 1).values(ended_at=NOON))
        session.expire_all()
        assert total(book) == 2

    talk.store.write(step)
