"""Highs and lows as they are kept: the newest row of a day governs, the others stay on record."""

from datetime import UTC, date, datetime

import sqlalchemy as sa

from storage import Session, Store, TemperatureRow, temperature_on, temperatures_between

NOON = datetime(2027, 8, 20, 12, tzinfo=UTC)
AUG_4, AUG_5, AUG_6 = date(2027, 8, 4), date(2027, 8, 5), date(2027, 8, 6)


def keep(store: Store, *rows: tuple[date, str, str]) -> None:
    def step(session: Session) -> None:
        for day, high, low in rows:
            session.add(TemperatureRow(day=day, high=high, low=low, person=None, text_id=None, noted_at=NOON))
            session.flush()

    store.write(step)


def test_the_row_of_a_day_that_came_last_governs_and_the_others_stay(store: Store) -> None:
    keep(store, (AUG_6, "95", "70"), (AUG_4, "97", "71"), (AUG_5, "90", "60"), (AUG_4, "98.5", "71"))
    with store.read() as session:
        newest = temperature_on(session, AUG_4)
        assert newest is not None
        assert (newest.high, newest.low) == ("98.5", "71")
        found = [(row.day, row.high) for row in temperatures_between(session, AUG_4, AUG_6)]
        assert found == [(AUG_4, "98.5"), (AUG_5, "90"), (AUG_6, "95")]
        assert session.scalar(sa.select(sa.func.count()).select_from(TemperatureRow)) == 4


def test_days_are_counted_in_at_both_ends_and_one_without_a_row_has_none(store: Store) -> None:
    keep(store, (AUG_4, "97", "71"), (AUG_6, "95", "70"))
    with store.read() as session:
        assert temperature_on(session, AUG_5) is None
        assert [row.day for row in temperatures_between(session, AUG_4, AUG_5)] == [AUG_4]
        assert list(temperatures_between(session, AUG_5, AUG_5)) == []
        assert list(temperatures_between(session, AUG_6, AUG_4)) == []
