"""Tables read against their forms: what can be read is, and every fault is told in one plain sentence."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar, get_args

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from bot.season_file.faults import Fault, did_you_mean
from bot.season_file.forms import Form

FormT = TypeVar("FormT", bound=Form)
GivenT = TypeVar("GivenT")

SAYS = {
    "missing": "This key is required.",
    "string_type": "This must be text in quotes.",
    "string_too_short": "This must not be empty.",
    "int_type": "This must be a whole number.",
    "bool_type": "This must be true or false.",
    "date_type": "This must be a date without quotes, like 2027-06-07.",
    "list_type": "This must be a list in square brackets.",
    "dict_type": "This must be a table.",
    "model_type": "This must be a table.",
    "greater_than_equal": "This must be {ge} or more.",
    "less_than_equal": "This must be {le} or less.",
    "literal_error": "This must be {expected}.",
}


@dataclass(frozen=True, slots=True)
class Entry(Generic[FormT]):
    """A table as far as it could be read, and the keys whose value is not what the file says."""

    form: FormT
    faulty: frozenset[str]


def read_entry(form: type[FormT], raw: object, path: str, faults: list[Fault]) -> Entry[FormT]:
    """Read a table against a form and add its faults; faulty keys have their default, or None.

    Never raises for what a file holds.
    """
    table: Mapping[str, Any] = raw if isinstance(raw, dict) else {}
    if not isinstance(raw, dict):
        faults.append(Fault(path, "This must be a table."))
    try:
        return Entry(form.model_validate(table), frozenset())
    except ValidationError as error:
        found = error.errors()
    if isinstance(raw, dict):
        faults.extend(_fault(form, path, one) for one in found)
    faulty = frozenset(str(one["loc"][0]) for one in found)
    sound = {key: value for key, value in table.items() if key not in faulty}
    stand_ins = dict.fromkeys(_required(form) - sound.keys())
    return Entry(form.model_validate(sound | stand_ins), faulty)


def given(value: GivenT | None) -> GivenT:
    """Give a required value of a form that had no faults."""
    if value is None:
        raise AssertionError("a form without faults has every required key")
    return value


def _required(form: type[Form]) -> set[str]:
    return {field.alias or name for name, field in form.model_fields.items() if field.is_required()}


def _fault(form: type[Form], path: str, error: ErrorDetails) -> Fault:
    *above, last = loc = [part for part in error["loc"] if part != "[key]"]
    context = error.get("ctx", {})
    match error["type"]:
        case "extra_forbidden":
            says = f"There is no such key.{did_you_mean(str(last), _keys_at(form, above))}"
        case "value_error":
            says = str(context["error"])
        case "too_short" | "too_long":
            length = context.get("min_length", context.get("max_length"))
            says = f"This must have exactly {length} values." if length != 1 else "This must not be empty."
        case kind:
            says = SAYS.get(kind, f"{error['msg']}.").format(**context)
    return Fault(".".join([path, *(_step(part) for part in loc)]), says)


def _step(part: int | str) -> str:
    return str(part + 1) if isinstance(part, int) else part


def _keys_at(form: type[Form], steps: list[int | str]) -> list[str]:
    """Give the keys that a form knows some steps down."""
    for step in steps:
        fields = {field.alias or name: field for name, field in form.model_fields.items()}
        inner = _form_in(fields[str(step)].annotation) if str(step) in fields else None
        form = inner or form
    return [field.alias or name for name, field in form.model_fields.items()]


def _form_in(annotation: object) -> type[Form] | None:
    if isinstance(annotation, type) and issubclass(annotation, Form):
        return annotation
    return next((found for part in get_args(annotation) if (found := _form_in(part))), None)
