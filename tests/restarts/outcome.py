"""What a season left behind, in figures that do not turn on which row came first."""

import json
import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

import sqlalchemy as sa

from storage import CrossingRow, InboxText, OutboxState, OutboxText, SampleRow, Store

CLOCK = re.compile(r"\b\d{1,2}:\d{2}(?: ?[AaPp][Mm])?")
"""A time of the day in a text: what a killed sender held leaves when its lease is over, up to a minute later."""


@dataclass(frozen=True, slots=True)
class Told:
    """A text to somebody, its times of the day left out, and whether it left."""

    to: str
    purpose: str
    words: str
    state: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a season left behind, in figures that do not turn on which row came first."""

    told: Counter[Told]
    crossings: Counter[tuple[object, ...]]
    samples: Counter[tuple[object, ...]]
    read: Counter[str]


def outcome_of(store: Store) -> Outcome:
    with store.read() as session:
        return Outcome(
            Counter(
                Told(row.recipient, row.purpose, CLOCK.sub("TIME", row.body), row.state)
                for row in session.scalars(sa.select(OutboxText))
            ),
            Counter(
                (row.field, row.target, row.kind, row.standing, row.day, row.late, json.dumps(row.figures))
                for row in session.scalars(sa.select(CrossingRow))
            ),
            Counter(
                (
                    row.visit.site,
                    row.visit.day,
                    row.number,
                    json.dumps(row.counts),
                    row.lost,
                    row.ended_at is None,
                )
                for row in session.scalars(sa.select(SampleRow))
            ),
            Counter(session.scalars(sa.select(InboxText.state))),
        )


def lost_and_twice(came: Iterable[Told], wanted: Iterable[Told]) -> list[str]:
    """Name what is there more often, or less often, than it should be."""
    there, should = Counter(came), Counter(wanted)
    return [f"twice: {one}" for one in (there - should).elements()] + [
        f"lost: {one}" for one in (should - there).elements()
    ]


def left_of(store: Store) -> set[tuple[str, str, str]]:
    """Give every text that left: its correlator, to whom, in which words."""
    with store.read() as session:
        rows = session.scalars(sa.select(OutboxText).where(OutboxText.state == OutboxState.LEFT))
        return {(row.key, row.recipient, row.body) for row in rows}
