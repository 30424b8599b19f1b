"""Questions: what waits for a 1, fixed when it is asked; what an answer, another text or time does to it."""

from collections.abc import Sequence
from datetime import timedelta
from enum import StrEnum
from typing import Any

from bot.conversation.handing import to_person
from bot.conversation.turn import Turn
from bot.field_book import FieldBook
from bot.replies import dropped_note, share_code
from bot.rules import Field
from parsing import Form, Sample, ShareFound
from storage import (
    Question,
    QuestionState,
    answer_to,
    close_question,
    lapsed_since,
    open_question,
    open_questions,
    text_before,
)

LAPSES_AFTER = timedelta(hours=2)
CLOCKS_APART = timedelta(minutes=1)
"""By how much the clocks of two processes may differ."""


class Asked(StrEnum):
    """What a question is about."""

    SAMPLES = "samples"
    RIVAL = "rival"
    SHARE = "share"
    FINISH = "finish"
    UNDO = "undo"
    MOVE = "move"
    CLOSE = "close"
    SKIP = "skip"
    NOTE = "note"
    HOURS = "hours"
    ALL_HOURS = "all hours"
    OPEN = "open"
    TELL = "tell"


def ask(turn: Turn, kind: Asked, field: Field | None, waits: dict[str, Any]) -> None:
    """Open a question on the phone; it takes the place of one that is open. Of a silent phone a person is asked."""
    session, now = turn.book.session, turn.book.now
    if turn.silent:
        # nobody will be asked on this phone; a person looks instead
        to_person(turn, field, "words")
        return
    before = open_question(session, turn.text.sender)
    if before is not None:
        close_question(session, before, QuestionState.DROPPED, now)
    session.add(
        Question(
            phone=turn.text.sender,
            person=turn.person.key,
            field=field.number if field is not None else None,
            kind=kind,
            waits={**waits, **_of_turn(turn)},
            asked_at=now,
            text_id=turn.text.id,
        )
    )
    session.flush()


def _of_turn(turn: Turn) -> dict[str, Any]:
    """Give what is fixed when a question is asked: the day, whose counts they are, whether they are a check."""
    fixed: dict[str, Any] = {"day": turn.day.isoformat()}
    if turn.day_said:
        fixed["day_said"] = True
    if turn.check:
        fixed["check"] = True
    if turn.whose.key != turn.person.key:
        fixed["whose"] = turn.whose.key
    return fixed


def samples_to_json(samples: Sequence[Sample]) -> list[dict[str, Any]]:
    """Give samples as JSON keeps them with a question."""
    return [
        {
            "number": sample.number,
            "form": sample.form.value,
            "counts": [list(pair) for pair in sample.counts],
            "extras": [list(pair) for pair in sample.extras],
            "shares": [[share.code, share.n, share.of] for share in sample.shares],
            "covers": sample.covers,
        }
        for sample in samples
    ]


def samples_from_json(data: Sequence[dict[str, Any]]) -> tuple[Sample, ...]:
    """Give back samples that were kept with a question."""
    return tuple(
        Sample(
            one["number"],
            Form(one["form"]),
            tuple((code, count) for code, count in one["counts"]),
            tuple((code, count) for code, count in one["extras"]),
            shares=tuple(ShareFound(code, n, of) for code, n, of in one["shares"]),
            covers=one["covers"],
        )
        for one in data
    )


def drop_question(turn: Turn) -> None:
    """Let another text drop the open question, and remember to say so; one too old has lapsed."""
    question = open_question(turn.book.session, turn.text.sender)
    if question is None:
        return
    close_question(turn.book.session, question, QuestionState.DROPPED, turn.book.now)
    remember_dropped(turn, question)


def remember_dropped(turn: Turn, question: Question) -> None:
    """Let this text's reply say what a question that got no answer leaves not stored."""
    turn.dropped = question
    number = question.waits.get("number", question.waits.get("site", question.field))
    match question.kind:
        case Asked.SAMPLES | Asked.RIVAL:
            numbers = [one["number"] for one in question.waits["samples"]]
            fix = question.waits.get("fix", False)
            turn.dropped_notes = dropped_note(turn.speech, question.waits["site"], numbers, fix=fix)
        case Asked.SHARE:
            code = share_code(turn.speech, turn.season, question.waits["code"])
            turn.dropped_notes = (turn.say("dropped.share", number=number, code=code),)
        case Asked.TELL:
            turn.dropped_notes = turn.wordings("dropped.tell")
        case _:
            turn.dropped_notes = (
                turn.say("dropped.other", number=number),
                turn.say("dropped.other_short", number=number),
            )


def not_dropped(turn: Turn, site: int, numbers: Sequence[int]) -> None:
    """Leave out of what the reply says was dropped the samples that this very text stored."""
    question = turn.dropped
    if (
        question is None
        or question.kind not in (Asked.SAMPLES, Asked.RIVAL)
        or question.waits["site"] != site
        or question.waits.get("fix")
    ):
        return
    left = [one["number"] for one in question.waits["samples"] if one["number"] not in numbers]
    turn.dropped_notes = dropped_note(turn.speech, site, left) if left else ()


def lapsed(book: FieldBook, question: Question) -> bool:
    """Tell whether a question's time is over: after 2 hours, and at the turn of the local day."""
    over = book.now - question.asked_at > LAPSES_AFTER
    return over or book.local(question.asked_at).date() != book.today


def lapse_old_questions(book: FieldBook) -> list[Question]:
    """Close every question whose time is over, and give them."""
    old = [question for question in open_questions(book.session) if lapsed(book, question)]
    for question in old:
        close_question(book.session, question, QuestionState.LAPSED, book.now)
    return old


def had_left(turn: Turn, question: Question) -> bool:
    """Tell whether a question had left when the answer to it was sent; it has, where the clock was set back since."""
    asked = answer_to(turn.book.session, question.text_id)
    left = asked.left_at if asked is not None else None
    return left is not None and (left <= turn.sent or left > turn.book.now + CLOCKS_APART)


def repeat_question(turn: Turn, before: str = "") -> bool:
    """Say an open question again as it was asked; False where none is open."""
    question = open_question(turn.book.session, turn.text.sender)
    if question is None:
        return False
    asked = answer_to(turn.book.session, question.text_id)
    if asked is None:
        return False
    turn.reply(f"{before} {asked.body}", asked.body)
    return True


def lapse_if_old(turn: Turn) -> None:
    """Close the phone's open question if its time is over, and remember to say so."""
    session = turn.book.session
    question = open_question(session, turn.text.sender)
    if question is not None and lapsed(turn.book, question):
        close_question(session, question, QuestionState.LAPSED, turn.book.now)
        remember_dropped(turn, question)
    elif question is None:
        # the clock may have closed it since this phone's last text: nobody has said so yet
        before = text_before(session, turn.text)
        unsaid = lapsed_since(session, turn.text.sender, before.received_at if before is not None else None)
        if unsaid is not None:
            remember_dropped(turn, unsaid)


def close_by_answer(turn: Turn, question: Question, *, yes: bool) -> None:
    """Close a question by its answer."""
    state = QuestionState.YES if yes else QuestionState.NO
    close_question(turn.book.session, question, state, turn.book.now)
