"""What is looked up: the card in its order, where a field lies."""

from bot.conversation.turn import Turn
from bot.replies import named, shortened, with_name
from parsing import LEAST_PACKED, ShowCard


def hear_card(turn: Turn, said: ShowCard) -> None:
    """Give the codes in card order, of the site named or of the sender's open site."""
    book = turn.book
    open_sites = book.open_sites_of(turn.person.key, turn.day)
    mine = [site for site, field in book.sites.items() if turn.person.key in field.scouts]
    field = book.season.field_of(said.number) if said.number is not None else None
    site = field.sites[0] if field else next(iter((*open_sites, *mine, *book.sites)), None)
    if said.number in book.sites:
        site = said.number
    plan = book.plan_on(site, turn.day) if site is not None else None
    if site is None or plan is None:
        turn.reply(turn.say("card.which", number=site, field=book.sites[site].number if site else ""))
        return
    method = turn.say(f"methods.{plan.method.value}")
    columns = ", ".join(
        turn.say(
            "card.column",
            code=column.code,
            target=turn.speech.target(turn.season, column.target),
            stage=turn.say(f"life_stages.{column.life_stage}"),
        ).strip()
        for column in plan.card
    )
    digits = turn.say("card.digits", n=len(plan.codes)) if len(plan.codes) >= LEAST_PACKED else ""
    turn.reply(
        *(
            turn.say(f"card.{key}", method=method, columns=said, digits=digits)
            for key, said in (
                ("form", columns),
                ("form_short", columns),
                ("form", " ".join(plan.codes)),
                ("form_short", " ".join(plan.codes)),
            )
        )
    )


def hear_where(turn: Turn, number: int) -> None:
    """Give a field's directions from the season file."""
    field = turn.book.season.field_of(number)
    if field is None:
        return
    if field.where is None:
        turn.reply(
            with_name(turn.speech, "where.unknown", field.name, number=number, contact=turn.season.contact)
        )
        return
    turn.reply(
        *(
            turn.say("where.found", number=number, name=name, where=shortened(field.where, most))
            for most in (160, 140)
            for name in named(field.name)
        )
    )
