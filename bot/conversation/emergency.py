"""SOS: the emergency number first; supervisors and leaders are told at once who, where last, when, in what words."""

from collections.abc import Sequence
from datetime import timedelta

from bot.conversation.shutting import shut
from bot.conversation.treated_words import fields_meant
from bot.conversation.turn import Purpose, Turn, tell
from bot.field_book import FieldBook, Place, kept_out, last_place
from bot.replies import Speech, first_fitting, named, phone_words, sentences, shortened, until_words
from bot.rules import Cause, Field, Person, Role
from parsing import Sos, Unknown, may_mean_treated, shipped_words
from storage import InboxText

SAID_AT_MOST = (120, 60, 40, 20)
"""How much of the words is passed on; where somebody is stands before more of them."""

A_STRANGER_AGAIN_AFTER = timedelta(hours=1)
"""How often an unknown number can call people out."""


def hear_sos(turn: Turn, said: Sos) -> None:
    """Answer a cry for help and tell people at once, each time it comes, from an opted-out phone too.

    The reply says nothing of a day, of others, or of a question that is open: that one stays open.
    """
    book = turn.book
    turn.text.needs_person = True
    turn.whose, turn.check, turn.day, turn.day_said = turn.person, False, book.today, False
    place = _place(turn, said)
    # a field is shut first: who comes to help must know of it
    shut_too = _shut_if_treated(turn, said)
    told = _tell_everybody(turn, said, place)
    turn.reply(*_with_dropped(turn, _answers(turn, told, place, shut_too)))


def _place(turn: Turn, said: Sos) -> Place | None:
    """Give where somebody is as far as it is known: the number that he sent, else where he last counted today."""
    if said.number is not None and turn.season.field_of(said.number) is not None:
        return Place(said.number, turn.sent)
    return last_place(turn.book, turn.person)


def those_to_tell(book: FieldBook, sender: Person | None) -> list[Person]:
    """Give who is told of an emergency: all supervisors, and all leaders, as the nearest may help first."""
    people = [*book.season.with_role(Role.SUPERVISOR), *book.season.with_role(Role.LEADER)]
    return [one for one in {one.key: one for one in people}.values() if one != sender]


def _tell_everybody(turn: Turn, said: Sos, place: Place | None) -> list[Person]:
    book, person = turn.book, turn.person
    key = f"{Purpose.KEEP_OUT}:sos:{turn.text.id}"
    silent = turn.silent

    def build(speech: Speech) -> str:
        lead = {
            "who": person.name,
            "phone": phone_words(person.phone),
            "time": speech.clock(book.local(turn.sent)),
        }
        end = speech.say("sos.no_answers") if silent else ""
        return first_fitting(
            *(
                sentences([speech.say("sos.notice", said=shortened(said.words, most), **lead), where, end])
                for most in SAID_AT_MOST
                for where in _where_words(book, speech, place)
            )
        )

    return [
        one
        for one in those_to_tell(book, person)
        if tell(book, one, key, Purpose.KEEP_OUT, build, cause=turn.text.id, at_once=True)
    ]


def _where_words(book: FieldBook, speech: Speech, place: Place | None) -> list[str]:
    """Give the last place as it gives way: with the directions, without them, without the field's name.

    A field that nobody may enter is said so: who comes to help must know.
    """
    field = book.season.field_of(place.number) if place is not None else None
    if place is None or field is None:
        return [speech.say("sos.no_place")]
    stay_out = kept_out(book, field)
    until = book.local(stay_out.until) if stay_out is not None and stay_out.until is not None else None
    shut_words = speech.say("sos.shut", until=until_words(speech, until)) if stay_out is not None else ""
    names = named(field.name)
    ways = [(names[0], f", {field.where}")] if field.where else []
    ways += [(name, "") for name in names]
    time = speech.clock(book.local(place.at))
    return [
        sentences([speech.say("sos.place", site=place.number, name=name, where=where, time=time), shut_words])
        for name, where in ways
    ]


def _answers(turn: Turn, told: Sequence[Person], place: Place | None, shut_too: Sequence[Field]) -> list[str]:
    """Give the reply, fullest first: the field's name gives way, then the names of those told, then the place."""
    values: dict[str, object] = {"emergency": turn.season.emergency, "contact": turn.season.contact_number}
    keep_out = _keep_out_words(turn, shut_too)
    if not told:
        return [sentences([turn.say("sos.nobody", **values), keep_out]), turn.say("sos.nobody", **values)]
    names = turn.speech.names([person.first_name for person in told])
    would = "would" if turn.practice else "is"
    one = turn.say(f"sos.{would}_one" if len(told) == 1 else f"sos.{would}_many", names=names)
    few = turn.say(f"sos.{would}_number", n=len(told))
    if turn.practice:
        return [turn.say("sos.practice", told=said, **values) for said in (one, few)]
    places = _place_words(turn, place)
    full = [
        turn.say("sos.reply", told=said, place=where, **values) for said in (one, few) for where in places
    ]
    bare = [turn.say("sos.reply_no_place", told=said, **values) for said in (one, few)]
    return [*(sentences([said, keep_out]) for said in full if keep_out), *full, *bare]


def _keep_out_words(turn: Turn, fields: Sequence[Field]) -> str:
    """Say which fields are shut now, and until when where it is one."""
    if not fields:
        return ""
    shut_now = kept_out(turn.book, fields[0]) if len(fields) == 1 else None
    until = turn.book.local(shut_now.until) if shut_now is not None and shut_now.until is not None else None
    numbers = turn.speech.names([str(field.number) for field in fields])
    return turn.say("keepout.stands", field=numbers, until=until_words(turn.speech, until))


def _place_words(turn: Turn, place: Place | None) -> list[str]:
    field = turn.season.field_of(place.number) if place is not None else None
    if place is None or field is None:
        return []
    time = turn.speech.hour(turn.book.local(place.at))
    return [f"{place.number}{name}, {time}" for name in named(field.name)]


def _with_dropped(turn: Turn, answers: list[str]) -> list[str]:
    """Say that a question lapsed where there is room for it, never in place of anything else."""
    notes, turn.dropped_notes = turn.dropped_notes, ()
    return [*(sentences([answers[0], note]) for note in notes), *answers]


def _shut_if_treated(turn: Turn, said: Sos) -> list[Field]:
    """Close the fields that a cry for help means, where its words may mean that one is being treated."""
    if not may_mean_treated(said.words, shipped_words()):
        return []
    field = turn.season.field_of(said.number) if said.number is not None else None
    fields = [field] if field is not None else fields_meant(turn, said.words)
    if fields:
        shut(turn, fields, Cause.WORDS, Unknown(), said.words, quietly=True)
    return fields


def hear_strangers_sos(book: FieldBook, text: InboxText) -> None:
    """Tell people at once that a number not on the list cries for help; at most once an hour of one number."""
    hour = int(text.received_at.timestamp() // A_STRANGER_AGAIN_AFTER.total_seconds())
    key = f"{Purpose.KEEP_OUT}:sos:{text.sender}:{hour}"
    words = " ".join(text.body.split())

    def build(speech: Speech) -> str:
        return first_fitting(
            *(
                speech.say(
                    "sos.stranger_notice",
                    phone=phone_words(text.sender),
                    time=speech.clock(book.local(text.received_at)),
                    said=shortened(words, most),
                )
                for most in SAID_AT_MOST
            )
        )

    for person in those_to_tell(book, None):
        tell(book, person, key, Purpose.KEEP_OUT, build, cause=text.id, at_once=True)
