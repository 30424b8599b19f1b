"""When somebody last texted, and from where he last counted."""

from datetime import datetime

import sqlalchemy as sa
from sqlalchemy.orm import Session

from storage.field_tables import CheckRow, SampleRow, ShareRow, Visit, VisitState
from storage.tables import InboxText


def newest_text(session: Session, sender: str, person: str, since: datetime) -> datetime | None:
    """Give when somebody sent his phone's newest text of those received from a moment on; never after it was received.

    Texts of who had the phone before him are not his.
    """
    rows = session.execute(
        sa.select(InboxText.sent_at, InboxText.received_at).where(
            InboxText.sender == sender, InboxText.person == person, InboxText.received_at >= since
        )
    )
    return max((min(sent or received, received) for sent, received in rows), default=None)


def newest_count(session: Session, person: str, since: datetime) -> tuple[int, datetime] | None:
    """Give the site or field of somebody's newest counts from a moment on, and when he sent them.

    Shares, check counts and a site that he skipped are counts too; what was taken back or moved away is none.
    """
    samples = (
        sa.select(Visit.site, SampleRow.counted_at)
        .join(Visit)
        .where(SampleRow.person == person, SampleRow.counted_at >= since, SampleRow.ended_at.is_(None))
    )
    checks = sa.select(CheckRow.site, CheckRow.counted_at).where(
        CheckRow.person == person, CheckRow.counted_at >= since, CheckRow.ended_at.is_(None)
    )
    shares = sa.select(ShareRow.number, ShareRow.counted_at).where(
        ShareRow.person == person, ShareRow.counted_at >= since, ShareRow.ended_at.is_(None)
    )
    skipped = sa.select(Visit.site, Visit.begun_at).where(
        Visit.person == person, Visit.begun_at >= since, Visit.state == VisitState.SKIPPED
    )
    found = [
        (row[0], row[1]) for query in (samples, checks, shares, skipped) for row in session.execute(query)
    ]
    return max(found, key=lambda one: one[1], default=None)
