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


def close_question(session: Session, question: Question, state: QuestionState, now: datetime) -> None:
    """Close a question."""
    question.state = state
    question.closed_at = now
    session.flush()
