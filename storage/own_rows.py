"""What somebody's newest text put down: what an UNDO would take back."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

import sqlalchemy as sa
from sqlalchemy.orm import Session

from storage.field_tables import NawfRow, SampleRow, ShareRow, Visit

Counted = TypeVar("Counted", SampleRow, ShareRow, NawfRow)


@dataclass(frozen=True, slots=True)
class OwnRows:
    """The rows of one text: samples by number, shares and nodes in the order in which they were put down."""

    samples: list[SampleRow]
    shares: list[ShareRow]
    nawf: list[NawfRow]

    @property
    def empty(self) -> bool:
        """Whether there is nothing to take back."""
        return not (self.samples or self.shares or self.nawf)


def newest_own_rows(session: Session, site: int, day: date, person: str) -> OwnRows:
    """Give what somebody's newest text to a site on a day put down: samples by number, shares, nodes.

    Rows that another has replaced since are given too, ended; what was taken back is not.
    """
    samples = session.scalars(
        sa.select(SampleRow)
        .join(Visit)
        .where(Visit.site == site, Visit.day == day, SampleRow.person == person)
        .order_by(SampleRow.number, SampleRow.id)
    )
    shares = session.scalars(
        sa.select(ShareRow)
        .where(ShareRow.number == site, ShareRow.day == day, ShareRow.person == person)
        .order_by(ShareRow.id)
    )
    nawf = session.scalars(
        sa.select(NawfRow)
        .where(NawfRow.number == site, NawfRow.day == day, NawfRow.person == person)
        .order_by(NawfRow.id)
    )
    own_samples = _not_taken_back(session, samples, person)
    own_shares = _not_taken_back(session, shares, person)
    own_nawf = _not_taken_back(session, nawf, person)
    texts = [
        *(row.text_id for row in own_samples),
        *(row.text_id for row in own_shares),
        *(row.text_id for row in own_nawf),
    ]
    newest = max(texts, default=None)
    return OwnRows(
        [row for row in own_samples if row.text_id == newest],
        [row for row in own_shares if row.text_id == newest],
        [row for row in own_nawf if row.text_id == newest],
    )


def _not_taken_back(session: Session, rows: Iterable[Counted], person: str) -> list[Counted]:
    """Give the rows that still stand or whose place another's has taken; who sent that text does not matter."""
    return [row for row in rows if row.ended_at is None or _replaced_by_other(session, row, person)]


def _replaced_by_other(session: Session, row: Counted, person: str) -> bool:
    table = type(row)
    found = sa.select(table.id).where(table.replaces == row.id, table.person != person)
    return session.scalar(found.limit(1)) is not None
