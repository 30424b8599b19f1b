"""What is said to keep people out of treated fields. The hour and KEEP OUT never give way."""

from collections.abc import Sequence
from datetime import datetime

from bot.replies.fitting import first_fitting
from bot.replies.notices import named
from bot.replies.refusals import shortened
from bot.replies.speech import Speech
from bot.rules import Field

SAID_AT_MOST = (80, 60, 40, 24, 12)
"""How much of a sender's own words is said back, as it gives way."""


def moment_words(speech: Speech, local: datetime) -> str:
    """Give a local moment with its weekday, date and half of the day: Wed Jul 7 7:40 AM."""
    return f"{speech.weekday_date(local.date())} {speech.clock(local)}"


def until_words(speech: Speech, until: datetime | None) -> str:
    """Give until when a field is shut: at least until Wed Jul 7 7:40 AM, or that its hours are not known."""
    if until is None:
        return speech.say("keepout.unknown")
    return speech.say("keepout.until", moment=moment_words(speech, until))


def to_words(speech: Speech, until: datetime | None) -> str:
    """Give until when a field is shut as lists say it: to Jul 8 5:40 AM, or hours not given."""
    if until is None:
        return speech.say("keepout.to_unknown")
    return speech.say("keepout.to", day=speech.short_date(until.date()), time=speech.clock(until))


def keep_out_text(speech: Speech, field: Field, until: datetime | None) -> str:
    """Give the text that tells somebody at once to keep out of a field, with OK asked."""
    return first_fitting(
        *(
            speech.say("keepout.now", field=field.number, name=name, until=until_words(speech, until))
            for name in named(field.name)
        )
    )


def drift_text(speech: Speech, field: Field, treated: Field, contact: str) -> str:
    """Give the text to those in a field beside one that is being treated."""
    return first_fitting(
        *(
            speech.say(key, field=field.number, treated=treated.number, contact=contact)
            for key in ("keepout.beside", "keepout.beside_short")
        )
    )


def shut_reply(
    speech: Speech,
    fields: Sequence[Field],
    until: datetime | None,
    hours: int | None,
    said: str,
    *,
    told: bool = True,
) -> str:
    """Give the answer to somebody who closed fields: until when, or how to send the hours that are missing.

    `told` where anybody of the crew had to be told.
    """
    first = fields[0]
    if len(fields) > 1:
        numbers = speech.names([f"{one.number} {one.name}" for one in fields])
        bare = speech.names([str(one.number) for one in fields])
        steps = (("shut_several", numbers), ("shut_several", bare), ("shut_several_short", bare))
        return first_fitting(
            *(speech.say(f"keepout.{key}", fields=one) for key, one in steps), room=speech.room
        )
    if hours is not None and until is not None:
        key = "keepout.shut" if told else "keepout.shut_alone"
        return with_field(speech, key, first, until=until_words(speech, until), hours=hours)
    return first_fitting(
        *(
            speech.say("keepout.shut_unknown", field=first.number, name=name, said=shortened(said, most))
            for most in SAID_AT_MOST
            for name in named(first.name)
        ),
        speech.say("keepout.shut_unknown_short", field=first.number, name=""),
        room=speech.room,
    )


def with_field(speech: Speech, key: str, field: Field, **values: object) -> str:
    """Give a sentence about a field, its name cut at a word where it has no room, its number never.

    Where even that has no room it is the short wording, if there is one.
    """
    keys = [one for one in (key, f"{key}_short") if speech.has(one)]
    return first_fitting(
        *(
            speech.say(one, field=field.number, name=name, **values)
            for one in keys
            for name in named(field.name)
        ),
        room=speech.room,
    )
