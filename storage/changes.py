"""Whether anything was changed since something was read, so that what was worked out from it can be kept."""

from collections.abc import Callable, Hashable
from functools import wraps
from itertools import chain
from typing import Any, Concatenate, ParamSpec, TypeVar

import sqlalchemy as sa
from sqlalchemy.orm import ORMExecuteState, Session, SessionTransaction, UOWTransaction

from storage.programme_tables import MailRow, OkWanted
from storage.tables import Alert, InboxText, LedgerKey, OutboxText, PhoneState, Question

BESIDE = (Alert, InboxText, LedgerKey, MailRow, OkWanted, OutboxText, PhoneState, Question)
"""What is said to people and heard from them: no stage, count, standing or closed field turns on it."""

CHANGES, READ_AS_OF, READ = "changes", "read as of", "read"

Args = ParamSpec("Args")
Rows = TypeVar("Rows")


def changes(session: Session) -> int:
    """Give a number that is another one whenever something was changed that a field book reads.

    What waits to be written is written first, as a query would.
    """
    if session.new or session.dirty or session.deleted:
        session.flush()
    return _count(session)


def read_once(
    read: Callable[Concatenate[Session, Args], Rows],
) -> Callable[Concatenate[Session, Args], Rows]:
    """Let what is read in a session be kept there until something changes; nobody may change what it gives."""

    @wraps(read)
    def kept(session: Session, /, *args: Args.args, **named: Args.kwargs) -> Rows:
        as_of = changes(session)
        if session.info.get(READ_AS_OF) != as_of:
            session.info[READ_AS_OF], session.info[READ] = as_of, {}
        have: dict[Hashable, Rows] = session.info[READ]
        of = (read, *args, *sorted(named.items()))
        if of not in have:
            have[of] = read(session, *args, **named)
        return have[of]

    return kept


def _count(session: Session, more: int = 0) -> int:
    count: int = session.info.get(CHANGES, 0) + more
    session.info[CHANGES] = count
    return count


@sa.event.listens_for(Session, "before_flush")
def _count_rows(session: Session, _flush: UOWTransaction, _instances: Any) -> None:
    written = chain(session.new, session.dirty, session.deleted)
    if any(not isinstance(row, BESIDE) for row in written):
        _count(session, 1)


@sa.event.listens_for(Session, "do_orm_execute")
def _count_statements(state: ORMExecuteState) -> None:
    if not state.is_select:
        _count(state.session, 1)


@sa.event.listens_for(Session, "after_soft_rollback")
def _count_rollbacks(session: Session, _transaction: SessionTransaction) -> None:
    _count(session, 1)
