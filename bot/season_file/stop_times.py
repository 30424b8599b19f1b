"""The heat units after cutout that a season wants to hear of: rows of its level book, its own, or a number."""

from collections.abc import Iterator

from bot.rules import StopTime
from bot.season_file.draft import Draft, StopTimeRow
from bot.season_file.entries import given
from bot.season_file.faults import Fault, did_you_mean, listed
from bot.season_file.forms import FieldForm, SeasonForm


def stop_time_faults(draft: Draft) -> Iterator[Fault]:
    """Give what is wrong with stop times beside their own tables: an id that is twice, one that is not there."""
    for rows in (
        [row for row in draft.stop_times if row.own],
        [row for row in draft.stop_times if not row.own],
    ):
        first: dict[str, str] = {}
        for row in rows:
            name = row.entry.form.id
            if name in first:
                yield Fault(f"{row.path}.id", f"The id {name} is twice: {first[name]} has it too.")
            elif name is not None:
                first[name] = row.path
    yield from _named_faults(draft, draft.season.form, "season")
    for number, entry in draft.fields.items():
        yield from _named_faults(draft, entry.form, f"fields.{number}")


def stop_time_of(draft: Draft, form: SeasonForm | FieldForm) -> StopTime | None:
    """Give the stop time that a field or the season names, of a draft without faults; None where it names none."""
    match form.stop_heat_units:
        case None:
            return None
        case int() as units:
            return StopTime(None, None, units, None)
        case name:
            return _stop_time(_rows_by_id(draft)[name])


def written_stop_times(draft: Draft, *, own: bool) -> tuple[StopTime, ...]:
    """Give the stop times that the season file (`own`) or its book writes, of a draft without faults."""
    return tuple(_stop_time(row) for row in draft.stop_times if row.own is own)


def _stop_time(row: StopTimeRow) -> StopTime:
    form = row.entry.form
    return StopTime(given(form.id), given(form.pest), given(form.units), given(form.source), form.year)


def _named_faults(draft: Draft, form: SeasonForm | FieldForm, path: str) -> Iterator[Fault]:
    name = form.stop_heat_units
    known = _rows_by_id(draft)
    if draft.book is None or not isinstance(name, str) or name in known:
        return
    there = f"there are {listed(known)}" if known else "neither the level book nor this file has any"
    yield Fault(
        f"{path}.stop_heat_units",
        f"There is no [[stop_time]] {name}; {there}.{did_you_mean(name, known)}",
    )


def _rows_by_id(draft: Draft) -> dict[str, StopTimeRow]:
    """Give the rows of the book, each replaced by the season's of the same id, then the season's others."""
    return {row.entry.form.id: row for row in draft.stop_times if row.entry.form.id is not None}
