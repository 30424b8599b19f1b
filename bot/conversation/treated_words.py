"""Free words that may mean a treated field: it is closed at once, hours unknown, and a person reads them."""

import re

from bot.conversation.handing import to_person
from bot.conversation.shutting import shut, warn_if_shut
from bot.conversation.turn import Turn
from bot.replies import with_field
from bot.rules import Cause, Field, Role
from parsing import Unknown, capitals, may_mean_treated, shipped_words

COUNTS = re.compile(r"(?<![A-Z0-9])[A-Z]{2,3} ?[0-9]{1,4}(?![0-9])|(?:[0-9]+[ ,/]+){3}")
"""What may be counts beside words of a treatment."""


def close_by_words(turn: Turn, words: str | None = None, field: Field | None = None) -> None:
    """Close the fields that a text's words name, and let a person read them; without any, those of the sender.

    `words` are what was said before, where this text only answers a question about it.
    """
    said = words or " ".join(turn.text.body.split())
    meant = fields_named(turn, said) if field is not None else fields_meant(turn, said)
    fields = [field, *(one for one in meant if one != field)] if field is not None else meant
    if fields:
        # the notice of the closure holds the words; a person has to read them all the same
        turn.text.needs_person = True
        counts = turn.person.may_count and COUNTS.search(capitals(said)) is not None
        shut(turn, fields, Cause.WORDS, Unknown(), said, quietly=counts)
        if counts:
            turn.reply(with_field(turn.speech, "keepout.shut_counts", fields[0]))
        return
    heard = to_person(turn, None, "treated", words)
    key = "phone.to_person_treated" if heard else "phone.to_person_treated_nobody"
    values: dict[str, object] = {"supervisor": turn.who_hears(None), "contact": turn.season.contact}
    turn.reply(*turn.wordings(key, place=turn.say("phone.the_field"), **values))


def fields_meant(turn: Turn, said: str) -> list[Field]:
    """Give the fields whose number or name stands in some words; without any all that a grower grows.

    Of somebody who counts it is where he has a visit open.
    """
    found = fields_named(turn, said)
    if not found and Role.GROWER in turn.person.roles:
        found = [one for one in turn.season.fields.values() if turn.person.key in one.growers]
    if not found:
        sites = turn.book.open_sites_of(turn.person.key, turn.book.today)
        found = [turn.book.sites[site] for site in sites]
    return list({one.number: one for one in found}.values())


def fields_named(turn: Turn, said: str) -> list[Field]:
    """Give the fields whose number or name stands in some words."""
    numbers = [int(digits) for digits in re.findall(r"(?<![0-9])[0-9]{2,4}(?![0-9])", said)]
    found = [field for field in map(turn.season.field_of, numbers) if field is not None]
    spelt = f" {' '.join(re.findall('[A-Z0-9Ñ]+', capitals(said)))} "
    found += [one for one in turn.season.fields.values() if _names(one, spelt)]
    return list({one.number: one for one in found}.values())


def close_what_is_named(turn: Turn, words: str) -> None:
    """Close the fields that some words name where they may mean a treated one; what is answered says so first."""
    fields = fields_named(turn, words) if may_mean_treated(words, shipped_words()) else []
    if fields:
        shut(turn, fields, Cause.WORDS, Unknown(), words, quietly=True)
        values = {"field": turn.speech.names([str(one.number) for one in fields])}
        turn.warning, turn.warning_short = (
            turn.say(key, until=turn.say("keepout.unknown"), **values)
            for key in ("keepout.stands", "keepout.stands_short")
        )


def _names(field: Field, spelt: str) -> bool:
    name = " ".join(re.findall("[A-Z0-9Ñ]+", capitals(field.name)))
    return bool(name) and f" {name} " in spelt


def warn_of_treated(turn: Turn, number: int, words: str | None) -> None:
    """Where free words beside a form may mean a treated field, close it and say KEEP OUT first."""
    field = turn.season.field_of(number)
    if words is None or not may_mean_treated(words, shipped_words()) or field is None:
        return
    turn.text.needs_person = True
    shut(turn, [field], Cause.WORDS, Unknown(), words, quietly=True)
    warn_if_shut(turn, field.number, walk_out=True)
