"""A scene of the misread study played by the real road, and texts tried in it one by one, each from the same state."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from bot.conversation import Purpose, hear
from bot.digests import today_texts
from bot.field_book import FieldBook, SeasonShelf
from bot.rules import PersonKey
from storage import Arrived, OutboxText, Question, QuestionState, Session, Store, keep
from tests.studies.corpus import Scene, season
from tests.studies.stored import Change, change, standing
from tests.talk import Talk

WHEN = "10:30"


@dataclass(frozen=True, slots=True)
class Heard:
    """What became of a text: its reply, what it changed, whether it was asked, as what it was understood.

    `broke` is the fault where hearing it failed.
    """

    reply: str
    change: Change
    asked: bool
    understood: str
    broke: str | None = None


class Trial:
    """A scene in which any number of texts can be tried; what one of them does is gone before the next."""

    def __init__(self, session: Session, talk: Talk) -> None:
        self.session = session
        self.season = SeasonShelf().season(session)
        self.now = talk.hand.moment(f"2027-07-06T{WHEN}")
        self.before = standing(session)

    def hears(self, sender: str, text: str) -> Heard:
        """Hear a text as `hear_next` does, in a savepoint that is taken back."""
        savepoint = self.session.begin_nested()
        try:
            return self._hears(sender, text)
        finally:
            savepoint.rollback()
            self.session.expunge_all()

    def _hears(self, sender: str, text: str) -> Heard:
        session = self.session
        phone = self.season.people[PersonKey(sender)].phone
        assert phone is not None
        row = keep(session, Arrived("study", "text", phone, "", text, None, self.now))
        assert row is not None
        try:
            hear(FieldBook(session, self.season, self.now), row, today_texts)
            session.flush()
        except Exception as fault:  # noqa: BLE001  the study counts what would be parked, and goes on
            return Heard("", Change((), ()), asked=False, understood="", broke=repr(fault)[:200])
        replies = session.query(OutboxText).filter_by(cause=row.id, purpose=Purpose.REPLY, recipient=phone)
        asked = session.query(Question).filter_by(phone=phone, text_id=row.id, state=QuestionState.OPEN)
        return Heard(
            " ".join(reply.body for reply in replies),
            change(self.before, standing(session)),
            asked=asked.first() is not None,
            understood=row.understood or "",
        )


@contextmanager
def trial(scene: Scene, folder: Path) -> Iterator[Trial]:
    """Play what was said before in a scene, on a database of its own, and give the state to try texts in."""
    store = Store(f"sqlite:///{folder / 'trial.db'}")
    try:
        talk = Talk(store, season())
        for said in scene.before:
            replies = [one for one in talk.says(said.by, said.at, said.text) if one["purpose"] == "reply"]
            assert replies, f"{said.text} was not answered"
        with store.read() as session:
            yield Trial(session, talk)
    finally:
        store.close()
