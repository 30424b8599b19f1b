"""What the machine cannot take goes to a person: words, treated fields, counts of those who may not send them."""

import re
from dataclasses import replace

from bot.conversation.turn import Purpose, Turn, tell_supervisors
from bot.replies import Around, Speech, first_fitting, phone_words, refusal, shortened
from bot.rules import Field, Role
from parsing import Card, Kind, Unreadable, may_mean_treated, shipped_words
from storage import unread_alerts


def hear_unreadable(turn: Turn, said: Unreadable) -> None:
    """Say what could not be taken; a treated field, a wish to stop, a grower's words go to a person."""
    number = said.number
    field = turn.season.field_of(number) if number is not None else None
    if said.treated:
        tell_of_treated(turn, field)
        return
    stray = number is None and said.problems[0].kind is Kind.NOT_UNDERSTOOD
    wants_no_more = said.opt_out_inside and number is None
    if not turn.person.may_count or wants_no_more or (stray and Role.GROWER in turn.person.roles):
        to_person(turn, field, "words")
        if wants_no_more:
            turn.phone.paused_at = turn.book.now
        if Role.GROWER in turn.person.roles:
            for alert in unread_alerts(turn.book.session, turn.person.key, turn.book.now):
                alert.read_at = turn.book.now
        turn.reply(
            *turn.wordings(
                "phone.to_person", supervisor=turn.supervisor_of(field), contact=turn.season.contact
            )
        )
        return
    problem = said.problems[0]
    if not problem.said and number is None:
        problem = replace(problem, said=turn.say("parts.that_text"))
    turn.reply(refusal(turn.speech, problem, around(turn, number)))


def tell_of_treated(turn: Turn, field: Field | None, words: str | None = None) -> None:
    """Let a person know at once that a field may be treated; until one has answered: keep out.

    `words` are what was said before, where this text only answers a question about it.
    """
    to_person(turn, field, "treated", words)
    place = f"{field.number} {field.name}" if field else _places_in(turn)
    values: dict[str, object] = {"supervisor": turn.supervisor_of(field), "contact": turn.season.contact}
    key = "phone.to_person_treated" if words is None else "phone.to_person_closed"
    bare = field.number if field else place
    turn.reply(
        turn.say(key, place=place, **values),
        *turn.wordings(key, place=bare, **values),
    )


def warn_of_treated(turn: Turn, number: int, words: str | None) -> None:
    """Where free words beside a form may mean a treated field, tell a person at once and say KEEP OUT first."""
    field = turn.season.field_of(number)
    if words is None or not may_mean_treated(words, shipped_words()) or field is None:
        return
    to_person(turn, field, "treated_beside")
    turn.warning = turn.say("phone.keep_out_until", field=field.number, supervisor=turn.supervisor_of(field))


def _places_in(turn: Turn) -> str:
    """Give the fields whose numbers stand somewhere in a text, else no field by name."""
    said = [int(digits) for digits in re.findall(r"[0-9]{2,4}", turn.text.body)]
    fields = dict.fromkeys(one.number for one in map(turn.season.field_of, said) if one is not None)
    return turn.speech.names([str(number) for number in fields]) or turn.say("phone.the_field")


def to_person(turn: Turn, field: Field | None, kind: str, said: str | None = None) -> None:
    """Let a supervisor (and the sender's leader) have a text that the machine could not take, at once."""
    turn.text.needs_person = True
    words = said or " ".join(turn.text.body.split())

    def build(speech_: Speech) -> str:
        return first_fitting(
            *(
                speech_.say(
                    f"notice.{kind}",
                    name=turn.person.name,
                    said=shortened(words, most),
                    phone=phone_words(turn.person.phone),
                )
                for most in (160, 80, 60, 40, 20, 10)
            )
        )

    tell_supervisors(
        turn.book,
        field,
        f"{Purpose.NOTICE}:{kind}:{turn.text.id}",
        build,
        cause=turn.text.id,
        at_once=True,
        leaders_of=turn.person,
    )


def around(turn: Turn, number: int | None) -> Around:
    """Give what a refusal may name about the number in front and the sender's own sites."""
    book = turn.book
    field = book.season.field_of(number) if number is not None else None
    card = None
    if number is not None and number in book.sites:
        plan = book.plan_on(number, turn.day)
        card = Card(plan.codes, plan.samples, plan.ask_above) if plan else None
    mine = tuple(site for site, one in book.sites.items() if turn.person.key in one.scouts)
    return Around(number, field.number if field else None, field.sites if field else (), card, mine)


def refuse_counting(turn: Turn, number: int) -> None:
    """Refuse counts from somebody who may not send them, naming who may; a supervisor reads them."""
    field = turn.season.field_of(number)
    to_person(turn, field, "words")
    values = {"number": number, "supervisor": turn.supervisor_of(field), "contact": turn.season.contact}
    turn.reply(*turn.wordings("refused.may_not_count", **values))


def refuse_seeing(turn: Turn, number: int) -> None:
    """Refuse to say how a field stands to somebody whose field it is not."""
    turn.reply(turn.say("refused.may_not_see", number=number, contact=turn.season.contact))
