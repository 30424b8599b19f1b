"""The command `rowfoot`, also `python -m bot`."""

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NoReturn

import click

from bot.app import run_service
from bot.by_hand import ByHand, UnreadableSaying
from bot.crop import crop
from bot.demo import run_demo
from bot.level_list import print_levels
from bot.loading import load_season
from bot.opening import opened, settings
from bot.rules import Season
from bot.season_file import (
    SeasonFileError,
    SeasonText,
    faults_against,
    read_season,
    read_texts,
    remarks_on,
)
from bot.settings import SettingsError, clock_from
from bot.showing import show
from bot.temperatures import temperatures
from storage import (
    DatabaseNotReady,
    StorageError,
    Store,
    newest_season,
)


class _Commands(click.Group):
    """The commands; those of the statistics are loaded when they are asked for, as scipy takes a second to load."""

    LATER = ("accept", "card", "compare", "export", "figure", "rehearse")

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted([*super().list_commands(ctx), *self.LATER])

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        match cmd_name:
            case "accept":
                from bot.accepting import accept_command

                return accept_command
            case "card":
                from bot.plan_card import card

                return card
            case "compare":
                from bot.comparing import compare

                return compare
            case "export":
                from bot.exporting import export

                return export
            case "figure":
                from bot.figures_plans import figure

                return figure
            case "rehearse":
                from bot.rehearsal import rehearse

                return rehearse
            case _:
                return super().get_command(ctx, cmd_name)


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
def main() -> None:
    """Rowfoot: a text-message service for insect scouting crews in cotton.

    The database is ROWFOOT_DATABASE (an SQLAlchemy URL), by default rowfoot.db in this folder.
    """


@main.command()
@click.argument("file", type=click.Path(path_type=Path))
def load(file: Path) -> None:
    """Check a season file and store it; all its faults are said in one go, and then nothing is stored."""
    try:
        texts = read_texts(file)
    except SeasonFileError as fault:
        click.echo(str(fault), err=True)
        sys.exit(2)
    season = read_season(texts)
    if not isinstance(season, Season):
        _refuse(file, season)
    with opened() as store:
        before = _loaded(store)
        if before is not None and (faults := faults_against(before, season)):
            _refuse(file, faults)
        now = clock_from(settings().clock_file)()
        changed = load_season(store, texts, season, before, now)
    fields = len(season.fields)
    sites = sum(len(field.sites) for field in season.fields.values())
    people = sum(person.active for person in season.people.values())
    said = "loaded" if changed else "is loaded already; nothing changed"
    click.echo(
        f"{season.name} {said}: {people} people, {fields} fields, {sites} sites, level book {season.book}."
    )
    for remark in remarks_on(season):
        click.echo(f"Note: {remark}", err=True)


def _refuse(file: Path, faults: Sequence[object]) -> NoReturn:
    count = "1 fault" if len(faults) == 1 else f"{len(faults)} faults"
    click.echo(f"{file}: {count}; nothing is stored.", err=True)
    for fault in faults:
        click.echo(f"  {fault}", err=True)
    sys.exit(2)


def _loaded(store: Store) -> Season | None:
    texts = _kept(store)
    read = read_season(texts) if texts is not None else None
    return read if isinstance(read, Season) else None


def _kept(store: Store) -> SeasonText | None:
    with store.read() as session:
        try:
            row = newest_season(session)
        except DatabaseNotReady:
            return None
        return SeasonText(season=row.season_text, book=row.book_text)


@main.command()
@click.argument("book", required=False)
@click.option("--id", "ids", metavar="ID", multiple=True, help="Show this row in full; may be given again.")
@click.option("--json", "as_json", is_flag=True, help="Print the rows as JSON, by the keys of a level book.")
def levels(book: str | None, ids: tuple[str, ...], as_json: bool) -> None:
    """List the levels in force in the loaded season, or all rows of BOOK: one that ships, or a TOML file.

    Where no season is loaded and no BOOK is named, list the books that ship.
    """

    def kept() -> SeasonText | None:
        with opened() as store:
            return _kept(store)

    print_levels(book, ids, kept, as_json=as_json)


@main.command()
@click.argument("phone")
@click.argument("words", nargs=-1, required=True)
@click.option("--at", "at", metavar="ISO", help="When it arrives; now if not said.")
@click.option("--sent", metavar="ISO", help="When the gateway says that it was sent.")
@click.option(
    "--id", "gateway_id", metavar="ID", help="The gateway's id; one that was here before changes nothing."
)
@click.option("--json", "as_json", is_flag=True, help="Print a list of {to, purpose, text}.")
def text(
    phone: str,
    words: tuple[str, ...],
    at: str | None,
    sent: str | None,
    gateway_id: str | None,
    as_json: bool,
) -> None:
    """Take a text as if it had just arrived from a phone, and print every text that it caused."""
    with opened() as store:
        hand = ByHand(store, clock_from(settings().clock_file))
        caused = hand.take(phone, " ".join(words), at, sent, gateway_id)
    if as_json:
        click.echo(json.dumps(caused, ensure_ascii=False, indent=1))
    else:
        _print_texts(caused)


@main.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print a list with one list of texts per line.")
def replay(file: Path, as_json: bool) -> None:
    """Take many texts: JSON lines {"from", "text", "at"[, "sent", "id"]}, in order, by the same road."""
    said: list[list[dict[str, str]]] = []
    try:
        lines = file.read_text(encoding="utf-8").split("\n")
    except UnicodeDecodeError as fault:
        raise click.ClickException(f"{file} is not UTF-8") from fault
    posts = {number: _post(number, line) for number, line in enumerate(lines, start=1) if line.strip()}
    with opened() as store:
        hand = ByHand(store, clock_from(settings().clock_file))
        for number, post in posts.items():
            try:
                caused = hand.take(
                    post["from"], post["text"], post.get("at"), post.get("sent"), post.get("id")
                )
            except UnreadableSaying as fault:
                raise UnreadableSaying(f"line {number}: {fault}") from fault
            said.append(caused)
            if not as_json:
                click.echo(f"{post.get('at', '')} {post['from']}: {post['text']}".strip())
                _print_texts(caused)
    if as_json:
        click.echo(json.dumps(said, ensure_ascii=False, indent=1))


def _post(number: int, line: str) -> dict[str, Any]:
    try:
        post = json.loads(line)
    except ValueError as fault:
        raise click.ClickException(f"line {number} is no JSON: {fault}") from fault
    if (
        not isinstance(post, dict)
        or not isinstance(post.get("from"), str)
        or not isinstance(post.get("text"), str)
        or any(not isinstance(post.get(key), str | None) for key in ("at", "sent", "id"))
    ):
        raise click.ClickException(f'line {number} is not {{"from", "text", "at"}}')
    return post


def _print_texts(caused: Sequence[dict[str, str]]) -> None:
    for one in caused:
        click.echo(f"  -> {one['to']} ({one['purpose']}): {one['text']}")


@main.command(name="round")
@click.option("--at", metavar="ISO", help="The moment; now if not said.")
@click.option("--json", "as_json", is_flag=True, help="Print a list of {to, purpose, text}.")
def round_(at: str | None, as_json: bool) -> None:
    """Do what the clock would do by a moment, and print the texts that it frees."""
    with opened() as store:
        hand = ByHand(store, clock_from(settings().clock_file))
        now = hand.moment(at)
        caused = hand.strike(now)
    if as_json:
        click.echo(json.dumps(caused, ensure_ascii=False, indent=1))
    else:
        _print_texts(caused)


@main.command()
def serve() -> None:
    """Run the service: the gateway's hook, the clock, delivery. Listens on ROWFOOT_LISTEN (127.0.0.1:8420)."""
    try:
        run_service(settings())
    except (SettingsError, StorageError) as fault:
        raise click.ClickException(str(fault)) from fault


@main.command()
@click.option("--play", is_flag=True, help="Play the day, check what the phones received, and end.")
@click.option(
    "--season", "whole", is_flag=True, help="Fill a database file with a whole invented season instead."
)
@click.option("--seed", default=1, show_default=True, help="With --season: another seed is another season.")
@click.option(
    "--file", type=click.Path(path_type=Path), help="With --season: the file, rowfoot-season.db if not said."
)
def demo(play: bool, whole: bool, seed: int, file: Path | None) -> None:
    """Play an invented scouting day on a fresh database, with a stand-in carrier and phones in the browser.

    With --season nine weeks are played into a database that you can go on with.
    """
    if whole:
        from bot.whole_season import DEFAULT_FILE, run_whole_season

        sys.exit(run_whole_season(file or DEFAULT_FILE, seed))
    sys.exit(run_demo(play=play))


main.add_command(crop)
main.add_command(show)
main.add_command(temperatures)

if __name__ == "__main__":
    main()
