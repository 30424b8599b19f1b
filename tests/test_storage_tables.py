"""What the database itself enforces, and what is kept of samples, questions, phones and seasons."""

from collections.abc import Callable
from datetime import UTC, date, datetime

import pytest
import sqlalchemy as sa

from storage import (
    Arrived,
    CheckRow,
    PhoneState,
    Question,
    QuestionState,
    Round,
    SampleRow,
    Session,
    Store,
    Visit,
    checks_on,
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


# Check counts


def check(
    text_id: int, number: int = 3, person: str = "beto", *, day: date = DAY, site: int = 121
) -> CheckRow:
    return CheckRow(
        site=site,
        field=12,
        day=day,
        number=number,
        form="coded",
        counts={"LA": 1},
        extras={},
        effort="3",
        person=person,
        text_id=text_id,
        counted_at=NOON,
    )


def test_a_person_has_one_standing_check_count_of_each_sample(store: Store, text_id: int) -> None:
    store.write(lambda session: session.add(check(text_id)))
    with pytest.raises(sa.exc.IntegrityError):
        store.write(lambda session: session.add(check(text_id)))
    others = [check(text_id, 4), check(text_id, 3, "june"), check(text_id, site=123)]
    store.write(lambda session: session.add_all([*others, check(text_id, day=date(2027, 7, 7))]))


def test_a_check_count_may_be_replaced(store: Store, text_id: int) -> None:
    store.write(lambda session: session.add(check(text_id)))

    def replace(session: Session) -> None:
        (old,) = checks_on(session, 121, DAY)
        old.ended_at, old.ended_by = NOON, text_id
        session.flush()
        new = check(text_id)
        new.replaces = old.id
        session.add(new)

    store.write(replace)
    with store.read() as session:
        (standing,) = checks_on(session, 121, DAY)
        assert standing.replaces is not None


def test_check_counts_come_by_number_of_everybody_or_of_one(store: Store, text_id: int) -> None:
    rows = [(4, "beto"), (3, "june"), (3, "beto")]
    store.write(lambda session: session.add_all([check(text_id, number, who) for number, who in rows]))
    with store.read() as session:
        assert [(row.number, row.person) for row in checks_on(session, 121, DAY)] == [
            (3, "june"),
            (3, "beto"),
            (4, "beto"),
        ]
        assert [row.number for row in checks_on(session, 121, DAY, "beto")] == [3, 4]
        assert checks_on(session, 123, DAY) == []


def test_a_check_count_is_in_no_visit(store: Store, text_id: int) -> None:
    store.write(lambda session: session.add(check(text_id)))
    with store.read() as session:
        assert visit_on(session, 121, DAY) is None
