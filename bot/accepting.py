"""The command `rowfoot accept`: a supervisor lets the counts of somebody in training stand without a check."""

import json
from datetime import date

import click

from bot.by_hand import ByHand
from bot.conversation import NotAccepted, Promoted, accept
from bot.field_book import FieldBook
from bot.opening import day_said, opened, person_said, settings
from bot.settings import clock_from
from storage import Session

__all__ = ["accept_command"]


@click.command(name="accept")
@click.argument("site", type=int)
@click.option("--day", metavar="DATE", help="Another day than today, as 2027-07-06.")
@click.option("--by", metavar="PERSON", required=True, help="Who says so: a supervisor of the field.")
@click.option("--person", metavar="TRAINEE", help="Whose counts; all that wait at the site if not said.")
@click.option("--at", metavar="ISO", help="The moment; now if not said.")
@click.option(
    "--json", "as_json", is_flag=True, help="Print what counts now and {to, purpose, text} of every text."
)
def accept_command(
    site: int, day: str | None, by: str, person: str | None, at: str | None, as_json: bool
) -> None:
    """Let the counts that people in training have beside at a SITE count, as a supervisor says so."""
    with opened() as store:
        hand = ByHand(store, clock_from(settings().clock_file))
        now = hand.moment(at)
        supervisor = person_said(hand.season, by)
        trainee = person_said(hand.season, person) if person is not None else None
        said = day_said(day) if day is not None else None

        def step(session: Session) -> tuple[date, list[Promoted] | NotAccepted]:
            book = FieldBook(session, hand.season, now)
            chosen = said or book.today
            whose = trainee.key if trainee is not None else None
            return chosen, accept(book, site, chosen, supervisor.key, whose)

        (chosen, done), caused = hand.do(now, step)
    if isinstance(done, NotAccepted):
        raise click.ClickException(done.why)
    if as_json:
        shown = {
            "site": site,
            "day": chosen.isoformat(),
            "by": supervisor.key,
            "accepted": {one.person: list(one.numbers) for one in done},
            "left": {one.person: list(one.left) for one in done if one.left},
            "texts": caused,
        }
        click.echo(json.dumps(shown, ensure_ascii=False, indent=1))
        return
    for one in done:
        click.echo(_said(one, site, chosen))
    for text in caused:
        click.echo(f"  -> {text['to']} ({text['purpose']}): {text['text']}")


def _said(one: Promoted, site: int, day: date) -> str:
    """Say what of somebody's counts stands now and what stays beside."""
    stand = f"samples {', '.join(map(str, one.numbers))} count now" if one.numbers else "nothing counts yet"
    stay = f"; {', '.join(map(str, one.left))} stay beside, as they are in already" if one.left else ""
    return f"{one.person} at {site} on {day}: {stand}{stay}."
