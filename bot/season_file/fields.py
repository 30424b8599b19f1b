"""The fields of a season: whose they are, who scouts them, and which plan holds when."""

from collections.abc import Iterator

from bot.rules import Field, Method, PersonKey, Phase, Role, StageMark, StageSpan
from bot.season_file.draft import Draft
from bot.season_file.entries import Entry, given
from bot.season_file.faults import Fault, listed, no_such
from bot.season_file.forms import FieldForm
from bot.season_file.numbers import site_numbers
from bot.season_file.people import unknown_people
from bot.season_file.stop_times import stop_time_of

COUNTING = (Role.SCOUT, Role.LEADER, Role.SUPERVISOR)


def field_faults(draft: Draft) -> Iterator[Fault]:
    """Give what is wrong with fields but their numbers: unknown people, plans and neighbours, wrong roles."""
    for number, entry in draft.fields.items():
        path, form = f"fields.{number}", entry.form
        yield from _people_faults(draft, form.growers, f"{path}.growers", (Role.GROWER,))
        yield from _people_faults(draft, form.scouts, f"{path}.scouts", COUNTING)
        yield from _people_faults(draft, form.supervisors or [], f"{path}.supervisors", (Role.SUPERVISOR,))
        yield from _plan_faults(draft, form, path)
        yield from _visual_faults(draft, form, path)
        for other in form.beside:
            if other == number:
                yield Fault(f"{path}.beside", "A field does not lie beside itself.")
            elif other not in draft.fields:
                yield no_such(f"{path}.beside", "field", other, draft.fields)
        yield from _check_faults(draft, number, form)


def build_fields(draft: Draft) -> dict[int, Field]:
    """Give the fields of a draft without faults, in the file's order."""
    supervisors = [key for key, person in draft.people.items() if Role.SUPERVISOR in given(person.form.roles)]
    return {number: _field(draft, number, entry, supervisors) for number, entry in draft.fields.items()}


def plans_in_order(form: FieldForm) -> tuple[tuple[StageSpan | None, str], ...]:
    """Give a field's plans in the order of the season; none where the key is faulty."""
    return tuple(sorted((form.plan or {}).items(), key=lambda pair: _begins(pair[0])))


def _begins(span: StageSpan | None) -> tuple[Phase, int]:
    return (Phase.PRESQUARE, 0) if span is None else (span.phase, span.week or 0)


def _people_faults(draft: Draft, keys: list[str], path: str, wanted: tuple[Role, ...]) -> Iterator[Fault]:
    yield from unknown_people(draft, keys, path)
    for key in keys:
        roles = draft.people[key].form.roles if key in draft.people else None
        if roles is not None and not set(roles) & set(wanted):
            yield Fault(path, f"{key} is no {' or '.join(wanted)}, but {listed(roles)} (people.{key}.roles).")


def _plan_faults(draft: Draft, form: FieldForm, path: str) -> Iterator[Fault]:
    for stage, plan in (form.plan or {}).items():
        if plan not in draft.plans:
            where = f"{path}.plan" if stage is None else f"{path}.plan.{stage}"
            yield no_such(where, "plan", plan, draft.plans)


def _visual_faults(draft: Draft, form: FieldForm, path: str) -> Iterator[Fault]:
    plans = [key for key in dict.fromkeys((form.plan or {}).values()) if key in draft.plans]
    visual = next((key for key in plans if draft.plans[key].form.method is Method.VISUAL), None)
    if visual is None:
        return
    for key in form.scouts:
        person = draft.people.get(key)
        if person is not None and not person.form.visual and "visual" not in person.faulty:
            yield Fault(
                f"{path}.scouts",
                f"plans.{visual} is visual, and {key} may not sample by eye (people.{key}.visual is false).",
            )


def _check_faults(draft: Draft, number: int, form: FieldForm) -> Iterator[Fault]:
    path, check = f"fields.{number}.untreated_check", form.untreated_check
    if check is None:
        return
    if check == number:
        yield Fault(path, "A field is not its own check.")
    elif check not in draft.fields:
        yield no_such(path, "field", check, draft.fields)
    elif draft.fields[check].form.untreated_check is not None:
        yield Fault(
            path, f"{check} has a check itself (fields.{check}.untreated_check), so it is to be treated too."
        )


def _keys(people: list[str]) -> tuple[PersonKey, ...]:
    return tuple(PersonKey(key) for key in dict.fromkeys(people))


def _field(draft: Draft, number: int, entry: Entry[FieldForm], supervisors: list[str]) -> Field:
    form = entry.form
    dates = (
        (form.first_square, Phase.SQUARING),
        (form.first_bloom, Phase.BLOOM),
        (form.cutout, Phase.CUTOUT),
    )
    return Field(
        number=number,
        name=given(form.name),
        sites=site_numbers(number, form.sites),
        growers=_keys(form.growers),
        scouts=_keys(form.scouts),
        supervisors=_keys(supervisors if form.supervisors is None else form.supervisors),
        row_spacing_in=given(form.row_spacing_in),
        plans=plans_in_order(form),
        stage_dates=tuple(StageMark(day, phase) for day, phase in dates if day is not None),
        where=form.where,
        beside=tuple(dict.fromkeys(form.beside)),
        stop_time=stop_time_of(draft, form) or stop_time_of(draft, draft.season.form),
        untreated_check=form.untreated_check,
    )
