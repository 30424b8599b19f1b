"""What the machine cannot take goes to a person: words, and counts of those who may not send them."""

from bot.conversation.turn import Purpose, Turn, tell_supervisors
from bot.replies import Around, Speech, first_fitting, phone_words, shortened
from bot.rules import Field
from parsing import Card


def to_person(turn: Turn, field: Field | None, kind: str, said: str | None = None) -> bool:
    """Let a supervisor (and the sender's leader) have a text that the machine could not take; False where none can."""
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

    return tell_supervisors(
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
    values = {"number": number, "supervisor": turn.who_hears(field), "contact": turn.season.contact}
    turn.reply(*turn.wordings("refused.may_not_count", **values))


def refuse_seeing(turn: Turn, number: int) -> None:
    """Refuse to say how a field stands to somebody whose field it is not."""
    turn.reply(turn.say("refused.may_not_see", number=number, contact=turn.season.contact))
