"""Bad days: the machine's clock jumps. Set back, nothing opens or comes twice; ahead, what was missed is named."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot.field_book import FieldBook
from bot.rounds import watch_clock
from storage import Draft, Session, Store, claim_next, outbox_with_key, put, settle_failed
from storage.outbox import TEXTS
from tests.talk import ZONE, Talk, talking, to
from tests.test_conversation_crossings import JUNE, OPAL, RAMON

LUIS = "+12705550112"
HEAVY = "14 1 LN9 / 2 LN9 / 3 LN9"


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path) as opened:
        yield opened


def digests(caused: list[dict[str, str]], who: str = JUNE) -> list[str]:
    return [text for to_whom, text in to(caused, "digest") if to_whom == who]


# Set back


def test_a_clock_set_back_does_not_open_a_field_that_was_shut_by_the_later_time(talk: Talk) -> None:
    talk.says("opal", "10:00", "14 SPRAYED 24")
    assert "KEEP OUT: 14" in talk.reply("luis", "09:05", "PLAN")
    assert talk.reply("luis", "09:06", "14 1 FA2").startswith("KEEP OUT of 14")
    assert talk.show(14)["closed_until"] == "2027-07-07T10:00:00-05:00"


def test_a_field_that_was_opened_is_shut_again_until_the_clock_is_there_again(talk: Talk) -> None:
    """Closing is easy, opening is hard (standing.md, Re-entry)."""
    talk.says("opal", "08:00", "14 SPRAYED 24")
    talk.says("june", "10:00", "14 OPEN")
    talk.says("june", "10:01", "1")
    assert "KEEP OUT" not in talk.reply("luis", "10:02", "PLAN")
    assert "KEEP OUT: 14" in talk.reply("luis", "09:00", "PLAN")


def test_an_ok_counts_though_the_clock_shows_less_than_when_its_text_left(talk: Talk) -> None:
    talk.says("luis", "10:00", HEAVY)
    assert "noted that you read it" in talk.reply("opal", "09:05", "OK")
    reminded = [who for who, _ in to(talk.strikes("12:30"), "alert")]
    assert reminded == [RAMON]


def test_an_answer_is_taken_though_the_clock_shows_less_than_when_its_question_left(talk: Talk) -> None:
    talk.says("luis", "10:00", "14 1 LN52")
    assert talk.reply("luis", "09:05", "1").startswith("14 1 LN52. ")
    assert talk.samples(14) == {"1": "LN52"}


def test_a_question_of_a_day_that_the_clock_has_left_again_lapses_and_is_said(talk: Talk) -> None:
    talk.says("luis", "10:00", "14 1 LN52")
    assert "NOT stored" in talk.reply("luis", "2027-07-05T10:05", "14 2 LN1")


@pytest.mark.parametrize("again", ["17:31", "18:40", "2027-07-05T18:35", "2027-07-06T18:45"])
def test_no_day_has_a_second_digest(talk: Talk, again: str) -> None:
    assert digests(talk.strikes("2027-07-05T18:30"))
    assert digests(talk.strikes("18:30"))
    assert digests(talk.strikes(again)) == []


def test_no_second_digest_comes_when_the_clock_is_there_again_either(talk: Talk) -> None:
    assert digests(talk.strikes("18:30"))
    for moment in ("2027-07-05T12:00", "12:00", "18:29", "18:30", "23:59"):
        assert digests(talk.strikes(moment)) == []


def test_who_gave_no_ok_is_called_though_nobody_can_tell_for_how_long(talk: Talk) -> None:
    talk.says("opal", "10:00", "14 SPRAYED 24")
    assert [text for _, text in to(talk.strikes("09:00"), "notice")] == [
        "CALL Luis Vega, 270-555-0112: no OK yet for KEEP OUT of 14 Pump House."
    ]


def test_a_wait_is_never_counted_below_nothing(talk: Talk) -> None:
    talk.says("luis", "10:00", HEAVY)
    assert to(talk.strikes("09:00"), "alert") == []
    assert [who for who, _ in to(talk.strikes("12:00"), "alert")] == [OPAL, RAMON]
    assert [who for who, _ in to(talk.strikes("11:00"), "alert")] == []


TEN = datetime(2027, 7, 6, 15, tzinfo=UTC)
DAY = timedelta(days=1)


def put_down(store: Store, *drafts: Draft) -> None:
    store.write(lambda session: [put(session, one, TEN) for one in drafts])


def claim(store: Store, now: datetime) -> str | None:
    def step(session: Session) -> str | None:
        row = claim_next(session, now)
        return row.key if row is not None else None

    return store.write(step)


def fail(store: Store, key: str, now: datetime) -> None:
    def step(session: Session) -> None:
        row = outbox_with_key(session, key)
        assert row is not None
        settle_failed(session, row.id, "no answer", now, again=True)

    store.write(step)


KEEP_OUT = Draft("keepout:1", LUIS, "keepout", "KEEP OUT of 14", TEN)


def test_what_waits_to_leave_does_not_wait_for_the_clock(store: Store) -> None:
    put_down(store, KEEP_OUT, Draft("alert:1", OPAL, "alert", "in the morning", TEN + timedelta(hours=9)))
    assert claim(store, TEN - DAY) == "keepout:1"
    assert claim(store, TEN - DAY) is None


def test_two_senders_whose_clocks_differ_a_little_do_not_take_each_others_texts(store: Store) -> None:
    put_down(store, KEEP_OUT)
    assert claim(store, TEN + timedelta(seconds=5)) == "keepout:1"
    assert claim(store, TEN) is None


def test_after_a_set_back_a_failure_waits_as_long_as_ever_before_it_is_tried_again(store: Store) -> None:
    put_down(store, KEEP_OUT)
    now = TEN - DAY
    for tries in range(1, 4):
        assert claim(store, now) == "keepout:1"
        fail(store, "keepout:1", now)
        assert claim(store, now) is None
        now += TEXTS.wait(tries)


def test_supervisors_hear_once_that_the_clock_of_the_service_went_back(talk: Talk) -> None:
    talk.says("luis", "10:00", "14 1 FA2")
    said = (
        "This machine's clock shows Tue Jul 6 9:00 AM, but it had a text at Tue Jul 6 10:00 AM. KEEP OUT hours "
        "go by that clock: do not rely on them until it is set right."
    )
    assert clock_notices(talk, "09:00") == [(JUNE, said)]
    assert clock_notices(talk, "09:01") == []


def test_a_few_minutes_between_two_clocks_are_no_news(talk: Talk) -> None:
    talk.says("luis", "10:00", "14 1 FA2")
    assert clock_notices(talk, "09:51") == []


def clock_notices(talk: Talk, at: str) -> list[tuple[str, str]]:
    now = datetime.fromisoformat(f"2027-07-06T{at}").replace(tzinfo=ZONE)
    watch_clock(talk.store, talk.hand.shelf, now)
    return to(talk.hand.strike(now), "notice")


# Set ahead


def test_hours_that_a_clock_ahead_called_over_are_taken_back(talk: Talk) -> None:
    talk.says("opal", "10:00", "14 SPRAYED 48")
    talk.says("luis", "10:01", "OK")
    assert "are over" in dict(to(talk.strikes("2027-07-09T10:00"), "notice"))[LUIS]
    again = talk.strikes("10:05")
    assert dict(to(again, "keepout")) == {
        LUIS: "14: the hours are NOT over, KEEP OUT at least until Thu Jul 8 10:00 AM. The text before was wrong. "
        "If you are in it, walk out now. Answer OK."
    }
    assert "the hours are NOT over" in dict(to(again, "notice"))[JUNE]
    assert talk.strikes("10:06") == []
    assert "CALL Luis Vega" in dict(to(talk.strikes("10:15"), "notice"))[JUNE]
    assert "noted for 14" in talk.reply("luis", "10:20", "OK")
    assert "are over" in dict(to(talk.strikes("2027-07-08T10:01"), "notice"))[LUIS]


def test_the_next_digest_names_the_evenings_that_had_none(talk: Talk) -> None:
    assert not any("NO DIGEST" in text for text in digests(talk.strikes("18:30")))
    said = " ".join(digests(talk.strikes("2027-07-09T18:30")))
    assert "NO DIGEST went out from Jul 7 to Jul 8." in said
    assert not any("NO DIGEST" in text for text in digests(talk.strikes("2027-07-10T18:30")))


def test_one_evening_is_named_by_its_day(talk: Talk) -> None:
    talk.strikes("18:30")
    assert "NO DIGEST went out on Jul 7." in " ".join(digests(talk.strikes("2027-07-08T18:30")))


def test_texts_to_be_read_by_hand_of_evenings_without_a_digest_are_in_the_next(talk: Talk) -> None:
    talk.strikes("18:30")
    talk.says("opal", "2027-07-07T09:00", "call me about the fence")
    assert "READ BY HAND: 1 text (Opal)." in " ".join(digests(talk.strikes("2027-07-09T18:30")))
    assert not any("READ BY HAND" in text for text in digests(talk.strikes("2027-07-10T18:30")))


def test_a_jump_over_the_day_loses_no_alert_reminder_or_call(talk: Talk) -> None:
    talk.says("luis", "10:00", HEAVY)
    assert [who for who, _ in to(talk.strikes("2027-07-09T10:00"), "alert")] == [OPAL, RAMON]
    assert [text[:30] for _, text in to(talk.strikes("2027-07-09T10:01"), "notice")] == [
        "Opal Greer has not read the al",
        "Ramon Ibarra has not read the ",
    ]


# The carrier's clock


def test_a_carrier_whose_stamps_lie_hours_back_is_found_out_by_the_second_answer(talk: Talk) -> None:
    """A text sent before the question left is no answer to it; twice in a row is no chance."""
    talk.says("luis", "10:00", "14 1 LN52", sent="2027-07-06T10:00+00:00")
    first = talk.says("luis", "10:02", "1", sent="2027-07-06T10:02+00:00")
    assert to(first, "notice") == []
    second = talk.says("luis", "10:04", "1", sent="2027-07-06T10:04+00:00")
    assert to(second, "reply")[0][1].startswith("That came before our question could reach you.")
    assert to(second, "notice") == [
        (
            JUNE,
            "Luis Vega answers 1, stamped before our question went out; nothing is stored. Call 270-555-0112. "
            "Is the carrier's clock right?",
        )
    ]


def test_a_stamp_that_puts_counts_into_another_day_is_said_in_the_reply(talk: Talk) -> None:
    reply = talk.reply("luis", "04:30", "14 1 FA2", sent="2027-07-06T04:30+00:00")
    assert reply.startswith("Mon Jul 5: 14 1 FA2.")


def test_a_stamp_ahead_of_the_clock_is_not_believed(talk: Talk) -> None:
    assert talk.reply("luis", "23:30", "14 1 FA2", sent="2027-07-07T00:30").startswith("14 1 FA2.")
    assert talk.samples(14) == {"1": "FA2"}


def test_a_moment_is_handed_on_in_utc_whatever_zone_it_came_in(talk: Talk) -> None:
    """Two local times of one zone are subtracted by their faces, an hour off where clocks were changed between."""
    with talk.store.read() as session:
        book = FieldBook(session, talk.hand.season, datetime(2027, 7, 6, 12, tzinfo=ZONE))
        assert book.now.tzinfo is UTC
        assert book.at(book.today, book.season.day_ends).tzinfo is UTC
        assert book.quiet_until(book.now).tzinfo is UTC
