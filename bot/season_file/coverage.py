"""Whether a plan's card can be held against the levels that govern while the plan is in use."""

from collections.abc import Iterable, Iterator
from fractions import Fraction

from bot.rules import Column, Field, Level, Phase, Stage, StageNeeded, StageSpan, governing_row
from bot.season_file.draft import Draft
from bot.season_file.faults import Fault
from bot.season_file.fields import plans_in_order
from bot.season_file.forms import PlanForm
from bot.season_file.levels import all_rows_sound, levels_in_force
from bot.season_file.plans import card_columns


def coverage_faults(draft: Draft) -> Iterator[Fault]:
    """Give the plans whose card lacks what a governing level counts, or has no target with a level.

    A plan that wants no level is let be, and so is everything where the level book cannot be read.
    """
    if draft.book is None:
        return
    levels = [in_force.level for in_force in levels_in_force(draft)]
    stages = _stages_to_ask(draft, levels)
    for key, entry in draft.plans.items():
        form = entry.form
        card = card_columns(draft, form)
        # A code that is not known, or a method, is told already; what it would leave open is not guessed.
        whole = form.card is not None and len(card) == len(form.card)
        if form.level is None and "level" not in entry.faulty and form.method is not None and whole:
            yield from _plan_faults(draft, key, form, card, levels, _stages_served(draft, key, stages))


def _plan_faults(
    draft: Draft, key: str, form: PlanForm, card: tuple[Column, ...], levels: list[Level], served: list[Stage]
) -> Iterator[Fault]:
    governing = list(_governing(form, card, levels, served))
    said: set[tuple[str | None, str]] = set()
    for row, stage in governing:
        counted = {*row.count, *(row.also.count if row.also else ())}
        on_card = {column.life_stage for column in card if column.target == row.target}
        for lacking in sorted(counted - on_card):
            if (row.target, lacking) not in said:
                said.add((row.target, lacking))
                yield Fault(
                    f"plans.{key}.card",
                    f"The level {row.id} counts the {lacking} of {row.target} in {stage}, "
                    "and the card has no code for it.",
                )
    if not governing and served and all_rows_sound(draft):
        yield Fault(
            f"plans.{key}.level",
            f"No target on the card has a level for the {form.method} in a stage of this plan; "
            'write level = "none" if none is wanted.',
        )


def _governing(
    form: PlanForm, card: tuple[Column, ...], levels: list[Level], served: list[Stage]
) -> Iterator[tuple[Level, Stage]]:
    for target in dict.fromkeys(column.target for column in card):
        for stage in served:
            row = governing_row(levels, target, form.method, stage) if form.method else None
            if row is not None and not isinstance(row, StageNeeded):
                yield row, stage


def _stages_to_ask(draft: Draft, levels: Iterable[Level]) -> list[Stage]:
    """Give every stage up to the week after the last that anything names; later weeks are like that one."""
    weeks = [span.week or 0 for level in levels for span in level.stages]
    weeks += [span.week or 0 for entry in draft.fields.values() for span in entry.form.plan or {} if span]
    asked = range(1, max(weeks, default=0) + 2)
    return [Stage(phase, week) for phase in Phase for week in (asked if phase.has_weeks else (None,))]


def _stages_served(draft: Draft, plan: str, stages: list[Stage]) -> list[Stage]:
    """Give the stages in which a plan holds in some field; none for a plan that no field names."""
    by_field = [plans_in_order(entry.form) for entry in draft.fields.values()]
    fields = [_bare_field(plans) for plans in by_field if any(plan == key for _, key in plans)]
    return [stage for stage in stages if any(field.plan_for(stage) == plan for field in fields)]


def _bare_field(plans: tuple[tuple[StageSpan | None, str], ...]) -> Field:
    """Give a field of which nothing but its plans is meant, to ask it for the plan of a stage."""
    return Field(
        number=0,
        name="",
        sites=(),
        growers=(),
        scouts=(),
        supervisors=(),
        row_spacing_in=Fraction(1),
        plans=plans,
    )
