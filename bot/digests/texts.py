"""The digest: a day's account to each supervisor and leader, once per local day, in at most three texts.

It is due when its key is missing, its hour has passed and its day is not over; nothing else is kept.
"""

from collections.abc import Sequence

from bot.digests.account import Account, Section, account_of, fields_of
from bot.digests.missed import missed_words
from bot.digests.standings import above_items, close_call_items, in_range_items, late_items, waiting_items
from bot.digests.treated import after_items, shut_items
from bot.digests.work import (
    by_hand,
    not_done_items,
    outside_hours_items,
    question_items,
    totals,
    training_items,
    wanted,
)
from bot.field_book import FieldBook
from bot.replies import Speech, capital, pages
from bot.rules import Field, Person

MOST_TEXTS = 3


def digest_texts(book: FieldBook, say: Speech, fields: Sequence[Field]) -> list[str]:
    """Give the digest of some fields as of now, in at most three texts, most urgent first."""
    account = account_of(book, fields)
    items = [said for one in digest_sections(book, say, account) for said in _pieces(say, one)]
    head = capital(say.weekday_date(account.day))

    def mark(number: int, count: int) -> str:
        if count == 1:
            return f"{head}."
        return f"{head} {number}/{count}." if number == 1 else f"{number}/{count}."

    return pages(
        items or [say.say("digest.nothing")],
        MOST_TEXTS,
        mark,
        lambda left: say.say("digest.and_more", n=left),
        say.room,
    )


def today_texts(book: FieldBook, say: Speech, person: Person) -> list[str]:
    """Give the digest as of now of somebody's fields; the first text is within the room of his speech."""
    return digest_texts(book, say, fields_of(book.season, person))


def digest_sections(book: FieldBook, say: Speech, account: Account) -> list[Section]:
    """Give every part of a digest in its order, most urgent first, those with nothing to say too."""
    return [
        Section("above", tuple(above_items(book, say, account))),
        Section("waits", tuple(waiting_items(book, say, account))),
        Section("missed", tuple(missed_words(book, say)), headed=False),
        Section("in_range", tuple(in_range_items(book, say, account))),
        Section("close_call", tuple(close_call_items(book, say, account))),
        Section("not_done", tuple(not_done_items(book, say, account))),
        Section("shut", tuple(shut_items(book, say, account))),
        Section("after", tuple(after_items(book, say, account))),
        Section("open_questions", tuple(question_items(book, account))),
        Section("training", tuple(training_items(book, account))),
        Section("outside_hours", tuple(outside_hours_items(book, say, account))),
        Section("by_hand", tuple(by_hand(book, say, account)), headed=False),
        Section("wanted", tuple(wanted(say, account)), headed=False),
        Section("totals", tuple(totals(say, account)), headed=False),
        Section("late", tuple(late_items(say, account))),
    ]


def _pieces(say: Speech, section: Section) -> list[str]:
    """Give a section as pieces that may stand on two pages: its heading with the first item, then the others."""
    items = section.items
    if not section.headed:
        return list(items)
    said = [f"{item};" for item in items[:-1]] + [f"{item}." for item in items[-1:]]
    return [
        say.say(f"digest.{section.name}", items=one) if number == 0 else one
        for number, one in enumerate(said)
    ]
