"""Questions: one open per phone, closed by an answer, another text, or time."""

from datetime import datetime

import sqlalchemy as sa
from sqlalchemy.orm import Session

from storage.tables import Question, QuestionState


def open_question(session: Session, phone: str) -> Question | None:
    """Give the question that a phone has open."""
    return session.scalars(
        sa.select(Question).where(Question.phone == phone, Question.state == QuestionState.OPEN)
    ).first()


def open_questions_of_field(session: Session, field: int) -> list[Question]:
    """Give the open questions that concern a field."""
    found = sa.select(Question).where(Question.field == field, Question.state == QuestionState.OPEN)
    return list(session.scalars(found))


def open_questions(session: Session) -> list[Question]:
    """Give all open questions."""
    return list(session.scalars(sa.select(Question).where(Question.state == QuestionState.OPEN)))


def lapsed_since(session: Session, phone: str, since: datetime | None) -> Question | None:
    """Give a phone's newest question if it lapsed after a moment (or ever, without one)."""
    newest = session.scalars(
        sa.select(Question).where(Question.phone == phone).order_by(Question.id.desc()).limit(1)
    ).first()
    if newest is None or newest.state != QuestionState.LAPSED or newest.closed_at is None:
        return None
    return newest if since is None or newest.closed_at > since else None


def close_question(session: Session, question: Question, state: QuestionState, now: datetime) -> None:
    """Close a question."""
    question.state = state
    question.closed_at = now
    session.flush()
