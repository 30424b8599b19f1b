"""What is kept of the crop and of the sampling there: shares by stop, nodes, efforts, remarks, and what is newest."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from storage import (
    Arrived,
    EffortRow,
    InboxText,
    NawfRow,
    OwnRows,
    RemarkRow,
    Round,
    SampleRow,
    Session,
    ShareRow,
    Store,
    Visit,
    efforts_on,
    keep,
    nawf_on,
    newest_own_rows,
    remarks_on,
    share_on,
    shares_of_field,
    shares_on,
    stop_shares_on,
    visit_on,
)

NOON = datetime(2027, 7, 6, 17, tzinfo=UTC)
DAY, DAY_AFTER = date(2027, 7, 6), date(2027, 7, 7)
ANA, LUIS = "+12705550111", "+12705550112"


def text(session: Session, name: str, phone: str = ANA, person: str = "ana") -> InboxText:
    """Keep a text that was read as somebody's."""
    row = keep(session, Arrived("oma", name, phone, "", "121", None, NOON))
    assert row is not None
    row.person = person
    return row


@pytest.fixture
def text_id(store: Store) -> int:
    """The id of a text of Ana's that was kept."""
    return store.write(lambda session: text(session, "m-1").id)


def put(store: Store, *rows: object) -> None:
    store.write(lambda session: session.add_all(rows))


def share(
    text_id: int,
    n: int,
    sample: int | None = None,
    *,
    number: int = 121,
    code: str = "BH",
    day: date = DAY,
    ended: bool = False,
    person: str = "ana",
) -> ShareRow:
    return ShareRow(
        number=number,
        field=12,
        day=day,
        code=code,
        sample=sample,
        n=n,
        of=5,
        person=person,
        text_id=text_id,
        counted_at=NOON,
        ended_at=NOON if ended else None,
        ended_by=text_id if ended else None,
    )


def nodes(text_id: int, *plants: str, number: int = 121, day: date = DAY) -> NawfRow:
    return NawfRow(
        number=number, field=12, day=day, plants=list(plants), person="ana", text_id=text_id, counted_at=NOON
    )


# Shares by stop


def test_a_share_is_found_at_its_stop_or_of_the_whole_site(store: Store, text_id: int) -> None:
    put(
        store, share(text_id, 5), share(text_id, 1, 1), share(text_id, 2, 2), share(text_id, 3, 3, ended=True)
    )
    with store.read() as session:
        found = {stop: share_on(session, 121, "BH", DAY, stop) for stop in (None, 1, 2, 3, 4)}
        assert {stop: row.n for stop, row in found.items() if row is not None} == {None: 5, 1: 1, 2: 2}
        assert share_on(session, 121, "BH", DAY) is found[None]
        assert share_on(session, 121, "SQ", DAY) is None


def test_stops_come_by_their_number_without_the_whole_site(store: Store, text_id: int) -> None:
    put(store, share(text_id, 5), *[share(text_id, stop, stop) for stop in (3, 1, 2)])
    put(
        store,
        share(text_id, 4, 4, ended=True),
        share(text_id, 4, 4, code="SQ"),
        share(text_id, 4, 4, number=123),
    )
    with store.read() as session:
        assert [row.sample for row in stop_shares_on(session, 121, "BH", DAY)] == [1, 2, 3]
        assert stop_shares_on(session, 121, "BH", DAY_AFTER) == []


def test_all_shares_of_a_site_are_its_whole_ones_and_its_stops(store: Store, text_id: int) -> None:
    put(store, share(text_id, 5), share(text_id, 1, 1), share(text_id, 2, 1, code="SQ"))
    with store.read() as session:
        assert [(row.code, row.sample) for row in shares_on(session, 121, DAY)] == [
            ("BH", None),
            ("BH", 1),
            ("SQ", 1),
        ]
        assert len(shares_of_field(session, 12, "BH", DAY, None)) == 2


# Nodes, efforts, remarks


def test_nodes_come_back_to_the_decimal(store: Store, text_id: int) -> None:
    taken_back = nodes(text_id, "9")
    taken_back.ended_at, taken_back.ended_by = NOON, text_id
    put(store, nodes(text_id, "6", "5.5", "7"), taken_back, nodes(text_id, "4", day=DAY_AFTER))
    with store.read() as session:
        assert [row.plants for row in nawf_on(session, 121, DAY)] == [["6", "5.5", "7"]]
        assert nawf_on(session, 123, DAY) == []


def test_efforts_come_in_the_order_in_which_they_were_said(store: Store, text_id: int) -> None:
    def effort(amount: str, minutes: int, site: int = 121) -> EffortRow:
        said_at = NOON + timedelta(minutes=minutes)
        return EffortRow(
            site=site, field=12, day=DAY, amount=amount, person="ana", text_id=text_id, said_at=said_at
        )

    for row in (effort("20", 9), effort("30", 0), effort("25/2", 9), effort("99", 0, site=123)):
        put(store, row)
    with store.read() as session:
        assert [row.amount for row in efforts_on(session, 121, DAY)] == ["30", "20", "25/2"]
        assert efforts_on(session, 121, DAY_AFTER) == []


def test_remarks_are_kept_with_their_words_or_without(store: Store, text_id: int) -> None:
    said: dict[str, Any] = {"field": 12, "day": DAY, "person": "ana", "text_id": text_id, "said_at": NOON}
    for about, words in (("note", "hail on north end"), ("wet", None)):
        put(store, RemarkRow(number=121, about=about, words=words, **said))
    put(store, RemarkRow(number=12, about="wind", **said))
    with store.read() as session:
        found = [(row.about, row.words) for row in remarks_on(session, 121, DAY)]
        assert found == [("note", "hail on north end"), ("wet", None)]
        assert [row.about for row in remarks_on(session, 12, DAY)] == ["wind"]


# What somebody's newest text put down


def sample(session: Session, number: int, text_id: int, person: str = "ana") -> SampleRow:
    """Put a sample of site 121 down, in a visit that is begun where there is none."""
    visit = visit_on(session, 121, DAY)
    if visit is None:
        began = Round(field=12, first_day=DAY, plan={}, levels=[])
        visit = Visit(
            round=began, site=121, field=12, day=DAY, plan={}, levels=[], person="ana", begun_at=NOON
        )
    row = SampleRow(
        visit=visit,
        number=number,
        form="coded",
        counts={"LA": 1},
        extras={},
        effort="3",
        person=person,
        text_id=text_id,
        counted_at=NOON,
    )
    session.add(row)
    session.flush()
    return row


def own(store: Store, person: str = "ana") -> tuple[Sequence[int], Sequence[int | None], Sequence[list[str]]]:
    """Give what somebody's newest text put down: sample numbers, stops, plants."""
    with store.read() as session:
        rows = newest_own_rows(session, 121, DAY, person)
        assert rows.empty is (not rows.samples and not rows.shares and not rows.nawf)
        return (
            [row.number for row in rows.samples],
            [row.sample for row in rows.shares],
            [row.plants for row in rows.nawf],
        )


def test_nothing_put_down_is_empty(store: Store) -> None:
    with store.read() as session:
        assert newest_own_rows(session, 121, DAY, "ana") == OwnRows([], [], [])
        assert newest_own_rows(session, 121, DAY, "ana").empty


def test_all_that_one_text_put_down_is_given_together(store: Store, text_id: int) -> None:
    def mixed(session: Session) -> None:
        for number in (2, 1):
            sample(session, number, text_id)
        session.add_all([share(text_id, 1, 1), share(text_id, 0, 2), nodes(text_id, "5")])

    store.write(mixed)
    assert own(store) == ([1, 2], [1, 2], [["5"]])


def test_the_newest_text_is_newest_over_samples_shares_and_nodes(store: Store, text_id: int) -> None:
    store.write(lambda session: sample(session, 1, text_id).id)
    assert own(store) == ([1], [], [])
    store.write(lambda session: session.add(share(text(session, "m-2").id, 3)))
    assert own(store) == ([], [None], [])
    store.write(lambda session: session.add(nodes(text(session, "m-3").id, "6", "5.5")))
    assert own(store) == ([], [], [["6", "5.5"]])


def test_what_others_put_down_or_at_other_sites_is_not_one_s_own(store: Store, text_id: int) -> None:
    put(
        store, share(text_id, 3, person="luis"), share(text_id, 3, number=123), nodes(text_id, "5", number=12)
    )
    assert own(store) == ([], [], [])


def test_what_was_taken_back_is_not_given_and_what_another_replaced_is(store: Store, text_id: int) -> None:
    def end(session: Session) -> None:
        taken_back, replaced = nodes(text_id, "5"), nodes(text_id, "6")
        session.add_all([taken_back, replaced])
        session.flush()
        other = text(session, "m-3", LUIS, "luis")
        for row in (taken_back, replaced):
            row.ended_at, row.ended_by = NOON, other.id
        instead = nodes(other.id, "7")
        instead.person, instead.replaces = "luis", replaced.id
        session.add(instead)

    store.write(end)
    assert own(store) == ([], [], [["6"]])
