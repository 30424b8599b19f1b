"""All rows of a table, ended ones among them: what a record of the whole season is made of."""

from collections.abc import Sequence
from typing import TypeVar

import sqlalchemy as sa
from sqlalchemy.orm import Session

from storage.tables import Table

Row = TypeVar("Row", bound=Table)


def every(session: Session, table: type[Row]) -> Sequence[Row]:
    """Give every row of a table, by its key: in the order in which they came where rows are numbered."""
    return session.scalars(sa.select(table).order_by(*table.__mapper__.primary_key)).all()
