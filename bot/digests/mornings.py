"""The morning text: PLAN to everybody who goes out, once per person and local day, restart-safe.

It is not sent to somebody who has nothing to go to and nothing to keep out of: a text that asks for nothing costs
money on some phones, and teaches people not to open the one that begins with KEEP OUT. PLAN always answers.
"""

from functools import partial

from bot.conversation import Purpose, plan_of_day, settle_hand_overs, speech_of, tell
from bot.field_book import FieldBook
from bot.replies import Speech, plan_texts
from bot.rules import Role
from storage import first_time, which_happened


def put_due_mornings(book: FieldBook) -> None:
    """Put down the morning texts that are due now; in quiet hours none, so that each is of the time at which it leaves.

    After the day's end none is sent any more.
    """
    settle_hand_overs(book)
    morning, today = book.season.morning, book.today
    if morning is None or not book.at(today, morning) <= book.now < book.at(today, book.season.day_ends):
        return
    if book.quiet_until(book.now) > book.now:
        return
    out = dict.fromkeys([*book.season.with_role(Role.SCOUT), *book.season.with_role(Role.LEADER)])
    people = {f"morning:{person.key}:{today}": person for person in out}
    sent = which_happened(book.session, people)
    for key, person in people.items():
        if key in sent:
            continue
        first_time(book.session, key, book.now)
        plan = plan_of_day(book, person)
        if plan.is_empty or person.phone is None:
            continue
        for number, text in enumerate(plan_texts(speech_of(book, person), plan), start=1):
            page = f"{Purpose.NOTICE}:{key}:{number}"
            tell(book, person, page, Purpose.NOTICE, partial(_as_it_is, text), cause=None)


def _as_it_is(text: str, _: Speech) -> str:
    return text
