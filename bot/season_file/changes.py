"""What a changed season file may not change while the database holds counts made under the old one."""

from collections.abc import Iterator

from bot.rules import Field, Season
from bot.season_file.faults import Fault


def faults_against(old: Season, new: Season) -> tuple[Fault, ...]:
    """Give the faults of a season held against the one that is stored: another name, numbers that moved.

    A number has moved when it was a field's or a site's and is now another field's; also when two fields
    have kept their names and changed their numbers over, so that 12 is now the field that was 14.
    """
    return tuple(_faults(old, new))


def _faults(old: Season, new: Season) -> Iterator[Fault]:
    if old.name != new.name:
        yield Fault(
            "season.name",
            f"The database holds the season {old.name}; {new.name} needs a database of its own.",
        )
    for field in new.fields.values():
        for number in dict.fromkeys((field.number, *field.sites)):
            before = old.field_of(number)
            if before is not None and before.number != field.number:
                path = f"fields.{field.number}" + ("" if number == field.number else ".sites")
                yield Fault(path, f"{number} is a number of field {before.number} and may not leave it.")
        taken_from = _namesake_before(old, new, field)
        if taken_from is not None:
            yield Fault(
                f"fields.{field.number}.name",
                f"{field.name} is field {taken_from} and {field.number} is {old.fields[field.number].name}; "
                "a number may not move to another field.",
            )


def _namesake_before(old: Season, new: Season, field: Field) -> int | None:
    """Give the number that a field's name stood at before, where its number was another field's then."""
    before = old.fields.get(field.number)
    if before is None or before.name == field.name:
        return None
    namesakes = [other.number for other in old.fields.values() if other.name == field.name]
    kept = [number for number in namesakes if number in new.fields and new.fields[number].name == field.name]
    return namesakes[0] if namesakes and not kept else None
