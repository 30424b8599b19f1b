"""The tables of the field: rounds, visits, samples, and all else that was counted or said there.

Counts are superseded, never overwritten: a row with `ended_at` counts no more. `ended_by` is the text that
replaced it or took it back, `replaces` the row that it stands in for. `counted_at` and `said_at` are when the
person sent it.
"""

from datetime import date, datetime
from enum import StrEnum
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Mapped, mapped_column, relationship

from storage.tables import Table


class Round(Table):
    """One pass over all sites of a field with one plan, from its first sample on."""

    __tablename__ = "rounds"

    id: Mapped[int] = mapped_column(primary_key=True)
    field: Mapped[int] = mapped_column(index=True)
    first_day: Mapped[date]
    plan: Mapped[dict[str, Any]]
    levels: Mapped[list[Any]]

    visits: Mapped[list["Visit"]] = relationship(back_populates="round", order_by="Visit.id")


class VisitState(StrEnum):
    """What a person said of a visit; DONE is never said, it follows from the samples."""

    OPEN = "open"
    SHORT = "short"
    SKIPPED = "skipped"


class Visit(Table):
    """One site on one local day with one method, and the plan and level rows that it is made under.

    `stage` is the field's stage as `show` prints it, None where it was not known at the first sample. A
    visit skipped while no round was open has no round.
    """

    __tablename__ = "visits"
    __table_args__ = (sa.UniqueConstraint("site", "day"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    round_id: Mapped[int | None] = mapped_column(sa.ForeignKey("rounds.id"), index=True)
    site: Mapped[int]
    field: Mapped[int] = mapped_column(index=True)
    day: Mapped[date]
    plan: Mapped[dict[str, Any]]
    levels: Mapped[list[Any]]
    stage: Mapped[str | None]
    state: Mapped[str] = mapped_column(default=VisitState.OPEN)
    reason: Mapped[str | None]
    person: Mapped[str]
    begun_at: Mapped[datetime]

    round: Mapped[Round | None] = relationship(back_populates="visits")
    samples: Mapped[list["SampleRow"]] = relationship(back_populates="visit", order_by="SampleRow.id")


class SampleRow(Table):
    """One sample of a visit, or its sums over several. `counts` is {code: count or null}.

    `covers` is 0 for one sample; n for sums over n samples, whose `number` is 0. `effort` is that of one sample
    either way, an exact fraction as text.
    """

    __tablename__ = "samples"
    __table_args__ = (
        sa.Index(
            "uq_samples_visit_id_number_standing",
            "visit_id",
            "number",
            unique=True,
            sqlite_where=sa.text("ended_at IS NULL"),
            postgresql_where=sa.text("ended_at IS NULL"),
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    visit_id: Mapped[int] = mapped_column(sa.ForeignKey("visits.id"), index=True)
    number: Mapped[int]
    covers: Mapped[int] = mapped_column(default=0)
    form: Mapped[str]
    counts: Mapped[dict[str, Any]]
    extras: Mapped[dict[str, Any]]
    lost: Mapped[bool] = mapped_column(default=False)
    effort: Mapped[str]
    person: Mapped[str]
    assigned: Mapped[bool] = mapped_column(default=True)
    text_id: Mapped[int] = mapped_column(sa.ForeignKey("inbox.id"), index=True)
    counted_at: Mapped[datetime]
    replaces: Mapped[int | None] = mapped_column(sa.ForeignKey("samples.id"))
    ended_at: Mapped[datetime | None]
    ended_by: Mapped[int | None] = mapped_column(sa.ForeignKey("inbox.id"))

    visit: Mapped[Visit] = relationship(back_populates="samples")


class ShareRow(Table):
    """n of m looked at, at a site or field on a day, or at one of its stops. `asked` where it was confirmed.

    `sample` is the number of the stop; None where the whole site or field was looked at.
    """

    __tablename__ = "shares"

    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[int]
    field: Mapped[int] = mapped_column(index=True)
    day: Mapped[date]
    code: Mapped[str]
    sample: Mapped[int | None]
    n: Mapped[int]
    of: Mapped[int]
    asked: Mapped[bool] = mapped_column(default=False)
    person: Mapped[str]
    text_id: Mapped[int] = mapped_column(sa.ForeignKey("inbox.id"), index=True)
    counted_at: Mapped[datetime]
    replaces: Mapped[int | None] = mapped_column(sa.ForeignKey("shares.id"))
    ended_at: Mapped[datetime | None]
    ended_by: Mapped[int | None] = mapped_column(sa.ForeignKey("inbox.id"))


class StageText(Table):
    """A field's stage as somebody texted it, counted on from its day; a proposal is nobody's decision yet."""

    __tablename__ = "stage_texts"

    id: Mapped[int] = mapped_column(primary_key=True)
    field: Mapped[int] = mapped_column(index=True)
    day: Mapped[date]
    phase: Mapped[str]
    week: Mapped[int]
    proposal: Mapped[bool]
    person: Mapped[str]
    text_id: Mapped[int] = mapped_column(sa.ForeignKey("inbox.id"))
    said_at: Mapped[datetime]


class CheckRow(Table):
    """A check count: a sample counted once more by somebody else. It stands beside the visit and is in no total.

    So do the counts of a `trainee` (in training when he sent them), until they become samples of the visit.
    `plan` is the key of the plan it was counted under, None where that was not noted yet.
    """

    __tablename__ = "checks"
    __table_args__ = (
        sa.Index(
            "uq_checks_site_day_number_person_standing",
            "site",
            "day",
            "number",
            "person",
            unique=True,
            sqlite_where=sa.text("ended_at IS NULL"),
            postgresql_where=sa.text("ended_at IS NULL"),
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    site: Mapped[int]
    field: Mapped[int]
    day: Mapped[date]
    number: Mapped[int]
    form: Mapped[str]
    counts: Mapped[dict[str, Any]]
    extras: Mapped[dict[str, Any]]
    lost: Mapped[bool] = mapped_column(default=False)
    effort: Mapped[str]
    person: Mapped[str]
    trainee: Mapped[bool] = mapped_column(default=False)
    plan: Mapped[str | None]
    text_id: Mapped[int] = mapped_column(sa.ForeignKey("inbox.id"))
    counted_at: Mapped[datetime]
    replaces: Mapped[int | None] = mapped_column(sa.ForeignKey("checks.id"))
    ended_at: Mapped[datetime | None]
    ended_by: Mapped[int | None] = mapped_column(sa.ForeignKey("inbox.id"))


class NawfRow(Table):
    """Nodes above white flower at a site or field on a day. `plants` is a list of decimals as text, one a plant."""

    __tablename__ = "nawf"
    __table_args__ = (sa.Index(None, "number", "day"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[int]
    field: Mapped[int]
    day: Mapped[date]
    plants: Mapped[list[Any]]
    person: Mapped[str]
    text_id: Mapped[int] = mapped_column(sa.ForeignKey("inbox.id"))
    counted_at: Mapped[datetime]
    replaces: Mapped[int | None] = mapped_column(sa.ForeignKey("nawf.id"))
    ended_at: Mapped[datetime | None]
    ended_by: Mapped[int | None] = mapped_column(sa.ForeignKey("inbox.id"))


class EffortRow(Table):
    """The effort of one sample at a site for what is sent after it that day, in the plan's unit.

    `amount` is an exact fraction as text. A later one governs what is sent after it; none is ever ended.
    """

    __tablename__ = "efforts"
    __table_args__ = (sa.Index(None, "site", "day"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    site: Mapped[int]
    field: Mapped[int]
    day: Mapped[date]
    amount: Mapped[str]
    person: Mapped[str]
    text_id: Mapped[int] = mapped_column(sa.ForeignKey("inbox.id"))
    said_at: Mapped[datetime]


class RemarkRow(Table):
    """What somebody remarked of a site or field on a day: `about` is note, wet or wind, `words` free where any."""

    __tablename__ = "remarks"
    __table_args__ = (sa.Index(None, "number", "day"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[int]
    field: Mapped[int]
    day: Mapped[date]
    about: Mapped[str]
    words: Mapped[str | None]
    person: Mapped[str]
    text_id: Mapped[int] = mapped_column(sa.ForeignKey("inbox.id"))
    said_at: Mapped[datetime]
