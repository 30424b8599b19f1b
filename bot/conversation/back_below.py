"""A field is below again in a later round: those whose last word was an alert hear it, once."""

from datetime import date
from functools import partial

from bot.conversation.alerting import TOLD_TO_GROWERS, notice_crossing
from bot.conversation.turn import Purpose, tell
from bot.conversation.withdrawing import keep_from_leaving
from bot.field_book import FieldBook
from bot.replies import Crossed, Speech, back_below_text
from bot.rules import CrossingKind
from storage import CrossingRow, told_before


def last_word_to(book: FieldBook, row: CrossingRow) -> dict[str, CrossingRow]:
    """Give by whom the last word on a field's target still has to be ended: an alert of an earlier round.

    What has not left by now never leaves: the field is below.
    """
    heard: dict[str, CrossingRow] = {}
    ends = CrossingKind.BACK_BELOW, CrossingKind.WITHDRAWN
    for told in told_before(book.session, row, TOLD_TO_GROWERS, *ends):
        if told.round_id == row.round_id or heard:
            continue
        for alert in told.alerts:
            if alert.withdrawn_at is None and not keep_from_leaving(book, alert):
                heard[alert.person] = told
    return heard


def tell_back_below(
    book: FieldBook, row: CrossingRow, crossed: Crossed, heard: dict[str, CrossingRow]
) -> None:
    """Tell those who had the alert, once, that the field is below again, and the supervisors."""
    row.kind = CrossingKind.BACK_BELOW
    told: list[str] = []
    for key, before in heard.items():
        person = book.person(key)
        if person is None:
            continue
        build = partial(_back_below, crossed=crossed, before=str(before.figures["density"]), day=before.day)
        if tell(book, person, f"{Purpose.ALERT}:{row.id}", Purpose.ALERT, build, cause=row.text_id):
            told.append(key)
    notice_crossing(book, row, crossed, "back_below", told, had_it=list(heard))


def _back_below(speech: Speech, crossed: Crossed, before: str, day: date) -> str:
    return back_below_text(speech, crossed, before, day)
