"""`rowfoot card PLAN`: a plan's card to print and carry, with the stop table of a sequential plan."""

import json
from typing import Any

import click

from bot.field_book import SeasonShelf
from bot.opening import opened
from bot.replies import Speech, speech
from bot.rules import Plan, Season, StopAt, stop_table

__all__ = ["card", "card_json", "card_lines"]

WIDE = 60
"""Characters across: what a card of a third of a page holds."""


@click.command("card")
@click.argument("plan")
@click.option("--language", type=click.Choice(["en", "es"]), default="en", help="The scout's language.")
@click.option("--json", "as_json", is_flag=True, help="Print the card as JSON.")
def card(plan: str, language: str, as_json: bool) -> None:
    """Print the card of a PLAN of the loaded season: codes in order, how to text them, when to stop."""
    with opened() as store, store.read() as session:
        season = SeasonShelf().season(session)
    chosen = season.plans.get(plan)
    if chosen is None:
        raise click.ClickException(f"There is no plan {plan}; the season has {', '.join(season.plans)}.")
    if as_json:
        click.echo(json.dumps(card_json(chosen), ensure_ascii=False, indent=1))
    else:
        click.echo("\n".join(card_lines(speech(language), season, chosen)))


def card_json(plan: Plan) -> dict[str, Any]:
    """Give a plan's card as JSON; `stop` is null for a fixed plan."""
    rows = [
        {"n": row.n, "low_at_most": row.low_at_most, "high_at_least": row.high_at_least}
        for row in stop_table(plan)
    ]
    return {
        "plan": plan.key,
        "method": plan.method.value,
        "samples": plan.samples,
        "each": {plan.each.unit.value.replace(" ", "_"): float(plan.each.amount)},
        "card": list(plan.codes),
        "stop": None if plan.stop is None else {"codes": _stop_codes(plan), "rows": rows},
    }


def card_lines(say: Speech, season: Season, plan: Plan) -> list[str]:
    """Give a plan's card as lines to print, at most 60 characters wide."""
    method = say.say(f"methods.{plan.method.value}")
    head = say.say("plan_card.head", plan=plan.key, method=method, each=say.effort(plan.each))
    lines = [head, "=" * min(len(head), WIDE), ""]
    for place, column in enumerate(plan.card, start=1):
        stage = say.say(f"life_stages.{column.life_stage}")
        lines.append(f"  {place}  {column.code:<4}{say.target(season, column.target)} {stage}".rstrip())
    lines += ["", say.say("plan_card.order"), say.say("plan_card.nothing"), ""]
    if plan.stop is None:
        return [*lines, say.say("plan_card.fixed", samples=plan.samples)]
    return [*lines, *_stop_lines(say, plan)]


def _stop_codes(plan: Plan) -> list[str]:
    target = plan.stop.target if plan.stop is not None else None
    return [column.code for column in plan.card if column.target == target]


def _stop_lines(say: Speech, plan: Plan) -> list[str]:
    table = stop_table(plan)
    codes = "+".join(_stop_codes(plan))
    first = table[0].n if table else plan.samples
    lines = [
        say.say("plan_card.stop", codes=codes, least=first, most=plan.samples),
        "",
        f"{say.say('plan_card.samples'):>9}  {say.say('plan_card.low'):>12}  "
        f"{say.say('plan_card.go_on'):^11}  {say.say('plan_card.high'):>12}",
    ]
    for row in table[:-1] if table and table[-1].n == plan.samples else table:
        lines.append(_stop_line(row))
    return [*lines, f"{plan.samples:>9}  {say.say('plan_card.most')}", "", say.say("plan_card.same_side")]


def _stop_line(row: StopAt) -> str:
    low = "-" if row.low_at_most is None else f"0-{row.low_at_most}" if row.low_at_most else "0"
    from_ = 0 if row.low_at_most is None else row.low_at_most + 1
    high = "-" if row.high_at_least is None else f"{row.high_at_least}+"
    on = f"{from_}+" if row.high_at_least is None else f"{from_}-{row.high_at_least - 1}"
    return f"{row.n:>9}  {low:>12}  {on:^11}  {high:>12}"
