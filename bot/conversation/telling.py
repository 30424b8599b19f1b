"""TELL: a leader's or supervisor's words to the crew, asked first; the OKs are counted, and said once."""

import re
from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Any

from bot.conversation.asking import Asked, ask
from bot.conversation.crew import LEADING, crew_of
from bot.conversation.telling_out import is_late
from bot.conversation.turn import Purpose, Turn, speech_of, tell
from bot.field_book import FieldBook
from bot.replies import Speech, first_fitting, phone_words, sentences, septets_of, shortened
from bot.rules import Person, PersonKey
from parsing import TEXT_SEPTETS, Tell, capitals, shipped_words
from storage import InboxText, OkWanted, OutboxState, oks_not_called, oks_open, outbox_with_key, want_ok

TOLD = "tell"
"""What an OK to the crew's text is kept about: `tell:7`, of the text that said it."""

SOME_NAMES = 40
"""How much of the names a question keeps before it says how many they are alone."""


def hear_tell(turn: Turn, said: Tell) -> None:
    """Ask whether words shall go to the crew, with whom and how many; nothing is sent before a 1."""
    if not turn.person.roles & LEADING:
        turn.reply(turn.say("tell.not_yours", contact=turn.season.contact))
        return
    people = crew_of(turn.season, turn.person)
    if not people:
        turn.reply(turn.say("tell.nobody"))
        return
    trap = next(_opt_out_words(said.words), None)
    if trap is not None:
        turn.reply(*turn.wordings("tell.opt_out", said=trap))
        return
    over = _over(turn, said.words, len(people))
    while over > 0 and turn.warning:
        # that a field is shut is said as far as there is room; words to the crew never give way to it
        turn.warning, turn.warning_short = turn.warning_short, ""
        over = _over(turn, said.words, len(people))
    if over > 0:
        turn.reply(*turn.wordings("tell.too_long", over=over))
        return
    waits = {"people": [person.key for person in people], "words": said.words}
    ask(turn, Asked.TELL, None, waits)
    turn.reply(*_questions(turn.speech, said.words, [person.first_name for person in people]))


def _opt_out_words(words: str) -> Iterator[str]:
    """Give the words among others that, sent back alone, would end the texts to a phone."""
    said = f" {' '.join(re.findall('[A-ZÑÜ0-9]+', capitals(words)))} "
    return (one for one in sorted(shipped_words().opt_out) if f" {one} " in said)


def _over(turn: Turn, words: str, count: int) -> int:
    """Give by how many letters words are too long for one text in some language, or for the question."""
    told = max(
        septets_of(_frames(speech_of(turn.book, one), turn.person, words)[-1])
        for one in crew_of(turn.season, turn.person)
    )
    asked = septets_of(_questions(turn.speech, words, [""] * count)[-1])
    return max(told - TEXT_SEPTETS, asked - turn.speech.room)


def _questions(speech: Speech, words: str, names: Sequence[str]) -> list[str]:
    """Give the question, fullest first: names and number, fewer names, the number alone; the words never give way."""
    everybody = speech.names(list(names))
    said = (everybody, shortened(everybody, SOME_NAMES))
    leads = [speech.say("tell.ask", names=one, n=len(names), words=words) for one in said]
    leads.append(speech.say("tell.ask_short", n=len(names), words=words))
    ends = [speech.say("tell.ask_end"), speech.say("tell.ask_end_short")]
    return [sentences([lead, end]) for end in ends for lead in leads]


def _frames(speech: Speech, sender: Person, words: str) -> list[str]:
    """Give the text to the crew: who says it, the words, that an OK is wanted."""
    name = sender.first_name
    ok = speech.say("tell.answer_ok")
    return [
        sentences([speech.say(key, name=name, words=words), ok]) for key in ("tell.text", "tell.text_short")
    ]


def tell_crew(turn: Turn, waits: dict[str, Any], text_id: int) -> None:
    """Send words to everybody whom the question named, at once, and wait for their OKs."""
    book, about = turn.book, f"{TOLD}:{text_id}"
    found = (book.season.people.get(PersonKey(key)) for key in waits["people"])
    people = [person for person in found if person is not None and person.active]
    missed = []
    for person in people:
        key = f"{Purpose.KEEP_OUT}:{about}"
        put = tell(
            book,
            person,
            key,
            Purpose.KEEP_OUT,
            lambda speech: first_fitting(*_frames(speech, turn.person, waits["words"])),
            cause=turn.text.id,
            at_once=True,
        )
        out = outbox_with_key(book.session, f"{key}:{person.key}") if put else None
        want_ok(book.session, about, None, person.key, out.id if out is not None else None, book.now)
        if out is None:
            missed.append(person)
    n = len(people) - len(missed)
    if not missed:
        turn.reply(turn.say("tell.sent", n=n, of=n))
        return
    turn.reply(*(turn.say("tell.sent_but", n=n, of=len(people), missed=one) for one in _called(missed)))


def _called(people: Sequence[Person]) -> list[str]:
    """Give people with their phones as far as there is room: all, fewer and fewer, at last their number."""
    said = [f"{one.first_name} {phone_words(one.phone)}" for one in people]
    fewer = [f"{', '.join(said[:count])} +{len(said) - count}" for count in range(len(said) - 1, 0, -1)]
    return [", ".join(said), *fewer, str(len(said))]


def mark_told_read(book: FieldBook, person: Person) -> list[str]:
    """Note that somebody said OK to words of today; give the first names of those who said them."""
    names: dict[str, None] = {}
    for wanted in oks_open(book.session, person.key):
        left = wanted.outbox is not None and wanted.outbox.state == OutboxState.LEFT
        today = book.local(wanted.wanted_at).date() == book.today
        if wanted.about.startswith(f"{TOLD}:") and left and today:
            wanted.read_at = book.now
            sender = _sender(book, wanted.about)
            names[sender.first_name if sender is not None else ""] = None
    return list(names)


def report_tells(book: FieldBook) -> None:
    """Tell who sent words to the crew, once, how many have said OK: when all have, or after ten minutes who has not."""
    groups: dict[str, list[OkWanted]] = defaultdict(list)
    for wanted in oks_not_called(book.session, f"{TOLD}:"):
        groups[wanted.about].append(wanted)
    for about, wanted_of in groups.items():
        if all(one.read_at is not None or _is_overdue(book, one) for one in wanted_of):
            _report(book, about, wanted_of)


def _is_overdue(book: FieldBook, wanted: OkWanted) -> bool:
    since = wanted.outbox.left_at if wanted.outbox is not None else None
    return is_late(book, since or wanted.wanted_at)


def _report(book: FieldBook, about: str, wanted_of: Sequence[OkWanted]) -> None:
    for wanted in wanted_of:
        wanted.called_at = book.now
    sender, text = _sender(book, about), book.session.get(InboxText, int(about.partition(":")[2]))
    if sender is None or text is None:
        return
    late = [book.season.people.get(PersonKey(one.person)) for one in wanted_of if one.read_at is None]
    missing = [one for one in late if one is not None]
    n = sum(one.read_at is not None for one in wanted_of)
    clock = book.local(text.received_at)

    def build(speech: Speech) -> str:
        values = {"n": n, "of": len(wanted_of), "time": speech.clock(clock)}
        if not missing:
            return speech.say("tell.all_ok", **values)
        return first_fitting(*(speech.say("tell.not_ok", missed=one, **values) for one in _called(missing)))

    tell(book, sender, f"{Purpose.NOTICE}:{about}", Purpose.NOTICE, build, cause=text.id, at_once=True)


def _sender(book: FieldBook, about: str) -> Person | None:
    text = book.session.get(InboxText, int(about.partition(":")[2]))
    return book.person(text.person) if text is not None and text.person is not None else None
