"""The arrows, keepers and doors of the house, read from the imports themselves.

The table below is the law; DEVELOPERS.md draws it. A room may import the standard library, the
libraries it keeps, and the rooms its arrow points to, and another room only through that room's door:
a name in its `__all__`.
"""

import ast
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent

EVERY_ROOM = frozenset({"parsing", "storage", "rules"})
SPEAKS = EVERY_ROOM | {"replies", "season_file", "settings"}

MAY_ENTER: dict[str, frozenset[str]] = {
    "parsing": frozenset(),
    "storage": frozenset(),
    "rules": frozenset({"parsing", "statistics"}),
    "season_file": frozenset({"parsing", "rules"}),
    "settings": frozenset(),
    "replies": frozenset({"parsing", "rules"}),
    "field_book": EVERY_ROOM | {"season_file"},
    "conversation": SPEAKS | {"field_book"},
    "digests": SPEAKS | {"field_book", "conversation"},
    "rounds": SPEAKS | {"field_book", "conversation", "digests"},
    "by_hand": frozenset({"storage", "field_book", "rounds", "season_file", "settings"}),
    "gateways": frozenset({"settings"}),
    "mailing": frozenset(),
    "delivery": frozenset({"storage", "gateways", "mailing", "settings"}),
    "web": frozenset({"storage", "gateways", "settings"}),
    "pages": EVERY_ROOM | {"field_book", "settings"},
    "schedule": frozenset({"rounds", "delivery", "settings"}),
    "standin": frozenset({"settings"}),
    "app": EVERY_ROOM
    | {
        "season_file",
        "settings",
        "replies",
        "field_book",
        "conversation",
        "digests",
        "rounds",
        "gateways",
        "mailing",
        "delivery",
        "web",
        "pages",
        "schedule",
    },
    "demo": EVERY_ROOM | {"season_file", "settings", "field_book", "replies", "app"},
    "level_rows": frozenset({"rules"}),
    "level_list": frozenset({"rules", "season_file", "level_rows"}),
    "statistics": frozenset(),
    "figures": frozenset({"statistics"}),
    "figures_plot": frozenset(),
    "plan_card": frozenset({"rules", "replies", "field_book", "opening"}),
    "figures_plans": frozenset({"figures", "figures_plot", "statistics"}),
    "opening": frozenset({"storage", "rules", "settings", "by_hand"}),
    "loading": frozenset({"storage", "rules", "season_file", "field_book", "conversation"}),
    "accepting": frozenset({"storage", "field_book", "conversation", "settings", "by_hand", "opening"}),
    "comparing": frozenset(
        {"storage", "rules", "field_book", "statistics", "settings", "by_hand", "opening"}
    ),
    "crop": frozenset({"storage", "rules", "replies", "field_book", "settings", "by_hand", "opening"}),
    "showing": frozenset({"field_book", "settings", "by_hand", "opening"}),
    "temperatures": frozenset({"storage", "rules", "field_book", "settings", "by_hand", "opening"}),
    "exporting": EVERY_ROOM | {"field_book", "settings", "opening"},
    "rehearsal": EVERY_ROOM | {"statistics", "season_file", "figures", "figures_plot", "opening"},
    "whole_season": frozenset({"storage", "rules", "season_file", "by_hand", "loading"}),
    "__main__": EVERY_ROOM
    | {"season_file", "settings", "field_book", "by_hand", "app", "demo", "figures_plans", "level_list"}
    | {"crop", "temperatures", "showing", "whole_season"}
    | {"opening", "accepting", "loading", "comparing", "plan_card", "rehearsal", "exporting"},
}
"""For each room, the rooms whose door it may use."""

KEEPERS: dict[str, frozenset[str]] = {
    "alembic": frozenset({"storage"}),
    "apscheduler": frozenset({"schedule"}),
    "click": frozenset(
        {
            "accepting",
            "comparing",
            "opening",
            "__main__",
            "figures",
            "figures_plans",
            "level_list",
            "plan_card",
        }
        | {"rehearsal", "crop", "temperatures", "exporting", "showing"}
    ),
    "flask": frozenset({"app", "web", "pages", "standin"}),
    "httpx": frozenset({"gateways", "standin", "demo"}),
    "numpy": frozenset({"statistics", "rehearsal"}),
    "phonenumbers": frozenset({"season_file"}),
    "psycopg": frozenset({"storage"}),
    "pydantic": frozenset({"season_file"}),
    "pydantic_core": frozenset({"season_file"}),
    "rapidfuzz": frozenset({"parsing"}),
    "rich": frozenset(
        {"comparing", "crop", "demo", "__main__", "figures", "figures_plans", "level_list", "rehearsal"}
        | {"showing", "whole_season"}
    ),
    "scipy": frozenset({"statistics"}),
    "sqlalchemy": frozenset({"storage"}),
    "waitress": frozenset({"app", "standin"}),
    "werkzeug": frozenset({"app", "web", "standin"}),
}
"""For each library from outside, the rooms that may import it."""


@dataclass(frozen=True, slots=True)
class Import:
    """One imported name: where it stands, the module it comes from, the name taken."""

    file: Path
    line: int
    module: str
    name: str | None

    def __str__(self) -> str:
        taken = f".{self.name}" if self.name else ""
        return f"{self.file.relative_to(ROOT)}:{self.line} imports {self.module}{taken}"


def room_of(module: str) -> str | None:
    """Give the room that a module of ours belongs to, None for a module from outside."""
    parts = module.split(".")
    if parts[0] in ("parsing", "storage"):
        return parts[0]
    if parts[0] == "bot":
        return parts[1] if len(parts) > 1 else "bot"
    return None


def module_of(file: Path) -> str:
    parts = list(file.relative_to(ROOT).with_suffix("").parts)
    if parts[-1] == "__init__":
        parts.pop()
    return ".".join(parts)


def imports_of(file: Path) -> Iterator[Import]:
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield Import(file, node.lineno, alias.name, None)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file}:{node.lineno} imports relatively; name the room"
            assert node.module is not None
            for alias in node.names:
                yield Import(file, node.lineno, node.module, alias.name)


def our_files() -> list[Path]:
    files = [f for top in ("bot", "parsing", "storage") for f in sorted((ROOT / top).rglob("*.py"))]
    return [f for f in files if "migrations" not in f.parts]


def door_of(room: str) -> frozenset[str]:
    """Give the names in a room's `__all__`: the room's own file, or its package's `__init__`."""
    base = ROOT / room if room in ("parsing", "storage") else ROOT / "bot" / room
    file = base / "__init__.py" if base.is_dir() else base.with_suffix(".py")
    for node in ast.parse(file.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.Assign) and [ast.unparse(target) for target in node.targets] == ["__all__"]:
            names: list[str] = ast.literal_eval(node.value)
            assert len(set(names)) == len(names), f"the door of {room} names something twice"
            return frozenset(names)
    raise AssertionError(f"{file.relative_to(ROOT)} has no __all__: the room {room} has no door")


@pytest.mark.parametrize("file", our_files(), ids=lambda f: module_of(f))
def test_a_room_enters_only_where_its_arrow_points_and_by_the_door(file: Path) -> None:
    home = room_of(module_of(file))
    if home == "bot":
        assert not list(imports_of(file)), "bot/__init__.py is only the hallway"
        return
    assert home in MAY_ENTER, f"{home} is not in the table of rooms"
    for imported in imports_of(file):
        room = room_of(imported.module)
        if room is None or room == home:
            continue
        if room == "bot":
            room = imported.name or "bot"
            raise AssertionError(f"{imported}: name what is needed from bot.{room}, not the room itself")
        assert room in MAY_ENTER[home], f"{imported}: {home} may not enter {room}"
        assert imported.name is not None, f"{imported}: take names from the door, not the module"
        assert imported.module in (room, f"bot.{room}"), f"{imported}: go through the door of {room}"
        assert imported.name in door_of(room), f"{imported}: {imported.name} is not at the door of {room}"


@pytest.mark.parametrize("file", our_files(), ids=lambda f: module_of(f))
def test_a_library_is_imported_only_by_its_keepers(file: Path) -> None:
    home = room_of(module_of(file))
    for imported in imports_of(file):
        top = imported.module.split(".")[0]
        if top in sys.stdlib_module_names or room_of(imported.module) is not None:
            continue
        assert top in KEEPERS, f"{imported}: {top} has no keeper"
        assert home in KEEPERS[top], f"{imported}: {home} does not keep {top}"


def test_only_one_room_speaks_with_mail_servers() -> None:
    taken = [(file, one.module) for file in our_files() for one in imports_of(file)]
    speaking = {room_of(module_of(file)) for file, module in taken if module == "smtplib"}
    assert speaking == {"mailing"}


def test_parsing_and_rules_never_ask_the_clock() -> None:
    for file in our_files():
        if room_of(module_of(file)) not in ("parsing", "rules", "replies"):
            continue
        text = file.read_text(encoding="utf-8")
        for asked in ("datetime.now", "date.today", "time.time(", "utcnow", "import random"):
            assert asked not in text, f"{file.relative_to(ROOT)} asks {asked}"


def test_nothing_is_the_name_of_a_drawer_for_everything() -> None:
    for file in our_files():
        assert not {"utils", "helper", "helpers", "manager", "base"} & set(module_of(file).split("."))


LAYOUT = (
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "pyproject.toml",
    "bot",
    "parsing",
    "storage",
    "tests",
    "fixtures",
)


def test_the_top_level_holds_what_the_house_names() -> None:
    allowed = {*LAYOUT}
    found = {p.name for p in ROOT.iterdir() if not p.name.startswith(".")}
    leftovers = {
        n for n in found if n.endswith((".egg-info", ".db", ".db-wal", ".db-shm")) or n in ("build", "dist")
    }
    assert found - leftovers <= allowed
