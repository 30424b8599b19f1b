"""Answers to questions: what waited for a 1 is done as it was asked, or let go."""

from datetime import date
from typing import Any

from bot.conversation.asking import (
    Asked,
    close_by_answer,
    had_left,
    repeat_question,
    samples_from_json,
)
from bot.conversation.checking import hear_check, take_back_check
from bot.conversation.closing import close_for_a_person
from bot.conversation.counting import hear_counts, hear_fix
from bot.conversation.doubting import RIVAL
from bot.conversation.ending import hear_short, hear_skip
from bot.conversation.handing import to_person
from bot.conversation.moving import move
from bot.conversation.remarks import hear_note
from bot.conversation.reopening import open_up
from bot.conversation.sharing import hear_share
from bot.conversation.shutting import all_hours, say_it_stays, set_hours
from bot.conversation.taking import sample_of
from bot.conversation.telling import tell_crew
from bot.conversation.training import take_back_in_training
from bot.conversation.training_counts import hear_counts_in_training
from bot.conversation.turn import Turn
from bot.conversation.undoing import undo
from bot.replies import sample_label, way_to_send
from parsing import Counts, Fix, Note, Remark, ShareSaid, counts_in_codes
from storage import Question, open_question, standing_samples, visit_on


def answer(turn: Turn, *, yes: bool) -> None:
    """Do what an open question waits for, or let it go; an answer sent before the question had left is none."""
    question = open_question(turn.book.session, turn.text.sender)
    if question is None:
        turn.reply(turn.say("answers.no_question", said="1" if yes else "2"))
        return
    if not had_left(turn, question):
        if question.waits.get("early"):
            # twice is no chance: the carrier's clock may be wrong, and then no answer would ever do
            to_person(turn, turn.season.fields.get(question.field or 0), "too_early")
        question.waits = {**question.waits, "early": True}
        repeat_question(turn, turn.say("answers.too_early"))
        return
    close_by_answer(turn, question, yes=yes)
    turn.day = date.fromisoformat(question.waits["day"])
    turn.day_said = question.waits.get("day_said", False)
    turn.check = question.waits.get("check", False)
    turn.whose = turn.book.person(question.waits.get("whose", "")) or turn.person
    if yes:
        _do_what_waited(turn, question)
    else:
        _let_go(turn, question)


def _do_what_waited(turn: Turn, question: Question) -> None:
    waits: dict[str, Any] = question.waits
    match question.kind:
        case Asked.SAMPLES | Asked.RIVAL:
            samples = samples_from_json(waits["samples"])
            said = (Fix if waits.get("fix") else Counts)(waits["site"], samples)
            if turn.check:
                hear_check(turn, said, waits["yes_to"])
            elif turn.whose.trainee:
                hear_counts_in_training(turn, said, [*waits["yes_to"], RIVAL])
            elif waits.get("fix"):
                hear_fix(turn, Fix(waits["site"], samples), waits["yes_to"])
            else:
                hear_counts(turn, Counts(waits["site"], samples), [*waits["yes_to"], RIVAL])
        case Asked.SHARE:
            hear_share(turn, ShareSaid(waits["number"], waits["code"], waits["n"], waits["of"]), sure=True)
        case Asked.FINISH:
            hear_short(turn, waits["number"], waits["reason"])
        case Asked.SKIP:
            hear_skip(turn, waits["number"], waits["reason"], sure=True)
        case Asked.UNDO:
            if turn.check:
                take_back_check(turn, waits["number"])
            elif turn.whose.trainee:
                take_back_in_training(turn, waits["number"])
            else:
                undo(turn, waits["number"])
        case Asked.MOVE:
            move(turn, waits)
        case Asked.NOTE:
            hear_note(turn, Note(waits["number"], Remark.NOTE, waits["words"]))
        case Asked.CLOSE:
            close_for_a_person(turn, waits["number"], waits["said"])
        case Asked.HOURS:
            set_hours(turn, waits["closure"], waits["hours"])
        case Asked.ALL_HOURS:
            all_hours(turn, waits["closures"])
        case Asked.OPEN if question.field is not None:
            open_up(turn, question.field, waits["hours"], waits["closures"])
        case Asked.TELL:
            tell_crew(turn, waits, question.text_id)
        case _:
            raise AssertionError(f"a question of kind {question.kind} cannot be answered")


def _let_go(turn: Turn, question: Question) -> None:
    waits: dict[str, Any] = question.waits
    match question.kind:
        case Asked.RIVAL:
            echo = way_to_send(waits["site"], samples_from_json(waits["rival"]))
            turn.reply(turn.say("waits.rival_no", echo=echo), turn.say("answers.dropped_no"))
        case Asked.FINISH:
            view = turn.book.site_view(waits["number"], turn.day)
            n, planned = (view.visit.samples_in, view.visit.plan.samples) if view.visit else (0, 0)
            turn.reply(turn.say("answers.go_on_no", number=waits["number"], n=n, planned=planned))
        case Asked.HOURS | Asked.ALL_HOURS | Asked.OPEN if question.field is not None:
            say_it_stays(turn, question.field, more=question.kind != Asked.OPEN)
        case Asked.TELL:
            turn.reply(turn.say("tell.not_sent"))
        case Asked.UNDO | Asked.MOVE | Asked.CLOSE | Asked.SKIP:
            turn.reply(turn.say("answers.kept_number", number=waits["number"]))
        case Asked.SAMPLES if (stays := _stays(turn, waits)) is not None:
            turn.reply(stays, turn.say("answers.dropped_no"))
        case _:
            turn.reply(turn.say("answers.dropped_no"))


def _stays(turn: Turn, waits: dict[str, Any]) -> str | None:
    """Say what stands where a sample would have been replaced."""
    visit = visit_on(turn.book.session, waits["site"], turn.day)
    rows = {row.number: row for row in standing_samples(visit)} if visit is not None else {}
    numbers = [one["number"] for one in waits["samples"]]
    if turn.check or turn.whose.trainee or len(numbers) != 1 or numbers[0] not in rows:
        return None
    sample = sample_of(rows[numbers[0]])
    values = {"number": waits["site"], "sample": sample_label(sample), "old": counts_in_codes(sample)}
    return turn.say("answers.stays", **values)
